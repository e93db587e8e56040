//! The worked calculation of a fact, as a person would write it on a sheet.

use crate::{nearest, printable, shown};
use mateline_model::{Fact, Report, Step, Subject, Term};
use std::fmt::Write;

/// The worked calculation of one fact, or of every fact about a subject. A quantity may be named without its plugin
/// (`u_factor` for `envelope.u_factor`).
///
/// # Errors
/// A sentence that names what is not known and what may have been meant.
pub fn explain(report: &Report, subject: &str, quantity: Option<&str>) -> Result<String, String> {
    let about: Vec<&Fact> = report.facts.of(&Subject::from(subject)).collect();
    if about.is_empty() {
        let near = nearest::remark(subject, report.facts.subjects().map(Subject::as_str));
        return Err(printable::line(&format!("no facts about '{subject}'{near}")).into_owned());
    }
    let chosen: Vec<&Fact> = match quantity {
        Some(name) => about.iter().copied().filter(|fact| is_called(fact, name)).collect(),
        None => about.clone(),
    };
    if let (true, Some(name)) = (chosen.is_empty(), quantity) {
        let near = nearest::remark(name, about.iter().map(|fact| &*fact.quantity));
        let known: Vec<&str> = about.iter().map(|fact| &*fact.quantity).collect();
        let message = format!("{subject} has no fact '{name}'{near}; it has {}", known.join(", "));
        return Err(printable::line(&message).into_owned());
    }
    let sheets: Vec<String> = chosen.into_iter().map(|fact| sheet(report, fact)).collect();
    Ok(sheets.join("\n"))
}

fn is_called(fact: &Fact, name: &str) -> bool {
    fact.quantity == name || fact.quantity.split_once('.').is_some_and(|(_, short)| short == name)
}

fn sheet(report: &Report, fact: &Fact) -> String {
    let mut text = String::new();
    let mut line = |content: String| {
        text.push_str(printable::line(&content).trim_end());
        text.push('\n');
    };
    line(format!("{}  {} = {}", fact.subject, fact.quantity, shown::fact(report, fact)));
    if let Some(definition) = report.quantities.get(&*fact.quantity) {
        line(format!("  {}", definition.meaning));
    }
    if !fact.basis.method.is_empty() {
        line(format!("  method  {}", fact.basis.method));
    }
    line(format!("  source  {}", shown::cited(&fact.basis.source, fact.basis.provenance.as_deref())));
    if let Some(at) = &fact.at {
        let note = at.note.as_deref().map(|note| format!("  {note}")).unwrap_or_default();
        line(format!("  place   {}{note}", shown::path(report, &at.path)));
    }
    for (index, step) in fact.basis.steps.iter().enumerate() {
        line(String::new());
        line(format!("  {}. {}", index + 1, step.equation));
        for row in rows(report, step) {
            line(row);
        }
    }
    if !fact.basis.assumptions.is_empty() {
        line(String::new());
        line("  assumed".to_owned());
        for assumption in &fact.basis.assumptions {
            line(format!("    - {assumption}"));
        }
    }
    text
}

/// The symbols of a step, lined up, and what comes out below them.
fn rows(report: &Report, step: &Step) -> Vec<String> {
    let cells = |term: &Term, from: String| {
        [term.symbol.to_string(), shown::value(&term.value, &term.units, report.units), term.meaning.clone(), from]
            .map(|cell| printable::line(&cell).into_owned())
    };
    let mut table: Vec<(bool, [String; 4])> =
        step.terms.iter().map(|term| (false, cells(term, shown::origin(report, &term.origin)))).collect();
    if let Some(result) = &step.result {
        table.push((true, cells(result, String::new())));
    }
    let width = |column: fn(&[String; 4]) -> &String| {
        table.iter().map(|(_, row)| column(row).chars().count()).max().unwrap_or(0)
    };
    let (symbol, value, meaning) = (width(|[s, ..]| s), width(|[_, v, ..]| v), width(|[_, _, m, _]| m));
    table
        .iter()
        .map(|(is_result, [s, v, m, from])| {
            let mut row = String::new();
            let lead = if *is_result { "  => " } else { "     " };
            // Writing to a String cannot fail.
            let _ = write!(row, "{lead}{s:symbol$} = {v:value$}  {m:meaning$}  {from}");
            row
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;

    #[test]
    fn every_number_of_a_calculation_says_where_it_comes_from() {
        let text = explain(&fixture::report(), "assemblies.wall", Some("u_factor")).expect("there is such a fact");
        for part in [
            "assemblies.wall  envelope.u_factor = 0.0520 Btu/(h·ft²·°F)",
            "Thermal transmittance of the assembly",
            "method  combined method",
            "ISO 6946:2017, 6.7.2 (from memory, high)",
            "place   home.yaml:8:7  28 % of the resistance sits here",
            "1. R_foam = d / λ",
            "home.yaml:8:41",
            "ASHRAE Fundamentals 2021, ch. 26 (from memory, med)",
            "envelope.r_clear of assemblies.wall",
            "=> U",
            "- heat flows straight through the layers",
        ] {
            assert!(text.contains(part), "{part} in\n{text}");
        }
    }

    #[test]
    fn misspelt_names_are_answered() {
        let report = fixture::report();
        let error = explain(&report, "assembly.wall", None).unwrap_err();
        assert_eq!(error, "no facts about 'assembly.wall' (did you mean 'assemblies.wall'?)");
        let error = explain(&report, "assemblies.wall", Some("envelope.u_facto")).unwrap_err();
        assert!(
            error.starts_with("assemblies.wall has no fact 'envelope.u_facto' (did you mean 'envelope.u_factor'?)")
        );
    }

    #[test]
    fn hostile_text_is_harmless() {
        let report = fixture::hostile("\u{1b}[2J\u{7}\n");
        for subject in report.facts.subjects() {
            let text = explain(&report, subject.as_str(), None).expect("every subject has facts");
            assert!(text.chars().all(|c| c == '\n' || !c.is_control()), "{text:?}");
        }
    }
}
