//! Mate lines: how two boxes meet, over what area, and what length of the joint crosses the air barrier.

use crate::basis::{area, geometry, length, sum};
use crate::facts;
use crate::foundation::Below;
use crate::problems;
use mateline_boxes::Boxes;
use mateline_boxes::contact::Contact;
use mateline_boxes::coordinate::{Nm, Span, metres};
use mateline_boxes::placed::{Placed, direction, face_along, side_of};
use mateline_boxes::region::{intersection, merged};
use mateline_boxes::wedge::top_line;
use mateline_equation::equation;
use mateline_model::home::{Face, Home};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Pointer, Problem, Step, Subject, portable};
use mateline_sdk::{Findings, Lack};
use std::collections::BTreeSet;

equation! {
    /// Area in contact of two level faces. Source: geometry.
    pub(crate) ContactArea = "A = a·b" {
        A: Area "area in contact" [Units::AREA],
        a: Length "common length" [Units::LENGTH],
        b: Length "common height" [Units::LENGTH],
    }

    /// Gap between the facing sides of two boxes. Source: geometry.
    pub(crate) Gap = "g = p2 − (p1 + s1)" {
        g: Length "gap" [Units::THICKNESS],
        p2: Length "place of the higher box" [Units::LENGTH],
        p1: Length "place of the lower box" [Units::LENGTH],
        s1: Length "size of the lower box" [Units::LENGTH],
    }
}

/// One edge of the contact of two boxes.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// Which edge: the face both boxes have there.
    pub face: Face,
    /// How much of it crosses the air barrier (m), or why that is not known.
    pub crossing: Result<f64, Lack>,
}

/// What was found of one mate line.
#[derive(Clone, Debug)]
pub struct Seam {
    /// Its id: the two modules in the order of the file.
    pub id: String,
    /// The contact.
    pub contact: Contact,
    /// Its four edges.
    pub edges: Vec<Edge>,
}

impl Seam {
    /// Length that crosses the air barrier (m), where it is known.
    pub fn length(&self) -> Result<f64, &Lack> {
        self.edges.iter().map(|edge| edge.crossing.as_ref().copied()).sum()
    }

    /// Its subject.
    pub fn subject(&self) -> Subject {
        Subject::element("seams", &self.id)
    }
}

/// All mate lines, in the order of the file, with what lies below each box.
pub fn seams<'a>(boxes: &'a Boxes, below: &dyn Fn(usize) -> &'a Below) -> Vec<Seam> {
    let found = boxes.arrangement.contacts.iter().filter_map(|contact| {
        let (first, second) = contact.pair();
        let id = format!("{}-{}", boxes.placed.get(first)?.id, boxes.placed.get(second)?.id);
        let mut halves = Vec::new();
        for (number, is_low) in [(contact.low, true), (contact.high, false)] {
            halves.push(Half { boxes, number, placed: boxes.placed.get(number)?, is_low, below: below(number) });
        }
        Some(Seam { id, contact: contact.clone(), edges: edges(contact, &halves) })
    });
    found.collect()
}

/// One of the two boxes of a contact.
struct Half<'a> {
    boxes: &'a Boxes,
    number: usize,
    placed: &'a Placed,
    is_low: bool,
    below: &'a Below,
}

impl Half<'_> {
    /// The face that meets the other box.
    fn meeting(&self, contact: &Contact) -> Face {
        face_along(contact.axis, self.is_low)
    }

    /// Stretches of the contact's edge where this box ends and its own face beyond the edge is open.
    ///
    /// The air barrier is crossed where, going round the edge, there is outside somewhere. A box that goes on beyond
    /// the edge, or whose face there is covered by another box, leaves none on its side.
    fn open_along(&self, contact: &Contact, edge: Face) -> Result<Vec<Span>, Lack> {
        if !contact.ends(self.placed, self.is_low, edge) && !self.is_sloped_end(contact, edge) {
            return Ok(Vec::new());
        }
        if edge == Face::Bottom && self.placed.level == 1 {
            match self.below {
                Below::Unknown(lack) => return Err(lack.clone()),
                Below::Inside(_) => return Ok(Vec::new()),
                Below::Outside(_) => {}
            }
        }
        let meeting = self.meeting(contact);
        let mut stretches = self.boxes.open_along(self.number, edge, meeting);
        let is_high_side = self.placed.wedge.is_some_and(|wedge| direction(meeting) == (wedge.axis, wedge.up));
        if is_high_side && side_of(edge).is_some() {
            stretches.extend(self.boxes.open.get(self.number).iter().flat_map(|open| &open.of(edge).upright));
        }
        Ok(stretches)
    }

    fn is_sloped_end(&self, contact: &Contact, edge: Face) -> bool {
        edge == Face::Top && self.placed.is_gable(self.meeting(contact))
    }
}

