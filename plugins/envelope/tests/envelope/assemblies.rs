//! Facts of assemblies: worked calculations, what is missing, what cannot be.

use crate::support::{R, TakeOff, because, close, fact, home, run, si};
use mateline_model::{Drawing, Origin, Pointer};
use serde_json::{Value, json};

const WALL: &str = "assemblies.wall";

fn framed(changes: &[(&str, Value)]) -> Value {
    let mut framed = json!({"member": "softwood", "size": "2x6", "spacing": "16 in",
        "fill": "cellulose-dense-pack", "fraction": 0.25});
    for (key, value) in changes {
        framed[*key] = value.clone();
    }
    json!({"framed": framed})
}

fn wall(framing: Value) -> Value {
    json!({"wall": {"kind": "wall", "layers": [
        {"material": "gypsum-board", "thickness": "1/2 in"},
        framing,
        {"material": "osb", "thickness": "7/16 in", "role": "air-barrier"},
        {"material": "eps-type-ii", "thickness": "3 in", "role": "continuous-insulation"},
        {"vented-cavity": "3/4 in"},
        {"material": "fibre-cement", "thickness": "5/16 in"},
    ]}})
}

fn of(assemblies: Value) -> mateline_sdk::Findings {
    run(&home(assemblies, json!({}), json!({})), &TakeOff::default(), &[])
}

/// By hand, in h·ft²·°F/Btu: films 0.68 on both sides (still air behind the cladding), gypsum 0.4505, OSB 0.6162,
/// EPS 12.5; cavity 5.5/0.27 = 20.3704, stud 5.5/0.8 = 6.875. Cavity way 35.2971, stud way 21.8017:
/// R' = 1/(0.75/35.2971 + 0.25/21.8017) = 30.5668. Layer 1/(0.75/20.3704 + 0.25/6.875) = 13.6646: R'' = 28.5912.
/// R = 29.5790. Tolerance 0.001, as the hand calculation carries four decimals.
#[test]
fn a_wall_by_hand() {
    let found = of(wall(framed(&[])));
    close(si(&found, WALL, "envelope.r_clear") / R, 35.2971, 0.001);
    close(1.0 / si(&found, WALL, "envelope.u_parallel_path") / R, 30.5668, 0.001);
    close(1.0 / si(&found, WALL, "envelope.u_isothermal_planes") / R, 28.5912, 0.001);
    close(si(&found, WALL, "envelope.r_effective") / R, 29.5790, 0.001);
    close(si(&found, WALL, "envelope.r_cavity") / R, 20.3704, 0.001);
    close(si(&found, WALL, "envelope.r_continuous") / R, 12.5, 0.001);
    close(si(&found, WALL, "envelope.framing_cost") / R, 35.2971 - 29.5790, 0.002);
    close(si(&found, WALL, "envelope.framing_fraction"), 0.25, 1e-12);
    close(si(&found, WALL, "envelope.thickness") / 0.0254, 0.5 + 5.5 + 0.4375 + 3.0 + 0.75 + 0.3125, 1e-9);
    assert_eq!(
        fact(&found, WALL, "envelope.u_factor").at,
        Some(Pointer::noted("assemblies.wall.layers.3", "44 % of the resistance sits here"))
    );
}

