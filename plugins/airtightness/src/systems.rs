//! Exhausts that the systems name and no penetration lists.

use crate::item::{Action, Item, Kind, Part, Place};
use mateline_model::home::{DryerKind, Home, Party, PenetrationKind, VentilationKind};
use mateline_model::quantity::{Quantity, Units};
use mateline_model::{Pointer, Subject, Term};
use mateline_sdk::Lack;

/// An exhaust that a system needs.
struct Exhaust {
    id: String,
    path: String,
    component: &'static str,
}

/// Every exhaust that is missing from the list of holes.
pub(crate) fn items(home: &Home) -> Vec<Result<Item, (Subject, Lack)>> {
    let listed = |kind| -> u32 {
        home.penetrations.values().filter(|hole| hole.kind == kind).fold(0, |sum, hole| sum.saturating_add(hole.count))
    };
    let mut unlisted = Vec::new();
    let wanted = exhausts(home);
    let count = listed(PenetrationKind::ExhaustDamper) as usize;
    let note = format!("the systems name {} exhausts and penetrations list {count}", wanted.len());
    unlisted.extend(wanted.into_iter().skip(count).map(|exhaust| (exhaust, note.clone())));
    if home.systems.clothes_dryer.as_ref().is_some_and(|dryer| dryer.kind == DryerKind::Vented)
        && listed(PenetrationKind::DryerVent) == 0
    {
        let path = "systems.clothes_dryer".to_owned();
        let exhaust = Exhaust { id: "dryer-vent".to_owned(), path, component: "dryer-damper" };
        unlisted.push((exhaust, "the dryer is vented and no penetration lists its vent".to_owned()));
    }
    unlisted
        .into_iter()
        .map(|(exhaust, note)| {
            let subject = Subject::element("leaks", &exhaust.id);
            item(exhaust, note).map_err(|lack| (subject, lack))
        })
        .collect()
}

/// What the facts of those exhausts are about.
pub(crate) fn subjects(home: &Home) -> Vec<Subject> {
    items(home).into_iter().map(|item| item.map_or_else(|(subject, _)| subject, |item| item.subject)).collect()
}

/// Exhausts with a damper: fans first, then the hood and its make-up air.
fn exhausts(home: &Home) -> Vec<Exhaust> {
    let mut all = Vec::new();
    for (id, _) in home.systems.ventilation.iter().filter(|(_, unit)| unit.kind == VentilationKind::ExhaustFan) {
        let path = format!("systems.ventilation.{id}");
        all.push(Exhaust { id: format!("exhaust-{id}"), path, component: "damper-closed" });
    }
    if let Some(hood) = home.systems.kitchen_hood.as_ref().filter(|hood| hood.vented) {
        let path = || "systems.kitchen_hood".to_owned();
        all.push(Exhaust { id: "kitchen-hood".to_owned(), path: path(), component: "hood-damper" });
        if hood.make_up_air.is_some_and(|flow| flow.si() > 0.0) {
            all.push(Exhaust { id: "make-up-air".to_owned(), path: path(), component: "damper-closed" });
        }
    }
    all
}

fn item(exhaust: Exhaust, note: String) -> Result<Item, Lack> {
    let one = |component| {
        let number = Term::new("N", "count", Quantity::plain(1.0), Units::plain(0)).given(exhaust.path.clone());
        Part::of(component, vec![number])
    };
    let is_dryer = exhaust.component == "dryer-damper";
    let action = if is_dryer {
        Action { what: "choose a condensing dryer, which needs no vent".to_owned(), parts: Vec::new() }
    } else {
        let what = "fit a damper that closes against a gasket".to_owned();
        Action { what, parts: vec![one("damper-gasket")?] }
    };
    Ok(Item {
        subject: Subject::element("leaks", &exhaust.id),
        name: exhaust.id.replace('-', " "),
        kind: Kind::Penetration,
        party: Party::Factory,
        place: Place::Envelope,
        trade: None,
        parts: vec![one(exhaust.component)?],
        open: Some(vec![one(if is_dryer { "dryer-open" } else { "damper-open" })?]),
        action: Some(action),
        assumptions: vec![note, "taken as closed by the factory".to_owned()],
        at: Some(Pointer::new(exhaust.path)),
    })
}
