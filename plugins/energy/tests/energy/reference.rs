//! Zones, machines and hot water against `tests/reference/energy.py`, which works the same equations by other means, and
//! unheated spaces against `tests/reference/unheated.py`.

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use mateline_energy::elements::{Arrival, Element, Outside, ToAir, Zone};
use mateline_energy::ground::{GroundFlow, SpaceFlow};
use mateline_energy::hot_water::HotWaterHeat;
use mateline_energy::machine::Machine;
use mateline_energy::unheated::{SpaceFactor, SpaceToOutdoors};
use mateline_energy::unheated_temperatures::{BelowTemperature, SpaceTemperature};
use mateline_model::home::RatedPoint;
use mateline_model::quantity::{
    Conductance, Duration, Flow, Power, Rate, Ratio, Temperature, TemperatureDifference, Volume,
};
use serde_json::Value;

fn reference() -> Value {
    serde_json::from_str(include_str!("../../../../tests/reference/energy.json")).unwrap()
}

fn number(value: &Value, name: &str) -> f64 {
    value[name].as_f64().unwrap_or_else(|| panic!("{name} of {value}"))
}

fn numbers(value: &Value, name: &str) -> Vec<f64> {
    value[name].as_array().unwrap().iter().map(|one| one.as_f64().unwrap()).collect()
}

fn celsius(fahrenheit: f64) -> Temperature {
    Temperature::from_si((fahrenheit - 32.0) / 1.8)
}

/// Three zones at random through 60 hours, held between two temperatures: a dense system of all nodes gives the same heat and
/// air, to a millionth of a kilowatt and of a degree (rounding of the script's conductances). Heat closes each hour to 1e-9.
#[test]
fn zones_of_a_dense_system() {
    for case in reference()["zones"].as_array().unwrap() {
        let element = |one: &Value| Element {
            area: number(one, "area"),
            outer: number(one, "outer"),
            between: numbers(one, "between"),
            stores: numbers(one, "stores"),
            inner: number(one, "inner"),
        };
        let elements: Vec<Element> = case["elements"].as_array().unwrap().iter().map(element).collect();
        let share = |name| number(&case["to_air"], name);
        let to_air = ToAir { internal: share("internal"), solar: share("solar"), heat: share("heat") };
        let zone = Zone::new(&elements, number(case, "air"), number(case, "stores"), to_air, number(case, "radiant"));
        let mut state = zone.state(20.0);
        for (count, hour) in case["hours"].as_array().unwrap().iter().enumerate() {
            let outdoors = number(hour, "outdoors");
            let outside = numbers(hour, "taken").into_iter();
            let arrival = Arrival {
                outside: outside.map(|taken_up| Outside { temperature: outdoors, taken_up }).collect(),
                supply: outdoors,
                internal: number(hour, "internal"),
                solar: number(hour, "solar"),
            };
            let before = zone.stored(&state);
            zone.hour(&mut state, &arrival, number(case, "low"), number(case, "high"));
            let (heat, air) = (number(hour, "heat"), number(hour, "air"));
            assert!((state.heat - heat).abs() < 1e-3, "{count}: {} beside {heat}", state.heat);
            assert!((state.air - air).abs() < 1e-6, "{count}: {} beside {air}", state.air);
            let (leaves, stored) = (zone.leaves(&state, &arrival), (zone.stored(&state) - before) / 3_600.0);
            let comes = arrival.internal + arrival.solar + state.heat;
            let size = comes.abs().max(leaves.abs()).max(stored.abs()).max(zone.stored(&state).abs() / 3_600.0);
            assert!((comes - leaves - stored).abs() < 1e-9 * size, "{count}: {comes}, {leaves}, {stored}");
        }
    }
}

