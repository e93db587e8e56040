//! All junctions together, beside the envelope.

use crate::by_foundation::Ground;
use crate::facts;
use crate::report::Loss;
use crate::thicker;
use mateline_equation::equation;
use mateline_model::quantity::{Conductance, Units};
use mateline_model::{Basis, Pointer, Subject, Term};
use mateline_sdk::{Findings, Request};
use std::collections::BTreeMap;

equation! {
    /// Heat loss coefficient of all junctions. Source: ISO 10211:2017 (from memory).
    pub(crate) AllJunctions = "H = Σ H_j" {
        H: Conductance "heat loss coefficient of all junctions" [Units::CONDUCTANCE],
        H_j: [Conductance] "a junction" [Units::CONDUCTANCE],
    }

    /// What the envelope counts for surfaces that the ground stands in for. Source: addition.
    pub(crate) Replaced = "Hb = Σ H_k" {
        Hb: Conductance "of the envelope, what the ground stands in for" [Units::CONDUCTANCE],
        H_k: [Conductance] "a surface" [Units::CONDUCTANCE],
    }

    /// Heat loss coefficient of the whole: the ground stands in for what the envelope counts for surfaces that touch it,
    /// so that it is not counted with the outdoor temperature difference as well. Source: ISO 13789:2017 (from memory).
    pub(crate) Whole = "UA' = UA − Hb + Hg + H" {
        whole "UA'": Conductance "envelope with junctions and ground" [Units::CONDUCTANCE],
        UA: Conductance "envelope without junctions" [Units::CONDUCTANCE],
        Hb: Conductance "of it, what the ground stands in for" [Units::CONDUCTANCE],
        Hg: Conductance "through the ground" [Units::CONDUCTANCE],
        H: Conductance "junctions" [Units::CONDUCTANCE],
    }

    /// The same where nothing of the envelope touches the ground. Source: as with the ground.
    pub(crate) WholeInAir = "UA' = UA + H" {
        whole "UA'": Conductance "envelope with junctions" [Units::CONDUCTANCE],
        UA: Conductance "envelope without junctions" [Units::CONDUCTANCE],
        H: Conductance "junctions" [Units::CONDUCTANCE],
    }

    /// Share of the junctions in the heat loss of the whole. Source: common practice, no source.
    pub(crate) JunctionShare = "s = H/UA'" {
        s: Ratio "share" [Units::PERCENT],
        H: Conductance "junctions" [Units::CONDUCTANCE],
        whole "UA'": Conductance "envelope with junctions and ground" [Units::CONDUCTANCE],
    }
}

/// Why the sum is not known: every junction that is not, those of one reason together, so that neither their order in the
/// file nor their names choose which are told.
fn lack(losses: &[(String, Loss)]) -> Option<String> {
    let mut lacks: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for (id, loss) in losses {
        if let Err(why) = loss {
            lacks.entry(why.as_str()).or_default().push(format!("junctions.{id}"));
        }
    }
    let told = lacks.into_iter().map(|(why, mut of)| {
        of.sort();
        format!("{}: {why}", of.join(", "))
    });
    let told: Vec<String> = told.collect();
    (!told.is_empty()).then(|| told.join("; "))
}

/// Writes the sum of all junctions, and the envelope's heat loss with it and with the ground.
pub(crate) fn write(request: &Request<'_>, losses: &[(String, Loss)], ground: &Ground, findings: &mut Findings) {
    let home = Subject::home();
    if let Some(because) = thicker::unreadable(request) {
        findings.missing(&home, &facts::INSULATION_NEEDED, because, None);
    }
    let lack =
        if losses.is_empty() { Some("the home has no junctions that are known".to_owned()) } else { lack(losses) };
    if let Some(because) = lack {
        for definition in [&facts::LOSS_TOTAL, &facts::SHARE_OF_LOSS, &facts::UA_WITH_JUNCTIONS] {
            findings.missing(&home, definition, because.clone(), None);
        }
        return;
    }
    let known = losses.iter().filter_map(|(id, loss)| Some((Subject::element("junctions", id), *loss.as_ref().ok()?)));
    let (subjects, each): (Vec<Subject>, Vec<Conductance>) = known.unzip();
    let (total, sum) = AllJunctions { H_j: &each }.step();
    let sum = sum.each(AllJunctions::H_j, subjects, |term, subject| {
        Term { meaning: subject.to_string(), ..term }.fact(&subject, facts::LOSS.name)
    });
    let basis = Basis::new("sum over the junctions", "ISO 10211:2017").provenance("from memory");
    findings.fact(&home, &facts::LOSS_TOTAL, total, basis.step(sum));
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

/// The heat loss of the whole.
fn whole(request: &Request<'_>, total: Conductance, ground: &Ground) -> Result<(Conductance, Basis), String> {
    let home = Subject::home();
    let envelope = request.number(&home, "envelope.ua").map(Conductance::from_si);
    let envelope = envelope.ok_or("envelope.ua of the home is not known")?;
    let basis = Basis::new("envelope, junctions and ground", "ISO 13789:2017").provenance("from memory");
    let (boundary, loss) = match ground {
        Ground::Lacking(because) => return Err(format!("the heat through the ground is not known: {because}")),
        Ground::None(because) => {
            let (whole, step) = WholeInAir { UA: envelope, H: total }.step();
            let step =
                step.fact(WholeInAir::UA, &home, "envelope.ua").fact(WholeInAir::H, &home, facts::LOSS_TOTAL.name);
            return Ok((whole, basis.step(step).assuming(*because)));
        }
        Ground::InPlaceOf(boundary, loss) => (*boundary, *loss),
    };
    let (mut surfaces, mut each) = (Vec::new(), Vec::new());
    for subject in request.subjects("surfaces") {
        if request.text(subject, "takeoff.boundary") != Some(boundary) {
            continue;
        }
        let own = request.number(subject, "envelope.heat_loss").map(Conductance::from_si);
        let own = own.ok_or_else(|| format!("envelope.heat_loss of {subject} is not known"))?;
        surfaces.push(subject);
        each.push(own);
    }
    if each.is_empty() {
        return Err(format!("the envelope has no surface towards {boundary} for the ground to stand in for"));
    }
    let (replaced, sum) = Replaced { H_k: &each }.step();
    let sum = sum.meaning(Replaced::Hb, format!("surfaces towards {boundary}")).each(
        Replaced::H_k,
        surfaces,
        |term, subject| Term { meaning: subject.to_string(), ..term }.fact(subject, "envelope.heat_loss"),
    );
    let (whole, step) = Whole { UA: envelope, Hb: replaced, Hg: loss, H: total }.step();
    let step = step
        .fact(Whole::UA, &home, "envelope.ua")
        .meaning(Whole::Hb, format!("of it, surfaces towards {boundary}"))
        .fact(Whole::Hg, &home, facts::GROUND_LOSS.name)
        .fact(Whole::H, &home, facts::LOSS_TOTAL.name);
    let note = "heat through the ground is for the mean temperatures of the year, all else for those of the moment";
    Ok((whole, basis.step(sum).step(step).assuming(note)))
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
    let (share, step) = JunctionShare { H: total, whole }.step();
    let step = step.fact(JunctionShare::H, &home, facts::LOSS_TOTAL.name).fact(
        JunctionShare::whole,
        &home,
        facts::UA_WITH_JUNCTIONS.name,
    );
    let basis = Basis::new("share of the junctions", "common practice, no source").step(step);
    let at = at.unwrap_or_else(|| Pointer::new("junctions"));
    findings.fact_at(&home, &facts::SHARE_OF_LOSS, share, basis, at);
}
