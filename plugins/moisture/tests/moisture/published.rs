//! Surfaces and layers against figures from outside the project.

use crate::support::MOULD;
use mateline_model::quantity::{Pressure, Temperature, ThermalResistance, ThermalTransmittance};
use mateline_moisture::conditions::{Air, Conditions};
use mateline_moisture::diagram::{Diagram, Sheet};
use mateline_moisture::indoor::{class_excess, conditions};
use mateline_moisture::surface::{
    CONDENSATION, OPAQUE_FILM, factor_needed, most_needed, plane_factor, resistance_lacking,
};
use mateline_moisture::year::Year;

/// Outdoor climate used in the examples of ISO 13788:2012 (from memory): temperature (°C) and relative humidity.
const OUTDOORS: [(f64, f64); 12] = [
    (-1.0, 0.85),
    (0.0, 0.84),
    (4.0, 0.78),
    (9.0, 0.72),
    (14.0, 0.68),
    (18.0, 0.69),
    (19.0, 0.73),
    (19.0, 0.75),
    (15.0, 0.79),
    (10.0, 0.83),
    (5.0, 0.88),
    (1.0, 0.88),
];

fn year(class: u8) -> [Conditions; 12] {
    OUTDOORS.map(|(t, humidity)| {
        let outside = Air::of_humidity(Temperature::from_si(t), humidity);
        conditions(outside, Temperature::from_si(20.0), class_excess(class).unwrap())
    })
}

fn sheets<const N: usize>(layers: [(f64, f64); N]) -> [Sheet; N] {
    layers.map(|(resistance, sd)| Sheet { resistance, sd })
}

/// fRsi,min of each month for humidity classes 2 and 3 in that climate, computed independently in Python from the formulas of
/// ISO 13788:2012 (from memory); 0.001 is the last digit. The design value is the highest: 0.557 in December, and 0.727, in
/// which February and December agree to three digits.
#[test]
fn the_monthly_table_of_surface_factors() {
    let table = [
        (2, [0.549, 0.552, 0.452, 0.275, -0.060, -0.874, -1.195, -0.772, 0.259, 0.413, 0.512, 0.557], 0.557),
        (3, [0.720, 0.727, 0.628, 0.447, 0.101, -0.732, -1.063, -0.644, 0.399, 0.567, 0.675, 0.727], 0.727),
    ];
    for (class, row, design) in table {
        let year = year(class);
        for (month, expected) in year.iter().zip(row) {
            let found = factor_needed(month, MOULD).unwrap();
            assert!((found - expected).abs() < 0.001, "class {class}: {found} against {expected}");
        }
        let (month, most) = most_needed(&year, MOULD).unwrap();
        assert!((most - design).abs() < 0.001 && [1, 11].contains(&month), "class {class}: {most} in {month}");
    }
}

/// DIN 4108-2 (from memory): 20 °C and 50 % inside, −5 °C outside ask for 12.6 °C on the surface, a factor of 0.70. Exact:
/// 12.62 °C and 0.705 (computed independently).
#[test]
fn the_known_point() {
    let month = Conditions {
        inside: Air::of_humidity(Temperature::from_si(20.0), 0.5),
        outside: Air::of_humidity(Temperature::from_si(-5.0), 0.8),
    };
    let factor = factor_needed(&month, MOULD).unwrap();
    assert!((factor - 0.705).abs() < 0.000_5, "{factor}");
    assert!((-5.0 + factor * 25.0 - 12.62).abs() < 0.01);
    // The dew point of 9.3 °C: 14.3 K of 25 K.
    assert!((factor_needed(&month, CONDENSATION).unwrap() - 14.27 / 25.0).abs() < 0.001);
}

/// ISO 13788:2012, 5.3, by hand: U 0.5 W/(m²·K) with Rsi 0.13 is R 2.00; with 0.25 in its place 2.12, and the factor is
/// 1 − 0.25/2.12 = 0.8821. For 0.90, 0.25/0.1 − 2.12 = 0.38 m²·K/W is lacking.
#[test]
fn a_plane_part_by_hand() {
    let u = ThermalTransmittance::from_si(0.5);
    let factor = plane_factor(u, ThermalResistance::from_si(0.13), OPAQUE_FILM).unwrap();
    assert!((factor - 0.882_1).abs() < 0.000_05, "{factor}");
    assert!((resistance_lacking(factor, 0.90, OPAQUE_FILM).unwrap().si() - 0.38).abs() < 1e-9);
    assert_eq!(resistance_lacking(factor, 0.80, OPAQUE_FILM), None);
    assert_eq!(plane_factor(ThermalTransmittance::from_si(20.0), ThermalResistance::from_si(0.13), OPAQUE_FILM), None);
}

