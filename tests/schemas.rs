//! The schemas people's editors use: kept current, and in agreement with what is loaded.

use mateline_tests::{example, root};
use serde_json::Value;

fn kept(name: &str) -> String {
    std::fs::read_to_string(root().join("schemas").join(name)).unwrap_or_default()
}

/// Compares a generated file with the one in the repository; `MATELINE_BLESS=1` writes it instead.
fn current(name: &str, generated: &str) {
    if std::env::var_os("MATELINE_BLESS").is_some() {
        std::fs::write(root().join("schemas").join(name), generated).unwrap();
    }
    assert!(kept(name) == generated, "schemas/{name} is stale; write it with MATELINE_BLESS=1 cargo test");
}

#[test]
fn the_schemas_are_current() {
    current("home.schema.json", &mateline_engine::schemas::home());
    current("pack.schema.json", &mateline_engine::schemas::pack());
    current("plugin-handshake.schema.json", &mateline_engine::schemas::plugin_handshake());
    current("plugin-request.schema.json", &mateline_engine::schemas::plugin_request());
    current("plugin-response.schema.json", &mateline_engine::schemas::plugin_response());
    current("FIELDS.md", &mateline_engine::load::keys_as_markdown());
    let report = serde_json::to_string_pretty(&mateline_reports::json::schema()).unwrap() + "\n";
    current("report.schema.json", &report);
    let homes = serde_json::to_string_pretty(&mateline_reports::homes::schema()).unwrap() + "\n";
    current("homes.schema.json", &homes);
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
    let home: Value = serde_json::from_str(&mateline_engine::schemas::home()).unwrap();
    let validator = jsonschema::validator_for(&home).unwrap();
    for name in ["heron-lane", "willow-pair", "starter"] {
        // An included file holds only some sections, so the whole is validated as mateline reads it.
        let loaded = mateline_tests::engine().load(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        let tree = loaded.tree.to_json();
        let errors: Vec<String> = validator.iter_errors(&tree).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{name}: {errors:#?}");
    }
    let pack: Value = serde_json::from_str(&mateline_engine::schemas::pack()).unwrap();
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
    let home: Value = serde_json::from_str(&mateline_engine::schemas::home()).unwrap();
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
    let handshakes = validator(mateline_engine::schemas::plugin_handshake());
    let requests = validator(mateline_engine::schemas::plugin_request());
    let responses = validator(mateline_engine::schemas::plugin_response());
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
            let request = mateline_sdk::Request { home: &home, facts: &facts, settings: &[] };
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
