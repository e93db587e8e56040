//! The air of rooms and of the dwelling, by hand.

use crate::support::*;
use mateline_model::quantity::Flow;
use serde_json::json;

/// Floor 40 m² at 3 µg/(m²·h) in both rooms, cabinets 6 m² at 10 µg/(m²·h) in the living room.
fn two_sources() -> serde_json::Value {
    json!({
        "floor": {"category": "wood-flooring", "in": ["living", "bed"], "tested_at": "14 d",
            "emissions": {"formaldehyde": "3 µg/(m²·h)"}},
        "boxes": {"category": "cabinetry", "in": "living", "area": "6 m²", "tested_at": "14 d",
            "emissions": {"50-00-0": "10 µg/(m²·h)", "toluene": "5 µg/(m²·h)"}},
    })
}

#[test]
fn sources_of_a_room_add_over_its_own_fresh_air() {
    let found = run(&home(two_sources(), json!({})), &Given::usual());
    let c = |subject: &str| number(&found, subject, "materials.concentration", "µg/m³");
    close(c("air.living-formaldehyde"), (3.0 * 30.0 + 10.0 * 6.0) / 30.0, 1e-9);
    close(c("air.bed-formaldehyde"), 3.0 * 10.0 / 10.0, 1e-9);
    close(c("air.living-toluene"), 5.0 * 6.0 / 30.0, 1e-9);
    close(c("air.home-formaldehyde"), (3.0 * 40.0 + 10.0 * 6.0) / 80.0, 1e-9);
    close(number(&found, "finishes.floor", "materials.area", "m²"), 40.0, 1e-9);
    assert_eq!(text(&found, "air.living-formaldehyde", "materials.largest_source"), "floor");
    close(number(&found, "air.living-formaldehyde", "materials.source_share", "%"), 60.0, 1e-9);
    assert_eq!(text(&found, "air.living-toluene", "materials.space"), "living");
    assert!(flag(&found, "air.living-toluene", "materials.all_sources_known"));
    close(number(&found, "air.living-formaldehyde", "materials.flow_needed", "m³/h"), 150.0 / 9.0, 1e-9);
    // Toluene has an allowable level of 150 below its chronic level of 420: the lower one counts.
    close(number(&found, "air.living-toluene", "materials.flow_needed", "m³/h"), 30.0 / 150.0, 1e-9);
    assert!(found.facts.iter().all(|fact| !fact.subject.as_str().starts_with("air.cars")));
}

#[test]
fn an_area_given_for_several_rooms_is_divided_by_floor_area() {
    let finishes =
        json!({"board": {"category": "gypsum-board", "area": "100 m²", "emissions": {"phenol": "1 µg/(m²·h)"}}});
    let found = run(&home(finishes, json!({})), &Given::usual());
    close(number(&found, "air.living-phenol", "materials.concentration", "µg/m³"), 75.0 / 30.0, 1e-9);
    close(number(&found, "air.bed-phenol", "materials.concentration", "µg/m³"), 25.0 / 10.0, 1e-9);
    close(number(&found, "air.home-phenol", "materials.concentration", "µg/m³"), 100.0 / 80.0, 1e-9);
}

#[test]
fn a_garage_is_no_part_of_the_dwelling() {
    let finishes = json!({"slab-paint": {"category": "floor-coating", "in": ["cars", "bed"],
        "emissions": {"styrene": "2 µg/(m²·h)"}}});
    let found = run(&home(finishes, json!({})), &Given::usual());
    close(number(&found, "finishes.slab-paint", "materials.area", "m²"), 50.0, 1e-9);
    close(number(&found, "air.home-styrene", "materials.concentration", "µg/m³"), 20.0 / 80.0, 1e-9);
    assert!(because(&found, "air.cars-styrene", "materials.concentration").contains("ventilation.fresh_air"));
}

#[test]
fn isomers_add() {
    let finishes = json!({"varnish": {"category": "clear-wood-finish", "in": "bed", "area": "10 m²",
        "emissions": {"m-xylene": "4 µg/(m²·h)", "o-xylene": "3 µg/(m²·h)"}}});
    let found = run(&home(finishes, json!({})), &Given::usual());
    close(number(&found, "air.bed-xylenes", "materials.concentration", "µg/m³"), 7.0, 1e-9);
}

