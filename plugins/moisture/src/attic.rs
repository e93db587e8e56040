//! The vented attic: its floor over its vents, and how open its ceilings are to vapour.

use crate::facts::{self, COUNT, PERMEANCE};
use crate::lack::Lack;
use crate::layers::Layers;
use crate::retarder;
use mateline_model::home::{Boundary, RoofKind};
use mateline_model::quantity::{Area, Permeance, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

/// Writes it down, where there is a vented attic.
pub(crate) fn report(
    request: &Request<'_>,
    assemblies: &[(Subject, Result<Layers<'_>, Lack>, Boundary)],
    findings: &mut Findings,
) {
    if request.home.roof.kind != RoofKind::VentedAttic {
        return;
    }
    let below: Vec<_> = assemblies.iter().filter(|(_, _, boundary)| *boundary == Boundary::Attic).collect();
    vents(request, &below, findings);
    ceilings(request, &below, findings);
}

type Ceiling<'a, 'b> = &'b (Subject, Result<Layers<'a>, Lack>, Boundary);

fn vents(request: &Request<'_>, below: &[Ceiling<'_, '_>], findings: &mut Findings) {
    let home = Subject::home();
    let mut step = Step::new("n = Σ A/A_v");
    let mut area = 0.0;
    for (subject, ..) in below {
        if let Some(net) = request.number(subject, "takeoff.net_area") {
            area += net;
            step = step.term(
                Term::new("A", format!("{subject}"), Area::from_si(net), Units::AREA).fact(subject, "takeoff.net_area"),
            );
        }
    }
    let vents = request.home.roof.vent_area.filter(|vents| vents.si() > 0.0);
    match vents {
        Some(vents) if area > 0.0 => {
            let ratio = area / vents.si();
            let step = step
                .term(Term::new("A_v", "net free vent area", vents, Units::AREA).given("roof.vent_area"))
                .result(Term::new("n", "attic floor for each area of vents", ratio, COUNT));
            let basis = Basis::new("area over area", "IRC R806.2").step(step);
            findings.fact_at(&home, &facts::ATTIC_AREA_PER_VENT_AREA, ratio, basis, Pointer::new("roof.vent_area"));
        }
        Some(_) => {
            let because = "no assembly with an area lies below the attic";
            findings.missing(&home, &facts::ATTIC_AREA_PER_VENT_AREA, because, Some(Pointer::new("enclosure")));
        }
        None => {
            let at = Some(Pointer::new("roof"));
            findings.missing(&home, &facts::ATTIC_AREA_PER_VENT_AREA, "roof.vent_area is not given", at);
        }
    }
}

fn ceilings(request: &Request<'_>, below: &[Ceiling<'_, '_>], findings: &mut Findings) {
    let home = Subject::home();
    let mut most: Option<(f64, &Subject)> = None;
    for (subject, layers, _) in below {
        if request.number(subject, "takeoff.net_area").is_none_or(|area| area <= 0.0) {
            continue;
        }
        match layers.as_ref().map(retarder::interior) {
            Ok(Some(value)) if most.is_none_or(|(known, _)| value > known) => most = Some((value, subject)),
            Ok(Some(_)) => {}
            Ok(None) | Err(_) => {
                let because = format!("moisture.interior_permeance of {subject} is not known");
                findings.missing(&home, &facts::ATTIC_CEILING_PERMEANCE, because, Some(Pointer::new(subject.as_str())));
                return;
            }
        }
    }
    let Some((value, subject)) = most else {
        let because = "no assembly with an area lies below the attic";
        findings.missing(&home, &facts::ATTIC_CEILING_PERMEANCE, because, Some(Pointer::new("enclosure")));
        return;
    };
    let value = Permeance::from_si(value);
    let term = Term::new("W", format!("{subject}"), value, PERMEANCE).fact(subject, facts::INTERIOR_PERMEANCE.name);
    let basis = Basis::new("the most open ceiling below the attic", "arithmetic").step(Step::new("W").result(term));
    findings.fact(&home, &facts::ATTIC_CEILING_PERMEANCE, value, basis);
}
