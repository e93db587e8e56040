//! All junctions together, beside the envelope.

use crate::by_foundation::Ground;
use crate::facts;
use crate::report::Loss;
use crate::thicker;
use mateline_model::quantity::{Conductance, Ratio, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

/// Writes the sum of all junctions, and the envelope's heat loss with it and with the ground.
pub(crate) fn write(request: &Request<'_>, losses: &[(String, Loss)], ground: &Ground, findings: &mut Findings) {
    let home = Subject::home();
    if let Some(because) = thicker::unreadable(request) {
        findings.missing(&home, &facts::INSULATION_NEEDED, because, None);
    }
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
    match whole(request, total, ground) {
        Ok((whole, basis)) => {
            findings.fact(&home, &facts::UA_WITH_JUNCTIONS, whole, basis);
            share(total, whole, largest(request, losses), findings);
        }
        Err(because) => {
            for definition in [&facts::SHARE_OF_LOSS, &facts::UA_WITH_JUNCTIONS] {
                findings.missing(&home, definition, because.clone(), None);
            }
        }
    }
}

/// `UA' = UA − Σ H_b + H_g + H`: the ground stands in for what the envelope counts for surfaces that touch it, so that it
/// is not counted with the outdoor temperature difference as well.
fn whole(request: &Request<'_>, total: Conductance, ground: &Ground) -> Result<(Conductance, Basis), String> {
    let home = Subject::home();
    let envelope = request.number(&home, "envelope.ua").map(Conductance::from_si);
    let envelope = envelope.ok_or("envelope.ua of the home is not known")?;
    let heat = |symbol: &'static str, meaning: String, value: Conductance| {
        Term::new(symbol, meaning, value, Units::CONDUCTANCE)
    };
    let ua = heat("UA", "envelope without junctions".to_owned(), envelope).fact(&home, "envelope.ua");
    let h = heat("H", "junctions".to_owned(), total).fact(&home, facts::LOSS_TOTAL.name);
    let basis = Basis::new("envelope, junctions and ground", "ISO 13789:2017").provenance("from memory");
    let (boundary, loss) = match ground {
        Ground::Lacking(because) => return Err(format!("the heat through the ground is not known: {because}")),
        Ground::None(because) => {
            let whole = envelope + total;
            let step = Step::new("UA' = UA + H").term(ua).term(h);
            let step = step.result(heat("UA'", "envelope with junctions".to_owned(), whole));
            return Ok((whole, basis.step(step).assuming(*because)));
        }
        Ground::InPlaceOf(boundary, loss) => (*boundary, *loss),
    };
    let mut replaced = Conductance::default();
    let mut sum = Step::new("Hb = Σ U A");
    let mut found = 0;
    for subject in request.subjects("surfaces") {
        if request.text(subject, "takeoff.boundary") != Some(boundary) {
            continue;
        }
        let own = request.number(subject, "envelope.heat_loss").map(Conductance::from_si);
        let own = own.ok_or_else(|| format!("envelope.heat_loss of {subject} is not known"))?;
        sum = sum.term(heat("U A", subject.to_string(), own).fact(subject, "envelope.heat_loss"));
        replaced = replaced + own;
        found += 1;
    }
    if found == 0 {
        return Err(format!("the envelope has no surface towards {boundary} for the ground to stand in for"));
    }
    let hb = heat("Hb", format!("of it, surfaces towards {boundary}"), replaced);
    let whole = Conductance::from_si(envelope.si() - replaced.si() + loss.si() + total.si());
    let step = Step::new("UA' = UA - Hb + Hg + H")
        .term(ua)
        .term(hb.clone())
        .term(heat("Hg", "through the ground".to_owned(), loss).fact(&home, facts::GROUND_LOSS.name))
        .term(h)
        .result(heat("UA'", "envelope with junctions and ground".to_owned(), whole));
    let note = "heat through the ground is for the mean temperatures of the year, all else for those of the moment";
    Ok((whole, basis.step(sum.result(hb)).step(step).assuming(note)))
}

/// The junction that loses most, where a designer begins.
fn largest(request: &Request<'_>, losses: &[(String, Loss)]) -> Option<Pointer> {
    let known = losses.iter().filter_map(|(id, loss)| Some((id, loss.as_ref().ok()?)));
    let (id, loss) = known.max_by(|(_, a), (_, b)| a.si().total_cmp(&b.si()))?;
    let words = Units::CONDUCTANCE.show((*loss).into(), request.home.units);
    Some(Pointer::noted(format!("junctions.{id}"), format!("{words} is lost here, the most of all junctions")))
}

fn share(total: Conductance, whole: Conductance, at: Option<Pointer>, findings: &mut Findings) {
    let home = Subject::home();
    if whole.si() <= 0.0 {
        findings.missing(&home, &facts::SHARE_OF_LOSS, "envelope and junctions together lose nothing", None);
        return;
    }
    let share = Ratio::from_si(total / whole);
    let heat = |symbol: &'static str, meaning: &str, value: Conductance, fact: &'static str| {
        Term::new(symbol, meaning.to_owned(), value, Units::CONDUCTANCE).fact(&home, fact)
    };
    let step = Step::new("s = H/UA'")
        .term(heat("H", "junctions", total, "junctions.loss_total"))
        .term(heat("UA'", "envelope with junctions and ground", whole, "junctions.ua_with_junctions"))
        .result(Term::new("s", "share", share, Units::PERCENT));
    let basis = Basis::new("share of the junctions", "common practice, no source").step(step);
    let at = at.unwrap_or_else(|| Pointer::new("junctions"));
    findings.fact_at(&home, &facts::SHARE_OF_LOSS, share, basis, at);
}