/// A power of one half: at 56 days half of what 14 days show; at 28 days 1/√2; the year's mean in closed form.
#[test]
fn emissions_die_away_by_the_law_of_two_tests() {
    let finishes = json!({"floor": {"category": "carpet", "in": "bed", "tested_at": "14 d",
        "emissions": {"styrene": "8 µg/(m²·h)"},
        "later_emissions": [{"tested_at": "56 d", "emissions": {"100-42-5": "4 µg/(m²·h)"}}]}});
    let home = home(finishes, json!({}));
    let found = run(&home, &Given::usual());
    let c = |quantity: &str| number(&found, "air.bed-styrene", quantity, "µg/m³");
    close(c("materials.concentration"), 8.0, 1e-9);
    close(c("materials.concentration_move_in"), 8.0 / 2.0_f64.sqrt(), 1e-9);
    let year = 8.0 * 14.0_f64.sqrt() * 2.0 * (393.0_f64.sqrt() - 28.0_f64.sqrt()) / 365.0;
    close(c("materials.concentration_one_year"), year, 1e-9);
    let later = [("firm".to_owned(), json!({"move_in": "56 d"}))];
    let found = run_with(&home, &Given::usual(), &later);
    close(number(&found, "air.bed-styrene", "materials.concentration_move_in", "µg/m³"), 4.0, 1e-9);
}

#[test]
fn without_decay_the_factor_is_held_and_nothing_is_said_of_earlier_ages() {
    let finishes = json!({"floor": {"category": "carpet", "in": "bed", "tested_at": "28 d",
        "emissions": {"styrene": "8 µg/(m²·h)"}}});
    let found = run(&home(finishes, json!({})), &Given::usual());
    let because = because(&found, "air.bed-styrene", "materials.concentration");
    assert!(because.contains("measured at 28 days") && because.contains("at 14 days"), "{because}");
    close(number(&found, "air.bed-styrene", "materials.concentration_one_year", "µg/m³"), 8.0, 1e-9);
}

#[test]
fn what_is_missing_is_missing_with_its_reason() {
    let found = run(&home(two_sources(), json!({})), &Given::default());
    let because_of = |subject, quantity| because(&found, subject, quantity).to_owned();
    assert_eq!(
        because_of("air.living-formaldehyde", "materials.concentration"),
        "ventilation.fresh_air of spaces.living is not known"
    );
    assert_eq!(text(&found, "air.living-formaldehyde", "materials.compound"), "formaldehyde");
    // The strength of the sources is known without any air.
    close(number(&found, "air.living-formaldehyde", "materials.flow_needed", "m³/h"), 150.0 / 9.0, 1e-9);

    let finishes = json!({"bead": {"category": "architectural-sealant", "in": "bed", "length": "12 m",
        "emissions": {"toluene": "5 µg/(m²·h)"}}});
    let found = run(&home(finishes, json!({})), &Given::usual());
    assert_eq!(
        because(&found, "air.bed-toluene", "materials.concentration"),
        "finishes.bead has no area, and it cannot be derived, though it has emissions"
    );
    assert!(because(&found, "air.bed-toluene", "materials.all_sources_known").starts_with("it is not known"));
    assert_eq!(
        because(&found, "home", "materials.sums_complete"),
        "it is not known what is given off by bead, so no sum is the whole"
    );
}

#[test]
fn a_room_that_no_fresh_air_reaches_has_no_number() {
    let given = Given::default().number("spaces.bed", "ventilation.fresh_air", Flow::from_si(0.0));
    let found = run(&home(two_sources(), json!({})), &given);
    assert!(
        because(&found, "air.bed-formaldehyde", "materials.concentration")
            .starts_with("no fresh air reaches spaces.bed")
    );
}

#[test]
fn a_finish_without_factors_is_unknown_not_clean() {
    let finishes = json!({
        "floor": {"category": "wood-flooring", "in": "bed", "emissions": {"formaldehyde": "3 µg/(m²·h)"}},
        "primer": {"category": "primer", "in": "bed"},
        "glue": {"category": "wood-flooring-adhesive", "in": "bed", "tested_with": "floor"},
        "siding-paint": {"category": "flat", "indoors": false},
    });
    let found = run(&home(finishes, json!({})), &Given::usual());
    close(number(&found, "air.bed-formaldehyde", "materials.unknown_sources", ""), 1.0, 0.0);
    assert!(because(&found, "air.bed-formaldehyde", "materials.all_sources_known").starts_with("it is not known"));
    let why = because(&found, "home", "materials.sums_complete");
    assert_eq!(why, "it is not known what is given off by primer, so no sum is the whole");
    assert_eq!(
        because(&found, "finishes.primer", "materials.emissions_known"),
        "finishes.primer has no emission factors"
    );
    assert!(flag(&found, "finishes.glue", "materials.emissions_known"));
    assert!(flag(&found, "finishes.siding-paint", "materials.emissions_known"));
}

