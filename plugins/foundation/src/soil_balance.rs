//! The balance of soil: from what is dug to loose, compacted, filled and hauled volumes.

use crate::entry::Entries;
use crate::facts;
use crate::ground::Ground;
use crate::terms::{area, earth, geometry, own, plain, practice};
use crate::volume::{bank_to_fill, loose, truckloads};
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
    let (bank, taken) = (dig.bank, dig.taken);
    entries.add(facts::EXCAVATION_BANK, bank, dig.bank_basis);
    let bank_term = || own(earth("V", "excavation in the ground", bank), subject, &facts::EXCAVATION_BANK);

    let topsoil = dig.stripped * ground.topsoil.value;
    let step = Step::new("V_t = A_t τ")
        .term(area("A_t", "area stripped", dig.stripped))
        .term(ground.topsoil.term())
        .result(earth("V_t", "topsoil in the ground", topsoil));
    let kept = "topsoil stays on the site and is spread again";
    entries.add(
        facts::TOPSOIL_BANK,
        topsoil,
        geometry("stripped over the hole at its top").step(dig.stripped_step).step(step).assuming(kept),
    );
    let (growth, growth_term) = &ground.topsoil_swell;
    let value = loose(topsoil, *growth);
    let step = Step::new("V_l = V_t (1 + s_t)")
        .term(own(earth("V_t", "topsoil in the ground", topsoil), subject, &facts::TOPSOIL_BANK))
        .term(growth_term.clone())
        .result(earth("V_l", "topsoil loose", value));
    entries.add(facts::TOPSOIL_LOOSE, value, swelling().step(step).assuming(kept));

    let void = (bank - taken).max(0.0);
    let basis = dig.taken_steps.into_iter().fold(geometry("what is dug less what stands in it"), Basis::step).step(
        Step::new("V_c = V - V_x")
            .term(bank_term())
            .term(earth("V_x", "taken up by the building", taken))
            .result(earth("V_c", "backfill, compacted", void)),
    );
    entries.add(facts::BACKFILL, void, basis.assuming("ground is made up to the underside of the topsoil"));

    match &ground.swell {
        Ok((swell, term)) => {
            let value = loose(bank, *swell);
            let step = Step::new("V_l = V (1 + s)").term(bank_term()).term(term.clone()).result(earth(
                "V_l",
                "excavation, loose",
                value,
            ));
            entries.add(facts::EXCAVATION_LOOSE, value, swelling().step(step));
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
    let value = bank * compacted;
    let step = Step::new("V_k = V c").term(bank_term()).term(compacted_term.clone()).result(earth(
        "V_k",
        "excavated soil, compacted",
        value,
    ));
    entries.add(facts::EXCAVATION_COMPACTED, value, swelling().step(step));

    let needed = bank_to_fill(void, *compacted);
    let filling = Step::new("V_n = V_c/c")
        .term(own(earth("V_c", "backfill, compacted", void), subject, &facts::BACKFILL))
        .term(compacted_term.clone())
        .result(earth("V_n", "soil for the backfill, as in the ground", needed));
    for (definition, equation, what, value) in [
        (facts::HAUL_OFF_BANK, "V_h = max(V - V_n, 0)", "soil left over, as in the ground", (bank - needed).max(0.0)),
        (facts::IMPORT_BANK, "V_i = max(V_n - V, 0)", "soil to bring, as in the ground", (needed - bank).max(0.0)),
    ] {
        let symbol = if definition == facts::IMPORT_BANK { "V_i" } else { "V_h" };
        let step = Step::new(equation)
            .term(bank_term())
            .term(earth("V_n", "soil for the backfill, as in the ground", needed))
            .result(earth(symbol, what, value));
        let basis = swelling().step(filling.clone()).step(step).assuming("the excavated soil is fit for backfill");
        entries.add(definition, value, basis);
    }
    let left = (bank - needed).max(0.0);
    let (swell, swell_term) = match &ground.swell {
        Ok(found) => found,
        Err(lack) => return entries.lack(&[&facts::HAUL_OFF_LOOSE, &facts::TRUCKLOADS], lack),
    };
    let hauled = loose(left, *swell);
    let step = Step::new("V_l = V_h (1 + s)")
        .term(own(earth("V_h", "soil left over, as in the ground", left), subject, &facts::HAUL_OFF_BANK))
        .term(swell_term.clone())
        .result(earth("V_l", "to haul away, loose", hauled));
    entries.add(facts::HAUL_OFF_LOOSE, hauled, swelling().step(step));
    let loads = truckloads(hauled, ground.truck.0);
    let step = Step::new("n = ⌈V_l/V_t⌉")
        .term(own(earth("V_l", "to haul away, loose", hauled), subject, &facts::HAUL_OFF_LOOSE))
        .term(ground.truck.1.clone())
        .result(plain("n", "truckloads", loads, 0));
    entries.add(facts::TRUCKLOADS, loads, practice("loose volume over what a truck carries").step(step));
}

fn swelling() -> Basis {
    Basis::new("swell and shrinkage of soil", "soil table").provenance("each value with its own mark")
}
