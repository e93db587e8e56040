//! Figures: the four sides of the home as seen from outside, with boxes, openings, mate lines, foundation, grade, roof.
//!
//! What lies behind is drawn first, so that what stands before it hides it. Assumption: where the roof has a slope and the
//! uppermost boxes fill a rectangle under level ceilings, it is a gable roof whose ridge runs along the longer side.

use crate::enclosure::Site;
use crate::interior::Interior;
use crate::openings::Placement;
use crate::places;
use crate::seams::Seam;
use mateline_boxes::coordinate::{GAP, Nm, Span, metres, square_metres};
use mateline_boxes::placed::{Placed, direction};
use mateline_model::home::{Face, Id, Opening, Side};
use mateline_model::quantity::by_tape;
use mateline_model::{Drawing, ElevationKind, ElevationPart, Figure, Mark, Subject};

/// The sides in the order of the sheets.
const SIDES: [Side; 4] = [Side::South, Side::East, Side::North, Side::West];

/// What the elevations are drawn from.
pub struct Elevations<'e, 'a, 'b> {
    /// Boxes and what lies below them.
    pub site: &'e Site<'a, 'b>,
    /// Floors inside the boxes.
    pub interior: &'e Interior<'a, 'b>,
    /// Openings that fit.
    pub openings: &'e [Placement<'a>],
    /// Mate lines.
    pub seams: &'e [Seam],
}

/// One side, or a section looking as from that side, while it is drawn.
pub(crate) struct View {
    side: Side,
    pub parts: Vec<ElevationPart>,
    pub heights: Vec<Mark>,
    pub notes: Vec<String>,
    /// Whether an opening stands where nothing says that it does.
    pub spread: bool,
}

