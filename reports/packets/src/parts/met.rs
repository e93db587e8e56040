//! What is met and what is open, for a reader without the codes at hand.

use crate::packet::{Block, Section};
use crate::source::{Source, words_of};
use crate::{Cell, Table, words};
use mateline_model::{OpenPoint, Outcome, Verdict};
use mateline_reports::shown;

pub(crate) fn section(source: Source<'_>) -> Section {
    let rows = source.report.packs.iter().map(|pack| {
        let of = |outcome: Outcome| source.judged().filter(|v| v.pack == pack.id && v.outcome == outcome).count();
        let all = source.judged().filter(|verdict| verdict.pack == pack.id).count();
        let open: Vec<String> = [
            (of(Outcome::Short), "missed"),
            (of(Outcome::Unproven), "not yet shown"),
            (of(Outcome::Waived), "waived by agreement"),
        ]
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
        vec![
            Cell::words(&pack.title),
            Cell::words(format!("{} of {all}", of(Outcome::Met))),
            Cell::words(if open.is_empty() { "nothing".to_owned() } else { words::joined(&open) }),
        ]
    });
    let heads = ["Code or programme", "Requirements met", "Open"];
    let table = Table::plain("", &heads, rows.collect());
    Section { id: "met", title: "What is met", blocks: vec![Block::Table(table)] }
}

/// What is wrong, with its numbers; where something is missing, what would help, which says it in fewer names.
fn found(verdict: &Verdict) -> String {
    let help = verdict.help.as_ref().filter(|_| verdict.outcome == Outcome::Unproven);
    words::sentence(help.unwrap_or(&verdict.message))
}

/// The open points in plain words, alike ones together, with what waits for them.
pub(crate) fn open(source: Source<'_>) -> Section {
    let mut rows: Vec<(String, Vec<Cell>, Vec<String>, Vec<&Verdict>)> = Vec::new();
    for OpenPoint { verdict, under } in source.open() {
        let key = verdict.full_name();
        match rows.iter_mut().find(|(known, ..)| *known == key) {
            Some((_, _, subjects, waiting)) => {
                subjects.push(verdict.subject.id().to_owned());
                waiting.extend(under);
            }
            None => {
                let cells =
                    vec![words_of(verdict, &verdict.title), source.outcome(verdict), words_of(verdict, found(verdict))];
                rows.push((key, cells, vec![verdict.subject.id().to_owned()], under));
            }
        }
    }
    let rows: Vec<Vec<Cell>> = rows
        .into_iter()
        .map(|(_, mut cells, subjects, waiting)| {
            cells.insert(1, Cell::words(words::joined(&subjects)));
            cells.push(Cell::words(shown::waiting(&waiting).unwrap_or_default()));
            cells
        })
        .collect();
    let blocks = if rows.is_empty() {
        vec![Block::paragraph("Nothing is open.")]
    } else {
        let heads = ["What was asked", "Where", "State", "What was found, or what is missing", "What waits for it"];
        vec![Block::Table(Table::plain("", &heads, rows).note(
            "Short: the design misses it. Unproven: a test, a certificate or a value is still missing. Advice asks for \
             more than a code or programme requires.",
        ))]
    };
    Section { id: "open-points", title: "What is open", blocks }
}
