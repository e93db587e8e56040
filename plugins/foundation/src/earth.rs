//! Earthwork: what is dug, filled back and carried away.
//!
//! A pit with sloped sides goes down to the ground below the floor, widened for work outside the wall; a trench goes on
//! from there to the underside of the footing; pads are cut into the ground. Topsoil is stripped first and kept apart.

use crate::entry::Entries;
use crate::facts;
use crate::ground::{DEEPEST, FORM_ROOM, Ground};
use crate::lack::Lack;
use crate::prism::prismoidal;
use crate::site_plan::{PIER, Pads, SitePlan};
use crate::sizes::{STATED, Sizes};
use crate::soil_balance::{Dig, balance};
use crate::terms::{PRELIMINARY, area, earth, geometry, length, plain, sum};
use mateline_model::home::{FoundationKind, Home};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};

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
            entries.lack(&ALL, &Lack::new(because, "foundation.footing"));
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
    let sides = ground.run.as_ref().map(|run| run.1.clone());
    let mut basis = geometry("prismoidal rule for the pit, even sides for the trench");
    let mut parts = Vec::new();
    basis.steps.push(plan.middle_step(sizes));
    basis.steps.extend(sizes.depth_step.clone());
    let (mut bank, mut stripped) = (0.0, plan.moved(reach.max(0.0)));
    let mut stripped_step = Step::new("A_t = A + P o + e o²")
        .term(plan.area.clone())
        .term(plan.perimeter.clone())
        .term(plan.corners())
        .term(length("o", "reach of the trench beyond the wall", reach.max(0.0)));
    if pit > 0.0 {
        let widened = if trench > 0.0 { reach } else { 0.0 };
        let offset = ground.working_space.value.max(widened);
        let at = |distance: f64| plan.moved(offset + distance);
        let areas = [at(0.0), at(run * pit / 2.0), at(run * pit)];
        let volume = prismoidal(pit, areas[0], areas[1], areas[2]);
        basis.steps.push(
            Step::new("o = max(w, b/2 + r t_n - t/2), o = w where there is no trench")
                .term(ground.working_space.term())
                .term(length("b", "width of the trench at its bottom", bottom))
                .terms(sides.clone().ok())
                .term(length("t_n", "depth of the trench", trench))
                .term(sizes.wall.term())
                .result(length("o", "foot of the slope beyond the wall", offset)),
        );
        basis.steps.push(
            Step::new("D = d + t_d - τ")
                .term(sizes.floor_depth.term())
                .term(sizes.floor_build.term())
                .term(ground.topsoil.term())
                .result(length("D", "depth of the pit below the topsoil", pit)),
        );
        for (name, what, distance, value) in [
            ("A_b", "pit at its bottom", offset, areas[0]),
            ("A_m", "pit at half its depth", offset + run * pit / 2.0, areas[1]),
            ("A_t", "pit at its top", offset + run * pit, areas[2]),
        ] {
            basis.steps.push(
                Step::new(format!("{name} = A + P x + e x²"))
                    .term(plan.area.clone())
                    .term(plan.perimeter.clone())
                    .term(plan.corners())
                    .term(length("x", "distance outside the wall", distance))
                    .result(area(name, what, value)),
            );
        }
        let result = earth("V_p", "pit", volume);
        basis.steps.push(
            Step::new("V_p = D/6 (A_b + 4 A_m + A_t)")
                .term(length("D", "depth of the pit below the topsoil", pit))
                .term(area("A_b", "pit at its bottom", areas[0]))
                .term(area("A_m", "pit at half its depth", areas[1]))
                .term(area("A_t", "pit at its top", areas[2]))
                .result(result.clone()),
        );
        parts.push(result);
        bank += volume;
        stripped = areas[2];
        stripped_step = Step::new("A_t = A + P o + e o²")
            .term(plan.area.clone())
            .term(plan.perimeter.clone())
            .term(plan.corners())
            .term(length("o", "top of the slope beyond the wall", offset + run * pit));
    }
    if trench > 0.0 {
        let volume = middle * (bottom * trench + run * trench * trench);
        let result = earth("V_n", "trench for the footing", volume);
        basis.steps.push(
            Step::new("t_n = D_f - max(d + t_d, τ)")
                .term(sizes.footing_depth.term())
                .term(length("d + t_d", "ground below the floor, from grade", pit_depth))
                .term(ground.topsoil.term())
                .result(length("t_n", "depth of the trench", trench)),
        );
        basis.steps.push(
            Step::new("b = w_f + 2 f")
                .term(sizes.footing_width.term())
                .term(length("f", "room for forms", FORM_ROOM).published(STATED))
                .result(length("b", "width of the trench at its bottom", bottom)),
        );
        basis.steps.push(
            Step::new("V_n = L (b t_n + r t_n²)")
                .term(length("L", "length of footing along its middle", middle))
                .term(length("b", "width of the trench at its bottom", bottom))
                .term(length("t_n", "depth of the trench", trench))
                .terms(sides.ok())
                .result(result.clone()),
        );
        parts.push(result);
        bank += volume;
    }
    let (pad_volume, pad_terms) = pads_volume(sizes, pads, &mut basis);
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
    taken.add("pads", pad_volume);
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
        stripped_step: stripped_step.result(area("A_t", "area stripped", stripped)),
    }
}

