//! What the home's layers store: the real ones, not a class.
//!
//! Of an assembly, the layers count from inside up to the first insulation or framing, to 100 mm, or to half of its
//! thickness, whichever comes first. Partitions and floors between heated rooms are not counted, since the home does not
//! say how much there is of them.
//!
//! Source: ISO 13786:2017, annex C, effective thickness for a period of a day (from memory, med).

use crate::facts::{CAPACITY, CAPACITY_PER_AREA};
use crate::surfaces::Surface;
use mateline_equation::equation;
use mateline_layers::{Body, Layers};
use mateline_model::home::{Home, Id};
use mateline_model::quantity::{Area, Density, Length, SpecificHeat, Units};
use mateline_model::{Basis, Subject, Term};
use mateline_sdk::Lack;
use std::collections::BTreeMap;

/// Layers count up to here: 100 mm.
const DEEPEST: Length = Length::from_si(0.1);
/// What air and furniture store for each floor area (J/(m²·K)). Source: ISO 52016-1:2017, 6.5.6 (from memory, high).
pub(crate) const FURNITURE: f64 = 10_000.0;
const HEAT_CAPACITY: Units = Units::new("J/(kg·K)", 0, "Btu/(lb·°F)", 3);

equation! {
    /// What the inner layers of an assembly store for each degree and area.
    /// Source: ISO 13786:2017, annex C (from memory, med).
    pub(crate) Stored = "κ = Σ ρ_j c_j d_j" {
        κ: "J/(m²·K)" "stored by an assembly" [CAPACITY_PER_AREA],
        ρ_j: [Density] "density" [Units::DENSITY],
        c_j: [SpecificHeat] "specific heat" [HEAT_CAPACITY],
        d_j: [Length] "depth that counts" [Units::THICKNESS],
    }

    /// What the home stores for each degree. Source: ISO 13790:2008, 12.3.1, with air and furniture as in ISO 52016-1:2017,
    /// 6.5.6 (from memory, high).
    pub(crate) Capacity = "C = Σ κ_k A_k + c_f A" {
        C: "J/K" "stored by the home" [CAPACITY],
        κ_k: ["J/(m²·K)"] "stored by an assembly" [CAPACITY_PER_AREA],
        A_k: [Area] "area" [Units::AREA],
        c_f: "J/(m²·K)" "air and furniture, for each floor area" [CAPACITY_PER_AREA],
        A: Area "conditioned floor area" [Units::AREA],
    }
}

/// The layers of an assembly that count: density, specific heat, depth, and the material's name.
#[derive(Default)]
struct Inner {
    ρ: Vec<Density>,
    c: Vec<SpecificHeat>,
    d: Vec<Length>,
    names: Vec<String>,
    /// Layers that would count and say too little.
    silent: Vec<String>,
}

fn inner(home: &Home, id: &Id) -> Result<Inner, Lack> {
    let assembly = home.assemblies.get(id).ok_or_else(|| Lack::new(format!("assemblies.{id} is not in the home")))?;
    let layers = Layers::of(home, id, assembly)?;
    let depths: f64 = layers.closed().iter().filter_map(|layer| layer.depth()).map(Length::si).sum();
    let (mut found, mut left) = (Inner::default(), DEEPEST.si().min(depths / 2.0));
    for layer in layers.closed() {
        let Body::Plain(matter) = &layer.body else { break };
        if left <= 0.0 || layer.insulates() || matter.is_air() {
            break;
        }
        let Some(depth) = layer.depth().filter(|_| !matter.is_sheet()) else { continue };
        let counted = depth.si().min(left);
        left -= counted;
        let material = matter.material;
        match material.and_then(|material| material.density.zip(material.specific_heat)) {
            Some((density, heat)) => {
                found.ρ.push(density);
                found.c.push(heat);
                found.d.push(Length::from_si(counted));
                found.names.push(matter.name().to_owned());
            }
            None => found.silent.push(matter.id.to_owned()),
        }
    }
    Ok(found)
}

/// What the home stores.
pub(crate) struct Stores {
    /// For each degree (J/K), and how that follows.
    pub capacity: (f64, Basis),
    /// Area of the mass (m²): an area of one capacity that would take part as all layers do. Source: ISO 13790:2008,
    /// 12.2.2 (from memory, high).
    pub mass_area: f64,
    /// Of each assembly, for each degree and area (J/(m²·K)).
    pub each: BTreeMap<String, f64>,
}

/// What the home stores.
pub(crate) fn of(home: &Home, surfaces: &[Surface<'_>], floor: Area) -> Result<Stores, Lack> {
    let mut basis = Basis::new("capacity of the layers inside of the insulation", "ISO 13786:2017, annex C")
        .provenance("from memory, med")
        .assuming("partitions and floors between heated rooms store nothing");
    let (mut stored, mut areas, mut names) = (Vec::new(), Vec::new(), Vec::new());
    for (id, _) in &home.assemblies {
        let area: Area = surfaces.iter().filter(|one| one.assembly == id.as_ref()).map(|one| one.area).sum();
        if area.si() <= 0.0 {
            continue;
        }
        let inner = inner(home, id)?;
        if !inner.silent.is_empty() {
            let silent = inner.silent.join(", ");
            basis = basis.assuming(format!("no density or specific heat is given, so these store nothing: {silent}"));
        }
        let (κ, step) = Stored { ρ_j: &inner.ρ, c_j: &inner.c, d_j: &inner.d }.step();
        if !inner.ρ.is_empty() {
            let named = |term, name: &String| Term { meaning: format!("of {name}"), ..term };
            let step = step.each(Stored::ρ_j, &inner.names, named).each(Stored::c_j, &inner.names, named).each(
                Stored::d_j,
                &inner.names,
                named,
            );
            basis = basis.step(step.meaning(Stored::κ, format!("stored by assemblies.{id}")));
        }
        stored.push(κ);
        areas.push(area);
        names.push(format!("assemblies.{id}"));
    }
    let (capacity, step) = Capacity { κ_k: &stored, A_k: &areas, c_f: FURNITURE, A: floor }.step();
    let named = |term, name: &String| Term { meaning: name.clone(), ..term };
    let step = step
        .each(Capacity::κ_k, &names, named)
        .each(Capacity::A_k, &names, named)
        .published(Capacity::c_f, "ISO 52016-1:2017, 6.5.6 (from memory, high)")
        .fact(Capacity::A, &Subject::home(), "takeoff.floor_area");
    let layers = || stored.iter().zip(&areas);
    let sum: f64 = layers().map(|(κ, area)| κ * area.si()).sum();
    let squares: f64 = layers().map(|(κ, area)| κ * κ * area.si()).sum();
    let mass_area = if squares > 0.0 { sum * sum / squares } else { floor.si() };
    let each = home.assemblies.keys().filter(|id| names.contains(&format!("assemblies.{id}")));
    let each = each.map(|id| id.to_string()).zip(stored.iter().copied()).collect();
    Ok(Stores { capacity: (capacity, basis.step(step)), mass_area, each })
}
