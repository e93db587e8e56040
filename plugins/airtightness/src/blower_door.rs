//! One blower-door test: readings made comparable, fitted, and averaged over the two directions.

use crate::air::{REFERENCE_PRESSURE, REFERENCE_TEMPERATURE};
use crate::conditions::{Conditions, Direction};
use crate::power_law::{PowerLaw, TEST_PRESSURE, USUAL_EXPONENT};
use crate::regression::{Fit, fit};
use mateline_model::home::{Measurement, Site};
use mateline_model::quantity::{Area, Flow, Pressure};
use mateline_psychrometrics::moist_air::barometer_at;

/// Points that a fit needs in each direction. Method and no requirement: with fewer there is no interval to state.
///
/// Source: ISO 9972:2015 and ASTM E779-19 (from memory).
pub const NEEDED_POINTS: usize = 5;

/// Least pressure difference of a single-point test (Pa). Method and no requirement: below it the reading is no such test.
///
/// Source: ANSI/RESNET/ICC 380 (from memory).
pub const LEAST_SINGLE_POINT: f64 = 15.0;

/// Uncertainty of a single-point test, 95 % (-). A planning figure, common practice, no source.
pub const SINGLE_POINT_UNCERTAINTY: f64 = 0.10;

/// Uncertainty of a fitted test in both directions, 95 % (-). A planning figure, common practice, no source.
pub const BOTH_DIRECTIONS_UNCERTAINTY: f64 = 0.05;

/// A test, worked out.
#[derive(Clone, Debug)]
pub struct BlowerDoor {
    /// The air on both sides.
    pub conditions: Conditions,
    /// Mean of the zero-flow pressures, where any was read.
    pub zero_flow: Option<Pressure>,
    /// One or two directions.
    pub sets: Vec<Set>,
    /// What was assumed.
    pub assumptions: Vec<String>,
}

/// The readings of one direction.
#[derive(Clone, Debug)]
pub struct Set {
    /// Which way the air was moved.
    pub direction: Direction,
    /// Pressure difference without the zero-flow pressure, flow through the fan, flow through the envelope.
    pub points: Vec<Point>,
    /// The fit; none for a single point.
    pub fit: Option<Fit>,
    /// The curve through the readings.
    pub curve: PowerLaw,
    /// The curve at the reference state by ISO 9972.
    pub iso: PowerLaw,
    /// The curve at the reference state by ASTM E779.
    pub e779: PowerLaw,
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Its place in the measurement's list, from 0.
    pub index: usize,
    /// Pressure difference that the fan brought about, without its sign.
    pub pressure: Pressure,
    /// Flow through the fan.
    pub fan: Flow,
    /// Flow through the envelope.
    pub envelope: Flow,
}

/// A value with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// The value.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    fn by_factor(value: f64, factor: f64) -> Interval {
        Interval { value, low: value / factor, high: value * factor }
    }

    /// The mean of independent values. Half widths add up as squares.
    fn mean(all: &[Interval]) -> Interval {
        let count = all.len().max(1) as f64;
        let value = all.iter().map(|one| one.value).sum::<f64>() / count;
        let width = |of: &dyn Fn(&Interval) -> f64| all.iter().map(|one| of(one) * of(one)).sum::<f64>().sqrt() / count;
        Interval {
            value,
            low: value - width(&|one| one.value - one.low),
            high: value + width(&|one| one.high - one.value),
        }
    }
}

/// Reads a test and works it out.
///
/// # Errors
/// What keeps the readings from giving a number.
pub fn read(measurement: &Measurement, site: &Site) -> Result<BlowerDoor, String> {
    if measurement.points.is_empty() {
        return Err("it has no points".to_owned());
    }
    let mut assumptions = Vec::new();
    let conditions = conditions(measurement, site, &mut assumptions);
    let zero_flow = zero_flow(measurement);
    if zero_flow.is_none() {
        assumptions.push("no zero-flow pressure was read, and none is taken off".to_owned());
    }
    let mut sets = Vec::new();
    for direction in [Direction::Depressurised, Direction::Pressurised] {
        let points = readings(measurement, direction, zero_flow, &conditions)?;
        if !points.is_empty() {
            sets.push(Set::of(direction, points, &conditions)?);
        }
    }
    if sets.iter().any(|set| set.fit.is_some()) && sets.iter().any(|set| set.fit.is_none()) {
        return Err("one direction has a single point and the other has several".to_owned());
    }
    if sets.iter().any(|set| set.fit.is_none()) {
        assumptions.push(format!("a single point: exponent {USUAL_EXPONENT} assumed"));
    }
    Ok(BlowerDoor { conditions, zero_flow, sets, assumptions })
}

