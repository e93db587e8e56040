//! What the boxes stand on in a section: walls, footings, the floor below, grade and frost.
//!
//! Assumptions, for the drawing alone: a foundation wall of which no assembly is given is 8 in thick (common practice, no
//! source), and a footing stands below the middle of its wall's concrete.

use crate::cut::Plane;
use crate::elevations::{Elevations, View};
use crate::foundation::Heights;
use mateline_boxes::coordinate::{GAP, Span, metres, nanometres};
use mateline_boxes::region::difference;
use mateline_layers::{Layer, Layers};
use mateline_model::home::{Footing, Foundation, FoundationKind, Id, MaterialKind, Side};
use mateline_model::{ElevationKind, ElevationPart, Mark, Subject};

/// Thickness of a foundation wall of which no assembly is given (m): 8 in.
const WALL: f64 = 0.2032;
/// What is thinner is drawn as a line (m).
const SHEET: f64 = 0.003;

/// A layer of a foundation as it is drawn.
struct Strip {
    kind: ElevationKind,
    thickness: f64,
    words: String,
}

/// What the walls of a part stand on.
struct Foot<'a> {
    /// The footing, with the height of its underside (m); none where that is not known.
    footing: Option<(&'a Footing, f64)>,
    /// Height of grade (m).
    grade: f64,
    /// Where the walls begin (m).
    top: f64,
}

