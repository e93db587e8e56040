//! Carbon dioxide that sleeping people give off.

use mateline_equation::equation;
use mateline_model::quantity::{Flow, Power, Pressure, Temperature, Units};

/// Metabolic rate of sleep, in multiples of the basal rate: compendium of physical activities (from memory).
pub const ASLEEP: f64 = 0.95;

/// Who is meant by a basal metabolic rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "two words")]
pub enum Sex {
    Male,
    Female,
}

/// Basal metabolic rate (MJ/day) of a person of a mass (kg).
///
/// `BMR = a m + b`, by sex and age group.
///
/// Source: Schofield equations (from memory).
pub fn basal_rate(sex: Sex, age: u32, mass: f64) -> f64 {
    let (a, b) = match (sex, age) {
        (Sex::Male, 0..3) => (0.249, -0.127),
        (Sex::Male, 3..10) => (0.095, 2.110),
        (Sex::Male, 10..18) => (0.074, 2.754),
        (Sex::Male, 18..30) => (0.063, 2.896),
        (Sex::Male, 30..60) => (0.048, 3.653),
        (Sex::Male, _) => (0.049, 2.459),
        (Sex::Female, 0..3) => (0.244, -0.130),
        (Sex::Female, 3..10) => (0.085, 2.033),
        (Sex::Female, 10..18) => (0.056, 2.898),
        (Sex::Female, 18..30) => (0.062, 2.036),
        (Sex::Female, 30..60) => (0.034, 3.538),
        (Sex::Female, _) => (0.038, 2.755),
    };
    a * mass + b
}

/// Mean body mass (kg) at an age.
///
/// Source: U.S. EPA Exposure Factors Handbook 2011, Table 8-1 (from memory) up to 20 years; Persily and de Jonge 2017
/// from 21 to 59; the handbook's 80 kg from 60.
pub fn body_mass(sex: Sex, age: u32) -> f64 {
    match (age, sex) {
        (0, _) => 8.0,
        (1, _) => 11.4,
        (2, _) => 13.8,
        (3..6, _) => 18.6,
        (6..11, _) => 31.8,
        (11..16, _) => 56.8,
        (16..21, _) => 71.6,
        (21..30, Sex::Male) => 84.9,
        (21..30, Sex::Female) => 71.9,
        (30..60, Sex::Male) => 87.0,
        (30..60, Sex::Female) => 74.8,
        _ => 80.0,
    }
}

/// Carbon dioxide given off by people.
pub(crate) const GIVEN_OFF: Units = Units::new("L/s", 5, "L/s", 5);

equation! {
    /// Carbon dioxide that people give off, at the temperature and pressure of the air it goes into.
    ///
    /// Source: Persily and de Jonge, Indoor Air 27 (2017) 868-879 (citation looked up, equation from memory).
    pub Generation = "G = 0.85 · 0.000211[L·kPa/(s·K·MJ/d)] M T/P Σ N_j BMR_j" {
        G: Flow "carbon dioxide given off" [GIVEN_OFF],
        M: f64 "metabolic rate, multiple of the basal one" [Units::plain(2)],
        T: "K" "thermodynamic temperature of the air" [Units::new("K", 2, "K", 2)],
        P: Pressure "pressure of the air" [Units::new("kPa", 3, "psi", 3)],
        N_j: [f64] "people" [Units::plain(0)],
        BMR_j: [Power] "basal metabolic rate of one" [Units::new("MJ/d", 3, "MJ/d", 3)],
    }
}

/// Basal metabolic rate of a sleeper of an age: the mean of both sexes.
pub fn basal(age: u32) -> Power {
    let of = |sex| basal_rate(sex, age, body_mass(sex, age));
    Power::from_si((of(Sex::Male) + of(Sex::Female)) / 2.0 * 1e6 / 86_400.0)
}

/// What so many sleepers of each basal rate give off at 20 °C and sea level.
pub fn asleep<'a>(people: &'a [f64], rates: &'a [Power]) -> Generation<'a> {
    let (t, p) = (Temperature::from_si(20.0).kelvin(), Pressure::from_si(101_325.0));
    Generation { M: ASLEEP, T: t, P: p, N_j: people, BMR_j: rates }
}

/// What a sleeper of an age gives off at 20 °C and sea level.
pub fn sleeper(age: u32) -> Flow {
    asleep(&[1.0], &[basal(age)]).value()
}

/// The age taken for a sleeper whose age is not given.
pub const ADULT: u32 = 40;

#[cfg(test)]
mod tests {
    use super::*;

    fn generation(basal_rate: f64, met: f64, temperature: Temperature, pressure: Pressure) -> Flow {
        let rates = [Power::from_si(basal_rate * 1e6 / 86_400.0)];
        Generation { M: met, T: temperature.kelvin(), P: pressure, N_j: &[1.0], BMR_j: &rates }.value()
    }

    /// Computed independently from the formula at 273 K and 101 kPa; tolerance: half of the last digit.
    #[test]
    fn the_table_of_bodies() {
        let table = [
            (Sex::Male, 25, 8.245, [0.003_80, 0.004_00, 0.004_80, 0.005_60]),
            (Sex::Female, 25, 6.494, [0.002_99, 0.003_15, 0.003_78, 0.004_41]),
            (Sex::Male, 40, 7.829, [0.003_61, 0.003_80, 0.004_55, 0.005_31]),
            (Sex::Female, 40, 6.081, [0.002_80, 0.002_95, 0.003_54, 0.004_13]),
        ];
        let (t, p) = (Temperature::from_si(-0.15), Pressure::from_si(101_000.0));
        for (sex, age, basal, row) in table {
            let rate = basal_rate(sex, age, body_mass(sex, age));
            assert!((rate - basal).abs() < 0.000_6, "{rate} against {basal}");
            for (met, expected) in [0.95, 1.0, 1.2, 1.4].into_iter().zip(row) {
                assert!((generation(rate, met, t, p).si() * 1e3 - expected).abs() < 0.6e-5, "{sex:?} {age} {met}");
            }
        }
    }

    /// The paper's printed table as remembered (from memory): 0.0039 L/s for a man of 21 to 29 at 1.0 met, 0.0048 at
    /// 1.2; 0.0031 and 0.0038 for a woman. 3 %: the masses and conditions behind it differ slightly.
    #[test]
    fn the_printed_table() {
        let (t, p) = (Temperature::from_si(-0.15), Pressure::from_si(101_000.0));
        for (sex, met, printed) in
            [(Sex::Male, 1.0, 0.0039), (Sex::Male, 1.2, 0.0048), (Sex::Female, 1.0, 0.0031), (Sex::Female, 1.2, 0.0038)]
        {
            let found = generation(basal_rate(sex, 25, body_mass(sex, 25)), met, t, p).si() * 1e3;
            assert!((found / printed - 1.0).abs() < 0.03, "{found} against {printed}");
        }
    }

    /// At room conditions 0.00386 and 0.00300 L/s (computed independently); measured on sleeping adults
    /// 0.00267 to 0.00344 L/s (looked up).
    #[test]
    fn a_sleeping_adult() {
        let adult = sleeper(ADULT).si() * 1e3;
        assert!((adult - (0.003_86 + 0.003_00) / 2.0).abs() < 0.6e-5, "{adult}");
        assert!((0.002_67..=0.003_44).contains(&adult));
        assert!(sleeper(5).si() < sleeper(12).si() && sleeper(12).si() < sleeper(ADULT).si());
    }
}
