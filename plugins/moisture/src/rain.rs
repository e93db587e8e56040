//! The layer that keeps out what rain comes in behind a cladding.

use crate::facts;
use mateline_model::home::{Assembly, AssemblyKind, Role};
use mateline_model::quantity::Units;
use mateline_model::{Basis, Pointer, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

/// The outermost layer of a frame wall that the home gives this role; missing where it gives it to none.
pub(crate) fn report(subject: &Subject, assembly: &Assembly, findings: &mut Findings) {
    if assembly.kind != AssemblyKind::Wall {
        return;
    }
    let has_role = |role: &Role| *role == Role::WaterBarrier;
    let Some(place) = assembly.layers.iter().rposition(|layer| layer.role.iter().any(has_role)) else {
        let because = format!("no layer of {subject} has the role water-barrier");
        return Lack::at(because, subject.as_str()).write(subject, &[&facts::WATER_BARRIER], findings);
    };
    let path = format!("{subject}.layers.{place}");
    let name = assembly.layers.get(place).and_then(|layer| layer.material.as_ref());
    let word = name.map_or_else(|| "framing".to_owned(), ToString::to_string);
    let term = Term::new("layer", "with the role water-barrier", Value::Text(word.clone()), Units::COUNT);
    let step = Step::procedure("layer").term(term.given(format!("{path}.role")));
    let basis = Basis::new("as given", "the home file").step(step);
    findings.fact_at(subject, &facts::WATER_BARRIER, Value::Text(word), basis, Pointer::new(path));
}
