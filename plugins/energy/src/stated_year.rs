//! The year hour by hour, where a site gives months alone: each month one day of 24 hours, repeated until it closes.
//!
//! The home is one zone ([`crate::elements`]) with an element for every surface and for the openings of every side. What
//! people feel is held, so that the need is one with sums of U-factors. A second run holds the winter's temperature and
//! cools nothing: it tells how warm rooms get by themselves. Mean days know no hot spell and no dull week, so that real
//! years have warmer hours than this says, and peaks are higher.
//!
//! Source: ISO 52016-1:2017, 6.5 (from memory, high); hours of a day from the month's mean by the sun's height and by the
//! older handbook's shares of the daily range (from memory, high).

use crate::capacity::FURNITURE;
use crate::clear_day;
use crate::elements::{Arrival, Element, OUTER_AIR, OUTER_GLOW, Outside, State, USUAL, Zone};
use crate::facts::{self, HEAT, HOURS};
use crate::gathered::Balance;
use crate::mean_day::MeanDay;
use crate::months::{Climate, duration};
use crate::shade::Screen;
use crate::sun::{COLOUR, SKY, side};
use crate::surfaces::{Surface, loss};
use mateline_equation::equation;
use mateline_model::quantity::{Duration, Energy, Ratio, Temperature, TemperatureDifference, Units};
use mateline_model::{Basis, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};
use mateline_weather::sky::Plane;

/// A day is repeated at most so often; it closes sooner.
const MOST_DAYS: usize = 60;
/// So near to its beginning a day has closed (K).
const CLOSED: f64 = 0.01;
/// Rooms are warm above this (°C): the passive-building criteria count hours above it (looked up).
const WARM: f64 = 25.0;
/// Behind the outer film of a surface on the ground nothing else resists (W/(m²·K)).
const GROUND: f64 = 1e4;

equation! {
    /// How far two methods are apart. Source: definition.
    pub(crate) Spread = "s = (Q_h − Q_m)/max(Q_h, Q_m)" {
        s: Ratio "spread" [Units::PERCENT],
        Q_h: Energy "hour by hour" [HEAT],
        Q_m: Energy "by months" [HEAT],
    }
}

/// Convection at an inner surface, by the way heat flows: level, up, down (W/(m²·K)). Source: ISO 52016-1:2017 (from
/// memory, high).
fn inner_film(orientation: &str) -> f64 {
    match orientation {
        "up" => 5.0,
        "down" => 0.7,
        _ => 2.5,
    }
}

/// Films that the U-factor of a surface has within it (m²·K/W). Source: ISO 6946:2017 (from memory, high).
fn films(orientation: &str) -> f64 {
    let inside = match orientation {
        "up" => 0.10,
        "down" => 0.17,
        _ => 0.13,
    };
    inside + 0.04
}

/// What stands behind an element.
enum Behind {
    Outdoors(Option<Plane>, f64),
    Ground,
}

/// The home as a zone, with what stands behind each element.
struct Model {
    elements: Vec<Element>,
    behind: Vec<Behind>,
}

