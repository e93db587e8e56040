//! Plausible: figures by which a slip of the pen is noticed, such as the floor area of all rooms beside that of their box.
//!
//! Computes what no discipline needs and nobody builds by: sums of rooms ([`rooms`]), greatest thicknesses ([`layers`]),
//! shares of framing ([`framing`]) and the year that the site's months tell ([`months`]). What is likely is no matter of this plugin: the ranges stand in
//! `rules/plausible-input.yaml`, whose verdicts are remarks on the input.
//!
//! Sources: arithmetic; degree-days of monthly means are lower than those of days in spring and autumn.

pub mod facts;
mod framing;
mod layers;
mod months;
mod rooms;

pub use facts::quantities;

use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};

/// The plugin.
#[derive(Clone, Copy, Debug, Default)]
pub struct Plausible;

impl Plugin for Plausible {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "plausible",
            version: env!("CARGO_PKG_VERSION"),
            about: "Figures by which a slip of the pen in a home's description is noticed.",
            reads: &[],
            sections: &["site", "modules", "spaces", "assemblies", "materials"],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let mut findings = Findings::default();
        rooms::report(request.home, &mut findings);
        layers::report(request.home, &mut findings);
        framing::report(request.home, &mut findings);
        months::report(request.home, &mut findings);
        Ok(findings)
    }
}
