//! Surfaces and assemblies: the patches of the envelope gathered by what stands there, what is behind, where it looks.

use crate::basis::{area, geometry, length, sum};
use crate::enclosure::{Envelope, On, Orientation, Patch, Site, kind_name};
use crate::facts;
use crate::foundation::Below;
use crate::openings::Placement;
use crate::seams::{Edge, Seam};
use mateline_boxes::coordinate::{Nm, metres};
use mateline_boxes::placed::{FACES, Placed, direction, face_along, side_of};
use mateline_equation::equation;
use mateline_model::home::{AssemblyKind, Boundary, Face, FoundationKind, Id, Side};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack};
use std::collections::BTreeMap;

/// What an assembly has none of that nothing is of.
const UNUSED: [&QuantityDef; 5] =
    [&facts::BOUNDARY, &facts::GROSS_AREA, &facts::NET_AREA, &facts::BASEMENT_WALL_AREA, &facts::CRAWL_WALL_AREA];

/// With no more patches than this, the area of each is worked out in a step of its own.
const WORKED: usize = 12;

equation! {
    /// Area less its openings. Source: geometry.
    pub(crate) NetArea = "A_n = A_g − A" {
        A_n: Area "net area" [Units::AREA],
        A_g: Area "gross area" [Units::AREA],
        A: Area "area of the openings" [Units::AREA],
    }

    /// Foundation walls of one side above grade. Source: geometry.
    pub(crate) AboveGrade = "A = l·(h − d)" {
        A: Area "wall of the foundation above grade" [Units::AREA],
        l: Length "outline of the lowest boxes on that side" [Units::LENGTH],
        h: Length "height" [Units::LENGTH],
        d: Length "depth below grade" [Units::LENGTH],
    }

    /// Foundation walls below grade. Source: geometry.
    pub(crate) BelowGrade = "A = P·d" {
        A: Area "walls of the foundation below grade" [Units::AREA],
        P: Length "perimeter" [Units::LENGTH],
        d: Length "depth below grade" [Units::LENGTH],
    }

    /// Foundation wall beside another part of the foundation. Source: geometry.
    pub(crate) Beside = "A = l·t" {
        A: Area "wall beside another part of the foundation" [Units::AREA],
        l: Length "outline that both parts share on that side" [Units::LENGTH],
        t: Length "height of the wall towards it" [Units::LENGTH],
    }

    /// Floor of the foundation. Source: geometry.
    pub(crate) FoundationFloor = "A = F" {
        A: Area "floor of the foundation" [Units::AREA],
        F: Area "footprint" [Units::AREA],
    }

    /// A level face that nothing covers. Source: geometry.
    pub(crate) WholeFace = "A = a·b" {
        A: Area "open part of a face" [Units::AREA],
        a: Length "one side" [Units::LENGTH],
        b: Length "other side" [Units::LENGTH],
    }

    /// What other boxes leave open of a level face. Source: geometry.
    pub(crate) OpenFace = "A = a·b − C" {
        A: Area "open part of a face" [Units::AREA],
        a: Length "one side" [Units::LENGTH],
        b: Length "other side" [Units::LENGTH],
        C: Area "part that other boxes cover" [Units::AREA],
    }

    /// A face of a box with a sloped ceiling that nothing covers. Source: geometry.
    pub(crate) WholeSlopedFace = "A = F" {
        A: Area "open part of a face" [Units::AREA],
        F: Area "whole face, sloped ceiling included" [Units::AREA],
    }

    /// What other boxes leave open of a face of a box with a sloped ceiling. Source: geometry.
    pub(crate) OpenSlopedFace = "A = F − C" {
        A: Area "open part of a face" [Units::AREA],
        F: Area "whole face, sloped ceiling included" [Units::AREA],
        C: Area "part that other boxes cover" [Units::AREA],
    }
}

/// What a surface is gathered by.
type Key<'a> = (&'a Id, Boundary, Orientation);

/// The patches of a surface or an assembly, and what is taken off them.
#[derive(Clone, Debug, Default)]
struct Gathered<'p, 'a> {
    patches: Vec<&'p Patch<'a>>,
    taken: Vec<(&'p Placement<'p>, f64)>,
}

impl Gathered<'_, '_> {
    fn gross(&self) -> f64 {
        self.patches.iter().map(|patch| patch.area).sum()
    }

    fn openings(&self) -> f64 {
        self.taken.iter().map(|(_, area)| area).sum()
    }
}