/// A wall of invented layers in the same climate, class 2, worked independently in Python by the monthly method of ISO 13788:2012
/// with one plane, the inner face of the sheathing: gypsum R 0.05, sd 0.1; wool R 4.0, sd 0.14; sheathing R 0.0923, sd
/// 2.4; membrane and cladding R 0, sd 0.05; Rsi 0.13, Rse 0.04. Water in kg/m² to the last digit, 0.001; pressures to 1 Pa.
#[test]
fn a_worked_year() {
    let layers = sheets([(0.05, 0.1), (4.0, 0.14), (0.0923, 2.4), (0.0, 0.05)]);
    let diagram = Diagram::whole_layers(0.13, &layers, 0.04);
    let year = Year::of(&diagram, &year(2));
    let expected = [
        (9, 10.31, 1253.0, 0.0289, 0.0289),
        (10, 5.46, 900.0, 0.5593, 0.5882),
        (11, 1.58, 685.0, 0.8831, 1.4713),
        (0, -0.36, 593.0, 0.9232, 2.3945),
        (1, 0.61, 638.0, 0.8109, 3.2054),
        (2, 4.49, 841.0, 0.4561, 3.6615),
        (3, 9.34, 1174.0, -0.1831, 3.4784),
        (4, 14.18, 1617.0, -0.9384, 2.5400),
        (5, 18.06, 2071.0, -1.4188, 1.1211),
        (6, 19.03, 2200.0, -1.1211, 0.0),
        (7, f64::NAN, f64::NAN, 0.0, 0.0),
        (8, f64::NAN, f64::NAN, 0.0, 0.0),
    ];
    assert_eq!(year.wettest, Some(2));
    for (found, (month, t, p, change, water)) in year.months.iter().zip(expected) {
        assert_eq!(found.month, month);
        assert!((found.change[2] - change).abs() < 0.001, "month {month}: {} against {change}", found.change[2]);
        assert!((found.water[2] - water).abs() < 0.001, "month {month}: {} against {water}", found.water[2]);
        if !t.is_nan() {
            assert!((found.profile.temperatures[2] - t).abs() < 0.006, "month {month}");
            assert!((found.profile.saturation[2] - p).abs() < 1.0, "month {month}");
        }
    }
    assert!((year.peak() - 3.6615).abs() < 0.001);
    assert_eq!((year.residual(), year.wet_months()), (0.0, 9));
}

/// By hand, one cold month repeated: 20 °C and 1170 Pa inside, −10 °C and 200 Pa outside; two layers of R 0.5 and 1.5, without
/// films, sd 1 and 4 m. Between them 20 − 30 · 0.5/2 = 12.5 °C, 1449 Pa: above the string, dry. With the insulation inside,
/// R 1.5 first, the plane has −2.5 °C and 610.5 exp(21.875 · (−2.5)/263) = 495.9 Pa, and each second brings
/// 2e-10 ((1170 − 495.9)/4 − (495.9 − 200)/1) < 0 there: dry too; with sd 1 inside and 4 outside
/// 2e-10 ((1170 − 495.9) − (495.9 − 200)/4) = 1.2003e-7 kg/(m²·s), 3.785 kg/m² in a year of 365 days, and none of it dries.
#[test]
fn one_plane_by_hand() {
    let cold = Conditions {
        inside: Air { temperature: Temperature::from_si(20.0), vapour: Pressure::from_si(1170.0) },
        outside: Air { temperature: Temperature::from_si(-10.0), vapour: Pressure::from_si(200.0) },
    };
    let year = |layers| Year::of(&Diagram::whole_layers(0.0, &sheets(layers), 0.0), &[cold; 12]);
    for dry in [[(0.5, 1.0), (1.5, 4.0)], [(1.5, 4.0), (0.5, 1.0)]] {
        let dry = year(dry);
        assert_eq!((dry.peak(), dry.wettest, dry.wet_months()), (0.0, None, 0));
    }
    let wet = year([(1.5, 1.0), (0.5, 4.0)]);
    assert!((wet.residual() - 1.200_3e-7 * 365.0 * 86_400.0).abs() < 0.001, "{}", wet.residual());
    assert_eq!(wet.residual(), wet.peak());
    assert_eq!(wet.wet_months(), 12);
}

/// Two damp seasons, by hand. 20 °C inside, −5 °C outside and R 4 and 1 without films put the plane between them at 0 °C,
/// 610.5 Pa; s_d is 1 m on either side, p_e 310.5 Pa, so that a second brings 2e-10 ((p_i − 610.5) − 300) kg/m²: 6e-8 with p_i
/// 1210.5 Pa (damp), −2e-8 with 810.5 Pa. Damp are November and February. From February on, dry, the first year leaves
/// what November brought and December and January did not dry; the next begins with that and its peak is higher, as in every
/// later one, and each is dry from June to October.
#[test]
fn two_damp_seasons_that_meet() {
    let air = |t: f64, vapour: f64| Air { temperature: Temperature::from_si(t), vapour: Pressure::from_si(vapour) };
    let year = |damp: f64| {
        let vapour = |month: usize| if [1, 10].contains(&month) { damp } else { 810.5 };
        let month = |month| Conditions { inside: air(20.0, vapour(month)), outside: air(-5.0, 310.5) };
        Year::of(&Diagram::whole_layers(0.0, &sheets([(4.0, 1.0), (1.0, 1.0)]), 0.0), &std::array::from_fn(month))
    };
    let (found, day) = (year(1_210.5), 86_400.0);
    assert_eq!((found.is_periodic, found.residual(), found.wet_months()), (true, 0.0, 7));
    let left = 6e-8 * 30.0 * day - 2e-8 * 62.0 * day;
    assert!((found.peak() - (left + 6e-8 * 28.0 * day)).abs() < 1e-9, "{}", found.peak());
    assert_eq!(found.peak_month().unwrap().month, 1);
    // 28e-8 in each of 58 days and −2e-8 in 307: it never dries, and the first year is shown.
    let growing = year(2_310.5);
    assert_eq!((growing.is_periodic, growing.wet_months()), (false, 12));
    let rise = 28e-8 * 58.0 * day - 2e-8 * 307.0 * day;
    assert!((growing.residual() - rise).abs() < 1e-9, "{}", growing.residual());
}

/// ISO 13788:2012, 6.4 (from memory): no slice above 0.25 m²·K/W.
#[test]
fn thick_layers_are_split() {
    let planes = |resistance| Diagram::split(0.13, &sheets([(resistance, 1.0)]), 0.04).planes();
    assert_eq!([0.0, 0.2, 0.25, 0.26, 0.5, 1.0, 4.0].map(planes), [2, 2, 2, 3, 3, 5, 17]);
}
