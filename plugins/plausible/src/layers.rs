//! The thickest layers of each assembly.

use crate::facts;
use mateline_model::home::{Assembly, Home, MaterialKind};
use mateline_model::quantity::{Length, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::Findings;

/// What is looked at: kinds of material that are thick or thin alike.
const GROUPS: [(&QuantityDef, &[MaterialKind]); 3] = [
    (&facts::THICKEST_FOAM, &[MaterialKind::FoamInsulation]),
    (&facts::THICKEST_FIBRE, &[MaterialKind::FibreInsulation]),
    (&facts::THICKEST_BOARD, &[MaterialKind::Board, MaterialKind::Cladding, MaterialKind::Finish]),
];

/// Finds the thickest layer of each group, in every assembly. Fillings of frames are as deep as their members.
pub(crate) fn report(home: &Home, findings: &mut Findings) {
    for (id, assembly) in &home.assemblies {
        let subject = Subject::element("assemblies", id);
        for (definition, kinds) in GROUPS {
            let (thickest, path) = thickest(home, assembly, kinds, &subject);
            let d = Term::new("d", "greatest thickness", thickest, Units::THICKNESS).given(path.clone());
            let basis =
                Basis::new("the thickest layer", "the home").step(Step::procedure("the greatest is taken").term(d));
            findings.fact_at(&subject, definition, thickest, basis, Pointer::new(path));
        }
    }
}

/// The greatest thickness of these kinds, and where it stands.
fn thickest(home: &Home, assembly: &Assembly, kinds: &[MaterialKind], subject: &Subject) -> (Length, String) {
    let mut greatest = (Length::from_si(0.0), format!("{subject}.layers"));
    for (index, layer) in assembly.layers.iter().enumerate() {
        let kind = layer.material.as_ref().and_then(|name| home.materials.get(&**name)).and_then(|found| found.kind);
        let Some(thickness) = layer.thickness.filter(|_| kind.is_some_and(|kind| kinds.contains(&kind))) else {
            continue;
        };
        if thickness.si() > greatest.0.si() {
            greatest = (thickness, format!("{subject}.layers.{index}.thickness"));
        }
    }
    greatest
}