impl Elevations<'_, '_, '_> {
    /// What the boxes stand on where it is cut, grade and frost.
    pub(crate) fn stands_on(&self, plane: Plane, view: &mut View) {
        let Some(foundation) = &self.site.home.foundation else {
            return view.note("nothing is drawn below the boxes: the home has no foundation");
        };
        let lowest = self.site.boxes.iter().filter(|placed| placed.level == 1).map(|placed| placed.spans[2].lo).min();
        let base = metres(lowest.unwrap_or(0));
        let mut grades: Vec<f64> = Vec::new();
        let mut ends = (f64::INFINITY, f64::NEG_INFINITY);
        for number in 0..self.site.parts.all.len() {
            let Some(part) = self.site.parts.all.get(number) else { continue };
            let spans = plane.of(&part.outline.region);
            if spans.is_empty() {
                continue;
            }
            for span in &spans {
                let (from, to) = view.along(*span);
                ends = (ends.0.min(from), ends.1.max(to));
            }
            let except = number.checked_sub(1).and_then(|index| foundation.except.get(index));
            let kind = except.map_or(foundation.kind, |except| except.kind);
            let footing = except.and_then(|except| except.footing.as_ref()).or(foundation.footing.as_ref());
            let heights = match kind {
                FoundationKind::Piers => part.height().map(|height| Heights { height, depth: 0.0 }),
                _ => part.heights(),
            };
            if kind == FoundationKind::Piers {
                view.note("piers are not drawn: the home does not say where they stand");
            }
            let heights = match (heights, kind) {
                (Ok(heights), _) => heights,
                (Err(_), FoundationKind::Slab) => Heights { height: 0.0, depth: f64::NAN },
                (Err(lack), _) => {
                    view.note(&format!("what is below the boxes is not drawn: {}", lack.because));
                    continue;
                }
            };
            let floor = base - heights.height;
            let grade = floor + heights.depth;
            if grade.is_finite() {
                grades.push(grade);
            }
            let subject = Subject::from(part.path.as_str());
            let underside = footing.and_then(|footing| Some((footing, grade - footing.depth?.si())));
            let underside = underside.filter(|(_, at)| at.is_finite());
            let foot = underside.map_or(floor, |(footing, at)| at + footing.thickness.si());
            let inner = if kind == FoundationKind::Piers {
                spans
            } else {
                let foot = Foot { footing: underside, grade, top: foot.min(base) };
                self.walls(plane, view, (number, &subject), (foundation, &foot, base), spans)
            };
            match (underside, footing) {
                (Some((_, at)), _) => mark(view, "footing", at),
                (None, Some(_)) => view.note("the footing is not drawn: its depth below grade is not given"),
                (None, None) => view.note("the footing is not drawn: it is not given"),
            }
            if kind != FoundationKind::Piers {
                let own = if except.is_none() { foundation.floor.as_ref() } else { None };
                self.ground_floor(view, &subject, foundation, own, (&inner, floor));
                mark(view, "floor below", floor);
            }
            if heights.height > 0.0 && kind != FoundationKind::Piers {
                for span in &inner {
                    let (from, to) = view.along(*span);
                    let middle = from + (to - from) * 0.88;
                    view.parts.push(ElevationPart {
                        kind: ElevationKind::Clear,
                        label: self.shown(heights.height),
                        subject: subject.to_string(),
                        words: format!("{} from the floor below to the boxes", self.shown(heights.height)),
                        outline: vec![(middle, floor), (middle, base)],
                    });
                }
            }
        }
        grades.sort_by(f64::total_cmp);
        grades.dedup();
        match grades.as_slice() {
            [grade] => self.ground(view, *grade, ends),
            [] => view.note("grade is not drawn: the home does not give its height"),
            _ => view.note("grade is not drawn: the parts of the foundation give several heights"),
        }
    }

    /// The walls of a part that are cut, with their footings; returns what is left between them.
    fn walls(
        &self,
        plane: Plane,
        view: &mut View,
        (number, subject): (usize, &Subject),
        (foundation, foot, base): (&Foundation, &Foot<'_>, f64),
        mut inner: Vec<Span>,
    ) -> Vec<Span> {
        let wall = self.wall(foundation);
        for edge in self.site.parts.walled(number) {
            let (axis, low) = match edge.side {
                Side::West => (0, true),
                Side::East => (0, false),
                Side::South => (1, true),
                Side::North => (1, false),
            };
            if axis != plane.along() || !plane.is_in(edge.along) {
                continue;
            }
            let place = (metres(edge.at), if low { 1.0 } else { -1.0 });
            let (inside, middle) = draw_wall(view, subject, &wall, place, (foot.top, base));
            let thick = nanometres(inside);
            let taken = if low { Span::new(edge.at, edge.at + thick) } else { Span::new(edge.at - thick, edge.at) };
            inner = difference(&inner, &[taken]);
            if let Some((footing, underside)) = foot.footing {
                let half = footing.width.si() / 2.0;
                let words = format!(
                    "footing, {} wide and {} thick, underside {} below grade",
                    self.shown(footing.width.si()),
                    self.shown(footing.thickness.si()),
                    self.shown(foot.grade - underside)
                );
                let edges = [middle - half, underside, middle + half, underside + footing.thickness.si()];
                view.rect(ElevationKind::Concrete, subject, "", words, edges);
            }
        }
        inner
    }

    /// Grade beside the home, and how deep the ground freezes.
    fn ground(&self, view: &mut View, grade: f64, (from, to): (f64, f64)) {
        mark(view, "grade", grade);
        let past = (to - from) * 0.12;
        let mut lines = vec![(ElevationKind::Grade, "foundation", "finished grade".to_owned(), grade)];
        if let Some(frost) = self.site.home.site.frost_depth {
            let words = format!("frost reaches {} below grade", self.shown(frost.si()));
            lines.push((ElevationKind::Frost, "site", words, grade - frost.si()));
            mark(view, "frost depth", grade - frost.si());
        }
        for (kind, subject, words, at) in lines {
            for outline in [vec![(from - past, at), (from, at)], vec![(to, at), (to + past, at)]] {
                let part = ElevationPart {
                    kind,
                    label: String::new(),
                    subject: subject.to_owned(),
                    words: words.clone(),
                    outline,
                };
                view.parts.push(part);
            }
        }
    }

    /// Layers of the foundation's wall inside and outside of the face of the boxes, from that face.
    fn wall(&self, foundation: &Foundation) -> (Vec<Strip>, Vec<Strip>) {
        let assembly = foundation.wall.as_ref().and_then(|id| Some((id, self.site.home.assemblies.get(id)?)));
        let layers = assembly.and_then(|(id, assembly)| Some((id, Layers::of(self.site.home, id, assembly).ok()?)));
        let Some((id, layers)) = layers else {
            let words = format!("foundation wall, {} thick (drawn so, not given)", self.shown(WALL));
            return (vec![Strip { kind: ElevationKind::Concrete, thickness: WALL, words }], Vec::new());
        };
        let inside = layers.inside_face();
        let strips = |layers: &mut dyn Iterator<Item = &Layer<'_>>| layers.map(|layer| self.strip(id, layer)).collect();
        (strips(&mut inside.iter().rev()), strips(&mut layers.all.iter().skip(inside.len())))
    }

    fn strip(&self, id: &Id, layer: &Layer<'_>) -> Strip {
        let thickness = layer.depth().map_or(0.0, |depth| depth.si());
        let matter = layer.clear();
        let kind = match matter.and_then(|matter| matter.kind()) {
            _ if thickness < SHEET => ElevationKind::Sheet,
            Some(MaterialKind::Masonry) => ElevationKind::Concrete,
            Some(MaterialKind::Ground) => ElevationKind::Gravel,
            Some(MaterialKind::FoamInsulation | MaterialKind::FibreInsulation) => ElevationKind::Insulation,
            _ => ElevationKind::Layer,
        };
        let name = matter.map_or("ventilated cavity", |matter| matter.name());
        let thick = if thickness < SHEET { String::new() } else { format!(", {}", self.shown(thickness)) };
        Strip { kind, thickness, words: format!("{name}{thick}, of {id}") }
    }

    /// The floor below the boxes: its layers, or a sheet on the ground.
    fn ground_floor(
        &self,
        view: &mut View,
        subject: &Subject,
        foundation: &Foundation,
        assembly: Option<&Id>,
        (spans, floor): (&[Span], f64),
    ) {
        let layers = assembly.and_then(|id| {
            let layers = Layers::of(self.site.home, id, self.site.home.assemblies.get(id)?).ok()?;
            Some(layers.all.iter().map(|layer| self.strip(id, layer)).collect::<Vec<Strip>>())
        });
        let strips = layers.unwrap_or_else(|| {
            let words = match foundation.ground_cover {
                Some(_) => "sheet on the ground",
                None => "floor below the boxes: nothing says what it is",
            };
            vec![Strip { kind: ElevationKind::Sheet, thickness: 0.0, words: words.to_owned() }]
        });
        for span in spans.iter().filter(|span| span.length() > GAP) {
            let (from, to) = view.along(*span);
            let mut top = floor;
            for strip in &strips {
                draw(view, subject, strip, [from, top - strip.thickness, to, top]);
                top -= strip.thickness;
            }
        }
    }
}

