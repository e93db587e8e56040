//! Takeoff: what follows from where the boxes stand.
//!
//! A home is a heap of boxes. From their places and sizes this plugin works out what is outside and what is inside, how
//! large it is, where boxes meet, and what stands on each face. It judges nothing: limits live in `rules/`.
//!
//! In this order:
//!
//! 1. [`mateline_boxes`]: where the boxes stand, which of them touch and what of their faces is open. Boxes deeper in one
//!    another than 1 mm, boxes that float and heaps apart from one another are [`problems`].
//! 2. [`seams`]: the mate lines, with the length of each that crosses the air barrier.
//! 3. [`enclosure`], [`foundation`] and its [`parts`]: what stands on the open faces and what lies behind them.
//! 4. [`fit`], [`places`] and [`openings`]: whether openings fit, where they stand, and what they are taken off.
//! 5. [`floors`], [`interior`], [`cellar`]: floor area, volume and envelope area inside the exterior walls.
//! 6. [`surfaces`], [`modules`], [`weights`], [`whole`]: facts; [`plan`], [`elevations`], [`section`]: figures.
//!
//! Assumptions: boxes are measured over framing and sheathing ([`mateline_layers::face`] says which layers that is). All
//! results follow from geometry alone; there is no outside source but the usual width of a marriage gap (common practice,
//! no source).

pub mod basis;
mod below;
pub mod cellar;
mod cut;
pub mod elevations;
pub mod enclosure;
pub mod facts;
pub mod fit;
pub mod floors;
pub mod foundation;
mod holes;
pub mod interior;
pub mod layers;
pub mod modules;
pub mod openings;
pub mod parts;
pub mod places;
pub mod plan;
pub mod problems;
#[cfg(test)]
mod samples;
pub mod seams;
pub mod section;
pub mod surfaces;
pub mod weights;
pub mod whole;

pub use facts::quantities;

use enclosure::Site;
use interior::Interior;
use mateline_boxes::Boxes;
use mateline_boxes::outline::Outline;
use mateline_model::Equation;
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};
use parts::Parts;
use whole::Whole;

/// Areas, volumes, mate lines and weights from the boxes.
#[derive(Clone, Copy, Debug, Default)]
pub struct Takeoff;

/// Every equation of this plugin.
pub fn equations() -> Vec<Equation> {
    vec![
        modules::Plan::EQUATION,
        modules::BoxVolume::EQUATION,
        modules::SlopedVolume::EQUATION,
        modules::TravelWidth::EQUATION,
        modules::TravelLength::EQUATION,
        modules::TravelHeight::EQUATION,
        modules::SlopedTravelHeight::EQUATION,
        holes::FromMateLine::EQUATION,
        openings::OpeningArea::EQUATION,
        seams::ContactArea::EQUATION,
        seams::Gap::EQUATION,
        surfaces::NetArea::EQUATION,
        surfaces::AboveGrade::EQUATION,
        surfaces::BelowGrade::EQUATION,
        surfaces::Beside::EQUATION,
        surfaces::FoundationFloor::EQUATION,
        surfaces::WholeFace::EQUATION,
        surfaces::OpenFace::EQUATION,
        surfaces::WholeSlopedFace::EQUATION,
        surfaces::OpenSlopedFace::EQUATION,
        floors::FloorArea::EQUATION,
        floors::WallStrip::EQUATION,
        interior::ClearHeight::EQUATION,
        interior::Air::EQUATION,
        interior::AirBelowSlope::EQUATION,
        cellar::FloorBelow::EQUATION,
        cellar::AirBelow::EQUATION,
        weights::PartWeight::EQUATION,
        whole::WholeHeight::EQUATION,
        whole::SpaceBelow::EQUATION,
    ]
}

impl Plugin for Takeoff {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "takeoff",
            version: env!("CARGO_PKG_VERSION"),
            about: "areas, volumes, mate lines and weights from the boxes",
            reads: &[],
            sections: &[
                "site",
                "modules",
                "roof",
                "spaces",
                "materials",
                "assemblies",
                "enclosure",
                "openings",
                "penetrations",
                "foundation",
                "seams",
                "systems",
            ],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let home = request.home;
        let mut findings = Findings::default();
        let problems = problems::of_modules(home);
        let misplaced = !problems.is_empty();
        findings.problems.extend(problems);
        findings.problems.extend(foundation::problems(home));
        findings.problems.extend(fit::own_problems(&home.openings, home.units));
        if misplaced {
            return Ok(findings);
        }
        let all = Boxes::of(home);
        let (boxes, arrangement) = (&all.placed, &all.arrangement);
        let problems = problems::of_arrangement(home, boxes, arrangement);
        let misplaced = !problems.is_empty();
        findings.problems.extend(problems);
        if misplaced {
            return Ok(findings);
        }
        let parts = Parts::of(home, boxes);
        let footprint = Outline::of(boxes.iter().filter(|placed| placed.level == 1));
        let positions = boxes.iter().enumerate().map(|(i, placed)| (&placed.id, i)).collect();
        let site = Site { home, boxes, arrangement, open: &all.open, parts: &parts, positions };
        let seams = seams::seams(&all, &|number| parts.below(number));
        let envelope = enclosure::envelope(&site);
        let (openings, problems) = fit::place(&site, &envelope);
        findings.problems.extend(seams::problems(home, &seams, boxes));
        findings.problems.extend(envelope.problems.iter().cloned());
        findings.problems.extend(problems);
        if !findings.problems.is_empty() {
            return Ok(findings);
        }
        let interior = Interior::of(&site, &envelope, &arrangement.contacts);
        modules::write(&site, &mut findings);
        seams::write(home, boxes, &seams, &mut findings);
        holes::write(home, boxes, &seams, &mut findings);
        surfaces::write(&site, &envelope, &openings, &seams, &mut findings);
        openings::write(&envelope, &openings, &mut findings);
        weights::write(&site, &envelope, &mut findings);
        openings::write_rooms(home, &envelope, &openings, &mut findings);
        let whole = Whole {
            site: &site,
            footprint: &footprint,
            envelope: &envelope,
            interior: &interior,
            openings: &openings,
            seams: &seams,
        };
        whole.write(&mut findings);
        if request.shown {
            findings.figures = plan::plans(&site, &openings, &seams);
            let drawn = elevations::Elevations { site: &site, interior: &interior, openings: &openings, seams: &seams };
            findings.figures.extend(drawn.figures());
            findings.figures.extend(drawn.section());
        }
        Ok(findings)
    }
}
