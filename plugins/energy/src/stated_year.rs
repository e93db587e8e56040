//! What the year hour by hour says: need, peaks, how warm it gets, and how far all that lies from the months.
//!
//! The home is one zone ([`crate::zone_model`]). What people feel is held, so that the need is one with sums of U-factors. A
//! second run holds the winter's temperature and cools nothing: it tells how warm rooms get by themselves, and each level,
//! with its bedrooms apart, goes through it again beside those that it touches ([`crate::zones`]). Where the home
//! names no weather file the hours are those of mean days, which know no hot spell and no dull week: real years have warmer
//! hours than this says, and peaks are higher.
//!
//! Source: ISO 52016-1:2017, 6.5 (from memory, high); hours of a mean day by the sun's height and by the older handbook's
//! shares of the daily range (from memory, high).

use crate::air::AIR;
use crate::elements::Zone;
use crate::facts::{self, HEAT, HOURS, POWER};
use crate::gathered::{Balance, Conditions};
use crate::home_year::{HeldYear, Told, Year, sums, through};
use crate::hour_figures;
use crate::hours::{Hours, Views};
use crate::shade::Screen;
use crate::solar_arrays;
use crate::surfaces::Surface;
use crate::touching::Touching;
use crate::zone_model::Model;
use crate::zones::{self, Link, Part};
use mateline_equation::equation;
use mateline_model::home::SolarArray;
use mateline_model::quantity::{
    Area, Conductance, Duration, Energy, Power, Ratio, Temperature, TemperatureDifference, Units,
};
use mateline_model::{Basis, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};
use mateline_weather::{WeatherYear, stamp};

/// So begins what is said of shading and air in a home that goes through the hours as one.
const ONE_ZONE: &str = "one zone; ";

equation! {
    /// How far two methods are apart. Source: definition.
    pub(crate) Spread = "s = (Q_h − Q_m)/max(Q_h, Q_m)" {
        s: Ratio "spread" [Units::PERCENT],
        Q_h: Energy "hour by hour" [HEAT],
        Q_m: Energy "by months" [HEAT],
    }
}

/// The home in parts.
pub(crate) struct Divided {
    pub parts: Vec<(Part, Model)>,
    pub links: Vec<Link>,
}

