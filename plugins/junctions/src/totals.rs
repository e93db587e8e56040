//! All junctions together, beside the envelope.

use crate::facts;
use crate::report::Loss;
use mateline_model::quantity::{Conductance, Ratio, Units};
use mateline_model::{Basis, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

/// Writes the sum of all junctions, and the envelope's heat loss with it.
pub(crate) fn write(request: &Request<'_>, losses: &[(String, Loss)], findings: &mut Findings) {
    let home = Subject::home();
    let lack = losses.iter().find_map(|(id, loss)| loss.as_ref().err().map(|why| format!("junctions.{id}: {why}")));
    let lack = if losses.is_empty() { Some("the home has no junctions that are known".to_owned()) } else { lack };
    if let Some(because) = lack {
        for definition in [&facts::LOSS_TOTAL, &facts::SHARE_OF_LOSS, &facts::UA_WITH_JUNCTIONS] {
            findings.missing(&home, definition, because.clone(), None);
        }
        return;
    }
    let mut sum = Step::new("H = Σ ψ l");
    let mut total = Conductance::default();
    for (id, loss) in losses.iter().filter_map(|(id, loss)| Some((id, loss.as_ref().ok()?))) {
        let subject = Subject::element("junctions", id);
        sum =
            sum.term(Term::new("ψ l", subject.to_string(), *loss, Units::CONDUCTANCE).fact(&subject, facts::LOSS.name));
        total = total + *loss;
    }
    let result = Term::new("H", "heat loss coefficient of all junctions", total, Units::CONDUCTANCE);
    let basis = Basis::new("sum over the junctions", "ISO 10211:2017").provenance("from memory");
    findings.fact(&home, &facts::LOSS_TOTAL, total, basis.step(sum.result(result)));
    let Some(envelope) = request.number(&home, "envelope.ua").map(Conductance::from_si) else {
        for definition in [&facts::SHARE_OF_LOSS, &facts::UA_WITH_JUNCTIONS] {
            findings.missing(&home, definition, "envelope.ua of the home is not known", None);
        }
        return;
    };
    let whole = envelope + total;
    let ua = Term::new("UA", "envelope without junctions", envelope, Units::CONDUCTANCE).fact(&home, "envelope.ua");
    let h = Term::new("H", "junctions", total, Units::CONDUCTANCE).fact(&home, facts::LOSS_TOTAL.name);
    let step = Step::new("UA' = UA + H").term(ua.clone()).term(h.clone());
    let step = step.result(Term::new("UA'", "envelope with junctions", whole, Units::CONDUCTANCE));
    let ground = "below grade the envelope has its assemblies' own U-factors; junctions.ground_loss is not in it";
    let basis = Basis::new("envelope and junctions", "common practice, no source").step(step).assuming(ground);
    findings.fact(&home, &facts::UA_WITH_JUNCTIONS, whole, basis);
    if whole.si() <= 0.0 {
        findings.missing(&home, &facts::SHARE_OF_LOSS, "envelope and junctions together lose nothing", None);
        return;
    }
    let share = Ratio::from_si(total / whole);
    let step = Step::new("s = H/(UA + H)").term(h).term(ua).result(Term::new("s", "share", share, Units::PERCENT));
    let basis = Basis::new("share of the junctions", "common practice, no source").step(step).assuming(ground);
    findings.fact(&home, &facts::SHARE_OF_LOSS, share, basis);
}
