//! Rules that concern nothing.

use crate::pack::{Pack, Rule};
use mateline_model::{Outcome, Remark, Verdict};

/// The rules of a firm's pack that concern nothing in a home; none where every rule does. One that never does may name a
/// word that never comes.
pub fn idle(pack: &Pack, verdicts: &[Verdict]) -> Option<Remark> {
    if !pack.is_own || pack.asks {
        return None;
    }
    let own = || verdicts.iter().filter(|one| one.pack == pack.id && one.outcome != Outcome::NotApplicable);
    let concerns = |rule: &&Rule| own().any(|one| one.rule == rule.id);
    let idle: Vec<&str> = pack.rules.iter().filter(|rule| !concerns(rule)).map(|rule| rule.id.as_str()).collect();
    if idle.is_empty() {
        return None;
    }
    let (count, all) = (idle.len(), pack.rules.len());
    let message =
        format!("{count} of the {all} rules of {} concern nothing in this home: {}", pack.id, idle.join(", "));
    Some(Remark::note(message, None))
}
