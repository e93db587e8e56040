//! Concrete, forms and reinforcement of footings, walls, slabs, pads and piers.

use crate::entry::Entries;
use crate::facts;
use crate::site_plan::{PIER, Pads, SitePlan};
use crate::sizes::{STATED, Sizes, earthwork};
use crate::terms::{area, earth, geometry, length, own, plain, practice, share, sum};
use mateline_model::home::{FoundationKind, Home};
use mateline_model::quantity::{Density, Mass, Units};
use mateline_model::{Basis, Step, Subject, Term};

/// Concrete ordered beyond what is placed: 10 %.
///
/// Source: usual allowance (looked up; 5 % for a clean slab, 15 % for stepped work).
const WASTE: f64 = 0.10;
const WASTE_SOURCE: &str = "usual allowance of take-offs (looked up)";
/// Reinforcement of footings, walls and piers: 60 lb/yd³ (kg/m³).
const REINFORCEMENT: f64 = 60.0 * 0.453_592_37 / 0.764_554_857_984;

/// A strip, such as a footing or a wall: `V = L b h` (m³).
pub fn strip(length: f64, width: f64, height: f64) -> f64 {
    length * width * height
}

/// A round column: `V = π/4 d² h` (m³).
pub fn column(diameter: f64, height: f64) -> f64 {
    std::f64::consts::PI / 4.0 * diameter * diameter * height
}

/// All concrete of one part of the home.
pub fn concrete(home: &Home, subject: &Subject, sizes: &Sizes, plan: &SitePlan, pads: &[Pads]) -> Entries {
    let mut entries = Entries::default();
    let middle = plan.middle(sizes.wall.value);
    let run = || length("L", "length along the middle of the wall", middle);
    let thickness = &sizes.footing_thickness;

    let mut footing = geometry("length times section");
    let (mut footings, mut terms) = (0.0, Vec::new());
    if sizes.has_walls() {
        footings = strip(middle, sizes.footing_width.value, thickness.value);
        let result = earth("V", "wall footing", footings);
        footing = footing.step(plan.middle_step(sizes)).step(
            Step::new("V = L w_f t_f")
                .term(run())
                .term(sizes.footing_width.term())
                .term(thickness.term())
                .result(result.clone()),
        );
        terms.push(result);
    }
    for group in pads {
        let volume = group.count * strip(group.side, group.side, thickness.value);
        footings += volume;
        let result = earth("V", format!("pads under {}", group.what), volume);
        footing.steps.extend(group.steps.clone());
        footing.steps.push(
            Step::new("V = n a² t_f")
                .term(group.count_term())
                .term(group.side_term())
                .term(thickness.term())
                .result(result.clone()),
        );
        terms.push(result);
    }
    let footing = footing.step(sum(earth("V", "footings and pads", footings), terms));
    entries.add(facts::CONCRETE_FOOTING, footings, footing);

    let (walls, basis) = if sizes.has_walls() { wall(sizes, plan, middle) } else { piers(sizes, pads) };
    entries.add(facts::CONCRETE_WALL, walls, basis);

    let inside = plan.inside(sizes.wall.value);
    let slab = inside * sizes.slab.value;
    let basis = geometry("floor inside the walls times thickness").step(plan.inside_step(sizes)).step(
        Step::new("V = A_i t_s")
            .term(area("A_i", "floor inside the walls", inside))
            .term(sizes.slab.term())
            .result(earth("V", "slab", slab)),
    );
    entries.add(facts::CONCRETE_SLAB, slab, basis);

    let given = home.foundation.as_ref().and_then(|foundation| foundation.earthwork.as_ref()?.concrete_waste);
    let waste = given.map_or(WASTE, |waste| waste.si());
    let term = share("p", "concrete ordered beyond what is placed", waste);
    let term =
        if given.is_some() { term.given("foundation.earthwork.concrete_waste") } else { term.published(WASTE_SOURCE) };
    let total = (footings + walls + slab) * (1.0 + waste);
    let step = Step::new("V = (V_f + V_w + V_s)(1 + p)")
        .term(own(earth("V_f", "footings and pads", footings), subject, &facts::CONCRETE_FOOTING))
        .term(own(earth("V_w", "walls and piers", walls), subject, &facts::CONCRETE_WALL))
        .term(own(earth("V_s", "slab", slab), subject, &facts::CONCRETE_SLAB))
        .term(term)
        .result(earth("V", "concrete to order", total));
    entries.add(facts::CONCRETE_TOTAL, total, geometry("sum of the parts with an allowance").step(step));

    forms(sizes, plan, pads, middle, &mut entries);
    reinforcement(home, subject, footings + walls, (footings, walls), &mut entries);
    entries
}

