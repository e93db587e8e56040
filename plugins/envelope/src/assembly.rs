//! The facts of one assembly.

use crate::combined::combined;
use crate::construction::{Body, Construction, Matter, ResolvedLayer};
use crate::corrected::{Cause, Corrections};
use crate::count_basis;
use crate::facts;
use crate::framed::Component;
use crate::framing_share::Share;
use crate::isothermal_planes::lower_limit;
use crate::lack::Lack;
use crate::mass;
use crate::nominal;
use crate::parallel_path::upper_limit;
use crate::worked::{R, SHARE, U, Worked, error_step, inverse_step, mean_step, telling_layer};
use mateline_model::quantity::{Length, Ratio, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::Findings;

const COMBINED: &str = "ISO 6946 combined method";
const COMBINED_SOURCE: &str = "ISO 6946:2017, 6.7.2";
const HANDBOOK: &str = "ASHRAE Fundamentals, ch. 27";

/// Every fact of an assembly, in the order of the chapter.
pub(crate) fn report(construction: &Construction<'_>, findings: &mut Findings) {
    let worked = Worked { construction, boundary: construction.boundary };
    thickness(construction, findings);
    insulation(&worked, findings);
    let clear = construction.clear(construction.boundary);
    let basis = worked.basis("layers in series through the cavity", "ISO 6946:2017, 6.7.1");
    let basis = worked.layer_steps().into_iter().fold(basis, Basis::step).step(worked.clear_step(clear));
    findings.fact(&construction.subject, &facts::R_CLEAR, clear, basis);
    framing_fraction(construction, findings);
    mass::report(construction, findings);
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
    let mut step = Step::new("d = Σ d_i");
    let mut without = Vec::new();
    for layer in &construction.layers {
        match layer.of.depth() {
            Some(depth) => {
                let path = layer.of.path.clone();
                let term = Term::new(format!("d{}", layer.of.index + 1), "depth of the layer", depth, Units::THICKNESS);
                step = step.term(term.given(path));
            }
            None => without.extend(layer.matter().iter().map(|matter| matter.name.to_owned())),
        }
    }
    let depths = construction.layers.iter().filter_map(|layer| layer.of.depth());
    let total = depths.fold(Length::default(), |sum, depth| sum + depth);
    if !without.is_empty() {
        basis = basis.assuming(format!("layers of no given thickness count as none: {}", without.join(", ")));
    }
    let basis = basis.step(step.result(Term::new("d", "thickness", total, Units::THICKNESS)));
    findings.fact(&construction.subject, &facts::THICKNESS, total, basis);
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
        let mut sum = Step::new(format!("{symbol} = Σ R_i"));
        for (layer, matter) in layers {
            let framed = matches!(layer.body, Body::Framed { .. });
            let name = format!("R{}{}", layer.of.index + 1, if framed { "c" } else { "" });
            if let Some(step) = worked.matter_step(layer, matter, &name, "") {
                basis = basis.step(step);
            }
            sum = sum.term(Term::new(name, matter.name.to_owned(), matter.resistance, R));
        }
        basis.step(sum.result(Term::new(symbol, meaning.to_owned(), nominal::sum(layers), R)))
    };
    let subject = &construction.subject;
    let basis = basis_of(&cavity, "Rc", "insulation between the members");
    findings.fact(subject, &facts::R_CAVITY, nominal::sum(&cavity), basis);
    let basis = basis_of(&continuous, "Rci", "continuous insulation");
    findings.fact(subject, &facts::R_CONTINUOUS, nominal::sum(&continuous), basis);
    let both: Vec<_> = cavity.into_iter().chain(continuous).collect();
    let basis = basis_of(&both, "Rn", "cavity and continuous insulation")
        .assuming("framing, boards, cladding and air films are left out, as the trade names insulation");
    findings.fact(subject, &facts::R_NOMINAL, nominal::sum(&both), basis);
}

