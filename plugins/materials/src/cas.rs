//! CAS registry numbers and their check digit.

/// What a text is, taken as a CAS number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CasNumber {
    /// It has the form and the right check digit.
    Right(String),
    /// It has the form, and its check digit should be this one.
    WrongDigit {
        /// The number as written.
        written: String,
        /// The check digit that would be right.
        expected: u32,
    },
}

/// Reads a text of the form `7732-18-5`: two to seven digits, two digits, one digit. `None` for any other text.
///
/// The last digit is the sum of the others, each times its place counted from the right, modulo ten.
///
/// Source: the registry's published check-digit rule, from memory.
pub fn read(text: &str) -> Option<CasNumber> {
    let mut parts = text.split('-');
    let (first, second, check) = (parts.next()?, parts.next()?, parts.next()?);
    let lengths = (2..=7).contains(&first.len()) && second.len() == 2 && check.len() == 1 && parts.next().is_none();
    if !lengths || [first, second, check].iter().any(|part| !part.bytes().all(|byte| byte.is_ascii_digit())) {
        return None;
    }
    let digits = first.chars().chain(second.chars()).rev().filter_map(|digit| digit.to_digit(10));
    let expected = (1..).zip(digits).map(|(place, digit): (u32, u32)| place * digit).sum::<u32>() % 10;
    let written = text.to_owned();
    Some(if check == expected.to_string() {
        CasNumber::Right(written)
    } else {
        CasNumber::WrongDigit { written, expected }
    })
}

/// Every CAS number in a longer text.
pub fn find(text: &str) -> Vec<CasNumber> {
    text.split(|letter: char| !(letter.is_ascii_alphanumeric() || letter == '-')).filter_map(read).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Caffeine is the rule's own worked example: 4×5 + 3×8 + 2×0 + 1×8 = 52, so 2. Water: 105, so 5. From memory.
    #[test]
    fn worked_examples() {
        for number in ["58-08-2", "7732-18-5", "50-00-0", "9002-86-2"] {
            assert_eq!(read(number), Some(CasNumber::Right(number.to_owned())));
        }
        let wrong = |written: &str, expected| CasNumber::WrongDigit { written: written.to_owned(), expected };
        assert_eq!(read("7732-18-4"), Some(wrong("7732-18-4", 5)));
        assert_eq!(read("85-07-0"), Some(wrong("85-07-0", 4)), "two digits exchanged do not go unseen");
    }

    #[test]
    fn other_texts_are_none() {
        for text in ["", "wool", "1-1-1", "1234-5-6", "12345678-12-3", "12-34-5-6", "2026-10-05", "１２-34-5"] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn numbers_are_found_inside_a_text() {
        assert_eq!(find("DEHP (117-81-7), 0.2 %"), vec![CasNumber::Right("117-81-7".to_owned())]);
        assert_eq!(find("wool"), Vec::new());
    }
}
