//! A rule as a person reads it.

use super::{Comparator, Limit, Pack, Rule};
use mateline_model::quantity::{Quantity, UnitSystem};
use std::fmt::Write;

/// The rule with its limits in both systems of units, source, mark and help.
pub fn describe(pack: &Pack, rule: &Rule) -> String {
    let mut text = String::new();
    let each =
        if rule.section.is_empty() { "the home".to_owned() } else { format!("each of {}", rule.section.join(".")) };
    let _ = writeln!(text, "{}/{}\n{}\n", pack.id, rule.id, rule.title);
    let _ = writeln!(text, "judges    {each}");
    if let Some(when) = &rule.when {
        let _ = writeln!(text, "when      {}", when.text());
    }
    if let Some(value) = &rule.value {
        let read_as = pack.reads_as.get(value.text()).map(|to| format!(" (read as {to})")).unwrap_or_default();
        let _ = writeln!(text, "value     {}{read_as}", value.text());
    }
    let limit = |limit: &Limit| shown(rule, limit);
    let _ = match &rule.comparator {
        Comparator::AtLeast(low) => writeln!(text, "at least  {}", limit(low)),
        Comparator::AtMost(high) => writeln!(text, "at most   {}", limit(high)),
        Comparator::Between(low, high) => writeln!(text, "between   {} and {}", limit(low), limit(high)),
        Comparator::OneOf(words) => writeln!(text, "one of    {}", words.join(", ")),
        Comparator::Present(true) => writeln!(text, "given     yes"),
        Comparator::Present(false) => writeln!(text, "given     no"),
        Comparator::Requires(expression) => writeln!(text, "requires  {}", expression.text()),
    };
    let severity = if rule.severity == mateline_model::Severity::Advice { "advice" } else { "required" };
    let _ = writeln!(text, "severity  {severity}");
    let _ = writeln!(text, "source    {}, {} ({})", pack.source, rule.source, rule.provenance);
    let _ = writeln!(text, "if short  {}", rule.if_short);
    if let Some(other) = &rule.satisfied_by {
        let _ = writeln!(text, "or        meet {other} for the whole home");
    }
    if let Some(caution) = &pack.caution {
        let _ = writeln!(text, "caution   {caution}");
    }
    let _ = writeln!(text, "examples  {}", rule.examples.len());
    text
}

fn shown(rule: &Rule, limit: &Limit) -> String {
    let both = |quantity: &Quantity| {
        let (ip, si) = (rule.units.show(*quantity, UnitSystem::Ip), rule.units.show(*quantity, UnitSystem::Si));
        if ip == si { ip } else { format!("{ip} ({si})") }
    };
    match limit {
        Limit::Value(quantity) => both(quantity),
        Limit::Table(table) => {
            let mut text = format!("by {}:", table.by);
            for (keys, value) in table.shown() {
                let value = value.map_or_else(|| "no limit".to_owned(), &both);
                let _ = write!(text, "\n            {keys}: {value}");
            }
            text
        }
        Limit::Fact { quantity, of, times } => {
            let of = of.as_ref().map(|of| format!(" of {of}")).unwrap_or_default();
            let times = if *times == 1.0 { String::new() } else { format!("{times} × ") };
            format!("{times}{quantity}{of}")
        }
    }
}
