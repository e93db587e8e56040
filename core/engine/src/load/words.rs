//! Lists of words as one text, as they are written on a line of a home: `[factory-gasket, site-tape]`. So a list can be
//! the step of a lever.

use super::diagnosis::Span;
use super::tree::{Node, Placed};

/// The words of a list; none where a text is no list.
pub fn words(text: &str) -> Option<Vec<&str>> {
    let inner = text.trim().strip_prefix('[')?.strip_suffix(']')?;
    let words: Vec<&str> = inner.split(',').map(bare).collect();
    words.iter().all(|word| !word.is_empty() && !word.contains(['[', ']', '{', '}', '"', '\'', '#'])).then_some(words)
}

/// A word without the quotes around it.
fn bare(word: &str) -> &str {
    let word = word.trim();
    let within = |quote: char| word.strip_prefix(quote).and_then(|word| word.strip_suffix(quote));
    within('"').or_else(|| within('\'')).unwrap_or(word)
}

/// Whether two texts say the same: the same text, or the same words in any order. One word is a list of one.
pub fn same(one: &str, other: &str) -> bool {
    let sorted = |text| {
        let mut words = words(text)?;
        words.sort_unstable();
        Some(words)
    };
    match (sorted(one), sorted(other)) {
        (None, None) => one == other,
        (Some(words), None) => words == [other],
        (None, Some(words)) => words == [one],
        (one, other) => one == other,
    }
}

/// The text of a value: a text, a number, or a list of texts.
pub fn text(node: &Node) -> Option<String> {
    match node {
        Node::Str(text) => Some(text.clone()),
        Node::Int(number) => Some(number.to_string()),
        Node::Float(number) => Some(number.to_string()),
        Node::Seq(items) if !items.is_empty() => {
            let words: Option<Vec<&str>> = items.iter().map(word).collect();
            Some(format!("[{}]", words?.join(", ")))
        }
        _ => None,
    }
}

fn word(item: &Placed) -> Option<&str> {
    if let Node::Str(word) = &item.node { Some(word) } else { None }
}

/// The value that a text is, at a place.
pub fn node(text: &str, span: Span) -> Node {
    match words(text) {
        Some(words) => {
            Node::Seq(words.into_iter().map(|word| Placed { node: Node::Str(word.to_owned()), span }).collect())
        }
        None => Node::Str(text.to_owned()),
    }
}

/// The number that a text of a file begins with, as far as it goes.
pub fn first_number(text: &str) -> Option<&str> {
    let end = text.find(|c: char| c.is_whitespace() || matches!(c, ',' | '}' | ']' | '#')).unwrap_or(text.len());
    text.get(..end).filter(|number| number.parse::<f64>().is_ok())
}

/// The list that a text of a file begins with, as far as it goes; none where it begins with none that ends.
pub fn first_list(text: &str) -> Option<&str> {
    let end = text.starts_with('[').then(|| text.find(']')).flatten()?;
    text.get(..=end)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_are_the_same_in_any_order() {
        assert!(same("[a, b]", "[b,a]") && same("a", "[a]") && same("[ \"a\" ]", "a") && same("a", "a"));
        assert!(!same("[a, b]", "[a]") && !same("[a, a]", "a") && !same("a", "b"));
        assert_eq!(words("[a, b"), None);
        assert_eq!(words("[a, [b]]"), None);
        assert_eq!(words("[]"), None);
    }
}