/// Facts of the surfaces and of the assemblies in use.
pub fn write<'p>(
    site: &Site<'_, '_>,
    envelope: &'p Envelope<'_>,
    placed: &'p [Placement<'p>],
    seams: &[Seam],
    findings: &mut Findings,
) {
    let mut surfaces: BTreeMap<Key<'_>, Gathered<'_, '_>> = BTreeMap::new();
    let mut assemblies: BTreeMap<&Id, Gathered<'_, '_>> = BTreeMap::new();
    let key = |patch: &Patch<'p>| (patch.id, patch.boundary, patch.orientation);
    for (_, patch) in envelope.counted() {
        surfaces.entry(key(patch)).or_default().patches.push(patch);
        assemblies.entry(patch.id).or_default().patches.push(patch);
    }
    for placement in placed {
        for (patch, area) in placement.taken().filter_map(|(patch, area)| Some((envelope.patches.get(patch)?, area))) {
            if let Some(surface) = surfaces.get_mut(&key(patch)) {
                surface.taken.push((placement, area));
            }
            if let Some(assembly) = assemblies.get_mut(patch.id) {
                assembly.taken.push((placement, area));
            }
        }
    }
    for ((id, boundary, orientation), gathered) in &surfaces {
        let subject = Subject::element("surfaces", format!("{id}-{boundary}-{orientation}"));
        write_surface(site, &subject, gathered, findings);
    }
    let mut walls = Walls::default();
    walls.measure(site, envelope, seams);
    for (id, gathered) in &assemblies {
        write_assembly(site, id, gathered, &walls, findings);
    }
    for id in site.home.assemblies.keys().filter(|id| !assemblies.contains_key(id)) {
        let subject = Subject::element("assemblies", id);
        let unused = || Lack::at(format!("no part of the thermal envelope is of {subject}"), subject.as_str());
        let lack = envelope.lacks.first().cloned().unwrap_or_else(unused);
        lack.write(&subject, &UNUSED, findings);
    }
}

fn write_surface(site: &Site<'_, '_>, subject: &Subject, gathered: &Gathered<'_, '_>, findings: &mut Findings) {
    let Some(patch) = gathered.patches.first() else { return };
    let said = || geometry("what stands on the open faces").assuming(format!("{} says what stands here", patch.source));
    findings.text(subject, &facts::ASSEMBLY, patch.id.to_string(), said());
    findings.text(subject, &facts::KIND, kind_name(patch.assembly.kind), said());
    findings.text(subject, &facts::BOUNDARY, patch.boundary.to_string(), said());
    findings.text(subject, &facts::ORIENTATION, patch.orientation.to_string(), said());
    write_areas(site, subject, gathered, true, findings);
}

fn write_areas(
    site: &Site<'_, '_>,
    subject: &Subject,
    gathered: &Gathered<'_, '_>,
    with_openings: bool,
    findings: &mut Findings,
) {
    let (gross, openings) = (gathered.gross(), gathered.openings());
    let source = gathered.patches.first().map_or_else(String::new, |patch| patch.source.clone());
    let mut basis = geometry("faces that no other box covers, by exterior dimensions");
    if gathered.patches.len() <= WORKED {
        for patch in &gathered.patches {
            basis.steps.extend(patch_step(site, patch));
        }
    }
    let terms = gathered.patches.iter().map(|patch| area("A", patch_name(site, patch), patch.area)).collect();
    basis.steps.push(sum(area("A", "gross area", gross), terms));
    findings.fact_at(subject, &facts::GROSS_AREA, Area::from_si(gross), basis, Pointer::new(source));
    let terms = gathered.taken.iter().map(|(placement, taken)| {
        let opening = Subject::element("openings", placement.id);
        area("A", format!("openings.{}", placement.id), *taken).fact(&opening, facts::AREA.name)
    });
    let step = sum(area("A", "area of the openings", openings), terms.collect());
    let off = geometry("gross area less openings").step(step.clone());
    if with_openings {
        let basis = geometry("openings in these faces").step(step);
        findings.fact(subject, &facts::OPENING_AREA, Area::from_si(openings), basis);
    }
    let (net, step) = NetArea { A_g: Area::from_si(gross), A: Area::from_si(openings) }.step();
    let step = step.fact(NetArea::A_g, subject, facts::GROSS_AREA.name);
    findings.fact(subject, &facts::NET_AREA, net, off.step(step));
}

