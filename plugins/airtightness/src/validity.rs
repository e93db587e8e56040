//! Whether a test keeps to the conditions of its standard. They are method and no requirement on the home: they say what
//! counts as such a test; whether a valid one is asked for, and what it has to show, stands in the packs.

use crate::blower_door::{BlowerDoor, Set};
use mateline_model::home::Measurement;
use mateline_model::quantity::Length;

/// Rounding allowed on a reading of pressure (Pa).
const ROUNDING: f64 = 0.05;

/// What ISO 9972:2015 asks of a test (from memory): points 10 Pa apart at most, from the larger of 10 Pa and five times
/// the zero-flow pressure (the larger of the averages of its positive and of its negative readings) up to at least 50 Pa; zero-flow pressures of at most 5 Pa; 0.5 ≤ n ≤ 1; r² ≥ 0.98; height
/// times temperature difference of at most 250 m·K; wind of at most 6 m/s.
const ISO_9972: Conditions = Conditions {
    lowest: 10.0,
    highest: 50.0,
    zero_flows: 5.0,
    zero_flow: 5.0,
    correlation: 0.98,
    height_difference: 250.0,
    both_directions: false,
    wind: 6.0,
};

/// What ASTM E779-19 asks of a test (from memory): points 10 Pa apart at most, from 10 Pa to about 60 Pa, in both
/// directions; zero-flow pressures before and after; 0.5 ≤ n ≤ 1; height times temperature difference of at most 200
/// m·K. Its wind of 0 to 2 m/s is a preference; strong wind is to be avoided, here taken as above 6 m/s.
const ASTM_E779: Conditions = Conditions {
    lowest: 10.0,
    highest: 50.0,
    zero_flows: 1.0,
    zero_flow: f64::INFINITY,
    correlation: 0.0,
    height_difference: 200.0,
    both_directions: true,
    wind: 6.0,
};

/// Limits of one standard.
struct Conditions {
    /// Lowest pressure difference (Pa).
    lowest: f64,
    /// Pressure difference that must be reached (Pa).
    highest: f64,
    /// How many times the zero-flow pressure the lowest pressure difference must be.
    zero_flows: f64,
    /// Greatest zero-flow pressure (Pa).
    zero_flow: f64,
    /// Lowest r².
    correlation: f64,
    /// Greatest height times temperature difference (m·K).
    height_difference: f64,
    /// Whether both directions are asked for.
    both_directions: bool,
    /// Greatest wind speed (m/s).
    wind: f64,
}

/// Every objection to a test by ISO 9972; by the rules of a single-point test where it is one.
pub fn iso_9972(test: &BlowerDoor, measurement: &Measurement, height: Option<Length>) -> Vec<String> {
    if test.is_single_point() { single_point(measurement) } else { ISO_9972.objections(test, measurement, height) }
}

/// Every objection to a test by ASTM E779.
pub fn astm_e779(test: &BlowerDoor, measurement: &Measurement, height: Option<Length>) -> Vec<String> {
    if test.is_single_point() {
        return vec!["a single point; the standard asks for at least 5 in each direction".to_owned()];
    }
    ASTM_E779.objections(test, measurement, height)
}

/// A single-point test has its own rule for the pressure reached; of the others only wind and zero-flow apply.
fn single_point(measurement: &Measurement) -> Vec<String> {
    let mut objections = Vec::new();
    ISO_9972.zero_flows(measurement, 0.0, &mut objections);
    ISO_9972.wind(measurement, &mut objections);
    objections
}

/// The larger of the averages of the positive and of the negative zero-flow pressures (Pa), without its sign.
fn larger_average(measurement: &Measurement) -> f64 {
    let readings = || measurement.zero_flow.iter().map(|pressure| pressure.si());
    let average = |sign: f64| {
        let own: Vec<f64> = readings().filter(|one| one * sign > 0.0).collect();
        if own.is_empty() { 0.0 } else { own.iter().sum::<f64>().abs() / own.len() as f64 }
    };
    average(1.0).max(average(-1.0))
}

