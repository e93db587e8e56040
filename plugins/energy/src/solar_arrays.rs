//! What solar arrays yield in a year, by slope and direction.
//!
//! From sun and sky on their plane, of mean days ([`crate::mean_day`]) or of a weather file's hours, and one share for all that
//! is lost on the way: heat, dirt, wires, inverter, standstill. Where a weather file tells the wind and the array states no
//! share, cells and inverter are worked hour by hour ([`crate::cells`]). By months, for the public hourly year of Greensboro this stands 2 % above an hourly model with
//! cells, losses of 14 % and an inverter (pvlib 0.16.1). Snow and far shade are not in it.

use crate::cells;
use crate::facts::{self, FLUX, USE};
use crate::home_year::HeldYear;
use crate::hours::Hours;
use crate::mean_day::MeanDay;
use crate::months::{Climate, MONTHS, duration};
use crate::shade::Screen;
use mateline_equation::equation;
use mateline_model::home::SolarArray;
use mateline_model::quantity::{Duration, Energy, HeatFlux, Ratio, Units};
use mateline_model::{Basis, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};
use mateline_weather::WeatherYear;
use mateline_weather::sky::Plane;
use std::f64::consts::PI;

/// What is lost on the way where the home does not say. Source: as the module says (computed).
const LOST: f64 = 0.20;

equation! {
    /// What an array yields. Source: rated power at 1000 W/m² (definition), with a share for all losses.
    pub Yield = "E = P (I/1000[W/m²]) (1 − l) t" {
        E: Energy "yield" [USE],
        P: Power "rated power" [facts::POWER],
        I: HeatFlux "sun and sky on its plane, mean of the year" [FLUX],
        l: Ratio "lost on the way" [Units::PERCENT],
        t: Duration "the year" [Units::new("d", 0, "d", 0)],
    }

    /// What all arrays yield. Source: addition.
    pub(crate) AllArrays = "E = Σ E_j" {
        E: Energy "yield" [USE],
        E_j: [Energy] "an array" [USE],
    }
}

/// The plane of an array.
pub fn plane(array: &SolarArray) -> Plane {
    Plane { tilt: array.tilt.si(), azimuth: array.faces.si() - PI }
}

/// What an array gives in each hour (W), with the number of its view.
pub(crate) fn hours(array: &SolarArray, view: usize, hours: &Hours, weather: Option<&WeatherYear>) -> Vec<f64> {
    let cells = weather.filter(|_| array.losses.is_none()).and_then(|year| cells::hours(year, plane(array)));
    let power = array.power.si();
    match cells {
        Some(cells) => cells.into_iter().map(|watt| power * watt).collect(),
        None => {
            let kept = 1.0 - array.losses.map_or(LOST, Ratio::si);
            let on = |hour: usize| hours.on(hour).get(view).copied().unwrap_or_default();
            (0..hours.hours.len()).map(|hour| power * on(hour) / 1_000.0 * kept).collect()
        }
    }
}

/// Sun and sky on an array's plane, mean of the year.
pub fn on_plane(array: &SolarArray, climate: &Climate) -> HeatFlux {
    let plane = plane(array);
    let of = |(month, global): (usize, &HeatFlux)| {
        let day = MeanDay::of(month, climate.latitude, *global);
        day.on(plane, &Screen::default()).si() * duration(month).si()
    };
    let year: f64 = (0..MONTHS.len()).map(|month| duration(month).si()).sum();
    HeatFlux::from_si(climate.radiation.iter().enumerate().map(of).sum::<f64>() / year)
}

/// What an array yields in a year.
pub fn of(array: &SolarArray, climate: &Climate) -> Yield {
    Yield {
        P: array.power,
        I: on_plane(array, climate),
        l: array.losses.unwrap_or(Ratio::from_si(LOST)),
        t: Duration::from_si(365.0 * 86_400.0),
    }
}

