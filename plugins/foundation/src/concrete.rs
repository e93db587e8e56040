//! Concrete, forms and reinforcement of footings, walls, slabs, pads and piers.

use crate::entry::Entries;
use crate::facts;
use crate::pours::{PierForms, Piers, Reinforcement, Slab, ToOrder, Wall, WallFooting, WallForms};
use crate::site_plan::{PIER, Pads, SitePlan};
use crate::sizes::{STATED, Size, Sizes, earthwork};
use crate::terms::{earth, geometry, practice, share, sum};
use mateline_model::home::{FoundationKind, Home};
use mateline_model::quantity::{Area, Density, Length, Volume};
use mateline_model::{Basis, Step, Subject};

/// Concrete ordered beyond what is placed: 10 %.
///
/// Source: usual allowance (looked up; 5 % for a clean slab, 15 % for stepped work).
const WASTE: f64 = 0.10;
const WASTE_SOURCE: &str = "usual allowance of take-offs (looked up)";
/// Reinforcement of footings, walls and piers: 60 lb/yd³ (kg/m³).
const REINFORCEMENT: f64 = 60.0 * 0.453_592_37 / 0.764_554_857_984;

/// All concrete of one part of the home.
pub fn concrete(home: &Home, subject: &Subject, sizes: &Sizes, plan: &SitePlan, pads: &[Pads]) -> Entries {
    let mut entries = Entries::default();
    let middle = plan.middle(sizes.wall.value);
    let thickness = &sizes.footing_thickness;

    let mut footing = geometry("length times section");
    let (mut footings, mut terms) = (0.0, Vec::new());
    if sizes.has_walls() {
        let part =
            WallFooting { L: Length::from_si(middle), w_f: sizes.footing_width.length(), t_f: thickness.length() };
        let (volume, step) = part.step();
        footings = volume.si();
        let result = earth("V", "wall footing", footings);
        footing =
            footing.step(plan.middle_step(sizes)).step(step.with(sizes.footing_width.term()).with(thickness.term()));
        terms.push(result);
    }
    if let Some((volume, step)) = plan.mate_strip(sizes, "footing under the mate lines") {
        footings += volume.si();
        footing.steps.push(step);
        terms.push(earth("V", "footing under the mate lines", volume.si()));
    }
    for group in pads {
        let (volume, step) = group.volume(format!("pads under {}", group.what));
        footings += volume.si();
        let result = earth("V", format!("pads under {}", group.what), volume.si());
        footing.steps.extend(group.steps.clone());
        footing.steps.push(step);
        terms.push(result);
    }
    let footing = footing.step(sum(earth("V", "footings and pads", footings), terms));
    entries.add(facts::CONCRETE_FOOTING, footings, footing);

    let (walls, basis) = if sizes.has_walls() { wall(sizes, plan, middle) } else { piers(sizes, pads) };
    entries.add(facts::CONCRETE_WALL, walls, basis);

    let inside = plan.inside(sizes.wall.value);
    let (slab, step) = Slab { A_i: Area::from_si(inside), t_s: sizes.slab.length() }.step();
    let slab = slab.si();
    let basis = geometry("floor inside the walls times thickness")
        .step(plan.inside_step(sizes))
        .step(step.with(sizes.slab.term()));
    entries.add(facts::CONCRETE_SLAB, slab, basis);

    let given = home.foundation.as_ref().and_then(|foundation| foundation.earthwork.as_ref()?.concrete_waste);
    let waste = given.map_or(WASTE, |waste| waste.si());
    let term = share("p", "concrete ordered beyond what is placed", waste);
    let term =
        if given.is_some() { term.given("foundation.earthwork.concrete_waste") } else { term.published(WASTE_SOURCE) };
    let volume = Volume::from_si;
    let (total, step) = ToOrder { V_f: volume(footings), V_w: volume(walls), V_s: volume(slab), p: waste }.step();
    let total = total.si();
    let step = step
        .fact(ToOrder::V_f, subject, facts::CONCRETE_FOOTING.name.clone())
        .fact(ToOrder::V_w, subject, facts::CONCRETE_WALL.name.clone())
        .fact(ToOrder::V_s, subject, facts::CONCRETE_SLAB.name.clone())
        .with(term);
    entries.add(facts::CONCRETE_TOTAL, total, geometry("sum of the parts with an allowance").step(step));

    forms(sizes, plan, pads, middle, &mut entries);
    reinforcement(home, subject, (footings, walls), &mut entries);
    entries
}

fn wall(sizes: &Sizes, plan: &SitePlan, middle: f64) -> (f64, Basis) {
    let height = sizes.wall_height();
    let wall = Wall { L: Length::from_si(middle), t: sizes.wall.length(), h_w: Length::from_si(height) };
    let (volume, step) = wall.step();
    let mut basis = geometry("length times section").step(plan.middle_step(sizes));
    basis.steps.extend(sizes.depth_step.clone());
    let basis = basis
        .step(height_step(sizes))
        .step(step.with(sizes.wall.term()))
        .assuming("openings in the walls are not taken off");
    let basis = if sizes.kind == FoundationKind::Slab { basis.assuming("the slab lies at grade") } else { basis };
    (volume.si(), basis)
}

fn height_step(sizes: &Sizes) -> Step {
    let step = sizes.wall_height_worked().step().1;
    [&sizes.height, &sizes.footing_depth, &sizes.footing_thickness, &sizes.floor_depth]
        .into_iter()
        .map(Size::term)
        .fold(step, Step::with)
}

