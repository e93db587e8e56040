//! Where an assembly's share of framing comes from: given in the home, or counted.

use super::count::Count;
use super::deck::deck;
use super::wall::{self, FramedOpening, FramedWall, WallMembers, usual};
use mateline_model::home::{AssemblyKind, Framing, Home, Id};
use mateline_model::quantity::{Area, Length, Ratio};
use mateline_model::{Subject, Value};
use mateline_sdk::Lack;

/// Facts of the take-off: the value of a quantity of a subject.
pub type Known<'a> = dyn Fn(&Subject, &str) -> Option<&'a Value> + 'a;

/// A share of framing with its origin.
#[derive(Clone, Debug)]
pub enum Share {
    /// Given at this path.
    Given(Ratio, String),
    /// Counted in a wall.
    Wall(Box<FramedWall>, Count),
    /// Counted from the boxes' plans.
    Deck(Count),
}

impl Share {
    /// The share.
    pub fn fraction(&self) -> Ratio {
        match self {
            Share::Given(fraction, _) => *fraction,
            Share::Wall(_, count) | Share::Deck(count) => count.fraction,
        }
    }

    /// The share of framing in one layer of an assembly: as the home gives it, else counted, in a floor that lies `flat`
    /// or in a wall. `known` hands over what the take-off found.
    ///
    /// # Errors
    /// [`Lack`] where it is neither given nor to be counted.
    pub fn of(
        home: &Home,
        id: &Id,
        flat: bool,
        framing: &Framing,
        path: &str,
        known: &Known<'_>,
    ) -> Result<Share, Lack> {
        if let Some(fraction) = framing.fraction {
            return Ok(Share::Given(fraction, format!("{path}.framed.fraction")));
        }
        let counted = if flat {
            let boxes: Vec<_> = home.modules.values().map(|module| (module.size.x, module.size.y)).collect();
            let rows = framing.blocking_rows.unwrap_or(0);
            deck(framing.size.thickness, framing.spacing, rows, &boxes).map(Share::Deck)
        } else {
            standing(home, &Subject::element("assemblies", id), framing, known)
                .and_then(|found| wall::wall(&found).map(|count| Share::Wall(Box::new(found), count)))
        };
        counted.map_err(|because| Lack::at(format!("{path} has no framed.fraction, and {because}"), path))
    }
}

/// Whether an assembly is a floor, ceiling or roof by its kind. One inside the home may be either.
pub fn lies_flat(kind: AssemblyKind) -> bool {
    use AssemblyKind::{Ceiling, ExposedFloor, Floor, Roof, Slab};
    matches!(kind, Floor | ExposedFloor | Ceiling | Roof | Slab)
}

/// The wall of an assembly, or in words what of it is not known.
fn standing(home: &Home, subject: &Subject, framing: &Framing, known: &Known<'_>) -> Result<FramedWall, String> {
    let number = |quantity: &str| {
        let found = known(subject, quantity).and_then(|value| value.number()).map(|quantity| quantity.si);
        found.ok_or_else(|| format!("{quantity} of {subject} is not known, so that its members cannot be counted"))
    };
    let stands_in = |id: &Id| {
        let assembly = known(&Subject::element("openings", id), "takeoff.assembly");
        assembly.is_some_and(|assembly| assembly.text() == Some(subject.id()))
    };
    let openings = home.openings.iter().filter(|(id, _)| stands_in(id));
    Ok(FramedWall {
        run: Length::from_si(number("takeoff.run_length")?),
        gross: Area::from_si(number("takeoff.gross_area")?),
        corners: number("takeoff.corners")?,
        mate_line_ends: number("takeoff.mate_line_ends")?,
        openings: openings.map(|(_, opening)| FramedOpening::of(opening)).collect(),
        members: members(framing),
    })
}

/// The members of a wall, with the usual numbers where the home does not say.
fn members(framing: &Framing) -> WallMembers {
    WallMembers {
        thickness: framing.size.thickness,
        spacing: framing.spacing,
        bottom_plates: framing.bottom_plates.unwrap_or(usual::BOTTOM_PLATES),
        top_plates: framing.top_plates.unwrap_or(usual::TOP_PLATES),
        header_depth: framing.header_depth.unwrap_or(usual::HEADER_DEPTH),
        jacks: framing.jacks.unwrap_or(usual::JACKS),
        corner_studs: framing.corner_studs.unwrap_or(usual::CORNER_STUDS),
        mate_line_studs: framing.mate_line_studs.unwrap_or(usual::MATE_LINE_STUDS),
        blocking_rows: framing.blocking_rows.unwrap_or(0),
        rim_height: framing.rim_height.unwrap_or_default(),
    }
}
