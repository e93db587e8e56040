//! All works of one part of the home, or of one alternative: earth, gravel, concrete, and what else is priced.

use crate::bearing::Loads;
use crate::concrete::concrete;
use crate::earth::{earthwork, is_sunk};
use crate::entry::Entries;
use crate::facts::{self, EARTH};
use crate::ground::Ground;
use crate::site_plan::{Pads, SitePlan, pads};
use crate::sizes::{INCH, Size, Sizes, Stand};
use crate::soil;
use crate::soil_balance::trucks;
use crate::terms::{area, earth, geometry, sum};
use mateline_equation::equation;
use mateline_model::home::{FoundationKind, Home};
use mateline_model::quantity::{Area, Length, Quantity, Units, Volume};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack};

equation! {
    /// Gravel below a slab. Source: geometry.
    pub(crate) GravelBelow = "V = A_i t_b" {
        V: Volume "below the slab" [EARTH],
        A_i: Area "floor inside the walls" [Units::AREA],
        t_b: Length "gravel below the slab" [Units::LENGTH],
    }

    /// Gravel around a drain. Source: geometry.
    pub(crate) GravelAround = "V = P g_b (t_f + g_a)" {
        V: Volume "around the drain" [EARTH],
        P: Length "length of the outline" [Units::LENGTH],
        g_b: Length "gravel beyond the footing" [Units::LENGTH],
        t_f: Length "thickness of the footing" [Units::LENGTH],
        g_a: Length "gravel above the footing" [Units::LENGTH],
    }

    /// Floor area gained by a basement. Source: geometry.
    pub(crate) Gained = "A_g = A_i" {
        A_g: Area "floor area gained" [Units::AREA],
        A_i: Area "floor inside the walls" [Units::AREA],
    }
}

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
    let (base, step) = GravelBelow { A_i: Area::from_si(inside), t_b: sizes.base.length() }.step();
    let base = base.si();
    let mut steps = Vec::new();
    if base > 0.0 {
        steps.push(plan.inside_step(sizes));
        steps.push(step.with(sizes.base.term()));
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
    let around = GravelAround {
        P: Length::from_si(plan.outline.perimeter),
        g_b: beyond.length(),
        t_f: sizes.footing_thickness.length(),
        g_a: above.length(),
    };
    let (volume, step) = around.step();
    let step = step.with(plan.perimeter.clone()).with(beyond.term());
    steps.push(step.with(sizes.footing_thickness.term()).with(above.term()));
    (volume.si(), base, steps)
}

/// Floor area gained, with its calculation.
pub fn gained(works: &Works) -> (f64, Basis) {
    let value = works.gained();
    if works.sizes.kind != FoundationKind::Basement {
        let step = Step::new("A_g = 0").result(area("A_g", "floor area gained", 0.0));
        return (value, geometry("nobody lives below the boxes").step(step));
    }
    let step = Gained { A_i: Area::from_si(value) }.step().1;
    (value, geometry("floor inside the basement's walls").step(works.plan.inside_step(&works.sizes)).step(step))
}

/// Facts of the works: of the home where it has one part, otherwise of each part and their sums.
pub fn report(home: &Home, parts: Vec<(Subject, Result<Works, Lack>)>, findings: &mut Findings) {
    if parts.len() > 1 {
        report_sums(&parts, &Ground::of(home, 0.0), findings);
    }
    for (subject, works) in parts {
        match works {
            Ok(works) => works.entries.write(&subject, "foundation", findings),
            Err(lack) => lack.write(&subject, &QUANTITIES, findings),
        }
    }
}

/// Sums over parts of different kinds, for the home as a whole.
fn report_sums(parts: &[(Subject, Result<Works, Lack>)], ground: &Ground, findings: &mut Findings) {
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
            trucks(&home, Volume::from_si(hauled), ground, &mut entries);
        }
        Err(lack) => entries.lack(&[&facts::TRUCKLOADS], &lack),
    }
    entries.write(&home, "foundation", findings);
}