fn piers(sizes: &Sizes, pads: &[Pads]) -> (f64, Basis) {
    let height = sizes.wall_height();
    let count: f64 = pads.iter().map(|group| group.count).sum();
    let (pier, height) = (Length::from_si(PIER), Length::from_si(height));
    let (volume, step) = Piers { n: count, d_p: pier, h_w: height }.step();
    let mut basis = geometry("round piers up to the boxes");
    basis.steps.extend(sizes.depth_step.clone());
    let basis = basis.step(height_step(sizes)).step(step.published(Piers::d_p, STATED));
    (volume.si(), basis)
}

fn forms(sizes: &Sizes, plan: &SitePlan, pads: &[Pads], middle: f64, entries: &mut Entries) {
    let height = sizes.wall_height();
    let (total, basis) = if sizes.has_walls() {
        let forms = WallForms {
            L: Length::from_si(middle),
            t_f: sizes.footing_thickness.length(),
            h_w: Length::from_si(height),
        };
        let (total, step) = forms.step();
        let step = step.with(sizes.footing_thickness.term());
        (
            total,
            geometry("both faces of footing and wall")
                .step(plan.middle_step(sizes))
                .step(height_step(sizes))
                .step(step),
        )
    } else {
        let count: f64 = pads.iter().map(|group| group.count).sum();
        let (pier, height) = (Length::from_si(PIER), Length::from_si(height));
        let (total, step) = PierForms { n: count, d_p: pier, h_w: height }.step();
        let step = step.published(PierForms::d_p, STATED);
        (total, geometry("round piers").step(height_step(sizes)).step(step))
    };
    entries.add(
        facts::FORMWORK,
        total.si(),
        basis.assuming("pads are cast against the ground; the slab needs no forms"),
    );
}

fn reinforcement(home: &Home, subject: &Subject, parts: (f64, f64), entries: &mut Entries) {
    let given = earthwork(home).reinforcement;
    let rate = given.map_or(REINFORCEMENT, |rate| rate.si());
    let volume = Volume::from_si;
    let bars = Reinforcement { ρ: Density::from_si(rate), V_f: volume(parts.0), V_w: volume(parts.1) };
    let (mass, step) = bars.step();
    let step = step.fact(Reinforcement::V_f, subject, facts::CONCRETE_FOOTING.name.clone()).fact(
        Reinforcement::V_w,
        subject,
        facts::CONCRETE_WALL.name.clone(),
    );
    let step = if given.is_some() {
        step.given(Reinforcement::ρ, "foundation.earthwork.reinforcement")
    } else {
        step.published(Reinforcement::ρ, STATED)
    };
    let basis = practice("a rate for each volume of concrete")
        .step(step)
        .assuming("slabs are not reinforced; the structural designer draws the bars");
    entries.add(facts::REINFORCEMENT, mass.si(), basis);
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOOT: f64 = 0.3048;
    const YARD: f64 = 0.764_554_857_984;

    fn strip(length: f64, width: f64, height: f64) -> f64 {
        let [length, width, height] = [length, width, height].map(Length::from_si);
        WallFooting { L: length, w_f: width, t_f: height }.value().si()
    }

    fn column(diameter: f64, height: f64) -> f64 {
        Piers { n: 1.0, d_p: Length::from_si(diameter), h_w: Length::from_si(height) }.value().si()
    }

    /// Concrete for each foot of footing, in yd³ to three decimals: published table (looked up).
    #[test]
    fn published_table() {
        for (width, depth, expected) in
            [(12.0, 6.0, 0.019), (12.0, 8.0, 0.025), (12.0, 12.0, 0.037), (24.0, 12.0, 0.074)]
        {
            let found = strip(FOOT, width / 12.0 * FOOT, depth / 12.0 * FOOT) / YARD;
            assert!((found - expected).abs() < 0.000_5, "{width} x {depth}: {found}");
        }
        assert!((column(FOOT, FOOT) / YARD - 0.029).abs() < 0.000_5);
    }

    /// The same, exact to five decimals (computed independently).
    #[test]
    fn exact_values() {
        for (width, depth, expected) in
            [(12.0, 6.0, 0.018_52), (12.0, 8.0, 0.024_69), (12.0, 12.0, 0.037_04), (24.0, 12.0, 0.074_07)]
        {
            let found = strip(FOOT, width / 12.0 * FOOT, depth / 12.0 * FOOT) / YARD;
            assert!((found - expected).abs() < 0.000_005, "{width} x {depth}: {found}");
        }
        assert!((column(FOOT, FOOT) / YARD - 0.029_09).abs() < 0.000_005);
        // 32 x 22 ft x 4 in and 40 x 30 ft x 5 in slabs, and 140 ft of 20 x 10 in footing.
        assert!((strip(32.0 * FOOT, 22.0 * FOOT, FOOT / 3.0) / YARD - 8.691).abs() < 0.000_5);
        assert!((strip(32.0 * FOOT, 22.0 * FOOT, FOOT / 3.0) - 6.645).abs() < 0.000_5);
        assert!((strip(40.0 * FOOT, 30.0 * FOOT, 5.0 / 12.0 * FOOT) / YARD - 18.519).abs() < 0.000_5);
        assert!((strip(140.0 * FOOT, 20.0 / 12.0 * FOOT, 10.0 / 12.0 * FOOT) / YARD - 7.202).abs() < 0.000_5);
    }
}
