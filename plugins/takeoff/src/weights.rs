//! Weights: as the factory gives them, or the layers of each box's floor, ceiling and exterior walls.

use crate::basis::{geometry, sum};
use crate::enclosure::{Envelope, Site, is_slab, own_floor};
use crate::facts;
use crate::layers::{Weighed, surface_mass};
use mateline_boxes::coordinate::square_metres;
use mateline_boxes::placed::{FACES, Placed};
use mateline_equation::equation;
use mateline_layers::framing::Known;
use mateline_model::home::{Face, Id};
use mateline_model::quantity::{Area, Mass, SurfaceMass, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};
use std::collections::BTreeMap;

equation! {
    /// Weight of a part of a box. Source: area times the mass of its layers.
    pub(crate) PartWeight = "W = A·m" {
        W: Mass "weight of a part" [Units::MASS],
        A: Area "area of the part" [Units::AREA],
        m: SurfaceMass "mass per area" [Units::SURFACE_MASS],
    }
}

/// Mass per area and its layers, by assembly and how it stands.
type Masses<'a> = BTreeMap<(&'a Id, Weighed), Result<(f64, Vec<Term>), Lack>>;

/// A part of a box with one assembly.
struct Part<'a> {
    name: String,
    id: &'a Id,
    stands: Weighed,
    area: f64,
}

/// Facts on the weight of each module; the facts of walls and openings, by which framing is counted, have been found.
pub fn write<'a>(site: &Site<'a, '_>, envelope: &Envelope<'a>, findings: &mut Findings) {
    let mut weights = Findings::default();
    let found: BTreeMap<(&Subject, &str), &Value> =
        findings.facts.iter().map(|fact| ((&fact.subject, &*fact.quantity), &fact.value)).collect();
    let known = |subject: &Subject, quantity: &str| found.get(&(subject, quantity)).copied();
    let mut masses = Masses::new();
    for (i, placed) in site.boxes.iter().enumerate() {
        let subject = Subject::element("modules", &placed.id);
        let given = site.home.modules.get(&placed.id).and_then(|module| module.weight);
        if let Some(weight) = given {
            let path = format!("{}.weight", placed.path());
            let term = Term::new("W", "weight as the factory gives it", weight, Units::MASS).given(path.clone());
            let basis = Basis::new("given", "the home").step(Step::procedure("W = W").term(term));
            weights.fact_at(&subject, &facts::WEIGHT, weight, basis, Pointer::new(path));
            continue;
        }
        match weigh(site, envelope, i, placed, &mut masses, &known) {
            Ok((weight, basis)) => weights.fact(&subject, &facts::WEIGHT, Mass::from_si(weight), basis),
            Err(lack) => lack.write(&subject, &[&facts::WEIGHT], &mut weights),
        }
    }
    findings.facts.append(&mut weights.facts);
    findings.missing.append(&mut weights.missing);
}

fn weigh<'a>(
    site: &Site<'a, '_>,
    envelope: &Envelope<'a>,
    i: usize,
    placed: &Placed,
    masses: &mut Masses<'a>,
    known: &Known<'_>,
) -> Result<(f64, Basis), Lack> {
    let parts = parts(site, envelope, i, placed)?;
    let mut basis = geometry("area of each part times the mass of its layers");
    let mut named: Vec<(&Id, Weighed)> = Vec::new();
    let mut total = 0.0;
    let mut terms = Vec::new();
    for part in parts {
        let key = (part.id, part.stands);
        let found = masses.entry(key).or_insert_with(|| mass_of(site, part.id, part.stands, known));
        let (mass, layers) = found.as_ref().map_err(Clone::clone)?;
        if !named.contains(&key) {
            named.push(key);
            let which = if part.stands.inside { "layers inside the face of the box" } else { "all layers" };
            let meaning = format!("mass per area of {}, {which}", part.id);
            let result = Term::new("m", meaning, SurfaceMass::from_si(*mass), Units::SURFACE_MASS);
            basis.steps.push(sum(result, layers.clone()));
        }
        let (weight, step) = PartWeight { A: Area::from_si(part.area), m: SurfaceMass::from_si(*mass) }.step();
        total += weight.si();
        basis.steps.push(
            step.meaning(PartWeight::A, part.name.clone())
                .meaning(PartWeight::m, format!("mass per area of {}", part.id))
                .meaning(PartWeight::W, part.name.clone()),
        );
        terms.push(Term::new("W", part.name, weight, Units::MASS));
    }
    let result = Term::new("W", format!("weight of {}", placed.id), Mass::from_si(total), Units::MASS);
    let basis = basis
        .step(sum(result, terms))
        .assuming("partitions, mate walls, fittings and equipment are not described and not counted")
        .assuming("openings weigh as much as the wall they replace")
        .assuming("all layers of the exposed faces travel with the box")
        .assuming("a slab is cast on the site and travels with no box")
        .assuming("where a top or underside is not exposed, only the layers inside the face of the box count")
        .assuming(
            "a framed layer whose share of framing is not given has the one that its members come to, as for heat",
        );
    Ok((total, basis))
}

fn mass_of(site: &Site<'_, '_>, id: &Id, stands: Weighed, known: &Known<'_>) -> Result<(f64, Vec<Term>), Lack> {
    let lack = || Lack::at(format!("there is no assembly {id}"), "assemblies");
    let assembly = site.home.assemblies.get(id).ok_or_else(lack)?;
    surface_mass(site.home, id, assembly, stands, known)
}

/// The parts of a box that weigh: what stands on its open faces, and floor and ceiling where another box covers them.
fn parts<'a>(site: &Site<'a, '_>, envelope: &Envelope<'a>, i: usize, placed: &Placed) -> Result<Vec<Part<'a>>, Lack> {
    let lack = || Lack::at("the home has no enclosure: nothing says what stands on the boxes", "enclosure");
    let enclosure = site.home.enclosure.as_ref().ok_or_else(lack)?;
    let mut parts = Vec::new();
    for face in FACES {
        let stands = |inside| Weighed { inside, flat: matches!(face, Face::Bottom | Face::Top) };
        let patches = envelope.on_face(i, face);
        // A slab is cast on the site.
        for patch in patches.iter().filter(|patch| !is_slab(site.home, patch.id)) {
            let name = format!("{face} face of {}, {}", placed.id, patch.id);
            parts.push(Part { name, id: patch.id, stands: stands(false), area: patch.area });
        }
        let standard = match face {
            Face::Bottom if placed.level > 1 => own_floor(site.home, enclosure, placed)?,
            Face::Bottom => &enclosure.floors,
            Face::Top => &enclosure.ceilings,
            _ => continue,
        };
        let exposed: f64 = if patches.is_empty() {
            0.0
        } else {
            site.open.get(i).map_or(0.0, |open| square_metres(open.of(face).region.area()))
        };
        let rest = square_metres(placed.plan().area()) - exposed;
        if rest > 1e-9 && !is_slab(site.home, standard) {
            let name = format!("{face} of {}, not exposed, {standard}", placed.id);
            parts.push(Part { name, id: standard, stands: stands(true), area: rest });
        }
    }
    Ok(parts)
}
