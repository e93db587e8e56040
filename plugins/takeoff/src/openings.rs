//! Openings: what each is taken off, and the facts of each.

use crate::basis::{area, geometry, sum};
use crate::enclosure::{Envelope, On, Orientation};
use crate::facts;
use mateline_equation::equation;
use mateline_model::home::{Boundary, Home, Id, Opening, OpeningKind};
use mateline_model::quantity::{Area, Units};
use mateline_model::{Pointer, Step, Subject};
use mateline_sdk::Findings;

equation! {
    /// Rough opening, all that are alike. Source: geometry.
    pub(crate) OpeningArea = "A = n·w·h" {
        A: Area "area" [Units::AREA],
        n: f64 "count" [Units::plain(0)],
        w: Length "width" [Units::LENGTH],
        h: Length "height" [Units::LENGTH],
    }
}

/// The rough area of an opening.
pub(crate) fn opening_area(opening: &Opening) -> OpeningArea {
    OpeningArea { n: f64::from(opening.count), w: opening.width, h: opening.height }
}

/// Where an opening is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Host {
    /// In a patch of the envelope, by its position.
    Patch(usize),
    /// In the wall of a foundation outside the envelope.
    OutsideEnvelope,
    /// In a face on which nothing says what stands.
    Unknown,
}

/// An opening that fits.
#[derive(Clone, Debug)]
pub struct Placement<'a> {
    /// Its id.
    pub id: &'a Id,
    /// The opening.
    pub opening: &'a Opening,
    /// Count times width times height (m²).
    pub area: f64,
    /// Where it is.
    pub host: Host,
    /// The part of a basement window that is below grade, and the patch it is taken off.
    pub below_grade: Option<(usize, f64)>,
}

impl Placement<'_> {
    /// Whether it is part of the thermal envelope.
    pub fn counts(&self, envelope: &Envelope<'_>) -> bool {
        match self.host {
            Host::Patch(patch) => envelope.patches.get(patch).is_some_and(|patch| patch.counts()),
            Host::OutsideEnvelope => false,
            Host::Unknown => true,
        }
    }

    /// Whether it is a window, a glazed door or a skylight.
    pub fn is_glazed(&self) -> bool {
        is_glazed(self.opening.kind)
    }

    /// Whether it looks into a garage or another space that stands there. A skylight over an attic has its shaft.
    fn is_indoors(&self, envelope: &Envelope<'_>) -> bool {
        let Host::Patch(patch) = self.host else { return false };
        let patch = envelope.patches.get(patch).filter(|patch| matches!(patch.on, On::Box(..)));
        patch.is_some_and(|patch| !matches!(patch.boundary, Boundary::Outdoor | Boundary::Attic))
    }

    /// (patch, area taken off it).
    pub fn taken(&self) -> impl Iterator<Item = (usize, f64)> {
        let below = self.below_grade.map_or(0.0, |(_, area)| area);
        let main = match self.host {
            Host::Patch(patch) => Some((patch, self.area - below)),
            _ => None,
        };
        main.into_iter().chain(self.below_grade)
    }
}

