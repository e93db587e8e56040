//! Whether each opening fits the face it is in, alone and together with the others, and which patch it is taken off.

use crate::enclosure::{Envelope, On, Site, is_inside, what_covers};
use crate::foundation::Below;
use crate::openings::{Host, Placement, opening_area};
use crate::{places, problems};
use mateline_boxes::coordinate::{Nm, metres};
use mateline_boxes::placed::{direction, side_of};
use mateline_model::home::{Elements, Face, Id, Opening, OpeningKind, Side};
use mateline_model::quantity::{Length, UnitSystem};
use mateline_model::{Pointer, Problem};
use std::collections::BTreeMap;

/// How much a clear size may be above the rough one by rounding (m).
const WITHIN: f64 = 1e-6;
/// The word of `module` that means the foundation.
const FOUNDATION: &str = "foundation";

/// What is wrong with an opening by itself.
pub fn own_problems(openings: &Elements<Opening>, units: UnitSystem) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (id, opening) in openings {
        let path = |field: &str| format!("openings.{id}.{field}");
        let what = "an opening has a positive size";
        problems.extend(problems::positive(&path("width"), Some(opening.width), what, units));
        problems.extend(problems::positive(&path("height"), Some(opening.height), what, units));
        if opening.count == 0 {
            let message = format!("{} is 0; there is at least one", path("count"));
            problems.push(problems::at(path("count"), message, "leave the opening out, or count it"));
        }
        let clear = [
            ("clear_width", opening.clear_width, "width", opening.width),
            ("clear_height", opening.clear_height, "height", opening.height),
        ];
        for (field, clear, whole, rough) in clear {
            if let Some(clear) = clear.filter(|clear| clear.si() > rough.si() + WITHIN) {
                let shown = |length: Length| problems::small_length(length.si(), units);
                let (clear, rough) = (shown(clear), shown(rough));
                let message = format!("{} is {clear}, more than its {whole} of {rough}", path(field));
                problems.push(problems::at(path(field), message, "give what is clear when it stands open"));
            }
        }
        let fits = match (opening.kind, opening.face) {
            (OpeningKind::Skylight, face) => face == Face::Top,
            (OpeningKind::Hatch, _) => true,
            (_, face) => side_of(face).is_some(),
        };
        if !fits {
            let message = format!("openings.{id} is a {} in the {} face", name(opening.kind), opening.face);
            problems.push(problems::at(path("face"), message, "put skylights in the top, windows and doors in a side"));
        }
    }
    problems
}

fn name(kind: OpeningKind) -> &'static str {
    match kind {
        OpeningKind::Window => "window",
        OpeningKind::GlazedDoor => "glazed door",
        OpeningKind::OpaqueDoor => "opaque door",
        OpeningKind::Skylight => "skylight",
        OpeningKind::Hatch => "hatch",
    }
}

/// Places the openings, and says which do not fit.
pub fn place<'a>(site: &Site<'a, '_>, envelope: &Envelope<'_>) -> (Vec<Placement<'a>>, Vec<Problem>) {
    let mut placed = Vec::new();
    let mut problems = Vec::new();
    let mut by_face: BTreeMap<(Option<usize>, Face), Vec<usize>> = BTreeMap::new();
    for (id, opening) in &site.home.openings {
        let area = opening_area(opening).value().si();
        let wanted = Wanted { id, opening };
        let (key, host) = if opening.module == FOUNDATION {
            ((None, opening.face), in_foundation(site, envelope, &wanted, &mut problems))
        } else if let Some(i) = site.position(&opening.module) {
            ((Some(i), opening.face), in_box(site, envelope, i, &wanted, &mut problems))
        } else {
            continue;
        };
        if let Some(host) = host {
            by_face.entry(key).or_default().push(placed.len());
            placed.push(Placement { id, opening, area, host, below_grade: None });
        }
    }
    for ((i, face), positions) in by_face {
        problems.extend(match i {
            Some(i) => {
                let members: Vec<&Placement<'_>> = positions.iter().filter_map(|number| placed.get(*number)).collect();
                let mut found = places::problems(site, (i, face), &members);
                found.extend(together(site, envelope, (i, face), &members));
                found
            }
            None => share_out(site, envelope, face, &positions, &mut placed).into_iter().collect(),
        });
    }
    (placed, problems)
}

