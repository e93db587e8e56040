//! What was found in the air: samples of compounds, and radon. The levels of a compound stand beside its sample.

use crate::compound;
use crate::facts;
use crate::levels::levels;
use mateline_model::home::{Home, Measurement, MeasurementKind};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

/// Facts of every air sample and radon test.
pub(crate) fn report(home: &Home, findings: &mut Findings) {
    for (id, test) in &home.measurements {
        let subject = Subject::element("measurements", id);
        match test.kind {
            MeasurementKind::AirSample => {
                as_given(&subject, &facts::MEASURED_CONCENTRATION, "concentration", test.concentration, findings);
                sampled(home, test, &subject, findings);
            }
            MeasurementKind::Radon => {
                as_given(&subject, &facts::MEASURED_RADON, "radon", test.radon, findings);
            }
            MeasurementKind::BlowerDoor | MeasurementKind::VentilationFlows => {}
        }
    }
}

/// The compound sampled, with its levels.
fn sampled(home: &Home, test: &Measurement, subject: &Subject, findings: &mut Findings) {
    let named = test.compound.as_ref().and_then(|name| compound::find(home, name).ok());
    as_given(subject, &facts::MEASURED_COMPOUND, "compound", named.as_ref().map(|named| word(&named.id)), findings);
    match named {
        Some(named) => levels(&named.compound, subject, findings),
        None => {
            let owed = [
                &facts::CHRONIC_REFERENCE_LEVEL,
                &facts::CHRONIC_LEVEL_SURE,
                &facts::CDPH_ALLOWABLE,
                &facts::CDPH_LEVEL_SURE,
            ];
            no(subject, "compound").write(subject, &owed, findings);
        }
    }
}

fn word(text: &str) -> Value {
    Value::Text(text.to_owned())
}

fn no(subject: &Subject, field: &str) -> Lack {
    Lack::at(format!("{subject} gives no {field}"), subject.as_str())
}

fn as_given(
    subject: &Subject,
    definition: &QuantityDef,
    field: &str,
    value: Option<impl Into<Value>>,
    findings: &mut Findings,
) {
    let Some(value) = value else { return no(subject, field).write(subject, &[definition], findings) };
    let (value, path): (Value, String) = (value.into(), format!("{subject}.{field}"));
    let term = Term::new("x", "as measured", value.clone(), definition.units.clone()).given(path.clone());
    let basis = Basis::new("as measured", "the home").step(Step::procedure("x").term(term));
    findings.fact_at(subject, definition, value, basis, Pointer::new(path));
}
