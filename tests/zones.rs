//! Zones of the home through the hours: levels, and bedrooms apart, of which rooms are told how warm they get. Frost protection
//! of the recovery through the same hours, and the levers that reach the year's energy.

use mateline_model::Report;
use mateline_tests::{Copy, check_file, number};

/// Sparrow Court with texts replaced, each of which it holds.
fn sparrow(replacements: &[(&str, &str)]) -> Report {
    check_file(&Copy::edited("sparrow-court", replacements).home()).unwrap_or_else(|bad| panic!("{bad}"))
}

/// Bedrooms look north and east, the living rooms south: each zone has one figure for all of its rooms, and theirs lie on the
/// two sides of the home's. Glass in a bedroom warms the bedrooms most, and others no more than the home. A home of one level
/// without bedrooms is one zone, which goes as the home does. First principles.
#[test]
fn a_room_is_told_of_its_own_zone() {
    let warm = |report: &Report, subject: &str| number(report, subject, "energy.highest_temperature");
    let report = sparrow(&[]);
    let of = |report: &Report| ["spaces.living", "spaces.bedroom-1", "home"].map(|subject| warm(report, subject));
    let [living, bedroom, home] = of(&report);
    assert_eq!(living, warm(&report, "spaces.hall"));
    assert_eq!(bedroom, warm(&report, "spaces.bedroom-2"));
    assert!(living.min(bedroom) < home && home < living.max(bedroom), "{home} of {living} and {bedroom}");
    assert!((living - bedroom).abs() < 6.0, "rooms of one home: {living} and {bedroom}");
    let glass = "width: 3 ft, count: 1, shgc: 0.25, space: bedroom-2";
    let [living_then, bedroom_then, home_then] = of(&sparrow(&[(glass, &glass.replace("0.25", "0.60"))]));
    assert!(bedroom_then - bedroom > 1.2 * (home_then - home), "{bedroom_then} of {bedroom}, {home_then} of {home}");
    assert!(living_then - living < home_then - home, "{living_then} of {living}");
    let one = sparrow(&[("{use: bedroom, ", "{use: hobby, ")]);
    for quantity in ["energy.highest_temperature", "energy.warm_hours"] {
        let [room, whole] = ["spaces.living", "home"].map(|subject| number(&one, subject, quantity));
        assert!((room - whole).abs() < 1e-6 * whole, "{quantity}: {room} and {whole}");
    }
}

/// A home that is within the limit as one while rooms of it are not is told of these rooms, and of no other; of one zone all
/// rooms go as the home does. The pack's own rules, with a limit between the two in the place of theirs.
#[test]
fn a_mean_hides_no_warm_room() {
    let of = |share: &str, replacements: &[(&str, &str)]| {
        let own = [
            ("fresh-air]", "fresh-air, ./ours.yaml]"),
            ("  cooling:\n    kind: heat-pump", "  cooling:\n    kind: none"),
        ];
        let copy = Copy::edited("sparrow-court", &[own.as_slice(), replacements].concat());
        let pack = mateline_rules::pack("passive-envelope").unwrap();
        let ours = pack.replacen("pack: passive-envelope", "pack: ours", 1).replace("10 %", share);
        std::fs::write(copy.home().with_file_name("ours.yaml"), ours).unwrap();
        let report = check_file(&copy.home()).unwrap_or_else(|bad| panic!("{bad}"));
        let warm = report.verdicts.iter().filter(|verdict| verdict.rule.starts_with("summer-warmth"));
        let told: Vec<String> = warm
            .filter(|verdict| verdict.outcome != mateline_model::Outcome::NotApplicable)
            .map(|verdict| format!("{} {}", verdict.outcome, verdict.subject))
            .collect();
        told
    };
    let unjudged = sparrow(&[("  cooling:\n    kind: heat-pump", "  cooling:\n    kind: none")]);
    let [home, living] = ["home", "spaces.living"].map(|subject| number(&unjudged, subject, "energy.warm_share"));
    assert!(living > home + 0.002, "{living} of the living rooms, {home} of the home");
    assert_eq!(
        of(&format!("{:.2} %", 50.0 * (home + living)), &[]),
        ["met home", "short spaces.living", "short spaces.kitchen", "met spaces.bedroom-1", "met spaces.bedroom-2"]
    );
    for (share, outcome) in [("30 %", "short"), ("60 %", "met")] {
        let told = of(share, &[("{use: bedroom, ", "{use: hobby, ")]);
        assert!(told.len() > 4 && told.iter().all(|one| one.starts_with(outcome)), "{told:?}");
    }
}

