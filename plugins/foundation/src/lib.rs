//! Foundation: what factory-built boxes can stand on, and what that takes.
//!
//! Boxes come with their floor framed and their services below it, and bear along lines. This plugin works out what
//! that asks of the ground: room below, bearing, frost, water, soil gas, ways out, and the earth and concrete of each
//! kind of foundation, priced at the user's own rates. It judges nothing: limits live in `rules/`.
//!
//! In this order:
//!
//! 1. [`problems`]: what cannot be.
//! 2. [`plan`]: the lowest boxes in plan, their outline and the lines they bear on.
//! 3. [`statics`] and [`bearing`]: how boxes stand on one another, loads along those lines, and the footing that spreads them.
//! 4. [`under_floor`], [`ground_contact`], [`egress`]: room and air, frost and water, ways out.
//! 5. [`sizes`]: what walls, footings and floor measure, given or stated.
//! 6. [`prism`], [`volume`], [`earth`], [`soil_balance`], [`concrete`] and, together, [`works`]: quantities of each of the [`parts`].
//! 7. [`cost`] and [`alternatives`]: the same boxes on each kind, side by side.
//!
//! Assumptions: level ground, boxes that bear along their long sides, walls of concrete on strip footings. Everything is
//! preliminary and for the licensed designer. Sources stand beside each method; soils in `soils.yaml`, with marks.

pub mod alternatives;
pub mod bearing;
pub mod concrete;
pub mod cost;
pub mod earth;
pub mod egress;
pub mod entry;
pub mod facts;
pub mod ground;
pub mod ground_contact;
pub mod lack;
pub mod parts;
pub mod plan;
mod pours;
pub mod prism;
pub mod problems;
pub mod site_plan;
pub mod sizes;
pub mod soil;
pub mod soil_balance;
pub mod soil_pressure;
pub mod statics;
pub mod terms;
pub mod under_floor;
pub mod volume;
pub mod works;

pub use facts::quantities;

use mateline_boxes::Boxes;
use mateline_model::home::Foundation;
use mateline_model::quantity::Units;
use mateline_model::{Basis, Equation, Step, Subject, Term, Value};
use mateline_sdk::{Declaration, Findings, Lack, Plugin, PluginError, Request};
use sizes::{Sizes, Stand, word};

/// What boxes can stand on.
#[derive(Clone, Copy, Debug, Default)]
pub struct FoundationPlugin;

/// Every equation of this plugin.
pub fn equations() -> Vec<Equation> {
    vec![
        sizes::FootingDepth::EQUATION,
        sizes::WallHeight::EQUATION,
        bearing::OwnLoad::EQUATION,
        bearing::StackLoad::EQUATION,
        bearing::FromAbove::EQUATION,
        bearing::BoxLoad::EQUATION,
        bearing::SideLoad::EQUATION,
        bearing::WallWeight::EQUATION,
        bearing::FootingWidth::EQUATION,
        bearing::PadSide::EQUATION,
        soil_pressure::WallPressure::EQUATION,
        soil_pressure::StripPressure::EQUATION,
        soil_pressure::PadPressure::EQUATION,
        prism::Prismoid::EQUATION,
        prism::Moved::EQUATION,
        site_plan::Middle::EQUATION,
        site_plan::Inside::EQUATION,
        site_plan::PadGiven::EQUATION,
        site_plan::PadThickness::EQUATION,
        site_plan::PierCount::EQUATION,
        site_plan::PostCount::EQUATION,
        earth::SlopeFoot::EQUATION,
        earth::SlopeFootAlone::EQUATION,
        earth::PitDepth::EQUATION,
        earth::TrenchDepth::EQUATION,
        earth::TrenchWidth::EQUATION,
        earth::Trench::EQUATION,
        earth::PierDepth::EQUATION,
        earth::PitWidth::EQUATION,
        earth::PierPit::EQUATION,
        earth::PitsApart::EQUATION,
        earth::PitsTogether::EQUATION,
        earth::StrippedOutline::EQUATION,
        volume::Loose::EQUATION,
        volume::Compacted::EQUATION,
        volume::ToFill::EQUATION,
        volume::LeftOver::EQUATION,
        volume::ToBring::EQUATION,
        volume::Truckloads::EQUATION,
        volume::Topsoil::EQUATION,
        volume::Backfill::EQUATION,
        pours::WallFooting::EQUATION,
        pours::PadVolume::EQUATION,
        pours::Slab::EQUATION,
        pours::ToOrder::EQUATION,
        pours::Wall::EQUATION,
        pours::Piers::EQUATION,
        pours::WallForms::EQUATION,
        pours::PierForms::EQUATION,
        pours::Reinforcement::EQUATION,
        works::GravelBelow::EQUATION,
        works::GravelAround::EQUATION,
        works::Gained::EQUATION,
        under_floor::WholeFloor::EQUATION,
        under_floor::VentRatio::EQUATION,
        under_floor::FloorPerVent::EQUATION,
        under_floor::Conditioning::EQUATION,
        under_floor::SmallerSide::EQUATION,
        under_floor::LargerSide::EQUATION,
        under_floor::AboveGrade::EQUATION,
        egress::ClearArea::EQUATION,
        egress::FoundationSill::EQUATION,
        egress::BoxSill::EQUATION,
        egress::WellArea::EQUATION,
        ground_contact::Projection::EQUATION,
        ground_contact::PadProjection::EQUATION,
        ground_contact::FrostMargin::EQUATION,
        ground_contact::WaterMargin::EQUATION,
        alternatives::CostOfGain::EQUATION,
    ]
}

