//! Random texts never panic, and random trees agree with an evaluator written apart from the language.

use super::*;
use proptest::prelude::*;

/// Reads, checks and evaluates; only the absence of a panic and the form of the errors count.
fn goes_through(text: &str) {
    match Expression::parse(text) {
        Ok(expression) => {
            assert_eq!(expression.text(), text);
            for name in expression.names() {
                assert!(text.get(name.start..name.end).is_some_and(|written| written.starts_with(&name.path)));
            }
            let checked = expression.check(&Wall);
            let evaluation = expression.evaluate(&Wall);
            if let (Ok(kind), Evaluation::Known(item)) = (&checked, &evaluation) {
                assert!(Kind::of(item).with(kind.clone()).is_some(), "{text}: {item:?} is not {kind}");
            }
            pointing(text, &checked.err().unwrap_or_default());
        }
        Err(errors) => {
            assert!(!errors.is_empty());
            pointing(text, &errors);
        }
    }
}

fn pointing(text: &str, errors: &[ExpressionError]) {
    for error in errors {
        assert!(text.get(error.start..error.end).is_some(), "{text}: {error:?}");
        assert!(!error.message.is_empty());
    }
}

/// Pieces of the language, so that random rows of them get past the lexer.
const PIECES: &[&str] = &[
    "kind",
    "layer.thickness",
    "area",
    "u",
    "indoor",
    "warming",
    "inspected",
    "issued",
    "contains",
    "anything",
    "lost",
    "optional",
    "zzz",
    "a-b",
    "1",
    "2.5",
    "1/2",
    "9 ½",
    "-",
    "-",
    "+",
    "*",
    "/",
    "==",
    "!=",
    "<",
    "<=",
    ">",
    ">=",
    "in",
    "in",
    "and",
    "or",
    "not",
    "&&",
    "||",
    "!",
    "of",
    "home",
    "'wall'",
    "'2026-02-01'",
    "(",
    ")",
    "(",
    ")",
    "[",
    "]",
    ",",
    "min(",
    "max(",
    "abs(",
    "count(",
    "given(",
    "leading_number(",
    "true",
    "false",
    "m",
    "ft",
    "in",
    "W/(m²·K)",
    "°C",
    "%",
    "R-13",
    "RSI 2",
    "13 ft 9 in",
    ".",
    "'",
    "½",
    "(m²·",
    "^",
    "e9",
    "\n",
];

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_panics(text in "\\PC{0,60}") {
        goes_through(&text);
    }

    #[test]
    fn no_text_of_likely_characters_panics(text in "[-a-eiIN0-9 .'()\\[\\],+*/<>=!&|½²·°%$RSI^⁻_\n]{0,60}") {
        goes_through(&text);
    }

    #[test]
    fn no_row_of_pieces_panics(
        pieces in prop::collection::vec(prop::sample::select(PIECES), 0..24),
        space in prop::sample::select(&[" ", ""][..]),
    ) {
        goes_through(&pieces.join(space));
    }

    #[test]
    fn sums_agree_with_an_evaluator_apart(tree in sums()) {
        let text = tree.text(0);
        let expected = tree.value();
        match evaluate(&text) {
            Evaluation::Known(Item::Number(quantity)) => {
                prop_assert_eq!(Some(quantity.si), expected.filter(|value| value.is_finite()), "{}", text);
            }
            Evaluation::Failed(_) => prop_assert!(!tree.sound(), "{}", text),
            other => prop_assert!(false, "{}: {:?}", text, other),
        }
    }

    #[test]
    fn conditions_agree_with_an_evaluator_apart(tree in conditions()) {
        let text = tree.text(0);
        let found = match evaluate(&text) {
            Evaluation::Known(Item::Flag(flag)) => Some(flag),
            Evaluation::Unknown(missing) => {
                prop_assert!(!missing.is_empty());
                None
            }
            other => panic!("{text}: {other:?}"),
        };
        prop_assert_eq!(found, tree.value(), "{}", text);
        prop_assert_eq!(read(&text).check(&Wall), Ok(Kind::Flag), "{}", text);
    }
}

/// A sum of plain numbers. `text` writes no parenthesis that the precedence makes needless.
#[derive(Clone, Debug)]
enum Sum {
    Number(f64),
    Negative(Box<Sum>),
    Two(Box<Sum>, char, Box<Sum>),
    Least(Box<Sum>, Box<Sum>),
}

