//! The facts of water within an assembly.

use crate::climate::{Climate, RECALLED};
use crate::conditions::{Conditions, name, seconds};
use crate::diagram::{Diagram, SLICE, Sheet};
use crate::facts::{self, COUNT, DEGREES, VAPOUR, VAPOUR_FLOW, WATER};
use crate::layers::{Layers, VapourLayer, noted};
use crate::year::{MonthOfYear, Year};
use mateline_model::quantity::{EmissionRate, Length, Pressure, SurfaceMass, Temperature, ThermalResistance, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Request};

const METHOD: &str = "monthly condensation and drying";
const SOURCE: &str = "ISO 13788:2012, clause 6";
/// Diffusion-equivalent thickness.
const SD: Units = Units::new("m", 3, "m", 3);

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
        basis.clone().step(Step::new("Σ Ma, all planes").result(Term::new("Σ Ma", meaning, mass(value), WATER)))
    };
    let last = year.months.last().map_or("", |month| name(month.month));
    let residual = sum(format!("left after twelve months, at the end of {last}"), year.residual());
    let fullest = year.peak_month().map_or("", |month| name(month.month));
    let peak = sum(format!("most of all months, at the end of {fullest}"), year.peak());
    let dries = Value::Flag(year.residual() <= 0.0);
    let step = Step::new("Σ Ma = 0 after twelve months").result(Term::new("dry", "again", dries.clone(), COUNT));
    findings.fact_at(subject, &facts::DRIES, dries, residual.clone().step(step), at.clone());
    findings.fact_at(subject, &facts::PEAK_WATER, mass(year.peak()), peak, at.clone());
    findings.fact_at(subject, &facts::RESIDUAL_WATER, mass(year.residual()), residual, at);
    let wet = year.wet_months();
    let step = Step::new("n, months with Σ Ma > 0 at their end").result(Term::new("n", "months", wet as f64, COUNT));
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
    let resistance = |symbol: &'static str, meaning: String, value: f64| {
        Term::new(symbol, meaning, ThermalResistance::from_si(value), Units::RESISTANCE)
    };
    for (place, layer) in layers.layers.iter().enumerate() {
        let called =
            if layer.is_framed { format!("{}, between the members", layer.name) } else { layer.name.to_owned() };
        let step = Step::new("s_d = µ d, or δ0/W")
            .term(resistance("R", called, layer.resistance).given(layers.path(place)))
            .result(sd("s_d", format!("{}: {}", layer.name, layer.vapour.from), layer.vapour.sd));
        basis = basis.step(step);
    }
    basis = basis.step(
        Step::new("R_T = Rsi + Σ R + Rse")
            .term(resistance("Rsi", "inner film".to_owned(), layers.films().inner.si()).published(FILMS))
            .term(resistance("Rse", "outer film".to_owned(), layers.films().outer.si()).published(FILMS))
            .result(resistance("R_T", "from air to air".to_owned(), diagram.total_resistance())),
    );
    if let Some(plane) = year.wettest {
        let depth = diagram.depths().get(plane).copied().unwrap_or_default();
        let inward = diagram.resistances().get(plane).copied().unwrap_or_default();
        basis = basis.step(
            Step::new("plane")
                .term(sd("s_d", "from the inner surface to the wettest plane".to_owned(), depth))
                .result(resistance("R", "from indoor air to the wettest plane".to_owned(), inward)),
        );
        for month in &year.months {
            let (Some(change), Some(water)) = (month.change.get(plane), month.water.get(plane)) else { continue };
            if *change == 0.0 && *water == 0.0 {
                continue;
            }
            basis = basis.step(month_step(diagram, plane, month, conditions, *change, *water));
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

/// One month on the wettest plane: the string to the planes next to it that hold it, and what that brings.
fn month_step(
    diagram: &Diagram,
    plane: usize,
    month: &MonthOfYear,
    conditions: &[Conditions; 12],
    change: f64,
    water: f64,
) -> Step {
    let pick = |values: &[f64], plane: usize| values.get(plane).copied().unwrap_or_default();
    let profile = &month.profile;
    let depths = diagram.depths();
    let pressure = |symbol: &'static str, meaning: &'static str, plane: usize| {
        Term::new(symbol, meaning, Pressure::from_si(pick(&profile.vapour, plane)), VAPOUR)
    };
    let apart = |symbol: &'static str, meaning: &'static str, from: usize, to: usize| {
        Term::new(symbol, meaning, Length::from_si(pick(&depths, to) - pick(&depths, from)), SD)
    };
    let mut step = Step::new("g = δ0 ((p1 - p)/s1 - (p - p2)/s2), Ma = Ma + g t");
    if let Some(air) = conditions.get(month.month) {
        step = step.term(Term::new("pi", "indoors", air.inside.vapour, VAPOUR)).term(Term::new(
            "pe",
            "outside",
            air.outside.vapour,
            VAPOUR,
        ));
    }
    let temperature = Temperature::from_si(pick(&profile.temperatures, plane));
    step = step.term(Term::new("θ", "on the plane", temperature, DEGREES)).term(pressure(
        "p",
        "on the plane, saturated",
        plane,
    ));
    if let Some((inner, outer)) = profile.neighbours(plane) {
        step = step
            .term(pressure("p1", "where the string is held next inside", inner))
            .term(apart("s1", "s_d from there to the plane", inner, plane))
            .term(pressure("p2", "where the string is held next outside", outer))
            .term(apart("s2", "s_d from the plane to there", plane, outer));
    }
    let rate = EmissionRate::from_si(change / seconds(month.month));
    step.term(Term::new("g", "settling there, or drying; until dry where it dries", rate, VAPOUR_FLOW)).result(
        Term::new(
            "Ma",
            format!("water on the plane at the end of {}", name(month.month)),
            SurfaceMass::from_si(water),
            WATER,
        ),
    )
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
    let step = Step::new("the least d, in steps of 5 mm, with nothing left after a year")
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
