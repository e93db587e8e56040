//! Waivers: agreed exceptions, which never hide the value and never outlive their end.

use super::Judged;
use crate::load::{Diagnosis, Placed, did_you_mean};
use crate::pack::{Library, Pack};
use mateline_model::home::{Home, Name, Waiver};
use mateline_model::{Outcome, Remark, Verdict};
use std::sync::Arc;

/// Waivers of rules that do not judge the home.
pub fn unknown_waivers(home: &Home, tree: &Placed, packs: &[Arc<Pack>], library: Library) -> Vec<Diagnosis> {
    if home.waivers.is_empty() {
        return Vec::new();
    }
    let names: Vec<String> =
        packs.iter().flat_map(|pack| pack.rules.iter().map(|rule| format!("{}/{}", pack.id, rule.id))).collect();
    let mut found = Vec::new();
    for (index, waiver) in home.waivers.iter().enumerate() {
        if names.iter().any(|name| *name == *waiver.rule) {
            continue;
        }
        let pack = waiver.rule.split_once('/').map(|(pack, _)| pack);
        let is_judging = pack.is_some_and(|pack| packs.iter().any(|judging| judging.id == pack));
        let is_known = pack.is_some_and(|pack| library.iter().any(|(id, _)| *id == pack));
        let message = match pack {
            Some(pack) if is_known && !is_judging => {
                format!("the waiver is of '{}', but the home is not judged by {pack}", waiver.rule)
            }
            _ => {
                let near = did_you_mean(&waiver.rule, names.iter().map(String::as_str));
                format!("no rule that judges this home is called '{}'{near}", waiver.rule)
            }
        };
        let at = tree.span_at(&["waivers".to_owned(), index.to_string(), "rule".to_owned()]);
        found.push(Diagnosis::new(at, message));
    }
    found
}

/// Applies the home's waivers. What is left over is remarked on: refused, too broad, unused, expired or without an end.
pub fn waive(home: &Home, packs: &[Arc<Pack>], verdicts: &mut [Verdict], judged: &Judged<'_>) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for (index, waiver) in home.waivers.iter().enumerate() {
        let place = |field: &str| Some(judged.place_of(&format!("waivers.{index}.{field}")));
        let remark = |message: String| Remark::note(message, place("rule"));
        let (rule, subject) = (&waiver.rule, &waiver.subject);
        if let Some(why) = too_broad(subject) {
            let message = format!("the waiver of {rule} for {subject} is not applied: {why}; name one element");
            remarks.push(Remark { at: place("subject"), ..remark(message) });
            continue;
        }
        if !is_waivable(rule, packs) {
            let message = format!("the waiver of {rule} for {subject} is refused: its pack lets nobody waive the rule");
            remarks.push(Remark { fails: true, ..remark(message) });
            continue;
        }
        let of_rule = |v: &&mut Verdict| rule.split_once('/') == Some((v.pack.as_str(), v.rule.as_str()));
        let mut matching =
            verdicts.iter_mut().filter(of_rule).filter(|v| waiver.is_of(rule, v.subject.as_str())).peekable();
        if matching.peek().is_none() {
            remarks.push(remark(format!("the waiver of {rule} for {subject} matches no verdict")));
            continue;
        }
        if let Some(end) = expired(waiver, home) {
            remarks.push(remark(format!("the waiver of {rule} for {subject} ended with {end}")));
            continue;
        }
        for verdict in matching {
            if !matches!(verdict.outcome, Outcome::Short | Outcome::Unproven) {
                remarks.push(remark(format!("the waiver of {rule} for {subject} is not needed: {}", verdict.outcome)));
                continue;
            }
            verdict.outcome = Outcome::Waived;
            verdict.message = format!("{}; waived with {}: {}", verdict.message, waiver.agreed_with, waiver.reason);
            verdict.help = None;
        }
        if waiver.until.is_none() && waiver.until_date.is_none() {
            remarks.push(remark(format!("the waiver of {rule} for {subject} has no end")));
        }
    }
    remarks
}

/// Why a subject is more than one element.
fn too_broad(subject: &str) -> Option<String> {
    let subject = subject.trim().trim_end_matches('.');
    if subject.contains('*') {
        return Some(format!("'{subject}' stands for many elements"));
    }
    let is_section = subject == "systems.ventilation" || (subject != "home" && !subject.contains('.'));
    is_section.then(|| format!("'{subject}' is a whole section"))
}

fn is_waivable(rule: &str, packs: &[Arc<Pack>]) -> bool {
    let found = rule.split_once('/').and_then(|(pack, rule)| {
        packs.iter().find(|found| found.id == pack)?.rules.iter().find(|found| found.id == rule)
    });
    found.is_none_or(|rule| rule.waivable)
}

/// The end a waiver has reached: an issue by the home's own list, which names every one that a waiver does, or a day.
fn expired(waiver: &Waiver, home: &Home) -> Option<String> {
    let revision = &home.revision;
    let number = |id: &Name| home.issues.iter().position(|issue| issue == id);
    if let Some(until) = &waiver.until {
        match (number(&revision.id), number(until)) {
            (Some(now), Some(end)) if now < end => {}
            _ => return Some(format!("revision {until}")),
        }
    }
    waiver.until_date.filter(|until| revision.date >= *until).map(|until| until.to_string())
}
