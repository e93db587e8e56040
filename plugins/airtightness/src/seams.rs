//! Mate lines in the budget: length that crosses the air barrier, times the leakage of the seal.

use crate::facts;
use crate::item::{Action, Item, Kind, Part, Place, known};
use mateline_model::home::{Home, Id, Party, Seam, SeamSeal};
use mateline_model::quantity::Units;
use mateline_model::{Pointer, Subject, Term};
use mateline_sdk::{Lack, Request};

/// The seams that the take-off found.
pub(crate) fn found(request: &Request<'_>) -> Vec<Subject> {
    let is_seam = |subject: &&Subject| request.text(subject, "takeoff.seam_kind").is_some();
    request.subjects("seams").filter(is_seam).cloned().collect()
}

/// One mate line.
pub(crate) fn item(request: &Request<'_>, subject: &Subject) -> Result<Item, Lack> {
    let length = known(request, subject, "takeoff.seam_length", "L", "length of the seam", Units::LENGTH)?;
    let (entry, seam) = request
        .home
        .seam(subject.id())
        .ok_or_else(|| Lack::at(format!("nothing says how {subject} is sealed"), "seams"))?;
    let path = format!("seams.{entry}");
    let along = |component: &str| Part::of(component, vec![length.clone()]);
    let mut assumptions = Vec::new();
    let (part, action) = if let Some(leakage) = seam.leakage {
        let each = Term::new("a", "leakage area of a metre", leakage, facts::SMALL_AREA);
        (Part::given("measured", each.given(format!("{path}.leakage")), vec![length.clone()])?, None)
    } else if is_double(seam) {
        (along("seam-two-seals")?, None)
    } else if seam.sealed_by.is_empty() {
        return Err(Lack::at(format!("{path} has no sealed_by"), path));
    } else {
        let what = "add a second seal behind the first, such as tape over the gasket".to_owned();
        (along("seam-one-seal")?, Some(Action { what, parts: vec![along("seam-two-seals")?] }))
    };
    let party = seam.by.unwrap_or_else(|| {
        let party = if seam.sealed_by.iter().all(|seal| *seal == SeamSeal::FactoryGasket) && !seam.sealed_by.is_empty()
        {
            Party::Factory
        } else {
            Party::Site
        };
        let who = if party == Party::Factory { "factory" } else { "site" };
        assumptions.push(format!("{path} does not say who closes it; by its seals, the {who}"));
        party
    });
    let boxes = pair(request.home, subject.id()).map(|(a, b)| vec![a, b]).unwrap_or_default();
    Ok(Item {
        subject: subject.clone(),
        name: format!("seam {}", subject.id()),
        kind: Kind::Seam,
        party,
        place: if boxes.is_empty() { Place::Envelope } else { Place::Boxes(boxes) },
        trade: None,
        parts: vec![part],
        open: Some(vec![along("seam-unsealed")?]),
        action,
        assumptions,
        at: Some(Pointer::new(path)),
    })
}

/// Whether two seals of different kinds close it.
fn is_double(seam: &Seam) -> bool {
    let mut seals = seam.sealed_by.iter();
    seals.next().is_some_and(|first| seals.any(|other| other != first))
}

/// The two boxes a seam is named after.
pub(crate) fn pair(home: &Home, id: &str) -> Option<(Id, Id)> {
    id.match_indices('-').find_map(|(at, _)| {
        let (first, _) = home.modules.get_key_value(id.get(..at)?)?;
        let (second, _) = home.modules.get_key_value(id.get(at + 1..)?)?;
        Some((first.clone(), second.clone()))
    })
}