/// Every value of every step follows from the terms beside it, so that a calculator gives the same.
#[test]
fn the_calculation_can_be_followed() {
    let found = of(wall(framed(&[])));
    let basis = &fact(&found, WALL, "envelope.u_factor").basis;
    let results: Vec<&str> =
        basis.steps.iter().filter_map(|step| step.result.as_ref()).map(|term| term.symbol.as_ref()).collect();
    assert_eq!(results, ["R1", "R2c", "R2m", "R3", "R4", "fA", "RA", "fB", "RB", "R'", "R2", "R''", "R", "U"]);
    let mut checked = 0;
    for step in &basis.steps {
        let number = |symbol: &str| {
            step.terms.iter().find(|term| term.symbol == symbol).and_then(|term| term.value.number()).map(|q| q.si)
        };
        let result = step.result.as_ref().and_then(|term| term.value.number()).unwrap().si;
        let again = if step.equation.ends_with("= d/λ") {
            number("d").unwrap() / number("λ").unwrap()
        } else if step.equation.starts_with("RA")
            || step.equation.starts_with("RB")
            || step.equation.starts_with("R'' =")
        {
            step.terms.iter().filter_map(|term| term.value.number()).map(|q| q.si).sum()
        } else if step.equation.starts_with("1/R'") {
            1.0 / (number("fA").unwrap() / number("RA").unwrap() + number("fB").unwrap() / number("RB").unwrap())
        } else if step.equation == "R = (R' + R'')/2" {
            (number("R'").unwrap() + number("R''").unwrap()) / 2.0
        } else if step.equation == "U = 1/R" {
            1.0 / number("R").unwrap()
        } else {
            continue;
        };
        close(again, result, 1e-12);
        checked += 1;
    }
    assert_eq!(checked, 11);
    let origins: Vec<&Origin> = basis.steps.iter().flat_map(|step| &step.terms).map(|term| &term.origin).collect();
    assert!(origins.contains(&&Origin::Given("assemblies.wall.layers.3.thickness".to_owned())));
    assert!(origins.contains(&&Origin::Given("assemblies.wall.layers.1.framed.fraction".to_owned())));
    assert!(origins.iter().any(|origin| matches!(origin, Origin::Published(source) if source.contains("from memory"))));
    assert!(basis.provenance.as_ref().unwrap().contains("material values from memory"));
    assert!(basis.assumptions.iter().any(|line| line.starts_with("handbook air films for heat flowing level")));
    assert!(basis.assumptions.iter().any(|line| line.starts_with("the ventilated cavity and what lies outside it")));
}

#[test]
fn looked_up_materials_are_not_said_to_be_from_memory() {
    let found = of(json!({"wall": {"kind": "wall", "layers": [{"material": "xps", "thickness": "4 in"}]}}));
    let mark = fact(&found, WALL, "envelope.u_factor").basis.provenance.clone().unwrap();
    assert_eq!(mark, "formula from memory");
}

#[test]
fn a_material_of_the_home_is_cited_as_given() {
    let own = json!({"xps": {"conductivity": "0.030 W/(m·K)", "density": "30 kg/m³", "source": "a data sheet"}});
    let assemblies = json!({"wall": {"kind": "wall", "layers": [{"material": "xps", "thickness": "30 mm"}]}});
    let found = run(&home(assemblies, json!({}), own), &TakeOff::default(), &[]);
    let basis = &fact(&found, WALL, "envelope.r_clear").basis;
    let given = Origin::Given("materials.xps.conductivity".to_owned());
    assert!(basis.steps.iter().flat_map(|step| &step.terms).any(|term| term.origin == given));
    close(si(&found, WALL, "envelope.r_nominal"), 1.0, 1e-12);
}

/// Mass by hand: gypsum 640.7 x 0.0127, cellulose and studs (0.25 x 448.5 + 0.75 x 56.06) x 0.1397, OSB 656.8 x
/// 0.0111125, EPS 24.03 x 0.0762, fibre-cement 1361.6 x 0.0079375 kg/m².
#[test]
fn mass_by_hand() {
    let found = of(wall(framed(&[])));
    let pound = 16.018_463;
    let expected = 40.0 * pound * 0.0127
        + (0.25 * 28.0 + 0.75 * 3.5) * pound * 0.1397
        + 41.0 * pound * 0.011_112_5
        + 1.5 * pound * 0.0762
        + 85.0 * pound * 0.007_937_5;
    close(si(&found, WALL, "envelope.surface_mass"), expected, 1e-4);
}

