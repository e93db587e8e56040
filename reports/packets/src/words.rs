//! Words for the choices a home file offers.

use mateline_model::Outcome;
use serde::Serialize;

/// A choice as words: `factory-gasket` reads `factory gasket`.
pub(crate) fn of(choice: &impl Serialize) -> String {
    match serde_json::to_value(choice) {
        Ok(serde_json::Value::String(word)) => word.replace('-', " "),
        Ok(serde_json::Value::Array(words)) => words.iter().map(of).collect::<Vec<_>>().join(", "),
        _ => String::new(),
    }
}

/// The name of an element as words: `primary-bedroom` reads `primary bedroom`.
pub(crate) fn plain(id: &str) -> String {
    id.replace(['-', '_'], " ")
}

/// The word and the mark of an outcome.
pub(crate) fn outcome(outcome: Outcome) -> (&'static str, &'static str) {
    match outcome {
        Outcome::Short => ("short", "short"),
        Outcome::Unproven => ("unproven", "unproven"),
        Outcome::Waived => ("waived", "waived"),
        Outcome::Met => ("met", "met"),
        Outcome::NotApplicable => ("not applicable", "not-applicable"),
    }
}

/// `a`, `a and b`, `a, b and c`.
pub(crate) fn joined(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// The text as a sentence: a capital first letter and a full stop.
pub(crate) fn sentence(text: &str) -> String {
    let text = text.trim();
    let mut letters = text.chars();
    let Some(first) = letters.next() else { return String::new() };
    let end = if text.ends_with(['.', '!', '?', ':']) { "" } else { "." };
    format!("{}{}{end}", first.to_uppercase(), letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use mateline_model::home::{Party, SeamSeal};

    #[test]
    fn choices_read_as_words() {
        assert_eq!(of(&SeamSeal::FactoryGasket), "factory gasket");
        assert_eq!(of(&vec![SeamSeal::FactoryGasket, SeamSeal::Membrane]), "factory gasket, membrane");
        assert_eq!(of(&Some(Party::Site)), "site");
        assert_eq!(of(&None::<Party>), "");
    }

    #[test]
    fn sentences_begin_and_end() {
        assert_eq!(sentence("width 13.75 ft is above 12.00 ft"), "Width 13.75 ft is above 12.00 ft.");
        assert_eq!(sentence(""), "");
    }
}