/// Air of the unit warmed to −4 °C in every hour of the file that is colder, read here by itself; 50.2 kWh for 108 m³/h by an
/// independent script with 1,206 J/(m³·K), half of its last digit and the 0.5 % between the two heats of air.
#[test]
fn frost_protection_by_the_hours_of_the_file() {
    let report = sparrow(&[("      power: 46 W", "      preheat_to: 24.8 °F\n      power: 46 W")]);
    let used = number(&report, "home", "energy.frost_use") / 3.6e6;
    let flow = number(&report, "systems.ventilation.unit", "ventilation.unit_flow");
    let file = mateline_tests::root().join("examples/sparrow-court/weather/greensboro.csv");
    let text = std::fs::read_to_string(file).unwrap();
    let rows: Vec<&str> = text.lines().filter(|line| !line.starts_with('#')).collect();
    let column = rows[0].split(',').position(|name| name.starts_with("temperature")).unwrap();
    let hours = rows[1..].iter().map(|row| row.split(',').nth(column).unwrap().parse::<f64>().unwrap());
    let cold: f64 = hours.map(|air| (-4.0 - air).max(0.0)).sum();
    let by_hand = 1_200.0 * flow * cold / 1e3;
    assert!((used / by_hand - 1.0).abs() < 1e-6, "{used} kWh beside {by_hand}");
    let by_script = 50.2 * flow * 3_600.0 / 108.0;
    assert!((used / by_script - 1.0).abs() < 0.007, "{used} kWh beside {by_script}");
    // It is part of the year's electricity, and of the home's own on the performance path.
    let without = sparrow(&[]);
    let more = |subject: &str, quantity: &str| number(&report, subject, quantity) - number(&without, subject, quantity);
    assert!((more("home", "energy.electricity") / 3.6e6 - used).abs() < 1e-6);
    let path = more("references.energy-code-2021", "energy.proposed_source") / 3.6e6;
    assert!((path - 3.16 * used).abs() < 1e-6, "{path}");
    assert_eq!(number(&without, "home", "energy.frost_use"), 0.0);
}

/// What may be changed of glass, shading, air, machine and array moves the year's energy, and the list of levers says so.
#[test]
fn levers_reach_the_years_energy() {
    let levers: serde_json::Value = serde_yaml::from_str(mateline_rules::LEVERS).unwrap();
    let before = sparrow(&[]);
    for (lever, from, to, quantity) in [
        ("window-u-factor", "u_factor: 0.22", "u_factor: 0.17", "energy.heating_need"),
        ("window-shgc", "shgc: 0.40", "shgc: 0.30", "energy.hourly_cooling_need"),
        ("overhang", "{overhang: 24 in,", "{overhang: 36 in,", "energy.hourly_cooling_need"),
        ("recovery", "sensible_recovery: 80 %", "sensible_recovery: 90 %", "energy.heating_need"),
        ("solar-power", "power: 5.2 kW", "power: 6 kW", "energy.solar_yield"),
    ] {
        let moves = levers[lever]["moves"].as_array().unwrap_or_else(|| panic!("there is a lever {lever}"));
        assert!(moves.iter().any(|moved| moved == "energy."), "{lever}");
        let after = sparrow(&[(from, to)]);
        let [now, then] = [&after, &before].map(|report| number(report, "home", quantity));
        assert!((now / then - 1.0).abs() > 1e-4, "{lever}: {quantity} stays {then}");
    }
    // The output of the machine is judged beside a load of the energy plugin.
    let judged = |replacements: &[(&str, &str)]| {
        let judge = [("fresh-air]", "fresh-air, passive-envelope]")];
        let report = sparrow(&[judge.as_slice(), replacements].concat());
        let mut all = report.verdicts.into_iter();
        let verdict = all.find(|verdict| verdict.full_name() == "passive-envelope/heating-output").unwrap();
        verdict.value
    };
    assert_ne!(judged(&[]), judged(&[("output: 12000 Btu/h", "output: 4 kW")]));
    assert_eq!(levers["heating-output"]["field"], "systems.heating.output");
}