/// Framing counted in a wall of 16 ft by 8 ft with no openings: 14.37 %, as counted by hand beside the method.
#[test]
fn framing_is_counted_from_the_take_off() {
    let mut layer = framed(&[]);
    layer["framed"].as_object_mut().unwrap().shift_remove("fraction");
    let home = home(wall(layer), json!({}), json!({}));
    let takeoff = TakeOff::default().wall("wall", 192.0 * 0.0254, 96.0 * 0.0254, 0.0, 0.0);
    let found = run(&home, &takeoff, &[]);
    close(si(&found, WALL, "envelope.framing_fraction"), 2_648.25 / 18_432.0, 1e-9);
    let basis = &fact(&found, WALL, "envelope.framing_fraction").basis;
    assert_eq!(basis.source, "common practice, no source");
    let without = run(&home, &TakeOff::default(), &[]);
    let message = because(&without, WALL, "envelope.u_factor");
    assert!(message.contains("takeoff.run_length of assemblies.wall is not known"), "{message}");
    close(si(&without, WALL, "envelope.r_clear"), si(&found, WALL, "envelope.r_clear"), 1e-12);
}

/// Two framed layers: shares multiply. By hand with 20 % and 10 %: ways of 72, 18, 8 and 2 %.
#[test]
fn two_framed_layers_lie_independently() {
    let layer = |fraction: f64| framed(&[("fraction", json!(fraction)), ("size", json!("2x4"))]);
    let found = of(json!({"wall": {"kind": "wall", "layers": [layer(0.2), layer(0.1)]}}));
    let basis = &fact(&found, WALL, "envelope.u_factor").basis;
    let shares: Vec<f64> = basis
        .steps
        .iter()
        .filter_map(|step| step.result.as_ref())
        .filter(|term| term.symbol.starts_with('f'))
        .filter_map(|term| term.value.number().map(|q| q.si))
        .collect();
    assert_eq!(shares.len(), 4);
    for (found, expected) in shares.iter().zip([0.72, 0.08, 0.18, 0.02]) {
        close(*found, expected, 1e-12);
    }
}

/// A closed air space of 50 mm under a floor resists 0.21 m²·K/W (ISO 6946, from memory); films 0.92 twice.
#[test]
fn air_spaces_and_still_air_below_a_floor() {
    let layers = json!([{"material": "plywood", "thickness": "3/4 in"}, {"air-space": "50 mm"}]);
    let found = of(json!({"floor": {"kind": "floor", "layers": layers}}));
    close(si(&found, "assemblies.floor", "envelope.r_clear"), 2.0 * 0.92 * R + 0.75 / 0.8 * R + 0.21, 1e-9);
}

/// A slab has a film inside only, and the sheet under it adds nothing.
#[test]
fn soil_has_no_film_and_sheets_no_resistance() {
    let layers = json!([{"material": "concrete", "thickness": "4 in"}, {"material": "polyethylene-6mil"}]);
    let found = of(json!({"slab": {"kind": "slab", "layers": layers}}));
    close(si(&found, "assemblies.slab", "envelope.r_effective") / R, 0.92 + 4.0 / 15.0, 1e-9);
    let basis = &fact(&found, "assemblies.slab", "envelope.u_factor").basis;
    assert!(basis.assumptions.iter().any(|line| line.contains("Polyethylene sheet, 6 mil")));
}

/// ISO 6946 annex F: gaps of level 2 in the cavity, ΔU'' 0.04 W/(m²·K) times (R1/Rtot)², by hand with the values of
/// `a_wall_by_hand`: 0.04 x (20.3704/35.2971)² = 0.013322, which is 6.9 % of U.
#[test]
fn gaps_are_added_where_they_count() {
    let mut layer = framed(&[]);
    layer["gap_level"] = json!(2);
    let found = of(wall(layer));
    let plain = si(&found, WALL, "envelope.u_combined");
    close(si(&found, WALL, "envelope.u_correction"), 0.013_322, 1e-5);
    close(si(&found, WALL, "envelope.u_factor"), plain + si(&found, WALL, "envelope.u_correction"), 1e-12);
    let mut layer = framed(&[]);
    layer["gap_level"] = json!(1);
    let found = of(wall(layer));
    close(si(&found, WALL, "envelope.u_correction"), 0.0, 0.0);
    let note = "corrections below 3 % of the U-factor are left out";
    assert!(fact(&found, WALL, "envelope.u_factor").basis.assumptions.iter().any(|line| line == note));
}

