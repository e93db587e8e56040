//! What the records say for each finish and opening: certificate, label, product and lot; and the chain of custody for each
//! box. A record that belongs to another product says nothing.

use crate::category;
use crate::claim::Claim;
use crate::content::holds_composite_wood;
use crate::evidence::{Limits, State};
use crate::facts;
use mateline_model::home::{Evidence, EvidenceKind, Finish, Home, Id};
use mateline_model::quantity::Units;
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

/// Facts of every finish, opening and box.
pub(crate) fn report(home: &Home, limits: &Limits, findings: &mut Findings) {
    for (id, finish) in &home.finishes {
        let claim = Claim::of_finish(id, finish);
        for wanted in [
            Wanted {
                kinds: &[EvidenceKind::EmissionCertificate],
                definition: &facts::EMISSION_CERTIFICATE,
                name: "emission certificate",
            },
            Wanted {
                kinds: &[EvidenceKind::CompositeWoodLabel],
                definition: &facts::COMPOSITE_WOOD_LABEL,
                name: "composite wood label",
            },
        ] {
            best(home, limits, &claim, &wanted, findings);
        }
        matching(home, &claim, !finish.evidence.is_empty(), findings);
    }
    for (id, opening) in &home.openings {
        let wanted = Wanted {
            kinds: &[EvidenceKind::ProductLabel, EvidenceKind::TestReport],
            definition: &facts::PRODUCT_RECORD,
            name: "product label or test report",
        };
        best(home, limits, &Claim::of_opening(id, opening), &wanted, findings);
    }
    custody(home, limits, findings);
}

/// A record that is looked for.
struct Wanted<'a> {
    kinds: &'a [EvidenceKind],
    definition: &'a QuantityDef,
    name: &'a str,
}

/// The state of the best record of a kind that belongs to the product: valid before expired; what cannot be shown is
/// missing, with the reason of the first.
fn best(home: &Home, limits: &Limits, claim: &Claim<'_>, wanted: &Wanted<'_>, findings: &mut Findings) {
    let (mut best, mut because): (Option<(&Id, State)>, Option<Lack>) = (None, None);
    for (id, record) in claim.records(home).filter(|(_, record)| wanted.kinds.contains(&record.kind)) {
        match claim.state(home, limits, id, record) {
            Ok(state) if best.is_none_or(|(_, known)| state > known) => best = Some((id, state)),
            Ok(_) => {}
            Err(lack) => because = because.or(Some(lack)),
        }
    }
    let subject = &claim.subject;
    match (best, because) {
        (Some((id, state)), _) => {
            let record = Subject::element("evidence", id);
            let word = || Value::Text(state.word().to_owned());
            let term = Term::new("state", format!("best {}", wanted.name), word(), Units::plain(0));
            let step = Step::procedure("state").term(term.given(record.to_string()));
            let basis = Basis::new("best record of its kind that belongs to the product", "common practice, no source");
            findings.fact_at(subject, wanted.definition, word(), basis.step(step), Pointer::new(record.as_str()));
        }
        (None, Some(lack)) => lack.write(subject, &[wanted.definition], findings),
        (None, None) => {
            let lack = Lack::at(format!("{subject} names no {}", wanted.name), subject.as_str());
            lack.write(subject, &[wanted.definition], findings);
        }
    }
}

/// Whether the records are for this product, maker, model, lot and category.
fn matching(home: &Home, claim: &Claim<'_>, rests: bool, findings: &mut Findings) {
    if !rests {
        let lack = Lack::at(format!("{} names no records", claim.subject), claim.subject.as_str());
        return lack.write(&claim.subject, &[&facts::EVIDENCE_MATCHES], findings);
    }
    let subject = &claim.subject;
    let mut basis = Basis::new("the product against its records, field by field", "common practice, no source");
    let mut differs = None;
    for (id, record) in claim.records(home) {
        let path = format!("evidence.{id}");
        let compared = match claim.compare(id, record) {
            Ok(compared) => compared,
            Err(lack) => return lack.write(subject, &[&facts::EVIDENCE_MATCHES], findings),
        };
        for one in compared {
            let field = one.field;
            let term = |whose: &str, text: &str, path: String| {
                Term::new(field, whose.to_owned(), Value::Text(text.to_owned()), Units::plain(0)).given(path)
            };
            let step = Step::procedure(format!("{field} = {field}"))
                .term(term("of the product", &one.own, format!("{subject}.{field}")))
                .term(term("of the record", &one.theirs, format!("{path}.{field}")));
            basis = basis.step(step);
            if !one.same {
                let note = format!("{field} is '{}', not '{}'", one.theirs, one.own);
                differs = differs.or_else(|| Some(Pointer::noted(format!("{path}.{field}"), note)));
            }
        }
    }
    let at = differs.clone().unwrap_or_else(|| Pointer::new(format!("{subject}.evidence")));
    findings.fact_at(subject, &facts::EVIDENCE_MATCHES, Value::Flag(differs.is_none()), basis, at);
}

/// Composite wood in the rooms of each box, and how much of it a chain of custody backs.
fn custody(home: &Home, limits: &Limits, findings: &mut Findings) {
    for id in home.modules.keys() {
        let subject = Subject::element("modules", id);
        let in_box = |finish: &Finish| {
            let rooms = crate::amount::rooms(home, finish);
            rooms.iter().any(|(_, space)| space.within.iter().any(|within| within == id))
        };
        let inside = home.finishes.iter().filter(|(_, finish)| in_box(finish));
        let open = inside.clone().find_map(|(finish, body)| {
            let path = format!("finishes.{finish}");
            let may = category::may_hold_composite_wood(&path, body);
            let open = body.composite_wood.is_none() && body.panel.is_none() && may != Ok(false);
            open.then(|| Lack::at(format!("{path} does not say whether it holds composite wood"), path))
        });
        if let Some(lack) = open {
            lack.write(&subject, &[&facts::PANEL_COUNT, &facts::CUSTODY_COUNT], findings);
            continue;
        }
        let panels: Vec<(&Id, &Finish)> = inside.filter(|(_, finish)| holds_composite_wood(finish)).collect();
        let backed: Vec<(&Id, &Finish)> =
            panels.iter().copied().filter(|(id, finish)| chain(home, limits, id, finish).is_some()).collect();
        let count = |name: &'static str, meaning: &str, found: &[(&Id, &Finish)]| {
            let mut step = Step::procedure(format!("{name} = Σ 1"));
            for (finish, body) in found.iter().take(40) {
                let path = chain(home, limits, finish, body)
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

/// A valid chain-of-custody record for the product and lot of a finish.
fn chain<'a>(home: &'a Home, limits: &Limits, id: &Id, finish: &Finish) -> Option<&'a Id> {
    let claim = Claim::of_finish(id, finish);
    let is_theirs = |(id, record): &(&Id, &Evidence)| {
        let named = finish.evidence.contains(id) || finish.lot.is_some();
        record.kind == EvidenceKind::ChainOfCustody
            && named
            && claim.state(home, limits, id, record) == Ok(State::Valid)
    };
    home.evidence.iter().find(is_theirs).map(|(id, _)| id)
}
