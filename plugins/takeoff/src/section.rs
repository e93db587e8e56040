//! Figure: the home cut by one upright plane, with boxes, floors and ceilings, openings, mate lines, roof and what they stand
//! on.
//!
//! The plane stands across the longest mate line between boxes side by side, else across the longest of the lowest boxes:
//! in its middle, or beside that where it cuts more boxes.

use crate::cut::Plane;
use crate::elevations::{Elevations, View};
use crate::openings::Placement;
use crate::places;
use mateline_boxes::coordinate::{Nm, Span, metres};
use mateline_boxes::placed::Placed;
use mateline_boxes::region::difference;
use mateline_model::home::{Face, Id, Opening, SeamSeal, Side};
use mateline_model::{ElevationKind, ElevationPart, Figure, Subject};

/// What openings are drawn as.
const OPENINGS: [ElevationKind; 4] =
    [ElevationKind::Window, ElevationKind::GlazedDoor, ElevationKind::Door, ElevationKind::Hatch];
/// Where the plane is tried, as shares of the mate line.
const TRIED: [f64; 5] = [0.5, 0.4, 0.6, 0.3, 0.7];

impl Elevations<'_, '_, '_> {
    /// The section; none where there is no box.
    pub fn section(&self) -> Option<Figure> {
        let (plane, through) = self.plane()?;
        let mut view = View::from(if plane.axis == 0 { Side::East } else { Side::South });
        self.stands_on(plane, &mut view);
        self.cut_boxes(plane, &mut view);
        let seams = self.cut_seams(plane, &mut view);
        self.roof(&mut view);
        if seams.is_empty() {
            view.note("it cuts no mate line");
        }
        for (seal, ids) in seams {
            view.note(&format!("mate line {}: {seal}", ids.join(", ")));
        }
        self.opening_notes(&mut view);
        self.levels(&mut view);
        let concrete = [ElevationKind::Concrete, ElevationKind::Gravel, ElevationKind::Insulation];
        let thin = [ElevationKind::Layer, ElevationKind::Sheet, ElevationKind::Frost];
        let heads = [
            ("Modules", &[ElevationKind::Module][..]),
            ("Floors and ceilings", &[ElevationKind::Floor, ElevationKind::Ceiling]),
            ("Openings", &OPENINGS),
            ("Clear heights", &[ElevationKind::Clear]),
            ("Mate lines", &[ElevationKind::MateLine]),
            ("Roof", &[ElevationKind::Roof]),
            ("Foundation", &concrete),
            ("Also", &thin),
        ];
        let looking =
            if plane.axis == 0 { "from the east, south at the left" } else { "from the south, west at the left" };
        let words = format!("The home cut {through}, seen {looking}.");
        Some(view.figure("takeoff.section", format!("Section {through}"), words, &heads))
    }

    /// The plane, and what it goes through in words.
    fn plane(&self) -> Option<(Plane, String)> {
        let boxes = self.site.boxes;
        let beside = self.seams.iter().filter(|seam| seam.contact.axis < 2);
        let longest = beside
            .reduce(|best, seam| if seam.contact.rect.u.length() > best.contact.rect.u.length() { seam } else { best });
        let (axis, span, through) = match longest {
            Some(seam) => (1 - seam.contact.axis, seam.contact.rect.u, format!("through mate line {}", seam.id)),
            None => {
                let length = |placed: &Placed| placed.spans[0].length().max(placed.spans[1].length());
                let lowest = boxes.iter().filter(|placed| placed.level == 1);
                let longest = lowest.reduce(|best, one| if length(one) > length(best) { one } else { best })?;
                let axis = usize::from(!longest.runs_east());
                (axis, longest.spans.get(axis).copied()?, format!("through module {}", longest.id))
            }
        };
        let at = |share: f64| Plane { axis, at: span.lo + (span.length() as f64 * share) as Nm };
        let count = |plane: Plane| boxes.iter().filter(|placed| plane.cuts(placed)).count();
        let planes = TRIED.into_iter().map(at);
        let plane = planes.reduce(|best, plane| if count(plane) > count(best) { plane } else { best })?;
        Some((plane, through))
    }

    /// The boxes that are cut: outline, floor, ceiling, exterior walls and clear height.
    fn cut_boxes(&self, plane: Plane, view: &mut View) {
        let clear = self.interior.clear.as_ref().ok();
        let floors = self.interior.floors.as_ref().ok();
        for (i, placed) in self.site.boxes.iter().enumerate().filter(|(_, placed)| plane.cuts(placed)) {
            let span = placed.spans[plane.along()];
            let low = metres(placed.spans[2].lo);
            let subject = Subject::element("modules", &placed.id);
            let part = |kind, label: &str, words: String, outline| ElevationPart {
                kind,
                label: label.to_owned(),
                subject: subject.to_string(),
                words,
                outline,
            };
            let (from, to) = view.along(span);
            let top = |at: f64| top(placed, plane, at);
            let words = format!("module {}, {} wide here", placed.id, self.shown(to - from));
            let outline = vec![(from, low), (to, low), (to, top(to)), (from, top(from))];
            view.parts.push(part(ElevationKind::Module, placed.id.as_ref(), words, outline));
            let Some(clear) = clear.and_then(|clear| clear.get(i)) else {
                view.note("floors and ceilings are not drawn: their thickness is not known");
                continue;
            };
            let floor = low + clear.below;
            let words = format!("floor of {}, {} inside the box", placed.id, self.shown(clear.below));
            let outline = vec![(from, low), (to, low), (to, floor), (from, floor)];
            view.parts.push(part(ElevationKind::Floor, "", words, outline));
            let words = format!("ceiling of {}, {} inside the box", placed.id, self.shown(clear.above));
            let under = |at: f64| top(at) - clear.above;
            let outline = vec![(from, under(from)), (to, under(to)), (to, top(to)), (from, top(from))];
            view.parts.push(part(ElevationKind::Ceiling, "", words, outline));
            let inside = floors.and_then(|floors| floors.get(i)).map(|floor| plane.of(&floor.region));
            let walls = difference(&[span], &inside.unwrap_or_else(|| vec![span]));
            for wall in &walls {
                let (from, to) = view.along(*wall);
                let words = format!("exterior wall of {}, {} inside the box", placed.id, self.shown(to - from));
                let outline = vec![(from, floor), (to, floor), (to, under(to)), (from, under(from))];
                view.parts.push(part(ElevationKind::Wall, "", words, outline));
            }
            self.cut_openings(plane, view, (i, placed), (&walls, floor));
            let middle = from + (to - from) * 0.88;
            let height = under(middle) - floor;
            let words = format!("{} clear in {} here", self.shown(height), placed.id);
            let outline = vec![(middle, floor), (middle, under(middle))];
            view.parts.push(part(ElevationKind::Clear, &self.shown(height), words, outline));
        }
    }

    /// The openings that the plane goes through, each in the exterior wall at its end of a box.
    fn cut_openings(
        &self,
        plane: Plane,
        view: &mut View,
        (i, placed): (usize, &Placed),
        (walls, floor): (&[Span], f64),
    ) {
        let span = placed.spans[plane.along()];
        let faces = if plane.axis == 0 { [Face::South, Face::North] } else { [Face::West, Face::East] };
        for (face, is_low) in faces.into_iter().zip([true, false]) {
            let ends = |wall: &&Span| if is_low { wall.lo == span.lo } else { wall.hi == span.hi };
            let Some(wall) = walls.iter().find(ends) else { continue };
            let own = |one: &&Placement<'_>| one.opening.module == placed.id && one.opening.face == face;
            let here: Vec<(&Id, &Opening)> =
                self.openings.iter().filter(own).map(|one| (one.id, one.opening)).collect();
            let tallest = here.iter().map(|(_, opening)| opening.height.si()).fold(0.0, f64::max);
            let (u, top) = (placed.face(face).u, metres(placed.face(face).v.hi));
            for place in places::spread(&here, &places::free(self.site, (i, face), tallest)) {
                let (left, right) = place.along();
                let at = metres(plane.at);
                let (low, high) = if places::left_is_low(face) {
                    (metres(u.lo) + left, metres(u.lo) + right)
                } else {
                    (metres(u.hi) - right, metres(u.hi) - left)
                };
                if at < low || at > high {
                    continue;
                }
                let sill = floor + places::sill(place.opening, top - floor);
                let words = places::told(&place, Some(sill - floor), self.site.home.units);
                view.spread |= !place.given;
                let (from, to) = view.along(*wall);
                let edges = [from, sill, to, sill + place.opening.height.si()];
                let subject = Subject::element("openings", place.id);
                view.rect(places::drawn_as(place.opening.kind).0, &subject, place.id.as_ref(), words, edges);
            }
        }
    }

    /// What is to be known of the openings.
    fn opening_notes(&self, view: &mut View) {
        if !view.parts.iter().any(|part| OPENINGS.contains(&part.kind)) {
            view.note("it cuts no opening");
        }
        if view.spread {
            view.note("openings without a position are spread along their face");
        }
        if self.openings.iter().any(|one| one.opening.module == "foundation") {
            view.note("openings of the foundation are left out");
        }
    }

    /// The mate lines that are cut; returns what closes them, with the ids of those closed alike.
    fn cut_seams(&self, plane: Plane, view: &mut View) -> Vec<(String, Vec<String>)> {
        let mut alike: Vec<(String, Vec<String>)> = Vec::new();
        for seam in self.seams.iter().filter(|seam| seam.contact.axis != plane.axis) {
            let contact = &seam.contact;
            let (Some(low), Some(high)) = (self.site.boxes.get(contact.low), self.site.boxes.get(contact.high)) else {
                continue;
            };
            // Across x a level contact lies along its v, which is y; an upright one has the plane's axis as its u.
            let (across, along) = if contact.axis == 2 && plane.axis == 1 {
                (contact.rect.v, contact.rect.u)
            } else {
                (contact.rect.u, contact.rect.v)
            };
            if !plane.is_in(across) {
                continue;
            }
            let middle = (metres(low.spans[contact.axis].hi) + metres(high.spans[contact.axis].lo)) / 2.0;
            let (from, to) = view.along(along);
            let outline =
                if contact.axis == 2 { vec![(from, middle), (to, middle)] } else { vec![(middle, from), (middle, to)] };
            let closed = self.closed_by(&seam.id, metres(contact.gap));
            view.parts.push(ElevationPart {
                kind: ElevationKind::MateLine,
                label: seam.id.clone(),
                subject: seam.subject().to_string(),
                words: format!("mate line {}, {closed}", seam.id),
                outline,
            });
            match alike.iter_mut().find(|(known, _)| *known == closed) {
                Some((_, ids)) => ids.push(seam.id.clone()),
                None => alike.push((closed, vec![seam.id.clone()])),
            }
        }
        alike
    }

    /// Gap, seals and detail of a mate line in words.
    fn closed_by(&self, id: &str, gap: f64) -> String {
        let mut words = if gap > 0.0 { format!("gap {}", self.shown(gap)) } else { "drawn without a gap".to_owned() };
        let Some((_, seam)) = self.site.home.seam(id) else { return words + ", seal not given" };
        let seals: Vec<&str> = seam.sealed_by.iter().map(|seal| seal_word(*seal)).collect();
        words += &format!(", {}", if seals.is_empty() { "seal not given".to_owned() } else { seals.join(" and ") });
        if let Some(detail) = &seam.detail {
            words += &format!(", detail {detail}");
        }
        words
    }
}

/// The top of a box where the plane cuts it, at a place along the section (m).
fn top(placed: &Placed, plane: Plane, at: f64) -> f64 {
    let low = metres(placed.spans[2].hi);
    let Some(wedge) = placed.wedge else { return low };
    let span = placed.spans[wedge.axis];
    let place = if wedge.axis == plane.axis { metres(plane.at) } else { at };
    let run = if wedge.up { place - metres(span.lo) } else { metres(span.hi) - place };
    low + wedge.ratio * run
}

fn seal_word(seal: SeamSeal) -> &'static str {
    match seal {
        SeamSeal::FactoryGasket => "factory gasket",
        SeamSeal::SiteGasket => "site gasket",
        SeamSeal::SiteTape => "site tape",
        SeamSeal::SiteSealant => "site sealant",
        SeamSeal::SiteFoam => "site foam",
        SeamSeal::Membrane => "membrane",
    }
}
