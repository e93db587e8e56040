//! What `mateline_equation::equation!` makes of an equation beside its value: the symbols, and the line of the catalogue.

use crate::fact::{Origin, Step, Term};
use crate::quantity::Dimension;
use crate::subject::Subject;
use std::borrow::Cow;

/// A symbol of an equation, as it is printed: what a step's terms are found by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Symbol(pub &'static str);

/// Works an equation with numbers that the caller draws.
pub type Worked = fn(&mut dyn FnMut() -> f64) -> Step;

/// An equation as the catalogue lists it.
#[derive(Clone, Copy, Debug)]
pub struct Equation {
    /// Its name in the code.
    pub name: &'static str,
    /// The equation as it is printed.
    pub text: &'static str,
    /// What it computes, and its source.
    pub about: &'static str,
    /// Its symbols, the result first.
    pub symbols: &'static [EquationSymbol],
    /// The equation worked with numbers that the caller draws, in SI, for every input in turn, three for each list.
    /// `None` for an equation that is solved elsewhere and only printed.
    pub tried: Option<Worked>,
}

/// A symbol in the catalogue.
#[derive(Clone, Copy, Debug)]
pub struct EquationSymbol {
    /// As printed.
    pub symbol: &'static str,
    /// What it stands for.
    pub meaning: &'static str,
    /// What it measures.
    pub dimension: Dimension,
}

/// Where the terms of a worked equation come from, and what they are called here.
impl Step {
    /// A symbol taken from a place in the home.
    #[must_use]
    pub fn given(self, symbol: Symbol, path: impl Into<String>) -> Step {
        self.from(symbol, Origin::Given(path.into()))
    }

    /// A symbol taken from another fact.
    #[must_use]
    pub fn fact(self, symbol: Symbol, subject: &Subject, quantity: impl Into<Cow<'static, str>>) -> Step {
        self.from(symbol, Origin::Fact(subject.clone(), quantity.into()))
    }

    /// A symbol taken from a published table or a material library, with its mark.
    #[must_use]
    pub fn published(self, symbol: Symbol, source: impl Into<String>) -> Step {
        self.from(symbol, Origin::Published(source.into()))
    }

    /// A symbol with where it comes from.
    #[must_use]
    pub fn from(self, symbol: Symbol, origin: Origin) -> Step {
        self.change(symbol, |term| term.origin = origin)
    }

    /// A symbol that stands for something more definite than the equation says.
    #[must_use]
    pub fn meaning(self, symbol: Symbol, meaning: impl Into<String>) -> Step {
        self.change(symbol, |term| term.meaning = meaning.into())
    }

    /// A term that is known already, with its words, its units and where it comes from, in place of the one with its
    /// symbol.
    #[must_use]
    pub fn with(self, known: Term) -> Step {
        let symbol = known.symbol.clone();
        self.replace(&symbol, |term| *term = known)
    }

    /// A symbol under the name it has here, in the text and in the terms: `R` as `R2c`. The last thing that is said of it.
    #[must_use]
    pub fn named(mut self, symbol: Symbol, name: impl Into<Cow<'static, str>>) -> Step {
        let name = name.into();
        self.equation = renamed(&self.equation, |found| (found == symbol.0).then(|| name.to_string())).into();
        for term in self.terms.iter_mut().chain(&mut self.result).filter(|term| term.symbol == symbol.0) {
            term.symbol = name.clone();
        }
        self
    }

    /// Each term of a list with one of `items`, in order: its meaning, its origin.
    #[must_use]
    pub fn each<T>(
        mut self,
        symbol: Symbol,
        items: impl IntoIterator<Item = T>,
        set: impl Fn(Term, T) -> Term,
    ) -> Step {
        let mut items = items.into_iter();
        let mut terms = Vec::with_capacity(self.terms.len());
        for term in self.terms {
            let next = if term.symbol == symbol.0 { items.next() } else { None };
            terms.push(match next {
                Some(item) => set(term, item),
                None => term,
            });
        }
        self.terms = terms;
        self
    }