fn conditions(measurement: &Measurement, site: &Site, assumptions: &mut Vec<String>) -> Conditions {
    let both = measurement.indoor.zip(measurement.outdoor);
    if both.is_none() {
        assumptions.push("indoor or outdoor temperature is not given; both taken as 20 °C".to_owned());
    }
    let (indoor, outdoor) = both.unwrap_or((REFERENCE_TEMPERATURE, REFERENCE_TEMPERATURE));
    let barometer = measurement.barometer.unwrap_or_else(|| match measurement.elevation.or(site.elevation) {
        Some(elevation) => {
            let pressure = barometer_at(elevation);
            assumptions.push(format!("no barometer reading; {:.0} Pa from the height above the sea", pressure.si()));
            pressure
        }
        None => {
            assumptions.push("neither barometer nor height above the sea is given; taken at sea level".to_owned());
            REFERENCE_PRESSURE
        }
    });
    Conditions { indoor, outdoor, barometer }
}

/// Mean of the pressures with the fan sealed.
fn zero_flow(measurement: &Measurement) -> Option<Pressure> {
    let count = measurement.zero_flow.len();
    (count > 0).then(|| measurement.zero_flow.iter().copied().sum::<Pressure>() / count as f64)
}

/// Readings of one direction: the mean zero-flow pressure taken off, the flow brought to the envelope's side.
fn readings(
    measurement: &Measurement,
    direction: Direction,
    zero_flow: Option<Pressure>,
    conditions: &Conditions,
) -> Result<Vec<Point>, String> {
    let sign = if direction == Direction::Depressurised { -1.0 } else { 1.0 };
    let mut points: Vec<Point> = Vec::new();
    for (index, reading) in measurement.points.iter().enumerate() {
        if reading.pressure.si() * sign <= 0.0 {
            continue;
        }
        let pressure = (reading.pressure - zero_flow.unwrap_or_default()) * sign;
        if pressure.si() <= 0.0 {
            return Err(format!("point {} is {}, no more than the zero-flow pressure", index + 1, reading.pressure));
        }
        if points.iter().any(|other| (other.pressure - pressure).si().abs() < 1e-9) {
            return Err(format!("the pressure {} stands there twice", reading.pressure));
        }
        let envelope = conditions.envelope_flow(direction, reading.flow);
        points.push(Point { index, pressure, fan: reading.flow, envelope });
    }
    Ok(points)
}

impl Set {
    fn of(direction: Direction, points: Vec<Point>, conditions: &Conditions) -> Result<Set, String> {
        let name = direction.name();
        if let [point] = points.as_slice() {
            if point.pressure.si() < LEAST_SINGLE_POINT {
                return Err(format!(
                    "the single point of {name} reached {:.1} Pa; {LEAST_SINGLE_POINT} Pa are needed",
                    point.pressure.si()
                ));
            }
            let curve = PowerLaw::through(point.envelope, point.pressure, USUAL_EXPONENT);
            return Ok(Set::referred(direction, points, None, curve, conditions));
        }
        if points.len() < NEEDED_POINTS {
            return Err(format!(
                "{name} has {} points; a fit needs {NEEDED_POINTS}, and a single-point test one",
                points.len()
            ));
        }
        let pairs: Vec<(Pressure, Flow)> = points.iter().map(|point| (point.pressure, point.envelope)).collect();
        let line = fit(&pairs).map_err(|error| format!("{name}: {error}"))?;
        Ok(Set::referred(direction, points, Some(line), line.curve(), conditions))
    }