/// Writes what the hours tell.
pub(crate) fn report(
    request: &Request<'_>,
    balance: &Balance<'_>,
    weather: Option<&WeatherYear>,
    surfaces: &[Surface<'_>],
    (whole, divided, mut views): (&Model, &Divided, Views),
    by_months: [Energy; 2],
    findings: &mut Findings,
) -> Result<HeldYear, Lack> {
    let (home, zones) = (Subject::home(), &divided.parts);
    let bridges = balance.shell.bridges(request, surfaces)?;
    let exchange = balance.air.loss.0.si() + bridges.si();
    let zone = whole.zone(balance.floor, exchange);
    let night = request.home.systems.night_air;
    let airy = night.map(|flow| whole.zone(balance.floor, exchange + AIR * flow.si()));
    let given = request.home.site.daily_range;
    let range = given.unwrap_or(TemperatureDifference::from_si(crate::cooling::RANGE));
    let arrays: Vec<(usize, &SolarArray)> = request
        .home
        .systems
        .solar
        .values()
        .map(|array| (views.number(solar_arrays::plane(array), Screen::default()), array))
        .collect();
    let hours = match weather {
        Some(weather) => Hours::of_file(weather, &views),
        None => Hours::of_months(balance.climate, range, &views),
    };
    let year = Year::of(balance.conditions(), whole, &hours);
    let (winter, summer) = (balance.winter.si(), balance.summer.si());
    let held_hours = year.run([&zone, airy.as_ref().unwrap_or(&zone)], winter, summer.max(winter));
    let free_hours = year.run([&zone, airy.as_ref().unwrap_or(&zone)], winter, f64::INFINITY);
    let sums = |told: &[Told]| sums(balance.climate, &hours, told);
    let (held, free) = (sums(&held_hours), sums(&free_hours));
    if hours.is_file && request.shown {
        findings.figures.push(hour_figures::lasting(&held_hours, request.home.units));
        findings.figures.extend(hour_figures::hottest_week(&hours, &free_hours, request.home.units));
    }

    let range = Term::new("DR", "from a day's highest to its lowest temperature", range, Units::new("K", 1, "Δ°F", 1));
    let range = match given {
        Some(_) => range.given("site.daily_range"),
        None => range.published("20 Δ°F where the site does not say (common practice, no source)"),
    };
    let number = |symbol, what: &str, count: usize| Term::new(symbol, what.to_owned(), count as f64, Units::plain(0));
    let step = |what: String| {
        let step = Step::procedure(what).term(number(
            "n",
            "elements of all zones",
            zones.iter().map(|(_, model)| model.parts).sum(),
        ));
        let step = if hours.is_file {
            step.term(number("N", "hours of the weather file", hours.hours.len()).given("weather.file"))
        } else {
            step.term(range.clone())
        };
        step.term(Term::new("H", "by air and bridges", balance.air.loss.0 + bridges, Units::CONDUCTANCE))
            .term(Term::new("θ_i", "held in winter", balance.winter, Units::TEMPERATURE))
    };
    let has_blinds = balance.collectors.panes.iter().any(|pane| pane.blind < 1.0);
    let shading_and_air = match (has_blinds, night.is_some()) {
        (false, false) => "one zone; windows stay shut, no blind is drawn, and nothing is cooled at night",
        (true, false) => "one zone; windows stay shut; blinds are drawn above 23 °C and 150 W/m²",
        (false, true) => {
            "one zone; night air is let in above 22 °C while outdoors is 2 K cooler and above 12 °C; no blind is drawn"
        }
        (true, true) => {
            "one zone; blinds are drawn above 23 °C and 150 W/m², and night air is let in above 22 °C while outdoors is 2 K cooler and above 12 °C"
        }
    };
    let basis = |step: Step| {
        let (method, year) = match weather {
            Some(weather) => (
                "five-node elements, hour by hour through a weather file",
                format!("the year is that of the weather file, {}", printable(&weather.name)),
            ),
            None => (
                "five-node elements, a mean day of each month hour by hour",
                "each month is one mean day, repeated: no hot spell, no dull week".to_owned(),
            ),
        };
        Basis::new(method, "ISO 52016-1:2017, 6.5")
            .provenance("from memory, high")
            .step(step)
            .assuming(year)
            .assuming(shading_and_air)
    };
    let passed = if hours.is_file { "hours of the year" } else { "hours of twelve days" };
    let energy = |watt_days: f64| Energy::from_si(watt_days * 3_600.0);
    let needs = [energy(held.heat), energy(held.cool)];
    let told = [
        (&facts::HOURLY_HEATING, &facts::HEATING_SPREAD, &facts::HEATING_NEED),
        (&facts::HOURLY_COOLING, &facts::COOLING_SPREAD, &facts::COOLING_NEED),
    ];
    for (((hourly, spread, monthly), need), by_months) in told.into_iter().zip(needs).zip(by_months) {
        let result = Term::new("Q_h", "in the year", need, HEAT);
        let held = format!("{passed}, what people feel held between winter and summer");
        let worked = step(held).result(result);
        findings.fact(&home, hourly, need, basis(worked));
        if need.si().max(by_months.si()) <= 0.0 {
            findings.missing(&home, spread, "neither method finds a need", None);
            continue;
        }
        let (apart, step) = Spread { Q_h: need, Q_m: by_months }.step();
        let step = step.fact(Spread::Q_h, &home, hourly.name.clone()).fact(Spread::Q_m, &home, monthly.name.clone());
        let basis = Basis::new("difference of two methods", "ISO 52016-1:2017")
            .provenance("from memory, high")
            .step(step)
            .assuming("where they are far apart, as in a light home with much glass, the hours are the ones to believe: they follow sun and mass through the day");
        findings.fact(&home, spread, apart, basis);
    }
    for (definition, symbol, words, (at, most)) in [
        (&facts::PEAK_HEATING, "Φ_H", "brought in", peak(&held_hours, |told| told.heat)),
        (&facts::PEAK_COOLING, "Φ_C", "taken out", peak(&held_hours, |told| told.cool)),
    ] {
        if !hours.is_file {
            let because = "mean days have no peaks; a file named under weather has";
            findings.missing(&home, definition, because, None);
            continue;
        }
        let (power, hour) = (Power::from_si(most), stamp(at));
        let result = Term::new(symbol, format!("most heat {words} in an hour"), power, POWER);
        let worked = step(format!("the most of the year's hours: that which begins on {hour}")).result(result);
        findings.fact(&home, definition, power, basis(worked));
    }
    let worked = |result| basis(step("the same hours, heated and not cooled".to_owned()).result(result));
    let hottest = Temperature::from_si(free.hottest);
    findings.fact(
        &home,
        &facts::HIGHEST,
        hottest,
        worked(Term::new("θ", "highest operative", hottest, Units::TEMPERATURE)),
    );
    let (warm, beyond) = (Duration::from_si(free.warm * 3_600.0), Duration::from_si(free.beyond * 3_600.0));
    let result = Term::new("t", "above 25 °C operative", warm, HOURS);
    findings.fact(&home, &facts::WARM_HOURS, warm, worked(result));
    let share = Ratio::from_si(free.warm / 8_760.0);
    findings.fact(
        &home,
        &facts::WARM_SHARE,
        share,
        worked(Term::new("s", "of the year's hours, above 25 °C operative", share, Units::PERCENT)),
    );
    let mean = if hours.is_file { "the running mean of the days before" } else { "the month's mean outdoors" };
    let result = Term::new("t", format!("above 0.31 T + 21.3 °C, T {mean}"), beyond, HOURS);
    let bound = "upper bound for four people in five: ASHRAE 55 (from memory, high)";
    findings.fact(&home, &facts::ADAPTIVE_HOURS, beyond, worked(result).assuming(bound));
    let conditions = balance.conditions();
    let years: Vec<Year<'_>> = zones
        .iter()
        .map(|(part, model)| {
            Year::of(Conditions { internal: part.floor * conditions.internal, ..conditions }, model, &hours)
        })
        .collect();
    let mut touching = Touching::new(zones.len(), divided.links.clone());
    let built: Vec<[Zone; 2]> = zones
        .iter()
        .enumerate()
        .map(|(number, (part, model))| {
            let floor = Area::from_si(part.floor * balance.floor.si());
            let exchange = part.air + part.bridges * bridges.si();
            let more = night.map_or(0.0, |flow| AIR * flow.si() * part.floor);
            [0.0, more].map(|more| model.zone(floor, exchange + more).touching(touching.of(number)))
        })
        .collect();
    let each: Vec<_> = years.iter().zip(&built).map(|(year, [zone, airy])| (year, [zone, airy])).collect();
    let by_zone = through(&each, &mut touching, winter, f64::INFINITY);
    for (number, ((part, _), told)) in zones.iter().zip(&by_zone).enumerate() {
        let run = sums(told);
        let of_zone = |result: Term| {
            let step = step("the hours of its level, bedrooms and other rooms apart, heated and not cooled".to_owned());
            let by = Conductance::from_si(touching.of(number));
            let step = step.term(Term::new("H_b", "to the zones that it touches", by, Units::CONDUCTANCE));
            let mut basis = basis(step.result(result)).assuming(zones::SAID);
            for said in basis.assumptions.iter_mut().filter(|said| said.starts_with(ONE_ZONE)) {
                *said = said.trim_start_matches(ONE_ZONE).to_owned();
            }
            basis
        };
        for room in &part.rooms {
            let subject = Subject::element("spaces", room);
            let hottest = Temperature::from_si(run.hottest);
            let result = Term::new("θ", "highest operative of its zone", hottest, Units::TEMPERATURE);
            findings.fact(&subject, &facts::HIGHEST, hottest, of_zone(result));
            let warm = Duration::from_si(run.warm * 3_600.0);
            let result = Term::new("t", "above 25 °C operative in its zone", warm, HOURS);
            findings.fact(&subject, &facts::WARM_HOURS, warm, of_zone(result));
            let share = Ratio::from_si(run.warm / 8_760.0);
            let result =
                Term::new("s", "of the year's hours, above 25 °C operative in its zone", share, Units::PERCENT);
            findings.fact(&subject, &facts::WARM_SHARE, share, of_zone(result));
        }
    }
    let solar = arrays.into_iter().map(|(view, array)| solar_arrays::hours(array, view, &hours, weather)).collect();
    Ok(HeldYear { hours, held: held_hours, solar })
}

/// The first of the hours with most heat, in or out, and how much (W).
fn peak(hours: &[Told], of: impl Fn(&Told) -> f64) -> (usize, f64) {
    let most =
        |best: (usize, f64), (place, hour): (usize, &Told)| if of(hour) > best.1 { (place, of(hour)) } else { best };
    hours.iter().enumerate().fold((0, 0.0), most)
}

/// A name without characters that do not print.
fn printable(name: &str) -> String {
    name.chars().filter(|c| !c.is_control()).collect()
}