/// ISO 6946 annex F by hand: five steel screws of 6 mm per m² through 3 in of EPS: 0.8 x 50 x π 0.006²/4 x 5/0.0762 x
/// (12.5/35.2970)² = 0.009307 W/(m²·K), 4.8 % of U, so that it is added.
#[test]
fn fasteners_are_added_where_they_count() {
    let mut assemblies = wall(framed(&[]));
    assemblies["wall"]["layers"][3]["fasteners"] = json!({"per_square_metre": 5.0, "diameter": "6 mm"});
    let found = of(assemblies);
    close(si(&found, WALL, "envelope.u_correction"), 0.009_307, 1e-6);
    let expected = si(&found, WALL, "envelope.u_combined") + 0.009_307;
    close(si(&found, WALL, "envelope.u_factor"), expected, 1e-6);
}

#[test]
fn metal_through_the_insulation_needs_two_dimensions() {
    let found = of(wall(framed(&[("member", json!("steel"))])));
    let message = because(&found, WALL, "envelope.u_factor");
    assert_eq!(message, "assemblies.wall.layers.1 has members of steel, which needs a two-dimensional solution");
    because(&found, WALL, "envelope.u_parallel_path");
    assert!(si(&found, WALL, "envelope.r_nominal") > 0.0);
}

#[test]
fn a_material_without_thermal_values_is_missing_not_guessed() {
    let own = json!({"mystery": {"source": "none", "density": "100 kg/m³", "kind": "board"}});
    let assemblies = json!({"wall": {"kind": "wall", "layers": [{"material": "mystery", "thickness": "1 in"}]}});
    let found = run(&home(assemblies, json!({}), own), &TakeOff::default(), &[]);
    assert_eq!(because(&found, WALL, "envelope.u_factor"), "materials.mystery has neither conductivity nor resistance");
    assert!(found.facts.iter().all(|fact| fact.subject.as_str() != WALL));
    assert!(found.problems.is_empty());
}

#[test]
fn what_cannot_be_is_said_all_at_once() {
    let fasteners = json!({"per_square_metre": -5.0, "diameter": "6 mm"});
    let assemblies = json!({
        "a": {"kind": "wall", "layers": [framed(&[("fraction", json!(1.5))]), framed(&[("spacing", json!("1 in"))])]},
        "b": {"kind": "wall", "layers": [
            {"material": "xps", "thickness": "-1 in"},
            {"material": "xps"},
            {"material": "xps", "thickness": "1 in", "air-space": "1 in"},
            {"material": "xps", "thickness": "1 in", "gap_level": 3, "fasteners": fasteners},
            {"air-space": "0 in"},
        ]},
        "c": {"kind": "wall", "layers": []},
    });
    let found = of(assemblies);
    assert!(found.facts.is_empty());
    let places: Vec<&str> = found.problems.iter().map(|problem| problem.at.path.as_str()).collect();
    assert_eq!(
        places,
        [
            "assemblies.a.layers.0.framed.fraction",
            "assemblies.a.layers.1.framed.spacing",
            "assemblies.b.layers.0.thickness",
            "assemblies.b.layers.1.material",
            "assemblies.b.layers.2",
            "assemblies.b.layers.3.gap_level",
            "assemblies.b.layers.3.fasteners.per_square_metre",
            "assemblies.b.layers.4.air-space",
            "assemblies.c.layers",
        ]
    );
    for problem in &found.problems {
        let first = problem.message.chars().next().unwrap();
        assert!(first.is_lowercase() && !problem.message.ends_with('.'), "{}", problem.message);
    }
}

