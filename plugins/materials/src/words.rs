//! Comparing the words that people write: one form for all spellings, and the nearest known one.

/// Lower case, everything but letters and digits as one space, no final `s` on a word of more than three letters.
pub(crate) fn plain(text: &str) -> String {
    let lower = text.to_lowercase();
    let words = lower.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(singular).collect::<Vec<_>>().join(" ")
}

fn singular(word: &str) -> &str {
    match word.strip_suffix('s') {
        Some(stem) if stem.len() >= 3 && !stem.ends_with(['s', 'a', 'u', 'i']) => stem,
        _ => word,
    }
}

/// Whether a plain text holds a plain phrase as whole words.
pub(crate) fn holds(text: &str, phrase: &str) -> bool {
    let from_here = |at: usize| text.get(at..)?.strip_prefix(phrase);
    // A phrase begins where a word does, and ends where one does.
    let mut begins = std::iter::once(0).chain(text.match_indices(' ').map(|(at, _)| at + 1));
    begins.any(|at| from_here(at).is_some_and(|after| after.is_empty() || after.starts_with(' ')))
}

/// Whether plain words are a plain phrase but for a slip: one letter in a word of five and more, two in one of eight and
/// more, two letters exchanged in one of four; or words written as one. A shorter word is too like others.
pub(crate) fn is_nearly(words: &[&str], phrase: &str) -> bool {
    let near = |(word, wanted): (&&str, &str)| match wanted.chars().count() {
        0..4 => *word == wanted,
        4 => *word == wanted || strsim::osa_distance(word, wanted) == 1 && letters(word) == letters(wanted),
        long @ 5.. => {
            let slips = if long < 8 { 1 } else { 2 };
            // Words of other lengths are no nearer than by what one is longer.
            word.chars().count().abs_diff(long) <= slips && strsim::osa_distance(word, wanted) <= slips
        }
    };
    let wanted = phrase.split(' ');
    wanted.clone().count() == words.len() && words.iter().zip(wanted).all(near)
        || words.iter().flat_map(|word| word.chars()).eq(phrase.chars().filter(|letter| *letter != ' '))
}

fn letters(word: &str) -> Vec<char> {
    let mut letters: Vec<char> = word.chars().collect();
    letters.sort_unstable();
    letters
}

/// Lower case, with one hyphen for whatever separates words: the form of ids.
pub(crate) fn hyphened(text: &str) -> String {
    let lower = text.to_lowercase();
    let words = lower.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join("-")
}

/// ` (did you mean 'toluene'?)`, or nothing when no known word is near.
pub(crate) fn did_you_mean<'a>(word: &str, known: impl Iterator<Item = &'a str>) -> String {
    let word = hyphened(word);
    let mut best: Option<(f64, &str)> = None;
    for candidate in known {
        let likeness = strsim::jaro_winkler(&word, &hyphened(candidate));
        if likeness > 0.75 && best.is_none_or(|(most, _)| likeness > most) {
            best = Some((likeness, candidate));
        }
    }
    best.map(|(_, near)| format!(" (did you mean '{near}'?)")).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spellings_of_one_thing_are_alike() {
        assert_eq!(plain("Ortho-Phthalates"), plain("ortho phthalate"));
        assert_eq!(plain("PFAS"), "pfas", "an abbreviation keeps its end");
        assert_eq!(plain("  Spray-polyurethane_foam "), "spray polyurethane foam");
        assert_eq!(hyphened("1,4-Dioxane"), "1-4-dioxane");
    }

    #[test]
    fn a_phrase_is_held_as_whole_words_only() {
        assert!(holds("a brominated flame retardant", "flame retardant"));
        assert!(!holds("leadership", "lead"));
    }

    #[test]
    fn the_nearest_word_is_named() {
        assert_eq!(did_you_mean("tolune", ["toluene", "styrene"].into_iter()), " (did you mean 'toluene'?)");
        assert_eq!(did_you_mean("qq", ["toluene"].into_iter()), "");
    }
}
