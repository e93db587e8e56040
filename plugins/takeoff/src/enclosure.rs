//! What stands on the open faces and what lies behind them: the patches of the thermal envelope.

use crate::foundation::Below;
use crate::parts::{Part, Parts};
use crate::problems;
use mateline_boxes::contact::Arrangement;
use mateline_boxes::faces::OpenFaces;
use mateline_boxes::placed::{FACES, Placed, number};
use mateline_model::home::{
    Assembly, AssemblyKind, Boundary, Enclosure, EnclosureException, Face, FoundationKind, Home, Id, RoofKind, Side,
};
use mateline_model::{Pointer, Problem};
use mateline_sdk::Lack;
use std::collections::BTreeMap;
use std::fmt;

/// Where a surface looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs, reason = "the words say it")]
pub enum Orientation {
    North,
    East,
    South,
    West,
    Up,
    Down,
    BelowGrade,
}

impl From<Face> for Orientation {
    fn from(face: Face) -> Orientation {
        match face {
            Face::North => Orientation::North,
            Face::East => Orientation::East,
            Face::South => Orientation::South,
            Face::West => Orientation::West,
            Face::Top => Orientation::Up,
            Face::Bottom => Orientation::Down,
        }
    }
}

impl fmt::Display for Orientation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Orientation::North => "north",
            Orientation::East => "east",
            Orientation::South => "south",
            Orientation::West => "west",
            Orientation::Up => "up",
            Orientation::Down => "down",
            Orientation::BelowGrade => "below-grade",
        })
    }
}

/// What a patch is part of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    /// A face of a box, by the box's position.
    Box(usize, Face),
    /// The wall of a part of the foundation above grade, on one side.
    WallAboveGrade(usize, Side),
    /// The wall of a part of the foundation below grade, all round.
    WallBelowGrade(usize),
    /// The wall of a part of the foundation towards another part, on one side.
    WallBeside(usize, Side, usize),
    /// The floor of a part of the foundation.
    Floor(usize),
}

/// A part of the envelope with one assembly, one boundary and one orientation.
#[derive(Clone, Debug)]
pub struct Patch<'a> {
    /// What it is part of.
    pub on: On,
    /// The assembly's id.
    pub id: &'a Id,
    /// The assembly.
    pub assembly: &'a Assembly,
    /// What lies behind it.
    pub boundary: Boundary,
    /// Where it looks.
    pub orientation: Orientation,
    /// Area (m²), openings included.
    pub area: f64,
    /// Share of the open part of its face; 1 for all of it.
    pub share: f64,
    /// Whether it is what an exception covers.
    pub excepted: bool,
    /// Where the home says what stands here.
    pub source: String,
}

/// All patches, and what keeps others from being known.
#[derive(Clone, Debug, Default)]
pub struct Envelope<'a> {
    /// The patches: box by box, face by face, then the foundation's.
    pub patches: Vec<Patch<'a>>,
    /// Why the envelope is not known all round.
    pub lacks: Vec<Lack>,
    /// Exceptions that cannot be.
    pub problems: Vec<Problem>,
    by_face: Vec<(usize, usize)>,
}

impl Patch<'_> {
    /// Whether it is part of the thermal envelope: what adjoins a conditioned space is not.
    pub fn counts(&self) -> bool {
        self.boundary != Boundary::Conditioned
    }
}

impl<'a> Envelope<'a> {
    /// The patches that are part of the thermal envelope.
    pub fn counted(&self) -> impl Iterator<Item = (usize, &Patch<'a>)> {
        self.patches.iter().enumerate().filter(|(_, patch)| patch.counts())
    }

    /// The patches of one face of a box.
    pub fn on_face(&self, placed: usize, face: Face) -> &[Patch<'a>] {
        let range = self.by_face.get(placed * FACES.len() + number(face));
        range.and_then(|(from, to)| self.patches.get(*from..*to)).unwrap_or_default()
    }

    /// The position of the first patch of a face.
    pub fn first_on_face(&self, placed: usize, face: Face) -> usize {
        self.by_face.get(placed * FACES.len() + number(face)).map_or(0, |(from, _)| *from)
    }

    /// The largest patch of a face.
    pub fn main_on_face(&self, placed: usize, face: Face) -> Option<&Patch<'a>> {
        let mut patches = self.on_face(placed, face).iter();
        let first = patches.next()?;
        Some(patches.fold(first, |largest, patch| if patch.area > largest.area { patch } else { largest }))
    }
}

