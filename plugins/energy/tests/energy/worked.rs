//! The monthly balance against years that others worked.

use mateline_energy::balance::{ByAir, Exponent, Need, Through, TimeConstant, used};
use mateline_model::quantity::{Conductance, Duration, Energy, Ratio, Temperature};

/// A kilowatt-hour (J).
const KWH: f64 = 3.6e6;

fn kwh(number: f64) -> Energy {
    Energy::from_si(number * KWH)
}

/// Share of the gains that is of use. Source: ISO 13790:2008, 12.2.1 (formula from memory, high), worked by an independent
/// script; half of the last digit.
#[test]
fn shares_of_use() {
    let table = [
        (0.2, [0.9554, 0.9936, 0.9997]),
        (0.5, [0.8323, 0.9333, 0.9841]),
        (1.0, [0.6429, 0.7500, 0.8333]),
        (1.5, [0.5088, 0.5846, 0.6346]),
        (3.0, [0.3011, 0.3250, 0.3324]),
    ];
    for (γ, row) in table {
        for (a, expected) in [1.8, 3.0, 5.0].into_iter().zip(row) {
            let found = used(Ratio::from_si(γ), Ratio::from_si(a)).0.si();
            assert!((found - expected).abs() < 0.00005, "γ {γ}, a {a}: {found} beside {expected}");
        }
    }
    let (many, steep) = (used(Ratio::from_si(1e3), Ratio::from_si(400.0)).0.si(), 1e-3);
    assert!((many - steep).abs() < 1e-12, "{many}");
}

/// A home of 150 m² through the year of Greensboro by its months: H_tr 95 and H_ve 28 W/K, 165 kJ/K for each m², 20 °C in
/// winter and 25 °C in summer. Losses, gains and needs in kWh as an independent script has them from the same formulas
/// (ISO 13790:2008, from memory, high); gains from sun and from inside are its inputs. 0.02 % and half a digit.
#[test]
fn a_year_in_greensboro() {
    let outdoors = [0.33, 5.03, 11.41, 14.69, 19.03, 23.59, 25.43, 24.76, 20.08, 13.12, 10.82, 4.23];
    let days = [31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];
    let sun =
        [319.559, 333.785, 406.904, 411.861, 407.291, 404.089, 416.921, 421.052, 385.939, 388.495, 305.074, 329.215];
    let lost_cold = [1800.0, 1237.4, 786.1, 470.3, 88.8, -317.9, -496.9, -435.6, -7.1, 629.6, 813.0, 1443.1];
    let heat = [1095.2, 570.3, 132.6, 17.3, 0.0, 0.0, 0.0, 0.0, 0.0, 62.6, 205.9, 737.1];
    let cool = [2.1, 6.4, 38.0, 95.3, 284.0, 657.2, 846.9, 789.7, 341.9, 53.7, 18.1, 4.6];
    let (h_tr, h_ve) = (Conductance::from_si(95.0), Conductance::from_si(28.0));
    let constant = TimeConstant { C: 165e3 * 150.0, H_D: h_tr, H_g: Conductance::default(), H_V: h_ve }.value();
    assert!((constant.si() / 3_600.0 - 55.894).abs() < 0.0005);
    let a = Exponent { τ: constant }.value();
    assert!((a.si() - 4.7263).abs() < 0.00005);
    let (mut heating, mut cooling) = (0.0, 0.0);
    for month in 0..12 {
        let t = Duration::from_si(days[month] * 86_400.0);
        let lost = |indoors: f64| {
            let (θ_i, θ_e) = (Temperature::from_si(indoors), Temperature::from_si(outdoors[month]));
            Through { H_D: h_tr, θ_i, θ_e, t }.value() + ByAir { H_V: h_ve, θ_i, θ_e, t }.value()
        };
        let gained = kwh(sun[month] + 3.5 * 150.0 * days[month] * 24.0 / 1e3);
        assert!((lost(20.0).si() / KWH - lost_cold[month]).abs() < 0.06, "{month}: {}", lost(20.0).si() / KWH);
        let needs = (Need::of_heating(lost(20.0), gained, a).heat, Need::of_cooling(lost(25.0), gained, a).heat);
        assert!((needs.0.si() / KWH - heat[month]).abs() < 0.06, "{month}: heats {}", needs.0.si() / KWH);
        assert!((needs.1.si() / KWH - cool[month]).abs() < 0.06, "{month}: cools {}", needs.1.si() / KWH);
        heating += needs.0.si() / KWH;
        cooling += needs.1.si() / KWH;
    }
    assert!((heating / 2821.0 - 1.0).abs() < 0.0002, "{heating}");
    assert!((cooling / 3137.8 - 1.0).abs() < 0.0002, "{cooling}");
}

/// Needs are never below nought; heating is at least what is lost less all that is gained, and more gains never raise it.
#[test]
fn needs_keep_to_their_bounds() {
    let a = Ratio::from_si(6.0);
    for lost in [-500.0, 0.0, 1.0, 400.0, 2_000.0] {
        let mut before = f64::INFINITY;
        for gained in [-50.0, 0.0, 1.0, 399.999_999, 400.0, 500.0, 5_000.0] {
            let heat = Need::of_heating(kwh(lost), kwh(gained), a).heat.si() / KWH;
            let cool = Need::of_cooling(kwh(lost), kwh(gained), a).heat.si() / KWH;
            assert!(heat >= 0.0 && cool >= 0.0, "{lost}, {gained}: {heat}, {cool}");
            assert!(heat + 1e-9 >= lost - gained && heat <= before + 1e-9, "{lost}, {gained}: {heat} after {before}");
            before = heat;
        }
    }
}
