//! Earthwork: what is dug, filled back and carried away.
//!
//! A pit with sloped sides goes down to the ground below the floor, widened for work outside the wall; a trench goes on
//! from there to the underside of the footing; pads are cut into the ground. Topsoil is stripped first and kept apart.

use crate::entry::Entries;
use crate::facts::{self, EARTH};
use crate::ground::{DEEPEST, FORM_ROOM, Ground};
use crate::prism::{Moved, Prismoid, prismoidal};
use crate::site_plan::{PIER, Pads, SitePlan};
use crate::sizes::{STATED, Sizes};
use crate::soil_balance::{Dig, balance};
use crate::terms::{PRELIMINARY, earth, geometry, plain, sum};
use mateline_equation::equation;
use mateline_model::home::{FoundationKind, Home};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::Lack;

equation! {
    /// Foot of the slope beyond a wall with a trench below it. Source: geometry.
    pub(crate) SlopeFoot = "o = max(w, b/2 + r t_n − t/2)" {
        o: Length "foot of the slope beyond the wall" [Units::LENGTH],
        w: Length "room to work outside the wall" [Units::LENGTH],
        b: Length "width of the trench at its bottom" [Units::LENGTH],
        r: f64 "run for 1 of rise" [Units::plain(2)],
        t_n: Length "depth of the trench" [Units::LENGTH],
        t: Length "concrete wall" [Units::LENGTH],
    }

    /// Foot of the slope beyond a wall without a trench. Source: geometry.
    pub(crate) SlopeFootAlone = "o = w" {
        o: Length "foot of the slope beyond the wall" [Units::LENGTH],
        w: Length "room to work outside the wall" [Units::LENGTH],
    }

    /// Depth of a pit below the topsoil. Source: geometry.
    pub(crate) PitDepth = "D = d + t_d − τ" {
        D: Length "depth of the pit below the topsoil" [Units::LENGTH],
        d: Length "floor below grade" [Units::LENGTH],
        t_d: Length "floor down to the ground" [Units::LENGTH],
        τ: Length "topsoil" [Units::LENGTH],
    }

    /// Depth of a trench below the pit or the topsoil. Source: geometry.
    pub(crate) TrenchDepth = "t_n = D_f − max(d_g, τ)" {
        t_n: Length "depth of the trench" [Units::LENGTH],
        D_f: Length "underside of the footing below grade" [Units::LENGTH],
        d_g: Length "ground below the floor, from grade" [Units::LENGTH],
        τ: Length "topsoil" [Units::LENGTH],
    }

    /// Width of a trench at its bottom. Source: geometry.
    pub(crate) TrenchWidth = "b = w_f + 2 f" {
        b: Length "width of the trench at its bottom" [Units::LENGTH],
        w_f: Length "width of the footing" [Units::LENGTH],
        f: Length "room for forms" [Units::LENGTH],
    }

    /// A trench with sides of even slope. Source: geometry.
    pub(crate) Trench = "V_n = L (b t_n + r t_n²)" {
        V_n: Volume "trench for the footing" [EARTH],
        L: Length "length of footing along its middle" [Units::LENGTH],
        b: Length "width of the trench at its bottom" [Units::LENGTH],
        t_n: Length "depth of the trench" [Units::LENGTH],
        r: f64 "run for 1 of rise" [Units::plain(2)],
    }

    /// Depth of the pit of a pier below the topsoil. Source: geometry.
    pub(crate) PierDepth = "D = max(0, D_f − τ)" {
        D: Length "depth of a pit below the topsoil" [Units::LENGTH],
        D_f: Length "underside of the footing below grade" [Units::LENGTH],
        τ: Length "topsoil" [Units::LENGTH],
    }

    /// Width of the pit of a pier at its bottom. Source: geometry.
    pub(crate) PitWidth = "b = a + 2 f" {
        b: Length "width of a pit at its bottom" [Units::LENGTH],
        a: Length "side of a pad" [Units::LENGTH],
        f: Length "room for forms" [Units::LENGTH],
    }

    /// The pit of a pier. Source: Simpson's rule; geometry.
    pub(crate) PierPit = "V_1 = D/6 (b² + 4 (b + r D)² + (b + 2 r D)²)" {
        V_1: Volume "one pit" [EARTH],
        D: Length "depth of a pit below the topsoil" [Units::LENGTH],
        b: Length "width of a pit at its bottom" [Units::LENGTH],
        r: f64 "run for 1 of rise" [Units::plain(2)],
    }

    /// Pits apart from one another. Source: addition.
    pub(crate) PitsApart = "V = n V_1" {
        V: Volume "pits" [EARTH],
        n: f64 "pads" [Units::plain(0)],
        V_1: Volume "one pit" [EARTH],
    }

    /// Pits that run into one another: one trench along each line with the ends of a pit. Source: geometry.
    pub(crate) PitsTogether = "V = m V_1 + L (b D + r D²)" {
        V: Volume "pits" [EARTH],
        m: f64 "bearing lines" [Units::plain(0)],
        V_1: Volume "one pit" [EARTH],
        L: Length "length of the bearing lines" [Units::LENGTH],
        b: Length "width of a pit at its bottom" [Units::LENGTH],
        D: Length "depth of a pit below the topsoil" [Units::LENGTH],
        r: f64 "run for 1 of rise" [Units::plain(2)],
    }

    /// What is stripped of topsoil where piers stand. Source: the outline.
    pub(crate) StrippedOutline = "A_t = A" {
        A_t: Area "area stripped" [Units::AREA],
        A: Area "area of the outline" [Units::AREA],
    }
}