/// What the enclosure is worked out from.
pub struct Site<'a, 'b> {
    /// The home.
    pub home: &'a Home,
    /// Its boxes.
    pub boxes: &'b [Placed],
    /// How they lie to one another.
    pub arrangement: &'b Arrangement,
    /// Their open faces.
    pub open: &'b [OpenFaces],
    /// What lies below them.
    pub parts: &'b Parts,
    /// Position of each box, by id.
    pub positions: BTreeMap<&'b Id, usize>,
}

impl Site<'_, '_> {
    /// The position of a box.
    pub fn position(&self, id: &Id) -> Option<usize> {
        self.positions.get(id).copied()
    }
}

/// Puts the assemblies on the open faces.
pub fn envelope<'a>(site: &Site<'a, '_>) -> Envelope<'a> {
    let mut envelope = Envelope::default();
    let Some(enclosure) = &site.home.enclosure else {
        envelope.lacks.push(Lack::at("the home has no enclosure: nothing says what stands on the boxes", "enclosure"));
        return envelope;
    };
    envelope.lacks.extend(site.parts.unknown().cloned());
    let top_level = site.boxes.iter().map(|placed| placed.level).max().unwrap_or(1);
    let exceptions = exceptions(site, enclosure, &mut envelope.problems);
    for (i, placed) in site.boxes.iter().enumerate() {
        for face in FACES {
            let from = envelope.patches.len();
            let area = site.open.get(i).map_or(0.0, |open| open.of(face).area);
            let here = exceptions.get(&(i, face)).map_or(&[][..], Vec::as_slice);
            if face == Face::Bottom && placed.level > 1 && area > 0.0 {
                envelope.lacks.extend(own_floor(site.home, enclosure, placed).err());
            }
            if let Some((assembly, source)) = standard(enclosure, placed, face, top_level)
                && let Some(geometric) = behind(site, (i, placed), face)
            {
                let stood = Stood { site, on: On::Box(i, face), orientation: face.into(), geometric, area };
                stood.put(&mut envelope, assembly, source, here);
            }
            envelope.by_face.push((from, envelope.patches.len()));
        }
    }
    for (number, _) in site.parts.inside() {
        add_foundation(site, number, &mut envelope);
    }
    envelope
}

/// The assembly that stands on a face where no exception says otherwise, and the key that says so.
fn standard<'a>(
    enclosure: &'a Enclosure,
    placed: &Placed,
    face: Face,
    top_level: u32,
) -> Option<(&'a Id, &'static str)> {
    Some(match face {
        Face::Top if placed.level < top_level => match &enclosure.lower_roofs {
            Some(roofs) => (roofs, "enclosure.lower_roofs"),
            None => (&enclosure.ceilings, "enclosure.ceilings"),
        },
        Face::Top => (&enclosure.ceilings, "enclosure.ceilings"),
        Face::Bottom if placed.level > 1 => match &enclosure.exposed_floors {
            Some(floors) => (floors, "enclosure.exposed_floors"),
            None => (&enclosure.floors, "enclosure.floors"),
        },
        Face::Bottom => (&enclosure.floors, "enclosure.floors"),
        _ => (&enclosure.walls, "enclosure.walls"),
    })
}

/// The floor assembly of an upper box: a slab lies on the ground and is the floor of none.
pub fn own_floor<'a>(home: &Home, enclosure: &'a Enclosure, placed: &Placed) -> Result<&'a Id, Lack> {
    if !is_slab(home, &enclosure.floors) {
        return Ok(&enclosure.floors);
    }
    let lack = || {
        let because =
            format!("enclosure.floors is a slab on the ground: nothing says what the floor of {} is", placed.id);
        Lack::at(because, "enclosure")
    };
    enclosure.exposed_floors.as_ref().filter(|floors| !is_slab(home, floors)).ok_or_else(lack)
}

/// Whether an assembly is a slab, which is cast on the site.
pub fn is_slab(home: &Home, id: &Id) -> bool {
    home.assemblies.get(id).is_some_and(|assembly| assembly.kind == AssemblyKind::Slab)
}

/// What lies behind a face by the geometry alone; `None` where that is not known or inside the envelope.
fn behind(site: &Site<'_, '_>, (i, placed): (usize, &Placed), face: Face) -> Option<Boundary> {
    match face {
        Face::Top if site.home.roof.kind == RoofKind::VentedAttic && placed.wedge.is_none() => Some(Boundary::Attic),
        Face::Bottom if placed.level == 1 => match site.parts.below(i) {
            Below::Outside(boundary) => Some(*boundary),
            Below::Inside(_) | Below::Unknown(_) => None,
        },
        _ => Some(Boundary::Outdoor),
    }
}

