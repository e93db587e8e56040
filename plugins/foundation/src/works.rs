//! All works of one part of the home, or of one alternative: earth, gravel, concrete, and what else is priced.

use crate::bearing::Loads;
use crate::concrete::concrete;
use crate::earth::{earthwork, is_sunk};
use crate::entry::Entries;
use crate::facts;
use crate::ground::Ground;
use crate::lack::Lack;
use crate::site_plan::{Pads, SitePlan, pads};
use crate::sizes::{INCH, Size, Sizes, Stand};
use crate::soil;
use crate::terms::{area, earth, geometry, own, plain, practice, sum};
use crate::volume::truckloads;
use mateline_model::home::{FoundationKind, Home};
use mateline_model::quantity::Quantity;
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::Findings;

/// Every quantity of the works.
pub const QUANTITIES: [&QuantityDef; 18] = [
    &facts::SIDE_SLOPE,
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
    &facts::GRAVEL,
    &facts::CONCRETE_FOOTING,
    &facts::CONCRETE_WALL,
    &facts::CONCRETE_SLAB,
    &facts::CONCRETE_TOTAL,
    &facts::FORMWORK,
    &facts::REINFORCEMENT,
];

/// Those of which a home of several parts has the sum; truckloads and slopes do not add up.
pub const SUMS: [&QuantityDef; 16] = [
    &facts::EXCAVATION_BANK,
    &facts::EXCAVATION_LOOSE,
    &facts::EXCAVATION_COMPACTED,
    &facts::TOPSOIL_BANK,
    &facts::TOPSOIL_LOOSE,
    &facts::BACKFILL,
    &facts::HAUL_OFF_BANK,
    &facts::HAUL_OFF_LOOSE,
    &facts::IMPORT_BANK,
    &facts::GRAVEL,
    &facts::CONCRETE_FOOTING,
    &facts::CONCRETE_WALL,
    &facts::CONCRETE_SLAB,
    &facts::CONCRETE_TOTAL,
    &facts::FORMWORK,
    &facts::REINFORCEMENT,
];

/// The works of one part or alternative.
#[derive(Clone, Debug, PartialEq)]
pub struct Works {
    /// What the part measures.
    pub sizes: Sizes,
    /// Its plan.
    pub plan: SitePlan,
    /// Posts or piers.
    pub pads: Vec<Pads>,
    /// Whether a footing drain is counted.
    pub drained: bool,
    /// Every result.
    pub entries: Entries,
}

impl Works {
    /// The works of what a part of the home stands on.
    ///
    /// # Errors
    /// What is missing for all of them; a soil that is not named leaves only the earthwork missing.
    pub fn of(
        home: &Home,
        subject: &Subject,
        stand: &Stand<'_>,
        plan: SitePlan,
        loads: Option<&Loads>,
    ) -> Result<Works, Lack> {
        let sizes = Sizes::of(home, stand)?;
        let pads = pads(home, &sizes, &plan, loads)?;
        let drained = is_drained(home, &sizes, stand.lenient);
        let (drain, base, gravel_steps) = gravel(home, &sizes, &plan, drained);
        let mut entries = earthwork(home, subject, &sizes, &plan, &pads, drain);
        let terms = vec![earth("V", "below the slab", base), earth("V", "around the drain", drain)];
        let step = sum(earth("V", "gravel", base + drain), terms);
        let basis = gravel_steps.into_iter().fold(geometry("layer and section times length"), Basis::step);
        entries.add(facts::GRAVEL, base + drain, basis.step(step));
        entries.extend(concrete(home, subject, &sizes, &plan, &pads));
        Ok(Works { sizes, plan, pads, drained, entries })
    }

    /// A value of these works.
    ///
    /// # Errors
    /// Why there is none.
    pub fn value(&self, definition: &QuantityDef) -> Result<f64, Lack> {
        self.entries.value(definition)
    }

    /// Posts or piers, all together.
    pub fn posts(&self) -> f64 {
        self.pads.iter().map(|group| group.count).sum()
    }

    /// Floor area that people gain.
    pub fn gained(&self) -> f64 {
        if self.sizes.kind == FoundationKind::Basement { self.plan.inside(self.sizes.wall.value) } else { 0.0 }
    }
}

/// Whether a footing drain is counted: where one is drawn, and for an alternative that holds back earth that does not
/// drain on its own.
fn is_drained(home: &Home, sizes: &Sizes, alternative: bool) -> bool {
    let foundation = home.foundation.as_ref();
    let own = foundation.is_some_and(|foundation| foundation.kind == sizes.kind);
    let drawn = foundation.is_some_and(|foundation| foundation.drainage.is_some());
    let dry = home.site.soil.and_then(soil::row).is_some_and(|row| row.well_drained.value);
    is_sunk(sizes) && (drawn || alternative && !own && !dry)
}

