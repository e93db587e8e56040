//! What every format for people says of a comparison, worded, sorted and counted.

use super::facts::{MovedFacts, moved_facts};
use crate::shown;
use mateline_model::quantity::{UnitSystem, number};
use mateline_model::{
    Cause, Comparison, Corners, Direction, Edit, Ended, Outcome, PluginFailure, RuleChange, RuleTurn, Severity,
    Shorter, Side, Thin, Turned,
};
use serde::Serialize;
use std::collections::BTreeMap;

/// Characters of a value before it is cut.
const LONGEST_VALUE: usize = 90;

pub(super) struct View {
    pub title: String,
    pub old: SideView,
    pub new: SideView,
    /// What came out, in one or two sentences.
    pub sentences: Vec<String>,
    pub worse: Turns,
    /// What was short and is further from its limit, each in a line.
    pub shorter: Vec<String>,
    /// Rules that changed, each in a line.
    pub rules: Vec<String>,
    pub better: Turns,
    /// Open before and open now, in another way.
    pub still_open: Turns,
    /// Turns that are not listed one by one: `met, on what is new: 12`.
    pub quiet_turns: Vec<String>,
    pub edits: Vec<ElementEdits>,
    pub edit_count: usize,
    pub facts: MovedFacts,
    pub threshold: String,
    pub thin: Vec<ThinRow>,
    pub ended: Vec<EndedRow>,
    pub remarks: Vec<String>,
    pub failures: Vec<String>,
}

#[derive(Clone, Serialize)]
pub(super) struct SideView {
    pub home: String,
    pub revision: String,
    pub date: String,
    pub note: Option<String>,
}

/// Verdicts that turned one way, by rule.
pub(super) struct Turns {
    pub count: usize,
    pub groups: Vec<TurnedGroup>,
}

/// Verdicts of one rule that turned from one word to another.
#[derive(Clone, Serialize)]
pub(super) struct TurnedGroup {
    /// What they are now.
    pub word: String,
    /// What they were.
    pub was: String,
    pub is_advice: bool,
    pub title: String,
    pub rule: String,
    pub rows: Vec<TurnedRow>,
}

#[derive(Clone, Serialize)]
pub(super) struct TurnedRow {
    pub subject: String,
    pub message: String,
    pub place: Option<String>,
}

#[derive(Clone, Serialize)]
pub(super) struct ElementEdits {
    pub element: String,
    /// `added` or `removed`, where the whole element came or went.
    pub whole: Option<&'static str>,
    pub rows: Vec<EditRow>,
}

#[derive(Clone, Serialize)]
pub(super) struct EditRow {
    pub field: String,
    /// What the item of a list is known by.
    pub item: Option<String>,
    pub old: Option<String>,
    pub new: Option<String>,
    pub place: Option<String>,
}

#[derive(Clone, Serialize)]
pub(super) struct ThinRow {
    pub rule: String,
    pub subject: String,
    pub message: String,
    pub old: String,
    pub new: String,
}

#[derive(Clone, Serialize)]
pub(super) struct EndedRow {
    pub record: String,
    pub expired: String,
    pub backs: Vec<String>,
}

impl View {
    pub(super) fn of(comparison: &Comparison) -> View {
        let turned = &comparison.turned;
        let quiet = turned.iter().filter(|turned| turned.direction() == Direction::Neither && !is_open(turned.new));
        View {
            title: title(&comparison.old, &comparison.new),
            old: side(&comparison.old),
            new: side(&comparison.new),
            sentences: sentences(comparison),
            worse: turns(turned, &|turned| turned.direction() == Direction::Worse),
            shorter: comparison.shorter.iter().map(|one| shorter(one, comparison.units)).collect(),
            rules: comparison.rules.iter().map(rule).collect(),
            better: turns(turned, &|turned| turned.direction() == Direction::Better),
            still_open: turns(turned, &|turned| turned.direction() == Direction::Neither && is_open(turned.new)),
            quiet_turns: quiet_turns(quiet),
            edits: elements(&comparison.edits),
            edit_count: comparison.edits.len(),
            facts: moved_facts(&comparison.moved, comparison.units),
            threshold: percent(comparison.threshold),
            thin: comparison.thin.iter().map(thin).collect(),
            ended: comparison.ended.iter().map(ended).collect(),
            remarks: comparison
                .remarks
                .iter()
                .map(|remark| match &remark.at {
                    Some(at) => format!("{} ({})", remark.message, shown::place(at)),
                    None => remark.message.clone(),
                })
                .collect(),
            failures: comparison.failures.iter().map(failure).collect(),
        }
    }
}

