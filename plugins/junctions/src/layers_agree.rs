//! Random assemblies: take-off, envelope and junctions see the same layers, and what was built is what they see.

use crate::layers::Layers;
use mateline_envelope::Envelope;
use mateline_films::air_layer::unventilated;
use mateline_films::surface::{Direction, OuterSide, handbook};
use mateline_model::quantity::Length;
use mateline_model::{Facts, Home};
use mateline_sdk::{Plugin, Request};
use proptest::prelude::*;
use serde_json::{Value, json};

/// A layer as it is built: what the home says, and what that means by its definition.
#[derive(Clone, Debug)]
struct Built {
    given: Value,
    /// m; none for a coating.
    depth: Option<f64>,
    /// `d/λ` (m²·K/W); `None` for air.
    resistance: Option<f64>,
}

/// Conductivities of the materials below (W/(m·K)).
const MATERIALS: [(&str, Option<&str>, f64); 6] = [
    ("board", Some("board"), 0.2),
    ("wood", Some("wood"), 0.12),
    ("foam", Some("foam-insulation"), 0.035),
    ("fibre", Some("fibre-insulation"), 0.04),
    ("concrete", Some("masonry"), 2.0),
    ("unkind", None, 0.3),
];

fn of(name: &'static str) -> impl Strategy<Value = Built> {
    thick(name, 5..60)
}

fn thick(name: &'static str, millimetres: std::ops::Range<u32>) -> impl Strategy<Value = Built> {
    let conductivity = MATERIALS.iter().find(|(id, ..)| *id == name).map_or(1.0, |(_, _, conductivity)| *conductivity);
    millimetres.prop_map(move |millimetres| {
        let depth = f64::from(millimetres) / 1e3;
        let given = json!({"material": name, "thickness": format!("{millimetres} mm")});
        Built { given, depth: Some(depth), resistance: Some(depth / conductivity) }
    })
}

fn paint() -> impl Strategy<Value = Built> {
    Just(Built { given: json!({"material": "paint"}), depth: None, resistance: Some(0.0) })
}

fn air() -> impl Strategy<Value = Built> {
    (5..60_u32).prop_map(|millimetres| {
        let depth = f64::from(millimetres) / 1e3;
        Built { given: json!({"air-space": format!("{millimetres} mm")}), depth: Some(depth), resistance: None }
    })
}

fn framing() -> impl Strategy<Value = Built> {
    (60..250_u32, any::<bool>()).prop_map(|(millimetres, is_filled)| {
        let (depth, fill) = (f64::from(millimetres) / 1e3, if is_filled { "fibre" } else { "air" });
        let size = format!("38 mm x {millimetres} mm");
        let given = json!({"framed":
            {"member": "wood", "size": size, "spacing": "400 mm", "fill": fill, "fraction": 0.2}});
        Built { given, depth: Some(depth), resistance: is_filled.then_some(depth / 0.04) }
    })
}

/// A layer that frames nothing and is not heavy.
fn light() -> impl Strategy<Value = Built> {
    prop_oneof![of("board"), of("wood"), of("foam"), of("unkind"), paint(), air()]
}

/// What lies next outside the framing, and whether it is sheathing by the definition.
fn next_outside() -> impl Strategy<Value = (Vec<Built>, bool)> {
    let board = prop_oneof![of("board"), of("wood"), thick("unkind", 5..25)];
    let none = prop_oneof![of("foam"), of("fibre"), air(), paint(), thick("unkind", 26..60)];
    let named = of("board").prop_map(|mut built| {
        built.given["role"] = json!("continuous-insulation");
        built
    });
    prop_oneof![
        Just((Vec::new(), false)),
        board.prop_map(|one| (vec![one], true)),
        none.prop_map(|one| (vec![one], false)),
        named.prop_map(|one| (vec![one], false)),
    ]
}

