//! Comparing two revisions: by element and value, not by lines of text.

mod align;
mod edits;
mod records;

use crate::check::{Checked, Engine, Options};
use crate::judge::{Judged, doubts, judge, waive};
use crate::load::{BadInput, place};
use crate::pack::{Rule, changes};
use mateline_model::quantity::{Dimension, Quantity, Units};
use mateline_model::{
    Cause, Comparison, Corners, Moved, Outcome, PluginFailure, Remark, RemarkAbout, Report, Shorter, Side, Subject,
    Thin, Turned, Value, Verdict,
};
use std::collections::BTreeMap;
use std::path::Path;

/// Why two files cannot be compared.
#[derive(Debug, Default)]
pub struct Unusable {
    /// What is wrong with the earlier one.
    pub old: Option<BadInput>,
    /// What is wrong with the later one.
    pub new: Option<BadInput>,
}

impl Engine {
    /// Checks two revisions, both at once, and compares them; the earlier one with the firm's folder of its time, where that
    /// is another one.
    ///
    /// # Errors
    /// Every problem of both inputs.
    pub fn compare(
        &self,
        (old, old_firm): (&Path, Option<&Path>),
        new: &Path,
        options: &Options,
        threshold: f64,
    ) -> Result<Comparison, Box<Unusable>> {
        let check = |path: &Path, firm| self.check_loaded(self.load_by(path, firm)?, options);
        match rayon::join(|| check(old, old_firm), || check(new, None)) {
            (Ok(old), Ok(later)) => {
                let asks = asks_what_was(&later);
                let again = || self.check_after(self.load(new)?, options, &old);
                match if asks { again() } else { Ok(later) } {
                    Ok(new) => Ok(compare(&old, &new, threshold)),
                    Err(bad) => Err(Box::new(Unusable { old: None, new: Some(bad) })),
                }
            }
            (old, new) => Err(Box::new(Unusable { old: old.err(), new: new.err() })),
        }
    }
}

impl Engine {
    /// Checks a home after a former revision: rules that ask what was before ask it of that one, which the report names.
    ///
    /// # Errors
    /// Every problem of both inputs.
    pub fn check_since(
        &self,
        (former, former_firm): (&Path, Option<&Path>),
        home: &Path,
        options: &Options,
    ) -> Result<Report, Box<Unusable>> {
        // What a certificate was worth then is told by the former revision's own day.
        let then = Options { on: None, ..*options };
        let former = self.load_by(former, former_firm).and_then(|loaded| self.check_loaded(loaded, &then));
        let loaded = self.load(home);
        let (former, loaded) = match (former, loaded) {
            (Ok(former), Ok(loaded)) => (former, loaded),
            (former, loaded) => return Err(Box::new(Unusable { old: former.err(), new: loaded.err() })),
        };
        let checked = self.check_after(loaded, options, &former);
        let mut checked = checked.map_err(|bad| Box::new(Unusable { old: None, new: Some(bad) }))?;
        if asks_what_was(&checked) {
            checked.report.remarks.push(Remark::note(held_against(&former.report, &checked.report), None));
        }
        Ok(checked.report)
    }
}

/// Whether a rule that judged it asks what was before.
fn asks_what_was(checked: &Checked) -> bool {
    checked.packs.iter().any(|pack| pack.rules.iter().any(Rule::asks_what_was))
}

/// Which revision rules were held against.
fn held_against(former: &Report, now: &Report) -> String {
    let revision = former.revision();
    let of = if former.name() == now.name() { String::new() } else { format!(" of another home, {}", former.name()) };
    format!("rules that ask what was before ask it of revision {} of {}{of}", revision.id, revision.date)
}

/// Compares two revisions. Margins below `threshold`, a share of the limit, are called thin when they shrank.
pub fn compare(old: &Checked, new: &Checked, threshold: f64) -> Comparison {
    let (before, after) = (&old.report, &new.report);
    let fails = failing(&after.verdicts);
    let edits = edits::edits(old, new);
    let mut remarks: Vec<Remark> = after.remarks.iter().filter(|remark| is_new(remark, before)).cloned().collect();
    remarks.extend(same_revision(before, after, new, edits.len()));
    let rules = changes(&old.packs, &new.packs);
    let crossed = (!rules.is_empty()).then(|| (crossed(new, old, Some(old)), crossed(old, new, None)));
    Comparison {
        old: side(before),
        new: side(after),
        units: after.units,
        edits,
        moved: moved(before, after),
        turned: turned(before, after, crossed.as_ref().map(|(new_by_old, _)| new_by_old.as_slice())),
        shorter: shorter(before, after),
        rules,
        corners: crossed.map(|(new_by_old, old_by_new)| Corners {
            old_by_old: failing(&before.verdicts),
            old_by_new: failing(&old_by_new),
            new_by_old: failing(&new_by_old),
            new_by_new: failing(&after.verdicts),
        }),
        thin: thin(before, after, threshold),
        threshold,
        ended: records::ended(before.revision().date, &after.home, &new.tree),
        remarks,
        failures: failures(before, false).chain(failures(after, true)).collect(),
        failing: fails + after.remarks.iter().filter(|remark| remark.fails).count(),
    }
}

