//! What is met and what is open, for a reader without the codes at hand.

use crate::packet::{Block, Section};
use crate::source::{Source, words_of};
use crate::{Cell, Table, words};
use mateline_model::{OpenPoint, Outcome, Verdict};
use mateline_reports::{shown, worked};

pub(crate) fn section(source: Source<'_>) -> Section {
    let rows = source.report.packs.iter().map(|pack| {
        let required = || worked::required(source.report).filter(|verdict| verdict.pack == pack.id);
        let of = |outcome: Outcome| required().filter(|verdict| verdict.outcome == outcome).count();
        let met = match required().count() {
            0 => "asks for nothing, gives advice".to_owned(),
            all => format!("{} of {all}", of(Outcome::Met)),
        };
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
            Cell::words(met),
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

/// What is open by one rule.
struct Alike<'a> {
    first: &'a Verdict,
    subjects: Vec<String>,
    waiting: Vec<&'a Verdict>,
}

/// The open points in plain words, alike ones together, with what waits for them.
pub(crate) fn open(source: Source<'_>) -> Section {
    let mut rules: Vec<Alike<'_>> = Vec::new();
    for OpenPoint { verdict, under } in source.open() {
        let subject = verdict.subject.id().to_owned();
        match rules.iter_mut().find(|alike| alike.first.full_name() == verdict.full_name()) {
            Some(alike) => {
                alike.subjects.push(subject);
                alike.waiting.extend(under);
            }
            None => rules.push(Alike { first: verdict, subjects: vec![subject], waiting: under }),
        }
    }
    let row = |Alike { first, subjects, waiting }: Alike<'_>| {
        vec![
            words_of(first, &first.title),
            Cell::words(words::joined(&subjects)),
            source.outcome(first),
            words_of(first, found(first)),
            Cell::words(shown::waiting(&waiting).unwrap_or_default()),
        ]
    };
    let rows: Vec<Vec<Cell>> = rules.into_iter().map(row).collect();
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