/// Kind, layers inside of any ventilated cavity, and how many of these lie inside the face.
fn closed() -> impl Strategy<Value = (&'static str, Vec<Built>, usize)> {
    let lights = || prop::collection::vec(light(), 0..3);
    let kind = prop::sample::select(vec!["wall", "ceiling", "roof", "floor"]);
    let framed = (kind.clone(), lights(), framing(), prop::option::of(framing()), next_outside(), lights()).prop_map(
        |(kind, mut layers, first, second, (next, is_sheathing), outer)| {
            layers.push(first);
            layers.extend(second);
            let inward = layers.len() + usize::from(is_sheathing);
            // What follows a bare frame would be next outside it.
            let outer = if next.is_empty() { Vec::new() } else { outer };
            layers.extend(next.into_iter().chain(outer));
            (kind, layers, inward)
        },
    );
    let heavy = prop::sample::select(vec!["basement-wall", "crawl-wall", "mass-wall"]);
    let masonry = (heavy, lights(), prop::option::of(framing()), of("concrete"), lights()).prop_map(
        |(kind, mut layers, studs, masonry, outer)| {
            layers.extend(studs);
            layers.push(masonry);
            let inward = layers.len();
            layers.extend(outer);
            (kind, layers, inward)
        },
    );
    let plain = (kind, of("foam"), lights()).prop_map(|(kind, first, mut layers)| {
        layers.push(first);
        let inward = layers.len();
        (kind, layers, inward)
    });
    prop_oneof![3 => framed, 1 => masonry, 1 => plain]
}

fn home(kind: &str, closed: &[Built], is_ventilated: bool) -> Home {
    let mut layers: Vec<Value> = closed.iter().map(|built| built.given.clone()).collect();
    if is_ventilated {
        let studs = json!({"framed": {"member": "wood", "size": "38 mm x 89 mm", "spacing": "400 mm", "fill": "air"}});
        layers.extend([
            json!({"vented-cavity": "20 mm"}),
            studs,
            json!({"material": "concrete", "thickness": "90 mm"}),
        ]);
    }
    let material = |(id, kind, conductivity): &(&str, Option<&str>, f64)| {
        (id.to_string(), json!({"kind": kind, "conductivity": format!("{conductivity} W/(m·K)"), "source": "invented"}))
    };
    let mut materials: serde_json::Map<String, Value> = MATERIALS.iter().map(material).collect();
    materials.insert("paint".to_owned(), json!({"kind": "finish", "source": "invented"}));
    let home = json!({
        "home": "Test home, invented",
        "revision": {"id": "A", "date": "2026-10-05"},
        "site": {"place": "Nowhere", "climate_zone": "6A"},
        "modules": {},
        "materials": materials,
        "assemblies": {"one": {"kind": kind, "layers": layers}},
    });
    serde_json::from_value(home).unwrap_or_else(|error| panic!("{error}"))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// The face of the box by its definition, `R = d/λ`, and air by the table of ISO 6946 (from memory).
    #[test]
    fn plugins_see_what_was_built((kind, built, inward) in closed(), is_ventilated in any::<bool>()) {
        let home = home(kind, &built, is_ventilated);
        let (id, assembly) = home.assemblies.first().unwrap();

        let depth: f64 = built.iter().take(inward).filter_map(|built| built.depth).sum();
        let taken_off = mateline_takeoff::layers::inward(&home, id, assembly).unwrap();
        prop_assert!((taken_off.thickness - depth).abs() < 1e-9, "{} against {depth}", taken_off.thickness);

        let drawn = Layers::of(&home, id);
        if built.iter().any(|built| built.depth.is_some()) {
            let drawn = drawn.unwrap();
            prop_assert_eq!(drawn.inward, built.iter().take(inward).filter(|built| built.depth.is_some()).count());
            prop_assert!((drawn.inside() - depth).abs() < 1e-9);
        }

        let flow = Direction::of(assembly.kind);
        let air = |depth: Option<f64>| unventilated(Length::from_si(depth.unwrap_or(0.0)), flow).si();
        let sum: f64 = built.iter().map(|built| built.resistance.unwrap_or_else(|| air(built.depth))).sum();
        let found = mateline_layers::Layers::of(&home, id, assembly).unwrap();
        let resolved: f64 =
            found.closed().iter().filter_map(|layer| Some(layer.clear()?.thermal().unwrap().resistance.si())).sum();
        prop_assert!((resolved - sum).abs() < 1e-9, "{resolved} against {sum}");

        let facts = Facts::default();
        let findings = Envelope.run(&Request { home: &home, facts: &facts, settings: &[], shown: true }).unwrap();
        prop_assert!(findings.problems.is_empty(), "{:?}", findings.problems);
        let clear = findings.facts.iter().find(|fact| fact.quantity == "envelope.r_clear").unwrap();
        let films = handbook(flow, if is_ventilated { OuterSide::StillAir } else { OuterSide::of(assembly.boundary()) });
        let wanted = films.inner.si() + sum + films.outer.si();
        let clear = clear.value.number().unwrap().si;
        prop_assert!((clear - wanted).abs() < 1e-9, "{clear} against {wanted}");
    }
}
