//! A heat pump through the hours: what it brings at the outdoor temperature, what it uses, and what is left to others.
//!
//! Capacity and power lie on straight lines between rated points and go on beyond the outermost with their slope. A point
//! measured while the coil frosts and is thawed counts from the next colder point to 45 °F: so defrost is in it. At part of
//! its capacity a machine uses `1/(1 − c (1 − X))` of the power that its load asks for.
//!
//! Source: 10 CFR 430, appendix M, capacity and power between test points and part-load factor (from memory, high).

use mateline_model::home::RatedPoint;

/// Above this outdoor temperature nothing frosts (°C): 45 °F.
const NO_FROST: f64 = 65.0 / 9.0;
/// Degradation where a machine gives none. Source: as the module (from memory, high).
pub const DEGRADATION: f64 = 0.25;
/// The least of a capacity that a line beyond the points leaves (W): it stands still there.
const NOTHING: f64 = 1e-9;

/// A machine by its rated points.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// Outdoor temperature (°C), capacity (W) and power (W), rising.
    points: Vec<[f64; 3]>,
    /// The next colder point, and the one with frost.
    frost: Option<[[f64; 3]; 2]>,
    /// Degradation coefficient.
    pub degradation: f64,
    /// Stands still below (°C).
    pub stops_below: f64,
}

/// What a machine does in an hour (W).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Work {
    /// Heat brought in or taken out.
    pub heat: f64,
    /// Electricity.
    pub power: f64,
}

impl Machine {
    /// From rated points; none where fewer than two of them are without frost, or two are of one temperature.
    pub fn of(rated: &[RatedPoint], degradation: Option<f64>, stops_below: Option<f64>) -> Option<Machine> {
        let point = |rated: &RatedPoint| {
            let capacity = rated.capacity.si();
            (rated.cop.si() > 0.0).then(|| [rated.outdoor.si(), capacity, capacity / rated.cop.si()])
        };
        let mut points = rated.iter().filter(|point| !point.frosting).map(point).collect::<Option<Vec<[f64; 3]>>>()?;
        points.sort_by(|one, other| one[0].total_cmp(&other[0]));
        let apart = points.windows(2).all(|pair| pair[1][0] - pair[0][0] > 0.0);
        if points.len() < 2 || !apart {
            return None;
        }
        let frost = match rated.iter().find(|point| point.frosting) {
            None => None,
            Some(frosting) => {
                let frosting = point(frosting)?;
                let colder = points.iter().rev().find(|point| point[0] < frosting[0])?;
                Some([*colder, frosting])
            }
        };
        let (degradation, stops_below) = (degradation.unwrap_or(DEGRADATION), stops_below.unwrap_or(f64::NEG_INFINITY));
        Some(Machine { points, frost, degradation, stops_below })
    }

    /// The same machine of another size.
    #[must_use]
    pub fn sized(&self, times: f64) -> Machine {
        let larger = |[outdoor, capacity, power]: [f64; 3]| [outdoor, times * capacity, times * power];
        Machine {
            points: self.points.iter().copied().map(larger).collect(),
            frost: self.frost.map(|pair| pair.map(larger)),
            ..self.clone()
        }
    }

    /// Capacity and power at an outdoor temperature (W).
    pub fn at(&self, outdoor: f64) -> (f64, f64) {
        let [low, high] = match self.frost {
            Some([colder, frosting]) if outdoor > colder[0] && outdoor < NO_FROST => [colder, frosting],
            _ => {
                let above = self.points.iter().position(|point| point[0] > outdoor).unwrap_or(self.points.len());
                let first = above.clamp(1, self.points.len() - 1) - 1;
                let of = |place: usize| self.points.get(place).copied().unwrap_or_default();
                [of(first), of(first + 1)]
            }
        };
        let along = (outdoor - low[0]) / (high[0] - low[0]);
        let on = |place: usize| low[place] + along * (high[place] - low[place]);
        (on(1), on(2))
    }

