//! The share of framing that layers state, beside what their members take at their spacing.

use crate::facts;
use mateline_model::home::{Assembly, Home};
use mateline_model::quantity::{Quantity, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::Findings;

/// A share that a layer states.
struct Stated {
    /// By that of the members standing alone.
    share: f64,
    terms: Vec<Term>,
    path: String,
}

/// The least of each assembly's layers.
pub(crate) fn report(home: &Home, findings: &mut Findings) {
    for (id, assembly) in &home.assemblies {
        let subject = Subject::element("assemblies", id);
        let least = least(assembly, &subject).unwrap_or_else(|| Stated {
            share: 1.0,
            terms: vec![Term::new("s", "no layer states a share", Quantity::plain(1.0), Units::plain(2))],
            path: format!("{subject}.layers"),
        });
        let step = least.terms.into_iter().fold(Step::procedure("the least of f a/t is taken"), Step::term);
        let basis = Basis::new("share of framing by that of the members alone", "geometry").step(step);
        findings.fact_at(
            &subject,
            &facts::LEAST_FRAMING,
            Quantity::plain(least.share),
            basis,
            Pointer::new(least.path),
        );
    }
}

fn least(assembly: &Assembly, subject: &Subject) -> Option<Stated> {
    let stated = assembly.layers.iter().enumerate().filter_map(|(index, layer)| {
        let framing = layer.framed.as_ref()?;
        let (fraction, spacing, thickness) = (framing.fraction?, framing.spacing, framing.size.thickness);
        let path = |field: &str| format!("{subject}.layers.{index}.framed.{field}");
        let terms = vec![
            Term::new("f", "share of framing", fraction, Units::PERCENT).given(path("fraction")),
            Term::new("a", "distance of the members", spacing, Units::THICKNESS).given(path("spacing")),
            Term::new("t", "thickness of a member", thickness, Units::THICKNESS).given(path("size")),
        ];
        let share = fraction.si() * spacing.si() / thickness.si();
        share.is_finite().then(|| Stated { share, terms, path: path("fraction") })
    });
    stated.min_by(|one, other| one.share.total_cmp(&other.share))
}
