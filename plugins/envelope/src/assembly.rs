//! The facts of one assembly.

use crate::combined::{GreatestError, MeanOfLimits, combined};
use crate::construction::{Body, Construction, Matter, ResolvedLayer};
use crate::corrected::{Cause, Corrections};
use crate::corrections::{AirGaps, AllCorrections, Corrected, Fasteners, Passed};
use crate::count_basis;
use crate::cover;
use crate::facts;
use crate::framed::Component;
use crate::isothermal_planes::lower_limit;
use crate::mass;
use crate::parallel_path::upper_limit;
use crate::worked::{Effective, Worked, inverse_step, telling_layer};
use mateline_equation::equation;
use mateline_layers::RESISTANCE;
use mateline_layers::framing::SHARE;
use mateline_layers::framing::Share;
use mateline_model::quantity::{Ratio, ThermalResistance, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack};

const COMBINED: &str = "ISO 6946 combined method";
const COMBINED_SOURCE: &str = "ISO 6946:2017, 6.7.2";
const HANDBOOK: &str = "ASHRAE Fundamentals, ch. 27";

equation! {
    /// Thickness of an assembly. Source: geometry of the layers.
    pub(crate) Thickness = "d = Σ d_i" {
        d: Length "thickness" [Units::THICKNESS],
        d_i: [Length] "depth of the layer" [Units::THICKNESS],
    }

    /// Insulation as the trade names it. Source: common practice, no source.
    pub(crate) Insulation = "R = Σ R_i" {
        R: ThermalResistance "insulation" [RESISTANCE],
        R_i: [ThermalResistance] "an insulation" [RESISTANCE],
    }

    /// Resistance lost to framing. Source: common practice, no source.
    pub(crate) FramingCost = "ΔR = Rclear − R" {
        ΔR: ThermalResistance "resistance lost to framing" [RESISTANCE],
        Rclear: ThermalResistance "through the cavity" [RESISTANCE],
        R: ThermalResistance "combined method" [RESISTANCE],
    }
}

/// Every fact of an assembly, in the order of the chapter.
pub(crate) fn report(construction: &Construction<'_>, findings: &mut Findings) {
    let worked = Worked { construction, boundary: construction.boundary };
    thickness(construction, findings);
    insulation(&worked, findings);
    let clear = construction.clear(construction.boundary);
    let basis = worked.basis("layers in series through the cavity", "ISO 6946:2017, 6.7.1");
    let basis = worked.layer_steps().into_iter().fold(basis, Basis::step).step(worked.clear_step());
    findings.fact(&construction.subject, &facts::R_CLEAR, clear, basis);
    framing_fraction(construction, findings);
    mass::report(construction, findings);
    cover::report(construction, findings);
    match construction.component(construction.boundary) {
        Ok(component) => framed(&worked, &component, findings),
        Err(lack) => all_missing(findings, &construction.subject, FRAMED, &lack),
    }
}

/// What cannot be said when the layers cannot be resolved.
pub(crate) fn missing(subject: &Subject, lack: &Lack, findings: &mut Findings) {
    all_missing(findings, subject, UNFRAMED, lack);
    all_missing(findings, subject, FRAMED, lack);
}

const UNFRAMED: &[QuantityDef] = &[
    facts::R_NOMINAL,
    facts::R_CAVITY,
    facts::R_CONTINUOUS,
    facts::R_CLEAR,
    facts::FRAMING_FRACTION,
    facts::THICKNESS,
    facts::SURFACE_MASS,
    facts::HOLDS_FOAM,
    facts::COVER_OVER_FOAM,
    facts::FOAM_OUTSIDE_CONCRETE,
    facts::WATER_BARRIER,
];

const FRAMED: &[QuantityDef] = &[
    facts::U_PARALLEL_PATH,
    facts::U_ISOTHERMAL_PLANES,
    facts::U_COMBINED,
    facts::METHOD_ERROR,
    facts::U_CORRECTION,
    facts::U_FACTOR,
    facts::R_EFFECTIVE,
    facts::FRAMING_COST,
];

const BY_COMBINED: &[QuantityDef] = &[
    facts::U_COMBINED,
    facts::METHOD_ERROR,
    facts::U_CORRECTION,
    facts::U_FACTOR,
    facts::R_EFFECTIVE,
    facts::FRAMING_COST,
];

pub(crate) fn all_missing(findings: &mut Findings, subject: &Subject, of: &[QuantityDef], lack: &Lack) {
    for definition in of {
        findings.missing(subject, definition, lack.because.clone(), lack.at.clone());
    }
}

fn thickness(construction: &Construction<'_>, findings: &mut Findings) {
    let mut basis = Basis::new("sum of the layers", "geometry of the layers");
    let (mut depths, mut paths, mut numbers, mut without) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for layer in &construction.layers {
        match layer.of.depth() {
            Some(depth) => {
                depths.push(depth);
                paths.push(layer.of.path.clone());
                numbers.push((layer.of.index + 1).to_string());
            }
            None => without.extend(layer.matter().iter().map(|matter| matter.name.to_owned())),
        }
    }
    let (total, step) = Thickness { d_i: &depths }.step();
    let step = step.each(Thickness::d_i, paths, Term::given).written("i", &numbers);
    if !without.is_empty() {
        basis = basis.assuming(format!("layers of no given thickness count as none: {}", without.join(", ")));
    }
    findings.fact(&construction.subject, &facts::THICKNESS, total, basis.step(step));
}

