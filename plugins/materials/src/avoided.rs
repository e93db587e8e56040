//! Listed contents against the kinds of substances to avoid.

use crate::claim::Claim;
use crate::evidence::{Limits, State};
use crate::facts;
use crate::substance::matches;
use mateline_model::home::{EvidenceKind, Finish, Home, Id};
use mateline_model::quantity::Units;
use mateline_model::{Basis, Pointer, Step, Subject, Term, Value};
use mateline_sdk::Findings;

/// Facts of every finish.
pub(crate) fn report(home: &Home, limits: &Limits, findings: &mut Findings) {
    for (id, finish) in &home.finishes {
        let subject = Subject::element("finishes", id);
        let declared = declared(home, limits, id, finish);
        let path = match &declared {
            Some(path) => path.clone(),
            None => subject.to_string(),
        };
        let path = if declared.as_deref() == Some("contains") { format!("{subject}.contains") } else { path };
        let term = Term::new("declared", "contents", Value::Flag(declared.is_some()), Units::plain(0)).given(path);
        let basis = Basis::new("contents listed, or a valid statement of them named", "common practice, no source");
        let basis = basis.step(Step::procedure("declared").term(term));
        findings.flag(&subject, &facts::CONTENTS_DECLARED, declared.is_some(), basis);
        found(&subject, finish, declared.is_some(), findings);
    }
}

/// Where the contents are declared: in the list itself (`contains`), or in a record of this product.
fn declared(home: &Home, limits: &Limits, id: &Id, finish: &Finish) -> Option<String> {
    if !finish.contains.is_empty() {
        return Some("contains".to_owned());
    }
    let claim = Claim::of_finish(id, finish);
    let statement = claim.records(home).find(|(id, record)| {
        record.kind == EvidenceKind::ContentStatement && claim.state(home, limits, id, record) == Ok(State::Valid)
    });
    statement.map(|(id, _)| format!("evidence.{id}"))
}

fn found(subject: &Subject, finish: &Finish, declared: bool, findings: &mut Findings) {
    let mut kinds: Vec<&str> = Vec::new();
    let mut basis = Basis::new("contents matched by CAS number and name", "substance list of this plugin")
        .provenance("CAS numbers and kinds from memory")
        .assuming("a content that no kind names is taken as none of them");
    let mut first = None;
    for (index, content) in finish.contains.iter().enumerate() {
        for (id, kind, what) in matches(content) {
            let path = format!("{subject}.contains.{index}");
            let name =
                Term::new("content", content.to_string(), Value::Text(what), Units::plain(0)).given(path.clone());
            let title = Term::new("kind", kind.title.clone(), Value::Text(id.to_owned()), Units::plain(0));
            let title = title.published(format!("{} ({})", kind.handle, kind.provenance));
            basis = basis.step(Step::procedure("kind of content").term(name).result(title));
            first = first.or_else(|| Some(Pointer::noted(path, kind.title.clone())));
            if !kinds.contains(&id) {
                kinds.push(id);
            }
        }
    }
    if kinds.is_empty() && !declared {
        let because = format!("{subject} does not say what it contains");
        for definition in [&facts::AVOIDED, &facts::AVOIDED_COUNT] {
            findings.missing(subject, definition, because.clone(), Some(Pointer::new(subject.as_str())));
        }
        return;
    }
    if finish.contains.is_empty() {
        basis = basis.assuming("a valid statement of contents is named and nothing is listed, so nothing is in it");
    }
    for (index, content) in finish.contains.iter().enumerate().take(if kinds.is_empty() { 40 } else { 0 }) {
        let term = Term::new("content", "listed", Value::Text(content.to_string()), Units::plain(0));
        basis =
            basis.step(Step::procedure("content of no kind").term(term.given(format!("{subject}.contains.{index}"))));
    }
    let text = if kinds.is_empty() { "none".to_owned() } else { kinds.join(", ") };
    let at = first.unwrap_or_else(|| Pointer::new(subject.as_str()));
    findings.fact_at(subject, &facts::AVOIDED, Value::Text(text), basis.clone(), at.clone());
    findings.fact_at(subject, &facts::AVOIDED_COUNT, kinds.len() as f64, basis, at);
}