    /// With the sums over one index written out, a label for each of their terms in place of the index: from `Σ R_j` and
    /// `1`, `2c` comes `R1 + R2c`. A long sum of one symbol, numbered from 1, is `R1 + … + R40`.
    #[must_use]
    pub fn written<L: AsRef<str>>(mut self, index: &str, labels: &[L]) -> Step {
        let suffix = format!("_{index}");
        let mut text = String::new();
        let mut rest = &*self.equation;
        while let Some(at) = rest.find('Σ') {
            let (before, sum) = rest.split_at(at);
            let (body, after) = sum.split_at(end_of_product(sum));
            rest = after;
            text += before;
            let body = body.trim_start_matches('Σ').trim();
            if !symbols(body).any(|(symbol, _)| symbol.ends_with(&suffix)) {
                text += &format!("Σ {body}");
                continue;
            }
            let mut each: Vec<String> = labels.iter().map(|label| relabelled(body, &suffix, label.as_ref())).collect();
            if each.len() > LONGEST_SUM && numbered(labels) && symbols(body).any(|(symbol, _)| symbol == body) {
                each.splice(1..each.len() - 1, ["…".to_owned()]);
            }
            let alone = before.trim_end().is_empty() || before.trim_end().ends_with(['=', '+', '(', ',']);
            text += &match each.len() {
                0 => "0".to_owned(),
                1 => each.concat(),
                _ if alone => each.join(" + "),
                _ => format!("({})", each.join(" + ")),
            };
        }
        text += rest;
        let mut counts: Vec<(Cow<'static, str>, usize)> = Vec::new();
        for term in self.terms.iter_mut().filter(|term| term.symbol.ends_with(&suffix)) {
            let known = counts.iter().position(|(symbol, _)| *symbol == term.symbol);
            let nth = known.and_then(|place| counts.get_mut(place)).map_or(0, |(_, count)| {
                *count += 1;
                *count
            });
            if known.is_none() {
                counts.push((term.symbol.clone(), 0));
            }
            if let Some(label) = labels.get(nth) {
                term.symbol = relabelled(&term.symbol, &suffix, label.as_ref()).into();
            }
        }
        self.equation = text.into();
        self
    }

    fn change(self, symbol: Symbol, change: impl FnOnce(&mut Term)) -> Step {
        self.replace(symbol.0, change)
    }

    fn replace(mut self, symbol: &str, change: impl FnOnce(&mut Term)) -> Step {
        let found = self.terms.iter_mut().chain(&mut self.result).find(|term| term.symbol == symbol);
        debug_assert!(found.is_some(), "'{}' has no symbol {symbol}", self.equation);
        if let Some(term) = found {
            change(term);
        }
        self
    }
}

/// Sums of more terms than this are written with an ellipsis.
const LONGEST_SUM: usize = 12;

/// Whether labels are 1, 2, 3 and so on.
fn numbered<L: AsRef<str>>(labels: &[L]) -> bool {
    labels.iter().zip(1..).all(|(label, number)| label.as_ref() == number.to_string())
}

/// Where the product that a text begins with ends: before `+`, `−`, a comma or a bracket that it did not open.
fn end_of_product(text: &str) -> usize {
    let mut depth = 0_usize;
    for (at, c) in text.char_indices() {
        match c {
            '(' => depth += 1,
            ')' if depth > 0 => depth -= 1,
            ')' | '+' | '−' | ',' if depth == 0 => return text[..at].trim_end().len(),
            _ => {}
        }
    }
    text.len()
}

/// The symbols of a text, each with where it begins.
fn symbols(text: &str) -> impl Iterator<Item = (&str, usize)> {
    let part = |c: char| c.is_alphabetic() || c.is_ascii_digit() || c == '_' || c == '\'';
    text.char_indices().filter_map(move |(at, c)| {
        let begins = part(c) && !text[..at].ends_with(part);
        let length = text[at..].find(|c| !part(c)).unwrap_or(text.len() - at);
        begins.then(|| (&text[at..at + length], at))
    })
}

/// A text whose symbols with an index end in a label instead.
fn relabelled(text: &str, suffix: &str, label: &str) -> String {
    renamed(text, |symbol| symbol.strip_suffix(suffix).map(|stem| format!("{stem}{label}")))
}

/// A text with other names for some of its symbols.
fn renamed(text: &str, name: impl Fn(&str) -> Option<String>) -> String {
    let (mut out, mut done) = (String::new(), 0);
    for (symbol, at) in symbols(text) {
        if let Some(name) = name(symbol) {
            out += &text[done..at];
            out += &name;
            done = at + symbol.len();
        }
    }
    out + &text[done..]
}