fn failing(verdicts: &[Verdict]) -> usize {
    verdicts.iter().filter(|verdict| verdict.fails()).count()
}

/// A home by the rules of another revision. Its facts are those of its own rules' settings.
fn crossed(home: &Checked, other: &Checked, former: Option<&Checked>) -> Vec<Verdict> {
    let former = former.map(Checked::judged);
    let judged = Judged { former: former.as_ref(), ..home.judged() };
    // Tables that do not fit this home leave nothing to say.
    let mut verdicts = judge(&other.packs, &judged).unwrap_or_default();
    waive(&home.report.home, &other.packs, &mut verdicts, &judged);
    doubts(&other.packs, &mut verdicts);
    verdicts
}

fn side(report: &Report) -> Side {
    let revision = report.revision();
    Side {
        home: report.name().to_string(),
        revision: revision.id.to_string(),
        date: revision.date,
        note: revision.note.clone(),
    }
}

/// Whether a remark was not made on the earlier run; its place may have moved since.
fn is_new(remark: &Remark, before: &Report) -> bool {
    !before.remarks.iter().any(|earlier| earlier.message == remark.message)
}

/// That two states of one home bear one revision: nobody who reads its id knows which of them is meant.
fn same_revision(before: &Report, after: &Report, new: &Checked, edits: usize) -> Option<Remark> {
    let id = &after.revision().id;
    if edits == 0 || before.name() != after.name() || before.revision().id != *id {
        return None;
    }
    let message =
        format!("the home was edited, and both states are revision {id}; give the later one an id of its own");
    let at = place(&new.files, new.tree.span_at(&["revision", "id"]));
    Some(Remark { about: RemarkAbout::Doubt, ..Remark::note(message, Some(at)) })
}

fn failures(report: &Report, on_later: bool) -> impl Iterator<Item = PluginFailure> {
    report.plugins.iter().filter_map(move |plugin| {
        Some(PluginFailure {
            plugin: plugin.name.clone(),
            revision: report.revision().id.to_string(),
            on_later,
            message: plugin.failure.clone()?,
        })
    })
}

/// Facts that moved, came or went.
fn moved(old: &Report, new: &Report) -> Vec<Moved> {
    type Pair<'a> = (Option<&'a Value>, Option<&'a Value>);
    let mut pairs: BTreeMap<(&Subject, &str), Pair<'_>> = BTreeMap::new();
    for fact in old.facts.iter() {
        pairs.entry((&fact.subject, &fact.quantity)).or_default().0 = Some(&fact.value);
    }
    for fact in new.facts.iter() {
        pairs.entry((&fact.subject, &fact.quantity)).or_default().1 = Some(&fact.value);
    }
    pairs
        .into_iter()
        .filter(|(_, (before, after))| !alike(*before, *after))
        .map(|((subject, quantity), (before, after))| {
            let definition = new.quantities.get(quantity).or_else(|| old.quantities.get(quantity));
            Moved {
                subject: subject.clone(),
                quantity: quantity.to_owned(),
                label: definition.map_or_else(|| quantity.to_owned(), |definition| definition.label()),
                units: definition.map_or_else(|| Units::plain(3), |definition| definition.units.clone()),
                old: before.cloned(),
                new: after.cloned(),
            }
        })
        .collect()
}

/// Values that differ by less than a part in a thousand million have not moved: sums taken in another order.
fn alike(old: Option<&Value>, new: Option<&Value>) -> bool {
    match (old, new) {
        (Some(Value::Number(a)), Some(Value::Number(b))) => {
            a.dimension == b.dimension && (a.si == b.si || (a.si - b.si).abs() <= 1e-9 * a.si.abs().max(b.si.abs()))
        }
        (a, b) => a == b,
    }
}