/// A patch in words.
fn patch_name(site: &Site<'_, '_>, patch: &Patch<'_>) -> String {
    match patch.on {
        On::Box(i, face) => {
            let id = site.boxes.get(i).map_or("", |placed| placed.id.as_ref());
            let part = if patch.excepted || patch.share < 1.0 { ", part" } else { "" };
            format!("{face} face of {id}{part}")
        }
        On::WallAboveGrade(number, side) => {
            format!("{} wall of {} above grade", Face::from(side), part_name(site, number))
        }
        On::WallBelowGrade(number) => format!("walls of {} below grade", part_name(site, number)),
        On::WallBeside(number, side, beside) => {
            let (own, other) = (part_name(site, number), part_name(site, beside));
            format!("{} wall of {own} beside {other}, {}", Face::from(side), patch.boundary)
        }
        On::Floor(number) => format!("floor of {}", part_name(site, number)),
    }
}

/// The foundation, or one of its exceptions.
fn part_name<'s>(site: &Site<'_, 's>, number: usize) -> &'s str {
    let part = site.parts.all.get(number).filter(|_| number > 0);
    part.map_or("the foundation", |part| part.path.as_str())
}

/// Length of a part's wall beside another part, on one side (m).
fn beside_length(site: &Site<'_, '_>, number: usize, side: Side, beside: usize) -> f64 {
    let stretches = site.parts.stretches(number).into_iter();
    stretches.filter(|one| one.side == side && one.beside == Some(beside)).map(|one| one.length).sum()
}

/// How the area of a patch comes about.
fn patch_step(site: &Site<'_, '_>, patch: &Patch<'_>) -> Option<Step> {
    if patch.share < 1.0 {
        return None;
    }
    let heights = |number: usize| site.parts.all.get(number)?.heights().ok();
    let given = |number: usize, field: &str| {
        format!("{}.{field}", site.parts.all.get(number).map_or("foundation", |part| part.path.as_str()))
    };
    let step = match patch.on {
        On::Box(i, face) => return face_step(site, i, face),
        On::WallAboveGrade(number, side) => {
            let heights = heights(number)?;
            let run = Length::from_si(patch.area / heights.above_grade());
            let wall =
                AboveGrade { l: run, h: Length::from_si(heights.height), d: Length::from_si(heights.depth) }.step().1;
            wall.meaning(AboveGrade::l, format!("outline of the lowest boxes on the {} side", Face::from(side)))
                .given(AboveGrade::h, given(number, "height"))
                .given(AboveGrade::d, given(number, "depth_below_grade"))
        }
        On::WallBeside(number, side, beside) => {
            let run = beside_length(site, number, side, beside);
            let wall = Beside { l: Length::from_si(run), t: Length::from_si(patch.area / run) }.step().1;
            wall.given(Beside::l, "modules")
        }
        On::WallBelowGrade(number) => {
            let depth = heights(number)?.depth;
            let wall = BelowGrade { P: Length::from_si(patch.area / depth), d: Length::from_si(depth) }.step().1;
            let wall = wall.given(BelowGrade::d, given(number, "depth_below_grade"));
            if site.parts.is_one() {
                wall.fact(BelowGrade::P, &Subject::home(), facts::FOUNDATION_PERIMETER.name)
            } else {
                wall.meaning(BelowGrade::P, "outline of its boxes that looks outdoors").given(BelowGrade::P, "modules")
            }
        }
        On::Floor(_) => {
            let floor = FoundationFloor { F: Area::from_si(patch.area) }.step().1;
            if site.parts.is_one() {
                floor.fact(FoundationFloor::F, &Subject::home(), facts::FOOTPRINT_AREA.name)
            } else {
                floor.meaning(FoundationFloor::F, "plan of its boxes").given(FoundationFloor::F, "modules")
            }
        }
    };
    Some(step.meaning(FoundationFloor::A, patch_name(site, patch)))
}

/// How the open area of a face comes about: the whole face, less what other boxes cover.
pub fn face_step(site: &Site<'_, '_>, i: usize, face: Face) -> Option<Step> {
    let (placed, open) = (site.boxes.get(i)?, site.open.get(i)?.of(face).area);
    let whole = placed.face_area(face);
    let covered = Some(whole - open).filter(|covered| *covered > 1e-9).map(Area::from_si);
    let step = if placed.wedge.is_none() {
        let mut axes = (0..3).filter(|axis| *axis != direction(face).0);
        let (first, second) = axes.next().zip(axes.next())?;
        let (a, b) = (size(placed, first), size(placed, second));
        let step = match covered {
            Some(covered) => OpenFace { a, b, C: covered }.step().1,
            None => WholeFace { a, b }.step().1,
        };
        step.with(size_term("a", placed, first)).with(size_term("b", placed, second))
    } else {
        let whole = Area::from_si(whole);
        let step = match covered {
            Some(covered) => OpenSlopedFace { F: whole, C: covered }.step().1,
            None => WholeSlopedFace { F: whole }.step().1,
        };
        step.meaning(OpenSlopedFace::F, format!("whole {face} face of {}, sloped ceiling included", placed.id))
            .given(OpenSlopedFace::F, format!("{}.sloped_ceiling", placed.path()))
    };
    Some(step.meaning(WholeFace::A, format!("open part of the {face} face of {}", placed.id)))
}

