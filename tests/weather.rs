//! A year of weather beside a home: it runs in a check, and what is wrong with the file is told at the home's line.

use mateline_tests::{Copy, check_file, example, number};

/// Sparrow Court with changes to its home and to its weather; what the check says against it.
fn problems(home: impl Fn(String) -> String, weather: impl Fn(String) -> String) -> Vec<String> {
    let copy = Copy::of("sparrow-court");
    let csv = copy.home().with_file_name("weather").join("greensboro.csv");
    for (path, changed) in [
        (copy.home(), home(std::fs::read_to_string(copy.home()).unwrap())),
        (csv.clone(), weather(std::fs::read_to_string(&csv).unwrap())),
    ] {
        std::fs::write(path, changed).unwrap();
    }
    let bad = check_file(&copy.home()).err();
    let said = |bad: mateline_engine::BadInput| {
        let place = |problem: &mateline_engine::load::Diagnosis| bad.place(problem.at).line;
        bad.problems.iter().map(|problem| format!("{} {}", place(problem), problem.message)).collect()
    };
    bad.map_or_else(Vec::new, said)
}

#[test]
fn bad_weather_is_told_by_row_and_column_where_the_home_names_it() {
    let text = std::fs::read_to_string(example("sparrow-court")).unwrap();
    let line = text.lines().position(|line| line.starts_with("weather:")).unwrap() + 1;
    let same = |text: String| text;
    let row = |number: usize, from: &'static str, to: &'static str| {
        move |text: String| {
            let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
            assert!(lines[number - 1].contains(from), "{}", lines[number - 1]);
            lines[number - 1] = lines[number - 1].replace(from, to);
            lines.join("\n")
        }
    };
    let home = |from: &'static str, to: &'static str| {
        move |text: String| {
            assert!(text.contains(from), "{from}");
            text.replace(from, to)
        }
    };
    let cases = [
        (problems(same, row(200, ",0,0,0", ",700,0,0")), "row 200, ghi: 700 W/m² at night"),
        (problems(same, row(12, "01-01 01:00,10", "01-01 01:00,x")), "row 12, temperature: 'x' is no number"),
        (problems(same, |text: String| text.replace("# zone: -5", "# zone: 1")), "the middle of the sunshine stands"),
        (
            problems(home("latitude: 36.1 °", "latitude: 44.5 °"), same),
            "it is of latitude 36.10°, and the site is at 44.50°",
        ),
        (problems(home("elevation: 895 ft", "elevation: 5200 ft"), same), "it is of a place 896 ft above the sea"),
    ];
    for (told, said) in cases {
        assert!(told.iter().all(|one| one.starts_with(&format!("{line} 'weather/greensboro.csv': "))), "{told:?}");
        assert!(told.iter().any(|one| one.contains(said)), "{said}: {told:?}");
    }
    let gone = problems(home("greensboro.csv}", "gone.csv}"), same);
    assert_eq!(gone, [format!("{line} cannot read 'weather/gone.csv': there is no such file")]);
    let outside = problems(home("weather/greensboro.csv}", "../greensboro.csv}"), same);
    assert_eq!(outside, [format!("{line} '../greensboro.csv' is not a path inside the project folder")]);
}

/// The file is among what the report was made from, so that a record holds its hash, and it moves what it should: needs,
/// and peaks that mean days do not have.
#[test]
fn the_weather_file_is_an_input_like_others() {
    let with = check_file(&example("sparrow-court")).unwrap();
    assert!(with.sources.contains_key("weather/greensboro.csv"));
    // Held at 20 °C, the home loses at −16.7 °C, the coldest hour of the file, no more than this and 5 % to a clear sky.
    let peak = number(&with, "home", "energy.peak_heating");
    let each = number(&with, "home", "energy.envelope_loss") + number(&with, "home", "energy.air_loss");
    assert!(peak > 0.6 * 36.7 * each && peak < 1.05 * 36.7 * each, "{peak} W, {each} W/K");
    let fact = with.facts.get(&"home".into(), "energy.hourly_heating_need").unwrap();
    assert!(fact.basis.assumptions.iter().any(|said| said.contains("GREENSBORO")), "{:?}", fact.basis.assumptions);
}