/// Gravel around the drain and below the slab (m³), with their steps.
fn gravel(home: &Home, sizes: &Sizes, plan: &SitePlan, drained: bool) -> (f64, f64, Vec<Step>) {
    let inside = plan.inside(sizes.wall.value);
    let base = inside * sizes.base.value;
    let mut steps = Vec::new();
    if base > 0.0 {
        steps.push(plan.inside_step(sizes));
        steps.push(
            Step::new("V = A_i t_b")
                .term(area("A_i", "floor inside the walls", inside))
                .term(sizes.base.term())
                .result(earth("V", "below the slab", base)),
        );
    }
    if !drained {
        return (0.0, base, steps);
    }
    let given = home.foundation.as_ref().and_then(|foundation| foundation.drainage.as_ref());
    let beyond = Size::or_stated(
        "g_b",
        "gravel beyond the footing",
        given.and_then(|drainage| drainage.gravel_beyond_footing),
        "foundation.drainage.gravel_beyond_footing",
        12.0 * INCH,
    );
    let above = Size::or_stated(
        "g_a",
        "gravel above the footing",
        given.and_then(|drainage| drainage.gravel_above_footing),
        "foundation.drainage.gravel_above_footing",
        6.0 * INCH,
    );
    let volume = plan.outline.perimeter * beyond.value * (sizes.footing_thickness.value + above.value);
    steps.push(
        Step::new("V = P g_b (t_f + g_a)")
            .term(plan.perimeter.clone())
            .term(beyond.term())
            .term(sizes.footing_thickness.term())
            .term(above.term())
            .result(earth("V", "around the drain", volume)),
    );
    (volume, base, steps)
}

/// Floor area gained, with its calculation.
pub fn gained(works: &Works) -> (f64, Basis) {
    let value = works.gained();
    if works.sizes.kind != FoundationKind::Basement {
        let step = Step::new("A_g = 0").result(area("A_g", "floor area gained", 0.0));
        return (value, geometry("nobody lives below the boxes").step(step));
    }
    let step = Step::new("A_g = A_i").term(area("A_i", "floor inside the walls", value)).result(area(
        "A_g",
        "floor area gained",
        value,
    ));
    (value, geometry("floor inside the basement's walls").step(works.plan.inside_step(&works.sizes)).step(step))
}

/// Facts of the works: of the home where it has one part, otherwise of each part and their sums.
pub fn report(home: &Home, parts: Vec<(Subject, Result<Works, Lack>)>, findings: &mut Findings) {
    if parts.len() > 1 {
        let truck = Ground::of(home, 0.0).truck;
        report_sums(&parts, truck, findings);
    }
    for (subject, works) in parts {
        match works {
            Ok(works) => works.entries.write(&subject, "foundation", findings),
            Err(lack) => lack.write(&subject, &QUANTITIES, findings),
        }
    }
}

/// Sums over parts of different kinds, for the home as a whole.
fn report_sums(parts: &[(Subject, Result<Works, Lack>)], truck: (f64, Term), findings: &mut Findings) {
    let home = Subject::home();
    let mut entries = Entries::default();
    for definition in SUMS {
        let mut terms = Vec::new();
        let mut total = 0.0;
        let mut lack = None;
        for (subject, works) in parts {
            match works.as_ref().map_err(Clone::clone).and_then(|works| works.value(definition)) {
                Ok(value) => {
                    total += value;
                    let quantity = Quantity::new(value, definition.dimension());
                    let term = Term::new("x", subject.id(), quantity, definition.units.clone());
                    terms.push(term.fact(subject, definition.name.clone()));
                }
                Err(found) => {
                    lack.get_or_insert(found);
                }
            }
        }
        if let Some(lack) = lack {
            entries.lack(&[definition], &lack);
            continue;
        }
        let quantity = Quantity::new(total, definition.dimension());
        let result = Term::new("x", definition.label(), quantity, definition.units.clone());
        let basis = geometry("sum over the parts of the foundation")
            .step(sum(result, terms))
            .assuming("each part is dug by itself; where holes meet, the earth between them is counted twice");
        entries.add(definition.clone(), total, basis);
    }
    match entries.value(&facts::HAUL_OFF_LOOSE) {
        Ok(hauled) => {
            let loads = truckloads(hauled, truck.0);
            let step = Step::new("n = ⌈V_l/V_t⌉")
                .term(own(earth("V_l", "to haul away, loose", hauled), &home, &facts::HAUL_OFF_LOOSE))
                .term(truck.1)
                .result(plain("n", "truckloads", loads, 0));
            entries.add(facts::TRUCKLOADS, loads, practice("loose volume over what a truck carries").step(step));
        }
        Err(lack) => entries.lack(&[&facts::TRUCKLOADS], &lack),
    }
    entries.write(&home, "foundation", findings);
}
