//! Junctions: heat through the edges where parts of the envelope meet, and through the ground.
//!
//! In order: a section of rectangles ([`section`], [`arrangement`]) is laid on a graded grid that keeps to the edges of
//! materials ([`grid`], [`mesh`]) and solved by finite volumes ([`conduction`]), on finer and finer grids until the
//! result settles ([`solution`]). Sections are drawn from the home's own assemblies and framing for every place where
//! they meet, or given as rectangles. From them follow ψ for exterior and interior dimensions, the lowest surface
//! temperature, and what all junctions add to the envelope's heat loss. Framing that no hand method treats is solved in
//! plan ([`studs`]). Heat through the ground has its own formulas ([`ground`]). Does not judge: limits live in `rules/`.
//!
//! Assumes steady state, plane sections of constant conductivity, air cavities as materials ([`air_cavity`]), and
//! attics, crawl spaces and garages as cold as outdoors. No solution is reported without its convergence and its
//! balance of heat.
//!
//! Sources: ISO 10211:2017 (conduction; cases 1 and 2 of its annex C are reproduced), ISO 13370:2017 (ground), ISO
//! 6946:2017 (films, cavities), ISO 13788:2012 (surface factor); all from memory. Usual sizes and default ψ-values are
//! common practice without a source, and say so where they are used.

pub mod air_cavity;
pub mod arrangement;
mod canvas;
mod check;
pub mod conduction;
mod defaults;
mod dissection;
mod draw;
mod edges;
pub mod facts;
mod figure;
mod films;
pub mod grid;
pub mod ground;
mod ground_facts;
mod lack;
mod layers;
pub mod mesh;
mod plan;
mod plot;
mod probe;
mod psi;
mod report;
pub mod section;
pub mod solution;
mod solving;
pub mod studs;
mod totals;

pub use facts::quantities;
pub use section::content_hash;
pub use solution::{Accuracy, Direct, Solution, Solver, solve};

use edges::Edges;
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};

/// The junctions plugin.
#[derive(Clone, Copy, Debug, Default)]
pub struct Junctions;

#[cfg(feature = "plugin-library")]
mateline_sdk::export_plugin!(Junctions);

impl Plugin for Junctions {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "junctions",
            version: env!("CARGO_PKG_VERSION"),
            about: "Heat through the linear junctions of the envelope and through the ground.",
            reads: &["takeoff", "envelope"],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        Ok(run_with(request, &Direct))
    }
}

/// Runs the plugin with another solver of sections, such as one that keeps solutions from run to run.
pub fn run_with(request: &Request<'_>, solver: &dyn Solver) -> Findings {
    let problems = check::problems(request.home);
    if !problems.is_empty() {
        return Findings { problems, ..Findings::default() };
    }
    let mut findings = Findings::default();
    let edges = Edges::of(request.home);
    let planned = plan::plan(request, edges.as_ref());
    let outcomes = solving::outcomes(request, &planned, solver);
    let mut losses = Vec::new();
    for (planned, outcome) in planned.iter().zip(&outcomes) {
        losses.push((planned.id.clone(), report::write(request, planned, outcome, &mut findings)));
    }
    totals::write(request, &losses, &mut findings);
    ground_facts::write(request, &mut findings);
    findings
}