type ByName<'a> = BTreeMap<(String, &'a Subject), &'a Verdict>;

fn by_name(verdicts: &[Verdict]) -> ByName<'_> {
    verdicts.iter().map(|verdict| ((verdict.full_name(), &verdict.subject), verdict)).collect()
}

/// Verdicts whose outcome is another one; that a rule does not concern what is new, or what has gone, is no turn.
fn turned(old: &Report, new: &Report, new_by_old: Option<&[Verdict]>) -> Vec<Turned> {
    let (before, after) = (by_name(&old.verdicts), by_name(&new.verdicts));
    let crossed = new_by_old.map(by_name);
    let cause = |verdict: &Verdict, old: Option<Outcome>, new: Option<Outcome>| {
        let by_old = crossed.as_ref()?.get(&(verdict.full_name(), &verdict.subject)).map(|verdict| verdict.outcome);
        Some(match by_old {
            same if same == old => Cause::Rules,
            same if same == new => Cause::Design,
            _ => Cause::Both,
        })
    };
    let told = |verdict: &Verdict, old: Option<Outcome>, new: Option<Outcome>| Turned {
        by: cause(verdict, old, new),
        rule: verdict.full_name(),
        title: verdict.title.clone(),
        subject: verdict.subject.clone(),
        severity: verdict.severity,
        old,
        new,
        message: verdict.message.clone(),
        at: verdict.at.clone().filter(|_| new.is_some()),
    };
    let mut turned: Vec<Turned> = new
        .verdicts
        .iter()
        .filter_map(|verdict| {
            let earlier = before.get(&(verdict.full_name(), &verdict.subject)).map(|verdict| verdict.outcome);
            let quiet = earlier.is_none() && verdict.outcome == Outcome::NotApplicable;
            (earlier != Some(verdict.outcome) && !quiet).then(|| told(verdict, earlier, Some(verdict.outcome)))
        })
        .collect();
    let gone = old.verdicts.iter().filter(|verdict| !after.contains_key(&(verdict.full_name(), &verdict.subject)));
    let gone = gone.filter(|verdict| verdict.outcome != Outcome::NotApplicable);
    turned.extend(gone.map(|verdict| told(verdict, Some(verdict.outcome), None)));
    turned
}

/// The margin as a share of the limit, where the limit has a nought to be a share of. It is negative where another
/// requirement makes up for this one.
fn share(verdict: &Verdict) -> Option<f64> {
    let margin = verdict.margin.as_ref()?.number()?.si;
    let limit = verdict.limit.as_ref()?.number()?;
    let has_nought = limit.si != 0.0 && limit.dimension != Dimension::TEMPERATURE;
    (has_nought && verdict.outcome == Outcome::Met).then(|| margin / limit.si.abs()).filter(|share| share.is_finite())
}

/// Verdicts that were short and have moved away from their limit by more than the last digits of a sum.
fn shorter(old: &Report, new: &Report) -> Vec<Shorter> {
    let before = by_name(&old.verdicts);
    let margin = |verdict: &Verdict| match verdict.outcome {
        Outcome::Short => verdict.margin.as_ref()?.number(),
        _ => None,
    };
    new.verdicts
        .iter()
        .filter_map(|verdict| {
            let now = margin(verdict)?;
            let then = margin(before.get(&(verdict.full_name(), &verdict.subject))?)?;
            let is_further = now.dimension == then.dimension && now.si < then.si - 1e-9 * then.si.abs();
            is_further.then(|| Shorter {
                rule: verdict.full_name(),
                subject: verdict.subject.clone(),
                severity: verdict.severity,
                message: verdict.message.clone(),
                old: Quantity { si: -then.si, ..then },
                new: Quantity { si: -now.si, ..now },
                units: verdict.units.clone(),
                at: verdict.at.clone(),
            })
        })
        .collect()
}

fn thin(old: &Report, new: &Report, threshold: f64) -> Vec<Thin> {
    let before = by_name(&old.verdicts);
    new.verdicts
        .iter()
        .filter_map(|verdict| {
            let now = share(verdict)?;
            let then = share(before.get(&(verdict.full_name(), &verdict.subject))?)?;
            (now < threshold && now < then - 1e-9).then(|| Thin {
                rule: verdict.full_name(),
                subject: verdict.subject.clone(),
                message: verdict.message.clone(),
                old: then,
                new: now,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests;