/// A face, or part of the foundation, that assemblies are put on.
struct Stood<'a, 'b> {
    site: &'b Site<'a, 'b>,
    on: On,
    orientation: Orientation,
    geometric: Boundary,
    area: f64,
}

impl<'a> Stood<'a, '_> {
    fn put(
        &self,
        envelope: &mut Envelope<'a>,
        standard: &'a Id,
        source: &str,
        exceptions: &[(usize, &'a EnclosureException)],
    ) {
        if self.area <= 0.0 {
            return;
        }
        let mut rest = self.area;
        for (position, exception) in exceptions {
            let area = exception.area.map_or(self.area, |area| area.si().min(rest));
            rest = if exception.area.is_some() { rest - area } else { 0.0 };
            let source = format!("enclosure.except.{position}");
            self.push(envelope, &exception.assembly, source, exception.adjoins, area, true);
        }
        if rest > self.area * 1e-9 {
            self.push(envelope, standard, source.to_owned(), None, rest, false);
        }
    }

    fn push(
        &self,
        envelope: &mut Envelope<'a>,
        id: &'a Id,
        source: String,
        adjoins: Option<Boundary>,
        area: f64,
        excepted: bool,
    ) {
        let Some((id, assembly)) = self.site.home.assemblies.get_key_value(id) else {
            envelope.lacks.push(Lack::at(format!("there is no assembly {id}"), source));
            return;
        };
        // A roof has no attic below it, whatever covers the other boxes.
        let no_attic = assembly.kind == AssemblyKind::Roof && self.geometric == Boundary::Attic;
        let geometric = if no_attic { Boundary::Outdoor } else { self.geometric };
        // What is above and below grade of a foundation follows from its depth, not from what its wall usually adjoins.
        let by_depth = |own: &Boundary| matches!(own, Boundary::Ground | Boundary::Outdoor);
        let own = assembly.adjoins.filter(|own| matches!(self.on, On::Box(..)) || !by_depth(own));
        let boundary = adjoins.or(own).unwrap_or(geometric);
        let share = area / self.area;
        let (on, orientation) = (self.on, self.orientation);
        envelope.patches.push(Patch { on, id, assembly, boundary, orientation, area, share, excepted, source });
    }
}

/// Walls and floor of a part of the foundation inside the envelope.
///
/// Towards another part outside the envelope a wall faces that part's space as far down as that reaches, and ground below
/// it; towards one inside, only what of the deeper one lies below the other's floor is a wall, against ground.
fn add_foundation<'a>(site: &Site<'a, '_>, number: usize, envelope: &mut Envelope<'a>) {
    let (Some(foundation), Some(part)) = (&site.home.foundation, site.parts.all.get(number)) else { return };
    let stand = |on, orientation, geometric, area| Stood { site, on, orientation, geometric, area };
    match (&foundation.wall, part.heights()) {
        (_, Err(lack)) => envelope.lacks.push(lack),
        (None, _) => envelope.lacks.push(Lack::at("the foundation has no wall assembly", "foundation")),
        (Some(wall), Ok(heights)) => {
            let stretches = site.parts.stretches(number);
            let mut buried = 0.0;
            for stretch in &stretches {
                let Some(beside) = stretch.beside else {
                    let area = stretch.length * heights.above_grade().max(0.0);
                    let on = On::WallAboveGrade(number, stretch.side);
                    let above = stand(on, Face::from(stretch.side).into(), Boundary::Outdoor, area);
                    above.put(envelope, wall, "foundation.wall", &[]);
                    buried += stretch.length;
                    continue;
                };
                let Some(other) = site.parts.all.get(beside) else { continue };
                let reach = match (&other.below, other.height()) {
                    (Below::Outside(Boundary::Ground) | Below::Unknown(_), _) => 0.0,
                    (_, Ok(height)) => height.min(heights.height),
                    (_, Err(lack)) => {
                        envelope.lacks.push(lack);
                        continue;
                    }
                };
                let on = On::WallBeside(number, stretch.side, beside);
                if let Below::Outside(boundary) = other.below {
                    let facing = stand(on, Face::from(stretch.side).into(), boundary, stretch.length * reach);
                    facing.put(envelope, wall, "foundation.wall", &[]);
                }
                let ground = stretch.length * (heights.height - reach);
                let below = stand(on, Orientation::BelowGrade, Boundary::Ground, ground);
                below.put(envelope, wall, "foundation.wall", &[]);
            }
            let on = On::WallBelowGrade(number);
            let below = stand(on, Orientation::BelowGrade, Boundary::Ground, buried * heights.depth);
            below.put(envelope, wall, "foundation.wall", &[]);
        }
    }
    match &foundation.floor {
        Some(floor) => {
            let ground = stand(On::Floor(number), Orientation::Down, Boundary::Ground, part.outline.area);
            ground.put(envelope, floor, "foundation.floor", &[]);
        }
        None if has_bare_ground(site, part) => {}
        None => envelope.lacks.push(Lack::at("the foundation has no floor assembly", "foundation")),
    }
}