    /// With the curve's coefficient at the reference state by both standards.
    fn referred(
        direction: Direction,
        points: Vec<Point>,
        fit: Option<Fit>,
        curve: PowerLaw,
        conditions: &Conditions,
    ) -> Set {
        let iso = PowerLaw { c: conditions.iso_9972(direction, curve).value().si(), n: curve.n };
        let e779 = PowerLaw { c: conditions.astm_e779(direction, curve).value().si(), n: curve.n };
        Set { direction, points, fit, curve, iso, e779 }
    }

    /// Flow at 50 Pa by ISO 9972, with the interval of the fit, or the planning figure of a single point.
    pub fn q50(&self) -> Interval {
        let value = self.iso.flow(TEST_PRESSURE).si();
        match &self.fit {
            Some(fit) => Interval::by_factor(value, fit.factor_at(TEST_PRESSURE)),
            None => {
                let width = value * SINGLE_POINT_UNCERTAINTY;
                Interval { value, low: value - width, high: value + width }
            }
        }
    }

    fn exponent(&self) -> Interval {
        let width = self.fit.map_or(0.0, |fit| fit.half_width_n());
        Interval { value: self.iso.n, low: self.iso.n - width, high: self.iso.n + width }
    }

    /// Coefficient by ISO 9972 (m³/(s·Paⁿ)) with its interval.
    pub fn coefficient(&self) -> Interval {
        Interval::by_factor(self.iso.c, self.fit.map_or(1.0, |fit| fit.factor_c()))
    }
}

impl BlowerDoor {
    /// Whether it rests on single points.
    pub fn is_single_point(&self) -> bool {
        self.sets.iter().all(|set| set.fit.is_none())
    }

    /// Flow at 50 Pa by ISO 9972 (m³/s), mean of the directions.
    pub fn q50(&self) -> Interval {
        let all: Vec<Interval> = self.sets.iter().map(Set::q50).collect();
        if self.is_single_point() {
            // Two single points share their instruments, so that their mean is no surer than either.
            let count = all.len().max(1) as f64;
            let mean = |of: &dyn Fn(&Interval) -> f64| all.iter().map(of).sum::<f64>() / count;
            return Interval { value: mean(&|one| one.value), low: mean(&|one| one.low), high: mean(&|one| one.high) };
        }
        Interval::mean(&all)
    }

    /// Flow at 50 Pa by ASTM E779, mean of the directions.
    pub fn q50_e779(&self) -> Flow {
        self.mean(|set| set.e779.flow(TEST_PRESSURE).si(), Flow::from_si)
    }

    /// Exponent, mean of the directions; no interval for single points.
    pub fn exponent(&self) -> Interval {
        Interval::mean(&self.sets.iter().map(Set::exponent).collect::<Vec<_>>())
    }

    /// Coefficient by ISO 9972 (m³/(s·Paⁿ)), mean of the directions.
    pub fn coefficient(&self) -> Interval {
        Interval::mean(&self.sets.iter().map(Set::coefficient).collect::<Vec<_>>())
    }

    /// The lower of the squares of the correlation coefficients.
    pub fn r2(&self) -> Option<f64> {
        self.sets.iter().filter_map(|set| set.fit).map(|fit| fit.r2).reduce(f64::min)
    }

    /// Effective leakage area at 4 Pa, mean of the directions.
    pub fn ela4(&self) -> Area {
        self.mean(|set| set.iso.effective_leakage_area().value().si(), Area::from_si)
    }

    /// Equivalent leakage area at 10 Pa, mean of the directions.
    pub fn eqla10(&self) -> Area {
        self.mean(|set| set.iso.equivalent_leakage_area().value().si(), Area::from_si)
    }

    /// Uncertainty of the flow at 50 Pa for planning, 95 %: the instruments and the weather, beside the fit.
    pub fn planning_uncertainty(&self) -> f64 {
        if self.is_single_point() || self.sets.len() < 2 {
            SINGLE_POINT_UNCERTAINTY
        } else {
            BOTH_DIRECTIONS_UNCERTAINTY
        }
    }

