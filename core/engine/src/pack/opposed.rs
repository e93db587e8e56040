//! Rules that cannot both hold, because they pull one value of one element apart.

use super::strictness::{Set, at, table};
use super::{Comparator, Limit, Pack, Probe, Rule};
use mateline_model::quantity::UnitSystem;
use std::collections::BTreeMap;
use std::fmt;

/// Two rules that no element meets both.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clash {
    /// The full names of the two.
    pub rules: (String, String),
    /// What each asks, after the value's name.
    pub why: String,
}

impl Clash {
    /// Whether it is between these two.
    pub(crate) fn is_of(&self, one: &str, other: &str) -> bool {
        let (a, b) = &self.rules;
        (a == one && b == other) || (a == other && b == one)
    }
}

impl fmt::Display for Clash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (one, two) = &self.rules;
        write!(f, "{one} and {two} cannot both hold: {}", self.why)
    }
}

/// Every pair of rules that no element meets. Where two rules say in different words which elements they
/// concern, they may never meet on one: the verdicts tell.
pub fn opposed<'a>(packs: impl IntoIterator<Item = &'a Pack>) -> Vec<Clash> {
    let mut groups: BTreeMap<(String, String), Vec<(&Pack, &Rule)>> = BTreeMap::new();
    for pack in packs {
        for rule in pack.rules.iter().filter(|rule| rule.satisfied_by.is_empty()) {
            let Some(value) = rule.value.as_ref().map(|value| value.text().to_owned()) else { continue };
            let value = pack.reads_as.get(&value).cloned().unwrap_or(value);
            groups.entry((rule.section.join("."), value)).or_default().push((pack, rule));
        }
    }
    let mut found = Vec::new();
    for ((_, value), rules) in &groups {
        for (index, (pack, rule)) in rules.iter().enumerate() {
            for (other_pack, other) in rules.get(index + 1..).unwrap_or_default() {
                let apart = if meet(rule, other) { apart(rule, other).or_else(|| apart(other, rule)) } else { None };
                if let Some(why) = apart {
                    let rules = (format!("{}/{}", pack.id, rule.id), format!("{}/{}", other_pack.id, other.id));
                    found.push(Clash { rules, why: format!("{value} {why}") });
                }
            }
        }
    }
    found
}

/// Whether what one rule concerns, the other does too, for all that can be told.
fn meet(one: &Rule, other: &Rule) -> bool {
    let text = |rule: &Rule| rule.when.as_ref().map(|when| when.text().to_owned());
    let (a, b) = (text(one), text(other));
    let both = one.effective.and(other.effective);
    let overlap = both.from.zip(both.until).is_none_or(|(from, until)| from < until);
    overlap && (a == b || a.is_none() || b.is_none())
}

/// What the two ask, where nothing satisfies both; `low` is the rule that asks for more.
fn apart(low: &Rule, high: &Rule) -> Option<String> {
    let least = match &low.comparator {
        Comparator::AtLeast(limit) | Comparator::Between(limit, _) => Some(limit),
        _ => None,
    };
    let most = match &high.comparator {
        Comparator::AtMost(limit) | Comparator::Between(_, limit) => Some(limit),
        _ => None,
    };
    match (&low.comparator, &high.comparator, least, most) {
        (_, _, Some(least), Some(most)) => crossed(low, least, most),
        (Comparator::OneOf(a), Comparator::OneOf(b), ..) if !a.iter().any(|word| b.contains(word)) => {
            Some(format!("one of {} and one of {}", a.join(", "), b.join(", ")))
        }
        (Comparator::Present(true), Comparator::Present(false), ..) => Some("given and left out".to_owned()),
        _ => None,
    }
}

/// The first value at which the least that one rule asks lies above the most that the other allows.
fn crossed(rule: &Rule, least: &Limit, most: &Limit) -> Option<String> {
    let tables: Vec<_> = [least, most].into_iter().filter_map(table).collect();
    if let [one, other] = tables.as_slice()
        && (one.by != other.by || one.measure != other.measure)
    {
        return None;
    }
    let probes: Vec<Probe> = tables.iter().flat_map(|table| table.probes()).collect();
    let turns = if probes.is_empty() { vec![None] } else { probes.iter().map(Some).collect() };
    turns.into_iter().find_map(|probe| match (at(least, probe), at(most, probe)) {
        (Set::To(low), Set::To(high)) if low.si > high.si => {
            let (low, high) = rule.units.show_pair(low, high, UnitSystem::Ip);
            let place = match (tables.first(), probe) {
                (Some(table), Some(Probe::Word(word))) => format!(" for {} {word}", table.by),
                _ => String::new(),
            };
            Some(format!("at least {low} and at most {high}{place}"))
        }
        _ => None,
    })
}