/// The size of a box along an axis.
pub fn size(placed: &Placed, axis: usize) -> Length {
    Length::from_si(metres(placed.spans[axis].length()))
}

/// The size of a box along an axis, as the home gives it.
pub fn size_term(symbol: &'static str, placed: &Placed, axis: usize) -> Term {
    let (name, meaning) = match axis {
        0 => ("x", "length from west to east"),
        1 => ("y", "length from south to north"),
        _ => ("z", "height"),
    };
    length(symbol, format!("{meaning} of {}", placed.id), metres(placed.spans[axis].length()))
        .given(format!("{}.size.{name}", placed.path()))
}

fn write_assembly(site: &Site<'_, '_>, id: &Id, gathered: &Gathered<'_, '_>, walls: &Walls, findings: &mut Findings) {
    let subject = Subject::element("assemblies", id);
    let mut by_boundary: BTreeMap<Boundary, f64> = BTreeMap::new();
    for patch in &gathered.patches {
        *by_boundary.entry(patch.boundary).or_default() += patch.area;
    }
    let terms =
        by_boundary.iter().map(|(boundary, total)| area("A", format!("area facing {boundary}"), *total)).collect();
    let largest = by_boundary.iter().max_by(|a, b| a.1.total_cmp(b.1)).map(|(boundary, _)| boundary.to_string());
    if let Some(largest) = largest {
        let step = sum(area("A", "gross area", gathered.gross()), terms);
        findings.text(&subject, &facts::BOUNDARY, largest, geometry("the boundary with the largest area").step(step));
    }
    write_areas(site, &subject, gathered, false, findings);
    write_below(site, &subject, gathered, findings);
    let Some(wall) = walls.of.get(id) else { return };
    let terms = wall.runs.iter().map(|(name, run)| length("L", name.clone(), *run)).collect();
    let total: f64 = wall.runs.iter().map(|(_, run)| run).sum();
    let basis = geometry("length of the open sides in plan, level by level")
        .step(sum(length("L", "length of exposed wall", total), terms))
        .assuming("where two assemblies share a face, its length is shared in proportion to their areas");
    findings.fact(&subject, &facts::RUN_LENGTH, Length::from_si(total), basis);
    let basis = geometry("upright edges of the boxes where two open sides meet")
        .assuming("a corner where two assemblies meet counts for each");
    findings.count(&subject, &facts::CORNERS, wall.corners, basis);
    let basis = geometry("upright edges of side-by-side mate lines that reach the outside");
    findings.count(&subject, &facts::MATE_LINE_ENDS, wall.ends, basis);
}

/// How much of an assembly is wall of a basement and of a crawl space: where it stands, whatever kind it is said to be.
fn write_below(site: &Site<'_, '_>, subject: &Subject, gathered: &Gathered<'_, '_>, findings: &mut Findings) {
    for (definition, kind) in
        [(&facts::BASEMENT_WALL_AREA, FoundationKind::Basement), (&facts::CRAWL_WALL_AREA, FoundationKind::CrawlSpace)]
    {
        let around = |patch: &&&Patch<'_>| {
            let part = match patch.on {
                On::WallAboveGrade(part, _) | On::WallBelowGrade(part) | On::WallBeside(part, ..) => part,
                // A box that stands in the ground is its own basement, unless its wall is said to be a crawl space's.
                On::Box(_, face) if patch.boundary == Boundary::Ground && side_of(face).is_some() => {
                    return (patch.assembly.kind == AssemblyKind::CrawlWall) == (kind == FoundationKind::CrawlSpace);
                }
                On::Box(..) | On::Floor(_) => return false,
            };
            site.parts.all.get(part).is_some_and(|part| part.below == Below::Inside(kind))
        };
        let patches: Vec<_> = gathered.patches.iter().filter(around).collect();
        let total: f64 = patches.iter().map(|patch| patch.area).sum();
        let terms = patches.iter().map(|patch| area("A", patch_name(site, patch), patch.area)).collect();
        let basis = geometry("walls of the foundation by what they stand around");
        let basis = basis.step(sum(area("A", definition.label(), total), terms));
        findings.fact(subject, definition, Area::from_si(total), basis);
    }
}

/// Lengths and counts that the framing of walls follows from.
#[derive(Default)]
struct Walls {
    of: BTreeMap<Id, Wall>,
}