impl Model {
    fn of(request: &Request<'_>, balance: &Balance<'_>, surfaces: &[Surface<'_>]) -> Result<Model, Lack> {
        let (mut elements, mut behind) = (Vec::new(), Vec::new());
        let on_ground: f64 = surfaces.iter().filter(|one| one.boundary == "ground").map(|one| one.area.si()).sum();
        let outer = OUTER_AIR + OUTER_GLOW;
        for surface in surfaces.iter().filter(|surface| surface.area.si() > 0.0) {
            let area = surface.area.si();
            let inner = inner_film(surface.orientation);
            let stores = balance.stores.get(surface.assembly).copied().unwrap_or_default();
            if surface.boundary == "ground" && balance.shell.ground.si() > 0.0 {
                let resistance = on_ground / balance.shell.ground.si() - films(surface.orientation);
                elements.push(Element::opaque(area, resistance.max(LEAST), stores, GROUND, inner));
                behind.push(Behind::Ground);
                continue;
            }
            let resistance = area / loss(request, surface.subject)?.si() - films(surface.orientation);
            elements.push(Element::opaque(area, resistance.max(LEAST), stores, outer, inner));
            let (plane, view) = match surface.boundary {
                "outdoor" => side(surface.orientation).map_or((None, 0.0), |(plane, view)| (Some(plane), view)),
                _ => (None, 0.0),
            };
            behind.push(Behind::Outdoors(plane, view));
        }
        for id in request.home.openings.keys() {
            let subject = Subject::element("openings", id);
            if request.text(&subject, "takeoff.boundary") == Some("outside-envelope") {
                continue;
            }
            let area = crate::surfaces::known(request, &subject, "takeoff.area")?;
            let through = loss(request, &subject)?.si();
            if area > 0.0 && through > 0.0 {
                elements.push(Element::light(area, (area / through - 0.17).max(LEAST), outer, 2.5));
                behind.push(Behind::Outdoors(None, 0.0));
            }
        }
        Ok(Model { elements, behind })
    }
}

/// The least resistance of an element (m²·K/W): that of what is next to nothing.
const LEAST: f64 = 0.01;

/// The year's hours, of means of months.
struct Year<'a> {
    balance: &'a Balance<'a>,
    climate: &'a Climate,
    model: &'a Model,
    range: TemperatureDifference,
}

/// What a run of the year tells.
#[derive(Default)]
struct Run {
    heat: f64,
    cool: f64,
    hottest: f64,
    warm: f64,
    beyond: f64,
}

impl Year<'_> {
    /// The 24 hours of a month, counted from 0.
    fn day(&self, month: usize) -> Vec<Arrival> {
        let balance = self.balance;
        let mean = self.climate.temperatures.get(month).copied().unwrap_or_default();
        let global = self.climate.radiation.get(month).copied().unwrap_or_default();
        let day = MeanDay::of(month, self.climate.latitude, global);
        let hours = duration(month);
        let (into_ground, _) = balance.shell.below(self.climate, balance.winter, month, hours);
        let ground = match balance.shell.ground.si() > 0.0 {
            true => balance.winter.si() - into_ground.si() / hours.si() / balance.shell.ground.si(),
            false => mean.si(),
        };
        let on = |plane, screen: &Screen| day.hours(plane, screen);
        let glass: Vec<[f64; 24]> = balance
            .collectors
            .panes
            .iter()
            .map(|pane| on(pane.plane, &pane.screen).map(|flux| flux * pane.collecting))
            .collect();
        let walls: Vec<[f64; 24]> = self
            .model
            .behind
            .iter()
            .map(|behind| match behind {
                Behind::Outdoors(Some(plane), view) => {
                    on(*plane, &Screen::default()).map(|flux| COLOUR * flux - view * OUTER_GLOW * SKY)
                }
                _ => [0.0; 24],
            })
            .collect();
        let internal = balance.internal.0.si() * balance.treated.si();
        let arrival = |hour: usize| {
            let outdoors = clear_day::around(hour + 1, mean, self.range);
            let outside = self.model.behind.iter().zip(&walls).map(|(behind, taken_up)| Outside {
                temperature: if matches!(behind, Behind::Ground) { ground } else { outdoors },
                taken_up: taken_up.get(hour).copied().unwrap_or_default(),
            });
            Arrival {
                outside: outside.collect(),
                supply: outdoors,
                internal,
                solar: glass.iter().filter_map(|pane| pane.get(hour)).sum(),
            }
        };
        (0..24).map(arrival).collect()
    }

    /// The year, held between two temperatures.
    fn run(&self, zone: &Zone, days: &[Vec<Arrival>], low: f64, high: f64) -> Run {
        let mut run = Run { hottest: f64::NEG_INFINITY, ..Run::default() };
        let mut state = zone.state(low);
        for (month, day) in days.iter().enumerate() {
            let mut hours: Vec<State> = Vec::new();
            for _ in 0..MOST_DAYS {
                let begun = state.clone();
                hours.clear();
                for arrival in day {
                    state = zone.hour(&state, arrival, low, high);
                    hours.push(state.clone());
                }
                if zone.apart(&begun, &state) < CLOSED {
                    break;
                }
            }
            let count = duration(month).si() / 86_400.0;
            let outdoors = self.climate.temperatures.get(month).map_or(0.0, |one| one.si()).clamp(10.0, 33.5);
            let comfort = 0.31 * outdoors + 17.8 + 3.5;
            for hour in &hours {
                run.heat += hour.heat.max(0.0) * count;
                run.cool += (-hour.heat).max(0.0) * count;
                run.hottest = run.hottest.max(hour.operative());
                run.warm += if hour.operative() > WARM { count } else { 0.0 };
                run.beyond += if hour.operative() > comfort { count } else { 0.0 };
            }
        }
        run
    }
}

