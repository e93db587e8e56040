//! Patterns of texts, of a kind that is searched in time that grows with the text and no faster.

use regex::{Regex, RegexBuilder};

/// Bytes that a compiled pattern may take.
const LARGEST: usize = 64 * 1024;

/// A pattern that a whole text has to be like.
#[derive(Clone, Debug)]
pub(super) struct Pattern(Regex);

impl Pattern {
    /// Reads a pattern.
    ///
    /// # Errors
    /// What is wrong with it, in one line.
    pub fn new(text: &str) -> Result<Pattern, String> {
        let built = |text: &str| RegexBuilder::new(text).size_limit(LARGEST).build();
        // By itself first: a bracket that closes too early would let more through.
        built(text).and_then(|_| built(&format!("^(?:{text})$"))).map(Pattern).map_err(|error| match error {
            regex::Error::CompiledTooBig(_) => format!("the pattern '{text}' asks for too much"),
            other => {
                let told = other.to_string();
                let why =
                    told.lines().rev().find_map(|line| line.trim().strip_prefix("error: ")).unwrap_or("it ends early");
                format!("'{text}' is no pattern: {why}")
            }
        })
    }

    /// Whether a text is like it from begin to end.
    pub fn fits(&self, text: &str) -> bool {
        self.0.is_match(text)
    }
}