    fn mean<T>(&self, of: impl Fn(&Set) -> f64, make: impl Fn(f64) -> T) -> T {
        make(self.sets.iter().map(of).sum::<f64>() / self.sets.len().max(1) as f64)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use proptest::prelude::*;
    use serde_json::json;

    fn site() -> Site {
        serde_json::from_value(json!({"place": "x", "climate_zone": "6A"})).unwrap()
    }

    fn measurement(points: &[(f64, f64)], zero_flow: &[f64]) -> Measurement {
        let points: Vec<_> = points
            .iter()
            .map(|(pressure, flow)| json!({"pressure": format!("{pressure} Pa"), "flow": format!("{flow} m³/h")}))
            .collect();
        let zero_flow: Vec<String> = zero_flow.iter().map(|pressure| format!("{pressure} Pa")).collect();
        serde_json::from_value(json!({
            "points": points, "zero_flow": zero_flow, "indoor": "20 °C", "outdoor": "0 °C", "barometer": "101325 Pa",
        }))
        .unwrap()
    }

    /// The invented data set: zero-flow pressure already taken off.
    const DATA: [(f64, f64); 10] = [
        (-60.0, 395.0),
        (-55.0, 372.0),
        (-50.0, 351.0),
        (-45.0, 326.0),
        (-40.0, 303.0),
        (-35.0, 276.0),
        (-30.0, 250.0),
        (-25.0, 221.0),
        (-20.0, 192.0),
        (-15.0, 158.0),
    ];

    fn near(what: &str, value: f64, expected: f64, tolerance: f64) {
        assert!((value - expected).abs() <= tolerance, "{what}: {value} against {expected}");
    }

    /// Flows in m³/h.
    fn per_hour(flow: f64) -> f64 {
        flow * 3600.0
    }

    /// Results of tests/reference/airtightness.py (scipy 1.17.1) on the same points. The tolerance is half of the last
    /// digit of a table with four to six digits, which a reader checks by hand.
    #[test]
    fn regression_of_both_standards() {
        let test = read(&measurement(&DATA, &[0.0, 0.0]), &site()).unwrap();
        let set = test.sets.first().unwrap();
        let fit = set.fit.unwrap();
        near("n", fit.n, 0.659_69, 0.000_005);
        near("C_env", per_hour(fit.curve().c), 24.698, 0.0005);
        near("r²", fit.r2, 0.999_936, 0.000_000_5);
        near("t", fit.t, 2.3060, 0.000_05);
        near("s_n", fit.s_n, 0.001_87, 0.000_005);
        near("s_lnC", fit.s_ln_c, 0.006_67, 0.000_005);
        let n = test.exponent();
        near("n low", n.low, 0.6554, 0.000_05);
        near("n high", n.high, 0.6640, 0.000_05);
        let c = test.coefficient();
        near("C_L", per_hour(c.value), 25.300, 0.0005);
        near("C_L low", per_hour(c.low), 24.914, 0.0005);
        near("C_L high", per_hour(c.high), 25.692, 0.0005);
        let q50 = test.q50();
        near("q50", per_hour(q50.value), 334.13, 0.005);
        near("q50 low", per_hour(q50.low), 333.31, 0.005);
        near("q50 high", per_hour(q50.high), 334.95, 0.005);
        near("cfm50", Flow::from_si(q50.value).in_unit("cfm").unwrap(), 196.66, 0.005);
        near("C0", per_hour(set.e779.c), 24.858, 0.0005);
        near("q50 E779", per_hour(test.q50_e779().si()), 328.29, 0.005);
        near("ELA4", test.ela4().si() * 1e4, 68.04, 0.005);
        near("ELA4 in²", test.ela4().in_unit("in²").unwrap(), 10.55, 0.005);
        near("EqLA10", test.eqla10().si() * 1e4, 128.90, 0.005);
        near("EqLA10 in²", test.eqla10().in_unit("in²").unwrap(), 19.98, 0.005);
        near("ACH50 of 350 m³", per_hour(q50.value) / 350.0, 0.955, 0.0005);
        near("per area of 320 m²", per_hour(q50.value) / 320.0, 1.044, 0.0005);
    }

    /// A zero-flow pressure in all readings comes off again.
    #[test]
    fn zero_flow_is_taken_off() {
        let shifted: Vec<(f64, f64)> = DATA.iter().map(|(pressure, flow)| (pressure - 1.25, *flow)).collect();
        let (plain, moved) = (measurement(&DATA, &[0.0, 0.0]), measurement(&shifted, &[-1.0, -1.5]));
        let (plain, moved) = (read(&plain, &site()).unwrap(), read(&moved, &site()).unwrap());
        near("q50", moved.q50().value, plain.q50().value, 1e-12);
    }

    /// Two directions with the same air on both sides are the mean of each by itself, and surer than either.
    #[test]
    fn two_directions_are_averaged() {
        let mirrored: Vec<(f64, f64)> = DATA.iter().map(|(pressure, flow)| (-pressure, flow * 1.1)).collect();
        let both: Vec<(f64, f64)> = DATA.iter().copied().chain(mirrored.iter().copied()).collect();
        let worked = |points: &[(f64, f64)]| {
            let mut measurement = measurement(points, &[0.0, 0.0]);
            measurement.outdoor = measurement.indoor;
            read(&measurement, &site()).unwrap().q50()
        };
        let (down, up, mean) = (worked(&DATA), worked(&mirrored), worked(&both));
        near("mean", mean.value, (down.value + up.value) / 2.0, 1e-12);
        near("ratio", up.value / down.value, 1.1, 1e-9);
        assert!(mean.high - mean.low < down.high - down.low);
    }

    /// At 50 Pa with equal air on both sides, a single point is the measured flow, brought to the reference density,
    /// ±10 %.
    #[test]
    fn a_single_point() {
        let mut one = measurement(&[(-50.0, 340.0)], &[]);
        one.outdoor = one.indoor;
        let test = read(&one, &site()).unwrap();
        let density = (101_325.0 / (287.055 * 293.15) / 1.204f64).powf(0.35);
        near("q50", per_hour(test.q50().value), 340.0 * density, 0.001);
        near("low", test.q50().low / test.q50().value, 0.9, 1e-12);
        near("high", test.q50().high / test.q50().value, 1.1, 1e-12);
        assert!(test.is_single_point() && test.r2().is_none());
    }

    #[test]
    fn what_gives_no_number_is_said() {
        let because = |points: &[(f64, f64)], zero: &[f64]| match read(&measurement(points, zero), &site()) {
            Err(because) => because,
            Ok(test) => panic!("{test:?}"),
        };
        assert_eq!(because(&[], &[]), "it has no points");
        let few = because(&DATA[..4], &[]);
        assert_eq!(few, "depressurisation has 4 points; a fit needs 5, and a single-point test one");
        let low = because(&[(-12.0, 140.0)], &[]);
        assert_eq!(low, "the single point of depressurisation reached 12.0 Pa; 15 Pa are needed");
        let mut twice = DATA.to_vec();
        twice.push((-60.0, 396.0));
        assert_eq!(because(&twice, &[]), "the pressure -60 Pa stands there twice");
        let mut mixed = DATA.to_vec();
        mixed.push((50.0, 350.0));
        assert_eq!(because(&mixed, &[]), "one direction has a single point and the other has several");
        let beyond = because(&[(-0.5, 10.0)], &[-0.9, -0.9]);
        assert_eq!(beyond, "point 1 is -0.5 Pa, no more than the zero-flow pressure");
    }

    proptest! {
        /// An exact power law in both directions gives an interval of no width, whatever the air.
        #[test]
        fn an_exact_power_law(n in 0.5..1.0f64, c in 5.0..60.0f64, outdoor in -30.0..35.0f64) {
            let points: Vec<(f64, f64)> =
                [-60.0, -50.0, -40.0, -30.0, -20.0, -10.0f64].iter().map(|p| (*p, c * p.abs().powf(n))).collect();
            let mut measurement = measurement(&points, &[0.0, 0.0]);
            measurement.outdoor = Some(mateline_model::quantity::Temperature::from_si(outdoor));
            let q50 = read(&measurement, &site()).unwrap().q50();
            prop_assert!((q50.high - q50.low) / q50.value < 1e-5);
        }
    }
}
