//! Facts of each box by itself: plan area, volume, open faces, size on the road.

use crate::basis::{geometry, length};
use crate::enclosure::Site;
use crate::facts;
use crate::surfaces::{open_area_steps, size, size_term};
use mateline_boxes::coordinate::metres;
use mateline_equation::equation;
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Pointer, Step, Subject};
use mateline_sdk::Findings;

equation! {
    /// Plan of a box. Source: geometry.
    pub(crate) Plan = "A = a·b" {
        A: Area "plan area" [Units::AREA],
        a: Length "length from west to east" [Units::LENGTH],
        b: Length "length from south to north" [Units::LENGTH],
    }

    /// Volume of a box with a level top. Source: geometry.
    pub(crate) BoxVolume = "V = a·b·c" {
        V: Volume "volume" [Units::VOLUME],
        a: Length "length from west to east" [Units::LENGTH],
        b: Length "length from south to north" [Units::LENGTH],
        c: Length "height" [Units::LENGTH],
    }

    /// Volume of a box whose ceiling rises from one side to the other. Source: geometry.
    pub(crate) SlopedVolume = "V = a·b·(c + r/2)" {
        V: Volume "volume" [Units::VOLUME],
        a: Length "length from west to east" [Units::LENGTH],
        b: Length "length from south to north" [Units::LENGTH],
        c: Length "height" [Units::LENGTH],
        r: Length "rise of the ceiling over the box" [Units::LENGTH],
    }

    /// Width of a box on the road. Source: geometry.
    pub(crate) TravelWidth = "w = min(a, b)" {
        w: Length "width" [Units::LENGTH],
        a: Length "length from west to east" [Units::LENGTH],
        b: Length "length from south to north" [Units::LENGTH],
    }

    /// Length of a box on the road. Source: geometry.
    pub(crate) TravelLength = "l = max(a, b)" {
        l: Length "length" [Units::LENGTH],
        a: Length "length from west to east" [Units::LENGTH],
        b: Length "length from south to north" [Units::LENGTH],
    }

    /// Height of a box with a level top on the road. Source: geometry.
    pub(crate) TravelHeight = "h = c" {
        h: Length "height" [Units::LENGTH],
        c: Length "height" [Units::LENGTH],
    }

    /// Height of a box with a sloped ceiling on the road. Source: geometry.
    pub(crate) SlopedTravelHeight = "h = c + r" {
        h: Length "height" [Units::LENGTH],
        c: Length "height" [Units::LENGTH],
        r: Length "rise of the ceiling over the box" [Units::LENGTH],
    }
}

/// Facts of each module.
pub fn write(site: &Site<'_, '_>, findings: &mut Findings) {
    for (i, placed) in site.boxes.iter().enumerate() {
        let subject = Subject::element("modules", &placed.id);
        let at = || Pointer::new(format!("{}.size", placed.path()));
        let [a, b, c] = [0, 1, 2].map(|axis| size(placed, axis));
        let plan = |step: Step| step.with(size_term("a", placed, 0)).with(size_term("b", placed, 1));
        let r = Length::from_si(metres(placed.rise()));
        let risen = |step: Step| {
            let rise = length("r", "rise of the ceiling over the box", r.si());
            step.with(rise.given(format!("{}.sloped_ceiling.slope", placed.path())))
        };
        let sloped = placed.wedge.is_some();
        let (value, step) = Plan { a, b }.step();
        let basis = geometry("plan of the box, exterior").step(plan(step));
        findings.fact_at(&subject, &facts::FLOOR_AREA, value, basis, at());

        let (value, step) = if sloped {
            let (value, step) = SlopedVolume { a, b, c, r }.step();
            (value, risen(step))
        } else {
            BoxVolume { a, b, c }.step()
        };
        let basis = geometry("exterior size").step(plan(step).with(size_term("c", placed, 2)));
        findings.fact_at(&subject, &facts::VOLUME, value, basis, at());

        if let Some(open) = site.open.get(i) {
            let mut basis = geometry("faces that no other box covers, the underside included");
            basis.steps = open_area_steps(site, i);
            findings.fact_at(&subject, &facts::EXPOSED_AREA, Area::from_si(open.area()), basis, at());
        }
        let (value, step) = TravelWidth { a, b }.step();
        findings.fact_at(&subject, &facts::TRAVEL_WIDTH, value, geometry("smaller side").step(plan(step)), at());
        let (value, step) = TravelLength { a, b }.step();
        findings.fact_at(&subject, &facts::TRAVEL_LENGTH, value, geometry("larger side").step(plan(step)), at());
        let (value, step) = if sloped {
            let (value, step) = SlopedTravelHeight { c, r }.step();
            (value, risen(step))
        } else {
            TravelHeight { c }.step()
        };
        let basis = geometry("height without carrier and packing").step(step.with(size_term("c", placed, 2)));
        findings.fact_at(&subject, &facts::TRAVEL_HEIGHT, value, basis, at());
    }
}