impl Elevations<'_, '_, '_> {
    /// One elevation for each side.
    pub fn figures(&self) -> Vec<Figure> {
        SIDES.into_iter().map(|side| self.figure(side)).collect()
    }

    fn figure(&self, side: Side) -> Figure {
        let mut view = View::from(side);
        self.foundation(&mut view);
        self.boxes(&mut view);
        self.mate_lines(&mut view);
        self.roof(&mut view);
        self.levels(&mut view);
        if view.spread {
            view.notes.push("openings without a position are spread along their face".to_owned());
        }
        let openings = [ElevationKind::Window, ElevationKind::GlazedDoor, ElevationKind::Door, ElevationKind::Hatch];
        let heads = [
            ("Modules", &[ElevationKind::Module][..]),
            ("Openings", &openings),
            ("Mate lines", &[ElevationKind::MateLine]),
            ("Roof", &[ElevationKind::Roof]),
        ];
        let words = format!("{} side as seen from outside.", name(side));
        view.figure("takeoff.elevation", format!("{} elevation", name(side)), words, &heads)
    }

    pub(crate) fn shown(&self, metres: f64) -> String {
        by_tape(metres, self.site.home.units)
    }

    /// Walls of the foundation above and below grade, grade itself, and the foundation's openings.
    fn foundation(&self, view: &mut View) {
        let parts = self.site.parts;
        let lowest = self.site.boxes.iter().filter(|placed| placed.level == 1).map(|placed| placed.spans[2].lo).min();
        let base = metres(lowest.unwrap_or(0));
        let mut grades = Vec::new();
        for (number, part) in parts.all.iter().enumerate() {
            let Ok(heights) = part.heights() else { continue };
            let (floor, grade) = (base - heights.height, base - heights.above_grade());
            grades.push(grade);
            let subject = Subject::from(part.path.as_str());
            let mut walls: Vec<(f64, f64)> = Vec::new();
            for edge in parts.walled(number).into_iter().filter(|edge| edge.side == view.side) {
                walls.push(view.along(edge.along));
            }
            walls.sort_by(|one, other| one.0.total_cmp(&other.0));
            for (from, to) in &walls {
                let words = format!(
                    "foundation wall, {} long, {} above grade, {} below",
                    self.shown(to - from),
                    self.shown(heights.above_grade()),
                    self.shown(heights.depth)
                );
                view.rect(ElevationKind::BelowGrade, &subject, "", words.clone(), [*from, floor, *to, grade]);
                view.rect(ElevationKind::Foundation, &subject, "", words, [*from, grade, *to, base]);
            }
            if number == 0 {
                let own = |placement: &&Placement<'_>| {
                    placement.opening.module == "foundation" && placement.opening.face == Face::from(view.side)
                };
                let openings: Vec<(&Id, &Opening)> =
                    self.openings.iter().filter(own).map(|placement| (placement.id, placement.opening)).collect();
                let start = walls.first().map_or(0.0, |(from, _)| *from);
                let free: Vec<(f64, f64)> = walls.iter().map(|(from, to)| (from - start, to - start)).collect();
                self.openings(view, &openings, &free, start, (floor, heights.height));
            }
        }
        grades.dedup();
        match grades.as_slice() {
            [grade] => {
                view.heights.push(Mark { label: "grade".to_owned(), value: *grade });
                let (from, to) = self.reach(view.side);
                let past = (to - from) * 0.04;
                view.parts.push(ElevationPart {
                    kind: ElevationKind::Grade,
                    label: String::new(),
                    subject: "foundation".to_owned(),
                    words: "finished grade".to_owned(),
                    outline: vec![(from - past, *grade), (to + past, *grade)],
                });
            }
            [] => view.notes.push("grade is not drawn: the home does not give its height".to_owned()),
            _ => view.notes.push("grade is not drawn: the parts of the foundation give several heights".to_owned()),
        }
    }

    /// The boxes that are seen, from far to near, each with its openings.
    fn boxes(&self, view: &mut View) {
        let face = Face::from(view.side);
        let (_, high) = direction(face);
        let seen = |(i, _): &(usize, &Placed)| self.site.open.get(*i).is_some_and(|open| open.of(face).area > 0.0);
        let mut boxes: Vec<(usize, &Placed)> = self.site.boxes.iter().enumerate().filter(seen).collect();
        boxes.sort_by_key(|(_, placed)| if high { placed.plane(face) } else { -placed.plane(face) });
        for (i, placed) in boxes {
            let ((from, to), low, top) =
                (view.along(placed.face(face).u), metres(placed.spans[2].lo), metres(placed.face(face).v.hi));
            let mut outline = vec![(from, low), (to, low), (to, top), (from, top)];
            if placed.is_gable(face) {
                let rises_right = placed.wedge.is_some_and(|wedge| wedge.up) == places::left_is_low(face);
                if let Some(corner) = outline.get_mut(if rises_right { 2 } else { 3 }) {
                    corner.1 += metres(placed.rise());
                }
            }
            let words =
                format!("module {}, {} long and {} high here", placed.id, self.shown(to - from), self.shown(top - low));
            let subject = Subject::element("modules", &placed.id);
            view.parts.push(ElevationPart {
                kind: ElevationKind::Module,
                label: placed.id.to_string(),
                subject: subject.to_string(),
                words,
                outline,
            });
            let own =
                |placement: &&Placement<'_>| placement.opening.module == placed.id && placement.opening.face == face;
            let openings: Vec<(&Id, &Opening)> =
                self.openings.iter().filter(own).map(|placement| (placement.id, placement.opening)).collect();
            let tallest = openings.iter().map(|(_, opening)| opening.height.si()).fold(0.0, f64::max);
            let free = places::free(self.site, (i, face), tallest);
            let below = self.interior.clear.as_ref().ok().and_then(|clear| clear.get(i)).map(|clear| clear.below);
            if below.is_none() && !openings.is_empty() {
                view.note("sills are drawn from the underside of the box: its floor is not known");
            }
            let floor = low + below.unwrap_or(0.0);
            self.openings(view, &openings, &free, from, (floor, top - floor));
        }
    }

    /// Openings on a wall that begins at `start` and stands on `floor`.
    fn openings(
        &self,
        view: &mut View,
        openings: &[(&Id, &Opening)],
        free: &[(f64, f64)],
        start: f64,
        (floor, wall): (f64, f64),
    ) {
        let placed = places::spread(openings, free);
        let wanted: u32 = openings.iter().map(|(_, opening)| opening.count).sum();
        if u32::try_from(placed.len()).is_ok_and(|count| count < wanted) {
            view.note("openings that find no room between the others are not drawn");
        }
        for place in placed {
            let opening = place.opening;
            let sill = places::sill(opening, wall);
            let words = places::told(&place, Some(sill), self.site.home.units);
            let kind = places::drawn_as(opening.kind).0;
            view.spread |= !place.given;
            let (from, to) = place.along();
            let subject = Subject::element("openings", place.id);
            let edges = [start + from, floor + sill, start + to, floor + sill + opening.height.si()];
            view.rect(kind, &subject, place.id.as_ref(), words, edges);
        }
    }

    /// The edges of mate lines that lie on this side.
    fn mate_lines(&self, view: &mut View) {
        let face = Face::from(view.side);
        let axis = direction(face).0;
        for seam in self.seams.iter().filter(|seam| seam.contact.axis != axis) {
            let contact = &seam.contact;
            let shows =
                seam.edges.iter().any(|edge| edge.face == face && edge.crossing.as_ref().is_ok_and(|m| *m > 0.0));
            let (Some(low), Some(high)) = (self.site.boxes.get(contact.low), self.site.boxes.get(contact.high)) else {
                continue;
            };
            if !shows {
                continue;
            }
            let middle = (metres(low.spans[contact.axis].hi) + metres(high.spans[contact.axis].lo)) / 2.0;
            let outline = if contact.axis == 2 {
                let along = if axis == 0 { contact.rect.v } else { contact.rect.u };
                let (from, to) = view.along(along);
                vec![(from, middle), (to, middle)]
            } else {
                // Level axes: the plane of the seam is u = the other level axis, v = z.
                let u = if places::left_is_low(face) { middle } else { -middle };
                vec![(u, metres(contact.rect.v.lo)), (u, metres(contact.rect.v.hi))]
            };
            let length = outline.first().zip(outline.last()).map_or(0.0, |(a, b)| (b.0 - a.0) + (b.1 - a.1));
            view.parts.push(ElevationPart {
                kind: ElevationKind::MateLine,
                label: seam.id.clone(),
                subject: seam.subject().to_string(),
                words: format!("mate line {}, {} on this side", seam.id, self.shown(length)),
                outline,
            });
        }
    }

    /// The gable roof over the uppermost boxes, where its form follows from the home.
    pub(crate) fn roof(&self, view: &mut View) {
        let boxes = self.site.boxes;
        let roof = &self.site.home.roof;
        if boxes.iter().any(|placed| placed.wedge.is_some()) {
            return;
        }
        let Some(slope) = roof.slope else {
            return view.note("the roof is not drawn: its slope is not given");
        };
        let level = boxes.iter().map(|placed| placed.level).max().unwrap_or(1);
        let top: Vec<&Placed> = boxes.iter().filter(|placed| placed.level == level).collect();
        let around = |axis: usize| {
            let (lo, hi) = (
                top.iter().map(|placed| placed.spans[axis].lo).min(),
                top.iter().map(|placed| placed.spans[axis].hi).max(),
            );
            Span::new(lo.unwrap_or(0), hi.unwrap_or(0))
        };
        let (x, y) = (around(0), around(1));
        let filled: i128 = top.iter().map(|placed| placed.plan().area()).sum();
        let whole = metres(x.length()) * metres(y.length());
        let slots = metres(GAP) * (metres(x.length()) + metres(y.length())) * top.len() as f64;
        let eaves: Vec<Nm> = top.iter().map(|placed| placed.spans[2].hi).collect();
        let level_top = eaves.iter().max().zip(eaves.iter().min()).is_some_and(|(high, low)| high - low <= GAP);
        let bare = boxes.iter().enumerate().any(|(i, placed)| {
            placed.level < level && self.site.open.get(i).is_some_and(|open| open.of(Face::Top).area > 0.01)
        });
        if whole - square_metres(filled) > slots || !level_top {
            return view.note("the roof is not drawn: the uppermost boxes fill no rectangle");
        }
        if bare {
            view.note("only the roof of the uppermost boxes is drawn");
        }
        let eave = metres(eaves.into_iter().max().unwrap_or(0));
        let runs_east = x.length() >= y.length();
        let across = metres(if runs_east { y.length() } else { x.length() });
        let over = roof.overhang.map_or(0.0, |overhang| overhang.si());
        let (ridge, foot) = (eave + slope.ratio * across / 2.0, eave - slope.ratio * over);
        let (from, to) = view.along(if direction(Face::from(view.side)).0 == 1 { x } else { y });
        let (from, to) = (from - over, to + over);
        let seen_from_eaves = (direction(Face::from(view.side)).0 == 1) == runs_east;
        let outline = if seen_from_eaves {
            vec![(from, foot), (to, foot), (to, ridge), (from, ridge)]
        } else {
            vec![(from, foot), (to, foot), ((from + to) / 2.0, ridge)]
        };
        let overhang = roof.overhang.map_or_else(String::new, |_| format!(", overhang {}", self.shown(over)));
        view.parts.push(ElevationPart {
            kind: ElevationKind::Roof,
            label: String::new(),
            subject: "roof".to_owned(),
            words: format!("roof, rising {} to the ridge{overhang}", self.shown(ridge - eave)),
            outline,
        });
        view.heights.push(Mark { label: "ridge".to_owned(), value: ridge });
        view.note("the roof is drawn as a gable along the longer side");
    }

    /// Heights to tell beside the drawing: the underside of each level's boxes and the top of the uppermost.
    pub(crate) fn levels(&self, view: &mut View) {
        let mut levels: std::collections::BTreeMap<u32, (Nm, Nm)> = std::collections::BTreeMap::new();
        for placed in self.site.boxes {
            let z = placed.reach()[2];
            let level = levels.entry(placed.level).or_insert((z.lo, z.hi));
            *level = (level.0.min(z.lo), level.1.max(z.hi));
        }
        let top = levels.values().map(|(_, hi)| *hi).max();
        let marks = levels.iter().map(|(level, (lo, _))| Mark { label: format!("level {level}"), value: metres(*lo) });
        view.heights.extend(marks);
        view.heights.extend(top.map(|top| Mark { label: "top of boxes".to_owned(), value: metres(top) }));
        view.heights.sort_by(|one, other| one.value.total_cmp(&other.value));
    }

    /// From where to where the home reaches, seen from a side (m).
    pub(crate) fn reach(&self, side: Side) -> (f64, f64) {
        let axis = 1 - direction(Face::from(side)).0;
        let spans = || self.site.boxes.iter().filter_map(|placed| placed.spans.get(axis));
        let whole =
            Span::new(spans().map(|span| span.lo).min().unwrap_or(0), spans().map(|span| span.hi).max().unwrap_or(0));
        along(side, whole)
    }
}

