//! The rule packs that come with mateline: one YAML file each, embedded as text.
//!
//! A pack restates requirements: limits with their clause, how sure the value is, what helps when it is missed, and
//! worked examples that `mateline rules test` runs. Nothing is judged here; the engine reads and judges packs, and a
//! pack beside a home is read in the same way. To add a requirement, add an entry to a pack; to add a pack, add a file
//! and a line below.
//!
//! Where a limit is recalled with some doubt (`from memory, med` or `low`), its rule is advice and fails no run.

/// Every pack, by id: the id and the YAML text. A former version that is kept stands as `ID@VERSION`.
///
/// When what a pack asks is changed after it has been published, its `version` is raised, the text as it was goes to
/// `former/ID@VERSION.yaml`, and the one kept before that goes.
pub const PACKS: &[(&str, &str)] = &[
    ("airtightness-targets", include_str!("airtightness-targets.yaml")),
    ("energy-code-2021", include_str!("energy-code-2021.yaml")),
    ("energy-code-2021@1", include_str!("former/energy-code-2021@1.yaml")),
    ("energy-code-2024", include_str!("energy-code-2024.yaml")),
    ("fresh-air", include_str!("fresh-air.yaml")),
    ("healthy-materials", include_str!("healthy-materials.yaml")),
    ("modular-practice", include_str!("modular-practice.yaml")),
    ("moisture-control", include_str!("moisture-control.yaml")),
    ("passive-envelope", include_str!("passive-envelope.yaml")),
    ("passive-envelope@1", include_str!("former/passive-envelope@1.yaml")),
    ("plausible-input", include_str!("plausible-input.yaml")),
    ("residential-code-2021", include_str!("residential-code-2021.yaml")),
    ("residential-code-2024", include_str!("residential-code-2024.yaml")),
    ("zero-energy-ready", include_str!("zero-energy-ready.yaml")),
];

/// Packs that ask of every home whether its values are meant as they stand. No home names them.
pub const ASKING: &[&str] = &["plausible-input"];

/// What may be changed on a home, and in which steps.
pub const LEVERS: &str = include_str!("levers.yaml");

/// The packs as they are now, without former versions.
pub fn current() -> impl Iterator<Item = (&'static str, &'static str)> {
    PACKS.iter().copied().filter(|(id, _)| !id.contains('@'))
}

