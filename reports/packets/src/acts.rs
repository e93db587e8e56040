//! Who can close an open point: the party that the home names for it, the tester where a test is missing, and the designer
//! where the home names nobody.

use crate::Cell;
use crate::source::Source;
use mateline_model::home::{Id, Party};
use mateline_model::{Outcome, Value, Verdict};

/// Who acts on a verdict that is open.
pub(crate) fn who(source: Source<'_>, verdict: &Verdict) -> Cell {
    let id = verdict.subject.id();
    let home = &source.report.home;
    let given = |path: String, by: Option<Party>| by.map(|by| source.choice(path, &by));
    let missing = verdict.outcome == Outcome::Unproven;
    let party = match verdict.subject.section() {
        "evidence" => owed(source, id),
        // A product that falls short is the designer's to change; a record that is missing is owed by someone.
        "finishes" if missing => home.finishes.get(id).and_then(|finish| {
            let records = finish.evidence.iter().find_map(|record: &Id| owed(source, record.as_ref()));
            records.or_else(|| given(format!("finishes.{id}.by"), finish.by))
        }),
        "seams" => super::parts::seams::described(source, &verdict.subject)
            .and_then(|(id, seam)| given(format!("seams.{id}.by"), seam.by)),
        "penetrations" => home.penetrations.get(id).and_then(|hole| given(format!("penetrations.{id}.by"), hole.by)),
        _ => None,
    };
    let is_test = verdict.subject.section() == "measurements"
        || verdict.quantity.as_deref().is_some_and(|quantity| quantity.starts_with("airtightness.test_"));
    party.unwrap_or_else(|| Cell::words(if missing && is_test { "tester" } else { "designer" }))
}

/// Who owes a record.
fn owed(source: Source<'_>, id: &str) -> Option<Cell> {
    let fact = source.report.facts.get(&format!("evidence.{id}").as_str().into(), "materials.evidence_owed_by")?;
    matches!(fact.value, Value::Text(_)).then(|| source.of(fact))
}