fn wall(sizes: &Sizes, plan: &SitePlan, middle: f64) -> (f64, Basis) {
    let height = sizes.wall_height();
    let volume = strip(middle, sizes.wall.value, height);
    let mut basis = geometry("length times section").step(plan.middle_step(sizes));
    basis.steps.extend(sizes.depth_step.clone());
    let basis = basis
        .step(height_step(sizes))
        .step(
            Step::new("V = L t h_w")
                .term(length("L", "length along the middle of the wall", middle))
                .term(sizes.wall.term())
                .term(length("h_w", "height of the wall", height))
                .result(earth("V", "walls", volume)),
        )
        .assuming("openings in the walls are not taken off");
    let basis = if sizes.kind == FoundationKind::Slab { basis.assuming("the slab lies at grade") } else { basis };
    (volume, basis)
}

fn height_step(sizes: &Sizes) -> Step {
    Step::new("h_w = h + D_f - t_f - d")
        .term(sizes.height.term())
        .term(sizes.footing_depth.term())
        .term(sizes.footing_thickness.term())
        .term(sizes.floor_depth.term())
        .result(length("h_w", "height of the wall from the footing to the boxes", sizes.wall_height()))
}

fn piers(sizes: &Sizes, pads: &[Pads]) -> (f64, Basis) {
    let height = sizes.wall_height();
    let count: f64 = pads.iter().map(|group| group.count).sum();
    let volume = count * column(PIER, height);
    let mut basis = geometry("round piers up to the boxes");
    basis.steps.extend(sizes.depth_step.clone());
    let basis = basis.step(height_step(sizes)).step(
        Step::new("V = n π/4 d_p² h_w")
            .term(plain("n", "piers", count, 0))
            .term(length("d_p", "diameter of a pier", PIER).published(STATED))
            .term(length("h_w", "height of a pier", height))
            .result(earth("V", "piers", volume)),
    );
    (volume, basis)
}

fn forms(sizes: &Sizes, plan: &SitePlan, pads: &[Pads], middle: f64, entries: &mut Entries) {
    let height = sizes.wall_height();
    let (total, basis) = if sizes.has_walls() {
        let thickness = sizes.footing_thickness.value;
        let total = 2.0 * middle * (thickness + height);
        let step = Step::new("A = 2 L (t_f + h_w)")
            .term(length("L", "length along the middle of the wall", middle))
            .term(sizes.footing_thickness.term())
            .term(length("h_w", "height of the wall", height))
            .result(area("A", "forms", total));
        (
            total,
            geometry("both faces of footing and wall")
                .step(plan.middle_step(sizes))
                .step(height_step(sizes))
                .step(step),
        )
    } else {
        let count: f64 = pads.iter().map(|group| group.count).sum();
        let total = count * std::f64::consts::PI * PIER * height;
        let step = Step::new("A = n π d_p h_w")
            .term(plain("n", "piers", count, 0))
            .term(length("d_p", "diameter of a pier", PIER).published(STATED))
            .term(length("h_w", "height of a pier", height))
            .result(area("A", "forms", total));
        (total, geometry("round piers").step(height_step(sizes)).step(step))
    };
    entries.add(facts::FORMWORK, total, basis.assuming("pads are cast against the ground; the slab needs no forms"));
}

fn reinforcement(home: &Home, subject: &Subject, volume: f64, parts: (f64, f64), entries: &mut Entries) {
    let given = earthwork(home).reinforcement;
    let rate = given.map_or(REINFORCEMENT, |rate| rate.si());
    let term = Term::new(
        "ρ",
        "reinforcement in a volume of concrete",
        Density::from_si(rate),
        Units::new("kg/m³", 1, "lb/yd³", 0),
    );
    let term = if given.is_some() { term.given("foundation.earthwork.reinforcement") } else { term.published(STATED) };
    let mass = volume * rate;
    let step = Step::new("m = ρ (V_f + V_w)")
        .term(term)
        .term(own(earth("V_f", "footings and pads", parts.0), subject, &facts::CONCRETE_FOOTING))
        .term(own(earth("V_w", "walls and piers", parts.1), subject, &facts::CONCRETE_WALL))
        .result(Term::new("m", "reinforcement", Mass::from_si(mass), Units::MASS));
    let basis = practice("a rate for each volume of concrete")
        .step(step)
        .assuming("slabs are not reinforced; the structural designer draws the bars");
    entries.add(facts::REINFORCEMENT, mass, basis);
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOOT: f64 = 0.3048;
    const YARD: f64 = 0.764_554_857_984;

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
