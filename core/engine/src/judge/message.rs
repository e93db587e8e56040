//! The sentence of a verdict, with its numbers.

use super::Evidence;
use super::rule_scope::RuleScope;
use crate::expr::Scope;
use crate::pack::{Comparator, Rule, section_path};
use mateline_model::{Outcome, Value, Verdict};

/// The comparison in words; of several words those that are right.
pub(super) fn comparison(comparator: &Comparator) -> String {
    let words = match comparator {
        Comparator::AtLeast(_) => "at least",
        Comparator::AtMost(_) => "at most",
        Comparator::Between(..) => "between",
        Comparator::OneOf(words) => return format!("one of {}", words.join(", ")),
        Comparator::Present(true) => "given",
        Comparator::Present(false) => "left out",
        Comparator::Requires(_) => "required",
    };
    words.to_owned()
}

/// What a met or short verdict says.
pub(super) fn sentence(rule: &Rule, verdict: &Verdict, evidence: &dyn Evidence) -> String {
    let met = verdict.outcome == Outcome::Met;
    let system = evidence.units();
    match (&rule.comparator, &verdict.value, &verdict.limit) {
        (comparator, Some(Value::Number(value)), Some(Value::Number(limit))) => {
            let (value, limit) = rule.units.show_pair(*value, *limit, system);
            let (value, limit) = (plainly(rule, value), plainly(rule, limit));
            let label = label(rule, evidence);
            match (comparator, met) {
                (Comparator::AtMost(_), true) => format!("{label} {value} is within the greatest allowed, {limit}"),
                (Comparator::AtMost(_), false) => format!("{label} {value} is above {limit}"),
                (Comparator::AtLeast(_), true) => format!("{label} {value} reaches {limit}"),
                (Comparator::AtLeast(_), false) => format!("{label} {value} is below {limit}"),
                (_, true) => format!("{label} {value} lies in its range"),
                (_, false) => format!("{label} {value} lies outside its range, beyond {limit}"),
            }
        }
        (Comparator::OneOf(words), Some(value), _) => {
            let value = plainly(rule, value.show(&rule.units, system));
            let (label, words) = (label(rule, evidence), words.join(", "));
            if met { format!("{label} is {value}") } else { format!("{label} is {value}, not one of {words}") }
        }
        (Comparator::Present(wanted), value, _) => {
            let label = label(rule, evidence);
            match (met, *wanted, value) {
                (true, true, Some(value)) => {
                    format!("{label} is given: {}", plainly(rule, value.show(&rule.units, system)))
                }
                (true, true, None) => format!("{label} is given"),
                (true, false, _) => format!("{label} is left out"),
                (false, true, _) => format!("{label} is not given"),
                (false, false, _) => format!("{label} is given"),
            }
        }
        (Comparator::Requires(_), value, _) => {
            let shown = |value: &Value| format!(" ({})", plainly(rule, value.show(&rule.units, system)));
            let shown = value.as_ref().map(shown).unwrap_or_default();
            let title = lower_first(&rule.title);
            if met { format!("{title}: so{shown}") } else { format!("{title}: not so{shown}") }
        }
        _ => rule.title.clone(),
    }
}

/// The sections that a rule counts and of which nothing is said.
pub(super) fn counted_as_none<'r>(rule: &'r Rule, scope: &RuleScope<'_>) -> Vec<&'r str> {
    let mut sections: Vec<&str> = rule.expressions().flat_map(crate::expr::Expression::counted).collect();
    sections.dedup();
    sections
        .retain(|section| scope.is_section(section) && scope.evidence.absent(&section_path(Some(section))).is_some());
    sections
}

/// What is missing.
pub(super) fn unproven(missing: &[String]) -> String {
    let mut parts: Vec<&str> = missing.iter().map(String::as_str).take(3).collect();
    let more = format!("and {} more", missing.len().saturating_sub(3));
    if missing.len() > 3 {
        parts.push(&more);
    }
    if parts.is_empty() { "something it needs is missing".to_owned() } else { parts.join("; ") }
}

/// A pack's help as a note: lower-case start, no full stop.
pub(super) fn help(if_short: &str) -> String {
    lower_first(if_short.trim_end().trim_end_matches('.'))
}

/// A number without unit that no plugin defines, without the zeros it ends with.
fn plainly(rule: &Rule, shown: String) -> String {
    let units = &rule.units;
    let is_number = shown.parse::<f64>().is_ok() && shown.contains('.');
    if !is_number || !units.si.is_empty() {
        return shown;
    }
    shown.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The value's name: that of its quantity, or the expression.
fn label(rule: &Rule, evidence: &dyn Evidence) -> String {
    if let Some(definition) = rule.quantity.as_deref().and_then(|name| evidence.definition(name)) {
        return lower_first(&definition.label());
    }
    match (&rule.quantity, &rule.value) {
        (Some(name), _) => spoken(name.rsplit('.').next().unwrap_or(name)),
        (None, Some(_)) | (None, None) => lower_first(&rule.title),
    }
}

/// A field's name as it is spoken.
fn spoken(field: &str) -> String {
    match field {
        "u_factor" => "U-factor".to_owned(),
        "shgc" => "solar heat gain coefficient".to_owned(),
        "filter_merv" => "filter class MERV".to_owned(),
        "by" => "who does it".to_owned(),
        other => other.replace(['_', '-'], " "),
    }
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    match (letters.next(), letters.clone().next()) {
        // An abbreviation keeps its capitals.
        (Some(first), Some(second)) if first.is_uppercase() && !second.is_uppercase() && second != '-' => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}
