//! What keeps heat recovery from freezing: outdoor air that is warmed by electricity before it gets there.
//!
//! In each hour that is colder than the air is warmed to, every unit that does so takes what the difference asks for. What of
//! that heat goes on into the rooms is not counted. A unit that says nothing of it is taken to run on in any cold, which few do.
//!
//! Source: heat of air.

use crate::air::{AIR, sides};
use crate::facts::{self, USE};
use crate::home_year::HeldYear;
use crate::part::{Course, Part};
use crate::surfaces::known;
use mateline_model::quantity::{Conductance, Energy, Ratio, Units};
use mateline_model::{Basis, Step, Subject, Term};
use mateline_sdk::{Lack, Request};

/// What the year takes.
pub(crate) fn part(request: &Request<'_>, year: &HeldYear) -> Result<Part, Lack> {
    let hours = &year.hours.hours;
    let mut course = vec![0.0; hours.len()];
    let mut step = Step::procedure("outdoor air of each hour warmed before recovery, by each unit that does so");
    let mut warms = false;
    for (id, unit) in &request.home.systems.ventilation {
        let Some(to) = unit.preheat_to else { continue };
        let subject = Subject::element("systems.ventilation", id);
        let (supply, _) = sides(unit, known(request, &subject, "ventilation.unit_flow")?);
        let each = AIR * supply * unit.run_time.map_or(1.0, Ratio::si);
        warms = true;
        for (place, hour) in course.iter_mut().zip(hours) {
            *place += each * (to.si() - hour.air).max(0.0);
        }
        step = step
            .term(Term::new("H", format!("outdoor air of {subject}"), Conductance::from_si(each), Units::CONDUCTANCE))
            .term(
                Term::new("θ", format!("to which {subject} warms it"), to, Units::TEMPERATURE)
                    .given(format!("{subject}.preheat_to")),
            );
    }
    let sum: f64 = course.iter().zip(hours).map(|(power, hour)| power * hour.count * 3_600.0).sum();
    let energy = Energy::from_si(sum);
    let step = step.result(Term::new("E", "used", energy, USE));
    let basis =
        Basis::new("warming of outdoor air, through the hours", "heat of air").provenance("definition").step(step);
    let basis = match warms {
        true => basis.assuming("what of that heat goes on into the rooms is not counted"),
        false => basis
            .assuming("no unit says that it warms outdoor air: what else keeps frost from its recovery is not counted"),
    };
    Ok(Part { fact: facts::FROST_USE, fuel: None, course: Course::Hours(course), energy, basis })
}
