//! Doubts: values that are unlikely, of which the designer is asked whether they are meant.

use crate::pack::Pack;
use mateline_model::{Outcome, Remark, RemarkAbout, Verdict};
use std::sync::Arc;

/// Takes the verdicts of packs that only ask out of the others; what is short by them becomes a remark.
pub fn doubts(packs: &[Arc<Pack>], verdicts: &mut Vec<Verdict>) -> Vec<Remark> {
    let asks = |verdict: &Verdict| packs.iter().any(|pack| pack.asks && pack.id == verdict.pack);
    let (asked, judged): (Vec<Verdict>, Vec<Verdict>) = std::mem::take(verdicts).into_iter().partition(asks);
    *verdicts = judged;
    asked.into_iter().filter(|verdict| verdict.outcome == Outcome::Short).map(doubt).collect()
}

fn doubt(verdict: Verdict) -> Remark {
    let help = verdict.help.map(|help| format!("; {help}")).unwrap_or_default();
    let message = format!("{}: {}{help} ({}/{})", verdict.subject, verdict.message, verdict.pack, verdict.rule);
    Remark { about: RemarkAbout::Doubt, ..Remark::note(message, verdict.at) }
}
