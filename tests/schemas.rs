//! The schemas people's editors use: kept current, and in agreement with what is loaded.

use mateline_engine::schemas::{self, Known};
use mateline_tests::{example, root};
use serde_json::Value;
use std::sync::OnceLock;

fn kept(name: &str) -> String {
    std::fs::read_to_string(root().join("schemas").join(name)).unwrap_or_default()
}

/// The names that the schemas of editors know.
fn known() -> Known<'static> {
    static NAMES: OnceLock<(Vec<&str>, Vec<&str>)> = OnceLock::new();
    let (materials, packs) = NAMES.get_or_init(|| {
        let packs = mateline_rules::PACKS.iter().map(|(id, _)| *id).filter(|id| !mateline_rules::ASKING.contains(id));
        (mateline_plugins::materials().keys().map(AsRef::as_ref).collect(), packs.collect())
    });
    Known { materials, packs }
}

fn home() -> String {
    schemas::home(known())
}

/// Compares a generated file with the one in the repository; `MATELINE_BLESS=1` writes it instead.
fn current(name: &str, generated: &str) {
    if std::env::var_os("MATELINE_BLESS").is_some() {
        std::fs::write(root().join("schemas").join(name), generated).unwrap();
    }
    assert!(kept(name) == generated, "schemas/{name} is stale; write it with MATELINE_BLESS=1 cargo test");
}

/// A statement that a home does not make is neither yes nor no, unless its field says what leaving it out means.
#[test]
fn no_flag_of_a_home_is_taken_for_said() {
    let schema: Value =
        serde_json::from_str(&std::fs::read_to_string(root().join("schemas/home.schema.json")).unwrap()).unwrap();
    let (mut flags, mut silent) = (0, Vec::new());
    let definitions = schema["$defs"].as_object().unwrap();
    for (of, definition) in definitions.iter().chain([(&"home".to_owned(), &schema)]) {
        for (name, field) in definition["properties"].as_object().into_iter().flatten() {
            let is_flag = field["type"] == "boolean"
                || field["type"].as_array().is_some_and(|all| all.contains(&"boolean".into()));
            flags += usize::from(is_flag);
            if is_flag && field.get("default").is_some_and(Value::is_boolean) && field.get("x-absent").is_none() {
                silent.push(format!("{of}.{name}"));
            }
        }
    }
    assert!(flags > 60, "{flags}");
    assert!(silent.is_empty(), "{silent:?}");
}

#[test]
fn the_schemas_are_current() {
    current("home.schema.json", &home());
    current("home-part.schema.json", &schemas::home_part(known()));
    current("pack.schema.json", &schemas::pack());
    current("plugin-handshake.schema.json", &schemas::plugin_handshake());
    current("plugin-request.schema.json", &schemas::plugin_request());
    current("plugin-response.schema.json", &schemas::plugin_response());
    current("FIELDS.md", &mateline_engine::load::keys_as_markdown());
    let report = serde_json::to_string_pretty(&mateline_reports::json::schema()).unwrap() + "\n";
    current("report.schema.json", &report);
    let homes = serde_json::to_string_pretty(&mateline_reports::homes::schema()).unwrap() + "\n";
    current("homes.schema.json", &homes);
    let comparisons = serde_json::to_string_pretty(&mateline_reports::comparison::homes_schema()).unwrap() + "\n";
    current("comparisons.schema.json", &comparisons);
    let since = serde_json::to_string_pretty(&mateline_reports::since::schema()).unwrap() + "\n";
    current("since.schema.json", &since);
}

/// What a reader of a format meets: every key of every object, with what stands there, whatever its description says.
fn shape(name: &str, number: u32, schema: &Value) -> String {
    let mut lines = vec![format!("{name} {number}")];
    let inner = schema["$defs"].as_object().unwrap();
    for (of, object) in std::iter::once((&"".to_owned(), schema)).chain(inner) {
        for (key, what) in object["properties"].as_object().into_iter().flatten() {
            let mut what = what.clone();
            what.as_object_mut().unwrap().shift_remove("description");
            lines.push(format!("{of}.{key}: {what}"));
        }
        for word in object["oneOf"].as_array().into_iter().flatten() {
            lines.push(format!("{of}: {}", word["const"]));
        }
    }
    lines.join("\n") + "\n"
}

/// What is added to a format raises its number, so that a reader can tell.
#[test]
fn a_format_that_changes_has_another_number() {
    let report = mateline_reports::json::SCHEMA_VERSION;
    let comparison = mateline_reports::comparison::SCHEMA_VERSION;
    for (name, number, schema) in [
        ("report", report, mateline_reports::json::schema()),
        ("homes", report, mateline_reports::homes::schema()),
        ("comparison", comparison, mateline_reports::comparison::schema()),
        (
            "comparisons",
            mateline_reports::comparison::HOMES_SCHEMA_VERSION,
            mateline_reports::comparison::homes_schema(),
        ),
        ("since", mateline_reports::since::SCHEMA_VERSION, mateline_reports::since::schema()),
    ] {
        let path = root().join(format!("tests/golden/formats/{name}.txt"));
        let shape = shape(name, number, &serde_json::to_value(schema).unwrap());
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        let same_number = kept.lines().next() == shape.lines().next();
        if std::env::var_os("MATELINE_BLESS").is_some() && !same_number {
            std::fs::write(&path, &shape).unwrap();
        } else {
            assert!(kept == shape, "{name}.schema.json has changed: raise its number, then MATELINE_BLESS=1");
        }
    }
}

