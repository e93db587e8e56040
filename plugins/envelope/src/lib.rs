//! Envelope: thermal resistance of every assembly, and the heat loss coefficient of the home.
//!
//! In order: layers in series ([`mateline_layers::Series`], [`mateline_films`]); framed layers by parallel paths
//! ([`parallel_path`]), by isothermal planes ([`isothermal_planes`]) and by their mean ([`combined`]); the share of
//! framing counted member by member ([`mateline_layers::framing`]); corrections for gaps and fasteners
//! ([`corrections`]); the insulation as the trade names it; windows; the sum of U-factor times area over the envelope,
//! and the same sum with a pack's reference U-factors. Does not judge: limits live in `rules/`.
//!
//! Assumes one-dimensional flow between plane layers, and members that conduct about as wood does. Metal through the
//! insulation, and framing that sets the two limits too far apart, need a two-dimensional solution and are left
//! unanswered. Linear thermal bridges and the ground's own resistance are not in the sums.
//!
//! Sources: ISO 6946:2017 (methods, air layers, corrections; from memory); ASHRAE Fundamentals, ch. 26 and 27 (films,
//! materials, handbook methods; partly looked up, else from memory); ISO 10456:2007 (materials). Every material of
//! `materials.yaml` carries its own mark.
//!
//! Surface resistances: both traditions are in [`mateline_films::surface`]. A home is computed with the handbook's films, so that its
//! three U-factors differ by the treatment of framing alone.

mod assembly;
mod check;
pub mod combined;
mod construction;
mod corrected;
pub mod corrections;
mod count_basis;
mod cover;
mod facts;
pub mod framed;
pub mod isothermal_planes;
mod library;
mod mass;
mod nominal;
pub mod parallel_path;
mod reference;
mod section;
mod ua;
mod units;
mod windows;
mod worked;

pub use construction::FramedMethod;
pub use facts::*;
pub use library::{TABLE, library};

use construction::Construction;
use mateline_model::{Equation, Subject};
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};

/// The envelope plugin.
#[derive(Clone, Copy, Debug, Default)]
pub struct Envelope;

impl Plugin for Envelope {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "envelope",
            version: env!("CARGO_PKG_VERSION"),
            about: "Thermal resistance of assemblies and the heat loss of the envelope.",
            reads: &["takeoff"],
            sections: &["modules", "materials", "assemblies", "enclosure", "openings", "foundation"],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let problems = check::problems(request.home);
        if !problems.is_empty() {
            return Ok(Findings { problems, ..Findings::default() });
        }
        let mut findings = Findings::default();
        let constructions: ua::Constructions<'_> = request
            .home
            .assemblies
            .iter()
            .map(|(id, assembly)| (id, Construction::resolve(request, id, assembly)))
            .collect();
        for (id, construction) in &constructions {
            match construction {
                Ok(construction) => {
                    assembly::report(construction, &mut findings);
                    if request.shown {
                        findings.figures.push(section::figure(request.home, construction));
                    }
                }
                Err(lack) => assembly::missing(&Subject::element("assemblies", id), lack, &mut findings),
            }
        }
        windows::report_openings(request, &mut findings);
        windows::report_averages(request, &mut findings);
        ua::report(request, &constructions, &mut findings);
        reference::report(request, &constructions, &mut findings);
        Ok(findings)
    }
}

/// Every equation of this plugin, and of the layers it rests on.
pub fn equations() -> Vec<Equation> {
    let mut all = mateline_layers::equations();
    all.extend([
        worked::Transmittance::EQUATION,
        worked::Effective::EQUATION,
        parallel_path::UpperLimit::EQUATION,
        isothermal_planes::LayerMean::EQUATION,
        combined::MeanOfLimits::EQUATION,
        combined::GreatestError::EQUATION,
        corrections::AirGaps::EQUATION,
        corrections::Passed::EQUATION,
        corrections::Fasteners::EQUATION,
        corrections::AllCorrections::EQUATION,
        corrections::Corrected::EQUATION,
        assembly::Thickness::EQUATION,
        assembly::Insulation::EQUATION,
        assembly::FramingCost::EQUATION,
        cover::Cover::EQUATION,
        mass::LayerMass::EQUATION,
        mass::Mass::EQUATION,
        windows::MeanU::EQUATION,
        windows::MeanGain::EQUATION,
        windows::WindowShare::EQUATION,
        ua::HeatLoss::EQUATION,
        ua::Total::EQUATION,
        ua::MeanTransmittance::EQUATION,
        reference::Margin::EQUATION,
    ]);
    all
}
