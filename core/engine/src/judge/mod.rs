//! Judging: facts against rules. The only place where an outcome is decided.

mod decide;
mod doubts;
mod examples;
mod idle;
mod message;
mod opposed;
mod owed;
mod paths;
mod recall;
mod rule_scope;
mod scope;
mod together;
mod under;
mod values;
mod waive;

pub use doubts::doubts;
pub use examples::{ExampleResult, run_examples, untested_rows};
pub use idle::idle;
pub(crate) use opposed::apart;
pub use recall::{Inputs, KeptVerdicts};
pub use scope::{Evidence, Judged, Memo};
pub use under::count_under;
pub use waive::{unknown_waivers, waive};

use crate::expr::{Evaluation, Item};
use crate::load::{Diagnosis, Span};
use crate::pack::{Comparator, Pack, Rule};
use decide::{Finding, decide};
use mateline_model::{Outcome, Place, Pointer, Subject, Verdict};
use rayon::prelude::*;
use rule_scope::RuleScope;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Judges a home by packs. Verdicts come in the order of packs, rules and subjects.
///
/// # Errors
/// Tables that do not say one thing for a value in use.
pub fn judge(packs: &[Arc<Pack>], evidence: &dyn Evidence) -> Result<Vec<Verdict>, Vec<Diagnosis>> {
    judge_by(packs, evidence, None, |pack, _, rule| {
        let subjects = evidence.subjects(&rule.section);
        let say = |subject| {
            let (verdict, fault) = verdict(pack, rule, subject, evidence);
            Said { verdict, pointed: None, fault }
        };
        subjects.iter().map(say).collect()
    })
}

/// The same; rules that have looked at nothing that has changed say what they said before. Where only some are asked for,
/// by their full names, the others say nothing.
///
/// # Errors
/// Tables that do not say one thing for a value in use.
pub fn judge_again(
    packs: &[Arc<Pack>],
    evidence: &dyn Evidence,
    inputs: &Inputs<'_>,
    only: Option<&BTreeSet<String>>,
) -> Result<Vec<Verdict>, Vec<Diagnosis>> {
    judge_by(packs, evidence, only, |pack, number, rule| inputs.verdicts(pack, number, rule, evidence))
}

fn judge_by(
    packs: &[Arc<Pack>],
    evidence: &dyn Evidence,
    only: Option<&BTreeSet<String>>,
    say: impl Fn(&Pack, usize, &Rule) -> Vec<Said> + Sync,
) -> Result<Vec<Verdict>, Vec<Diagnosis>> {
    let rules: Vec<(&Pack, usize, &Rule)> = packs
        .iter()
        .flat_map(|pack| pack.rules.iter().enumerate().map(move |(number, rule)| (&**pack, number, rule)))
        .filter(|(pack, _, rule)| only.is_none_or(|only| only.contains(&format!("{}/{}", pack.id, rule.id))))
        .collect();
    let judged: Vec<Vec<(Verdict, Option<Fault>)>> = rules
        .par_iter()
        .map(|(pack, number, rule)| {
            let placed = |Said { mut verdict, pointed, fault }: Said| {
                match pointed {
                    Some(Pointer { path, note }) => point(&mut verdict, evidence.place_at(&path), note),
                    None => set_place(&mut verdict, pack, rule, evidence),
                }
                (verdict, fault)
            };
            say(pack, *number, rule).into_iter().map(placed).collect()
        })
        .collect();
    let mut faults = Vec::new();
    let mut verdicts: Vec<Vec<Verdict>> = judged
        .into_iter()
        .map(|of_rule| {
            let (verdicts, found): (Vec<Verdict>, Vec<Option<Fault>>) = of_rule.into_iter().unzip();
            faults.extend(found.into_iter().flatten());
            verdicts
        })
        .collect();
    if !faults.is_empty() {
        return Err(faults.into_iter().map(|Fault { message, at }| Diagnosis::new(at, message)).collect());
    }
    together::hold_together(&rules, &mut verdicts);
    paths::satisfy(&rules, &mut verdicts);
    Ok(verdicts.into_iter().flatten().collect())
}

/// What a rule says of a subject.
struct Said {
    /// It, without its place.
    verdict: Verdict,
    /// Where it points, where that is known with it.
    pointed: Option<Pointer>,
    /// What is wrong with the rule.
    fault: Option<Fault>,
}

/// What is wrong with a table, found while judging.
#[derive(Clone, Debug)]
struct Fault {
    message: String,
    at: Span,
}