fn framing_fraction(construction: &Construction<'_>, findings: &mut Findings) {
    let subject = &construction.subject;
    let Some(layer) = construction.main_framing() else {
        let basis = Basis::new("no framed layer", "geometry of the layers");
        findings.fact(subject, &facts::FRAMING_FRACTION, Ratio::default(), basis);
        return;
    };
    let Body::Framed { framing, share, .. } = &layer.body else { return };
    let path = layer.of.path.clone();
    let spacing = format!("{path}.framed.spacing");
    let term = Term::new("s", "spacing", framing.spacing, Units::THICKNESS);
    let basis = Basis::new("as given", "the home").step(Step::new("s").term(term.clone().given(&spacing)).result(term));
    findings.fact_at(subject, &facts::MEMBER_SPACING, framing.spacing, basis, Pointer::new(spacing));
    let share = match share {
        Ok(share) => share,
        Err(lack) => return all_missing(findings, subject, &[facts::FRAMING_FRACTION], lack),
    };
    let result = Term::new("f", "share of framing", share.fraction(), SHARE);
    let basis = match share {
        Share::Given(fraction, path) => Basis::new("as given", "the home").step(
            Step::new("f")
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
        worked.section_steps(&sections).into_iter().fold(basis, Basis::step).step(worked.upper_step(&sections, upper))
    } else {
        basis.step(worked.clear_step(upper))
    };
    let basis = basis.step(inverse_step(if is_framed { "R'" } else { "R" }, upper, upper.transmittance()));
    tell(&facts::U_PARALLEL_PATH, upper.transmittance().into(), basis);

    let basis = worked.layer_steps().into_iter().fold(worked.basis("isothermal-planes method", HANDBOOK), Basis::step);
    let basis = worked.lower_steps(lower).into_iter().fold(basis, Basis::step);
    let basis = basis.step(inverse_step("R''", lower, lower.transmittance()));
    tell(&facts::U_ISOTHERMAL_PLANES, lower.transmittance().into(), basis);

    let found = match combined(component) {
        Ok(found) => found,
        Err(error) => return all_missing(findings, subject, BY_COMBINED, &construction.lack(error)),
    };
    let total = found.total;
    let to_total = || {
        let basis = worked.basis(COMBINED, COMBINED_SOURCE);
        if is_framed {
            let steps = worked.limit_steps(&sections, upper, lower);
            steps.into_iter().fold(basis, Basis::step).step(mean_step(upper, lower, total))
        } else {
            worked.layer_steps().into_iter().fold(basis, Basis::step).step(worked.clear_step(total))
        }
    };
    let plain = total.transmittance();
    tell(&facts::U_COMBINED, plain.into(), to_total().step(inverse_step("R", total, plain)));
    let basis = worked.basis("spread of the two limits", "ISO 6946:2017, 6.7.2.5").step(error_step(
        upper,
        lower,
        total,
        found.error,
    ));
    tell(&facts::METHOD_ERROR, found.error.into(), basis);
    let clear = construction.clear(construction.boundary);
    let basis = worked.basis("difference of clear and framed resistance", "common practice, no source").step(
        Step::new("ΔR = Rclear − R")
            .term(Term::new("Rclear", "through the cavity", clear, R).fact(subject, facts::R_CLEAR.name))
            .term(Term::new("R", "combined method", total, R))
            .result(Term::new("ΔR", "resistance lost to framing", clear - total, R)),
    );
    tell(&facts::FRAMING_COST, (clear - total).into(), basis);

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

    let u = plain + corrections.added();
    let mut basis = to_total().step(inverse_step("R", total, plain));
    if !corrections.list.is_empty() {
        basis = note_on(&corrections, basis).step(
            Step::new("U = 1/R + ΔU")
                .term(Term::new("1/R", "U-factor without corrections", plain, U))
                .term(Term::new("ΔU", "corrections", corrections.added(), U).fact(subject, facts::U_CORRECTION.name))
                .result(Term::new("U", "U-factor", u, U)),
        );
    }
    tell(&facts::U_FACTOR, u.into(), basis.clone());
    let basis = basis.step(
        Step::new("R = 1/U")
            .term(Term::new("U", "U-factor", u, U).fact(subject, facts::U_FACTOR.name))
            .result(Term::new("R", "effective resistance", u.resistance(), R)),
    );
    tell(&facts::R_EFFECTIVE, u.resistance().into(), basis);
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
        let path = format!("assemblies.{}.layers.{}", construction.id, correction.index);
        let step = match &correction.cause {
            Cause::Gaps(coefficient) => Step::new("ΔUg = ΔU'' (R1/Rtot)²").term(
                Term::new("ΔU''", "coefficient of the gap level", *coefficient, U).given(format!("{path}.gap_level")),
            ),
            Cause::Fasteners(field) => {
                let path = format!("{path}.fasteners");
                Step::new("ΔUf = α λf (π d²/4) nf/d0 (R1/Rtot)²")
                    .term(Term::new("α", "share of the layer passed, times 0.8", field.alpha(), Units::plain(3)))
                    .term(
                        Term::new("λf", "conductivity of the shank", field.conductivity, Units::CONDUCTIVITY)
                            .given(path.clone()),
                    )
                    .term(
                        Term::new("d", "shank diameter", field.diameter, Units::THICKNESS)
                            .given(format!("{path}.diameter")),
                    )
                    .term(
                        Term::new("nf", "fasteners per square metre", field.per_square_metre, Units::plain(1))
                            .given(format!("{path}.per_square_metre")),
                    )
                    .term(Term::new("d0", "thickness of the layer", field.thickness, Units::THICKNESS))
            }
        };
        let symbol = if matches!(correction.cause, Cause::Gaps(_)) { "ΔUg" } else { "ΔUf" };
        steps.push(
            step.term(Term::new("R1", format!("resistance of layer {}", correction.index + 1), correction.layer, R))
                .term(Term::new("Rtot", "resistance without bridges", corrections.total, R))
                .result(Term::new(symbol, "correction", correction.value, U)),
        );
    }
    let sum = Step::new("ΔU = Σ ΔU_i");
    let sum = corrections
        .list
        .iter()
        .fold(sum, |step, c| step.term(Term::new("ΔU_i", format!("of layer {}", c.index + 1), c.value, U)));
    steps.push(sum.result(Term::new("ΔU", "corrections", corrections.sum(), U)));
    steps
}
