//! The parts of a foundation: one, or several where some boxes stand on another kind.

use crate::bearing::Loads;
use crate::lack::Lack;
use crate::plan::{Outline, PlanBox, bearing_lines, outline};
use crate::site_plan::SitePlan;
use crate::sizes::{Stand, word};
use crate::terms::{area, length};
use crate::works::Works;
use mateline_model::Subject;
use mateline_model::home::{Foundation, Home, Id};
use mateline_sdk::Request;

/// The plan of all lowest boxes, with its sizes as the takeoff found them.
///
/// # Errors
/// When the takeoff found none.
pub fn whole<'a>(request: &Request<'_>, lowest: &[PlanBox<'a>]) -> Result<SitePlan<'a>, Lack> {
    let home = Subject::home();
    let number = |quantity: &'static str| request.number(&home, quantity).ok_or_else(|| Lack::fact(&home, quantity));
    let (area_found, perimeter) = (number("takeoff.footprint_area")?, number("takeoff.foundation_perimeter")?);
    let outline = Outline { area: area_found, perimeter, ..outline(lowest)? };
    Ok(SitePlan {
        outline,
        area: area("A", "footprint", outline.area).fact(&home, "takeoff.footprint_area"),
        perimeter: length("P", "outline", outline.perimeter).fact(&home, "takeoff.foundation_perimeter"),
        lines: bearing_lines(lowest),
    })
}

/// The works of each part, with the subject its facts belong to.
pub fn parts<'a>(
    home: &Home,
    foundation: &Foundation,
    lowest: &[PlanBox<'a>],
    whole: &Result<SitePlan<'a>, Lack>,
    loads: Option<&Loads>,
) -> Vec<(Subject, Result<Works<'a>, Lack>)> {
    let stand = Stand::chosen(foundation);
    let works = |subject: &Subject, stand: &Stand<'_>, plan: Result<SitePlan<'a>, Lack>| {
        plan.and_then(|plan| Works::of(home, subject, stand, plan, loads))
    };
    if foundation.except.is_empty() {
        let subject = Subject::home();
        let found = works(&subject, &stand, whole.clone());
        return vec![(subject, found)];
    }
    let excepted = |id: &Id| foundation.except.iter().any(|except| except.under.iter().any(|other| other == id));
    let own = |keep: &dyn Fn(&Id) -> bool| {
        let boxes: Vec<PlanBox<'a>> = lowest.iter().filter(|one| keep(one.id)).cloned().collect();
        whole.as_ref().map_err(Clone::clone).and_then(|_| of_boxes(&boxes))
    };
    let subject = Subject::element("foundation", word(foundation.kind));
    let main = works(&subject, &stand, own(&|id| !excepted(id)));
    let mut all = vec![(subject, main)];
    for (index, except) in foundation.except.iter().enumerate() {
        let Some(stand) = Stand::exception(foundation, index) else { continue };
        let first = except.under.iter().next().map(ToString::to_string).unwrap_or_default();
        let subject = Subject::element("foundation", format!("{}-{first}", word(except.kind)));
        let found = works(&subject, &stand, own(&|id| except.under.iter().any(|other| other == id)));
        all.push((subject, found));
    }
    all
}

/// The plan of some of the lowest boxes.
fn of_boxes<'a>(boxes: &[PlanBox<'a>]) -> Result<SitePlan<'a>, Lack> {
    let outline = outline(boxes)?;
    let names: Vec<&str> = boxes.iter().map(|one| one.id.as_ref()).collect();
    let names = names.join(", ");
    Ok(SitePlan {
        outline,
        area: area("A", format!("plan of {names}"), outline.area).given("modules"),
        perimeter: length("P", format!("outline of {names}"), outline.perimeter).given("modules"),
        lines: bearing_lines(boxes),
    })
}
