//! Where an assembly's share of framing comes from: given in the home, or counted.

use crate::deck_framing::deck;
use crate::framing_count::{self, Count, FramedOpening, FramedWall, WallMembers, usual};
use mateline_model::Subject;
use mateline_model::home::{Assembly, AssemblyKind, Framing, OpeningKind};
use mateline_model::quantity::{Area, Length, Ratio};
use mateline_sdk::{Lack, Request};

/// A share of framing with its origin.
#[derive(Clone, Debug)]
pub(crate) enum Share {
    /// Given at this path.
    Given(Ratio, String),
    /// Counted in a wall.
    Wall(Box<FramedWall>, Count),
    /// Counted from the boxes' plans.
    Deck(Count),
}

impl Share {
    pub(crate) fn fraction(&self) -> Ratio {
        match self {
            Share::Given(fraction, _) => *fraction,
            Share::Wall(_, count) | Share::Deck(count) => count.fraction,
        }
    }
}

/// The share of framing in one layer.
pub(crate) fn share_of(
    request: &Request<'_>,
    subject: &Subject,
    assembly: &Assembly,
    framing: &Framing,
    path: &str,
) -> Result<Share, Lack> {
    if let Some(fraction) = framing.fraction {
        return Ok(Share::Given(fraction, format!("{path}.framed.fraction")));
    }
    let unknown = |because: String| Lack::at(format!("{path} has no framed.fraction, and {because}"), path);
    if matches!(
        assembly.kind,
        AssemblyKind::Floor
            | AssemblyKind::ExposedFloor
            | AssemblyKind::Ceiling
            | AssemblyKind::Roof
            | AssemblyKind::Slab
    ) {
        let boxes: Vec<_> = request.home.modules.values().map(|module| (module.size.x, module.size.y)).collect();
        let rows = framing.blocking_rows.unwrap_or(0);
        return deck(framing.size.thickness, framing.spacing, rows, &boxes).map(Share::Deck).map_err(unknown);
    }
    let takeoff = |quantity: &str| {
        request.number(subject, quantity).ok_or_else(|| {
            unknown(format!("{quantity} of {subject} is not known, so that its members cannot be counted"))
        })
    };
    let wall = FramedWall {
        run: Length::from_si(takeoff("takeoff.run_length")?),
        gross: Area::from_si(takeoff("takeoff.gross_area")?),
        corners: takeoff("takeoff.corners")?,
        mate_line_ends: takeoff("takeoff.mate_line_ends")?,
        openings: openings_in(request, subject),
        members: WallMembers {
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
        },
    };
    framing_count::wall(&wall).map(|count| Share::Wall(Box::new(wall), count)).map_err(unknown)
}

/// The openings that the take-off found in this assembly.
fn openings_in(request: &Request<'_>, subject: &Subject) -> Vec<FramedOpening> {
    request
        .home
        .openings
        .iter()
        .filter(|(id, _)| request.text(&Subject::element("openings", id), "takeoff.assembly") == Some(subject.id()))
        .map(|(_, opening)| FramedOpening {
            width: opening.width,
            height: opening.height,
            count: opening.count,
            sill: opening.sill,
            is_door: matches!(opening.kind, OpeningKind::GlazedDoor | OpeningKind::OpaqueDoor),
        })
        .collect()
}