fn insulation(worked: &Worked<'_, '_>, findings: &mut Findings) {
    let construction = worked.construction;
    let cavity = construction.cavity_insulation();
    let continuous = construction.continuous_insulation();
    let basis_of = |layers: &[(&ResolvedLayer<'_>, &Matter<'_>)], symbol: &'static str, meaning: &str| {
        let mut basis = Basis::new("insulation alone", "common practice, no source");
        if construction.is_from_memory() {
            basis = basis.provenance("material values from memory");
        }
        let mut labels = Vec::new();
        for (layer, matter) in layers {
            let framed = matches!(layer.body, Body::Framed { .. });
            let label = format!("{}{}", layer.of.index + 1, if framed { "c" } else { "" });
            if let Some(step) = worked.matter_step(layer, matter, &format!("R{label}"), "") {
                basis = basis.step(step);
            }
            labels.push(label);
        }
        let resistances: Vec<ThermalResistance> = layers.iter().map(|(_, matter)| matter.resistance).collect();
        let (sum, step) = Insulation { R_i: &resistances }.step();
        let step = step
            .each(Insulation::R_i, layers, |term, (_, matter)| Term { meaning: matter.name.to_owned(), ..term })
            .written("i", &labels)
            .meaning(Insulation::R, meaning)
            .named(Insulation::R, symbol);
        (sum, basis.step(step))
    };
    let subject = &construction.subject;
    let (sum, basis) = basis_of(&cavity, "Rc", "insulation between the members");
    findings.fact(subject, &facts::R_CAVITY, sum, basis);
    let (sum, basis) = basis_of(&continuous, "Rci", "continuous insulation");
    findings.fact(subject, &facts::R_CONTINUOUS, sum, basis);
    let both: Vec<_> = cavity.into_iter().chain(continuous).collect();
    let (sum, basis) = basis_of(&both, "Rn", "cavity and continuous insulation");
    let basis = basis.assuming("framing, boards, cladding and air films are left out, as the trade names insulation");
    findings.fact(subject, &facts::R_NOMINAL, sum, basis);
}

fn framing_fraction(construction: &Construction<'_>, findings: &mut Findings) {
    let subject = &construction.subject;
    let Some(layer) = construction.main_framing() else {
        let basis = Basis::new("no framed layer", "geometry of the layers");
        findings.fact(subject, &facts::FRAMING_FRACTION, Ratio::default(), basis);
        findings.missing(subject, &facts::MEMBER_SPACING, "no layer is framed", None);
        return;
    };
    let Body::Framed { framing, share, .. } = &layer.body else { return };
    let path = layer.of.path.clone();
    let spacing = format!("{path}.framed.spacing");
    let term = Term::new("s", "spacing", framing.spacing, Units::THICKNESS);
    let basis =
        Basis::new("as given", "the home").step(Step::procedure("s").term(term.clone().given(&spacing)).result(term));
    findings.fact_at(subject, &facts::MEMBER_SPACING, framing.spacing, basis, Pointer::new(spacing));
    let share = match share {
        Ok(share) => share,
        Err(lack) => return all_missing(findings, subject, &[facts::FRAMING_FRACTION], lack),
    };
    let result = Term::new("f", "share of framing", share.fraction(), SHARE);
    let basis = match share {
        Share::Given(fraction, path) => Basis::new("as given", "the home").step(
            Step::procedure("f")
                .term(Term::new("f", "share of framing", *fraction, SHARE).given(path.clone()))
                .result(result),
        ),
        Share::Wall(wall, count) => count_basis::of_wall(subject, framing, wall, count, &path),
        Share::Deck(count) => count_basis::of_deck(subject, framing, count, &path),
    };
    findings.fact_at(subject, &facts::FRAMING_FRACTION, share.fraction(), basis, Pointer::new(path));
}

