//! The parts of a foundation: one, or several where some boxes stand on another kind.

use crate::bearing::Loads;
use crate::lack;
use crate::plan::{Extent, bearing_lines};
use crate::site_plan::SitePlan;
use crate::sizes::{Stand, word};
use crate::terms::{area, length};
use crate::works::Works;
use mateline_boxes::Boxes;
use mateline_model::Subject;
use mateline_model::home::{Foundation, Home, Id};
use mateline_sdk::{Lack, Request};

/// The plan of all lowest boxes, with its sizes as the takeoff found them.
///
/// # Errors
/// When the takeoff found none.
pub fn whole(request: &Request<'_>, boxes: &Boxes, lowest: &[usize]) -> Result<SitePlan, Lack> {
    let home = Subject::home();
    let number = |quantity: &'static str| request.number(&home, quantity).ok_or_else(|| lack::fact(&home, quantity));
    let (area_found, perimeter) = (number("takeoff.footprint_area")?, number("takeoff.foundation_perimeter")?);
    let outline = Extent { area: area_found, perimeter, ..Extent::of(boxes, lowest) };
    Ok(SitePlan {
        outline,
        area: area("A", "footprint", outline.area).fact(&home, "takeoff.footprint_area"),
        perimeter: length("P", "outline", outline.perimeter).fact(&home, "takeoff.foundation_perimeter"),
        lines: bearing_lines(boxes, lowest),
    })
}

/// The works of each part, with the subject its facts belong to.
pub fn parts(
    home: &Home,
    foundation: &Foundation,
    (boxes, lowest): (&Boxes, &[usize]),
    whole: &Result<SitePlan, Lack>,
    loads: Option<&Loads>,
) -> Vec<(Subject, Result<Works, Lack>)> {
    let stand = Stand::chosen(foundation);
    let works = |subject: &Subject, stand: &Stand<'_>, plan: Result<SitePlan, Lack>| {
        plan.and_then(|plan| Works::of(home, subject, stand, plan, loads))
    };
    if foundation.except.is_empty() {
        let subject = Subject::home();
        let found = works(&subject, &stand, whole.clone());
        return vec![(subject, found)];
    }
    let excepted = |id: &Id| foundation.except.iter().any(|except| except.under.iter().any(|other| other == id));
    let own = |keep: &dyn Fn(&Id) -> bool| {
        let kept = |i: &usize| boxes.placed.get(*i).is_some_and(|one| keep(&one.id));
        let some: Vec<usize> = lowest.iter().copied().filter(kept).collect();
        whole.as_ref().map(|_| of_boxes(boxes, &some)).map_err(Clone::clone)
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
fn of_boxes(boxes: &Boxes, some: &[usize]) -> SitePlan {
    let outline = Extent::of(boxes, some);
    let names: Vec<&str> = some.iter().filter_map(|i| boxes.placed.get(*i)).map(|one| one.id.as_ref()).collect();
    let names = names.join(", ");
    SitePlan {
        outline,
        area: area("A", format!("plan of {names}"), outline.area).given("modules"),
        perimeter: length("P", format!("outline of {names}"), outline.perimeter).given("modules"),
        lines: bearing_lines(boxes, some),
    }
}
