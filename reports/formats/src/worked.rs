//! Worked calculations: which facts deserve a sheet, and which sheets are one calculation done for several subjects.

use mateline_model::{Basis, Fact, Origin, Outcome, Report, Severity, Term, Value, Verdict};
use std::collections::{BTreeMap, BTreeSet};

/// The fact a verdict judged: its subject's, or, where a rule looks elsewhere, the only one of that quantity.
pub fn judged<'a>(report: &'a Report, verdict: &Verdict) -> Option<&'a Fact> {
    let quantity = verdict.quantity.as_deref()?;
    report.facts.get(&verdict.subject, quantity).or_else(|| {
        let mut elsewhere = report.facts.iter().filter(|fact| fact.quantity == quantity);
        elsewhere.next().filter(|_| elsewhere.next().is_none())
    })
}

/// The facts that a verdict rests on: the one it judged, and those that its rule reads beside it, for its limit too.
pub fn rests_on<'a>(report: &'a Report, verdict: &Verdict) -> Vec<&'a Fact> {
    let pack = report.packs.iter().find(|pack| pack.id == verdict.pack);
    let reads = pack.and_then(|pack| pack.reads.get(&verdict.rule)).into_iter().flatten();
    let read = reads.filter_map(|read| report.facts.get(read.of.as_ref().unwrap_or(&verdict.subject), &read.quantity));
    judged(report, verdict).into_iter().chain(read).collect()
}

/// Facts that verdicts rest on and that take a calculation, and the calculations that these were built on, in the order of
/// the report.
pub fn behind<'a>(report: &'a Report, verdicts: impl Iterator<Item = &'a Verdict>) -> Vec<&'a Fact> {
    let mut found: BTreeSet<(&str, &str)> = BTreeSet::new();
    let mut next: Vec<&Fact> = verdicts.flat_map(|verdict| rests_on(report, verdict)).collect();
    while let Some(fact) = next.pop() {
        if !found.insert((fact.subject.as_str(), &fact.quantity)) {
            continue;
        }
        for term in fact.basis.steps.iter().flat_map(|step| &step.terms) {
            if let Origin::Fact(subject, quantity) = &term.origin {
                next.extend(report.facts.get(subject, quantity));
            }
        }
    }
    let is_found = |fact: &&Fact| found.contains(&(fact.subject.as_str(), &*fact.quantity));
    report.facts.iter().filter(|fact| !fact.basis.steps.is_empty()).filter(is_found).collect()
}

/// Verdicts that are required and concern this home.
pub fn required(report: &Report) -> impl Iterator<Item = &Verdict> {
    let concerns = |verdict: &&Verdict| verdict.outcome != Outcome::NotApplicable;
    report.verdicts.iter().filter(concerns).filter(|verdict| verdict.severity == Severity::Required)
}

/// One calculation: worked in full for one subject, and as a row for each other subject it was done for.
#[derive(Clone, Debug)]
pub struct Worked<'a> {
    /// The one worked in full.
    pub example: &'a Fact,
    /// All of them, the example too; empty where there is only the one.
    pub all: Vec<&'a Fact>,
}

/// More sheets of one quantity than these tell a reader nothing new.
const MOST_SHEETS: usize = 6;

/// Facts of one quantity by one method with the same equations, together; where that leaves many sheets of one quantity,
/// also those that differ in how many terms they sum up.
pub fn folded<'a>(facts: &[&'a Fact]) -> Vec<Worked<'a>> {
    let mut strict: Vec<Worked<'a>> = Vec::new();
    let mut known: BTreeMap<(&str, Shape<'_>), usize> = BTreeMap::new();
    for fact in facts {
        let at = *known.entry((&*fact.quantity, Shape::of(&fact.basis))).or_insert(strict.len());
        match strict.get_mut(at) {
            Some(worked) => worked.all.push(fact),
            None => strict.push(Worked { example: fact, all: vec![fact] }),
        }
    }
    let mut sheets: BTreeMap<&str, usize> = BTreeMap::new();
    strict.iter().for_each(|worked| *sheets.entry(&*worked.example.quantity).or_default() += 1);
    let (mut folded, many): (Vec<_>, Vec<_>) = strict
        .into_iter()
        .partition(|worked| sheets.get(&*worked.example.quantity).is_none_or(|count| *count <= MOST_SHEETS));
    folded.extend(like_the_longest(many));
    folded.sort_by_key(|worked| facts.iter().position(|fact| std::ptr::eq(*fact, worked.example)));
    for worked in folded.iter_mut().filter(|worked| worked.all.len() == 1) {
        worked.all.clear();
    }
    folded
}