impl Conditions {
    fn objections(&self, test: &BlowerDoor, measurement: &Measurement, height: Option<Length>) -> Vec<String> {
        let mut objections = Vec::new();
        if measurement.zero_flow.len() < 2 {
            objections.push(format!(
                "{} zero-flow pressures are given; one before and one after are needed",
                measurement.zero_flow.len()
            ));
        }
        let mean = larger_average(measurement);
        self.zero_flows(measurement, mean, &mut objections);
        if self.both_directions && test.sets.len() < 2 {
            objections.push("one direction was measured; the standard asks for both".to_owned());
        }
        for set in &test.sets {
            self.set(set, mean, &mut objections);
        }
        self.weather(test, measurement, height, &mut objections);
        objections
    }

    fn zero_flows(&self, measurement: &Measurement, mean: f64, objections: &mut Vec<String>) {
        let worst = measurement.zero_flow.iter().map(|pressure| pressure.si().abs()).fold(mean, f64::max);
        if worst > self.zero_flow {
            objections.push(format!("a zero-flow pressure of {worst:.1} Pa is above {} Pa", self.zero_flow));
        }
    }

    fn set(&self, set: &Set, zero_flow: f64, objections: &mut Vec<String>) {
        let name = set.direction.name();
        let mut pressures: Vec<f64> = set.points.iter().map(|point| point.pressure.si()).collect();
        pressures.sort_by(f64::total_cmp);
        let (lowest, highest) = (pressures.first().copied(), pressures.last().copied());
        let least = self.lowest.max(self.zero_flows * zero_flow);
        if let Some(lowest) = lowest.filter(|lowest| *lowest < least - ROUNDING) {
            objections.push(format!("the lowest pressure of {name} is {lowest:.1} Pa, below {least:.1} Pa"));
        }
        if let Some(highest) = highest.filter(|highest| *highest < self.highest - ROUNDING) {
            objections.push(format!("the highest pressure of {name} is {highest:.1} Pa, below {} Pa", self.highest));
        }
        let step = pressures.iter().zip(pressures.iter().skip(1)).map(|(low, high)| high - low).fold(0.0, f64::max);
        if step > 10.0 + ROUNDING {
            objections.push(format!("two pressures of {name} lie {step:.1} Pa apart, more than 10 Pa"));
        }
        let n = set.iso.n;
        if !(0.5..=1.0).contains(&n) {
            objections.push(format!("the exponent of {name} is {n:.3}, outside 0.5 to 1"));
        }
        if let Some(fit) = set.fit.filter(|fit| fit.r2 < self.correlation) {
            objections.push(format!("r² of {name} is {:.4}, below {}", fit.r2, self.correlation));
        }
    }

    fn weather(
        &self,
        test: &BlowerDoor,
        measurement: &Measurement,
        height: Option<Length>,
        objections: &mut Vec<String>,
    ) {
        match (measurement.indoor.zip(measurement.outdoor), height) {
            (None, _) => objections.push("indoor or outdoor temperature is not given".to_owned()),
            (_, None) => objections.push("the height of the home is not known".to_owned()),
            (Some(_), Some(height)) => {
                let difference = (test.conditions.indoor - test.conditions.outdoor).si().abs();
                let product = height.si() * difference;
                if product > self.height_difference {
                    objections.push(format!(
                        "height times temperature difference is {product:.0} m·K, above {} m·K",
                        self.height_difference
                    ));
                }
            }
        }
        self.wind(measurement, objections);
    }

    fn wind(&self, measurement: &Measurement, objections: &mut Vec<String>) {
        if let Some(wind) = measurement.wind.filter(|wind| wind.si() > self.wind) {
            objections.push(format!("a wind of {:.1} m/s is above {} m/s", wind.si(), self.wind));
        }
    }
}