/// Everything that follows from what is dug.
pub const ALL: [&QuantityDef; 11] = [
    &facts::EXCAVATION_BANK,
    &facts::EXCAVATION_LOOSE,
    &facts::EXCAVATION_COMPACTED,
    &facts::TOPSOIL_BANK,
    &facts::TOPSOIL_LOOSE,
    &facts::BACKFILL,
    &facts::HAUL_OFF_BANK,
    &facts::HAUL_OFF_LOOSE,
    &facts::IMPORT_BANK,
    &facts::TRUCKLOADS,
    &facts::SIDE_SLOPE,
];

/// Depth of the deepest hole (m).
pub fn deepest(sizes: &Sizes) -> f64 {
    sizes.footing_depth.value.max(sizes.pit_depth())
}

/// All earthwork of one part of the home. `drain_gravel` (m³) lies around the drains.
pub fn earthwork(
    home: &Home,
    subject: &Subject,
    sizes: &Sizes,
    plan: &SitePlan,
    pads: &[Pads],
    drain_gravel: f64,
) -> Entries {
    let mut entries = Entries::default();
    let ground = Ground::of(home, deepest(sizes));
    let run = match ground.run_of() {
        Ok(run) if deepest(sizes) <= DEEPEST => run,
        Ok(_) => {
            let because = "the hole is deeper than 20 ft, where an engineer designs its sides";
            entries.lack(&ALL, &Lack::at(because, "foundation.footing"));
            return entries;
        }
        Err(lack) => {
            entries.lack(&ALL, &lack);
            return entries;
        }
    };
    if let Ok((_, term)) = &ground.run {
        let basis = Basis::new("safe side by soil class", "29 CFR 1926 Subpart P, Appendix B")
            .provenance("from memory")
            .step(Step::new("r = r").term(term.clone()).result(plain("r", "run for 1 of rise", run, 2)))
            .assuming(ground.sides)
            .assuming("sides less than 5 ft deep are sloped as well");
        entries.add(facts::SIDE_SLOPE, run, basis);
    }
    let dig = if sizes.has_walls() {
        below_walls(sizes, plan, pads, &ground, run, drain_gravel)
    } else {
        below_piers(sizes, plan, pads, &ground, run)
    };
    balance(subject, &ground, dig, &mut entries);
    entries
}

