//! A requirement that is met only together with others: what a home names to meet it (a package, a path) has rules of its
//! own, and naming is not meeting.

use super::paths::Ruled;
use crate::pack::Rule;
use mateline_model::{Outcome, Verdict};

/// Takes back what is met where a rule that belongs to it is not. `verdicts` are those of each rule, in their order.
pub(super) fn hold_together(rules: &[Ruled<'_>], verdicts: &mut [Vec<Verdict>]) {
    for (number, (pack, _, rule)) in rules.iter().enumerate().filter(|(_, (.., rule))| !rule.together_with.is_empty()) {
        let belongs = |other: &Rule| rule.together_with.contains(&other.id);
        let Some(mut own) = verdicts.get_mut(number).map(std::mem::take) else { continue };
        for verdict in &mut own {
            let mut others = Vec::new();
            for ((of, _, other), all) in rules.iter().zip(verdicts.iter()) {
                let concerns = |one: &&Verdict| other.section != rule.section || one.subject == verdict.subject;
                if of.id == pack.id && belongs(other) {
                    others.extend(all.iter().filter(concerns).map(|one| (*other, one.clone())));
                }
            }
            hold_to(verdict, &others);
        }
        if let Some(place) = verdicts.get_mut(number) {
            *place = own;
        }
    }
}

/// Holds one verdict to those that belong to it: short where one is, unproven where one is not shown, met for the time
/// being where one is. A shortfall against a limit that nobody is sure of fails nothing by itself: it leaves unproven.
pub(super) fn hold_to(verdict: &mut Verdict, others: &[(&Rule, Verdict)]) {
    if verdict.outcome != Outcome::Met {
        return;
    }
    let find = |wanted: &dyn Fn(&Rule, &Verdict) -> bool| others.iter().find(|(rule, other)| wanted(rule, other));
    if let Some((rule, other)) = find(&|rule, other| other.outcome == Outcome::Short && rule.is_sure()) {
        verdict.outcome = Outcome::Short;
        take(verdict, other, &format!("but {} is short", rule.id));
    } else if let Some((rule, other)) = find(&|_, other| other.outcome == Outcome::Unproven) {
        verdict.outcome = Outcome::Unproven;
        verdict.owed.clone_from(&other.owed);
        take(verdict, other, &format!("but {} is not shown", rule.id));
    } else if let Some((rule, other)) = find(&|_, other| other.outcome == Outcome::Short) {
        verdict.outcome = Outcome::Unproven;
        let mark = &rule.provenance;
        take(verdict, other, &format!("but {} is short of a limit that is not sure ({mark})", rule.id));
        if let Some(help) = &mut verdict.help {
            *help = format!("{help}; or show by the adopted text that its limit is another");
        }
    } else if let Some((_, other)) = find(&|_, other| other.provisional.is_some()) {
        verdict.provisional.clone_from(&other.provisional);
        let says = other.provisional.as_deref().unwrap_or_default();
        verdict.message = format!("{}; {says}", verdict.message);
    }
}

fn take(verdict: &mut Verdict, other: &Verdict, why: &str) {
    verdict.message = format!("{}, {why}: {}", verdict.message, other.message);
    verdict.help.clone_from(&other.help);
    verdict.at.clone_from(&other.at);
    verdict.at_note.clone_from(&other.at_note);
}
