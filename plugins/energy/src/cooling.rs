//! Heat to take out on a hot, clear day, for the home and for each room.
//!
//! The day is repeated until it closes, hour by hour through the network of one mass ([`crate::network`]), with the sun of a
//! clear sky ([`crate::clear_day`]). Each room is a network of its own with its windows, its share of everything else and
//! of what layers store, as in [`crate::rooms`]; its highest hour is its load. Water in the air is reckoned for the home.
//!
//! Sources: ISO 13790:2008, annex C (network), the older handbook's design day (both from memory, high).

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::air::AIR;
use crate::clear_day::{on, temperature};
use crate::facts::{self, POWER};
use crate::gathered::Balance;
use crate::network::{Brought, Hour, Network};
use crate::rooms::Room;
use crate::shade::Screen;
use mateline_equation::equation;
use mateline_model::home::Home;
use mateline_model::quantity::{
    Density, Flow, MassFlow, Power, Quantity, Ratio, Temperature, TemperatureDifference, Units,
};
use mateline_model::{Basis, Step, Subject, Term};
use mateline_psychrometrics::moist_air::{barometer_at, humidity_ratio};
use mateline_sdk::{Findings, Lack, Request};

/// From the day's highest to its lowest temperature where the site does not say: 20 Δ°F (K). Common practice, no source.
pub(crate) const RANGE: f64 = 100.0 / 9.0;
/// The air of a room that gets none (W/K): nothing to speak of.
const STILL: f64 = 1e-6;
/// Relative humidity that rooms are dried to (0 to 1). Common practice, no source.
const DRY: f64 = 0.5;
/// Water in a mass of dry air.
const MOISTURE: Units = Units::new("g/kg", 2, "gr/lb", 1);
const CAUTION: &str = "for the licensed designer of the system: one clear day, with no blind drawn and nothing beyond the stated heat inside";

equation! {
    /// Heat that is bound in the water to be taken out: what is given off indoors, and what outdoor air brings beyond what
    /// rooms hold. Source: heat of vaporisation of water (from memory, high).
    pub(crate) LatentLoad = "Φ_l = max(0, 2.45[MJ/kg] (G + ρ q (x_e − x_i)))" {
        Φ_l: Power "latent load" [POWER],
        G: MassFlow "given off indoors" [Units::WATER_PER_DAY],
        ρ: Density "dry air" [Units::AIR_DENSITY],
        q: Flow "outdoor air whose water stays" [Units::FLOW],
        x_e: Ratio "water in outdoor air" [MOISTURE],
        x_i: Ratio "water in the rooms' air" [MOISTURE],
    }
}

/// Writes the cooling load of the home and of its rooms.
pub(crate) fn report(request: &Request<'_>, balance: &Balance<'_>, rooms: &[Room<'_>], findings: &mut Findings) {
    let home = Subject::home();
    let Some(highest) = request.home.site.design_cooling else {
        let lack = Lack::at("site.design_cooling is not given", "site");
        lack.write(&home, &[&facts::COOLING_LOAD, &facts::COOLING_HOUR, &facts::LATENT_LOAD], findings);
        for room in rooms {
            lack.write(&Subject::element("spaces", room.id), &[&facts::COOLING_LOAD, &facts::COOLING_HOUR], findings);
        }
        return;
    };
    let day = Day { home: request.home, balance, rooms, highest };
    day.write(&home, None, findings);
    for room in rooms {
        day.write(&Subject::element("spaces", room.id), Some(room), findings);
    }
    match latent(request, balance) {
        Ok((load, basis)) => findings.fact(&home, &facts::LATENT_LOAD, load, basis),
        Err(lack) => lack.write(&home, &[&facts::LATENT_LOAD], findings),
    }
}

/// The hot day of a home.
struct Day<'a> {
    home: &'a Home,
    balance: &'a Balance<'a>,
    rooms: &'a [Room<'a>],
    highest: Temperature,
}

