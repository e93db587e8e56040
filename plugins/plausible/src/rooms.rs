//! Floor area of the rooms in each box.

use crate::facts;
use mateline_model::home::Home;
use mateline_model::quantity::{Area, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Lack};

/// Adds up the rooms of every box; a room in several lies in each with an even share.
pub(crate) fn report(home: &Home, findings: &mut Findings) {
    for id in home.modules.keys() {
        let subject = Subject::element("modules", id);
        let rooms = home.spaces.iter().filter(|(_, space)| space.within.0.contains(id));
        let mut sum = 0.0;
        let mut step = Step::procedure("the rooms' floor areas are added up, each shared out evenly among its boxes");
        for (room, space) in rooms {
            sum += space.floor_area.si() / space.within.0.len() as f64;
            let term = Term::new("A_r", format!("floor area of {room}"), space.floor_area, Units::AREA);
            step = step.term(term.given(format!("spaces.{room}.floor_area")));
        }
        if step.terms.is_empty() {
            Lack::at(format!("no room lies in {subject}"), "spaces").write(&subject, &[&facts::ROOMS_AREA], findings);
            continue;
        }
        let sum = Area::from_si(sum);
        let step = step.result(Term::new("A", "floor area of the rooms", sum, Units::AREA));
        let basis = Basis::new("sum of the rooms", "arithmetic").step(step);
        findings.fact_at(&subject, &facts::ROOMS_AREA, sum, basis, Pointer::new(subject.as_str()));
    }
}
