//! Facts of each box by itself: plan area, volume, open faces, size on the road.

use crate::basis::{area, geometry, length, volume};
use crate::enclosure::Site;
use crate::facts;
use crate::surfaces::{open_area_steps, size_term};
use mateline_boxes::coordinate::{metres, square_metres};
use mateline_model::quantity::{Area, Length, Volume};
use mateline_model::{Pointer, Step, Subject};
use mateline_sdk::Findings;

/// Facts of each module.
pub fn write(site: &Site<'_, '_>, findings: &mut Findings) {
    for (i, placed) in site.boxes.iter().enumerate() {
        let subject = Subject::element("modules", &placed.id);
        let at = || Pointer::new(format!("{}.size", placed.path()));
        let [a, b, c] = placed.spans.map(|span| metres(span.length()));
        let plan = square_metres(placed.plan().area());
        let step = Step::new("A = a·b").term(size_term("a", placed, 0)).term(size_term("b", placed, 1));
        let basis = geometry("plan of the box, exterior").step(step.result(area("A", "plan area", plan)));
        findings.fact_at(&subject, &facts::FLOOR_AREA, Area::from_si(plan), basis, at());

        let mut step = Step::new(if placed.wedge.is_some() { "V = a·b·(c + r/2)" } else { "V = a·b·c" });
        for (symbol, axis) in [("a", 0), ("b", 1), ("c", 2)] {
            step = step.term(size_term(symbol, placed, axis));
        }
        if placed.wedge.is_some() {
            let rise = length("r", "rise of the ceiling over the box", metres(placed.rise()));
            step = step.term(rise.given(format!("{}.sloped_ceiling.slope", placed.path())));
        }
        let basis = geometry("exterior size").step(step.result(volume("V", "volume", placed.volume())));
        findings.fact_at(&subject, &facts::VOLUME, Volume::from_si(placed.volume()), basis, at());

        if let Some(open) = site.open.get(i) {
            let mut basis = geometry("faces that no other box covers, the underside included");
            basis.steps = open_area_steps(site, i);
            findings.fact_at(&subject, &facts::EXPOSED_AREA, Area::from_si(open.area()), basis, at());
        }
        let plan_size = |equation: &'static str| {
            Step::new(equation).term(size_term("a", placed, 0)).term(size_term("b", placed, 1))
        };
        let width = geometry("smaller side").step(plan_size("w = min(a, b)").result(length("w", "width", a.min(b))));
        findings.fact_at(&subject, &facts::TRAVEL_WIDTH, Length::from_si(a.min(b)), width, at());
        let long = geometry("larger side").step(plan_size("l = max(a, b)").result(length("l", "length", a.max(b))));
        findings.fact_at(&subject, &facts::TRAVEL_LENGTH, Length::from_si(a.max(b)), long, at());
        let height = c + metres(placed.rise());
        let mut step = Step::new(if placed.wedge.is_some() { "h = c + r" } else { "h = c" });
        step = step.term(size_term("c", placed, 2));
        if placed.wedge.is_some() {
            let rise = length("r", "rise of the ceiling over the box", metres(placed.rise()));
            step = step.term(rise.given(format!("{}.sloped_ceiling.slope", placed.path())));
        }
        let basis = geometry("height without carrier and packing").step(step.result(length("h", "height", height)));
        findings.fact_at(&subject, &facts::TRAVEL_HEIGHT, Length::from_si(height), basis, at());
    }
}