/// Facts of each opening.
pub fn write(envelope: &Envelope<'_>, placed: &[Placement<'_>], findings: &mut Findings) {
    for placement in placed {
        let subject = Subject::element("openings", placement.id);
        let path = format!("openings.{}", placement.id);
        let opening = placement.opening;
        let (value, step) = opening_area(opening).step();
        let step = step
            .given(OpeningArea::n, format!("{path}.count"))
            .given(OpeningArea::w, format!("{path}.width"))
            .given(OpeningArea::h, format!("{path}.height"));
        let basis = geometry("rough opening").step(step);
        findings.fact_at(&subject, &facts::AREA, value, basis, Pointer::new(&path));
        let patch = match placement.host {
            Host::Patch(patch) => envelope.patches.get(patch),
            Host::OutsideEnvelope => {
                let basis = geometry("openings of a foundation outside the thermal envelope");
                findings.text(&subject, &facts::BOUNDARY, "outside-envelope", basis);
                continue;
            }
            Host::Unknown => None,
        };
        match patch {
            Some(patch) => {
                // A basement window below grade looks into its well.
                let in_foundation = !matches!(patch.on, On::Box(..));
                let (boundary, orientation) = if in_foundation {
                    ("outdoor".to_owned(), Orientation::from(opening.face))
                } else {
                    (patch.boundary.to_string(), patch.orientation)
                };
                let mut basis =
                    geometry("what stands on the face").assuming(format!("{} says what stands there", patch.source));
                if patch.share < 1.0 && !patch.excepted {
                    basis = basis.assuming("openings are in the part of the face that no exception covers");
                }
                if placement.below_grade.is_some() {
                    basis = basis.assuming("the part below grade is in a window well, and taken off the wall there");
                }
                findings.text(&subject, &facts::ASSEMBLY, patch.id.to_string(), basis.clone());
                findings.text(&subject, &facts::BOUNDARY, boundary, basis.clone());
                findings.text(&subject, &facts::ORIENTATION, orientation.to_string(), basis);
            }
            None => {
                let lack = envelope.lacks.first();
                let because = lack.map_or("nothing says what stands on the face", |lack| lack.because.as_str());
                let at = lack.and_then(|lack| lack.at.clone());
                for definition in [&facts::ASSEMBLY, &facts::BOUNDARY, &facts::ORIENTATION] {
                    findings.missing(&subject, definition, because, at.clone());
                }
            }
        }
    }
}

/// Glazing of every room to the outdoors, by the openings that name it.
pub fn write_rooms(home: &Home, envelope: &Envelope<'_>, placed: &[Placement<'_>], findings: &mut Findings) {
    let indoors: Vec<&Id> = placed.iter().filter(|place| place.is_indoors(envelope)).map(|place| place.id).collect();
    for id in home.spaces.keys() {
        let subject = Subject::element("spaces", id);
        let serving = || home.openings.iter().filter(|(_, opening)| opening.space.as_ref() == Some(id));
        if serving().next().is_none() {
            let at = if home.openings.is_empty() { "openings" } else { subject.as_str() };
            let at = Some(Pointer::new(at));
            findings.missing(&subject, &facts::GLAZED_AREA, format!("no opening says that it serves {id}"), at);
            continue;
        }
        let mut total = 0.0;
        let glazed = serving().filter(|(id, opening)| is_glazed(opening.kind) && !indoors.contains(id));
        let terms = glazed.map(|(id, opening)| {
            let rough = opening_area(opening).value().si();
            total += rough;
            area("A", format!("openings.{id}"), rough).given(format!("openings.{id}"))
        });
        let terms = terms.collect();
        let step = sum(area("A", "glazed openings of the room", total), terms);
        let basis = geometry("rough openings")
            .step(step)
            .assuming("the rough opening stands for its glass")
            .assuming("glass towards a garage or another space of the building lets no daylight in");
        findings.fact(&subject, &facts::GLAZED_AREA, Area::from_si(total), basis);
    }
}

/// Whether an opening is a window, a glazed door or a skylight.
fn is_glazed(kind: OpeningKind) -> bool {
    matches!(kind, OpeningKind::Window | OpeningKind::GlazedDoor | OpeningKind::Skylight)
}

/// The sum of the areas of some openings, as a step.
pub fn sum_of<'p>(meaning: &str, placed: impl Iterator<Item = &'p Placement<'p>>) -> (f64, Step) {
    let mut total = 0.0;
    let terms = placed
        .map(|placement| {
            total += placement.area;
            let subject = Subject::element("openings", placement.id);
            area("A", format!("openings.{}", placement.id), placement.area).fact(&subject, "takeoff.area")
        })
        .collect();
    let step = sum(area("A", meaning, total), terms);
    (total, step)
}