/// Whether the floor of a crawl space inside the envelope is covered ground, which needs no assembly.
pub fn has_bare_ground(site: &Site<'_, '_>, part: &Part) -> bool {
    let covered = site.home.foundation.as_ref().is_some_and(|one| one.floor.is_none() && one.ground_cover.is_some());
    covered && part.below == Below::Inside(FoundationKind::CrawlSpace)
}

/// Exceptions with their positions, by box and face.
type Exceptions<'a> = BTreeMap<(usize, Face), Vec<(usize, &'a EnclosureException)>>;

/// The exceptions that can be.
fn exceptions<'a>(site: &Site<'a, '_>, enclosure: &'a Enclosure, problems: &mut Vec<Problem>) -> Exceptions<'a> {
    let mut good = Exceptions::new();
    for (position, exception) in enclosure.except.iter().enumerate() {
        let path = format!("enclosure.except.{position}");
        let (module, face) = (&exception.module, exception.face);
        let Some(i) = site.position(module) else { continue };
        let open = site.open.get(i).map_or(0.0, |open| open.of(face).area);
        if open <= 0.0 || is_inside(site, i, face) {
            let message = format!("the {face} face of module {module} is not exposed: {}", what_covers(site, i, face));
            problems.push(problems::at(format!("{path}.face"), message, "name an exposed face, or drop the exception"));
            continue;
        }
        let earlier = good.entry((i, face)).or_default();
        let taken: f64 = earlier.iter().map(|(_, other)| other.area.map_or(open, |area| area.si())).sum();
        let wanted = exception.area.map_or(open, |area| area.si());
        let units = site.home.units;
        if wanted <= 0.0 || wanted.is_nan() {
            let message = format!("{path}.area is {}; an exception has a positive area", problems::area(wanted, units));
            problems.push(problems::at(format!("{path}.area"), message, "give the area built otherwise"));
        } else if taken + wanted > open * (1.0 + 1e-9) {
            let message = format!(
                "the exceptions in the {face} face of module {module} take {}, but {} of it is exposed",
                problems::area(taken + wanted, units),
                problems::area(open, units)
            );
            let at = if exception.area.is_some() { format!("{path}.area") } else { path };
            let mut problem = problems::at(at, message, "lessen the area, or drop one of the exceptions");
            problem.also = earlier.iter().map(|(other, _)| Pointer::new(format!("enclosure.except.{other}"))).collect();
            problems.push(problem);
        } else {
            earlier.push((position, exception));
        }
    }
    good
}

/// Whether a face of a box looks into a conditioned space below it.
pub fn is_inside(site: &Site<'_, '_>, i: usize, face: Face) -> bool {
    let lowest = site.boxes.get(i).is_some_and(|placed| placed.level == 1);
    face == Face::Bottom && lowest && matches!(site.parts.below(i), Below::Inside(_))
}

/// What a face that is not exposed meets, in words.
pub fn what_covers(site: &Site<'_, '_>, i: usize, face: Face) -> String {
    if is_inside(site, i, face) {
        return "it lies over the conditioned space below".to_owned();
    }
    let others: Vec<&str> = site
        .arrangement
        .facing(i, face)
        .filter_map(|other| site.boxes.get(other))
        .map(|placed| placed.id.as_ref())
        .take(6)
        .collect();
    format!("it meets {}", others.join(", "))
}

/// The kind of an assembly as the home writes it.
pub fn kind_name(kind: AssemblyKind) -> &'static str {
    match kind {
        AssemblyKind::Wall => "wall",
        AssemblyKind::MassWall => "mass-wall",
        AssemblyKind::Ceiling => "ceiling",
        AssemblyKind::Roof => "roof",
        AssemblyKind::Floor => "floor",
        AssemblyKind::ExposedFloor => "exposed-floor",
        AssemblyKind::BasementWall => "basement-wall",
        AssemblyKind::CrawlWall => "crawl-wall",
        AssemblyKind::Slab => "slab",
        AssemblyKind::Interior => "interior",
    }
}