impl Day<'_> {
    /// The network of the home, or of a room.
    fn network(&self, room: Option<&Room<'_>>) -> Network {
        let (balance, shell) = (self.balance, &self.balance.shell);
        // On a hot day the air below a floor over an unheated space is taken to be as warm as outdoors.
        let below = if shell.is_over_space() { shell.ground.si() } else { 0.0 };
        let airborne = shell.airborne.0.si() + below;
        let light: f64 = self.rooms.iter().map(|room| room.openings.si()).sum();
        let (share, floor) = room.map_or((1.0, balance.rooms_floor), |room| (room.floor, room.space.floor_area.si()));
        let air = balance.air.loss.0.si();
        let leaks = AIR * balance.air.infiltration.0.si();
        Network {
            capacity: balance.capacity * share,
            mass: balance.mass_area * share,
            floor,
            opaque: (airborne - light) * room.map_or(1.0, |room| room.rest),
            light: room.map_or(light, |room| room.openings.si()),
            air: match room {
                None => air,
                Some(room) => (air - leaks) * balance.air.share_of_fans(room) + leaks * room.volume,
            }
            .max(STILL),
        }
    }

    /// What each hour, 1 to 24, brings to the home or to a room.
    fn brought(&self, room: Option<&Room<'_>>) -> [Brought; 24] {
        let balance = self.balance;
        let latitude = balance.climate.latitude;
        let range = self.home.site.daily_range.unwrap_or(TemperatureDifference::from_si(RANGE));
        let rest = room.map_or(1.0, |room| room.rest);
        let floor = room.map_or(balance.treated, |room| room.space.floor_area);
        let internal = balance.internal.0.si() * floor.si();
        let shell = &balance.shell;
        let ground = match shell.is_over_space() {
            true => 0.0,
            false => {
                shell.ground.si() * (balance.summer - balance.climate.mean()).si()
                    - shell.seasons.si() * balance.climate.swing().si()
            }
        };
        let into_ground = ground * room.map_or(1.0, |room| room.ground);
        let mut hours = [Brought::default(); 24];
        for (index, hour) in hours.iter_mut().enumerate() {
            let at = |plane, screen: &Screen| on(plane, screen, index + 1, latitude);
            let panes = balance.collectors.panes.iter();
            let own = panes.filter(|pane| room.is_none_or(|room| pane.space.as_ref() == Some(room.id)));
            let glass: f64 = own.map(|pane| pane.collecting * at(pane.plane, &pane.screen)).sum();
            let walls: f64 = balance.collectors.opaque_gain(|plane| at(plane, &Screen::default()));
            *hour = Brought {
                outdoors: temperature(index + 1, self.highest, range),
                internal,
                solar: glass + walls * rest - into_ground,
            };
        }
        hours
    }

    fn write(&self, subject: &Subject, room: Option<&Room<'_>>, findings: &mut Findings) {
        let network = self.network(room);
        let summer = self.balance.summer;
        let hours = network.day(&self.brought(room), f64::NEG_INFINITY, summer.si());
        let (hour, most) = peak(&hours);
        let load = Power::from_si(most);
        let site = &self.home.site;
        let watts = |symbol, meaning: &str, value: f64| {
            let value = mateline_model::quantity::Conductance::from_si(value);
            Term::new(symbol, meaning.to_owned(), value, Units::CONDUCTANCE)
        };
        let range = site.daily_range.unwrap_or(TemperatureDifference::from_si(RANGE));
        let range =
            Term::new("DR", "from the day's highest to its lowest temperature", range, Units::new("K", 1, "Δ°F", 1));
        let range = match site.daily_range {
            Some(_) => range.given("site.daily_range"),
            None => range.published("20 Δ°F where the site does not say (common practice, no source)"),
        };
        let outdoors =
            Term::new("θ_d", "highest outdoors", self.highest, Units::TEMPERATURE).given("site.design_cooling");
        let mut step =
            Step::procedure("hours of a clear day, repeated until it closes; the most heat that is taken out")
                .term(outdoors)
                .term(range)
                .term(Term::new("θ_c", "indoors at most", summer, Units::TEMPERATURE))
                .term(watts("H_op", "through opaque parts", network.opaque))
                .term(watts("H_w", "through windows and doors", network.light))
                .term(watts("H_V", "by air", network.air))
                .term(Term::new(
                    "C",
                    "stored for each degree",
                    Quantity::new(network.capacity, facts::CAPACITY_FACT.dimension()),
                    facts::CAPACITY,
                ));
        if let Some(at) = self.brought(room).get(hour) {
            step = step
                .term(Term::new(
                    "Φ_s",
                    "sun and sky in that hour, less what the ground takes",
                    Power::from_si(at.solar),
                    POWER,
                ))
                .term(Term::new("Φ_i", "from people, lights and appliances", Power::from_si(at.internal), POWER));
        }
        let step = step.result(Term::new("Φ_C", "cooling load", load, POWER));
        let mut basis = Basis::new("five resistances and one capacity through a clear day", "ISO 13790:2008, annex C")
            .provenance("from memory, high")
            .step(step)
            .assuming(CAUTION)
            .assuming("air that fans bring passes the heat recovery");
        if room.is_some() {
            basis = basis.assuming(
                "everything but windows and air is shared by the open faces of the boxes and by floor area; rooms do not help each other",
            );
        }
        let told = if most > 0.0 { format!("{}:00 by the sun", hour + 1) } else { "none".to_owned() };
        findings.fact(subject, &facts::COOLING_LOAD, load, basis.clone());
        findings.text(subject, &facts::COOLING_HOUR, told, basis);
    }
}