/// `Heron Lane: revision B (2026-07-01) → C (2026-10-05)`; both names where they differ.
fn title(old: &Side, new: &Side) -> String {
    if old.home == new.home {
        format!("{}: revision {} ({}) → {} ({})", new.home, old.revision, old.date, new.revision, new.date)
    } else {
        let one = |side: &Side| format!("{}, revision {} ({})", side.home, side.revision, side.date);
        format!("{} → {}", one(old), one(new))
    }
}

fn side(side: &Side) -> SideView {
    SideView {
        home: side.home.clone(),
        revision: side.revision.clone(),
        date: side.date.to_string(),
        note: side.note.clone(),
    }
}

fn sentences(comparison: &Comparison) -> Vec<String> {
    let mut sentences = Vec::new();
    if comparison.is_quiet() {
        sentences.push("The two say the same: nothing was edited, no fact moved and no verdict turned.".to_owned());
    } else {
        let required = comparison.turned.iter().filter(|turned| turned.is_worse()).count();
        sentences.push(match required {
            0 => "Nothing required turned to short or unproven.".to_owned(),
            count => format!(
                "{} turned to short or unproven.",
                shown::counted(count, "required verdict", "required verdicts")
            ),
        });
    }
    let failing = match comparison.failing {
        0 => "nothing required is short or unproven".to_owned(),
        1 => "1 required verdict is short or unproven".to_owned(),
        count => format!("{count} required verdicts are short or unproven"),
    };
    sentences.push(format!("In revision {} {failing}.", comparison.new.revision));
    if let Some(Corners { old_by_old, old_by_new, new_by_old, new_by_new }) = comparison.corners {
        let (old, new) = (&comparison.old.revision, &comparison.new.revision);
        sentences.push(format!(
            "Rules changed. Required and short or unproven are in {old} {old_by_old} by its own rules and {old_by_new} by those of \
             {new}, in {new} {new_by_old} by the rules of {old} and {new_by_new} by its own."
        ));
    }
    sentences
}

fn is_open(outcome: Option<Outcome>) -> bool {
    matches!(outcome, Some(Outcome::Short | Outcome::Unproven | Outcome::Waived))
}

/// An outcome in words; of no verdict, what the lack of one is called.
fn word(outcome: Option<Outcome>, none: &str) -> String {
    match outcome {
        Some(Outcome::NotApplicable) => "not applicable".to_owned(),
        Some(outcome) => outcome.to_string(),
        None => none.to_owned(),
    }
}

/// The wanted verdicts by rule: what is required before advice, short before unproven, then in the order of the report.
fn turns(turned: &[Turned], wanted: &dyn Fn(&Turned) -> bool) -> Turns {
    let mut turned: Vec<&Turned> = turned.iter().filter(|turned| wanted(turned)).collect();
    turned.sort_by_key(|turned| (turned.severity == Severity::Advice, turned.new));
    let mut groups: Vec<TurnedGroup> = Vec::new();
    let mut known: BTreeMap<(&str, Option<Outcome>, Option<Outcome>), usize> = BTreeMap::new();
    for one in &turned {
        let at = *known.entry((one.rule.as_str(), one.old, one.new)).or_insert(groups.len());
        if at == groups.len() {
            groups.push(TurnedGroup {
                word: word(one.new, "gone"),
                was: word(one.old, "not there"),
                is_advice: one.severity == Severity::Advice,
                title: one.title.clone(),
                rule: one.rule.clone(),
                rows: Vec::new(),
            });
        }
        if let Some(group) = groups.get_mut(at) {
            group.rows.push(TurnedRow {
                subject: one.subject.to_string(),
                message: match one.by {
                    None | Some(Cause::Design) => one.message.clone(),
                    Some(Cause::Rules) => format!("{}; by the rules alone", one.message),
                    Some(Cause::Both) => format!("{}; by design and rules", one.message),
                },
                place: one.at.as_ref().map(shown::place),
            });
        }
    }
    Turns { count: turned.len(), groups }
}

