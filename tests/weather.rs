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
