//! What only the record holds: every fact, the requirements that do not concern this home, plugins, all other figures.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::{Drawing, Entry, Outcome, Pointer};
use mateline_reports::{ReportError, shown};

/// The figures that no other section shows.
pub(crate) fn other_figures(source: Source<'_>) -> Result<Section, ReportError> {
    let blocks = super::figures(source, |figure| match &figure.drawing {
        Drawing::Plan { .. }
        | Drawing::Elevation { .. }
        | Drawing::Section { .. }
        | Drawing::SeamPlan { .. }
        | Drawing::Field { .. } => false,
        Drawing::Chart { .. } => figure.subject.section() != "measurements",
        Drawing::Paths { .. } => figure.key != super::AIR_PATHS,
        Drawing::Bars { .. } => true,
        Drawing::Table { .. } => figure.key != super::SIDE_BY_SIDE,
    })?;
    Ok(Section { id: "figures", title: "Other figures", blocks })
}

/// Every fact with its method and line; of one that could not be found, why.
pub(crate) fn facts(source: Source<'_>) -> Section {
    let line = |at: &Option<Pointer>| {
        Cell::words(at.as_ref().map(|at| shown::path(source.report, &at.path)).unwrap_or_default())
    };
    let rows = source.report.entries().into_iter().map(|entry| match entry {
        Entry::Known(fact) => vec![
            Cell::words(fact.subject.to_string()),
            Cell::words(fact.quantity.to_string()),
            source.of(fact),
            Cell::words(fact.basis.method.to_string()),
            Cell::words(shown::cited(&fact.basis.source, fact.basis.provenance.as_deref())),
            line(&fact.at),
        ],
        Entry::Unknown(missing) => vec![
            Cell::words(missing.subject.to_string()),
            Cell::words(missing.quantity.to_string()),
            Cell::words(shown::NOT_KNOWN),
            Cell::words(&missing.because),
            Cell::words(""),
            line(&missing.at),
        ],
    });
    let heads = ["Subject", "Quantity", "Value", "Method", "Source", "Line"];
    let table = Table::schedule("facts", "", &heads, rows.collect());
    Section { id: "facts", title: "Facts", blocks: vec![Block::Table(table)] }
}

/// The requirements that do not concern this home.
pub(crate) fn not_applicable(source: Source<'_>) -> Section {
    let mut rules: Vec<(String, String, Vec<String>)> = Vec::new();
    for verdict in source.report.verdicts.iter().filter(|v| v.outcome == Outcome::NotApplicable) {
        let name = verdict.full_name();
        match rules.iter_mut().find(|(known, ..)| *known == name) {
            Some((.., subjects)) => subjects.push(verdict.subject.to_string()),
            None => rules.push((name, verdict.title.clone(), vec![verdict.subject.to_string()])),
        }
    }
    let rows = rules
        .into_iter()
        .map(|(name, title, subjects)| vec![Cell::words(name), Cell::words(title), Cell::words(subjects.join(", "))]);
    let table = Table::schedule(
        "not-applicable",
        "Not applicable",
        &["Rule", "Requirement", "Does not concern"],
        rows.collect(),
    );
    Section { id: "not-applicable", title: "Not applicable", blocks: vec![Block::Table(table)] }
}

/// What computed the facts.
pub(crate) fn plugins(source: Source<'_>) -> Section {
    let rows = source.report.plugins.iter().map(|plugin| {
        vec![
            Cell::words(&plugin.name),
            Cell::words(&plugin.version),
            Cell::words(&plugin.about),
            Cell::words(plugin.failure.as_ref().map_or_else(|| "ran".to_owned(), |why| format!("failed: {why}"))),
        ]
    });
    let heads = ["Plugin", "Version", "What it computes", "This time"];
    let table = Table::schedule("plugins", "", &heads, rows.collect());
    Section { id: "plugins", title: "What computed the facts", blocks: vec![Block::Table(table)] }
}
