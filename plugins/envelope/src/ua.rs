//! Heat loss coefficient of the whole envelope: every surface and opening with its U-factor.

use crate::construction::{Construction, FramedMethod};
use crate::facts;
use crate::units::TRANSMITTANCE;
use crate::windows::{MOST_TERMS, area_of};
use indexmap::IndexMap;
use mateline_equation::equation;
use mateline_model::home::{AssemblyKind, Boundary, FoundationKind, Id, OpeningKind};
use mateline_model::quantity::{Area, Conductance, ThermalTransmittance, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Heat loss coefficient of a part of the envelope. Source: common practice, no source.
    pub(crate) HeatLoss = "H = U A" {
        H: Conductance "heat loss coefficient" [Units::CONDUCTANCE],
        U: ThermalTransmittance "U-factor" [TRANSMITTANCE],
        A: Area "area" [Units::AREA],
    }

    /// Heat loss coefficient of the envelope. Source: common practice, no source.
    pub(crate) Total = "UA = Σ H_i" {
        UA: Conductance "heat loss coefficient" [Units::CONDUCTANCE],
        H_i: [Conductance] "of a part" [Units::CONDUCTANCE],
    }

    /// Mean U-factor over the envelope. Source: common practice, no source.
    pub(crate) MeanTransmittance = "U = UA/A" {
        U: ThermalTransmittance "mean U-factor" [TRANSMITTANCE],
        UA: Conductance "heat loss coefficient" [Units::CONDUCTANCE],
        A: Area "surfaces and openings" [Units::AREA],
    }
}

/// Assemblies made ready, or what they lack.
pub(crate) type Constructions<'a> = IndexMap<&'a Id, Result<Construction<'a>, Lack>>;

/// A surface or opening with the U-factor it has by one method.
pub(crate) struct Loss {
    /// `surfaces.…` or `openings.…`.
    pub subject: Subject,
    /// Where the U-factor can be changed.
    pub place: Subject,
    /// The fact that the U-factor is, where it is one.
    pub fact: Option<QuantityDef>,
    pub u: ThermalTransmittance,
    pub area: Area,
    pub part: Part,
    pub boundary: Boundary,
}

/// What a part of the envelope is, for reference values.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Surface(AssemblyKind),
    Opening(OpeningKind, AssemblyKind),
}

impl Loss {
    pub(crate) fn heat(&self) -> HeatLoss {
        HeatLoss { U: self.u, A: self.area }
    }

    pub(crate) fn conductance(&self) -> Conductance {
        self.heat().value()
    }

    /// The quantity that its area is.
    pub(crate) fn area_fact(&self) -> &'static str {
        if self.subject.section() == "openings" { "takeoff.area" } else { "takeoff.net_area" }
    }
}

/// The kind in tables of an assembly, by where it stands.
fn kind_here(request: &Request<'_>, construction: &Construction<'_>) -> AssemblyKind {
    let stands = |quantity: &str| request.number(&construction.subject, quantity).is_some_and(|area| area > 0.0);
    construction.assembly.kind.around(stands("takeoff.basement_wall_area"), stands("takeoff.crawl_wall_area"))
}