impl View {
    pub fn from(side: Side) -> View {
        View { side, parts: Vec::new(), heights: Vec::new(), notes: Vec::new(), spread: false }
    }

    /// The figure, with its parts told in words under heads.
    pub fn figure(
        self,
        key: &'static str,
        title: String,
        mut alternative: String,
        heads: &[(&str, &[ElevationKind])],
    ) -> Figure {
        for (head, kinds) in heads {
            let fits = self.parts.iter().filter(|part| kinds.contains(&part.kind));
            let mut told: Vec<String> = fits.map(|part| part.words.clone()).collect();
            told.dedup();
            if !told.is_empty() {
                alternative.push_str(&format!(" {head}: {}.", crate::plan::listed(told.into_iter())));
            }
        }
        let drawing = Drawing::Elevation { parts: self.parts, heights: self.heights, note: self.notes.join("; ") };
        Figure { subject: Subject::home(), key: key.into(), title, alternative, drawing }
    }

    pub fn along(&self, span: Span) -> (f64, f64) {
        along(self.side, span)
    }

    pub fn rect(
        &mut self,
        kind: ElevationKind,
        subject: &Subject,
        label: &str,
        words: String,
        [from, low, to, high]: [f64; 4],
    ) {
        self.parts.push(ElevationPart {
            kind,
            label: label.to_owned(),
            subject: subject.to_string(),
            words,
            outline: vec![(from, low), (to, low), (to, high), (from, high)],
        });
    }

    pub fn note(&mut self, words: &str) {
        if !self.notes.iter().any(|note| note == words) {
            self.notes.push(words.to_owned());
        }
    }
}

/// A span of the level axis along a side, from left to right as seen from outside (m).
fn along(side: Side, span: Span) -> (f64, f64) {
    let (lo, hi) = (metres(span.lo), metres(span.hi));
    if places::left_is_low(side.into()) { (lo, hi) } else { (-hi, -lo) }
}

fn name(side: Side) -> &'static str {
    match side {
        Side::North => "North",
        Side::East => "East",
        Side::South => "South",
        Side::West => "West",
    }
}