/// Judges one subject by one rule. A table that says nothing, or two things, for a value leaves it unproven.
pub fn judge_one(pack: &Pack, rule: &Rule, subject: &Subject, evidence: &dyn Evidence) -> Verdict {
    let mut verdict = verdict(pack, rule, subject, evidence).0;
    set_place(&mut verdict, pack, rule, evidence);
    verdict
}

/// What a rule says of a subject, without its place.
fn verdict(pack: &Pack, rule: &Rule, subject: &Subject, evidence: &dyn Evidence) -> (Verdict, Option<Fault>) {
    let scope = RuleScope::of(pack, rule, subject, evidence);
    let (mut fault, mut failing) = (None, Vec::new());
    let mut verdict = Verdict {
        pack: pack.id.clone(),
        rule: rule.id.clone(),
        title: rule.title.clone(),
        subject: subject.clone(),
        outcome: Outcome::Unproven,
        severity: rule.severity,
        value: None,
        quantity: rule.quantity.clone(),
        limit: None,
        comparison: message::comparison(&rule.comparator),
        margin: None,
        units: rule.units.clone(),
        source: rule.source.clone(),
        provenance: rule.provenance.clone(),
        message: String::new(),
        help: None,
        at: None,
        at_note: None,
        provisional: None,
        owed: Vec::new(),
        under: None,
    };
    match decide(rule, &scope, &mut verdict) {
        Finding::Holds(true) => verdict.outcome = Outcome::Met,
        Finding::Holds(false) => verdict.outcome = Outcome::Short,
        Finding::Fails(conditions) => {
            verdict.outcome = Outcome::Short;
            failing = conditions;
        }
        Finding::Concerns(why) => {
            verdict.outcome = Outcome::NotApplicable;
            verdict.message = why;
        }
        Finding::Unknown(missing) => {
            verdict.outcome = Outcome::Unproven;
            verdict.message = message::unproven(&missing);
        }
        Finding::Fault(found) => {
            verdict.outcome = Outcome::Unproven;
            verdict.message.clone_from(&found.message);
            fault = Some(found);
        }
    }
    if matches!(verdict.outcome, Outcome::Met | Outcome::Short) {
        verdict.message = message::sentence(rule, &verdict, evidence);
        if !failing.is_empty() {
            verdict.message = format!("{}: {}", verdict.message, failing.join("; "));
        }
        for section in message::counted_as_none(rule, &scope) {
            verdict.message = format!("{}; {section} is not given, which counts as none", verdict.message);
        }
    }
    if let (Outcome::Met, Some(provisional)) = (verdict.outcome, &rule.provisional)
        && !matches!(provisional.unless.evaluate(&scope), Evaluation::Known(Item::Flag(true)))
    {
        verdict.message = format!("{}; {}", verdict.message, provisional.says);
        verdict.provisional = Some(provisional.says.clone());
    }
    let help = match verdict.outcome {
        Outcome::Short => Some(&rule.if_short),
        Outcome::Unproven => rule.if_unproven.as_ref(),
        _ => None,
    };
    verdict.help = help.map(|help| message::help(help));
    (verdict, fault)
}

/// Looks up what a verdict waits for, and where it stands: where that belongs, else at what it judges. What is not written
/// yet is asked for.
fn set_place(verdict: &mut Verdict, pack: &Pack, rule: &Rule, evidence: &dyn Evidence) {
    let mut names = names_judged(pack, rule);
    if verdict.outcome == Outcome::Unproven {
        let scope = RuleScope::of(pack, rule, &verdict.subject, evidence);
        let lacking = owed::lacking(rule, &scope, &verdict.message);
        if verdict.help.is_none() {
            verdict.help = lacking.first().and_then(|first| owed::asked_for(first, evidence));
        }
        names.splice(0..0, lacking.iter().map(|lacking| lacking.name));
        for lacking in lacking.into_iter().map(|lacking| lacking.owed) {
            if !verdict.owed.contains(&lacking) {
                verdict.owed.push(lacking);
            }
        }
    }
    let (at, note) = evidence.place(&verdict.subject, &names, &rule.section);
    point(verdict, at, note);
}

fn point(verdict: &mut Verdict, at: Option<Place>, note: Option<String>) {
    verdict.at = at;
    verdict.at_note = if verdict.outcome == Outcome::Short { note } else { None };
}

/// The facts and fields of the subject that a rule's value, or what it requires, is made of, in the order written.
fn names_judged<'a>(pack: &'a Pack, rule: &'a Rule) -> Vec<&'a str> {
    let names = rule.expressions().flat_map(crate::expr::Expression::names).filter(|name| name.of.is_none());
    let read = |name: &'a str| pack.reads_as.get(name).map_or(name, String::as_str);
    rule.quantity.as_deref().into_iter().chain(names.map(|name| read(name.path.as_str()))).collect()
}
