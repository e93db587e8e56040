//! Holes in the budget, by what goes through, how it is closed, how many there are and how large.

use crate::facts;
use crate::item::{Action, Item, Kind, Part, Place, count, q50};
use mateline_model::home::{Home, Id, OpeningKind, Party, Penetration, PenetrationKind, PenetrationSeal};
use mateline_model::quantity::{Length, Quantity, Units};
use mateline_model::{Pointer, Subject, Term};
use mateline_sdk::Lack;
use std::f64::consts::PI;

/// Diameter of the hole that the table's values are read for: 2 in (m).
const REFERENCE_DIAMETER: Length = Length::from_si(0.0508);

/// One entry of `penetrations`.
pub(crate) fn item(home: &Home, id: &Id, hole: &Penetration) -> Result<Item, Lack> {
    let path = format!("penetrations.{id}");
    let in_foundation = hole.module == "foundation";
    let mut item = Item {
        subject: Subject::element("penetrations", id),
        name: format!("penetration {id}"),
        kind: Kind::Penetration,
        party: hole.by.unwrap_or(if in_foundation { Party::Site } else { Party::Factory }),
        place: if in_foundation { Place::Foundation } else { Place::Boxes(vec![hole.module.clone()]) },
        trade: hole.trade,
        parts: Vec::new(),
        open: None,
        action: None,
        assumptions: Vec::new(),
        at: Some(Pointer::new(path.clone())),
    };
    if hole.kind == PenetrationKind::Hatch && home.openings.get(id).is_some_and(|one| one.kind == OpeningKind::Hatch) {
        item.assumptions.push(format!("the same hatch as openings.{id}, and counted there"));
        return Ok(item);
    }
    if hole.by.is_none() {
        let who = if in_foundation { "site" } else { "factory" };
        item.assumptions.push(format!("{path} does not say who closes it; taken as the {who}"));
    }
    let number = count(hole.count, format!("{path}.count"));
    let sized = Sized { size: size(&path, hole, &mut item.assumptions), number };
    item.open = Some(sized.open(hole.kind)?);
    if let Some(leakage) = hole.leakage {
        let each = Term::new("a", "leakage area of each", leakage, facts::SMALL_AREA).given(format!("{path}.leakage"));
        item.parts = vec![Part::given("measured", each, vec![sized.number])?];
        return Ok(item);
    }
    let seal = hole.seal.ok_or_else(|| Lack::at(format!("{path} has no seal"), path))?;
    item.parts = sized.closed(hole.kind, seal)?;
    item.action = best_action(hole, seal, &sized, q50(&item.parts).si())?;
    Ok(item)
}

/// Edge of a hole against the edge of the reference hole.
fn size(path: &str, hole: &Penetration, assumptions: &mut Vec<String>) -> Term {
    let ratio = |diameter: f64| Quantity::plain(diameter / REFERENCE_DIAMETER.si());
    let meaning = "edge of the hole over that of a 2 in hole";
    match (hole.diameter, hole.area) {
        (Some(diameter), _) => {
            Term::new("k", meaning, ratio(diameter.si()), Units::plain(2)).given(format!("{path}.diameter"))
        }
        (None, Some(area)) => {
            let round = (4.0 * area.si() / PI).sqrt();
            Term::new("k", meaning, ratio(round), Units::plain(2)).given(format!("{path}.area"))
        }
        (None, None) => {
            if is_scaled(hole.kind) {
                assumptions.push(format!("{path} gives no size; taken as 2 in across"));
            }
            Term::new("k", meaning, Quantity::plain(1.0), Units::plain(2))
        }
    }
}

/// Whether the table's value is for a hole of a certain size.
fn is_scaled(kind: PenetrationKind) -> bool {
    use PenetrationKind as K;
    matches!(kind, K::Pipe | K::Duct | K::Cable | K::Conduit | K::VentStack)
}

/// How many holes there are, and how large.
struct Sized {
    size: Term,
    number: Term,
}

impl Sized {
    fn scaled(&self, component: &str) -> Result<Part, Lack> {
        Part::of(component, vec![self.size.clone(), self.number.clone()])
    }