/// Writes what the hours tell.
pub(crate) fn report(
    request: &Request<'_>,
    balance: &Balance<'_>,
    surfaces: &[Surface<'_>],
    by_months: [Energy; 2],
    findings: &mut Findings,
) -> Result<(), Lack> {
    let home = Subject::home();
    let model = Model::of(request, balance, surfaces)?;
    let bridges = balance.shell.bridges(request, surfaces)?;
    let stores = FURNITURE * balance.floor.si();
    let zone = Zone::new(model.elements.clone(), balance.air.loss.0.si() + bridges.si(), stores, USUAL, 0.5);
    let given = request.home.site.daily_range;
    let range = given.unwrap_or(TemperatureDifference::from_si(crate::cooling::RANGE));
    let year = Year { balance, climate: balance.climate, model: &model, range };
    let days: Vec<Vec<Arrival>> = (0..12).map(|month| year.day(month)).collect();
    let (winter, summer) = (balance.winter.si(), balance.summer.si());
    let held = year.run(&zone, &days, winter, summer.max(winter));
    let free = year.run(&zone, &days, winter, f64::INFINITY);

    let range = Term::new("DR", "from a day's highest to its lowest temperature", range, Units::new("K", 1, "Δ°F", 1));
    let range = match given {
        Some(_) => range.given("site.daily_range"),
        None => range.published("20 Δ°F where the site does not say (common practice, no source)"),
    };
    let number = |symbol, what: &str, count: usize| Term::new(symbol, what.to_owned(), count as f64, Units::plain(0));
    let step = |what: &'static str| {
        Step::procedure(what)
            .term(number("n", "elements of the zone", model.elements.len()))
            .term(range.clone())
            .term(Term::new("H", "by air and bridges", balance.air.loss.0 + bridges, Units::CONDUCTANCE))
            .term(Term::new("θ_i", "held in winter", balance.winter, Units::TEMPERATURE))
    };
    let basis = |step: Step| {
        Basis::new("five-node elements, a mean day of each month hour by hour", "ISO 52016-1:2017, 6.5")
            .provenance("from memory, high")
            .step(step)
            .assuming("each month is one mean day, repeated: no hot spell, no dull week")
            .assuming("one zone; windows stay shut, no blind is drawn, and nothing is cooled at night")
    };
    let energy = |watt_days: f64| Energy::from_si(watt_days * 3_600.0);
    let needs = [energy(held.heat), energy(held.cool)];
    let told = [
        (&facts::HOURLY_HEATING, &facts::HEATING_SPREAD, &facts::HEATING_NEED),
        (&facts::HOURLY_COOLING, &facts::COOLING_SPREAD, &facts::COOLING_NEED),
    ];
    for (((hourly, spread, monthly), need), by_months) in told.into_iter().zip(needs).zip(by_months) {
        let result = Term::new("Q_h", "in the year", need, HEAT);
        let worked = step("hours of twelve days, what people feel held between winter and summer").result(result);
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
    let worked = |result| basis(step("the same hours, heated and not cooled").result(result));
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
    let result = Term::new("t", "above 0.31 T + 21.3 °C, T the month's mean outdoors", beyond, HOURS);
    let basis = worked(result).assuming("upper bound for four people in five: ASHRAE 55 (from memory, high)");
    findings.fact(&home, &facts::ADAPTIVE_HOURS, beyond, basis);
    Ok(())
}
