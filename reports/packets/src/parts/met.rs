//! What is met and what is open, for a reader without the codes at hand.

use crate::packet::{Block, Section};
use crate::source::{Source, words_of};
use crate::{Cell, Table, words};
use mateline_model::{OpenPoint, Outcome, Verdict};
use mateline_reports::acts::{self, Act, Actor};
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

/// What was found, with what was asked; nothing where there is no number.
fn found(source: Source<'_>, verdict: &Verdict) -> String {
    let [value, limit, _] = source.numbers(verdict);
    match (&verdict.value, &verdict.limit) {
        (Some(_), Some(_)) => format!("{}, asked is {}", value.text, limit.text),
        _ => String::new(),
    }
}

/// What is open by one rule.
struct Alike<'a> {
    first: &'a Verdict,
    act: Act,
    count: usize,
    waiting: Vec<&'a Verdict>,
}

/// The open points in plain words, without names of elements or files: what the owner decides, what others still owe, and
/// what could be better than is asked.
pub(crate) fn open(source: Source<'_>) -> Section {
    let mut rules: Vec<Alike<'_>> = Vec::new();
    for OpenPoint { verdict, under } in source.open() {
        let act = acts::of(source.report, verdict);
        match rules.iter_mut().find(|alike| alike.first.full_name() == verdict.full_name() && alike.act == act) {
            Some(alike) => {
                alike.count += 1;
                alike.waiting.extend(under);
            }
            None => rules.push(Alike { first: verdict, act, count: 1, waiting: under }),
        }
    }
    let (yours, others): (Vec<_>, Vec<_>) = rules.into_iter().partition(|alike| alike.act.who == Actor::Owner);
    let (owed, advice): (Vec<_>, Vec<_>) = others.into_iter().partition(|alike| alike.first.fails());
    let row = |alike: &Alike<'_>| {
        let Alike { first, act, count, waiting } = alike;
        let places = if *count > 1 { format!(" ({count} places)") } else { String::new() };
        let state = if first.outcome == Outcome::Short { "missed" } else { "not yet shown" };
        let mark = first.fails().then(|| words::outcome(first.outcome).1);
        vec![
            words_of(first, format!("{}{places}", first.title)),
            Cell { mark, ..words_of(first, state) },
            words_of(first, found(source, first)),
            words_of(first, act.who.word()),
            words_of(first, &act.by),
            Cell::words(shown::waiting(waiting).unwrap_or_default()),
        ]
    };
    let heads = ["What is asked", "State", "Found", "Who acts", "By when", "What waits for it"];
    let table = |title: &str, rules: &[Alike<'_>]| {
        let rows: Vec<Vec<Cell>> = rules.iter().map(row).collect();
        (!rows.is_empty()).then(|| Block::Table(Table::plain(title, &heads, rows)))
    };
    // Nobody has to act on advice.
    let better = |rules: &[Alike<'_>]| {
        let rows = rules.iter().map(|alike| {
            let [what, _, found, _, _, waits] = <[Cell; 6]>::try_from(row(alike)).ok()?;
            let is_short = alike.first.outcome == Outcome::Short;
            let found = match found.text.is_empty() {
                true => words_of(alike.first, if is_short { "not so" } else { "not yet shown" }),
                false => found,
            };
            Some(vec![what, found, waits])
        });
        let rows: Vec<Vec<Cell>> = rows.flatten().collect();
        let table = Table::plain("Could be better than is asked", &["What", "Found", "What waits for it"], rows);
        (!rules.is_empty()).then(|| {
            Block::Table(
                table.note("Advice asks for more than a code or programme requires; nothing of it has to be done."),
            )
        })
    };
    let blocks =
        [table("For you to decide", &yours), table("Required, and still owed by others", &owed), better(&advice)];
    let mut blocks: Vec<Block> = blocks.into_iter().flatten().collect();
    if blocks.is_empty() {
        blocks.push(Block::paragraph("Nothing is open."));
    }
    Section { id: "open-points", title: "What is still open", blocks }
}