struct Wanted<'a> {
    id: &'a Id,
    opening: &'a Opening,
}

fn in_box(
    site: &Site<'_, '_>,
    envelope: &Envelope<'_>,
    i: usize,
    wanted: &Wanted<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Host> {
    let (face, path) = (wanted.opening.face, format!("openings.{}", wanted.id));
    let open = site.open.get(i)?.of(face);
    let module = &wanted.opening.module;
    if open.area <= 0.0 || is_inside(site, i, face) {
        let covers = what_covers(site, i, face);
        let message = format!("the {face} face of module {module} is not exposed: {covers}");
        problems.push(problems::at(format!("{path}.face"), message, "put the opening in an exposed face"));
        return None;
    }
    let slabs = open.region.slabs();
    let width: Nm = slabs.iter().map(|slab| slab.u.length()).sum();
    let height: Nm = slabs.iter().flat_map(|slab| slab.v.iter().map(|v| v.length())).max().unwrap_or(0);
    let gable = site.boxes.get(i).filter(|placed| placed.is_gable(face)).map_or(0, |placed| placed.rise());
    let upright = direction(face).0 < 2;
    let whole = site.boxes.get(i).map_or(0, |placed| placed.face(face).u.length());
    let of = format!("the exposed part of the {face} face of module {module}");
    let room = Room { of, width: metres(width), height: metres(height + gable), whole: metres(whole), upright };
    room.check(site, wanted, &path, problems);
    let patches = envelope.on_face(i, face);
    let standard = patches.iter().position(|patch| !patch.excepted).or(if patches.is_empty() { None } else { Some(0) });
    Some(standard.map_or(Host::Unknown, |position| Host::Patch(envelope.first_on_face(i, face) + position)))
}

/// What an opening has to fit in (m).
struct Room {
    of: String,
    width: f64,
    height: f64,
    whole: f64,
    upright: bool,
}

impl Room {
    fn check(&self, site: &Site<'_, '_>, wanted: &Wanted<'_>, path: &str, problems: &mut Vec<Problem>) {
        let (opening, units, of) = (wanted.opening, site.home.units, &self.of);
        let shown = |metres: f64| problems::length(metres, units);
        let width = opening.width.si() * f64::from(opening.count);
        if problems::exceeds(width, self.width) {
            let message = format!("{path} takes {} of width, but {of} is {} wide", shown(width), shown(self.width));
            problems.push(problems::at(format!("{path}.width"), message, "narrow it, or move some to another face"));
        }
        if problems::exceeds(opening.height.si(), self.height) {
            let (height, room) = (shown(opening.height.si()), shown(self.height));
            let message = format!("{path}.height is {height}, but {of} is {room} high");
            problems.push(problems::at(format!("{path}.height"), message, "lower it, or move it to another face"));
        }
        if let Some(left) = opening.from_left.map(|left| left.si()).filter(|_| self.upright)
            && (left < 0.0 || problems::exceeds(left + width, self.whole))
        {
            let (left, width, whole) = (shown(left), shown(width), shown(self.whole));
            let message = format!("{path} begins {left} from the left and takes {width}, but the face is {whole} wide");
            problems.push(problems::at(format!("{path}.from_left"), message, "move it to the left, or narrow it"));
        }
        if let Some(sill) = opening.sill.map(|sill| sill.si()).filter(|_| self.upright)
            && (sill < 0.0 || problems::exceeds(sill + opening.height.si(), self.height))
        {
            let (sill, height, room) = (shown(sill), shown(opening.height.si()), shown(self.height));
            let message = format!("{path} has its sill at {sill} and is {height} high, but {of} is {room} high");
            problems.push(problems::at(format!("{path}.sill"), message, "lower the sill, or the opening"));
        }
    }
}

/// Whether all openings of a face of a box fit together.
fn together(
    site: &Site<'_, '_>,
    envelope: &Envelope<'_>,
    (i, face): (usize, Face),
    members: &[&Placement<'_>],
) -> Option<Problem> {
    let total: f64 = members.iter().map(|placement| placement.area).sum();
    let open = site.open.get(i)?.of(face).area;
    let host = members.iter().find_map(|placement| match placement.host {
        Host::Patch(patch) => envelope.patches.get(patch),
        _ => None,
    });
    let (room, beside) = match host {
        Some(patch) if patch.share < 1.0 => (patch.area, " beside what the exceptions cover"),
        _ => (open, ""),
    };
    if total <= room * (1.0 + 1e-9) {
        return None;
    }
    let (last, others) = members.split_last()?;
    let units = site.home.units;
    let message = format!(
        "the openings in the {face} face of module {} take {}, but {} of it is exposed{beside}",
        last.opening.module,
        problems::area(total, units),
        problems::area(room, units)
    );
    let mut problem = problems::at(format!("openings.{}", last.id), message, "make the openings smaller or fewer");
    problem.also = others.iter().map(|placement| Pointer::new(format!("openings.{}", placement.id))).collect();
    Some(problem)
}

fn in_foundation(
    site: &Site<'_, '_>,
    envelope: &Envelope<'_>,
    wanted: &Wanted<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Host> {
    let (face, path) = (wanted.opening.face, format!("openings.{}", wanted.id));
    let (Some(_), Some(part)) = (&site.home.foundation, site.parts.all.first()) else {
        let message = format!("{path} is in the foundation, but the home has none");
        problems.push(problems::at(format!("{path}.module"), message, "describe the foundation"));
        return None;
    };
    let Some(side) = side_of(face) else {
        let message = format!("{path} is in the {face} of the foundation; its openings are in its walls");
        problems.push(problems::at(format!("{path}.face"), message, "name one of the four sides"));
        return None;
    };
    let width = outdoors(site, side);
    if let Ok(height) = part.height() {
        let of = format!("the {face} wall of the foundation");
        Room { of, width, height, whole: width, upright: true }.check(site, wanted, &path, problems);
    }
    if !matches!(part.below, Below::Inside(_)) {
        return Some(Host::OutsideEnvelope);
    }
    let patch = envelope.patches.iter().position(|patch| patch.on == On::WallAboveGrade(0, side));
    let below = envelope.patches.iter().position(|patch| patch.on == On::WallBelowGrade(0));
    Some(patch.or(below).map_or(Host::Unknown, Host::Patch))
}

/// How long the foundation itself looks outdoors on one side (m).
fn outdoors(site: &Site<'_, '_>, side: Side) -> f64 {
    let stretches = site.parts.stretches(0).into_iter();
    stretches.filter(|stretch| stretch.side == side && stretch.beside.is_none()).map(|stretch| stretch.length).sum()
}

/// Shares the openings of one side of the foundation between its wall above grade and, through window wells, below.
///
/// An opening stands as high above the floor as its sill says, or where none is given, as high as the wall allows.
fn share_out(
    site: &Site<'_, '_>,
    envelope: &Envelope<'_>,
    face: Face,
    positions: &[usize],
    placed: &mut [Placement<'_>],
) -> Option<Problem> {
    let heights = site.parts.all.first()?.heights().ok()?;
    let length = outdoors(site, side_of(face)?);
    let mut room = length * heights.above_grade().max(0.0);
    let wall = length * heights.height;
    let below = envelope.patches.iter().position(|patch| patch.on == On::WallBelowGrade(0));
    let mut total = 0.0;
    let mut last = None;
    for position in positions {
        let Some(placement) = placed.get_mut(*position) else { continue };
        let height = placement.opening.height.si();
        let sill = placement.opening.sill.map_or(heights.height - height, |sill| sill.si());
        let share = ((sill + height - heights.depth) / height).clamp(0.0, 1.0);
        let above = (placement.area * share).min(room);
        room -= above;
        total += placement.area;
        if above < placement.area && matches!(placement.host, Host::Patch(_)) {
            placement.below_grade = below.map(|patch| (patch, placement.area - above));
        }
        last = Some(placement.id);
    }
    if total <= wall * (1.0 + 1e-9) {
        return None;
    }
    let units = site.home.units;
    let (total, wall) = (problems::area(total, units), problems::area(wall, units));
    let message = format!("the openings in the {face} wall of the foundation take {total}, but it has {wall}");
    last.map(|id| problems::at(format!("openings.{id}"), message, "make the openings smaller or fewer"))
}
