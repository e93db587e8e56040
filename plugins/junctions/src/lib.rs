//! Junctions: heat through the edges where parts of the envelope meet, and through the ground.
//!
//! Heat through a section of rectangles is the work of [`mateline_conduction`]. Sections are drawn from the home's own assemblies and framing for every place where
//! they meet, or given as rectangles. From them follow ψ for exterior and interior dimensions, the lowest surface
//! temperature, and what all junctions add to the envelope's heat loss. Framing that no hand method treats is solved in
//! plan ([`studs`]). Heat through the ground has its own formulas ([`ground`], [`ground_unheated`]). Where a surface factor is
//! short of what a pack hands over, the insulation that reaches it is searched. What solving gives may be kept in a
//! [`Store`]. Does not judge: limits live in `rules/`.
//!
//! Assumes steady state, plane sections of constant conductivity, air cavities as materials ([`air_cavity`]), and
//! attics, crawl spaces and garages as cold as outdoors. No solution is reported without its convergence and its
//! balance of heat.
//!
//! Sources: ISO 10211:2017 (conduction; cases 1 and 2 of its annex C are reproduced), ISO 13370:2017 (ground), ISO
//! 6946:2017 (films, cavities), ISO 13788:2012 (surface factor); all from memory. Usual sizes and default ψ-values are
//! common practice without a source, and say so where they are used.

pub mod air_cavity;
mod by_foundation;
mod canvas;
mod check;
mod defaults;
mod draw;
mod edges;
pub mod facts;
mod figure;
mod films;
pub mod ground;
mod ground_facts;
pub mod ground_seasons;
pub mod ground_unheated;
mod insulation;
mod lack;
mod layers;
#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
mod layers_agree;
mod plan;
mod plot;
mod psi;
mod report;
mod solved;
mod solving;
mod store;
pub mod studs;
mod thicker;
mod totals;
mod under_floor;

pub use facts::quantities;
pub use mateline_conduction::section::content_hash;
pub use mateline_conduction::solution::{Accuracy, Solution, solve};
pub use store::{Nothing, Roughly, Store};

use edges::Edges;
use mateline_model::Equation;
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};
use std::sync::Arc;

/// The junctions plugin as a library loads it: without a store, solving one section after another.
#[derive(Clone, Copy, Debug, Default)]
pub struct Junctions;

impl Plugin for Junctions {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "junctions",
            version: env!("CARGO_PKG_VERSION"),
            about: "Heat through the linear junctions of the envelope and through the ground.",
            reads: &["takeoff", "envelope"],
            sections: &[
                "site",
                "modules",
                "roof",
                "materials",
                "assemblies",
                "enclosure",
                "openings",
                "junctions",
                "foundation",
                "seams",
            ],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        Ok(run_with(request, &store::Confined))
    }
}

/// The junctions plugin with a store for solved sections, which it solves side by side. It finds the same facts, whatever
/// the store holds.
#[derive(Clone)]
pub struct KeptJunctions {
    /// Where solved sections are kept.
    pub store: Arc<dyn Store>,
}

impl Plugin for KeptJunctions {
    fn declaration(&self) -> Declaration {
        Junctions.declaration()
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        Ok(run_with(request, self.store.as_ref()))
    }
}

/// Runs the plugin with a store.
pub fn run_with(request: &Request<'_>, store: &dyn Store) -> Findings {
    let problems = check::problems(request.home);
    if !problems.is_empty() {
        return Findings { problems, ..Findings::default() };
    }
    let mut findings = Findings::default();
    let edges = Edges::of(request.home);
    let planned = plan::plan(request, &edges);
    let outcomes = solving::outcomes(request, &planned, store);
    let thicknesses = thicker::needed(request, &planned, &outcomes, store);
    let mut losses = Vec::new();
    for ((planned, outcome), thickness) in planned.iter().zip(&outcomes).zip(&thicknesses) {
        let loss = report::write(request, planned, outcome, thickness.as_ref(), &mut findings);
        losses.push((planned.id.clone(), loss));
    }
    let ground = by_foundation::write(request, &mut findings);
    totals::write(request, &losses, &ground, &mut findings);
    findings
}

/// The section drawn for each junction of a home, by its id: for looking at, and for benchmarks.
pub fn sections(request: &Request<'_>) -> Vec<(String, mateline_conduction::section::Section)> {
    let edges = Edges::of(request.home);
    let planned = plan::plan(request, &edges);
    let drawn = planned.iter().filter_map(|planned| match solving::drawing(request, planned) {
        Some(Ok(drawn)) => Some((planned.id.clone(), drawn.section)),
        _ => None,
    });
    drawn.collect()
}

/// Every equation of this plugin.
pub fn equations() -> Vec<Equation> {
    vec![
        psi::Psi::EQUATION,
        psi::PsiDifference::EQUATION,
        report::JunctionLoss::EQUATION,
        report::SurfaceTemperature::EQUATION,
        totals::AllJunctions::EQUATION,
        totals::Replaced::EQUATION,
        totals::Whole::EQUATION,
        totals::WholeInAir::EQUATION,
        totals::JunctionShare::EQUATION,
        ground::Characteristic::EQUATION,
        ground::Equivalent::EQUATION,
        ground::Slab::EQUATION,
        ground::InsulatedSlab::EQUATION,
        ground::Extra::EQUATION,
        ground::LevelEdge::EQUATION,
        ground::UprightEdge::EQUATION,
        ground::WithEdge::EQUATION,
        ground::WallsAndVents::EQUATION,
        ground::OverSpace::EQUATION,
        ground::Deeper::EQUATION,
        ground::WallEquivalent::EQUATION,
        ground::WallBelow::EQUATION,
        ground::BasementLoss::EQUATION,
        ground::LossBesideOpenings::EQUATION,
        ground::AboveGrade::EQUATION,
        ground::FloorLoss::EQUATION,
        ground_seasons::SlabSeasons::EQUATION,
        ground_seasons::EdgedSlabSeasons::EQUATION,
        ground_seasons::BasementSeasons::EQUATION,
        ground_seasons::SuspendedSeasons::EQUATION,
        ground_seasons::UnheatedSeasons::EQUATION,
        ground_unheated::BasementToAir::EQUATION,
        ground_unheated::BasementAir::EQUATION,
        ground_unheated::OverBasement::EQUATION,
        ground_unheated::DeepBase::EQUATION,
    ]
}