/// A machine of four points, one with frost, from −15 to 65 °F at three loads; rounding.
#[test]
fn a_machine_by_outdoor_temperature_and_load() {
    const BTU: f64 = 0.293_071;
    let point = |outdoor: f64, capacity: f64, power: f64, frosting: bool| RatedPoint {
        outdoor: celsius(outdoor),
        capacity: Power::from_si(capacity * BTU),
        cop: Ratio::from_si(capacity * BTU / power),
        frosting,
    };
    let points = [
        point(47.0, 36e3, 2_850.0, false),
        point(5.0, 17e3, 2_350.0, false),
        point(35.0, 31.5e3, 2_800.0, true),
        point(17.0, 22e3, 2_500.0, false),
    ];
    let machine = Machine::of(&points, None, None).unwrap();
    for case in reference()["machine"].as_array().unwrap() {
        let work = machine.hour(number(case, "load") * BTU, celsius(number(case, "outdoor")).si());
        let (heat, power) = (number(case, "heat") * BTU, number(case, "power"));
        assert!((work.heat - heat).abs() < 1e-6 && (work.power - power).abs() < 1e-6, "{case}: {work:?}");
    }
}

/// Hot water of a day; 0.05 %, since the heat of water is rounded to four digits.
#[test]
fn hot_water_of_a_day() {
    for case in reference()["hot_water"].as_array().unwrap() {
        let heat = HotWaterHeat {
            q: Flow::from_si(number(case, "draw") * 3.785_412e-3 / 86_400.0),
            θ_w: celsius(number(case, "hot")),
            θ_m: celsius(number(case, "mains")),
            t: Duration::from_si(86_400.0),
            l: Ratio::from_si(number(case, "loss")),
        };
        let found = heat.value().si() / 3.6e6;
        assert!((found / number(case, "kwh_a_day") - 1.0).abs() < 5e-4, "{case}: {found}");
    }
}

/// Spaces beside the home and below its floor against `tests/reference/unheated.py`, which halves their temperature until heat
/// in is heat out; to a millionth of a degree.
#[test]
fn unheated_spaces_whose_heat_balances() {
    let cases: Value = serde_json::from_str(include_str!("../../../../tests/reference/unheated.json")).unwrap();
    let temperature = |case: &Value, name| Temperature::from_si(number(case, name));
    let watts_per_kelvin = |case: &Value, name| Conductance::from_si(number(case, name));
    for case in cases["beside"].as_array().unwrap() {
        let n = Rate::from_si(number(case, "changes") / 3_600.0);
        let V = Volume::from_si(number(case, "volume"));
        let H_ue = SpaceToOutdoors { H_o: watts_per_kelvin(case, "outer"), n, V }.value();
        let b = SpaceFactor { H_iu: watts_per_kelvin(case, "towards"), H_ue }.value();
        let (θ_i, θ_e) = (temperature(case, "indoors"), temperature(case, "outdoors"));
        let found = SpaceTemperature { θ_i, b, θ_e }.value().si();
        assert!((found - number(case, "space")).abs() < 1e-6, "{found} of {case}");
        assert!(θ_e.si() < found && found < θ_i.si(), "{found} of {case}");
    }
    for (kind, is_basement) in [("crawl_spaces", false), ("basements", true)] {
        for case in cases[kind].as_array().unwrap() {
            let (θ_i, θ_y) = (temperature(case, "indoors"), temperature(case, "mean"));
            let swing = number(case, "swing");
            let H_g = Conductance::from_si(number(case, "mean_flow") / (θ_i - θ_y).si());
            let H_pe = Conductance::from_si(number(case, "winter_flow") / swing);
            let θ_a = TemperatureDifference::from_si(swing);
            // A basement's winter comes a month after that outdoors, that of a crawl space with it.
            let Φ_g = match is_basement {
                true => GroundFlow { H_g, θ_i, θ_y, H_pe, θ_a, m: 2.0, n: 1.0 }.value(),
                false => SpaceFlow { H_g, θ_i, θ_y, H_pe, θ_a, m: 1.0, n: 1.0 }.value(),
            };
            let H_f = Conductance::from_si(number(case, "floor") * number(case, "area"));
            let found = BelowTemperature { θ_i, Φ_g, H_f }.value().si();
            assert!((found - number(case, "coldest")).abs() < 1e-6, "{found} of {case}");
            assert!(θ_y.si() - swing < found && found < θ_i.si(), "{found} of {case}");
        }
    }
}