/// YAML to JSON, by the crate rather than by our own loader.
fn json(text: &str) -> Value {
    serde_yaml::from_str(text).unwrap()
}

#[test]
fn the_schema_accepts_every_example_and_every_pack() {
    let home: Value = serde_json::from_str(&home()).unwrap();
    let validator = jsonschema::validator_for(&home).unwrap();
    for name in ["heron-lane", "willow-pair", "starter"] {
        // An included file holds only some sections, so the whole is validated as mateline reads it.
        let loaded = mateline_tests::engine().load(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        let tree = loaded.tree.to_json();
        let errors: Vec<String> = validator.iter_errors(&tree).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{name}: {errors:#?}");
    }
    let pack: Value = serde_json::from_str(&schemas::pack()).unwrap();
    let validator = jsonschema::validator_for(&pack).unwrap();
    for (id, text) in mateline_rules::PACKS {
        let errors: Vec<String> =
            validator.iter_errors(&json(text)).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{id}: {errors:#?}");
    }
}

/// What the loader refuses by shape, the editor's schema refuses too.
#[test]
fn the_schema_refuses_what_the_loader_refuses() {
    let home: Value = serde_json::from_str(&home()).unwrap();
    let validator = jsonschema::validator_for(&home).unwrap();
    let base = "home: H\nrevision: {id: A, date: 2026-10-05}\nsite: {place: P, climate_zone: 6A}\nmodules: {A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 40 ft, y: 13 ft, z: 9 ft}}}\n";
    assert!(validator.is_valid(&json(base)));
    for wrong in [
        base.replace("6A", "9Z"),
        base.replace("level: 1", "level: one"),
        base.replace("place: P", "plaice: P"),
        base.replace("z: 9 ft", "z: 9"),
        base.replace("2026-10-05", "5 October"),
        base.replace("home: H\n", ""),
    ] {
        assert!(!validator.is_valid(&json(&wrong)), "{wrong}");
    }
}

/// An included part needs no home, and knows every key all the same.
#[test]
fn a_part_of_a_home_is_valid_by_itself() {
    let part: Value = serde_json::from_str(&schemas::home_part(known())).unwrap();
    let validator = jsonschema::validator_for(&part).unwrap();
    for file in ["openings", "systems", "finishes", "records", "rates"] {
        let text = std::fs::read_to_string(root().join(format!("examples/heron-lane/{file}.yaml"))).unwrap();
        let faults: Vec<String> =
            validator.iter_errors(&json(&text)).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(faults.is_empty(), "{file}: {faults:#?}");
    }
    assert!(!validator.is_valid(&json("openingz: {}")));
}

/// The form of a value in the editor's schema: whatever the loader reads fits it; a missing, another or a misspelt unit does
/// not.
#[test]
fn the_pattern_of_a_unit_takes_what_the_loader_reads() {
    use mateline_engine::schemas::pattern;
    use mateline_model::quantity::{ATOMS, Dimension, TYPES, parse};
    let numbers = ["5", "-8", "0.30", "1e-3", "1/2", "5 1/2", "5-1/2", "9½", "½", "+2", "− 3", ".5"];
    let together = [
        "Btu/(h·ft²·°F)",
        "Btu/(h*ft2*F)",
        "W/(m²·K)",
        "m²·K/W",
        "h·ft²·°F/Btu",
        "cfm/ft²",
        "L/(s·m²)",
        "µg/(m²·h)",
        "ng/(Pa·s·m²)",
        "kWh/(m²·d)",
        "$/yd³",
        "ft²",
        "m^2",
        "lb/ft3",
        "°F·d",
        "J/(kg·K)",
        "m³/(s·W)",
        "pCi/L",
        "Btu·in/(h·ft²·°F)",
        "ft2",
        "m3",
    ];
    let units: Vec<&str> = ATOMS
        .iter()
        .flat_map(|(name, others, _)| [*name].into_iter().chain(others.iter().copied()))
        .chain(together)
        .collect();
    let patterns: Vec<(Dimension, jsonschema::Validator)> = TYPES
        .iter()
        .filter_map(|(_, dimension)| Some((*dimension, pattern(*dimension)?)))
        .map(|(dimension, pattern)| {
            (dimension, jsonschema::validator_for(&serde_json::json!({"pattern": pattern})).unwrap())
        })
        .collect();
    let (mut read, mut refused) = (0, 0);
    let mut texts: Vec<String> =
        numbers.iter().flat_map(|number| units.iter().map(move |unit| format!("{number} {unit}"))).collect();
    texts.extend(
        ["13 ft 9 in", "13'-9 1/2\"", "13' 9\"", "5 lb 3 oz", "R-13", "R 13", "RSI 2.3", "R13", " 5 in ", "5in"]
            .map(str::to_owned),
    );
    for text in &texts {
        let Ok(quantity) = parse(text) else { continue };
        for (dimension, validator) in &patterns {
            let fits = validator.is_valid(&Value::String(text.clone()));
            if *dimension == quantity.dimension {
                assert!(fits, "'{text}' is read, but fits no pattern of {dimension}");
                read += 1;
            } else if !text.contains(['/', '·', '*', '^', '²', '³', '(']) && !text.ends_with(['2', '3']) {
                assert!(!fits, "'{text}' fits the pattern of {dimension}");
                refused += 1;
            }
        }
    }
    assert!(read > 1000 && refused > 10_000, "{read} {refused}");
    let length = &patterns.iter().find(|(dimension, _)| *dimension == Dimension::LENGTH).unwrap().1;
    for wrong in ["5", "5 foots", "ft", "", "5 lb", "five in", "5 ft 3"] {
        assert!(!length.is_valid(&Value::String(wrong.to_owned())), "{wrong}");
    }
}

/// An editor offers the materials and packs that come with mateline, and takes others.
#[test]
fn the_schema_knows_materials_and_packs() {
    let schema: Value = serde_json::from_str(&home()).unwrap();
    let names = |of: &str| schema["$defs"][of]["anyOf"][0]["enum"].as_array().unwrap().clone();
    assert!(names("MaterialName").contains(&"osb".into()) && names("PackName").contains(&"energy-code-2021@1".into()));
    assert_eq!(schema["$defs"]["Layer"]["properties"]["material"]["anyOf"][0]["$ref"], "#/$defs/MaterialName");
    assert_eq!(schema["properties"]["judge_by"]["items"]["$ref"], "#/$defs/PackName");
}

/// The JSON report is what its schema says.
#[test]
fn the_report_of_every_example_follows_its_schema() {
    let schema = serde_json::to_value(mateline_reports::json::schema()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for name in ["heron-lane", "willow-pair", "starter"] {
        let report = mateline_tests::check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        let json = serde_json::to_value(mateline_reports::json::report(&report, mateline_reports::VERSION)).unwrap();
        let errors: Vec<String> = validator.iter_errors(&json).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{name}: {errors:#?}");
    }
}

/// What crosses the plugin boundary for every built-in plugin and example is what the messages' schemas say, and comes
/// back as it went.
#[test]
fn the_messages_of_plugins_follow_their_schemas() {
    use mateline_sdk::message::{Handshake, RunRequest, RunResponse, read_response};
    let validator = |schema: String| jsonschema::validator_for(&serde_json::from_str(&schema).unwrap()).unwrap();
    let handshakes = validator(schemas::plugin_handshake());
    let requests = validator(schemas::plugin_request());
    let responses = validator(schemas::plugin_response());
    let holds = |validator: &jsonschema::Validator, message: Value, what: &str| {
        let errors: Vec<String> =
            validator.iter_errors(&message).map(|e| format!("{}: {e}", e.instance_path())).take(5).collect();
        assert!(errors.is_empty(), "{what}: {errors:#?}");
    };
    for name in ["heron-lane", "willow-pair", "starter"] {
        let report = mateline_tests::check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        for plugin in mateline_plugins::built_in() {
            let declaration = plugin.declaration();
            let said = Handshake::of(&declaration);
            let what = format!("{} on {name}", said.name);
            assert_eq!(Handshake::read(&serde_json::to_vec(&said).unwrap()), Ok(said.clone()), "{what}");
            holds(&handshakes, serde_json::to_value(&said).unwrap(), &what);
            let home = report.home.only(declaration.sections);
            let facts = report.facts.of_namespaces(declaration.reads);
            let request = mateline_sdk::Request { home: &home, facts: &facts, settings: &[], shown: true };
            let message = RunRequest::of(&request).unwrap();
            holds(&requests, serde_json::to_value(&message).unwrap(), &what);
            let opened = message.open().unwrap_or_else(|why| panic!("{what}: {why}"));
            assert!(opened.home == home, "{what}: the home comes back as it went");
            let findings = plugin.run(&request).unwrap();
            let response = RunResponse::of(&findings).unwrap();
            holds(&responses, serde_json::to_value(&response).unwrap(), &what);
            let back =
                read_response(&serde_json::to_vec(&response).unwrap()).unwrap_or_else(|why| panic!("{what}: {why}"));
            // Debug text tells two numbers apart by every bit, and takes a NaN for itself.
            let (went, came) = (format!("{findings:#?}"), format!("{back:#?}"));
            let differ = went.lines().zip(came.lines()).find(|(went, came)| went != came);
            assert!(went == came, "{what}: the findings come back as they went, but for {differ:?}");
        }
    }
}