#[test]
fn the_home_says_once_whether_its_sums_are_the_whole() {
    assert!(flag(&run(&home(two_sources(), json!({})), &Given::usual()), "home", "materials.sums_complete"));
    let found = run(&home(json!({}), json!({})), &Given::usual());
    assert_eq!(because(&found, "home", "materials.sums_complete"), "the home names no finishes");
}

/// Shelves of 8 m² in the bedroom's closet: nobody stays there, and what they give off comes out into the bedroom.
#[test]
fn a_closet_is_in_the_air_of_its_room() {
    let finishes = json!({
        "floor": {"category": "wood-flooring", "in": ["bed", "closet"], "emissions": {"formaldehyde": "3 µg/(m²·h)"}},
        "shelves": {"category": "shelving", "in": "closet", "area": "8 m²",
            "emissions": {"formaldehyde": "5 µg/(m²·h)"}},
    });
    let mut home = serde_json::to_value(home(finishes, json!({}))).unwrap();
    home["spaces"]["closet"] =
        json!({"use": "closet", "in": "A", "floor_area": "2 m²", "height": "2.5 m", "opens_to": "bed"});
    let found = run(&serde_json::from_value(home).unwrap(), &Given::usual());
    let c = number(&found, "air.bed-formaldehyde", "materials.concentration", "µg/m³");
    close(c, (3.0 * 12.0 + 5.0 * 8.0) / 10.0, 1e-9);
    assert!(found.facts.iter().all(|fact| !fact.subject.as_str().starts_with("air.closet")));
}

/// Half of the respiratory level of formaldehyde and a quarter of acetaldehyde's, both held over the year.
#[test]
fn the_hazard_index_adds_by_organ() {
    let finishes = json!({"floor": {"category": "wood-flooring", "in": "bed",
        "emissions": {"formaldehyde": "4.5 µg/(m²·h)", "acetaldehyde": "35 µg/(m²·h)", "styrene": "9 µg/(m²·h)"}}});
    let found = run(&home(finishes, json!({})), &Given::usual());
    close(number(&found, "air.bed", "materials.hazard_index", ""), 0.75, 1e-9);
    assert_eq!(text(&found, "air.bed", "materials.hazard_organ"), "respiratory");
}

#[test]
fn twice_the_air_halves_every_concentration() {
    let home = home(two_sources(), json!({}));
    let once = run(&home, &Given::usual());
    let twice = Given::default().zones(&[("living", 60.0), ("bed", 20.0)], &[]).number(
        "home",
        "ventilation.delivered_flow",
        flow(160.0),
    );
    let twice = run(&home, &twice);
    for subject in ["air.living-formaldehyde", "air.bed-formaldehyde", "air.home-toluene"] {
        for quantity in
            ["materials.concentration", "materials.concentration_move_in", "materials.concentration_one_year"]
        {
            let (a, b) = (number(&once, subject, quantity, "µg/m³"), number(&twice, subject, quantity, "µg/m³"));
            close(b, a / 2.0, 1e-12);
        }
    }
}

/// Numbers too large to reckon with leave facts out; none of them becomes a number that is not finite.
#[test]
fn an_absurd_area_gives_no_number() {
    let finishes = json!({"floor": {"category": "wood-flooring", "in": "bed", "area": "1e308 m²",
        "emissions": {"formaldehyde": "1e30 kg/(m²·s)"}}});
    let found = run(&home(finishes, json!({})), &Given::usual());
    for fact in &found.facts {
        assert!(
            fact.value.number().is_none_or(|number| number.si.is_finite()),
            "{} of {}",
            fact.quantity,
            fact.subject
        );
    }
    assert!(because(&found, "air.bed-formaldehyde", "materials.concentration").contains("no finite balance"));
}