/// The shares of a section and of the films around it make one.
#[test]
fn the_section_shows_where_the_resistance_sits() {
    let found = of(wall(framed(&[])));
    let [figure] = found.figures.as_slice() else { panic!("{} figures", found.figures.len()) };
    let Drawing::Section { layers, upright } = &figure.drawing else { panic!("no section") };
    assert!(upright);
    let films = 2.0 * 0.68 / 28.5912;
    close(layers.iter().map(|layer| layer.share).sum::<f64>() + films, 1.0, 1e-4);
    let shares: Vec<f64> = layers.iter().map(|layer| layer.share).collect();
    close(shares[3], 12.5 / 28.5912, 1e-4);
    assert_eq!(shares[4..], [0.0, 0.0]);
    let (member, spacing) = layers[1].members.unwrap();
    close(member, 1.5 * 0.0254, 1e-12);
    close(spacing, 16.0 * 0.0254, 1e-12);
    assert_eq!(layers[2].roles, ["air barrier"]);
    assert!(
        figure.alternative.contains("EPS, type II, 76 mm, 44 % of the resistance (continuous insulation)"),
        "{}",
        figure.alternative
    );
}

/// No fact outside the declaration, none twice, none with a value that is not finite.
#[test]
fn facts_keep_to_the_declaration() {
    use mateline_sdk::Plugin;
    let known: Vec<_> = mateline_envelope::Envelope.declaration().quantities;
    let found = of(wall(framed(&[])));
    let mut seen = std::collections::BTreeSet::new();
    for fact in &found.facts {
        let definition =
            known.iter().find(|known| known.name == fact.quantity).unwrap_or_else(|| panic!("{}", fact.quantity));
        if let Some(number) = fact.value.number() {
            assert!(number.si.is_finite(), "{}", fact.quantity);
            assert_eq!(number.dimension, definition.dimension(), "{}", fact.quantity);
        } else {
            assert_ne!(definition.kind, mateline_model::ValueKind::Number, "{}", fact.quantity);
        }
        assert!(seen.insert((fact.subject.clone(), fact.quantity.clone())));
    }
    for missing in &found.missing {
        assert!(known.iter().any(|known| known.name == missing.quantity));
    }
}

/// The role says which layer keeps the rain out; without one nothing is known.
#[test]
fn which_layer_keeps_the_rain_out() {
    let layer = |more: Value| {
        let mut layer = json!({"material": "osb", "thickness": "7/16 in"});
        layer.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        of(json!({"wall": {"kind": "wall", "layers": [layer]}}))
    };
    let found = layer(json!({"role": "water-barrier"}));
    let fact = found.facts.iter().find(|fact| fact.quantity == "envelope.water_barrier").unwrap();
    assert_eq!(fact.value, mateline_model::Value::Flag(true));
    let found = layer(json!({}));
    let missing = found.missing.iter().find(|missing| missing.quantity == "envelope.water_barrier").unwrap();
    assert_eq!(missing.because, "no layer has the role water-barrier");
    assert_eq!(missing.at.as_ref().map(|at| at.path.as_str()), Some("assemblies.wall"));
}

/// What termites could climb through: foam on the soil's side of concrete, and none on the side of the rooms.
#[test]
fn foam_towards_the_soil_is_told_from_foam_towards_the_rooms() {
    let concrete = json!({"material": "concrete", "thickness": "8 in"});
    let foam = json!({"material": "xps", "thickness": "2 in"});
    let outside = |kind: &str, layers: &[&Value]| {
        let found = of(json!({"part": {"kind": kind, "layers": layers}}));
        found.facts.iter().find(|fact| fact.quantity == "envelope.foam_outside_concrete").unwrap().value.clone()
    };
    for (kind, layers, expected) in [
        ("basement-wall", vec![&concrete, &foam], true),
        ("basement-wall", vec![&foam, &concrete], false),
        ("basement-wall", vec![&foam, &concrete, &foam], true),
        ("slab", vec![&concrete, &foam], true),
        ("wall", vec![&foam], false),
    ] {
        assert_eq!(outside(kind, &layers), mateline_model::Value::Flag(expected), "{kind} of {} layers", layers.len());
    }
}