    /// An hour with this load (W).
    pub fn hour(&self, load: f64, outdoor: f64) -> Work {
        let (capacity, power) = self.at(outdoor);
        if outdoor < self.stops_below || capacity <= NOTHING || power <= 0.0 || load <= 0.0 {
            return Work::default();
        }
        let share = (load / capacity).min(1.0);
        Work { heat: share * capacity, power: share * power / (1.0 - self.degradation * (1.0 - share)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use mateline_model::quantity::{Power, Ratio, Temperature};

    const BTU: f64 = 0.293_071;

    fn celsius(fahrenheit: f64) -> f64 {
        (fahrenheit - 32.0) / 1.8
    }

    fn rated(outdoor: f64, capacity: f64, power: f64, frosting: bool) -> RatedPoint {
        RatedPoint {
            outdoor: Temperature::from_si(celsius(outdoor)),
            capacity: Power::from_si(capacity * BTU),
            cop: Ratio::from_si(capacity * BTU / power),
            frosting,
        }
    }

    fn machine() -> Machine {
        let points =
            [rated(47.0, 36e3, 2_850.0, false), rated(35.0, 31.5e3, 2_800.0, true), rated(17.0, 22e3, 2_500.0, false)];
        Machine::of(&points, None, None).unwrap_or_else(|| unreachable!())
    }

    /// COP at 47, 35, 25, 17, 5 and −5 °F of a machine of our own, by an independent script from the same rules; half of the
    /// last digit.
    #[test]
    fn cop_by_outdoor_temperature() {
        for (outdoor, expected) in
            [(47.0, 3.702), (35.0, 3.297), (25.0, 2.918), (17.0, 2.579), (5.0, 2.037), (-5.0, 1.533)]
        {
            let (capacity, power) = machine().at(celsius(outdoor));
            assert!((capacity / power - expected).abs() < 0.0006, "{outdoor}: {}", capacity / power);
        }
    }

    /// The same machine through the bins of region IV (from memory, high) with resistance for the rest: 8.8508 Btu/Wh, 8.66 %
    /// of the electricity by resistance, as an independent script has it. Half of the last digit.
    #[test]
    fn a_season_of_bins() {
        let shares =
            [0.132, 0.111, 0.103, 0.093, 0.100, 0.109, 0.126, 0.087, 0.055, 0.036, 0.026, 0.013, 0.006, 0.002, 0.001];
        let (mut heat, mut power, mut rest) = (0.0, 0.0, 0.0);
        for (bin, share) in shares.into_iter().enumerate() {
            let outdoor = 62.0 - 5.0 * bin as f64;
            let load = (65.0 - outdoor) / 60.0 * 0.77 * 35e3 * BTU;
            let work = machine().hour(load, celsius(outdoor));
            heat += share * load;
            power += share * work.power;
            rest += share * (load - work.heat);
        }
        let factor = heat / BTU / (power + rest);
        assert!((factor - 8.8508).abs() < 0.002, "{factor}");
        assert!((rest / (power + rest) - 0.0866).abs() < 0.0001, "{}", rest / (power + rest));
    }

    /// A machine twice as large uses twice as much for twice the load.
    #[test]
    fn sizes() {
        let (one, two) = (machine().hour(2_500.0, -3.0), machine().sized(2.0).hour(5_000.0, -3.0));
        assert!((two.heat - 2.0 * one.heat).abs() < 1e-9 && (two.power - 2.0 * one.power).abs() < 1e-9);
    }

    /// Never more than the capacity, never less power for more load; below its stop it stands still.
    #[test]
    fn loads_and_stops() {
        let machine = Machine { stops_below: -15.0, ..machine() };
        let mut before = 0.0;
        for load in [0.0, 500.0, 3_000.0, 9_000.0, 50_000.0] {
            let work = machine.hour(load, 5.0);
            assert!(work.heat <= load + 1e-9 && work.power >= before);
            before = work.power;
        }
        assert_eq!(machine.hour(3_000.0, -15.1), Work::default());
        assert!(Machine::of(&[rated(47.0, 1.0, 1.0, false)], None, None).is_none());
    }
}
