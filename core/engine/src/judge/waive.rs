//! Waivers: agreed exceptions, which never hide the value and never outlive their end.

use super::Judged;
use mateline_model::home::{Home, Waiver};
use mateline_model::{Outcome, Remark, Verdict};

/// Applies the home's waivers. What is left over is remarked on: unused, expired or without an end.
pub fn waive(home: &Home, verdicts: &mut [Verdict], judged: &Judged<'_>) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for (index, waiver) in home.waivers.iter().enumerate() {
        let at = Some(judged.place_of(&format!("waivers.{index}.rule")));
        let remark = |message: String| Remark { message, at: at.clone(), fails: false };
        let (rule, subject) = (&waiver.rule, &waiver.subject);
        let mut matching =
            verdicts.iter_mut().filter(|v| v.full_name() == **rule && v.subject.as_str() == &**subject).peekable();
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

/// The end a waiver has reached: revisions are ordered by length and then by letter, so that `B` follows `A` and `AA`
/// follows `Z`.
fn expired(waiver: &Waiver, home: &Home) -> Option<String> {
    let revision = &home.revision;
    let order = |id: &str| (id.chars().count(), id.to_owned());
    if let Some(until) = &waiver.until
        && order(&revision.id) >= order(until)
    {
        return Some(format!("revision {until}"));
    }
    waiver.until_date.filter(|until| revision.date >= *until).map(|until| until.to_string())
}
