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
    let holds = if in_full { key.holds.clone() } else { key.holds_with_words() };
    let required = if key.required { " (required)" } else { "" };
    let mut text = format!("{}{required}: {}\n  {holds}", key.path, key.meaning);
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