    fn each(&self, component: &str) -> Result<Part, Lack> {
        Part::of(component, vec![self.number.clone()])
    }

    /// Leakage once closed.
    fn closed(&self, kind: PenetrationKind, seal: PenetrationSeal) -> Result<Vec<Part>, Lack> {
        use PenetrationKind as K;
        use PenetrationSeal as S;
        let is_open = seal == S::None;
        let through = |component: &str| -> Result<Vec<Part>, Lack> {
            let mut parts = vec![self.each(component)?];
            if is_open {
                parts.push(self.scaled("hole-open")?);
            }
            Ok(parts)
        };
        match kind {
            K::Pipe | K::Duct | K::Cable | K::Conduit | K::VentStack => Ok(vec![self.scaled(match seal {
                S::None => "hole-open",
                S::Sealant | S::Foam => "hole-sealant",
                S::Grommet | S::Tape | S::Gasketed => "hole-gasket",
            })?]),
            K::Flue => Ok(vec![self.each(if is_open { "flue-open" } else { "flue-sealed" })?]),
            K::RecessedLight => Ok(vec![self.each(if is_open { "light-open" } else { "light-sealed" })?]),
            K::OutletBox => Ok(vec![self.each(if is_open { "outlet-open" } else { "outlet-sealed" })?]),
            K::Hatch => Ok(vec![self.each(if is_open { "hatch-open" } else { "hatch-sealed" })?]),
            K::ExhaustDamper => through(if seal == S::Gasketed { "damper-gasket" } else { "damper-closed" }),
            K::DryerVent => through("dryer-damper"),
        }
    }

    /// Leakage as long as nobody has closed it.
    fn open(&self, kind: PenetrationKind) -> Result<Vec<Part>, Lack> {
        use PenetrationKind as K;
        Ok(vec![match kind {
            K::Pipe | K::Duct | K::Cable | K::Conduit | K::VentStack => self.scaled("hole-open")?,
            K::Flue => self.each("flue-open")?,
            K::RecessedLight => self.each("light-open")?,
            K::OutletBox => self.each("outlet-open")?,
            K::Hatch => self.each("hatch-open")?,
            K::ExhaustDamper => self.each("damper-open")?,
            K::DryerVent => self.each("dryer-open")?,
        }])
    }
}

/// The action that saves most: a better seal, one hole instead of several, or no hole.
fn best_action(hole: &Penetration, seal: PenetrationSeal, sized: &Sized, now: f64) -> Result<Option<Action>, Lack> {
    use PenetrationKind as K;
    let mut actions = Vec::new();
    let mut add = |what: &str, parts: Vec<Part>| actions.push(Action { what: what.to_owned(), parts });
    match hole.kind {
        K::Pipe | K::Duct | K::Cable | K::Conduit | K::VentStack => {
            add("close it with a grommet or gasket", vec![sized.scaled("hole-gasket")?]);
            if hole.count > 1 {
                let number = Term::new("N", "count", Quantity::plain(1.0), Units::plain(0));
                let one = Sized { size: sized.size.clone(), number };
                add("gang the holes into one sleeve", one.closed(hole.kind, seal)?);
            }
        }
        K::Flue => add("seal around the flue with parts rated for it", vec![sized.each("flue-sealed")?]),
        K::RecessedLight => add("fit gasketed lights, or surface-mounted ones", vec![sized.each("light-sealed")?]),
        K::OutletBox => add("fit gasketed boxes", vec![sized.each("outlet-sealed")?]),
        K::Hatch => add("cover the hatch with an insulated, gasketed box", vec![sized.each("hatch-box")?]),
        K::ExhaustDamper => add("fit a damper that closes against a gasket", vec![sized.each("damper-gasket")?]),
        K::DryerVent => add("choose a condensing dryer, which needs no vent", Vec::new()),
    }
    let saving = |action: &Action| now - q50(&action.parts).si();
    Ok(actions.into_iter().max_by(|a, b| saving(a).total_cmp(&saving(b))))
}
