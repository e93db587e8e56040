//! The insulation a junction needs, as a fact and as a note at the layer.

use crate::facts;
use crate::thicker::Needed;
use mateline_model::quantity::{Length, Quantity, Ratio, UnitSystem, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::Findings;

const METHOD: &str = "the section drawn and solved again with a thicker layer, until the factor is reached";

/// Writes the thickness, or why there is none.
pub(crate) fn write(subject: &Subject, needed: &Needed, findings: &mut Findings) {
    let thicker = match &needed.found {
        Ok(thicker) => thicker,
        Err(lack) => {
            findings.missing(subject, &facts::INSULATION_NEEDED, lack.because.clone(), lack.at.clone());
            return;
        }
    };
    let factor = |symbol: &'static str, meaning: String, value: f64| {
        Term::new(symbol, meaning, Ratio::from_si(value), Units::plain(3))
    };
    let length =
        |symbol: &'static str, meaning: String, value: Length| Term::new(symbol, meaning, value, Units::THICKNESS);
    let step = Step::procedure("fRsi(d) = f")
        .term(factor("f", format!("asked for by {}", needed.pack), needed.factor))
        .term(
            length("d0", format!("{} now", thicker.material), thicker.now)
                .given(format!("{}.thickness", thicker.place)),
        )
        .term(factor("fRsi", "with the thickness found".to_owned(), thicker.reached))
        .result(length("d", format!("{} needed", thicker.material), thicker.needed));
    let basis = Basis::new(METHOD, "ISO 10211:2017 and ISO 13788:2012")
        .provenance("method from memory, checked against cases 1 and 2 of annex C of ISO 10211")
        .step(step)
        .assuming("all else stays as it is; found to a millimetre, on the thicker side");
    findings.fact_at(subject, &facts::INSULATION_NEEDED, thicker.needed, basis, Pointer::new(thicker.place.clone()));
}

/// The layer, with what it needs.
pub(crate) fn place(needed: Option<&Needed>, system: UnitSystem) -> Option<Pointer> {
    let needed = needed?;
    let thicker = needed.found.as_ref().ok()?;
    let shown = |length: Length| Units::THICKNESS.show(Quantity::from(length), system);
    let note = format!(
        "with {} instead of {} the surface factor reaches {:.3}",
        shown(thicker.needed),
        shown(thicker.now),
        thicker.reached
    );
    Some(Pointer::noted(thicker.place.clone(), note))
}
