//! The balance of soil: from what is dug to loose, compacted, filled and hauled volumes.

use crate::entry::Entries;
use crate::facts;
use crate::ground::Ground;
use crate::terms::{geometry, practice};
use crate::volume::{Backfill, Compacted, LeftOver, Loose, ToBring, ToFill, Topsoil, Truckloads};
use mateline_model::quantity::{Area, Volume};
use mateline_model::{Basis, Step, Subject};

/// What is dug and what stands in the hole (m³).
#[derive(Clone, Debug, PartialEq)]
pub struct Dig {
    /// Volume in the ground, topsoil apart.
    pub bank: f64,
    /// Volume below the topsoil that walls, floor, footings and gravel take up.
    pub taken: f64,
    /// Plan of what is stripped of topsoil (m²).
    pub stripped: f64,
    /// How the volume in the ground comes about.
    pub bank_basis: Basis,
    /// How the volume taken up comes about.
    pub taken_steps: Vec<Step>,
    /// How the area stripped comes about.
    pub stripped_step: Step,
}

/// From what is dug to loose, compacted, filled and hauled volumes.
pub fn balance(subject: &Subject, ground: &Ground, dig: Dig, entries: &mut Entries) {
    let (bank, taken) = (Volume::from_si(dig.bank), Volume::from_si(dig.taken));
    entries.add(facts::EXCAVATION_BANK, bank.si(), dig.bank_basis);
    let dug = || facts::EXCAVATION_BANK.name.clone();

    let (topsoil, step) = Topsoil { A_t: Area::from_si(dig.stripped), τ: ground.topsoil.length() }.step();
    let kept = "topsoil stays on the site and is spread again";
    let basis = geometry("stripped over the hole at its top").step(dig.stripped_step);
    entries.add(facts::TOPSOIL_BANK, topsoil.si(), basis.step(step.with(ground.topsoil.term())).assuming(kept));
    let (growth, growth_term) = &ground.topsoil_swell;
    let (value, step) = Loose { V: topsoil, s: *growth }.step();
    let step = step
        .fact(Loose::V, subject, facts::TOPSOIL_BANK.name.clone())
        .meaning(Loose::V, "topsoil in the ground")
        .meaning(Loose::V_l, "topsoil loose")
        .named(Loose::V, "V_t")
        .named(Loose::s, "s_t")
        .with(growth_term.clone());
    entries.add(facts::TOPSOIL_LOOSE, value.si(), swelling().step(step).assuming(kept));

    let (void, step) = Backfill { V: bank, V_x: taken }.step();
    let basis = dig.taken_steps.into_iter().fold(geometry("what is dug less what stands in it"), Basis::step);
    let basis = basis.step(step.fact(Backfill::V, subject, dug()));
    entries.add(facts::BACKFILL, void.si(), basis.assuming("ground is made up to the underside of the topsoil"));

    match &ground.swell {
        Ok((swell, term)) => {
            let (value, step) = Loose { V: bank, s: *swell }.step();
            let step = step
                .meaning(Loose::V_l, "excavation, loose")
                .meaning(Loose::V, "excavation in the ground")
                .fact(Loose::V, subject, dug())
                .with(term.clone());
            entries.add(facts::EXCAVATION_LOOSE, value.si(), swelling().step(step));
        }
        Err(lack) => entries.lack(&[&facts::EXCAVATION_LOOSE], lack),
    }
    let (compacted, compacted_term) = match &ground.compacted {
        Ok(found) => found,
        Err(lack) => {
            entries.lack(&[&facts::EXCAVATION_COMPACTED], lack);
            let owed = [&facts::HAUL_OFF_BANK, &facts::HAUL_OFF_LOOSE, &facts::IMPORT_BANK, &facts::TRUCKLOADS];
            entries.lack(&owed, lack);
            return;
        }
    };
    let (value, step) = Compacted { V: bank, c: *compacted }.step();
    let step = step.fact(Compacted::V, subject, dug()).with(compacted_term.clone());
    entries.add(facts::EXCAVATION_COMPACTED, value.si(), swelling().step(step));

    let (needed, filling) = ToFill { V_c: void, c: *compacted }.step();
    let filling = filling.fact(ToFill::V_c, subject, facts::BACKFILL.name.clone()).with(compacted_term.clone());
    let (left, left_step) = LeftOver { V: bank, V_n: needed }.step();
    let (bring, bring_step) = ToBring { V_n: needed, V: bank }.step();
    for (definition, value, step) in [(facts::HAUL_OFF_BANK, left, left_step), (facts::IMPORT_BANK, bring, bring_step)]
    {
        let basis = swelling().step(filling.clone()).step(step.fact(LeftOver::V, subject, dug()));
        entries.add(definition, value.si(), basis.assuming("the excavated soil is fit for backfill"));
    }
    let (swell, swell_term) = match &ground.swell {
        Ok(found) => found,
        Err(lack) => return entries.lack(&[&facts::HAUL_OFF_LOOSE, &facts::TRUCKLOADS], lack),
    };
    let (hauled, step) = Loose { V: left, s: *swell }.step();
    let step = step
        .fact(Loose::V, subject, facts::HAUL_OFF_BANK.name.clone())
        .meaning(Loose::V, "soil left over, as in the ground")
        .meaning(Loose::V_l, "to haul away, loose")
        .with(swell_term.clone())
        .named(Loose::V, "V_h");
    entries.add(facts::HAUL_OFF_LOOSE, hauled.si(), swelling().step(step));
    trucks(subject, hauled, ground, entries);
}

/// Trucks for what is hauled away.
pub fn trucks(subject: &Subject, hauled: Volume, ground: &Ground, entries: &mut Entries) {
    let (truck, term) = &ground.truck;
    let (loads, step) = Truckloads { V_l: hauled, V_t: Volume::from_si(*truck) }.step();
    let step = step.fact(Truckloads::V_l, subject, facts::HAUL_OFF_LOOSE.name.clone()).with(term.clone());
    // No load of nothing is less than none.
    entries.add(facts::TRUCKLOADS, loads.abs(), practice("loose volume over what a truck carries").step(step));
}

fn swelling() -> Basis {
    Basis::new("swell and shrinkage of soil", "soil table").provenance("each value with its own mark")
}