/// Every surface and opening with its U-factor.
pub(crate) fn losses(
    request: &Request<'_>,
    constructions: &Constructions<'_>,
    method: FramedMethod,
) -> Result<Vec<Loss>, Lack> {
    if request.home.openings.is_empty() {
        return Err(Lack::at("the home lists no openings", "openings"));
    }
    let home = Subject::home();
    if request.number(&home, "takeoff.exterior_envelope_area").is_none() {
        return Err(Lack::new(
            "takeoff.exterior_envelope_area of the home is not known, so the envelope is not closed",
        ));
    }
    let mut losses = Vec::new();
    for subject in request.subjects("surfaces") {
        let text = |quantity: &str| {
            request.text(subject, quantity).ok_or_else(|| Lack::new(format!("{quantity} of {subject} is not known")))
        };
        let (id, boundary) = (text("takeoff.assembly")?, text("takeoff.boundary")?);
        let area = request
            .number(subject, "takeoff.net_area")
            .ok_or_else(|| Lack::new(format!("takeoff.net_area of {subject} is not known")))?;
        let boundary: Boundary = serde_json::from_value(serde_json::Value::String(boundary.to_owned()))
            .map_err(|_| Lack::new(format!("takeoff.boundary of {subject} is {boundary}, which is no boundary")))?;
        if boundary == Boundary::Conditioned {
            continue;
        }
        let construction = found(constructions, id)?;
        let own = construction.outer_side(boundary) == construction.outer_side(construction.boundary);
        losses.push(Loss {
            subject: subject.clone(),
            place: construction.subject.clone(),
            fact: own.then(|| fact_of(method)),
            u: construction.u(boundary, method)?,
            area: Area::from_si(area),
            part: Part::Surface(kind_here(request, construction)),
            boundary,
        });
    }
    if losses.is_empty() {
        return Err(Lack::new("takeoff found no surface of the envelope"));
    }
    for (id, opening) in &request.home.openings {
        let subject = Subject::element("openings", id);
        if request.text(&subject, "takeoff.boundary") == Some("outside-envelope") {
            continue;
        }
        let area = area_of(request, id)?;
        let u = opening.u_factor.ok_or_else(|| Lack::at(format!("{subject} has no u_factor"), subject.as_str()))?;
        let within = request
            .text(&subject, "takeoff.assembly")
            .ok_or_else(|| Lack::at(format!("takeoff.assembly of {subject} is not known"), subject.as_str()))?;
        let part = Part::Opening(opening.kind, found(constructions, within)?.assembly.kind);
        losses.push(Loss {
            place: subject.clone(),
            subject,
            fact: Some(facts::U_FACTOR),
            u,
            area,
            part,
            boundary: Boundary::Outdoor,
        });
    }
    Ok(losses)
}

fn found<'c, 'a>(constructions: &'c Constructions<'a>, id: &str) -> Result<&'c Construction<'a>, Lack> {
    constructions
        .iter()
        .find(|(known, _)| known.as_ref() == id)
        .ok_or_else(|| Lack::new(format!("assemblies.{id} is not in the home")))?
        .1
        .as_ref()
        .map_err(Lack::clone)
}

fn fact_of(method: FramedMethod) -> QuantityDef {
    match method {
        FramedMethod::Combined => facts::U_FACTOR,
        FramedMethod::ParallelPath => facts::U_PARALLEL_PATH,
        FramedMethod::IsothermalPlanes => facts::U_ISOTHERMAL_PLANES,
    }
}

/// The losses together.
pub(crate) fn sum(losses: &[Loss]) -> Conductance {
    total(losses, losses.iter().map(Loss::conductance)).0
}

/// The sum of a conductance of each part, and its step.
pub(crate) fn total(losses: &[Loss], parts: impl Iterator<Item = Conductance>) -> (Conductance, Step) {
    let parts: Vec<Conductance> = parts.collect();
    let numbers: Vec<String> = (1..=parts.len()).map(|number| number.to_string()).collect();
    let (sum, step) = Total { H_i: &parts }.step();
    let named = |term, loss: &Loss| Term { meaning: loss.subject.to_string(), ..term };
    (sum, step.each(Total::H_i, losses, named).written("i", &numbers))
}

/// One step per part, then their sum.
pub(crate) fn basis(losses: &[Loss], method: FramedMethod) -> Basis {
    let mut basis = Basis::new(
        format!("sum of U-factor times area, framing by the {} method", method.word()),
        "common practice, no source",
    )
    .provenance("U-factors of assemblies rest on values from memory")
    .assuming("linear thermal bridges at junctions are not in it");
    if losses.iter().any(|loss| loss.boundary == Boundary::Ground) {
        basis = basis
            .assuming("below grade the assembly's own U-factor is used: the ground itself is in junctions.ground_loss");
    }
    if losses.iter().any(|loss| !matches!(loss.boundary, Boundary::Outdoor | Boundary::Ground)) {
        basis = basis
            .assuming("attics, crawl spaces, garages and other unheated spaces are taken to be as cold as outdoors");
    }
    for (number, loss) in losses.iter().enumerate().take(MOST_TERMS) {
        basis = basis.step(worked(loss).named(HeatLoss::H, format!("H{}", number + 1)));
    }
    if losses.len() > MOST_TERMS {
        basis = basis.assuming(format!("{} more parts are in the sum", losses.len() - MOST_TERMS));
    }
    basis.step(total(losses, losses.iter().map(Loss::conductance)).1)
}

