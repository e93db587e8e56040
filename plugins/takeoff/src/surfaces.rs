//! Surfaces and assemblies: the patches of the envelope gathered by what stands there, what is behind, where it looks.

use crate::basis::{area, geometry, length, sum};
use crate::enclosure::{Envelope, On, Orientation, Patch, Site, kind_name};
use crate::facts;
use crate::openings::Placement;
use crate::seams::{Edge, Seam};
use mateline_boxes::coordinate::{Nm, metres};
use mateline_boxes::outline::Outline;
use mateline_boxes::placed::{FACES, Placed, direction, face_along, side_of};
use mateline_model::home::{Boundary, Face, Id};
use mateline_model::quantity::{Area, Length};
use mateline_model::{Pointer, Step, Subject, Term};
use mateline_sdk::Findings;
use std::collections::BTreeMap;

/// With no more patches than this, the area of each is worked out in a step of its own.
const WORKED: usize = 12;

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
    footprint: &Outline,
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
    walls.measure(site, envelope, seams, footprint);
    for (id, gathered) in &assemblies {
        write_assembly(site, id, gathered, &walls, findings);
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
    let net = Step::new("A_n = A_g - A")
        .term(area("A_g", "gross area", gross).fact(subject, facts::GROSS_AREA.name))
        .term(area("A", "area of the openings", openings))
        .result(area("A_n", "net area", gross - openings));
    findings.fact(subject, &facts::NET_AREA, Area::from_si(gross - openings), off.step(net));
}

/// A patch in words.
fn patch_name(site: &Site<'_, '_>, patch: &Patch<'_>) -> String {
    match patch.on {
        On::Box(i, face) => {
            let id = site.boxes.get(i).map_or("", |placed| placed.id.as_ref());
            let part = if patch.excepted || patch.share < 1.0 { ", part" } else { "" };
            format!("{face} face of {id}{part}")
        }
        On::WallAboveGrade(side) => format!("{} wall of the foundation above grade", Face::from(side)),
        On::WallBelowGrade => "walls of the foundation below grade".to_owned(),
        On::Floor => "floor of the foundation".to_owned(),
    }
}

/// How the area of a patch comes about.
fn patch_step(site: &Site<'_, '_>, patch: &Patch<'_>) -> Option<Step> {
    if patch.share < 1.0 {
        return None;
    }
    match patch.on {
        On::Box(i, face) => face_step(site, i, face),
        On::WallAboveGrade(side) => {
            let (foundation, length_of_side) = (site.home.foundation.as_ref()?, patch.area);
            let heights = crate::foundation::Heights::of(foundation).ok()?;
            let run = length_of_side / heights.above_grade();
            Some(
                Step::new("A = l·(h - d)")
                    .term(length("l", format!("outline of the lowest boxes on the {} side", Face::from(side)), run))
                    .term(length("h", "height", heights.height).given("foundation.height"))
                    .term(length("d", "depth below grade", heights.depth).given("foundation.depth_below_grade"))
                    .result(area("A", patch_name(site, patch), patch.area)),
            )
        }
        On::WallBelowGrade => {
            let heights = crate::foundation::Heights::of(site.home.foundation.as_ref()?).ok()?;
            let perimeter = patch.area / heights.depth;
            Some(
                Step::new("A = P·d")
                    .term(length("P", "perimeter", perimeter).fact(&Subject::home(), facts::FOUNDATION_PERIMETER.name))
                    .term(length("d", "depth below grade", heights.depth).given("foundation.depth_below_grade"))
                    .result(area("A", patch_name(site, patch), patch.area)),
            )
        }
        On::Floor => Some(
            Step::new("A = F")
                .term(area("F", "footprint", patch.area).fact(&Subject::home(), facts::FOOTPRINT_AREA.name))
                .result(area("A", patch_name(site, patch), patch.area)),
        ),
    }
}

/// How the open area of a face comes about: `A = l·h`, less what other boxes cover.
pub fn face_step(site: &Site<'_, '_>, i: usize, face: Face) -> Option<Step> {
    let (placed, open) = (site.boxes.get(i)?, site.open.get(i)?.of(face).area);
    let result = area("A", format!("open part of the {face} face of {}", placed.id), open);
    let whole = placed.face_area(face);
    let covered = whole - open;
    let flat = placed.wedge.is_none();
    let mut step = match (flat, covered > 1e-9) {
        (true, false) => Step::new("A = a·b"),
        (true, true) => Step::new("A = a·b - C"),
        (false, false) => Step::new("A = F"),
        (false, true) => Step::new("A = F - C"),
    };
    if flat {
        let axes: Vec<usize> = (0..3).filter(|axis| *axis != direction(face).0).collect();
        for (symbol, axis) in ["a", "b"].into_iter().zip(axes) {
            step = step.term(size_term(symbol, placed, axis));
        }
    } else {
        let meaning = format!("whole {face} face of {}, sloped ceiling included", placed.id);
        step = step.term(area("F", meaning, whole).given(format!("{}.sloped_ceiling", placed.path())));
    }
    if covered > 1e-9 {
        step = step.term(area("C", "part that other boxes cover", covered));
    }
    Some(step.result(result))
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
    fn measure(&mut self, site: &Site<'_, '_>, envelope: &Envelope<'_>, seams: &[Seam], footprint: &Outline) {
        for (_, patch) in envelope.counted() {
            let run = match patch.on {
                On::Box(i, face) if side_of(face).is_some() => {
                    let region = site.open.get(i).map(|open| &open.of(face).region);
                    let slabs = region.iter().flat_map(|region| region.slabs());
                    metres(slabs.map(|slab| slab.u.length()).sum::<Nm>()) * patch.share
                }
                On::WallBelowGrade => {
                    self.of.entry(patch.id.clone()).or_default().corners += footprint.corners;
                    footprint.perimeter()
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