/// Draws a wall; returns how thick it is inside the face of the boxes, and where the middle of its concrete is.
fn draw_wall(
    view: &mut View,
    subject: &Subject,
    (inside, outside): &(Vec<Strip>, Vec<Strip>),
    (face, inwards): (f64, f64),
    (low, high): (f64, f64),
) -> (f64, f64) {
    let mut concrete: Option<(f64, f64)> = None;
    let mut thick = 0.0;
    for (strips, direction) in [(inside, inwards), (outside, -inwards)] {
        let mut at = face;
        for strip in strips {
            let end = at + direction * strip.thickness;
            if strip.kind == ElevationKind::Concrete {
                concrete = Some(concrete.map_or((at, end), |(first, _)| (first, end)));
            }
            if low < high {
                draw(view, subject, strip, [at.min(end), low, at.max(end), high]);
            }
            at = end;
        }
        if direction == inwards {
            thick = (at - face).abs();
        }
    }
    let (from, to) = concrete.unwrap_or((face, face + inwards * thick));
    (thick, (from + to) / 2.0)
}

/// Draws a layer, or a line where it is a sheet: along its longer side.
fn draw(view: &mut View, subject: &Subject, strip: &Strip, [from, low, to, high]: [f64; 4]) {
    if strip.kind == ElevationKind::Sheet {
        let outline =
            if high - low > to - from { vec![(from, low), (from, high)] } else { vec![(from, high), (to, high)] };
        let (words, label) = (strip.words.clone(), String::new());
        view.parts.push(ElevationPart { kind: strip.kind, label, subject: subject.to_string(), words, outline });
    } else {
        view.rect(strip.kind, subject, "", strip.words.clone(), [from, low, to, high]);
    }
}

/// A height told beside the section, once.
fn mark(view: &mut View, label: &str, value: f64) {
    if !view.heights.iter().any(|known| known.label == label && known.value == value) {
        view.heights.push(Mark { label: label.to_owned(), value });
    }
}
