//! Whether one rule is at least as strict as another that it stands in for.

use super::{Comparator, Expression, Limit, PARAMETER, Probe, Row, Rule, Table};
use mateline_model::Severity;
use mateline_model::quantity::{Quantity, UnitSystem, Units, number, parse};
use std::cmp::Ordering;

/// What comes of comparing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Strictness {
    /// Whatever meets the new rule meets the old one.
    AtLeast,
    /// Something would meet the new rule and not the old one.
    Looser(String),
    /// It cannot be told, because the rules differ in more than their limits.
    Unclear(String),
}

/// Compares a rule with the one it stands in for.
pub(super) fn compare(old: &Rule, new: &Rule) -> Strictness {
    if old.severity == Severity::Required && new.severity == Severity::Advice {
        return Strictness::Looser("it only advises, where a shortfall failed the run".to_owned());
    }
    if !old.waivable && new.waivable {
        return Strictness::Looser("it can be waived, which it could not".to_owned());
    }
    let ends = new.effective.until.is_some_and(|until| old.effective.until.is_none_or(|old| until < old));
    if new.effective.from > old.effective.from || ends {
        return Strictness::Looser("it is in force for a shorter time".to_owned());
    }
    if let Some(old) = &old.provisional
        && new.provisional.as_ref().is_none_or(|new| new.unless.text() != old.unless.text())
    {
        return Strictness::Looser(format!("it is met for good where the other says '{}'", old.says));
    }
    if new.satisfied_by.iter().any(|other| !old.satisfied_by.contains(other)) {
        return Strictness::Unclear("it can be met by way of another rule".to_owned());
    }
    if let Some(other) = old.together_with.iter().find(|other| !new.together_with.contains(other)) {
        return Strictness::Looser(format!("it is met without {other}"));
    }
    let text = |read: &Option<Expression>| read.as_ref().map(|read| read.text().to_owned());
    if new.section != old.section || (text(&new.when) != text(&old.when) && new.when.is_some()) {
        return Strictness::Unclear("it concerns other elements".to_owned());
    }
    if text(&new.value) != text(&old.value) {
        return Strictness::Unclear("it judges another value".to_owned());
    }
    match (&old.comparator, &new.comparator) {
        (Comparator::AtMost(old), Comparator::AtMost(limit)) => limits(new, old, limit, Ordering::Greater),
        (Comparator::AtLeast(old), Comparator::AtLeast(limit)) => limits(new, old, limit, Ordering::Less),
        (Comparator::Between(old_low, old_high), Comparator::Between(low, high)) => {
            match limits(new, old_low, low, Ordering::Less) {
                Strictness::AtLeast => limits(new, old_high, high, Ordering::Greater),
                other => other,
            }
        }
        (Comparator::OneOf(old), Comparator::OneOf(words)) => match words.iter().find(|word| !old.contains(word)) {
            Some(word) => Strictness::Looser(format!("it also allows '{word}'")),
            None => Strictness::AtLeast,
        },
        (Comparator::Present(old), Comparator::Present(new)) if old == new => Strictness::AtLeast,
        (Comparator::Requires(old), Comparator::Requires(new)) if old.text() == new.text() => Strictness::AtLeast,
        _ => Strictness::Unclear("it compares in another way".to_owned()),
    }
}