fn below_walls(sizes: &Sizes, plan: &SitePlan, pads: &[Pads], ground: &Ground, run: f64, drain_gravel: f64) -> Dig {
    let topsoil = ground.topsoil.value;
    let (wall, width) = (sizes.wall.value, sizes.footing_width.value);
    let middle = plan.middle(wall);
    let pit_depth = sizes.pit_depth();
    let pit = above_nothing(pit_depth - topsoil);
    let trench_top = pit_depth.max(topsoil);
    let trench = above_nothing(sizes.footing_depth.value - trench_top);
    let bottom = width + 2.0 * FORM_ROOM;
    let reach = bottom / 2.0 + run * trench - wall / 2.0;
    let sides = |step: Step| ground.run.as_ref().map(|run| run.1.clone()).into_iter().fold(step, Step::with);
    let metres = Length::from_si;
    let mut basis = geometry("prismoidal rule for the pit, even sides for the trench");
    let mut parts = Vec::new();
    basis.steps.push(plan.middle_step(sizes));
    basis.steps.extend(sizes.depth_step.clone());
    let (mut bank, mut stripped) = (0.0, plan.moved(reach.max(0.0)));
    let mut stripped_step = plan.moved_step(reach.max(0.0)).1.meaning(Moved::x, "reach of the trench beyond the wall");
    if pit > 0.0 {
        let widened = if trench > 0.0 { reach } else { 0.0 };
        let offset = ground.working_space.value.max(widened);
        let at = |distance: f64| plan.moved(offset + distance);
        let areas = [at(0.0), at(run * pit / 2.0), at(run * pit)];
        let volume = prismoidal(pit, areas[0], areas[1], areas[2]);
        let foot = if trench > 0.0 {
            let foot = SlopeFoot {
                w: ground.working_space.length(),
                b: metres(bottom),
                r: run,
                t_n: metres(trench),
                t: sizes.wall.length(),
            };
            sides(foot.step().1.with(sizes.wall.term()))
        } else {
            SlopeFootAlone { w: ground.working_space.length() }.step().1
        };
        basis.steps.push(foot.with(ground.working_space.term()));
        let depth =
            PitDepth { d: sizes.floor_depth.length(), t_d: sizes.floor_build.length(), τ: ground.topsoil.length() };
        let step = depth.step().1.with(sizes.floor_depth.term()).with(sizes.floor_build.term());
        basis.steps.push(step.with(ground.topsoil.term()));
        for (what, distance) in [
            ("pit at its bottom", offset),
            ("pit at half its depth", offset + run * pit / 2.0),
            ("pit at its top", offset + run * pit),
        ] {
            basis.steps.push(plan.moved_step(distance).1.meaning(Moved::A_x, what));
        }
        let result = earth("V_p", "pit", volume);
        let [bottom_area, middle_area, top_area] = areas.map(Area::from_si);
        let prism = Prismoid { D: metres(pit), A_b: bottom_area, A_m: middle_area, A_t: top_area };
        basis.steps.push(prism.step().1);
        parts.push(result);
        bank += volume;
        stripped = areas[2];
        stripped_step = plan.moved_step(offset + run * pit).1.meaning(Moved::x, "top of the slope beyond the wall");
    }
    if trench > 0.0 {
        let along = Trench { L: metres(middle), b: metres(bottom), t_n: metres(trench), r: run };
        let (volume, step) = along.step();
        let volume = volume.si();
        let result = earth("V_n", "trench for the footing", volume);
        let depth =
            TrenchDepth { D_f: sizes.footing_depth.length(), d_g: metres(pit_depth), τ: ground.topsoil.length() };
        basis.steps.push(depth.step().1.with(sizes.footing_depth.term()).with(ground.topsoil.term()));
        let width = TrenchWidth { w_f: sizes.footing_width.length(), f: metres(FORM_ROOM) };
        let width = width.step().1.with(sizes.footing_width.term());
        basis.steps.push(width.published(TrenchWidth::f, STATED));
        basis.steps.push(sides(step));
        parts.push(result);
        bank += volume;
    }
    let (pad_volume, pad_terms) = pads_volume(sizes, plan, pads, &mut basis);
    bank += pad_volume;
    parts.extend(pad_terms);
    basis.steps.push(sum(earth("V", "excavation in the ground", bank), parts));
    let thickness = sizes.footing_thickness.value;
    let mut taken = Taken::default();
    taken.add("inside of the outline, down to the ground below the floor", plan.outline.area * pit);
    taken.add("footing below the pit", middle * width * thickness.min(trench));
    taken.add("wall below the pit", middle * wall * (trench - thickness).max(0.0));
    if pit > 0.0 {
        let above = (thickness - trench).max(0.0).min(pit);
        taken.add("footing outside the wall", middle * ((width - wall) / 2.0).max(0.0) * above);
    }
    taken.add("pads and footings under mate lines", pad_volume);
    taken.add("gravel around the drain", drain_gravel);
    Dig {
        bank,
        taken: taken.total,
        stripped,
        bank_basis: basis
            .assuming(PRELIMINARY)
            .assuming(ground.sides)
            .assuming("topsoil is stripped first and is not part of this volume")
            .assuming("the ground is level around the home"),
        taken_steps: vec![sum(earth("V_x", "taken up by the building", taken.total), taken.terms)],
        stripped_step: stripped_step.meaning(Moved::A_x, "area stripped"),
    }
}