/// The covered ground of a crawl space inside the envelope is no assembly, and its heat loss follows from the ground alone.
fn bare_ground(request: &Request<'_>) -> Option<&'static str> {
    let foundation = request.home.foundation.as_ref()?;
    let bare =
        foundation.kind == FoundationKind::CrawlSpace && foundation.is_conditioned() && foundation.floor.is_none();
    bare.then_some(
        "the covered ground of the crawl space is no assembly: what it loses is in junctions.ground_loss alone",
    )
}

/// The part through which most heat passes.
pub(crate) fn greatest(losses: &[Loss], total: Conductance) -> Option<Pointer> {
    let mut by_place: IndexMap<&Subject, Conductance> = IndexMap::new();
    for loss in losses {
        let sum = by_place.entry(&loss.place).or_default();
        *sum = *sum + loss.conductance();
    }
    let (place, most) = by_place.into_iter().fold(None, |best: Option<(&Subject, Conductance)>, next| match best {
        Some(found) if found.1 >= next.1 => Some(found),
        _ => Some(next),
    })?;
    Some(Pointer::noted(place.as_str(), format!("{:.0} % of the heat loss passes here", most / total * 100.0)))
}

/// UA of the home by two methods, and its mean U-factor.
pub(crate) fn report(request: &Request<'_>, constructions: &Constructions<'_>, findings: &mut Findings) {
    let home = Subject::home();
    for (definition, method) in
        [(facts::UA, FramedMethod::Combined), (facts::UA_PARALLEL_PATH, FramedMethod::ParallelPath)]
    {
        match losses(request, constructions, method) {
            Ok(losses) => {
                let total = sum(&losses);
                let basis = bare_ground(request).into_iter().fold(basis(&losses, method), Basis::assuming);
                match greatest(&losses, total) {
                    Some(at) => findings.fact_at(&home, &definition, total, basis, at),
                    None => findings.fact(&home, &definition, total, basis),
                }
                if method == FramedMethod::Combined {
                    mean(&losses, total, findings);
                    each(&losses, findings);
                }
            }
            Err(lack) => {
                findings.missing(&home, &definition, lack.because.clone(), lack.at.clone());
                if method == FramedMethod::Combined {
                    findings.missing(&home, &facts::U_MEAN, lack.because, lack.at);
                }
            }
        }
    }
}

/// Each part's own share of the sum.
fn each(losses: &[Loss], findings: &mut Findings) {
    for loss in losses {
        let basis = Basis::new("U-factor times area", "common practice, no source").step(worked(loss));
        findings.fact(&loss.subject, &facts::HEAT_LOSS, loss.conductance(), basis);
    }
}

/// A part's loss.
fn worked(loss: &Loss) -> Step {
    let step = loss.heat().step().1.meaning(HeatLoss::U, format!("U-factor of {}", loss.place));
    let step = step.fact(HeatLoss::A, &loss.subject, loss.area_fact());
    match &loss.fact {
        Some(fact) => step.fact(HeatLoss::U, &loss.place, fact.name.clone()),
        None => step,
    }
}

fn mean(losses: &[Loss], total: Conductance, findings: &mut Findings) {
    let home = Subject::home();
    let area: Area = losses.iter().map(|loss| loss.area).sum();
    if area.si() <= 0.0 {
        findings.missing(&home, &facts::U_MEAN, "the envelope has no area", None);
        return;
    }
    let (mean, step) = MeanTransmittance { UA: total, A: area }.step();
    let basis = Basis::new("mean over the envelope", "common practice, no source");
    findings.fact(&home, &facts::U_MEAN, mean, basis.step(step.fact(MeanTransmittance::UA, &home, facts::UA.name)));
}