fn sums() -> impl Strategy<Value = Sum> {
    let leaf = (0_u32..4000).prop_map(|number| Sum::Number(f64::from(number) / 16.0));
    leaf.prop_recursive(6, 60, 3, |inner| {
        prop_oneof![
            1 => inner.clone().prop_map(|a| Sum::Negative(Box::new(a))),
            6 => (inner.clone(), prop::sample::select(&['+', '-', '*', '/'][..]), inner.clone())
                .prop_map(|(a, sign, b)| Sum::Two(Box::new(a), sign, Box::new(b))),
            1 => (inner.clone(), inner).prop_map(|(a, b)| Sum::Least(Box::new(a), Box::new(b))),
        ]
    })
}

impl Sum {
    fn text(&self, around: u8) -> String {
        let (own, text) = match self {
            Sum::Number(number) => (4, number.to_string()),
            Sum::Negative(a) => (3, format!("-{}", a.text(3))),
            Sum::Two(a, sign @ ('+' | '-'), b) => (1, format!("{} {sign} {}", a.text(1), b.text(2))),
            Sum::Two(a, sign, b) => (2, format!("{} {sign} {}", a.text(2), b.text(3))),
            Sum::Least(a, b) => (4, format!("min({}, {})", a.text(0), b.text(0))),
        };
        if own < around { format!("({text})") } else { text }
    }

    /// `None` after a division by zero.
    fn value(&self) -> Option<f64> {
        Some(match self {
            Sum::Number(number) => *number,
            Sum::Negative(a) => -a.value()?,
            Sum::Least(a, b) => {
                let (a, b) = (a.value()?, b.value()?);
                if b < a { b } else { a }
            }
            Sum::Two(a, sign, b) => {
                let (a, b) = (a.value()?, b.value()?);
                match sign {
                    '+' => a + b,
                    '-' => a - b,
                    '*' => a * b,
                    _ if b == 0.0 => return None,
                    _ => a / b,
                }
            }
        })
    }

    /// Whether no part divides by zero or grows beyond all numbers.
    fn sound(&self) -> bool {
        let parts = match self {
            Sum::Number(_) => true,
            Sum::Negative(a) => a.sound(),
            Sum::Two(a, _, b) | Sum::Least(a, b) => a.sound() && b.sound(),
        };
        parts && self.value().is_some_and(f64::is_finite)
    }
}

/// A condition over flags of which some are missing.
#[derive(Clone, Debug)]
enum Condition {
    Flag(Option<bool>),
    Above(u8, Option<u8>),
    Not(Box<Condition>),
    And(Box<Condition>, Box<Condition>),
    Or(Box<Condition>, Box<Condition>),
}

fn conditions() -> impl Strategy<Value = Condition> {
    let leaf = prop_oneof![
        any::<Option<bool>>().prop_map(Condition::Flag),
        (0_u8..4, prop::option::of(0_u8..4)).prop_map(|(a, b)| Condition::Above(a, b)),
    ];
    leaf.prop_recursive(6, 60, 3, |inner| {
        prop_oneof![
            inner.clone().prop_map(|a| Condition::Not(Box::new(a))),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| Condition::And(Box::new(a), Box::new(b))),
            (inner.clone(), inner).prop_map(|(a, b)| Condition::Or(Box::new(a), Box::new(b))),
        ]
    })
}

impl Condition {
    fn text(&self, around: u8) -> String {
        let (own, text) = match self {
            Condition::Flag(Some(true)) => (4, "inspected".to_owned()),
            Condition::Flag(Some(false)) => (4, "false".to_owned()),
            Condition::Flag(None) => (4, "unseen".to_owned()),
            Condition::Above(a, Some(b)) => (4, format!("{a} > {b}")),
            Condition::Above(a, None) => (4, format!("{a} > lost")),
            Condition::Not(a) => (3, format!("not {}", a.text(3))),
            Condition::And(a, b) => (2, format!("{} and {}", a.text(2), b.text(3))),
            Condition::Or(a, b) => (1, format!("{} or {}", a.text(1), b.text(2))),
        };
        if own < around { format!("({text})") } else { text }
    }

    /// By the numbers 0, ½ and 1: the least of a conjunction, the greatest of a disjunction, the rest to 1 of a negation.
    fn value(&self) -> Option<bool> {
        match self.halves() {
            0 => Some(false),
            2 => Some(true),
            _ => None,
        }
    }

    fn halves(&self) -> u8 {
        match self {
            Condition::Flag(Some(flag)) => 2 * u8::from(*flag),
            Condition::Above(a, Some(b)) => 2 * u8::from(a > b),
            Condition::Flag(None) | Condition::Above(_, None) => 1,
            Condition::Not(a) => 2 - a.halves(),
            Condition::And(a, b) => a.halves().min(b.halves()),
            Condition::Or(a, b) => a.halves().max(b.halves()),
        }
    }
}