/// What is used, made, bought and sold closes: months make the year, parts make the whole, and each kilowatt-hour is counted
/// once. Performance lies between that of the points at which the machines were rated and what backup gives.
#[test]
fn the_years_energy_closes() {
    let report = check_file(&example("sparrow-court")).unwrap();
    let of = |quantity: &str| number(&report, "home", &format!("energy.{quantity}"));
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-6 * b.abs().max(1.0), "{a} beside {b}");
    let months = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let sum: f64 = months.iter().map(|month| number(&report, &format!("months.{month}"), "energy.electricity")).sum();
    close(sum, of("electricity"));
    let parts = ["heating_use", "cooling_use", "hot_water_use", "fan_use", "appliance_use", "dryer_use"];
    close(parts.iter().map(|part| of(part)).sum(), of("electricity"));
    close(of("imported") + of("self_use"), of("electricity"));
    close(of("exported") + of("self_use"), of("solar_yield"));
    close(of("delivered"), of("electricity") + of("fuel"));
    let brought = of("heat_pump_heat") + of("backup_heat") + of("unmet_heat");
    close(brought, of("heating_performance") * of("heating_use"));
    assert!(brought > of("hourly_heating_need") && brought < 1.6 * of("hourly_heating_need"));
    assert!((1.0..4.5).contains(&of("heating_performance")), "{}", of("heating_performance"));
    close(of("hourly_cooling_need"), of("cooling_performance") * of("cooling_use"));
    // 0.14 $/kWh from the grid, 0.04 $/kWh to it, 0.38 kg/kWh.
    close(of("cost"), (0.14 * of("imported") - 0.04 * of("exported")) / 3.6e6);
    close(of("carbon"), 0.38 * of("imported") / 3.6e6);
    close(of("zero_power"), 5_200.0 * of("delivered") / of("solar_yield"));
}

/// Without what says how a machine works nothing is made up: its use and every sum wait, and say for what.
#[test]
fn a_machine_that_is_not_described_uses_nothing_that_could_be_told() {
    let missing = |from: &str, to: &str, quantity: &str| {
        let copy = Copy::of("sparrow-court");
        let text = std::fs::read_to_string(copy.home()).unwrap();
        assert!(text.contains(from), "{from}");
        std::fs::write(copy.home(), text.replace(from, to)).unwrap();
        let report = check_file(&copy.home()).unwrap_or_else(|bad| panic!("{bad}"));
        let why = |quantity: &str| {
            let it = |one: &&mateline_model::Missing| one.subject.as_str() == "home" && one.quantity == quantity;
            report.missing.iter().find(it).map(|one| one.because.clone())
        };
        assert_eq!(why(quantity), why("energy.electricity"));
        why(quantity).unwrap_or_default()
    };
    let told = [
        ("    backup: 1.5 kW\n", "", "energy.heating_use", "systems.heating.backup is not given"),
        ("    uef: 3.4\n", "", "energy.hot_water_use", "systems.hot_water.uef is not given"),
        ("power: 180 kWh/yr}", "}", "energy.dryer_use", "systems.clothes_dryer.power is not given"),
        ("      power: 46 W\n", "", "energy.fan_use", "systems.ventilation.unit.power is not given"),
    ];
    for (from, to, quantity, said) in told {
        let why = missing(from, to, quantity);
        assert!(why.contains(said), "{quantity}: {why}");
    }
}

/// Blinds and night air only cool: fewer warm hours and less to take out; of heat no less has to be brought in, and less more
/// than is saved.
#[test]
fn blinds_and_night_air_cool() {
    let of = |from: &str, to: &str| {
        let copy = Copy::of("sparrow-court");
        let text = std::fs::read_to_string(copy.home()).unwrap();
        assert!(text.contains(from), "{from}");
        std::fs::write(copy.home(), text.replace(from, to)).unwrap();
        let report = check_file(&copy.home()).unwrap_or_else(|bad| panic!("{bad}"));
        ["warm_hours", "hourly_cooling_need", "hourly_heating_need"]
            .map(|name| number(&report, "home", &format!("energy.{name}")))
    };
    let bare = of("revision: {id: A", "revision: {id: B");
    let blinds = of("overhang_above: 12 in}", "overhang_above: 12 in, blind: 25 %}");
    let night = of("  efficient_lights: true\n", "  efficient_lights: true\n  night_air: 250 cfm\n");
    for [warm, cooling, heating] in [blinds, night] {
        assert!(warm < 0.98 * bare[0] && cooling < 0.98 * bare[1], "{warm}, {cooling} of {bare:?}");
        assert!(heating >= bare[2] - 1.0 && heating - bare[2] < bare[1] - cooling, "{heating}, {cooling} of {bare:?}");
    }
}