/// Compares limits. `looser` is the order of the new limit to the old one that lets more through.
fn limits(rule: &Rule, old: &Limit, new: &Limit, looser: Ordering) -> Strictness {
    let word = if looser == Ordering::Greater { "above" } else { "below" };
    match (old, new) {
        (Limit::Fact { quantity: a, of: b, times: old }, Limit::Fact { quantity, of, times })
            if a == quantity && b == of =>
        {
            factors(*old, *times, looser, &format!("of {quantity}"))
        }
        (Limit::Parameter { parameter: a, times: old }, Limit::Parameter { parameter, times }) if a == parameter => {
            factors(*old, *times, looser, &format!("of the parameter {parameter}"))
        }
        (old, Limit::Expression(new))
            if new.bounds(looser == Ordering::Greater).iter().any(|end| holds(end, old, looser)) =>
        {
            Strictness::AtLeast
        }
        (Limit::Value(_) | Limit::Table(..), Limit::Value(_) | Limit::Table(..)) => {
            let tables: Vec<&Table<Quantity>> = [old, new].into_iter().filter_map(table).collect();
            if let [one, other] = tables.as_slice()
                && (one.by != other.by || one.measure != other.measure)
            {
                return Strictness::Unclear(format!("its table is by {}, not by {}", other.by, one.by));
            }
            let probes: Vec<Probe> = tables.iter().flat_map(|table| table.probes()).collect();
            // Two plain values need no probe, but one turn.
            let turns = if probes.is_empty() { vec![None] } else { probes.iter().map(Some).collect() };
            for probe in turns {
                // Where the old rule sets no limit, or has no row, no limit is looser.
                let Set::To(before) = at(old, probe) else { continue };
                let place = tables
                    .first()
                    .zip(probe)
                    .map_or_else(String::new, |(table, probe)| format!(" for {} {}", table.by, shown(table, probe)));
                match at(new, probe) {
                    Set::To(after) if after.si.total_cmp(&before.si) == looser => {
                        let (after, before) = rule.units.show_pair(after, before, UnitSystem::Ip);
                        return Strictness::Looser(format!("{after} is {word} {before}{place}"));
                    }
                    Set::Nothing => return Strictness::Looser(format!("it sets no limit{place}")),
                    // A value without a row cannot be judged, so nothing meets the rule.
                    Set::To(_) | Set::Unset => {}
                }
            }
            Strictness::AtLeast
        }
        _ => Strictness::Unclear("its limit is of another kind".to_owned()),
    }
}

/// Whether a piece that the new limit is never looser than is the old limit, or a value at least as strict.
fn holds(piece: &str, old: &Limit, looser: Ordering) -> bool {
    match old {
        Limit::Value(old) => {
            parse(piece).is_ok_and(|value| value.dimension == old.dimension && value.si.total_cmp(&old.si) != looser)
        }
        Limit::Fact { quantity, of: None, times } if *times == 1.0 => piece == quantity,
        Limit::Parameter { parameter, times } if *times == 1.0 => piece == format!("{PARAMETER}{parameter}"),
        Limit::Expression(old) => piece == old.line(),
        Limit::Table(..) | Limit::Fact { .. } | Limit::Parameter { .. } => false,
    }
}

fn factors(old: f64, new: f64, looser: Ordering, of: &str) -> Strictness {
    let word = if looser == Ordering::Greater { "above" } else { "below" };
    if new.total_cmp(&old) == looser {
        return Strictness::Looser(format!("{} times is {word} {} times {of}", number(new, 3), number(old, 3)));
    }
    Strictness::AtLeast
}

pub(super) fn table(limit: &Limit) -> Option<&Table<Quantity>> {
    if let Limit::Table(table, _) = limit { Some(table) } else { None }
}

/// What a limit is at a value.
pub(super) enum Set {
    To(Quantity),
    Nothing,
    Unset,
}

pub(super) fn at(limit: &Limit, probe: Option<&Probe>) -> Set {
    match (limit, probe) {
        (Limit::Value(quantity), _) => Set::To(*quantity),
        (Limit::Table(table, _), Some(probe)) => match table.row(probe) {
            Row::Found(_, quantity) => Set::To(*quantity),
            Row::Between(_, low, high, share) => {
                Set::To(Quantity::new(low.si + (high.si - low.si) * share, low.dimension))
            }
            Row::NoLimit(_) => Set::Nothing,
            Row::Gap | Row::Overlap(..) => Set::Unset,
        },
        _ => Set::Unset,
    }
}

fn shown(table: &Table<Quantity>, probe: &Probe) -> String {
    match probe {
        Probe::Word(word) if word == "\u{1}" => "of any other kind".to_owned(),
        Probe::Word(word) => word.clone(),
        Probe::Value(value) => match table.measure.dimension() {
            Some(dimension) => Units::usual(dimension).show(Quantity::new(*value, dimension), UnitSystem::Ip),
            None => value.to_string(),
        },
    }
}