/// Writes the yield of every array, and of all.
pub(crate) fn report(request: &Request<'_>, climate: &Climate, year: &HeldYear, findings: &mut Findings) {
    let home = Subject::home();
    let arrays = &request.home.systems.solar;
    if arrays.is_empty() {
        return Lack::at("the home names no solar arrays", "systems").write(&home, &[&facts::SOLAR_YIELD], findings);
    }
    let basis = || {
        Basis::new("sun and sky on the plane, less one share for all losses", "rated power at 1000 W/m²")
            .provenance("radiation on the plane from memory, high")
            .assuming("no snow lies on it and nothing shades it")
    };
    let (mut each, mut subjects) = (Vec::new(), Vec::new());
    for (number, (id, array)) in arrays.iter().enumerate() {
        let subject = Subject::element("systems.solar", id);
        if year.hours.is_file {
            let hours = year.solar.get(number).map(Vec::as_slice).unwrap_or_default();
            let energy = Energy::from_si(hours.iter().sum::<f64>() * 3_600.0);
            let how = match array.losses {
                Some(_) => "sun and sky on the plane in each hour of the weather file, less the share that is lost",
                None => {
                    "sun on the cells, their temperature and the inverter in each hour of the weather file; beside these 14.08 % are lost"
                }
            };
            let step = Step::procedure(how)
                .term(Term::new("P", "rated power", array.power, facts::RATED).given(format!("{subject}.power")))
                .term(Term::new("β", "slope", array.tilt, ANGLE).given(format!("{subject}.tilt")))
                .term(
                    Term::new("a", "direction from north by east", array.faces, ANGLE)
                        .given(format!("{subject}.faces")),
                )
                .result(Term::new("E", "yield", energy, USE));
            let basis = Basis::new("solar array through a weather file", "rated power at 1000 W/m²")
                .provenance("from memory, high")
                .step(step)
                .assuming("no snow lies on it and nothing shades it");
            findings.fact(&subject, &facts::SOLAR_YIELD, energy, basis);
            each.push(energy);
            subjects.push(subject);
            continue;
        }
        let (energy, step) = of(array, climate).step();
        let on = Step::procedure("sun and sky on the plane, by the mean day of each month")
            .term(Term::new("β", "slope", array.tilt, ANGLE).given(format!("{subject}.tilt")))
            .term(Term::new("a", "direction from north by east", array.faces, ANGLE).given(format!("{subject}.faces")))
            .term(Term::new("L", "latitude", climate.latitude, ANGLE).given(climate.latitude_path()));
        let step = step.given(Yield::P, format!("{subject}.power"));
        let step = match array.losses {
            Some(_) => step.given(Yield::l, format!("{subject}.losses")),
            None => step.published(Yield::l, "2 % above an hourly model in Greensboro (computed)"),
        };
        findings.fact(&subject, &facts::SOLAR_YIELD, energy, basis().step(on).step(step));
        each.push(energy);
        subjects.push(subject);
    }
    let (all, step) = AllArrays { E_j: &each }.step();
    let step = step.each(AllArrays::E_j, &subjects, |term, subject| {
        Term { meaning: subject.to_string(), ..term }.fact(subject, facts::SOLAR_YIELD.name)
    });
    findings.fact(&home, &facts::SOLAR_YIELD, all, basis().step(step));
}

const ANGLE: Units = Units::new("°", 1, "°", 1);

#[cfg(test)]
mod tests {
    use super::*;
    use mateline_model::quantity::{Angle, Power, Temperature};

    /// One kW in Greensboro from monthly means on the level: alternating current by an hourly model (pvlib 0.16.1: Perez,
    /// cells by temperature, losses of 14 %, inverter) in kWh for 30° S, 18° S, 45° S, 30° E, 30° W and upright S. Slopes to the
    /// south within 4 %, those to the sides within 6 %, upright within 9 %: one share of losses and an even sky for all.
    #[test]
    fn a_kilowatt_in_greensboro() {
        let level = [74.8, 85.8, 131.8, 162.3, 174.7, 187.5, 188.6, 174.1, 132.8, 111.3, 73.0, 69.5];
        let mut climate = Climate {
            latitude: Angle::from_si(36.1_f64.to_radians()),
            temperatures: [Temperature::default(); 12],
            radiation: [HeatFlux::default(); 12],
            humidity: [None; 12],
            of_file: false,
        };
        for (month, (radiation, level)) in climate.radiation.iter_mut().zip(level).enumerate() {
            *radiation = HeatFlux::from_si(level * 3.6e6 / duration(month).si());
        }
        let planes = [
            (30.0, 180.0, 1_391.6, 0.04),
            (18.0, 180.0, 1_358.0, 0.04),
            (45.0, 180.0, 1_366.8, 0.04),
            (30.0, 90.0, 1_141.8, 0.06),
            (30.0, 270.0, 1_146.5, 0.06),
            (90.0, 180.0, 885.7, 0.09),
        ];
        for (tilt, faces, expected, within) in planes {
            let degrees = |number: f64| Angle::from_si(number.to_radians());
            let (power, losses) = (Power::from_si(1_000.0), None);
            let array = SolarArray { power, tilt: degrees(tilt), faces: degrees(faces), losses, area: None };
            let found = of(&array, &climate).value().si() / 3.6e6;
            assert!((found / expected - 1.0).abs() < within, "{tilt}, {faces}: {found} beside {expected}");
        }
    }
}