/// Fans bring 30 m³/h to the bedroom, which pass through the living room on their way out: the living room's air has what
/// both give off, the bedroom's its own only. By hand.
#[test]
fn a_room_receives_what_others_pass_on() {
    let given = Given::default().zones(&[("bed", 30.0), ("living", 0.0)], &[("bed", "living", 30.0)]);
    let found = run(&home(two_sources(), json!({})), &given.number("home", "ventilation.delivered_flow", flow(30.0)));
    let c = |subject: &str| number(&found, subject, "materials.concentration", "µg/m³");
    close(c("air.bed-formaldehyde"), 30.0 / 30.0, 1e-9);
    close(c("air.living-formaldehyde"), (30.0 + 150.0) / 30.0, 1e-9);
    close(c("air.living-toluene"), 1.0, 1e-9);
    assert_eq!(found.facts.iter().filter(|fact| fact.subject.as_str() == "air.bed-toluene").count(), 0);
    // The floor gives off 30 in the bedroom and 90 in the living room, the boxes 60.
    close(number(&found, "air.living-formaldehyde", "materials.source_share", "%"), 200.0 / 3.0, 1e-9);
}

/// What is not known of a room is not known of those that its air gets to.
#[test]
fn an_unknown_source_is_unknown_downstream() {
    let given = || Given::default().zones(&[("bed", 30.0), ("living", 10.0)], &[("bed", "living", 30.0)]);
    let mut finishes = two_sources();
    finishes["paint"] = json!({"category": "flat-coating", "in": "bed", "area": "30 m²"});
    let found = run(&home(finishes, json!({})), &given());
    assert!(because(&found, "air.living-formaldehyde", "materials.all_sources_known").starts_with("it is not known"));
    let mut finishes = two_sources();
    finishes["late"] = json!({"category": "carpet", "in": "bed", "tested_at": "28 d",
        "emissions": {"toluene": "1 µg/(m²·h)"}});
    let found = run(&home(finishes, json!({})), &given());
    assert!(because(&found, "air.living-toluene", "materials.concentration").contains("measured at 28 days"));
}

/// Mass is conserved on any flows: what all finishes give off leaves with the air that goes outdoors. 200 homes of ten
/// rooms with random flows between them; what leaves a room is what comes in and is not passed on.
#[test]
fn all_that_is_given_off_is_carried_away() {
    let mut state = 11_u64;
    let mut random = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let names: Vec<String> = (0..10).map(|k| format!("room-{k}")).collect();
    for _ in 0..200 {
        let mut body = serde_json::to_value(home(json!({}), json!({}))).unwrap();
        let mut given_off = 0.0;
        for name in &names {
            body["spaces"][name] = json!({"use": "bedroom", "in": "A", "floor_area": "10 m²", "height": "2.5 m"});
            let factor = 1.0 + 20.0 * random();
            given_off += factor * 10.0;
            body["finishes"][format!("floor-of-{name}")] = json!({"category": "wood-flooring", "in": name,
                "emissions": {"formaldehyde": format!("{factor} µg/(m²·h)")}});
        }
        // Every room gets outdoor air; what it passes on is a share of what comes into it, in the order of the rooms.
        let outdoor: Vec<f64> = names.iter().map(|_| 1.0 + 40.0 * random()).collect();
        let (mut entering, mut passed) = (outdoor.clone(), vec![0.0; names.len()]);
        let mut airways = Vec::new();
        for from in 0..names.len() {
            for to in from + 1..names.len() {
                if random() < 0.3 {
                    let flow = 0.3 * random() * (entering[from] - passed[from]);
                    airways.push((names[from].as_str(), names[to].as_str(), flow));
                    passed[from] += flow;
                    entering[to] += flow;
                }
            }
        }
        let zones: Vec<(&str, f64)> = names.iter().map(String::as_str).zip(outdoor).collect();
        let found = run(&serde_json::from_value(body).unwrap(), &Given::default().zones(&zones, &airways));
        let carried: f64 = names
            .iter()
            .zip(entering.iter().zip(&passed))
            .map(|(name, (entering, passed))| {
                let subject = format!("air.{name}-formaldehyde");
                (entering - passed) * number(&found, &subject, "materials.concentration", "µg/m³")
            })
            .sum();
        close(carried, given_off, 1e-9 * given_off);
    }
}