#[derive(Default)]
struct Wall {
    runs: Vec<(String, f64)>,
    corners: usize,
    ends: usize,
}

impl Walls {
    fn measure(&mut self, site: &Site<'_, '_>, envelope: &Envelope<'_>, seams: &[Seam]) {
        for (_, patch) in envelope.counted() {
            let run = match patch.on {
                On::Box(i, face) if side_of(face).is_some() => {
                    let region = site.open.get(i).map(|open| &open.of(face).region);
                    let slabs = region.iter().flat_map(|region| region.slabs());
                    metres(slabs.map(|slab| slab.u.length()).sum::<Nm>()) * patch.share
                }
                On::WallBelowGrade(number) => {
                    let corners = site.parts.all.get(number).map_or(0, |part| part.outline.corners);
                    self.of.entry(patch.id.clone()).or_default().corners += corners;
                    let stretches = site.parts.stretches(number).into_iter().filter(|one| one.beside.is_none());
                    stretches.map(|stretch| stretch.length).sum()
                }
                On::WallBeside(number, side, beside) if patch.boundary != Boundary::Ground => {
                    beside_length(site, number, side, beside)
                }
                _ => continue,
            };
            self.of.entry(patch.id.clone()).or_default().runs.push((patch_name(site, patch), run));
        }
        for i in 0..site.boxes.len() {
            for (x, y) in [(false, false), (false, true), (true, false), (true, true)] {
                self.count_corner(site, envelope, i, [face_along(0, x), face_along(1, y)]);
            }
        }
        for seam in seams.iter().filter(|seam| seam.contact.axis < 2) {
            self.count_ends(site, envelope, seam);
        }
    }

    /// An outside corner: both sides are open up to the box's upright edge.
    fn count_corner(&mut self, site: &Site<'_, '_>, envelope: &Envelope<'_>, i: usize, faces: [Face; 2]) {
        let (Some(placed), Some(open)) = (site.boxes.get(i), site.open.get(i)) else { return };
        let [a, b] = faces;
        let reaches = |face: Face, other: Face| !open.of(face).region.along_u(placed.plane(other)).is_empty();
        if reaches(a, b) && reaches(b, a) {
            self.count(envelope, faces.map(|face| (i, face)).into_iter(), |wall| wall.corners += 1);
        }
    }

    /// The walls in which the upright edges of a mate line end.
    fn count_ends(&mut self, site: &Site<'_, '_>, envelope: &Envelope<'_>, seam: &Seam) {
        let (face, other) = seam.contact.faces();
        let reaches = |edge: &&Edge| edge.crossing.as_ref().is_ok_and(|crossing| *crossing > 0.0);
        for edge in seam.edges.iter().filter(reaches).map(|edge| edge.face).filter(|face| side_of(*face).is_some()) {
            let walls = [(seam.contact.low, face), (seam.contact.high, other)].map(|(i, meeting)| {
                let ends = site.boxes.get(i).is_some_and(|placed| {
                    let (_, high) = direction(edge);
                    let along = placed.face(meeting).u;
                    let rect = seam.contact.rect.u;
                    if high { along.hi == rect.hi } else { along.lo == rect.lo }
                });
                (i, if ends { edge } else { meeting })
            });
            self.count(envelope, walls.into_iter(), |wall| wall.ends += 1);
        }
    }

    /// Counts once for each different assembly on the faces.
    fn count(&mut self, envelope: &Envelope<'_>, faces: impl Iterator<Item = (usize, Face)>, add: impl Fn(&mut Wall)) {
        let mut ids: Vec<&Id> =
            faces.filter_map(|(i, face)| envelope.main_on_face(i, face)).filter(|p| p.counts()).map(|p| p.id).collect();
        ids.sort_unstable();
        ids.dedup();
        for id in ids {
            add(self.of.entry(id.clone()).or_default());
        }
    }
}

/// The open faces of a box, as a worked sum.
pub fn open_area_steps(site: &Site<'_, '_>, i: usize) -> Vec<Step> {
    let Some((placed, open)) = site.boxes.get(i).zip(site.open.get(i)) else { return Vec::new() };
    let mut steps: Vec<Step> = FACES
        .into_iter()
        .filter(|face| open.of(*face).area > 0.0)
        .filter_map(|face| face_step(site, i, face))
        .collect();
    let terms = FACES
        .into_iter()
        .filter(|face| open.of(*face).area > 0.0)
        .map(|face| area("A", format!("{face} face of {}", placed.id), open.of(face).area))
        .collect();
    steps.push(sum(area("A", "open faces", open.area()), terms));
    steps
}
