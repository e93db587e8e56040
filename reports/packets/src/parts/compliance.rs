//! Compliance in brief: each code and programme with how far it is shown, the paths of the energy code, and of each
//! requirement with a number the case that leaves the least room.

use crate::packet::{Block, Pair, Section};
use crate::source::{Source, words_of};
use crate::{Cell, Table, words};
use mateline_model::home::EnergyPath;
use mateline_model::{Outcome, PackSummary, Value, Verdict};
use mateline_reports::worked;
use std::cmp::Ordering;

pub(crate) fn section(source: Source<'_>) -> Section {
    let mut blocks = vec![
        Block::paragraph(
            "What follows states what was computed from the home file and held against each code as it stands in this \
             tool. The code as adopted where the home stands decides, and so does the authority having jurisdiction.",
        ),
        Block::Table(codes(source)),
        Block::Pairs { pairs: energy_paths(source) },
    ];
    let packs = source.report.packs.iter().filter(|pack| required(source, pack).next().is_some());
    blocks.extend(packs.map(|pack| Block::Table(carrying(source, pack))).filter(|block| match block {
        Block::Table(table) => !table.rows.is_empty(),
        _ => true,
    }));
    Section { id: "compliance", title: "Compliance by code path", blocks }
}

fn required<'a>(source: Source<'a>, pack: &'a PackSummary) -> impl Iterator<Item = &'a Verdict> {
    worked::required(source.report).filter(move |verdict| verdict.pack == pack.id)
}

/// One row a pack that requires something.
fn codes(source: Source<'_>) -> Table {
    let rows = source.report.packs.iter().filter_map(|pack| {
        let count = |outcome: Outcome| required(source, pack).filter(|verdict| verdict.outcome == outcome).count();
        let all = required(source, pack).count();
        let forecast = required(source, pack).filter(|verdict| verdict.provisional.is_some()).count();
        let open: Vec<String> = [
            (count(Outcome::Short), "short"),
            (count(Outcome::Unproven), "unproven"),
            (count(Outcome::Waived), "waived"),
            (forecast, "by forecast, test owed"),
        ]
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
        let open = if open.is_empty() { "nothing".to_owned() } else { words::joined(&open) };
        let cells = [pack.title.clone(), pack.source.clone(), format!("{} of {all}", count(Outcome::Met)), open];
        (all > 0).then(|| cells.map(Cell::words).to_vec())
    });
    let heads = ["Code or programme", "Edition and source", "Required, met", "Not yet shown for good"];
    Table::schedule("compliance", "Codes and programmes", &heads, rows.collect())
        .note("Counted are requirements that concern this home; advice is left out.")
}

/// The paths of the energy code, with what was found on each.
fn energy_paths(source: Source<'_>) -> Vec<Pair> {
    let codes = source.report.home.site.codes.clone().unwrap_or_default();
    let pair = |name: &str, value: Cell| Pair { name: name.to_owned(), value };
    let chosen = match codes.energy_path {
        Some(path) => source.choice("site.codes.energy_path", &path),
        None => Cell::words("none named: each path that is worked out here is tried"),
    };
    let of = |rule: &str| source.judged().find(|verdict| verdict.rule == rule);
    let total = of("whole-envelope-ua").or_else(|| of("ua-alternative"));
    let total = total.map_or_else(
        || Cell::words("not worked out"),
        |verdict| {
            let [value, limit, _] = source.numbers(verdict);
            let (word, _) = words::outcome(verdict.outcome);
            words_of(verdict, format!("{}, {}: {word}", value.text, limit.text))
        },
    );
    let elsewhere = matches!(codes.energy_path, Some(EnergyPath::Performance | EnergyPath::RatingIndex));
    let simulated =
        if elsewhere { "worked out elsewhere; its report goes with these papers" } else { "not worked out here" };
    vec![
        pair("Path of the energy code", chosen),
        pair("Component by component", Cell::words("the U-factors and R-values below")),
        pair("Whole envelope, sum of U-factor times area", total),
        pair("Simulated performance, and rating index", Cell::words(simulated)),
    ]
}

/// Of each requirement with a limit, the case nearest to it.
fn carrying(source: Source<'_>, pack: &PackSummary) -> Table {
    let mut rules: Vec<(&Verdict, usize)> = Vec::new();
    let mut plain = 0;
    for verdict in required(source, pack) {
        if verdict.limit.is_none() {
            plain += usize::from(verdict.outcome == Outcome::Met);
            continue;
        }
        match rules.iter_mut().find(|(known, _)| known.rule == verdict.rule) {
            Some((known, count)) => {
                *count += 1;
                if nearer(verdict, known) {
                    *known = verdict;
                }
            }
            None => rules.push((verdict, 1)),
        }
    }
    let rows = rules.into_iter().map(|(verdict, count)| {
        let [value, limit, _] = source.numbers(verdict);
        let place = match (verdict.subject.section(), count) {
            ("home", _) => String::new(),
            (_, 1) => format!("; {}", verdict.subject),
            (_, count) => format!("; {}, nearest of {count}", verdict.subject),
        };
        vec![
            words_of(verdict, format!("{}{place}", verdict.title)),
            value,
            limit,
            source.outcome(verdict),
            source.cited(verdict),
        ]
    });
    let heads = ["Requirement", "Value", "Limit", "Verdict", "Source"];
    let note = match plain {
        0 => String::new(),
        1 => "One more requirement without a number is met.".to_owned(),
        many => format!("{many} more requirements without a number are met."),
    };
    Table::schedule(&format!("values-{}", pack.id), &pack.title, &heads, rows.collect()).note(note)
}

/// Whether a verdict is nearer to its limit than another of its rule: the open ones first, then by margin.
fn nearer(one: &Verdict, other: &Verdict) -> bool {
    let margin = |verdict: &Verdict| verdict.margin.as_ref().and_then(Value::number).map(|margin| margin.si);
    let by_margin = match (margin(one), margin(other)) {
        (Some(one), Some(other)) => one.total_cmp(&other),
        _ => Ordering::Equal,
    };
    one.outcome.cmp(&other.outcome).then(by_margin) == Ordering::Less
}
