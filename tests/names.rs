//! Names in code that the compiler does not know: quantities, fields of the home, keys of figures.

use crate::tidy::sources;
use mateline_engine::load::Fields;
use mateline_model::home::READABLE;
use mateline_tests::{check_file, example};
use std::collections::BTreeSet;

/// Names written out in the product: `(file, name)`, of every text in quotes that is a path.
fn written() -> Vec<(String, String)> {
    let is_product = |name: &str| {
        ["core/", "plugins/", "reports/"].iter().any(|folder| name.starts_with(folder))
            && !["/tests/", "/tests.rs", "example-acoustics", "/fixture", "sample.rs"]
                .iter()
                .any(|part| name.contains(part))
    };
    let is_path = |text: &str| {
        let mut parts = text.split('.');
        let is_word = |part: &str| {
            part.starts_with(|c: char| c.is_ascii_lowercase())
                && part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "_-".contains(c))
        };
        let is_step = |part: &str| is_word(part) || (part.starts_with('{') && part.ends_with('}'));
        !text.ends_with(".yaml") && parts.next().is_some_and(is_word) && text.contains('.') && parts.all(is_step)
    };
    let mut found = Vec::new();
    for (name, text) in sources(&["rs"]).into_iter().filter(|(name, _)| is_product(name)) {
        // Tests inside of a file name what they like.
        let product = text.split("#[cfg(test)]").next().unwrap_or_default();
        for line in product.lines().filter(|line| !line.trim_start().starts_with("//")) {
            let quoted = line.split('"').skip(1).step_by(2);
            found.extend(quoted.filter(|text| is_path(text)).map(|text| (name.clone(), text.to_owned())));
        }
    }
    found
}

/// Whether a name, in which a part may be filled in when the code runs, can be this quantity; one that ends with `_` is
/// how it begins.
fn fits(name: &str, quantity: &str) -> bool {
    let (before, rest) = name.split_once('{').unwrap_or((name, ""));
    let after = rest.split_once('}').map_or("", |(_, after)| after);
    let is_open = name.contains('{') || name.ends_with('_');
    if is_open { quantity.starts_with(before) && quantity.ends_with(after) } else { quantity == name }
}

/// Whether a path is one of the home; a step that is filled in when the code runs is any step, and the
/// last one is any item.
fn leads_somewhere(fields: &Fields, so_far: &mut Vec<String>, rest: &[&str]) -> bool {
    let Some((step, rest)) = rest.split_first() else { return fields.kind(&*so_far).is_some() };
    if rest.is_empty() && step.starts_with('{') {
        return fields.kind(&*so_far).is_some();
    }
    let tried = if step.starts_with('{') {
        let mut names = fields.names(&*so_far);
        names.push("0".to_owned());
        names
    } else {
        vec![(*step).to_owned()]
    };
    tried.into_iter().any(|step| {
        so_far.push(step);
        let found = leads_somewhere(fields, so_far, rest);
        so_far.pop();
        found
    })
}

#[test]
fn quantities_and_fields_that_code_names_exist() {
    let plugins = mateline_plugins::built_in();
    let declared: Vec<_> = plugins.iter().map(|plugin| plugin.declaration()).collect();
    let spaces: BTreeSet<&str> = declared.iter().map(|one| one.name).collect();
    let quantities: BTreeSet<String> =
        declared.iter().flat_map(|one| &one.quantities).map(|quantity| quantity.name.to_string()).collect();
    let keys: BTreeSet<String> = keys();
    let fields = Fields::of_home();
    let (mut named, mut strangers) = (BTreeSet::new(), Vec::new());
    for (file, name) in written() {
        let first = name.split('.').next().unwrap_or_default();
        let (is_space, is_section) = (spaces.contains(first), READABLE.contains(&first));
        if !is_space && !is_section {
            continue;
        }
        let is_quantity = is_space && quantities.iter().any(|quantity| fits(&name, quantity));
        let steps: Vec<&str> = name.split('.').collect();
        let is_field = is_section && leads_somewhere(fields, &mut Vec::new(), &steps);
        if is_quantity || is_field || keys.contains(&name) {
            named.insert(name);
        } else {
            strangers.push(format!("{file}: {name}"));
        }
    }
    assert!(strangers.is_empty(), "neither a quantity, a field of the home nor a figure:\n{}", strangers.join("\n"));
    assert!(named.len() > 200, "only {} names were found in the sources", named.len());
}

/// The keys of all figures of the examples.
fn keys() -> BTreeSet<String> {
    let mut keys = BTreeSet::new();
    for name in ["heron-lane", "willow-pair", "sparrow-court", "starter"] {
        let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        keys.extend(report.figures.iter().map(|figure| figure.key.to_string()));
    }
    keys
}

#[test]
fn each_figure_has_a_key_of_its_plugin() {
    let plugins = mateline_plugins::built_in();
    let spaces: BTreeSet<&str> = plugins.iter().map(|plugin| plugin.declaration().name).collect();
    let keys = keys();
    assert!(keys.len() >= 10, "{keys:?}");
    for key in keys {
        assert!(key.split_once('.').is_some_and(|(plugin, name)| spaces.contains(plugin) && !name.is_empty()), "{key}");
    }
}
