//! Zones that touch against `tests/reference/zones.py`, which solves all of their nodes at once by scipy's sparse factors, and
//! against a network of resistances by hand.

use mateline_energy::elements::{Arrival, Element, Outside, ToAir, USUAL, Zone};
use mateline_energy::touching::Touching;
use serde_json::Value;

fn number(value: &Value, name: &str) -> f64 {
    value[name].as_f64().unwrap_or_else(|| panic!("{name} of {value}"))
}

fn numbers(value: &Value, name: &str) -> Vec<f64> {
    value[name].as_array().unwrap().iter().map(|one| one.as_f64().unwrap()).collect()
}

fn arrival(outdoors: f64, taken: &[f64], internal: f64, solar: f64) -> Arrival {
    let outside = taken.iter().map(|up| Outside { temperature: outdoors, taken_up: *up });
    Arrival { outside: outside.collect(), supply: outdoors, internal, solar }
}

/// Three, four and five zones at random through 72 hours, in a row, in a ring and across: the same heat and air to a millionth
/// of a kilowatt and of a degree (rounding). In each hour what enters all zones is what leaves them and what they store, to
/// 1e-9, and so it is for each zone with what comes from its neighbours.
#[test]
fn zones_of_one_sparse_system() {
    let reference: Value = serde_json::from_str(include_str!("../../../../tests/reference/zones.json")).unwrap();
    for case in reference["cases"].as_array().unwrap() {
        let links = case["links"].as_array().unwrap().iter().map(|link| {
            let place = |at: usize| link[at].as_u64().unwrap() as usize;
            (place(0), place(1), link[2].as_f64().unwrap())
        });
        let given = case["zones"].as_array().unwrap();
        let mut touching = Touching::new(given.len(), links.collect());
        let element = |one: &Value| Element {
            area: number(one, "area"),
            outer: number(one, "outer"),
            between: numbers(one, "between"),
            stores: numbers(one, "stores"),
            inner: number(one, "inner"),
        };
        let zone = |(place, one): (usize, &Value)| {
            let elements: Vec<Element> = one["elements"].as_array().unwrap().iter().map(element).collect();
            Zone::new(&elements, number(one, "air"), number(one, "stores"), USUAL, 0.5).touching(touching.of(place))
        };
        let zones: Vec<Zone> = given.iter().enumerate().map(zone).collect();
        let all: Vec<&Zone> = zones.iter().collect();
        let mut states: Vec<_> = zones.iter().map(|zone| zone.state(20.0)).collect();
        let high = case["high"].as_f64().unwrap_or(f64::INFINITY);
        for (count, hour) in case["hours"].as_array().unwrap().iter().enumerate() {
            let told = hour["zones"].as_array().unwrap();
            let of = |one: &Value| {
                arrival(number(hour, "outdoors"), &numbers(one, "taken"), number(one, "internal"), number(one, "solar"))
            };
            let arrivals: Vec<Arrival> = told.iter().map(of).collect();
            let before: Vec<f64> = zones.iter().zip(&states).map(|(zone, state)| zone.stored(state)).collect();
            touching.hour(&all, &mut states, &arrivals, number(case, "low"), high);
            let (mut open, mut size) = (0.0, 0.0);
            for (place, (zone, state)) in zones.iter().zip(&states).enumerate() {
                for (found, name, near) in
                    [(state.heat, "heat", 1e-3), (state.air, "air", 1e-6), (state.mean, "mean", 1e-6)]
                {
                    let expected = number(&told[place], name);
                    assert!(
                        (found - expected).abs() < near,
                        "hour {count}, {name} of {place}: {found} beside {expected}"
                    );
                }
                let stored = (zone.stored(state) - before[place]) / 3_600.0;
                let leaves = zone.leaves(state, &arrivals[place]);
                let enters = arrivals[place].internal + arrivals[place].solar + state.heat;
                let of_zone = before[place].abs() / 3_600.0 + enters.abs() + leaves.abs();
                let left = enters + touching.comes(place, &states) - leaves - stored;
                assert!(left.abs() < 1e-9 * of_zone, "hour {count}, zone {place}: {left} W of {of_zone}");
                (open, size) = (open + enters - leaves - stored, size + of_zone);
            }
            assert!(open.abs() < 1e-9 * size, "hour {count}: {open} W of {size}");
        }
    }
}

/// Three rooms in a row at 0 °C outdoors, the first alone warmed, by heat that goes to its air. Walls are one surface each,
/// whose radiation to itself cancels: 1/(1/24.14 + 2 + 1/2.5) for each square metre. The second and third are warmed through
/// partitions alone: steady temperatures of resistances in a row and side by side, worked by hand.
#[test]
fn rooms_warmed_by_their_neighbours() {
    let areas = [10.0, 20.0, 5.0];
    let [k1, k2, k3] = areas.map(|area| area / (1.0 / 24.14 + 2.0 + 1.0 / 2.5));
    let (a, b) = (12.0, 7.0);
    // From the far end: what the third takes through b, then the second with it through a.
    let third = 1.0 / (1.0 / b + 1.0 / k3);
    let beyond = 1.0 / (1.0 / a + 1.0 / (k2 + third));
    let second = 20.0 * a / (a + k2 + third);
    let expected = [20.0, second, second * b / (b + k3)];

    let mut touching = Touching::new(3, vec![(0, 1, a), (1, 2, b)]);
    let to_air = ToAir { internal: 1.0, ..USUAL };
    let zone = |(place, area): (usize, &f64)| {
        let element = Element::opaque(*area, 2.0, 1.0, 24.14, 2.5);
        Zone::new(&[element], 0.0, 1.0, to_air, 0.0).touching(touching.of(place))
    };
    let zones: Vec<Zone> = areas.iter().enumerate().map(zone).collect();
    let mut states: Vec<_> = zones.iter().map(|zone| zone.state(10.0)).collect();
    let mut arrivals = vec![arrival(0.0, &[0.0], 0.0, 0.0); 3];
    arrivals[0].internal = 20.0 * (k1 + beyond);
    for _ in 0..20 {
        let all: Vec<&Zone> = zones.iter().collect();
        touching.hour(&all, &mut states, &arrivals, f64::NEG_INFINITY, f64::INFINITY);
    }
    for (state, expected) in states.iter().zip(expected) {
        assert!((state.air - expected).abs() < 1e-6, "{} beside {expected}", state.air);
    }
}
