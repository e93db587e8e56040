//! Sections of which a home says no more than that they are still to be decided.

use super::fields::Fields;
use super::tree::{Node, Placed};
use serde_json::{Value, json};

/// The word.
const UNDECIDED: &str = "undecided";

/// Takes what is undecided for not given, at its place: it is where the thing belongs once it is known.
pub(super) fn take_back(home: &mut Placed) {
    let schema = Fields::of_home().schema();
    for section in home.entries_mut() {
        if matches!(&section.value.node, Node::Str(text) if text == UNDECIDED)
            && let Some(may_be_null) = waits(schema, &section.key)
        {
            section.value.node = if may_be_null { Node::Null } else { Node::Map(std::iter::empty().collect()) };
        }
    }
}

/// Whether a section may be undecided, and whether nothing at all may then stand for it: one that need not be there and
/// holds keys.
fn waits(schema: &Value, section: &str) -> Option<bool> {
    let required = schema.get("required").and_then(Value::as_array);
    if required.is_some_and(|names| names.iter().any(|name| name == section)) {
        return None;
    }
    let property = schema.pointer(&format!("/properties/{section}"))?;
    let ways = property.get("anyOf").and_then(Value::as_array).map_or(std::slice::from_ref(property), Vec::as_slice);
    let is = |way: &Value, kind: &str| way.get("type").is_some_and(|found| found == kind);
    let holds_keys = |way: &Value| {
        let named = way.get("$ref").and_then(Value::as_str).and_then(|path| schema.pointer(path.strip_prefix('#')?));
        is(named.unwrap_or(way), "object")
    };
    ways.iter().any(holds_keys).then(|| ways.iter().any(|way| is(way, "null")))
}

/// The schema of a home in which every section that may be undecided may say so.
pub fn with_undecided(schema: &Value) -> Value {
    let mut told = schema.clone();
    let Some(properties) = told.get_mut("properties").and_then(Value::as_object_mut) else { return told };
    for (section, property) in properties.iter_mut().filter(|(section, _)| waits(schema, section).is_some()) {
        let word = json!({"const": UNDECIDED, "description": format!("{section} is still to be decided")});
        match property.get_mut("anyOf").and_then(Value::as_array_mut) {
            Some(ways) => ways.push(word),
            None => {
                let mut own = property.clone();
                let kept: Vec<(String, Value)> = ["description", "default"]
                    .into_iter()
                    .filter_map(|key| Some((key.to_owned(), own.as_object_mut()?.remove(key)?)))
                    .collect();
                *property = json!({"anyOf": [own, word]});
                property.as_object_mut().into_iter().for_each(|property| property.extend(kept.clone()));
            }
        }
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_home_cannot_do_without_is_never_undecided() {
        let schema = Fields::of_home().schema();
        assert_eq!(waits(schema, "foundation"), Some(true));
        assert_eq!(waits(schema, "systems"), Some(false));
        assert_eq!(waits(schema, "openings"), Some(false));
        for one in ["home", "revision", "site", "modules", "units", "judge_by", "firm", "plugins"] {
            assert_eq!(waits(schema, one), None, "{one}");
        }
    }
}
