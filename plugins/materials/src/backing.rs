//! What the records say for each finish: certificate, label, product and lot; and the chain of custody for each box.

use crate::category;
use crate::content::holds_composite_wood;
use crate::evidence::{State, lack, state};
use crate::facts;
use mateline_model::home::{Evidence, EvidenceKind, Finish, FinishKind, Home, Id, Name};
use mateline_model::quantity::Units;
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

/// Facts of every finish and box.
pub(crate) fn report(home: &Home, findings: &mut Findings) {
    for (id, finish) in &home.finishes {
        let subject = Subject::element("finishes", id);
        let emits = category::kind(subject.as_str(), finish) != Ok(FinishKind::Pipe);
        let certificate =
            (EvidenceKind::EmissionCertificate, &facts::EMISSION_CERTIFICATE, "emission certificate", emits);
        let holds = holds_composite_wood(finish);
        let label = (EvidenceKind::CompositeWoodLabel, &facts::COMPOSITE_WOOD_LABEL, "composite wood label", holds);
        for (kind, definition, name, owed) in [certificate, label] {
            best(home, &subject, finish, (kind, definition, name, owed), findings);
        }
        matching(home, &subject, finish, findings);
    }
    custody(home, findings);
}

/// Records of a finish, with their ids.
fn records<'a>(home: &'a Home, finish: &'a Finish) -> impl Iterator<Item = (&'a Id, &'a Evidence)> {
    finish.evidence.iter().filter_map(|id| home.evidence.get_key_value(id))
}

/// The state of the best record of a kind: valid before not yet issued before expired.
fn best(
    home: &Home,
    subject: &Subject,
    finish: &Finish,
    (kind, definition, name, owed): (EvidenceKind, &QuantityDef, &str, bool),
    findings: &mut Findings,
) {
    let of_kind = records(home, finish).filter(|(_, record)| record.kind == kind);
    let best =
        of_kind.map(|(id, record)| (id, state(record, home.revision.date))).fold(None, |best, next| match best {
            Some((_, state)) if state >= next.1 => best,
            _ => Some(next),
        });
    match best {
        Some((id, state)) if state.is_shown() => {
            let record = Subject::element("evidence", id);
            let term =
                Term::new("state", format!("best {name}"), Value::Text(state.word().to_owned()), Units::plain(0));
            let step = Step::procedure("state").term(term.fact(&record, facts::EVIDENCE_STATE.name));
            let basis =
                Basis::new("best record of its kind that the finish names", "common practice, no source").step(step);
            let at = Pointer::new(record.as_str());
            findings.fact_at(subject, definition, Value::Text(state.word().to_owned()), basis, at);
        }
        Some((id, state)) => lack(&Subject::element("evidence", id), state).write(subject, &[definition], findings),
        None if owed => {
            let lack = Lack::at(format!("{subject} names no {name}"), subject.as_str());
            lack.write(subject, &[definition], findings);
        }
        None => {}
    }
}

/// Whether the records are for this product and lot.
fn matching(home: &Home, subject: &Subject, finish: &Finish, findings: &mut Findings) {
    if finish.evidence.is_empty() {
        return;
    }
    let Some(product) = &finish.product else {
        let lack = Lack::at(format!("{subject} names records and no product"), subject.as_str());
        return lack.write(subject, &[&facts::EVIDENCE_MATCHES], findings);
    };
    let mut basis = Basis::new("product and lot of the finish against its records", "common practice, no source");
    let mut differs = None;
    for (id, record) in records(home, finish) {
        let path = format!("evidence.{id}");
        let Some(named) = &record.product else {
            let lack = Lack::at(format!("{path} names no product"), path);
            return lack.write(subject, &[&facts::EVIDENCE_MATCHES], findings);
        };
        for (field, own, theirs) in
            [("product", Some(product), Some(named)), ("lot", finish.lot.as_ref(), record.lot.as_ref())]
        {
            let (Some(own), Some(theirs)) = (own, theirs) else { continue };
            let text = |text: &Name| Value::Text(text.to_string());
            let step = Step::procedure(format!("{field} = {field}"))
                .term(Term::new(field, "of the finish", text(own), Units::plain(0)).given(format!("{subject}.{field}")))
                .term(
                    Term::new(field, "of the record", text(theirs), Units::plain(0)).given(format!("{path}.{field}")),
                );
            basis = basis.step(step);
            if !same(own, theirs) {
                let note = format!("{field} is '{theirs}', not '{own}'");
                differs = differs.or_else(|| Some(Pointer::noted(format!("{path}.{field}"), note)));
            }
        }
    }
    let at = differs.clone().unwrap_or_else(|| Pointer::new(format!("{subject}.evidence")));
    findings.fact_at(subject, &facts::EVIDENCE_MATCHES, Value::Flag(differs.is_none()), basis, at);
}

/// Names are the same but for case and the space around them.
fn same(a: &Name, b: &Name) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

/// Composite wood in the rooms of each box, and how much of it a chain of custody backs.
fn custody(home: &Home, findings: &mut Findings) {
    for id in home.modules.keys() {
        let subject = Subject::element("modules", id);
        let in_box = |finish: &Finish| {
            let rooms = crate::amount::rooms(home, finish);
            rooms.iter().any(|(_, space)| space.within.iter().any(|within| within == id))
        };
        let panels = home.finishes.iter().filter(|(_, finish)| holds_composite_wood(finish) && in_box(finish));
        let panels: Vec<(&Id, &Finish)> = panels.collect();
        if panels.is_empty() {
            continue;
        }
        let backed: Vec<(&Id, &Finish)> =
            panels.iter().copied().filter(|(_, finish)| chain(home, finish).is_some()).collect();
        let count = |name: &'static str, meaning: &str, found: &[(&Id, &Finish)]| {
            let mut step = Step::procedure(format!("{name} = Σ 1"));
            for (finish, body) in found.iter().take(40) {
                let path = chain(home, body)
                    .map_or_else(|| format!("finishes.{finish}"), |record| format!("evidence.{record}"));
                let path = if name == "n" { format!("finishes.{finish}") } else { path };
                step = step.term(Term::new("1", finish.to_string(), 1.0, Units::plain(0)).given(path));
            }
            let result = Term::new(name, meaning, found.len() as f64, Units::plain(0));
            Basis::new("finishes in the rooms of the box, counted", "the home").step(step.result(result))
        };
        findings.count(
            &subject,
            &facts::PANEL_COUNT,
            panels.len(),
            count("n", "finishes with composite wood", &panels),
        );
        let basis = count("m", "of these, with a valid chain of custody", &backed);
        findings.count(&subject, &facts::CUSTODY_COUNT, backed.len(), basis);
    }
}

/// A valid chain-of-custody record that the finish names, or that names its product and lot.
fn chain<'a>(home: &'a Home, finish: &Finish) -> Option<&'a Id> {
    let is_theirs = |id: &Id, record: &Evidence| {
        let both = |own: &Option<Name>, theirs: &Option<Name>| match (own, theirs) {
            (Some(own), Some(theirs)) => same(own, theirs),
            _ => false,
        };
        finish.evidence.contains(id) || both(&finish.product, &record.product) && both(&finish.lot, &record.lot)
    };
    let found = home.evidence.iter().find(|(id, record)| {
        let valid = state(record, home.revision.date) == State::Valid;
        record.kind == EvidenceKind::ChainOfCustody && valid && is_theirs(id, record)
    });
    found.map(|(id, _)| id)
}