/// Of each quantity and method the calculation with the most kinds of steps, with all others that take no other kinds.
fn like_the_longest(mut many: Vec<Worked<'_>>) -> Vec<Worked<'_>> {
    many.sort_by_key(|worked| std::cmp::Reverse((kinds(worked.example).len(), worked.example.basis.steps.len())));
    let mut folded: Vec<Worked<'_>> = Vec::new();
    for worked in many {
        let fact = worked.example;
        let fits = |longer: &&mut Worked<'_>| {
            let other = longer.example;
            let alike = (&other.quantity, &other.basis.method, &other.basis.source)
                == (&fact.quantity, &fact.basis.method, &fact.basis.source);
            alike && kinds(fact).is_subset(&kinds(other))
        };
        match folded.iter_mut().find(fits) {
            Some(longer) => longer.all.extend(worked.all),
            None => folded.push(worked),
        }
    }
    folded
}

/// The equations of a calculation without numbers, and sums of like terms as one term.
fn kinds(fact: &Fact) -> BTreeSet<String> {
    let kind = |equation: &str| {
        let plain: String = equation.chars().filter(|c| !c.is_ascii_digit()).collect();
        let mut terms: Vec<&str> = plain.split(" + ").collect();
        terms.dedup_by_key(|term| term.trim_matches(|c: char| !c.is_alphabetic()).to_owned());
        terms.join(" + ")
    };
    fact.basis.steps.iter().map(|step| kind(&step.equation)).collect()
}

/// What is alike in a calculation whatever it is about.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Shape<'a> {
    method: &'a str,
    source: &'a str,
    /// Of each step: equation, symbols and what comes out.
    steps: Vec<(&'a str, Vec<&'a str>, Option<&'a str>)>,
}

impl<'a> Shape<'a> {
    fn of(basis: &'a Basis) -> Shape<'a> {
        let steps = basis.steps.iter().map(|step| {
            let symbols = step.terms.iter().map(|term| &*term.symbol).collect();
            (&*step.equation, symbols, step.result.as_ref().map(|term| &*term.symbol))
        });
        Shape { method: &basis.method, source: &basis.source, steps: steps.collect() }
    }
}

/// Which term of a calculation a column shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Input {
    /// That at a step and a place in it: the calculations are alike in every step.
    At(usize, usize),
    /// That of a symbol in the last step: they differ in how many steps lead there.
    InLast(String),
}

impl Input {
    /// The term of a fact.
    pub fn of<'f>(&self, fact: &'f Fact) -> Option<&'f Term> {
        match self {
            Input::At(step, place) => fact.basis.steps.get(*step)?.terms.get(*place),
            Input::InLast(symbol) => fact.basis.steps.last()?.terms.iter().find(|term| term.symbol == *symbol),
        }
    }
}

