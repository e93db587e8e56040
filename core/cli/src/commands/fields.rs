//! `mateline fields`

use crate::arguments::FieldsOf;
use crate::exit::Exit;
use crate::output;
use mateline_engine::load::{Key, keys, keys_with};
use std::fmt::Write;

/// Lists the keys of a home, or those with a word in their path or meaning; then the words they may be, with meanings.
pub fn run(wanted: &FieldsOf) -> Exit {
    let found = match &wanted.word {
        None => keys(),
        Some(word) => match keys_with(word) {
            Ok(found) => found,
            Err(none) => return output::refuse(&none),
        },
    };
    let text: String = found.iter().map(|key| entry(key, wanted.word.is_some())).collect();
    output::print(&text)
}

/// A key in a line or two, and its words with their meanings where it was asked for by name.
fn entry(key: &Key, in_full: bool) -> String {
    let mut text =
        format!("{}{}: {}\n  {}", key.path, if key.required { " (required)" } else { "" }, key.meaning, key.holds);
    if !in_full && !key.words.is_empty() {
        let words: Vec<&str> = key.words.iter().map(|(word, _)| word.as_str()).collect();
        let _ = write!(text, ": {}", words.join(", "));
    }
    if let Some(example) = &key.example {
        let _ = write!(text, "; such as {example}");
    }
    text.push('\n');
    for (word, meaning) in key.words.iter().filter(|_| in_full) {
        let meaning = if meaning.is_empty() { String::new() } else { format!(": {meaning}") };
        let _ = writeln!(text, "    {word}{meaning}");
    }
    text
}