/// The facts that framing enters.
fn framed(worked: &Worked<'_, '_>, component: &Component, findings: &mut Findings) {
    let construction = worked.construction;
    let subject = &construction.subject;
    let at = telling_layer(construction, component).map(|(index, share)| {
        Pointer::noted(
            format!("assemblies.{}.layers.{index}", construction.id),
            format!("{:.0} % of the resistance sits here", share * 100.0),
        )
    });
    let mut tell = |definition: &QuantityDef, value: mateline_model::Value, basis: Basis| match &at {
        Some(at) => findings.fact_at(subject, definition, value, basis, at.clone()),
        None => findings.fact(subject, definition, value, basis),
    };
    let sections = match component.sections() {
        Ok(sections) => sections,
        Err(error) => return all_missing(findings, subject, FRAMED, &construction.lack(error)),
    };
    let (upper, lower) = (upper_limit(&sections), lower_limit(component));
    let is_framed = construction.is_framed();

    let basis = worked.layer_steps().into_iter().fold(worked.basis("parallel-path method", HANDBOOK), Basis::step);
    let basis = if is_framed {
        worked.section_steps(&sections).into_iter().fold(basis, Basis::step).step(worked.upper_step(&sections))
    } else {
        basis.step(worked.clear_step())
    };
    let basis = basis.step(inverse_step(if is_framed { "R'" } else { "R" }, upper));
    tell(&facts::U_PARALLEL_PATH, upper.transmittance().into(), basis);

    let basis = worked.layer_steps().into_iter().fold(worked.basis("isothermal-planes method", HANDBOOK), Basis::step);
    let basis = worked.lower_steps().into_iter().fold(basis, Basis::step);
    let basis = basis.step(inverse_step("R''", lower));
    tell(&facts::U_ISOTHERMAL_PLANES, lower.transmittance().into(), basis);

    let found = match combined(component) {
        Ok(found) => found,
        Err(error) => return all_missing(findings, subject, BY_COMBINED, &construction.lack(error)),
    };
    let total = found.total;
    let to_total = || {
        let basis = worked.basis(COMBINED, COMBINED_SOURCE);
        if is_framed {
            let steps = worked.limit_steps(&sections);
            steps.into_iter().fold(basis, Basis::step).step(MeanOfLimits { upper, lower }.step().1)
        } else {
            worked.layer_steps().into_iter().fold(basis, Basis::step).step(worked.clear_step())
        }
    };
    let plain = total.transmittance();
    tell(&facts::U_COMBINED, plain.into(), to_total().step(inverse_step("R", total)));
    let error = GreatestError { upper, lower, R: total }.step().1;
    let basis = worked.basis("spread of the two limits", "ISO 6946:2017, 6.7.2.5").step(error);
    tell(&facts::METHOD_ERROR, found.error.into(), basis);
    let clear = construction.clear(construction.boundary);
    let (cost, step) = FramingCost { Rclear: clear, R: total }.step();
    let basis = worked
        .basis("difference of clear and framed resistance", "common practice, no source")
        .step(step.fact(FramingCost::Rclear, subject, facts::R_CLEAR.name));
    tell(&facts::FRAMING_COST, cost.into(), basis);

    let corrections = match construction.corrections(construction.boundary, plain) {
        Ok(corrections) => corrections,
        Err(lack) => {
            let of = [facts::U_CORRECTION, facts::U_FACTOR, facts::R_EFFECTIVE];
            return all_missing(findings, subject, &of, &lack);
        }
    };
    let basis = correction_steps(construction, &corrections)
        .into_iter()
        .fold(worked.basis("corrections for gaps and fasteners", "ISO 6946:2017, annex F"), Basis::step);
    tell(&facts::U_CORRECTION, corrections.added().into(), note_on(&corrections, basis));

    let mut u = plain;
    let mut basis = to_total().step(inverse_step("R", total));
    if !corrections.list.is_empty() {
        let (corrected, step) = Corrected { R: total, ΔU: corrections.added() }.step();
        u = corrected;
        basis = note_on(&corrections, basis).step(step.fact(Corrected::ΔU, subject, facts::U_CORRECTION.name));
    }
    tell(&facts::U_FACTOR, u.into(), basis.clone());
    let (effective, step) = Effective { U: u }.step();
    let basis = basis.step(step.fact(Effective::U, subject, facts::U_FACTOR.name));
    tell(&facts::R_EFFECTIVE, effective.into(), basis);
}

fn note_on(corrections: &Corrections, basis: Basis) -> Basis {
    if !corrections.list.is_empty() && !corrections.count() {
        basis.assuming("corrections below 3 % of the U-factor are left out")
    } else {
        basis
    }
}

fn correction_steps(construction: &Construction<'_>, corrections: &Corrections) -> Vec<Step> {
    let mut steps = Vec::new();
    for correction in &corrections.list {
        let number = correction.index + 1;
        let path = format!("assemblies.{}.layers.{}", construction.id, correction.index);
        let layer = format!("resistance of layer {number}");
        let step = match &correction.cause {
            Cause::Gaps(gaps) => {
                let step = gaps.step().1.meaning(AirGaps::R1, layer);
                step.given(AirGaps::coefficient, format!("{path}.gap_level"))
            }
            Cause::Fasteners(field, fasteners) => {
                let path = format!("{path}.fasteners");
                let passed = field.passed().step().1;
                steps.push(passed.given(Passed::d1, path.clone()));
                let step = fasteners.step().1.meaning(Fasteners::R1, layer);
                step.given(Fasteners::λf, path.clone())
                    .given(Fasteners::d, format!("{path}.diameter"))
                    .given(Fasteners::nf, format!("{path}.per_square_metre"))
            }
        };
        steps.push(step);
    }
    let numbers = corrections.list.iter().map(|correction| correction.index + 1);
    let sum = AllCorrections { ΔU_i: &corrections.values() }.step().1;
    let named = |term, number| Term { meaning: format!("of layer {number}"), ..term };
    steps.push(sum.each(AllCorrections::ΔU_i, numbers, named));
    steps
}