/// The YAML text of a pack.
pub fn pack(id: &str) -> Option<&'static str> {
    PACKS.iter().find(|(known, _)| *known == id).map(|(_, text)| *text)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

    use super::*;
    use mateline_model::quantity::{Dimension, parse};
    use serde_json::{Map, Value};
    use std::collections::BTreeSet;

    const COMPARATORS: [&str; 6] = ["at_least", "at_most", "between", "one_of", "present", "requires"];

    /// Every marking a limit may carry, and whether a rule with it may fail a run.
    const PROVENANCE: [(&str, bool); 6] = [
        ("looked up", true),
        ("looked up, second-hand", true),
        ("from memory, high", true),
        ("common practice, no source", true),
        ("from memory, med", false),
        ("from memory, low", false),
    ];

    fn read(id: &str) -> Value {
        let text = pack(id).unwrap_or_else(|| panic!("there is a pack {id}"));
        serde_yaml::from_str(text).unwrap_or_else(|error| panic!("{id}: {error}"))
    }

    fn text<'a>(value: &'a Value, key: &str) -> &'a str {
        value.get(key).and_then(Value::as_str).unwrap_or_else(|| panic!("{key} of {value}"))
    }

    /// The rules a pack writes out: its own, and those that stand in place of another's.
    fn written(pack: &Value) -> Map<String, Value> {
        let of = |section: &str| pack.get(section).and_then(Value::as_object).cloned().unwrap_or_default();
        of("rules").into_iter().chain(of("replace")).collect()
    }

    /// Calls `check` with `pack/rule`, the rule, and all rules of the pack, for every rule of every pack.
    fn each_rule(check: impl Fn(&str, &Value, &Map<String, Value>)) {
        for (id, _) in PACKS {
            let pack = read(id);
            let mut all =
                pack.get("extends").and_then(Value::as_str).map(|base| written(&read(base))).unwrap_or_default();
            let own = written(&pack);
            all.extend(own.clone());
            assert!(!all.is_empty(), "{id} has rules");
            for (rule, body) in &own {
                check(&format!("{id}/{rule}"), body, &all);
            }
        }
    }

    fn examples(rule: &Value) -> &[Value] {
        rule.get("examples").and_then(Value::as_array).map_or(&[], Vec::as_slice)
    }

    /// Whether an example ends so; a value on the limit stands for one that is met and one that is short.
    fn ends(example: &Value, outcome: &str) -> bool {
        example.get("on").map_or(example["expect"] == outcome, |_| matches!(outcome, "met" | "short"))
    }

    /// Whether an example is of a climate zone: one given, or one of the table of its values on the limit.
    fn is_of_zone(example: &Value, zone: &str) -> bool {
        let on = &example["on"];
        example["given"]["site.climate_zone"] == zone || (on["by"] == "site.climate_zone" && on.get(zone).is_some())
    }

    /// The quantity texts of a limit: itself, or the rows of its table.
    fn limits(limit: &Value) -> Vec<String> {
        match limit {
            Value::Array(both) => both.iter().flat_map(limits).collect(),
            Value::Object(map) if map.contains_key("by") => map
                .iter()
                .filter(|(key, value)| *key != "by" && *value != "none")
                .flat_map(|(_, v)| limits(v))
                .collect(),
            Value::String(text) => vec![text.clone()],
            Value::Number(number) => vec![number.to_string()],
            _ => Vec::new(),
        }
    }

    #[test]
    fn packs_are_sorted_and_named_like_their_file() {
        assert!(PACKS.is_sorted_by(|(a, _), (b, _)| a < b));
        for (id, _) in PACKS {
            let pack = read(id);
            let version = pack["version"].as_u64().unwrap_or_else(|| panic!("{id} has a version"));
            let (name, kept) = id.split_once('@').map_or((*id, None), |(name, kept)| (name, Some(kept)));
            assert_eq!(text(&pack, "pack"), name);
            if let Some(kept) = kept {
                assert_eq!(kept, version.to_string(), "{id} is that version");
                assert_eq!(read(name)["version"], version + 1, "{id} is the version before the one that is shipped");
            }
            for key in ["title", "source", "caution"] {
                assert!(!text(&pack, key).trim().is_empty(), "{id}: {key}");
            }
        }
        assert_eq!(pack("no-such-pack"), None);
    }

    #[test]
    fn a_rule_twice_in_a_pack_is_refused() {
        let twice = "rules: {a: {title: one}, a: {title: two}}";
        assert!(serde_yaml::from_str::<Value>(twice).is_err(), "so that every id in the packs is there once");
    }

    #[test]
    fn every_rule_is_complete() {
        each_rule(|name, rule, others| {
            let comparators = COMPARATORS.iter().filter(|key| rule.get(**key).is_some()).count();
            assert_eq!(comparators, 1, "{name} has one comparison");
            assert_eq!(rule.get("requires").is_none(), rule.get("value").is_some(), "{name}: value");
            for key in ["title", "source", "if_short"] {
                assert!(text(rule, key).starts_with(char::is_alphanumeric), "{name}: {key}");
            }
            assert!(text(rule, "if_short").ends_with('.'), "{name}: if_short is a sentence");
            let mark = text(rule, "provenance");
            let (_, may_fail) = PROVENANCE.iter().find(|(known, _)| *known == mark).unwrap_or_else(|| panic!("{mark}"));
            let advice = rule.get("severity").is_some_and(|severity| severity == "advice");
            assert!(*may_fail || advice, "{name} is {mark}, so it is advice");
            let satisfied_by = match &rule["satisfied_by"] {
                Value::Array(list) => list.clone(),
                Value::Null => Vec::new(),
                one => vec![one.clone()],
            };
            for other in satisfied_by {
                let other = other.as_str().unwrap_or_else(|| panic!("{name}: satisfied_by"));
                assert!(others.contains_key(other), "{name} is satisfied by {other}");
            }
            // What only asks that something be given is met or unproven.
            let not_met = if rule.get("present") == Some(&Value::Bool(true)) { "unproven" } else { "short" };
            for outcome in ["met", not_met] {
                assert!(examples(rule).iter().any(|example| ends(example, outcome)), "{name}: {outcome}");
            }
        });
    }

    #[test]
    fn limits_of_a_rule_measure_one_thing() {
        each_rule(|name, rule, _| {
            let texts = COMPARATORS[..3].iter().filter_map(|key| rule.get(*key)).flat_map(limits);
            let dimensions: BTreeSet<Dimension> =
                texts.map(|text| parse(&text).unwrap_or_else(|error| panic!("{name}: {error}")).dimension).collect();
            assert!(dimensions.len() <= 1, "{name}: {dimensions:?}");
        });
    }

    #[test]
    fn examples_with_a_unit_can_be_read() {
        each_rule(|name, rule, _| {
            let given =
                ["given", "on"].into_iter().flat_map(|key| examples(rule).iter().map(move |example| &example[key]));
            let texts = given.flat_map(|given| match given {
                Value::Object(map) => map.iter().map(|(key, value)| (key.as_str(), value)).collect(),
                value => vec![("on", value)],
            });
            for (key, value) in texts {
                let begins = |text: &&str| text.starts_with(|first: char| first.is_ascii_digit() || first == '-');
                let is_amount = |text: &&str| begins(text) && text.contains(' ');
                let is_resistance = |text: &&str| text.starts_with("R-") || text.starts_with("RSI ");
                let Some(text) = value.as_str().filter(|text| is_amount(text) || is_resistance(text)) else {
                    continue;
                };
                assert!(parse(text).is_ok(), "{name}: {key}: {text}");
            }
        });
    }

    /// Table R402.1.2 has eight rows; marine zone 4 belongs to the fifth.
    #[test]
    fn every_column_of_the_table_has_examples_in_every_row() {
        let pack = read("energy-code-2021");
        let columns = ["window-u-factor", "skylight-u-factor", "opaque-door-u-factor", "ceiling-u-factor"]
            .into_iter()
            .chain(["wall-u-factor", "mass-wall-u-factor", "floor-u-factor", "basement-wall-u-factor"])
            .chain(["crawl-wall-u-factor"]);
        for column in columns {
            for zone in ["0A", "1A", "2A", "3A", "4A", "4C", "5A", "6A", "7", "8"] {
                for outcome in ["met", "short"] {
                    let mut all = examples(&pack["rules"][column]).iter();
                    let found = all.any(|example| is_of_zone(example, zone) && ends(example, outcome));
                    assert!(found, "{column}: {zone} {outcome}");
                }
            }
        }
    }

    #[test]
    fn both_packs_that_compare_ua_use_the_same_reference() {
        let reference = |id| read(id)["uses"]["envelope"].clone();
        assert_eq!(reference("energy-code-2021"), reference("zero-energy-ready"));
        assert!(reference("energy-code-2021")["reference"]["wall"]["4-8"].is_string());
    }

    /// A target handed to the airtightness plugin is the limit of the rule that judges it.
    #[test]
    fn airtightness_targets_are_the_limits_of_their_rules() {
        let same = [
            ("airtightness-targets", "code", "prescriptive-leakage"),
            ("airtightness-targets", "zero-energy", "zero-energy-leakage"),
            ("passive-envelope", "by-volume", "airtightness-by-volume"),
            ("passive-envelope", "by-area", "airtightness-by-area"),
            ("passive-envelope", "by-area-prescriptive", "airtightness-by-area-prescriptive"),
        ];
        for (id, target, rule) in same {
            let pack = read(id);
            let limit = &pack["rules"][rule]["at_most"];
            assert!(!limit.is_null(), "{id}/{rule}");
            assert_eq!(pack["uses"]["airtightness"]["targets"][target], *limit, "{id}: {target}");
        }
    }
}
