//! Materials: what finishes put into the air, what they are made of, and the records behind them.
//!
//! In order: what is said of content (`content`); how much there is and where (`amount`); emission factors with their
//! decay ([`decay`]) and the air of every room and of the dwelling ([`mass_balance`]); each product by itself
//! in the standard residence ([`standard_residence`]); substances to avoid ([`substance`], [`cas`]); records on the day
//! of judging ([`evidence`]); what was measured in the air (`measured`); figures of what each finish adds. Does not judge: limits live in `rules/`. Published
//! levels of compounds stand in `compounds.yaml`, each with its mark, and come out as facts for rules to compare with.
//!
//! Assumes perfect mixing, no sinks and clean outdoor air. What other rooms give off comes
//! with the air that passes from them, by the flows that the ventilation plugin finds. A finish without emission factors is counted as unknown, never as clean.
//!
//! Sources: CDPH Standard Method v1.2, January 2017 (from memory, high); appendix F of Standard 189.1 (looked up);
//! OEHHA chronic reference exposure levels (partly looked up, else from memory).

mod ages;
mod air;
mod amount;
mod avoided;
mod backing;
pub mod cas;
pub mod category;
mod check;
mod claim;
pub mod compound;
mod content;
pub mod decay;
pub mod evidence;
pub mod facts;
pub mod hazard;
mod levels;
pub mod mass_balance;
mod measured;
mod product;
mod room_air;
mod scenario;
mod sources_figure;
pub mod standard_residence;
pub mod substance;
mod words;
mod zones;

pub use facts::quantities;

use mateline_model::Equation;
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};

/// Every equation of this plugin.
pub fn equations() -> Vec<Equation> {
    vec![
        amount::Covered::EQUATION,
        decay::PowerAt::EQUATION,
        decay::PowerMean::EQUATION,
        decay::InverseMean::EQUATION,
        decay::TwoPartsAt::EQUATION,
        decay::PartLeft::EQUATION,
        decay::TwoPartsMean::EQUATION,
        mass_balance::Given::EQUATION,
        mass_balance::AllGiven::EQUATION,
        mass_balance::Entering::EQUATION,
        mass_balance::Balanced::EQUATION,
        mass_balance::Steady::EQUATION,
        mass_balance::FlowNeeded::EQUATION,
        room_air::Isomers::EQUATION,
        room_air::RoomPart::EQUATION,
        room_air::DwellingPart::EQUATION,
        room_air::LargestShare::EQUATION,
        hazard::HazardIndex::EQUATION,
        standard_residence::OneProduct::EQUATION,
        standard_residence::OneProductWhole::EQUATION,
    ]
}

/// The materials plugin.
#[derive(Clone, Copy, Debug, Default)]
pub struct Materials;

impl Plugin for Materials {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "materials",
            version: env!("CARGO_PKG_VERSION"),
            about: "What finishes put into the air, what they are made of, and the records behind them.",
            reads: &["takeoff", "ventilation"],
            sections: &["modules", "spaces", "openings", "finishes", "compounds", "measurements", "evidence"],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let home = request.home;
        let problems = check::problems(home);
        if !problems.is_empty() {
            return Ok(Findings { problems, ..Findings::default() });
        }
        let ages = ages::Ages::of(request.settings).map_err(PluginError)?;
        let limits = evidence::Limits::of(request.settings).map_err(PluginError)?;
        let products = product::products(home);
        let mut findings = Findings::default();
        content::report(home, &mut findings);
        amount::report(request, &mut findings);
        product::report(&products, &mut findings);
        scenario::report(home, &products, &mut findings);
        room_air::report(request, &products, &ages, &mut findings);
        sources_figure::report(request, &products, &mut findings);
        avoided::report(home, &limits, &mut findings);
        backing::report(home, &limits, &mut findings);
        evidence::report(request, &limits, &mut findings);
        measured::report(home, &mut findings);
        Ok(findings)
    }
}
