//! Which junctions a home has: those it lists, and those that its boxes have beside them.

use crate::edges::Edges;
use crate::lack::Lack;
use mateline_model::Subject;
use mateline_model::home::{Home, Junction, JunctionKind};
use mateline_sdk::Request;

/// A junction to be worked out.
#[derive(Clone, Debug)]
pub(crate) struct Planned<'a> {
    pub id: String,
    pub kind: JunctionKind,
    pub junction: Option<&'a Junction>,
    pub seam: Option<String>,
    /// The mate lines it stands for.
    pub seams: Vec<String>,
    /// Whether it is the lower edge of a box that overhangs.
    pub over_air: bool,
    /// Length (m) and how it was found.
    pub length: Result<(f64, LengthFrom), Lack>,
}

/// Where a length comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LengthFrom {
    /// The home gives it.
    Given,
    /// All edges of its kind, or those of its seam.
    Boxes,
    /// What other entries of its kind leave of them.
    Rest,
    /// The foundation's outline.
    Perimeter,
}

/// In words, as a home file writes it.
pub(crate) fn word(kind: JunctionKind) -> &'static str {
    match kind {
        JunctionKind::OutsideCorner => "outside-corner",
        JunctionKind::InsideCorner => "inside-corner",
        JunctionKind::MateWall => "mate-wall",
        JunctionKind::MateFloor => "mate-floor",
        JunctionKind::MateRoof => "mate-roof",
        JunctionKind::FloorRim => "floor-rim",
        JunctionKind::StackedRim => "stacked-rim",
        JunctionKind::WallToAttic => "wall-to-attic",
        JunctionKind::WindowJamb => "window-jamb",
        JunctionKind::DoorJamb => "door-jamb",
        JunctionKind::FoundationTop => "foundation-top",
        JunctionKind::Footing => "footing",
        JunctionKind::SlabEdge => "slab-edge",
    }
}

/// Listed junctions first, in the order of the file, then those found.
pub(crate) fn plan<'a>(request: &Request<'a>, edges: &Edges) -> Vec<Planned<'a>> {
    let home = request.home;
    let mut planned: Vec<Planned<'a>> = home
        .junctions
        .iter()
        .map(|(id, junction)| Planned {
            id: id.to_string(),
            kind: junction.kind,
            junction: Some(junction),
            seam: junction.seam.as_ref().map(|seam| called(edges, seam)),
            seams: seams(home, junction, edges),
            over_air: false,
            length: length(request, id, junction, edges),
        })
        .collect();
    if home.enclosure.is_some() {
        planned.extend(found(request, edges));
    }
    planned
}

/// The mate lines of a listed junction: the one it names, else those of its kind that no other names.
fn seams(home: &Home, junction: &Junction, edges: &Edges) -> Vec<String> {
    let named = |junction: &Junction, one: usize, other: usize| {
        junction.seam.as_ref().map(|seam| edges.is_called(one, other, seam))
    };
    let of_kind = edges.mate_lines.keys().filter(|(kind, ..)| *kind == junction.kind);
    let own = of_kind.filter(|(kind, one, other)| {
        let by_another = |of: &Junction| of.kind == *kind && named(of, *one, *other) == Some(true);
        named(junction, *one, *other).unwrap_or_else(|| !home.junctions.values().any(by_another))
    });
    own.map(|(_, one, other)| edges.seam(*one, *other)).collect()
}

/// A seam by the name that the order of the boxes gives it.
fn called(edges: &Edges, name: &str) -> String {
    let mut lines = edges.mate_lines.keys();
    let found = lines.find(|(_, one, other)| edges.is_called(*one, *other, name));
    found.map_or_else(|| name.to_owned(), |(_, one, other)| edges.seam(*one, *other))
}