/// A depth, nothing where it is less than a micrometre: sizes in feet and inches do not add up to the last digit.
fn above_nothing(depth: f64) -> f64 {
    if depth > 1e-6 { depth } else { 0.0 }
}

fn below_piers(sizes: &Sizes, plan: &SitePlan, pads: &[Pads], ground: &Ground, run: f64) -> Dig {
    let metres = Length::from_si;
    let sides = |step: Step| ground.run.as_ref().map(|run| run.1.clone()).into_iter().fold(step, Step::with);
    let depth_worked = PierDepth { D_f: sizes.footing_depth.length(), τ: ground.topsoil.length() };
    let (depth, step) = depth_worked.step();
    let depth = depth.si();
    let mut basis = geometry("prismoidal rule for the pit of each pier");
    basis.steps.extend(sizes.depth_step.clone());
    basis.steps.push(step.with(sizes.footing_depth.term()).with(ground.topsoil.term()));
    let (mut bank, mut terms, mut taken) = (0.0, Vec::new(), Taken::default());
    for group in pads {
        let (bottom, width) = PitWidth { a: metres(group.side), f: metres(FORM_ROOM) }.step();
        let (pit, one) = PierPit { D: metres(depth), b: bottom, r: run }.step();
        let (single, apart) = PitsApart { n: group.count, V_1: pit }.step();
        let (lines, length) = group.lines;
        let together = PitsTogether { m: lines, V_1: pit, L: metres(length), b: bottom, D: metres(depth), r: run };
        let (trench, together) = together.step();
        basis.steps.extend(group.steps.clone());
        basis.steps.push(width.with(group.side_term()).published(PitWidth::f, STATED));
        basis.steps.push(sides(one));
        // Pits that run into one another are one trench with the ends of a pit.
        let (volume, step) =
            if trench < single { (trench, sides(together)) } else { (single, apart.with(group.count_term())) };
        let (volume, what) = (volume.si(), format!("pits, {}", group.what));
        basis.steps.push(step.meaning(PitsApart::V, what.clone()));
        let result = earth("V", what, volume);
        terms.push(result);
        bank += volume;
        let thickness = group.thickness;
        taken.add("pads", group.count * group.side * group.side * thickness.min(depth));
        let shaft = std::f64::consts::PI / 4.0 * PIER * PIER * (depth - thickness).max(0.0);
        taken.add("piers below the topsoil", group.count * shaft);
    }
    basis.steps.push(sum(earth("V", "excavation in the ground", bank), terms));
    Dig {
        bank,
        taken: taken.total,
        stripped: plan.outline.area,
        bank_basis: basis.assuming(PRELIMINARY).assuming(ground.sides).assuming(
            "each pier has a pit of its own; where pits run into one another, a trench is dug along the line",
        ),
        taken_steps: vec![sum(earth("V_x", "taken up by the building", taken.total), taken.terms)],
        stripped_step: StrippedOutline { A: Area::from_si(plan.outline.area) }.step().1.with(plan.area.clone()),
    }
}

/// What stands in the hole, part by part.
#[derive(Default)]
struct Taken {
    total: f64,
    terms: Vec<Term>,
}

impl Taken {
    fn add(&mut self, what: &str, volume: f64) {
        if volume > 0.0 {
            self.total += volume;
            self.terms.push(earth("V_x", what, volume));
        }
    }
}

fn pads_volume(sizes: &Sizes, plan: &SitePlan, pads: &[Pads], basis: &mut Basis) -> (f64, Vec<Term>) {
    let (mut total, mut terms) = (0.0, Vec::new());
    let what = "cut for the footing under the mate lines";
    if let Some((volume, step)) = plan.mate_strip(sizes, what) {
        basis.steps.push(step);
        total += volume.si();
        terms.push(earth("V", what, volume.si()));
    }
    for group in pads {
        let what = format!("cut for pads, {}", group.what);
        let (volume, step) = group.volume(what.clone());
        let volume = volume.si();
        let result = earth("V", what, volume);
        basis.steps.extend(group.steps.clone());
        basis.steps.push(step);
        total += volume;
        terms.push(result);
    }
    (total, terms)
}

/// Whether the boxes stand over a space that is dug out.
pub fn is_sunk(sizes: &Sizes) -> bool {
    matches!(sizes.kind, FoundationKind::Basement | FoundationKind::CrawlSpace) && sizes.floor_depth.value > 0.0
}
