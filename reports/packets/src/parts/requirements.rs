//! Every requirement that concerns the home: limit, value, margin, verdict, source and evidence.

use crate::packet::{Block, Section};
use crate::source::{Source, words_of};
use crate::{Cell, Table};
use mateline_model::home::Id;
use mateline_model::{Outcome, PackSummary, Verdict};
use mateline_reports::shown;

pub(crate) fn section(source: Source<'_>) -> Section {
    let blocks = source.report.packs.iter().filter_map(|pack| table(source, pack)).map(Block::Table);
    Section { id: "requirements", title: "Requirements", blocks: blocks.collect() }
}

fn table(source: Source<'_>, pack: &PackSummary) -> Option<Table> {
    let mut verdicts: Vec<&Verdict> = source.judged().filter(|verdict| verdict.pack == pack.id).collect();
    verdicts.sort_by_key(|verdict| verdict.outcome);
    // What one rule finds alike of several subjects stands in one row.
    let mut alike: Vec<Alike<'_>> = Vec::new();
    for verdict in &verdicts {
        let numbers = source.numbers(verdict);
        let evidence = evidence(source, verdict);
        let known = alike.iter_mut().rev().find(|row| {
            let texts = row.numbers.iter().zip(&numbers).all(|(one, other)| one.text == other.text);
            texts && row.verdict.rule == verdict.rule && row.verdict.outcome == verdict.outcome
        });
        match known {
            Some(row) => {
                row.subjects.push(verdict.subject.to_string());
                row.evidence.push(evidence);
            }
            None => alike.push(Alike {
                verdict,
                numbers,
                subjects: vec![verdict.subject.to_string()],
                evidence: vec![evidence],
            }),
        }
    }
    let rows = alike.into_iter().map(|mut row| {
        let verdict = row.verdict;
        row.evidence.dedup();
        let [value, limit, margin] = row.numbers;
        vec![
            words_of(verdict, &verdict.title),
            source.cited(verdict),
            words_of(verdict, row.subjects.join(", ")),
            source.outcome(verdict),
            value,
            limit,
            margin,
            Cell::words(row.evidence.join(", ")),
        ]
    });
    let heads = ["Requirement", "Source", "Concerns", "Verdict", "Value", "Limit", "Margin", "Evidence"];
    let rows: Vec<Vec<Cell>> = rows.collect();
    let skipped = source.report.verdicts.iter();
    let skipped = skipped.filter(|v| v.pack == pack.id && v.outcome == Outcome::NotApplicable).count();
    let note = match skipped {
        0 => String::new(),
        1 => "One verdict on what this home does not have is left out.".to_owned(),
        many => format!("{many} verdicts on what this home does not have are left out."),
    };
    let name = format!("requirements-{}", pack.id);
    (!rows.is_empty()).then(|| Table::schedule(&name, &pack.title, &heads, rows).above(2).note(note))
}

/// Verdicts of one rule that came out alike.
struct Alike<'a> {
    verdict: &'a Verdict,
    numbers: [Cell; 3],
    subjects: Vec<String>,
    evidence: Vec<String>,
}

/// The records of the subject, or the line that states the value.
fn evidence(source: Source<'_>, verdict: &Verdict) -> String {
    let home = &source.report.home;
    let id = verdict.subject.id();
    let records: Option<&Vec<Id>> = match verdict.subject.section() {
        "finishes" => home.finishes.get(id).map(|finish| &finish.evidence),
        "openings" => home.openings.get(id).map(|opening| &opening.evidence),
        "seams" => source.report.home.seam(verdict.subject.id()).map(|(_, seam)| &seam.evidence),
        _ => None,
    };
    let names: Vec<String> = records.into_iter().flatten().map(ToString::to_string).collect();
    let line = verdict.at.as_ref().map(shown::place).unwrap_or_default();
    if names.is_empty() { line } else { names.join(", ") }
}
