//! What a rule is not told leaves it unproven: never short, since nobody has said that it is so, and never better.

use mateline_engine::expr::Expression;
use mateline_engine::judge::run_examples;
use mateline_engine::pack::{Example, Pack, Rule};
use mateline_model::Outcome;
use mateline_tests::engine;
use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::Arc;

/// A rule whose examples are those that are met or short, each once without every name it gives; with the outcome before.
fn with_less(rule: &Rule) -> (Rule, Vec<(String, Outcome)>) {
    let (mut examples, mut left_out) = (Vec::new(), Vec::new());
    for example in &rule.examples {
        if !matches!(example.expect, Outcome::Met | Outcome::Short) {
            continue;
        }
        // A parameter has a default, and elements of a list are parts of another home.
        let is_told = |name: &str, value: &Value| !name.starts_with("parameter.") && !is_list_of_elements(value);
        for (name, _) in example.given.iter().filter(|(name, value)| is_told(name, value)) {
            let mut given = example.given.clone();
            given.shift_remove(name);
            examples.push(Example { given, ..example.clone() });
            left_out.push((name.to_string(), example.expect));
        }
    }
    (Rule { examples, ..rule.clone() }, left_out)
}

fn is_list_of_elements(value: &Value) -> bool {
    value.as_array().is_some_and(|list| list.iter().any(Value::is_object))
}

#[test]
fn what_a_rule_is_not_told_leaves_it_unproven() {
    let (mut tried, mut found, mut never) = (0, BTreeSet::new(), Vec::new());
    // A pack that only asks has nothing to ask of what is not said.
    for (name, _) in mateline_rules::current().filter(|(name, _)| !mateline_rules::ASKING.contains(name)) {
        let pack = engine().pack(name).unwrap();
        for rule in pack.rules.iter() {
            let has_reasons = !rule.without.is_empty();
            let (rule, left_out) = with_less(rule);
            let id = format!("{name}/{}", rule.id);
            let belongs = pack.rules.iter().filter(|other| rule.together_with.contains(&other.id));
            let belongs = belongs.map(|other| Rule { examples: Vec::new(), ..other.clone() });
            let rules: Vec<Rule> = std::iter::once(rule.clone()).chain(belongs).collect();
            let alone = Pack { rules: Arc::new(rules), ..pack.clone() };
            let results = run_examples(&alone, &engine().vocabulary());
            tried += results.len();
            // What an example says of a section it says of all its elements, which are left as they are.
            let counts = rule.value.iter().any(Expression::is_figure);
            // An example that gives elements alone is told all that it could be told.
            let tells = !results.is_empty();
            if tells && !has_reasons && !counts && !results.iter().any(|result| result.found == Outcome::Unproven) {
                never.push(id.clone());
            }
            for (result, (left_out, before)) in results.iter().zip(left_out) {
                let says_why = result.found == Outcome::NotApplicable && has_reasons;
                let is_sound = result.found == Outcome::Unproven || result.found == before || says_why;
                if !is_sound {
                    found.insert(format!("{id} {left_out}: {before} to {}", result.found));
                }
            }
        }
    }
    println!("{tried} examples with less");
    assert!(found.is_empty(), "{} rules take what they are not told for an answer: {found:#?}", found.len());
    assert!(never.is_empty(), "rules that are never unproven: {never:#?}");
    assert!(tried > 3_000, "{tried}");
}
