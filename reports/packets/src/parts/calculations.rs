//! Worked calculations. The verifier gets those that a requirement rests on, each worked once with a table of what differs
//! from subject to subject; the record gets those that any verdict rests on, each on a sheet of its own.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, Trace};
use mateline_model::{Fact, Report, Value};
use mateline_reports::sheet::Sheet;
use mateline_reports::shown;
use mateline_reports::worked::{self, Input, Worked};

/// Columns of inputs that a page has room for.
const MOST_INPUTS: usize = 7;

/// Where the calculations are, for a packet that has them in its annex.
pub(crate) fn elsewhere() -> Section {
    let text = "The annex beside these papers, annex.html and where it was written annex.pdf, has every verdict with value, \
                limit and evidence, the junctions with their temperatures, the compounds forecast in the air of each \
                room, and each calculation that a requirement rests on.";
    Section { id: "calculations", title: "Verdicts and calculations", blocks: vec![Block::paragraph(text)] }
}

/// The calculations that a requirement rests on, folded.
pub(crate) fn of_requirements(source: Source<'_>) -> Section {
    let facts = worked::behind(source.report, worked::required(source.report));
    let mut blocks = vec![Block::paragraph(
        "Each calculation that a requirement rests on, and each that it is built on. One that was done alike for several \
         subjects is worked in full for the first of them; a table gives what differs for the others. The project record \
         holds every sheet.",
    )];
    let mut folded = worked::folded(&facts);
    folded.sort_by_key(|worked| worked.example.quantity.split('.').next().map(str::to_owned));
    blocks.extend(folded.iter().map(|worked| {
        let all = (!worked.all.is_empty()).then(|| table(source, worked));
        Block::Sheet { sheet: sheet(source.report, worked.example), all }
    }));
    Section { id: "calculations", title: "Calculations", blocks }
}

/// The calculations that any verdict rests on, each in full.
pub(crate) fn of_verdicts(source: Source<'_>) -> Section {
    let mut blocks = vec![Block::paragraph(
        "One sheet for each fact that a verdict rests on and that takes a calculation, and for each calculation that such \
         a fact is built on.",
    )];
    let facts = worked::behind(source.report, source.judged());
    blocks.extend(facts.into_iter().map(|fact| Block::Sheet { sheet: sheet(source.report, fact), all: None }));
    Section { id: "calculations", title: "Calculations", blocks }
}

/// What differs from subject to subject, and what comes out.
fn table(source: Source<'_>, worked: &Worked<'_>) -> Table {
    let report = source.report;
    let inputs: Vec<_> = worked.inputs().into_iter().take(MOST_INPUTS).collect();
    let symbol = |at: &Input| at.of(worked.example).map_or("", |term| &*term.symbol);
    let result = worked.example.basis.steps.last().and_then(|step| step.result.as_ref());
    let comes_out = result.map_or("Result", |term| &*term.symbol);
    let heads: Vec<&str> =
        std::iter::once("Subject").chain(inputs.iter().map(symbol)).chain([comes_out, "Line"]).collect();
    let rows = worked.all.iter().map(|fact| {
        let of_input = |at: &Input| match at.of(fact) {
            Some(term) => Cell::traced(
                shown::value(&term.value, &term.units, report.units),
                Trace::Term {
                    subject: fact.subject.clone(),
                    quantity: fact.quantity.to_string(),
                    symbol: term.symbol.to_string(),
                },
                matches!(term.value, Value::Number(_)),
            ),
            None => Cell::words(""),
        };
        let line = fact.at.as_ref().map(|at| shown::path(report, &at.path)).unwrap_or_default();
        let mut row = vec![Cell::words(fact.subject.to_string())];
        row.extend(inputs.iter().map(of_input));
        row.extend([source.of(fact), Cell::words(line)]);
        row
    });
    let title = format!("{} of all {} subjects", worked.example.quantity, worked.all.len());
    Table::plain(title, &heads, rows.collect())
}

fn sheet(report: &Report, fact: &Fact) -> Box<Sheet> {
    Box::new(Sheet::of(report, fact, |_, _| None))
}
