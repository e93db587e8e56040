//! The facts of water within an assembly.

use crate::climate::{Climate, RECALLED};
use crate::conditions::{Conditions, name};
use crate::diagram::{Diagram, OnPlane, SLICE, Settling, Sheet};
use crate::facts::{self, WATER};
use crate::layers::{Layers, VapourLayer, noted};
use crate::year::{Held, MonthOfYear, Year, held_after};
use mateline_layers::Series as InSeries;
use mateline_layers::vapour::{AIR_PERMEABILITY, SD};
use mateline_model::quantity::{Length, Pressure, SurfaceMass, ThermalResistance, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_psychrometrics::saturation::{OverWater, saturation_step};
use mateline_sdk::{Findings, Request};

const METHOD: &str = "monthly condensation and drying";
const SOURCE: &str = "ISO 13788:2012, clause 6";
/// Where films come from.
const FILMS: &str = "ISO 6946:2017, table 7 (from memory, high)";

/// Every fact of this method.
pub(crate) const QUANTITIES: [&QuantityDef; 6] = [
    &facts::DRIES,
    &facts::PEAK_WATER,
    &facts::RESIDUAL_WATER,
    &facts::WET_MONTHS,
    &facts::CONDENSING,
    &facts::WATER_AT,
];

/// An assembly's year.
#[derive(Clone, Debug)]
pub(crate) struct Outcome {
    pub diagram: Diagram,
    pub year: Year,
    /// Where most water condenses, in words.
    pub place: Option<String>,
}

/// The vapour diagram of an assembly, with its insulation of another thickness where that is asked.
fn diagram(layers: &Layers<'_>, instead: Option<(usize, f64)>) -> Diagram {
    let sheets: Vec<Sheet> = layers
        .layers
        .iter()
        .enumerate()
        .map(|(place, layer)| {
            let times = instead.filter(|(chosen, _)| *chosen == place).map_or(1.0, |(_, times)| times);
            let sd = if layer.vapour.by_thickness { layer.vapour.sd * times } else { layer.vapour.sd };
            Sheet { resistance: layer.resistance * times, sd }
        })
        .collect();
    let films = layers.films();
    Diagram::split(films.inner.si(), &sheets, films.outer.si())
}

/// Computes and writes down an assembly's year.
pub(crate) fn report(
    request: &Request<'_>,
    subject: &Subject,
    layers: &Layers<'_>,
    climate: &Climate,
    findings: &mut Findings,
) -> Outcome {
    let conditions = climate.towards(layers.boundary);
    let diagram = diagram(layers, None);
    let year = Year::of(&diagram, conditions);
    let (place, at) = place(layers, &diagram, &year);
    let basis = basis(layers, &diagram, &year, conditions);
    let at = match dry_insulation(request, subject, layers, &year, conditions, findings) {
        Some(better) => better,
        None => at.map_or_else(|| Pointer::new(subject.as_str()), Pointer::new),
    };
    let mass = |value: f64| SurfaceMass::from_si(value);
    let sum = |meaning: String, value: f64| {
        basis.clone().step(Step::procedure("Σ Ma, all planes").result(Term::new("Σ Ma", meaning, mass(value), WATER)))
    };
    let last = year.months.last().map_or("", |month| name(month.month));
    let residual = sum(format!("left after twelve months, at the end of {last}"), year.residual());
    let fullest = year.peak_month().map_or("", |month| name(month.month));
    let peak = sum(format!("most of all months, at the end of {fullest}"), year.peak());
    let dries = Value::Flag(year.residual() <= 0.0);
    let step =
        Step::procedure("Σ Ma = 0 after twelve months").result(Term::new("dry", "again", dries.clone(), Units::COUNT));
    findings.fact_at(subject, &facts::DRIES, dries, residual.clone().step(step), at.clone());
    findings.fact_at(subject, &facts::PEAK_WATER, mass(year.peak()), peak, at.clone());
    findings.fact_at(subject, &facts::RESIDUAL_WATER, mass(year.residual()), residual, at);
    let wet = year.wet_months();
    let step = Step::procedure("n, months with Σ Ma > 0 at their end").result(Term::new(
        "n",
        "months",
        wet as f64,
        Units::COUNT,
    ));
    findings.count(subject, &facts::WET_MONTHS, wet, basis.clone().step(step));
    findings.text(subject, &facts::CONDENSING, condensing(&year), basis.clone());
    findings.text(subject, &facts::WATER_AT, place.clone().unwrap_or_else(|| "none".to_owned()), basis);
    Outcome { diagram, year, place }
}

/// Months in which water condenses, in the order of the calculation.
fn condensing(year: &Year) -> String {
    let months: Vec<&str> =
        year.months.iter().filter(|month| month.condenses()).map(|month| name(month.month)).collect();
    match months.as_slice() {
        [] => "none".to_owned(),
        months => months.join(", "),
    }
}

/// Where the wettest plane lies: in words, and the path of the layer that holds the water.
fn place(layers: &Layers<'_>, diagram: &Diagram, year: &Year) -> (Option<String>, Option<String>) {
    let Some((inner, outer)) = year.wettest.and_then(|plane| diagram.layers_at(plane)) else { return (None, None) };
    let called = |place: usize| layers.layers.get(place).map_or("", |layer| layer.name);
    let words = if inner == outer {
        format!("within {}", called(inner))
    } else {
        format!("between {} and {}", called(inner), called(outer))
    };
    (Some(words), Some(layers.path(outer)))
}

/// The worked year: layers, then the wettest plane month by month.
fn basis(layers: &Layers<'_>, diagram: &Diagram, year: &Year, conditions: &[Conditions; 12]) -> Basis {
    let mut basis = Basis::new(METHOD, SOURCE).provenance(RECALLED);
    let sd = |symbol: &'static str, meaning: String, value: f64| Term::new(symbol, meaning, Length::from_si(value), SD);
    for (place, layer) in layers.layers.iter().enumerate() {
        let step = layer.vapour.step.clone();
        let result = step.result.map(|term| Term {
            meaning: format!("{}: {}", layer.name, layer.vapour.from),
            ..term.given(layers.path(place))
        });
        basis = basis.step(Step { result, ..step });
    }
    let films = layers.films();
    let each: Vec<_> = layers.layers.iter().map(|layer| ThermalResistance::from_si(layer.resistance)).collect();
    let called = |term: Term, (place, layer): (usize, &VapourLayer<'_>)| {
        let meaning =
            if layer.is_framed { format!("{}, between the members", layer.name) } else { layer.name.to_owned() };
        Term { meaning, ..term }.given(layers.path(place))
    };
    basis = basis.step(
        InSeries { Rsi: films.inner, R_j: &each, Rse: films.outer }
            .step()
            .1
            .published(InSeries::Rsi, FILMS)
            .published(InSeries::Rse, FILMS)
            .each(InSeries::R_j, layers.layers.iter().enumerate(), called)
            .named(InSeries::R, "R_T"),
    );
    if let Some(plane) = year.wettest {
        let depth = diagram.depths().get(plane).copied().unwrap_or_default();
        let inward = ThermalResistance::from_si(diagram.resistances().get(plane).copied().unwrap_or_default());
        basis = basis.step(
            Step::procedure("plane")
                .term(sd("s_d", "from the inner surface to the wettest plane".to_owned(), depth))
                .result(Term::new("R", "from indoor air to the wettest plane", inward, Units::RESISTANCE)),
        );
        for month in &year.months {
            let pick = |values: &[f64]| values.get(plane).copied().unwrap_or_default();
            if pick(&month.change) == 0.0 && pick(&month.water) == 0.0 {
                continue;
            }
            basis = month_steps(diagram, plane, month, conditions).into_iter().fold(basis, Basis::step);
        }
    }
    basis = basis
        .assuming(format!(
            "layers of more than {SLICE} m²·K/W are cut into slices of at most that, with a plane between each two"
        ))
        .assuming(
            "vapour moves by diffusion alone; air leaks, rain, sun and water the layers bring along are not counted",
        )
        .assuming("dry-cup values at all times, and δ0 = 2e-10 kg/(m·s·Pa)");
    if year.is_periodic && year.years > 1 {
        basis = basis.assuming(format!(
            "years follow one another until one ends as it began; the months of that year, number {}, are shown",
            year.years
        ));
    }
    if layers.layers.iter().any(VapourLayer::opens) {
        basis = basis.assuming(
            "a layer that opens in humid air is counted as tight as its dry cup: neither the drying that it would let \
             through nor what it would let in from humid rooms is counted",
        );
    }
    if layers.layers.iter().any(|layer| layer.is_framed) {
        basis = basis.assuming("framed layers are followed through what fills them, away from the members");
    }
    if layers.vented {
        basis = basis.assuming("what lies outside the ventilated cavity is left out");
    }
    match Climate::assumption(layers.boundary) {
        Some(assumption) => basis.assuming(assumption),
        None => basis,
    }
}

/// One month on the wettest plane: its temperature and saturation, the string to the planes next to it that hold it, and
/// what that brings.
fn month_steps(diagram: &Diagram, plane: usize, month: &MonthOfYear, conditions: &[Conditions; 12]) -> Vec<Step> {
    let pick = |values: &[f64], plane: usize| values.get(plane).copied().unwrap_or_default();
    let (profile, depths) = (&month.profile, diagram.depths());
    let mut steps = Vec::new();
    if let Some(air) = conditions.get(month.month) {
        let on_plane = OnPlane {
            θi: air.inside.temperature,
            θe: air.outside.temperature,
            R: ThermalResistance::from_si(pick(&diagram.resistances(), plane)),
            R_T: ThermalResistance::from_si(diagram.total_resistance()),
        };
        let (temperature, step) = on_plane.step();
        steps.push(step.meaning(OnPlane::θ, format!("on the plane in {}", name(month.month))));
        let saturation = saturation_step(temperature).1;
        steps.push(saturation.meaning(OverWater::p_s, "on the plane, saturated").named(OverWater::p_s, "p"));
    }
    if let Some((inner, outer)) = profile.neighbours(plane) {
        let pressure = |plane: usize| Pressure::from_si(pick(&profile.vapour, plane));
        let apart = |from: usize, to: usize| Length::from_si(pick(&depths, to) - pick(&depths, from));
        let settling = Settling {
            δ0: AIR_PERMEABILITY,
            p1: pressure(inner),
            p: pressure(plane),
            s1: apart(inner, plane),
            p2: pressure(outer),
            s2: apart(plane, outer),
        };
        steps.push(settling.step().1);
    }
    let held = held_after(pick(&month.before, plane), pick(&profile.gain, plane), month.month).step().1;
    steps.push(held.meaning(Held::Ma, format!("water on the plane at the end of {}", name(month.month))));
    steps
}

/// Thickness of the outermost insulation with which the assembly dries within the year, where it does not: the least of
/// steps of 5 mm up to 0.5 m more.
fn dry_insulation(
    request: &Request<'_>,
    subject: &Subject,
    layers: &Layers<'_>,
    year: &Year,
    conditions: &[Conditions; 12],
    findings: &mut Findings,
) -> Option<Pointer> {
    if year.residual() <= 0.0 {
        return None;
    }
    let place = layers.outermost_insulation()?;
    let layer = layers.layers.get(place)?;
    let enough = (1..=100).map(|step| layer.thickness + 0.005 * f64::from(step)).find(|thickness| {
        Year::of(&diagram(layers, Some((place, thickness / layer.thickness))), conditions).residual() <= 0.0
    })?;
    let wanted = Length::from_si(enough);
    let term = Term::new("d0", format!("{} as drawn", layer.name), Length::from_si(layer.thickness), Units::THICKNESS);
    let step = Step::procedure("the least d, in steps of 5 mm, with nothing left after a year")
        .term(term.given(layers.path(place)))
        .result(Term::new("d", "thickness", wanted, Units::THICKNESS));
    findings.fact(
        subject,
        &facts::DRY_INSULATION,
        wanted,
        Basis::new("search with the same method", SOURCE).provenance(RECALLED).step(step),
    );
    let words = Units::THICKNESS.show(wanted.into(), request.home.units);
    Some(noted(layers.path(place), Some(format!("at least {words} of it lets the assembly dry within the year"))))
}