fn edges(contact: &Contact, halves: &[Half<'_>]) -> Vec<Edge> {
    let mut edges = Vec::new();
    let sloped = halves.iter().any(|half| half.placed.is_gable(half.meeting(contact)));
    for axis in (0..3).filter(|axis| *axis != contact.axis) {
        let other = 3 - contact.axis - axis;
        let mut run = if other < axis { contact.rect.u } else { contact.rect.v };
        for high in [false, true] {
            let face = face_along(axis, high);
            if sloped && axis == 2 && high {
                edges.push(Edge { face, crossing: sloped_top(contact, halves) });
                continue;
            }
            if sloped && axis < 2 {
                run = Span::new(run.lo, top_at(contact, halves, high));
            }
            edges.push(Edge { face, crossing: crossing(contact, halves, face, run) });
        }
    }
    edges
}

/// Length of a straight edge where at least one of the two boxes leaves outside beside it.
fn crossing(contact: &Contact, halves: &[Half<'_>], face: Face, run: Span) -> Result<f64, Lack> {
    let mut stretches = Vec::new();
    for half in halves {
        stretches.extend(half.open_along(contact, face)?);
    }
    stretches.sort_unstable();
    let open = intersection(&merged(stretches.into_iter(), 0), &[run]);
    Ok(open.iter().map(|span| metres(span.length())).sum())
}

/// Height of the contact's upright edge at one end, below the lower of the two sloped tops.
fn top_at(contact: &Contact, halves: &[Half<'_>], high: bool) -> Nm {
    let u = if high { contact.rect.u.hi } else { contact.rect.u.lo };
    let tops = halves.iter().map(|half| top_line(half.placed, half.meeting(contact)).at(metres(u)));
    mateline_boxes::coordinate::nanometres(tops.fold(f64::INFINITY, f64::min))
}

/// Length of the top edge of a contact below sloped ceilings: along the lower of the two tops, wherever it is open.
fn sloped_top(contact: &Contact, halves: &[Half<'_>]) -> Result<f64, Lack> {
    let [a, b] = halves else { return Ok(0.0) };
    let lines = [a, b].map(|half| top_line(half.placed, half.meeting(contact)));
    let [first, second] = lines;
    let (from, to) = (metres(contact.rect.u.lo), metres(contact.rect.u.hi));
    let slope = first.slope - second.slope;
    let crossing = if slope.abs() > 1e-12 { (second.z0 - first.z0) / slope } else { from };
    let middle = crossing.clamp(from, to);
    let mut total = 0.0;
    for (u0, u1) in [(from, middle), (middle, to)] {
        let at = (u0 + u1) / 2.0;
        let (half, line) = if first.at(at) <= second.at(at) { (a, first) } else { (b, second) };
        if half.placed.wedge.is_some() {
            total += (u1 - u0) * portable::hypot(line.slope, 1.0);
        } else {
            let open = half.open_along(contact, Face::Top)?;
            let ends = |span: &Span| (metres(span.hi).min(u1) - metres(span.lo).max(u0)).max(0.0);
            total += open.iter().map(ends).sum::<f64>();
        }
    }
    Ok(total)
}

/// Facts of each mate line.
pub fn write(home: &Home, boxes: &[Placed], seams: &[Seam], findings: &mut Findings) {
    for seam in seams {
        let contact = &seam.contact;
        let (Some(low), Some(high)) = (boxes.get(contact.low), boxes.get(contact.high)) else { continue };
        let subject = seam.subject();
        let kind = if contact.axis == 2 { "stacked" } else { "side-by-side" };
        let (face, other) = contact.faces();
        let at = Pointer::noted(format!("{}.at", high.path()), format!("{} meets {} here", high.id, low.id));
        let how = format!("the {face} face of {} looks at the {other} face of {}", low.id, high.id);
        findings.text(&subject, &facts::SEAM_KIND, kind, geometry("boxes that touch").assuming(how));
        let step = contact_step(contact);
        let value = Area::from_si(contact.area);
        findings.fact_at(&subject, &facts::CONTACT_AREA, value, geometry("area common to both faces").step(step), at);
        let gap = gap_basis(home, contact, low, high);
        findings.fact(&subject, &facts::SEAM_GAP, Length::from_si(metres(contact.gap)), gap);
        match seam.length() {
            Ok(total) => {
                let known = |edge: &Edge| Some(length("", edge_meaning(edge), *edge.crossing.as_ref().ok()?));
                let terms = seam.edges.iter().filter_map(known).collect();
                let step = sum(length("L", "length that crosses the air barrier", total), terms);
                let basis = geometry("edges of the contact with outside beside them").step(step).assuming(
                    "an edge crosses the air barrier where at least one of the two boxes ends there and its face \
                     beyond the edge is open; where boxes meet all round the edge, it does not",
                );
                findings.fact(&subject, &facts::SEAM_LENGTH, Length::from_si(total), basis);
            }
            Err(lack) => findings.missing(&subject, &facts::SEAM_LENGTH, lack.because.clone(), lack.at.clone()),
        }
    }
}

fn edge_meaning(edge: &Edge) -> String {
    format!("open length of the {} edge", edge.face)
}

fn contact_step(contact: &Contact) -> Step {
    let (u, v) = (metres(contact.rect.u.length()), metres(contact.rect.v.length()));
    let names = match contact.axis {
        0 => ("common length along y", "common height"),
        1 => ("common length along x", "common height"),
        _ => ("common length along x", "common length along y"),
    };
    if (u * v - contact.area).abs() < 1e-9 {
        let step = ContactArea { a: Length::from_si(u), b: Length::from_si(v) }.step().1;
        return step.meaning(ContactArea::a, names.0).meaning(ContactArea::b, names.1);
    }
    Step::procedure("A = part of a·b below both sloped ceilings")
        .term(length("a", names.0, u))
        .term(length("b", names.1, v))
        .result(area("A", "area in contact", contact.area))
}

fn gap_basis(home: &Home, contact: &Contact, low: &Placed, high: &Placed) -> mateline_model::Basis {
    let axis = ["x", "y", "z"].get(contact.axis).copied().unwrap_or("z");
    let along = |value: Nm| Length::from_si(metres(value));
    let (first, second) = (low.spans[contact.axis], high.spans[contact.axis]);
    let gap = Gap { p2: along(second.lo), p1: along(first.lo), s1: along(first.length()) };
    let step = gap
        .step()
        .1
        .meaning(Gap::p2, format!("{axis} of {}", high.id))
        .given(Gap::p2, position(home, high, axis))
        .meaning(Gap::p1, format!("{axis} of {}", low.id))
        .given(Gap::p1, position(home, low, axis))
        .meaning(Gap::s1, format!("size of {} along {axis}", low.id))
        .given(Gap::s1, format!("{}.size.{axis}", low.path()));
    geometry("distance between the facing sides").step(step)
}

/// The path of a box's place, or of its level where its height follows from that.
fn position(home: &Home, placed: &Placed, axis: &str) -> String {
    let given = axis != "z" || home.modules.get(&placed.id).is_some_and(|module| module.at.z.is_some());
    if given { format!("{}.at.{axis}", placed.path()) } else { format!("{}.level", placed.path()) }
}

/// Entries of `seams` that describe no mate line found, and mate lines that share an id.
pub fn problems(home: &Home, seams: &[Seam], boxes: &[Placed]) -> Vec<Problem> {
    let mut names: BTreeSet<String> = BTreeSet::new();
    let mut problems = Vec::new();
    for seam in seams {
        let (first, second) = seam.contact.pair();
        let reversed = boxes.get(second).zip(boxes.get(first)).map(|(b, a)| format!("{}-{}", b.id, a.id));
        for name in std::iter::once(seam.id.clone()).chain(reversed) {
            if !names.insert(name.clone()) {
                let message = format!("two mate lines would both be called {name}");
                problems.push(problems::at(
                    "modules",
                    message,
                    "rename a module so that no id holds another's with a -",
                ));
            }
        }
    }
    for id in home.seams.keys().filter(|id| *id != "default" && !names.contains(id.as_ref())) {
        let mut near: Vec<(&str, f64)> =
            seams.iter().map(|seam| (seam.id.as_str(), strsim::jaro_winkler(&seam.id, id.as_ref()))).collect();
        near.sort_by(|a, b| b.1.total_cmp(&a.1));
        let near: Vec<&str> = near.iter().take(3).map(|(id, _)| *id).collect();
        let found = if near.is_empty() { "there is none".to_owned() } else { format!("nearest: {}", near.join(", ")) };
        let message = format!("no mate line {id} was found between the modules; {found}");
        problems.push(problems::at(
            format!("seams.{id}"),
            message,
            "name a mate line that exists, or move the modules",
        ));
    }
    problems
}
