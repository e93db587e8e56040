//! Acoustics: airborne sound through walls and floors, by their mass alone. The worked example of a plugin that does
//! not come with mateline: it is built as a library, approved by whoever trusts it, and named by a home.
//!
//! For each assembly: the sound reduction index in third-octave bands by the field-incidence mass law ([`mass_law`]),
//! and from it the weighted index, one number that compares constructions ([`weighted`]). Does not judge: its limits
//! are in `pack.yaml`, which is delivered beside the library.
//!
//! Takes every assembly as one limp sheet. Stiffness (coincidence), cavities with uncoupled leaves, flanking paths and
//! leaks are left out, so a stud wall with a filled cavity does better and a thick stiff board does worse. The numbers
//! compare designs; they are no substitute for a tested construction.
//!
//! Sources: the field-incidence mass law of building acoustics (from memory, high); ISO 717-1 (from memory, high).

mod facts;
pub mod mass_law;
pub mod weighted;

pub use facts::{REDUCTION_500, WEIGHTED_REDUCTION, quantities};

use facts::DECIBEL;
use mateline_model::quantity::{Quantity, SurfaceMass, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};
use weighted::BANDS;

/// The quantity this plugin takes from the envelope plugin.
const SURFACE_MASS: &str = "envelope.surface_mass";

/// The acoustics plugin.
#[derive(Clone, Copy, Debug, Default)]
pub struct Acoustics;

mateline_sdk::export_plugin!(Acoustics);

impl Plugin for Acoustics {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "acoustics",
            version: env!("CARGO_PKG_VERSION"),
            about: "Airborne sound through walls and floors, by their mass alone.",
            reads: &["envelope"],
            sections: &["assemblies"],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let mut findings = Findings::default();
        for id in request.home.assemblies.keys() {
            let subject = Subject::element("assemblies", id);
            match surface_mass(request, &subject) {
                Ok(mass) => report(&subject, mass, &mut findings),
                Err(because) => {
                    for quantity in [&REDUCTION_500, &WEIGHTED_REDUCTION] {
                        findings.missing(&subject, quantity, because.clone(), Some(Pointer::new(subject.as_str())));
                    }
                }
            }
        }
        Ok(findings)
    }
}

/// The mass per area of an assembly, where it is known and heavy enough for the law to hold.
fn surface_mass(request: &Request<'_>, subject: &Subject) -> Result<SurfaceMass, String> {
    let mass =
        request.number(subject, SURFACE_MASS).ok_or_else(|| format!("the mass per area of {subject} is not known"))?;
    if mass >= mass_law::LIGHTEST {
        return Ok(SurfaceMass::from_si(mass));
    }
    let least = mass_law::LIGHTEST;
    Err(format!("{subject} weighs {mass:.2} kg/m², and the mass law begins at {least:.2} kg/m²"))
}

fn report(subject: &Subject, mass: SurfaceMass, findings: &mut Findings) {
    let mass_term = || {
        let units = Units::new("kg/m²", 1, "lb/ft²", 2);
        Term::new("m", "mass per area", mass, units).fact(subject, SURFACE_MASS)
    };
    let at = |frequency: f64| mass_law::reduction(mass.si(), frequency);
    let decibels = |number: f64| Quantity::plain(number);
    let law = |frequency: f64| {
        let hertz = Term::new("f", "frequency in Hz", decibels(frequency), Units::plain(0));
        let result = Term::new("R", "sound reduction index", decibels(at(frequency)), DECIBEL);
        Step::new("R = 20·lg(m·f) − 47").term(mass_term()).term(hertz).result(result)
    };
    let basis = |method: &'static str, source: &'static str| {
        Basis::new(method, source).provenance("from memory, high").assuming(
            "one limp sheet: no stiffness, no uncoupled leaves, no flanking path, no leak; a tested construction is better",
        )
    };
    let of_500 = basis("field-incidence mass law", "mass law of building acoustics").step(law(500.0));
    findings.fact(subject, &REDUCTION_500, decibels(at(500.0)), of_500);

    let bands = BANDS.map(|(frequency, _)| at(frequency));
    let rating = weighted::rate(&bands);
    let mut steps = basis("weighted sound reduction index of the mass law", "ISO 717-1, 4.4");
    for (frequency, _) in BANDS.into_iter().step_by(3) {
        steps = steps.step(law(frequency));
    }
    let shift =
        Step::new("R_w = reference at 500 Hz + s, with s the highest whole shift for which Σ shortfalls ≤ 32 dB")
            .term(Term::new("s", "shift of the reference curve", decibels(f64::from(rating.shift)), DECIBEL))
            .term(Term::new("Σ", "shortfalls below the shifted curve", decibels(rating.shortfall), facts::TENTHS))
            .result(Term::new("R_w", "weighted sound reduction index", decibels(rating.index), DECIBEL));
    findings.fact(subject, &WEIGHTED_REDUCTION, decibels(rating.index), steps.step(shift));
}