/// The edges that no entry of the home is about.
fn found<'a>(request: &Request<'a>, edges: &Edges) -> Vec<Planned<'a>> {
    let home = request.home;
    let mut planned = Vec::new();
    let mut add = |id: String, kind, seam: Option<String>, length: Result<(f64, LengthFrom), Lack>| {
        let known = |(listed, _): (&mateline_model::home::Id, _)| *listed == id.as_str();
        let id = if home.junctions.iter().any(known) { format!("{id}-found") } else { id };
        let seams = seam.iter().cloned().collect();
        planned.push(Planned { id, kind, junction: None, seam, seams, over_air: false, length });
    };
    let is_inside = |number: usize| {
        let (foundation, id) = (home.foundation.as_ref(), edges.name(number));
        foundation.zip(id).is_none_or(|(foundation, id)| foundation.is_conditioned_below(id))
    };
    for ((kind, one, other), length) in &edges.mate_lines {
        let seam = edges.seam(*one, *other);
        let covers = |junction: &Junction| {
            junction.kind == *kind && junction.seam.as_ref().is_none_or(|own| edges.is_called(*one, *other, own))
        };
        if !(home.junctions.values().any(covers)
            || *kind == JunctionKind::MateFloor && is_inside(*one) && is_inside(*other))
        {
            add(format!("{}-{seam}", word(*kind)), *kind, Some(seam), Ok((*length, LengthFrom::Boxes)));
        }
    }
    for (kind, length) in &edges.by_kind {
        let by_seam = edges.mate_lines.keys().any(|(of, _, _)| of == kind);
        let listed = home.junctions.values().any(|junction| junction.kind == *kind);
        if !by_seam && !listed && (*kind != JunctionKind::FloorRim || home.foundation.is_some()) {
            add(word(*kind).to_owned(), *kind, None, Ok((*length, LengthFrom::Boxes)));
        }
    }
    let overhang = Some(edges.overhang).filter(|length| *length > 0.0);
    if let (Some(foundation), Some(perimeter)) = (&home.foundation, perimeter(request)) {
        use mateline_model::home::FoundationKind;
        let kind = match foundation.kind {
            FoundationKind::Basement if foundation.is_conditioned() => Some(JunctionKind::Footing),
            FoundationKind::Slab => Some(JunctionKind::SlabEdge),
            _ => None,
        };
        let listed = |kind| home.junctions.values().any(|junction| junction.kind == kind);
        if let Some(kind) = kind.filter(|kind| !listed(*kind)) {
            let one = foundation.except.is_empty();
            let length = if one { Ok((perimeter, LengthFrom::Perimeter)) } else { Err(mixed()) };
            add(word(kind).to_owned(), kind, None, length);
        }
    }
    if let Some(length) = overhang {
        add("overhang".to_owned(), JunctionKind::FloorRim, None, Ok((length, LengthFrom::Boxes)));
        if let Some(last) = planned.last_mut() {
            last.over_air = true;
        }
    }
    planned
}

/// Length of a listed junction.
fn length(request: &Request<'_>, id: &str, junction: &Junction, edges: &Edges) -> Result<(f64, LengthFrom), Lack> {
    let (home, path) = (request.home, format!("junctions.{id}"));
    if let Some(length) = junction.length {
        return Ok((length.si(), LengthFrom::Given));
    }
    if matches!(junction.kind, JunctionKind::FoundationTop | JunctionKind::Footing | JunctionKind::SlabEdge) {
        let unknown = || Lack::at(format!("{path} has no length, and the foundation's outline is not known"), &*path);
        if home.foundation.as_ref().is_some_and(|foundation| !foundation.except.is_empty()) {
            return Err(mixed());
        }
        return perimeter(request).map(|length| (length, LengthFrom::Perimeter)).ok_or_else(unknown);
    }
    let seam = |junction: &Junction| junction.seam.as_ref().map(|seam| called(edges, seam));
    let alike = |other: &Junction| other.kind == junction.kind && seam(other) == seam(junction);
    let others: Vec<&Junction> =
        home.junctions.iter().filter(|(own, other)| *own != id && alike(other)).map(|(_, other)| other).collect();
    if let Some(count) = Some(others.iter().filter(|other| other.length.is_none()).count()).filter(|count| *count > 0) {
        let because =
            format!("{path} and {count} more of kind {} give no length to tell them apart", word(junction.kind));
        return Err(Lack::at(because, path));
    }
    let whole = match &junction.seam {
        Some(seam) => edges
            .mate_lines
            .iter()
            .filter(|((kind, one, other), _)| *kind == junction.kind && edges.is_called(*one, *other, seam))
            .map(|(_, length)| length)
            .sum(),
        None => {
            let by_seam = edges.mate_lines.iter().filter(|((kind, one, other), _)| {
                let own =
                    |junction: &Junction| junction.seam.as_ref().is_some_and(|own| edges.is_called(*one, *other, own));
                *kind == junction.kind && home.junctions.values().any(|other| other.kind == *kind && own(other))
            });
            edges.by_kind.get(&junction.kind).copied().unwrap_or_default() - by_seam.map(|(_, l)| l).sum::<f64>()
        }
    };
    let taken: f64 = others.iter().filter_map(|other| other.length).map(|length| length.si()).sum();
    let (rest, from) = (whole - taken, if taken > 0.0 { LengthFrom::Rest } else { LengthFrom::Boxes });
    if rest > 1e-6 {
        return Ok((rest, from));
    }
    let because = format!("{path} has no length, and the boxes leave none of kind {}", word(junction.kind));
    Err(Lack::at(because, path))
}

/// The outline of all boxes is not that of a foundation under some of them.
fn mixed() -> Lack {
    Lack::at("the boxes stand on foundations of more than one kind: give the junction's length", "foundation.except")
}

fn perimeter(request: &Request<'_>) -> Option<f64> {
    request.number(&Subject::home(), "takeoff.foundation_perimeter").filter(|length| *length > 0.0)
}

/// Whether a junction of this kind is one of the home's.
pub(crate) fn lists(home: &Home, kind: JunctionKind) -> bool {
    home.junctions.values().any(|junction| junction.kind == kind)
}
