//! The vented attic: its floor over its vents, and how open its ceilings are to vapour.

use crate::facts;
use crate::layers::Layers;
use crate::retarder;
use mateline_equation::equation;
use mateline_model::home::{Boundary, RoofKind};
use mateline_model::quantity::{Area, Permeance, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Attic floor over the net free area of its vents. Source: IRC R806.2.
    pub(crate) FloorOverVents = "n = (Σ A_j)/A_v" {
        n: f64 "attic floor for each area of vents" [Units::COUNT],
        A_j: [Area] "a ceiling" [Units::AREA],
        A_v: Area "net free vent area" [Units::AREA],
    }
}

/// Writes it down, where there is a vented attic.
pub(crate) fn report(
    request: &Request<'_>,
    assemblies: &[(Subject, Result<Layers<'_>, Lack>, Boundary)],
    findings: &mut Findings,
) {
    let below: Vec<_> = assemblies.iter().filter(|(_, _, boundary)| *boundary == Boundary::Attic).collect();
    // Beside a roof without one, an attic may lie over a part of the home.
    if request.home.roof.kind != RoofKind::VentedAttic && below.is_empty() {
        let owed = [&facts::ATTIC_AREA_PER_VENT_AREA, &facts::ATTIC_CEILING_PERMEANCE];
        return Lack::at("the roof has no vented attic", "roof").write(&Subject::home(), &owed, findings);
    }
    vents(request, &below, findings);
    ceilings(request, &below, findings);
}

type Ceiling<'a, 'b> = &'b (Subject, Result<Layers<'a>, Lack>, Boundary);

fn vents(request: &Request<'_>, below: &[Ceiling<'_, '_>], findings: &mut Findings) {
    let home = Subject::home();
    let (areas, ceilings): (Vec<Area>, Vec<&Subject>) = below
        .iter()
        .filter_map(|(subject, ..)| Some((Area::from_si(request.number(subject, "takeoff.net_area")?), subject)))
        .unzip();
    let vents = request.home.roof.vent_area.filter(|vents| vents.si() > 0.0);
    match vents {
        Some(vents) if areas.iter().copied().sum::<Area>().si() > 0.0 => {
            let (ratio, step) = FloorOverVents { A_j: &areas, A_v: vents }.step();
            let step = step.given(FloorOverVents::A_v, "roof.vent_area").each(
                FloorOverVents::A_j,
                ceilings,
                |term, subject| Term { meaning: subject.to_string(), ..term }.fact(subject, "takeoff.net_area"),
            );
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
    let term =
        Term::new("W", format!("{subject}"), value, Units::PERMEANCE).fact(subject, facts::INTERIOR_PERMEANCE.name);
    let basis =
        Basis::new("the most open ceiling below the attic", "arithmetic").step(Step::procedure("W").result(term));
    findings.fact(&home, &facts::ATTIC_CEILING_PERMEANCE, value, basis);
}