impl Plugin for FoundationPlugin {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "foundation",
            version: env!("CARGO_PKG_VERSION"),
            about: "what the boxes can stand on, and the earth, concrete and cost of it",
            reads: &["takeoff", "envelope"],
            sections: &[
                "site",
                "modules",
                "roof",
                "spaces",
                "assemblies",
                "enclosure",
                "openings",
                "foundation",
                "rates",
            ],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let home = request.home;
        let mut findings = Findings { problems: problems::problems(home), ..Findings::default() };
        if !findings.problems.is_empty() {
            return Ok(findings);
        }
        let boxes = Boxes::of(home);
        let lowest = plan::lowest(&boxes);
        let whole = parts::whole(request, &boxes, &lowest);
        let lines = plan::bearing_lines(&boxes, &lowest);
        let loads = bearing::report(request, &boxes, &lines, &mut findings);
        egress::report(request, &boxes, &mut findings);
        match &home.foundation {
            Some(foundation) => {
                kind(foundation, &mut findings);
                let sizes = Sizes::of(home, &Stand::chosen(foundation));
                bearing::report_footing(home, &sizes, loads.as_ref(), &mut findings);
                let pads = sizes.as_ref().map_err(Clone::clone).and_then(|sizes| {
                    let plan = whole.as_ref().map_err(Clone::clone)?;
                    site_plan::pads(home, sizes, plan, loads.as_ref())
                });
                soil_pressure::report(&sizes, &pads, loads.as_ref(), &mut findings);
                under_floor::report(home, foundation, whole.as_ref(), &mut findings);
                ground_contact::report(home, foundation, &sizes, &mut findings);
                let parts = parts::parts(home, foundation, (&boxes, &lowest), &whole, loads.as_ref());
                works::report(home, parts, &mut findings);
            }
            None => {
                let lack = Lack::at("the home has no foundation", "foundation");
                let given = |name: &str| findings.facts.iter().any(|fact| fact.quantity == name);
                let owed: Vec<_> = quantities().into_iter().filter(|one| !given(&one.name)).collect();
                lack.write(&Subject::home(), &owed.iter().collect::<Vec<_>>(), &mut findings);
            }
        }
        match whole {
            Ok(plan) => {
                let all = alternatives::alternatives(home, &plan, loads.as_ref());
                alternatives::report(&all, &mut findings);
                if request.shown && all.iter().any(|one| one.works.is_ok()) {
                    findings.figures.push(alternatives::table(&all, home.units));
                }
            }
            Err(lack) => {
                for kind in alternatives::KINDS {
                    lack.write(&alternatives::subject(kind), &works::QUANTITIES, &mut findings);
                }
            }
        }
        Ok(findings)
    }
}

/// The kind, or `mixed` where some boxes stand on another.
fn kind(foundation: &Foundation, findings: &mut Findings) {
    let kinds = foundation.except.iter().map(|except| except.kind);
    let mixed = kinds.clone().any(|kind| kind != foundation.kind);
    let own = Value::Text(word(foundation.kind).to_owned());
    let term = Term::new("kind", "as the home says", own, Units::COUNT).given("foundation.kind");
    let mut step = Step::procedure("kind").term(term);
    for (index, kind) in kinds.enumerate() {
        let other = Value::Text(word(kind).to_owned());
        let path = format!("foundation.except.{index}.kind");
        step = step.term(Term::new("kind", "of an exception", other, Units::COUNT).given(path));
    }
    let basis = Basis::new("given", "the home").step(step);
    findings.text(&Subject::home(), &facts::KIND, if mixed { "mixed" } else { word(foundation.kind) }, basis);
}
