//! One cause is told once: which open verdict stands for which others.

use crate::pack::Pack;
use mateline_model::{Outcome, Owed, Severity, Subject, Under, Verdict};
use std::collections::HashMap;
use std::sync::Arc;

/// Counts an open verdict under another one that is at least as grave: of a rule on which its own rule stands or which it
/// is another path to, else the first that waits for the same thing. What is short is counted under nothing that is only
/// unproven. One that is counted under a second, which is counted under a third, is counted under the third. Nothing else
/// about it changes.
pub fn count_under(packs: &[Arc<Pack>], verdicts: &mut [Verdict]) {
    let mut leaders = by_rule(packs, verdicts);
    by_cause(verdicts, &mut leaders);
    let roots: Vec<Option<Under>> = (0..verdicts.len())
        .map(|verdict| {
            let root = root(&leaders, verdict).filter(|root| *root != verdict)?;
            let root = verdicts.get(root)?;
            Some(Under { rule: root.full_name(), subject: root.subject.clone() })
        })
        .collect();
    for (verdict, under) in verdicts.iter_mut().zip(roots) {
        verdict.under = under;
    }
}

/// The rules on which each stands, by full name: those of its `after`, and those that it is another path to or
/// belongs to.
fn standing(packs: &[Arc<Pack>]) -> HashMap<String, Vec<String>> {
    let mut standing: HashMap<String, Vec<String>> = HashMap::new();
    for pack in packs {
        let full = |id: &str| format!("{}/{id}", pack.id);
        for rule in pack.rules.iter() {
            if !rule.after.is_empty() {
                standing.entry(full(&rule.id)).or_default().extend(rule.after.iter().cloned());
            }
            for path in rule.satisfied_by.iter().chain(&rule.together_with) {
                standing.entry(full(path)).or_default().push(full(&rule.id));
            }
        }
    }
    standing
}

/// The verdict that each is counted under, by what its rule stands on.
fn by_rule(packs: &[Arc<Pack>], verdicts: &[Verdict]) -> Vec<Option<usize>> {
    let after = standing(packs);
    let mut open: HashMap<String, Vec<usize>> = HashMap::new();
    for (index, verdict) in verdicts.iter().enumerate().filter(|(_, verdict)| verdict.is_open()) {
        open.entry(verdict.full_name()).or_default().push(index);
    }
    let home = Subject::home();
    let leader = |verdict: &Verdict| {
        let candidates = after.get(&verdict.full_name())?.iter().filter_map(|rule| open.get(rule)).flatten().copied();
        let grave: Vec<(usize, &Verdict)> = candidates
            .filter_map(|index| Some((index, verdicts.get(index)?)))
            .filter(|(_, leader)| leader.severity == Severity::Required || verdict.severity == Severity::Advice)
            .filter(|(_, leader)| leader.outcome == Outcome::Short || verdict.outcome == Outcome::Unproven)
            .collect();
        let same = grave.iter().find(|(_, leader)| leader.subject == verdict.subject);
        let of_home = grave.iter().find(|(_, leader)| leader.subject == home || verdict.subject == home);
        same.or(of_home).map(|(index, _)| *index)
    };
    verdicts.iter().map(|verdict| if verdict.is_open() { leader(verdict) } else { None }).collect()
}

/// Adds the gravest verdict that waits for the same thing, the first of several.
fn by_cause(verdicts: &[Verdict], leaders: &mut [Option<usize>]) {
    let mut first: HashMap<&Owed, usize> = HashMap::new();
    let waiting = |severity: Severity| {
        let of_severity = move |(_, verdict): &(usize, &Verdict)| verdict.severity == severity;
        verdicts.iter().enumerate().filter(|(_, v)| v.outcome == Outcome::Unproven).filter(of_severity)
    };
    for (index, verdict) in waiting(Severity::Required).chain(waiting(Severity::Advice)) {
        let (Some(owed), Some(leader)) = (verdict.owed.first(), leaders.get_mut(index)) else { continue };
        if leader.is_none() {
            let found = *first.entry(owed).or_insert(index);
            *leader = Some(found).filter(|found| *found != index);
        }
    }
}

/// The end of the chain that begins with a verdict; none where it goes in a circle.
fn root(leaders: &[Option<usize>], verdict: usize) -> Option<usize> {
    let mut here = verdict;
    for _ in leaders {
        match leaders.get(here)? {
            Some(next) => here = *next,
            None => return Some(here),
        }
    }
    None
}
