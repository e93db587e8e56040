//! References that follow a pack under another name.
//!
//! A plugin names what it makes of a pack's settings by the pack: `references.energy-code-2021`. A pack that extends another,
//! or that a project keeps as a copy under a name of its own, hands the same settings over under its own name; what its
//! rules say of the other's references they then say of these.

use super::PackFile;
use serde_json::Value;

/// The section in which plugins put them.
const SECTION: &str = "references.";

/// Whether a text speaks of the references of a pack.
pub(super) fn speaks_of(text: &str, pack: &str) -> bool {
    text.match_indices(SECTION).any(|(at, _)| is_of(text.get(at + SECTION.len()..).unwrap_or_default(), pack))
}

/// Whether a text begins with a pack's name, or with that and a `-`: a plugin may make several of one pack.
fn is_of(text: &str, pack: &str) -> bool {
    let rest = text.strip_prefix(pack);
    rest.is_some_and(|rest| !rest.starts_with(|next: char| next.is_alphanumeric() || next == '_'))
}

/// A pack's file in which the references of other packs are its own.
pub(super) fn named(file: PackFile, followed: &[String]) -> PackFile {
    if followed.is_empty() {
        return file;
    }
    let own = file.pack.to_string();
    let value = serde_json::to_value(&file).map(|value| renamed(value, &own, followed));
    value.and_then(serde_json::from_value).unwrap_or(file)
}

fn renamed(value: Value, own: &str, followed: &[String]) -> Value {
    match value {
        Value::String(text) => Value::String(in_text(&text, own, followed)),
        Value::Array(items) => items.into_iter().map(|item| renamed(item, own, followed)).collect(),
        Value::Object(map) => {
            let entries = map.into_iter();
            let entries = entries.map(|(key, value)| (in_text(&key, own, followed), renamed(value, own, followed)));
            Value::Object(entries.collect())
        }
        other => other,
    }
}

fn in_text(text: &str, own: &str, followed: &[String]) -> String {
    let (mut written, mut rest) = (String::with_capacity(text.len()), text);
    while let Some(at) = rest.find(SECTION) {
        let (before, after) = rest.split_at(at + SECTION.len());
        written.push_str(before);
        // The longest name is the one that is meant.
        let other = followed.iter().filter(|other| is_of(after, other)).max_by_key(|other| other.len());
        rest = match other.filter(|_| !is_of(after, own)) {
            Some(other) => {
                written.push_str(own);
                after.get(other.len()..).unwrap_or_default()
            }
            None => after,
        };
    }
    written + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_references_follow_and_nothing_else_does() {
        let renamed = |text| in_text(text, "ours", &["code".to_owned(), "code-2021".to_owned()]);
        assert_eq!(
            renamed("a of 'references.code-2021' <= b of references.code"),
            "a of 'references.ours' <= b of references.ours"
        );
        assert_eq!(renamed("a of references.code-targets"), "a of references.ours-targets");
        assert_eq!(
            renamed("references.codes, code-2021, references.ours"),
            "references.codes, code-2021, references.ours"
        );
        assert!(speaks_of("x of 'references.code-2021'", "code-2021") && !speaks_of("references.codes", "code"));
    }
}