/// Counts of turns from one word to another that leave nothing open: `12 met that were not there`.
fn quiet_turns<'a>(turned: impl Iterator<Item = &'a Turned>) -> Vec<String> {
    let mut counts: BTreeMap<(Option<Outcome>, Option<Outcome>), usize> = BTreeMap::new();
    for one in turned {
        *counts.entry((one.old, one.new)).or_default() += 1;
    }
    let counts = counts.into_iter();
    counts.map(|((old, new), count)| format!("{count} {} → {}", word(old, "not there"), word(new, "gone"))).collect()
}

/// Edits by element, in the order in which the elements were first named.
fn elements(edits: &[Edit]) -> Vec<ElementEdits> {
    let mut elements: Vec<ElementEdits> = Vec::new();
    for edit in edits {
        let whole = match (edit.field.is_empty(), &edit.old, &edit.new) {
            (true, None, Some(_)) => Some("added"),
            (true, Some(_), None) => Some("removed"),
            _ => None,
        };
        let row = EditRow {
            field: edit.field.clone(),
            item: edit.item.clone(),
            old: edit.old.as_deref().map(cut),
            new: edit.new.as_deref().map(cut),
            place: edit.at.as_ref().map(shown::place),
        };
        match elements.last_mut().filter(|last| last.element == edit.element) {
            Some(last) => last.rows.push(row),
            None => elements.push(ElementEdits { element: edit.element.clone(), whole, rows: vec![row] }),
        }
    }
    elements
}

/// A long value loses its end.
fn cut(text: &str) -> String {
    let mut shown: String = text.chars().take(LONGEST_VALUE).collect();
    if shown.len() < text.len() {
        shown.push('…');
    }
    shown
}

/// `5.0 %`
fn percent(share: f64) -> String {
    format!("{} %", number(share * 100.0, 1))
}

/// `demo/ua  home: 20.0 W/K → 30.0 W/K beyond its limit; UA 250.0 is above 220.0`
fn shorter(one: &Shorter, system: UnitSystem) -> String {
    let (old, new) = one.units.show_pair(one.old, one.new, system);
    let advice = if one.severity == Severity::Advice { " (advice)" } else { "" };
    let place = one.at.as_ref().map(|at| format!(" ({})", shown::place(at))).unwrap_or_default();
    format!("{} {}{advice}: {old} → {new} beyond its limit; {}{place}", one.rule, one.subject, one.message)
}

/// `looser: demo/ua, The rule ua: at most 220 W/K → at most 240 W/K; 240 W/K is above 220 W/K`
fn rule(change: &RuleChange) -> String {
    let word = match change.turn {
        RuleTurn::Added => "added",
        RuleTurn::Dropped => "dropped",
        RuleTurn::Stricter => "stricter",
        RuleTurn::Looser => "looser",
        RuleTurn::Changed => "changed",
    };
    let asks = match (&change.old, &change.new) {
        (Some(old), Some(new)) if old == new => format!(": {new}"),
        (Some(old), Some(new)) => format!(": {old} → {new}"),
        (Some(one), None) | (None, Some(one)) => format!(": {one}"),
        (None, None) => String::new(),
    };
    let why = change.why.as_ref().map(|why| format!("; {why}")).unwrap_or_default();
    format!("{word}: {}, {}{}{why}", change.rule, change.title, cut(&asks))
}

fn thin(thin: &Thin) -> ThinRow {
    ThinRow {
        rule: thin.rule.clone(),
        subject: thin.subject.to_string(),
        message: thin.message.clone(),
        old: percent(thin.old),
        new: percent(thin.new),
    }
}

fn ended(ended: &Ended) -> EndedRow {
    EndedRow { record: ended.record.clone(), expired: ended.expired.to_string(), backs: ended.backs.clone() }
}

fn failure(failure: &PluginFailure) -> String {
    let side = if failure.on_later { "later" } else { "earlier" };
    format!("plugin {} failed on the {side} revision, {}: {}", failure.plugin, failure.revision, failure.message)
}