/// The hour, counted from 0, in which most is taken out, and how much (W).
fn peak(hours: &[Hour; 24]) -> (usize, f64) {
    let most = |best: (usize, f64), (place, hour): (usize, &Hour)| match -hour.heat > best.1 {
        true => (place, -hour.heat),
        false => best,
    };
    hours.iter().enumerate().fold((0, 0.0), most)
}

/// Water to be taken out of the home's air, by the month with the most in outdoor air.
fn latent(request: &Request<'_>, balance: &Balance<'_>) -> Result<(Power, Basis), Lack> {
    let home = request.home;
    for (id, unit) in &home.systems.ventilation {
        if let Some(because) = unit.lacks_latent_recovery(id) {
            return Err(Lack::at(because, format!("systems.ventilation.{id}")));
        }
    }
    let subject = Subject::home();
    let given = request.number(&subject, "moisture.given_off");
    let given = given.ok_or_else(|| Lack::new("moisture.given_off of the home is not known"))?;
    let barometer = barometer_at(home.site.elevation.unwrap_or_default());
    let unknown = || Lack::new("the air holds no water at the temperatures given");
    let mut most: Option<(f64, String)> = None;
    let climate = balance.climate;
    for (month, (temperature, humidity)) in climate.temperatures.iter().zip(climate.humidity).enumerate() {
        let path = climate.path(month, "humidity");
        let path = path.trim_end_matches(".humidity").to_owned();
        let humidity = humidity.ok_or_else(|| Lack::at(format!("{path} has no humidity"), path.as_str()))?;
        let water = humidity_ratio(*temperature, humidity.si(), barometer).ok_or_else(unknown)?;
        if most.as_ref().is_none_or(|(known, _)| water > *known) {
            most = Some((water, path));
        }
    }
    let (x_e, path) = most.ok_or_else(unknown)?;
    let x_i = humidity_ratio(balance.summer, DRY, barometer).ok_or_else(unknown)?;
    let kept = balance.air.latent_kept;
    let q = balance.air.supply.si().max(balance.air.exhaust.si()) - kept + balance.air.infiltration.0.si();
    let load = LatentLoad {
        G: MassFlow::from_si(given),
        ρ: Density::from_si(DRY_AIR),
        q: Flow::from_si(q),
        x_e: Ratio::from_si(x_e),
        x_i: Ratio::from_si(x_i),
    };
    let (load, step) = load.step();
    let step = step
        .fact(LatentLoad::G, &subject, "moisture.given_off")
        .given(LatentLoad::x_e, path)
        .meaning(LatentLoad::x_i, "water in the rooms' air, at 50 % (common practice, no source)");
    let basis = Basis::new("water given off, and brought by outdoor air", "heat of vaporisation of water")
        .provenance("from memory, high")
        .step(step)
        .assuming("outdoor air as humid as on the mean of the dampest month: a humid day brings more");
    Ok((load, basis))
}

/// Dry air (kg/m³). Source: as the heat of air, 1200 J/(m³·K) over 1006 J/(kg·K).
const DRY_AIR: f64 = 1.19;

#[cfg(test)]
mod tests {
    use super::*;

    /// 300 g/h given off and 50 L/s of air with 3 g/kg more than the rooms hold: 2.45 MJ/kg (0.3/3600 + 1.19 x 0.05 x 0.003)
    /// = 641.5 W, by hand; drier air outdoors takes the water along.
    #[test]
    fn water_by_hand() {
        let of = |x_e: f64| {
            let (G, ρ, q) = (MassFlow::from_si(0.3 / 3_600.0), Density::from_si(DRY_AIR), Flow::from_si(0.05));
            LatentLoad { G, ρ, q, x_e: Ratio::from_si(x_e), x_i: Ratio::from_si(0.0099) }.value().si()
        };
        assert!((of(0.0129) - 641.5).abs() < 0.05, "{}", of(0.0129));
        assert!(of(0.002) == 0.0);
    }
}