impl Worked<'_> {
    /// The terms that a table of all subjects shows: those that are no intermediate result and are not alike for all,
    /// each once.
    pub fn inputs(&self) -> Vec<Input> {
        let shape = Shape::of(&self.example.basis);
        let steps = &self.example.basis.steps;
        let candidates: Vec<Input> = if self.all.iter().all(|fact| Shape::of(&fact.basis) == shape) {
            let places = steps.iter().enumerate();
            places.flat_map(|(step, it)| (0..it.terms.len()).map(move |place| Input::At(step, place))).collect()
        } else {
            let last = steps.last().into_iter().flat_map(|step| &step.terms);
            last.map(|term| Input::InLast(term.symbol.to_string())).collect()
        };
        let mut inputs: Vec<Input> = Vec::new();
        let mut columns: Vec<Vec<Option<(&str, &Value)>>> = Vec::new();
        for input in candidates {
            let is_computed = input.of(self.example).is_none_or(|term| matches!(term.origin, Origin::Computed));
            let column: Vec<_> =
                self.all.iter().map(|fact| input.of(fact).map(|term| (&*term.symbol, &term.value))).collect();
            let is_alike = column.iter().all(|cell| Some(cell) == column.first());
            let is_whole = column.iter().all(Option::is_some);
            if is_whole && !is_computed && !is_alike && !columns.contains(&column) {
                inputs.push(input);
                columns.push(column);
            }
        }
        inputs
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;
    use mateline_model::quantity::{Quantity, Units};
    use mateline_model::{Step, Subject};

    #[test]
    fn a_rule_that_looks_elsewhere_still_finds_its_fact() {
        let report = fixture::report();
        let elsewhere = Verdict {
            subject: Subject::home(),
            quantity: Some("envelope.u_factor".to_owned()),
            ..report.verdicts[0].clone()
        };
        assert_eq!(judged(&report, &elsewhere).map(|fact| fact.subject.as_str()), Some("assemblies.wall"));
    }
    fn of(subject: &str, quantity: &'static str, steps: &[(&'static str, &[(&'static str, f64)])]) -> Fact {
        let term = |(symbol, value): &(&'static str, f64)| Term {
            symbol: (*symbol).into(),
            meaning: String::new(),
            value: Value::Number(Quantity::plain(*value)),
            units: Units::plain(0),
            origin: Origin::Given("x".to_owned()),
        };
        let mut fact = fixture::report().facts.iter().next().unwrap().clone();
        fact.subject = subject.into();
        fact.quantity = quantity.into();
        let steps = steps
            .iter()
            .map(|(equation, terms)| Step { terms: terms.iter().map(term).collect(), ..Step::new(*equation) });
        fact.basis.steps = steps.collect();
        fact
    }

    #[test]
    fn calculations_that_differ_by_subject_are_one_with_the_terms_that_differ() {
        let facts = [
            of("a", "q.x", &[("y = a b", &[("a", 1.0), ("b", 2.0)])]),
            of("b", "q.x", &[("y = a b", &[("a", 1.0), ("b", 3.0)])]),
            of("c", "q.x", &[("y = a + b", &[("a", 1.0), ("b", 3.0)])]),
            of("d", "q.z", &[("y = a b", &[("a", 1.0), ("b", 2.0)])]),
        ];
        let facts: Vec<&Fact> = facts.iter().collect();
        let folded = folded(&facts);
        let subjects: Vec<Vec<&str>> =
            folded.iter().map(|w| w.all.iter().map(|fact| fact.subject.as_str()).collect()).collect();
        assert_eq!(subjects, [vec!["a", "b"], vec![], vec![]]);
        assert_eq!(folded[0].inputs(), [Input::At(0, 1)], "a is alike for both");
    }

    #[test]
    fn many_that_differ_in_how_much_they_sum_are_worked_once_for_the_longest() {
        let sums: [&[(&str, f64)]; 8] = [
            &[("S1", 1.0), ("Q", 1.0)],
            &[("S1", 1.0), ("S2", 1.0), ("Q", 2.0)],
            &[("S1", 1.0), ("S2", 1.0), ("S3", 1.0), ("Q", 3.0)],
            &[("S1", 1.0), ("S2", 1.0), ("S3", 1.0), ("S4", 1.0), ("Q", 4.0)],
            &[("S1", 1.0), ("S2", 1.0), ("S3", 1.0), ("S4", 1.0), ("S5", 1.0), ("Q", 5.0)],
            &[("S1", 1.0), ("S2", 1.0), ("S4", 1.0), ("S5", 1.0), ("Q", 6.0)],
            &[("S2", 1.0), ("S4", 1.0), ("S5", 1.0), ("Q", 7.0)],
            &[("S3", 1.0), ("Q", 8.0)],
        ];
        let equation = "C = (S1 + S2)/Q";
        let facts: Vec<Fact> = sums.iter().map(|terms| of("room", "q.c", &[(equation, terms)])).collect();
        let facts: Vec<&Fact> = facts.iter().collect();
        let folded = folded(&facts);
        assert_eq!((folded.len(), folded[0].all.len()), (1, 8));
        assert_eq!(folded[0].inputs(), [Input::InLast("Q".to_owned())]);
    }
}
