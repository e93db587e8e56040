//! The insulated framing: its depth, what lies between its members and outside of it, and what keeps its sheathing warm.

use crate::facts;
use crate::layers::Layers;
use crate::retarder::together;
use crate::settings::permeance;
use mateline_equation::equation;
use mateline_model::quantity::{Length, Permeance, ThermalResistance, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Insulation outside of the framing against that between its members. Source: division.
    pub(crate) InsulationRatio = "r = R_outside/R_cavity" {
        r: Ratio "ratio" [Units::plain(2)],
        R_outside: ThermalResistance "outside of the framing" [Units::RESISTANCE],
        R_cavity: ThermalResistance "between the members" [Units::RESISTANCE],
    }

    /// What keeps the sheathing warm, where foam inside of it may stand for insulation outside. Source: IRC 2021, R702.7.1
    /// (from memory, high).
    pub(crate) SheathingKeptWarm = "R = max(R_outside, R_foam)" {
        R: ThermalResistance "keeps the sheathing warm" [Units::RESISTANCE],
        R_outside: ThermalResistance "insulation outside of the framing" [Units::RESISTANCE],
        R_foam: ThermalResistance "foam against the sheathing" [Units::RESISTANCE],
    }
}

/// Every fact that needs the framing of an assembly.
pub(crate) const QUANTITIES: [&QuantityDef; 7] = [
    &facts::FRAMING_DEPTH,
    &facts::OUTSIDE_INSULATION,
    &facts::SHEATHING_INSULATION,
    &facts::FOAM_AGAINST_SHEATHING,
    &facts::CAVITY_INSULATION,
    &facts::FOAM_OUTSIDE,
    &facts::INSULATION_RATIO,
];

/// Writes it down.
pub(crate) fn report(request: &Request<'_>, subject: &Subject, layers: &Layers<'_>, findings: &mut Findings) {
    let Some((first, last)) = layers.framing_zone() else {
        let lack = Lack::at(format!("{subject} has no insulated framing"), subject.as_str());
        return lack.write(subject, &QUANTITIES, findings);
    };
    depth(subject, layers, (first, last), findings);
    let within = || layers.layers.iter().enumerate().take(last + 1).skip(first);
    let (cavity, step, _) = together(layers, within(), "insulation between the members");
    let basis = Basis::new("fill of the framing", "the layers' values").step(step);
    findings.fact(subject, &facts::CAVITY_INSULATION, cavity, basis);
    let beyond = || layers.layers.iter().enumerate().skip(last + 1);
    let (outside, step, outermost) =
        together(layers, beyond().filter(|(_, layer)| layer.insulates), "insulation outside of the framing");
    let at = outermost.map_or_else(|| subject.to_string(), |place| layers.path(place));
    let basis = Basis::new("sum of the layers", "the layers' values").step(step);
    findings.fact_at(subject, &facts::OUTSIDE_INSULATION, outside, basis, Pointer::new(at.clone()));
    let unnamed = beyond().find(|(_, layer)| layer.insulates && layer.kind.is_none());
    if let Some((place, layer)) = unnamed {
        let because = format!("of what kind {} is, foam or not, is not given", layer.name);
        Lack::at(because, layers.path(place)).write(subject, &[&facts::FOAM_OUTSIDE], findings);
    } else {
        let foam = beyond().filter(|(_, layer)| layer.is_foam());
        let (foam, step, _) = together(layers, foam, "foam plastic outside of the framing");
        let basis = Basis::new("sum of the foam layers", "the layers' values").step(step);
        findings.fact(subject, &facts::FOAM_OUTSIDE, foam, basis);
    }
    kept_warm(request, subject, layers, (last, outside, &at), findings);
    if cavity.si() > 0.0 {
        let (ratio, step) = InsulationRatio { R_outside: outside, R_cavity: cavity }.step();
        let step = step.fact(InsulationRatio::R_outside, subject, facts::OUTSIDE_INSULATION.name).fact(
            InsulationRatio::R_cavity,
            subject,
            facts::CAVITY_INSULATION.name,
        );
        findings.fact(subject, &facts::INSULATION_RATIO, ratio, Basis::new("ratio", "arithmetic").step(step));
    }
}

/// Depth of the framing: of its members, or from the inner row to the outer.
fn depth(subject: &Subject, layers: &Layers<'_>, (first, last): (usize, usize), findings: &mut Findings) {
    let rows = layers.layers.get(first..=last).unwrap_or_default();
    let depth = Length::from_si(rows.iter().map(|layer| layer.thickness).sum());
    let (words, path) = if first == last {
        ("of the members", format!("{}.framed.size", layers.path(first)))
    } else {
        ("from the inner row to the outer", layers.path(first))
    };
    let step = Step::procedure("depth").result(Term::new("depth", words, depth, Units::THICKNESS).given(path));
    findings.fact(subject, &facts::FRAMING_DEPTH, depth, Basis::new("as drawn", "the home file").step(step));
}

/// Foam against the sheathing, and what keeps the sheathing warm.
fn kept_warm(
    request: &Request<'_>,
    subject: &Subject,
    layers: &Layers<'_>,
    (last, outside, at): (usize, ThermalResistance, &str),
    findings: &mut Findings,
) {
    let owed = [&facts::FOAM_AGAINST_SHEATHING, &facts::SHEATHING_INSULATION];
    let outer = layers.layers.get(last).filter(|layer| layer.is_foam());
    let (foam, step) = match (outer, permeance(request, "foam_retarder")) {
        (None, _) => {
            (ThermalResistance::default(), Step::procedure("R = 0 where the framing has no foam on its outer side"))
        }
        (Some(_), None) => {
            let because = "no pack says how tight foam has to be to stand for insulation outside".to_owned();
            return Lack { because, at: None }.write(subject, &owed, findings);
        }
        (Some(layer), Some((pack, limit))) => {
            let permeance = Permeance::from_si(layer.vapour.permeance);
            let foam = if permeance <= limit {
                ThermalResistance::from_si(layer.resistance)
            } else {
                ThermalResistance::default()
            };
            let step = Step::procedure("R of the foam, where W is at most W_1")
                .term(Term::new("W", layer.name, permeance, Units::PERMEANCE).given(layers.path(last)))
                .term(
                    Term::new("W_1", "permeance of foam, at most", limit, Units::PERMEANCE)
                        .published(format!("setting of {pack}")),
                );
            (foam, step)
        }
    };
    let step = step.result(Term::new("R", "foam against the sheathing", foam, Units::RESISTANCE));
    let basis = Basis::new("foam on the inner side of the sheathing", "IRC 2021, R702.7.1")
        .provenance("from memory, high")
        .step(step)
        .assuming("foam between the members is sprayed, and touches what lies outside of it");
    findings.fact(subject, &facts::FOAM_AGAINST_SHEATHING, foam, basis);
    let (warm, step) = SheathingKeptWarm { R_outside: outside, R_foam: foam }.step();
    let step = step.fact(SheathingKeptWarm::R_outside, subject, facts::OUTSIDE_INSULATION.name).fact(
        SheathingKeptWarm::R_foam,
        subject,
        facts::FOAM_AGAINST_SHEATHING.name,
    );
    let basis = Basis::new("the larger of two", "IRC 2021, R702.7.1").provenance("from memory, high").step(step);
    findings.fact_at(subject, &facts::SHEATHING_INSULATION, warm, basis, Pointer::new(at.to_owned()));
}
