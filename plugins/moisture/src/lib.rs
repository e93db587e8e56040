//! Moisture: mould and condensation at inner surfaces, and water within assemblies, month by month.
//!
//! In order: the year on both sides of the envelope ([`conditions`]), with indoor humidity by class or by balance
//! ([`indoor`]); what surfaces need to stay free of mould ([`surface`]), and what assemblies, junctions and openings have;
//! the vapour diagram of every assembly ([`diagram`]) and its year of condensation and drying ([`year`]); what the
//! vapour-retarder tables of the residential code are read by; the vents of an attic; figures. Does not judge: limits live
//! in `rules/`.
//!
//! Assumes steady months, vapour that moves by diffusion alone, dry layers to begin with, and one-dimensional flow through
//! what fills the framing. Air leaks, driving rain, sun on claddings and the water that concrete or wet lumber bring along
//! are not counted, and these wet more walls than diffusion does: an assembly that dries here is not shown to be safe from
//! them.
//!
//! Sources: ISO 13788:2012 (humidity classes, surfaces, monthly method; from memory), ISO 6946:2017 (films, air layers; from
//! memory). The tables of IRC R702.7 and R806 are in `rules/moisture-control.yaml`.

mod attic;
mod check;
mod climate;
pub mod conditions;
pub mod diagram;
mod facts;
mod figures;
mod framing;
pub mod indoor;
mod interstitial;
pub mod layers;
mod retarder;
mod roof_deck;
mod settings;
pub mod surface;
mod surface_facts;
pub mod year;

pub use facts::*;
use layers::Layers;
use mateline_films::surface::Direction;
use mateline_model::home::{Assembly, AssemblyKind, Boundary};
use mateline_model::{Equation, QuantityDef, Subject};
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};
use settings::Critical;
use surface_facts::Surfaces;

/// The moisture plugin.
#[derive(Clone, Copy, Debug, Default)]
pub struct Moisture;

impl Plugin for Moisture {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "moisture",
            version: env!("CARGO_PKG_VERSION"),
            about: "Mould and condensation at inner surfaces, and water within assemblies, month by month.",
            reads: &["takeoff", "envelope", "ventilation", "junctions"],
            sections: &["site", "roof", "spaces", "materials", "assemblies", "openings", "junctions", "systems"],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let problems = check::problems(request.home);
        if !problems.is_empty() {
            return Ok(Findings { problems, ..Findings::default() });
        }
        let mut findings = Findings::default();
        let climate = climate::report(request, &mut findings);
        let mould = Critical::mould(request);
        match &climate {
            Ok(climate) => surface_facts::report_home(request.home, climate, &mould, &mut findings),
            Err(lack) => lack.write(&Subject::home(), &HOME, &mut findings),
        }
        let surfaces = Surfaces { request, climate: &climate, mould: &mould };
        let mut assemblies = Vec::new();
        for (id, assembly) in &request.home.assemblies {
            let subject = Subject::element("assemblies", id);
            let boundary = boundary(request, &subject, assembly);
            if assembly.kind == AssemblyKind::Interior || boundary == Boundary::Conditioned {
                continue;
            }
            let layers = Layers::of(request.home, id, assembly, boundary);
            let flow = Direction::of(assembly.kind);
            surfaces.report_assembly(id, layers.as_ref().ok(), flow, boundary, &mut findings);
            match (&layers, &climate) {
                (Ok(layers), Ok(climate)) => {
                    let outcome = interstitial::report(request, &subject, layers, climate, &mut findings);
                    if request.shown {
                        findings.figures.extend(figures::of(&subject, layers, climate, &outcome));
                    }
                }
                (Err(lack), _) | (_, Err(lack)) => lack.write(&subject, &interstitial::QUANTITIES, &mut findings),
            }
            match &layers {
                Ok(layers) => {
                    retarder::report(request, &subject, layers, &mut findings);
                    framing::report(request, &subject, layers, &mut findings);
                    if is_roof(assembly, boundary) {
                        roof_deck::report(request, &subject, layers, &mut findings);
                    }
                }
                Err(lack) => {
                    lack.write(&subject, &retarder::QUANTITIES, &mut findings);
                    lack.write(&subject, &framing::QUANTITIES, &mut findings);
                    if is_roof(assembly, boundary) {
                        lack.write(&subject, &roof_deck::QUANTITIES, &mut findings);
                    }
                }
            }
            assemblies.push((subject, layers, boundary));
        }
        surfaces.report_junctions(&mut findings);
        surfaces.report_openings(&mut findings);
        attic::report(request, &assemblies, &mut findings);
        Ok(findings)
    }
}

/// Facts of the home that need its climate.
const HOME: [&QuantityDef; 6] =
    [&LOWEST_HUMIDITY, &HIGHEST_HUMIDITY, &HUMID_MONTHS, &NEEDED_MOULD, &NEEDED_CONDENSATION, &CRITICAL_MONTH];

/// Whether it has a deck with outdoor air above it: a roof, or what is called a ceiling and has no attic above it.
fn is_roof(assembly: &Assembly, boundary: Boundary) -> bool {
    match assembly.kind {
        AssemblyKind::Roof => true,
        AssemblyKind::Ceiling => boundary == Boundary::Outdoor,
        _ => false,
    }
}

/// What lies behind most of an assembly: as the take-off found it, or as the assembly says.
fn boundary(request: &Request<'_>, subject: &Subject, assembly: &Assembly) -> Boundary {
    request
        .text(subject, "takeoff.boundary")
        .and_then(|word| serde_json::from_value(serde_json::Value::String(word.to_owned())).ok())
        .unwrap_or_else(|| assembly.boundary())
}

/// Every equation of this plugin, and of the moist air it rests on.
pub fn equations() -> Vec<Equation> {
    let mut all = mateline_psychrometrics::saturation::equations();
    all.extend([
        indoor::ClassExcess::EQUATION,
        indoor::GivenOff::EQUATION,
        indoor::BalanceExcess::EQUATION,
        indoor::ExcessAt::EQUATION,
        indoor::OutdoorVapour::EQUATION,
        indoor::IndoorVapour::EQUATION,
        indoor::Humidity::EQUATION,
        surface::SaturationNeeded::EQUATION,
        surface::FactorNeeded::EQUATION,
        surface::PlaneFactor::EQUATION,
        surface::ProductFactor::EQUATION,
        surface::Lacking::EQUATION,
        surface::Thicker::EQUATION,
        surface::Margin::EQUATION,
        diagram::OnPlane::EQUATION,
        diagram::Settling::EQUATION,
        year::Held::EQUATION,
        retarder::SeriesPermeance::EQUATION,
        retarder::Together::EQUATION,
        framing::InsulationRatio::EQUATION,
        framing::SheathingKeptWarm::EQUATION,
        roof_deck::DeckUnderside::EQUATION,
        attic::FloorOverVents::EQUATION,
    ]);
    all
}