/// A depth, nothing where it is less than a micrometre: sizes in feet and inches do not add up to the last digit.
fn above_nothing(depth: f64) -> f64 {
    if depth > 1e-6 { depth } else { 0.0 }
}

fn below_piers(sizes: &Sizes, plan: &SitePlan, pads: &[Pads], ground: &Ground, run: f64) -> Dig {
    let depth = (sizes.footing_depth.value - ground.topsoil.value).max(0.0);
    let mut basis = geometry("prismoidal rule for the pit of each pier");
    basis.steps.extend(sizes.depth_step.clone());
    basis.steps.push(
        Step::new("D = D_f - τ").term(sizes.footing_depth.term()).term(ground.topsoil.term()).result(length(
            "D",
            "depth of a pit below the topsoil",
            depth,
        )),
    );
    let (mut bank, mut terms, mut taken) = (0.0, Vec::new(), Taken::default());
    for group in pads {
        let bottom = group.side + 2.0 * FORM_ROOM;
        let at = |distance: f64| (bottom + 2.0 * distance).powi(2);
        let areas = [at(0.0), at(run * depth / 2.0), at(run * depth)];
        let pit = prismoidal(depth, areas[0], areas[1], areas[2]);
        let single = group.count * pit;
        let trench = group.lines.0 * pit + group.lines.1 * (bottom * depth + run * depth * depth);
        let volume = single.min(trench);
        basis.steps.extend(group.steps.clone());
        basis.steps.push(
            Step::new("V_1 = D/6 (b² + 4 (b + r D)² + (b + 2 r D)²), b = a + 2 f")
                .term(length("D", "depth of a pit below the topsoil", depth))
                .term(group.side_term())
                .term(length("f", "room for forms", FORM_ROOM).published(STATED))
                .terms(ground.run.as_ref().ok().map(|run| run.1.clone()))
                .result(earth("V_1", "one pit", pit)),
        );
        let result = earth("V", format!("pits, {}", group.what), volume);
        let (lines, length_of) = (group.lines.0, length("L", "length of the bearing lines", group.lines.1));
        let step = if trench < single {
            // Pits that run into one another are one trench with the ends of a pit.
            Step::new("V = m V_1 + L (b D + r D²)")
                .term(plain("m", "bearing lines", lines, 0))
                .term(earth("V_1", "one pit", pit))
                .term(length_of)
                .term(length("b", "width of a pit at its bottom", bottom))
        } else {
            Step::new("V = n V_1").term(group.count_term()).term(earth("V_1", "one pit", pit))
        };
        basis.steps.push(step.result(result.clone()));
        terms.push(result);
        bank += volume;
        let thickness = sizes.footing_thickness.value;
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
        stripped_step: Step::new("A_t = A").term(plan.area.clone()).result(area(
            "A_t",
            "area stripped",
            plan.outline.area,
        )),
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

fn pads_volume(sizes: &Sizes, pads: &[Pads], basis: &mut Basis) -> (f64, Vec<Term>) {
    let (mut total, mut terms) = (0.0, Vec::new());
    for group in pads {
        let volume = group.count * group.side * group.side * sizes.footing_thickness.value;
        let result = earth("V", format!("cut for pads, {}", group.what), volume);
        basis.steps.extend(group.steps.clone());
        basis.steps.push(
            Step::new("V = n a² t_f")
                .term(group.count_term())
                .term(group.side_term())
                .term(sizes.footing_thickness.term())
                .result(result.clone()),
        );
        total += volume;
        terms.push(result);
    }
    (total, terms)
}

/// Whether the boxes stand over a space that is dug out.
pub fn is_sunk(sizes: &Sizes) -> bool {
    matches!(sizes.kind, FoundationKind::Basement | FoundationKind::CrawlSpace) && sizes.floor_depth.value > 0.0
}

/// Terms that are there only when they are known.
trait Terms {
    fn terms(self, term: Option<Term>) -> Self;
}

impl Terms for Step {
    fn terms(self, term: Option<Term>) -> Step {
        match term {
            Some(term) => self.term(term),
            None => self,
        }
    }
}
