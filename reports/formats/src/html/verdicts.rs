//! Verdicts by part of the house.

use super::anchors::{Anchors, FactIds};
use super::house::House;
use super::{Count, outcome_word};
use crate::{acts, shown, worked};
use mateline_model::home::Waiver;
use mateline_model::{OpenPoint, Outcome, Report, Severity, Subject, Verdict};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Everything the page says of verdicts.
pub(super) struct Views {
    /// Verdicts by part of the house.
    pub parts: Vec<Part>,
    /// What is short or unproven, for the summary, each with what is counted under it.
    pub pending: Vec<Pending>,
    /// Rules that do not concern this home.
    pub skipped: Vec<Skipped>,
    /// Ids of the facts that verdicts rest on, each with the verdicts that use it.
    pub used: BTreeMap<String, Vec<Link>>,
}

#[derive(Clone, Serialize)]
pub(super) struct Link {
    pub id: String,
    pub text: String,
}

#[derive(Serialize)]
pub(super) struct Part {
    id: String,
    title: &'static str,
    /// How many of each outcome.
    counts: Vec<Count>,
    verdicts: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    id: String,
    word: &'static str,
    shape: &'static str,
    is_advice: bool,
    title: String,
    rule: String,
    subject: String,
    value: Option<String>,
    limit: String,
    margin: Option<String>,
    source: String,
    /// The sentence of a verdict that is not simply met.
    message: Option<String>,
    help: Option<String>,
    waiver: Option<String>,
    place: Option<String>,
    place_note: Option<String>,
    calculation: Option<String>,
    /// The open verdict that it is counted under.
    under: Option<Link>,
}

/// A line of the summary.
#[derive(Serialize)]
pub(super) struct Pending {
    id: String,
    word: &'static str,
    shape: &'static str,
    is_advice: bool,
    title: String,
    subject: String,
    message: String,
    /// Its number on drawings; none of advice.
    number: Option<usize>,
    /// Who acts, and by when.
    acts: String,
    /// What is counted under it.
    waiting: Option<String>,
}

#[derive(Serialize)]
pub(super) struct Skipped {
    title: String,
    rule: String,
    subject: String,
}

pub(super) fn views(report: &Report, facts: &FactIds<'_>, anchors: &mut Anchors) -> Views {
    let mut parts: BTreeMap<House, Vec<(Outcome, Row)>> = BTreeMap::new();
    let mut skipped = Vec::new();
    let mut used: BTreeMap<String, Vec<Link>> = BTreeMap::new();
    let ids: Vec<String> = report
        .verdicts
        .iter()
        .map(|verdict| match verdict.outcome {
            Outcome::NotApplicable => String::new(),
            _ => anchors.claim("verdict", &[&verdict.pack, &verdict.rule, verdict.subject.as_str()]),
        })
        .collect();
    let open: BTreeMap<(String, &Subject), Link> = std::iter::zip(&report.verdicts, &ids)
        .filter(|(verdict, _)| verdict.is_open())
        .map(|(verdict, id)| {
            let link = Link { id: id.clone(), text: verdict.title.clone() };
            ((verdict.full_name(), &verdict.subject), link)
        })
        .collect();
    for (verdict, id) in report.verdicts.iter().zip(ids) {
        if verdict.outcome == Outcome::NotApplicable {
            skipped.push(Skipped {
                title: verdict.title.clone(),
                rule: verdict.full_name(),
                subject: verdict.subject.to_string(),
            });
            continue;
        }
        let calculation = worked::judged(report, verdict).and_then(|fact| facts.get(fact)).map(str::to_owned);
        if let Some(fact) = &calculation {
            let link = Link { id: id.clone(), text: format!("{} {}", verdict.full_name(), verdict.subject) };
            used.entry(fact.clone()).or_default().push(link);
        }
        let under = verdict.under.as_ref().and_then(|under| open.get(&(under.rule.clone(), &under.subject))).cloned();
        let row = Row { under, ..row(report, verdict, id, calculation) };
        parts
            .entry(House::of(report, &verdict.subject, verdict.quantity.as_deref()))
            .or_default()
            .push((verdict.outcome, row));
    }
    let mut points = report.open_points();
    points.sort_by_key(OpenPoint::gravity);
    let mut numbers = 1..;
    let pending = points.iter().filter_map(|point| {
        let is_advice = point.verdict.severity == Severity::Advice;
        let (word, shape) = outcome_word(point.verdict.outcome);
        Some(Pending {
            id: open.get(&(point.verdict.full_name(), &point.verdict.subject))?.id.clone(),
            word,
            shape,
            is_advice,
            number: if is_advice { None } else { numbers.next() },
            acts: acts::of(report, point.verdict).told(),
            title: point.verdict.title.clone(),
            subject: point.verdict.subject.to_string(),
            message: point.verdict.message.clone(),
            waiting: shown::waiting(&point.under),
        })
    });
    let pending = pending.collect();
    let parts = parts
        .into_iter()
        .map(|(house, mut rows)| {
            rows.sort_by_key(|(outcome, _)| *outcome);
            let outcomes: BTreeSet<Outcome> = rows.iter().map(|(outcome, _)| *outcome).collect();
            let of = |outcome| rows.iter().filter(|(other, _)| *other == outcome).count();
            let counts = outcomes.into_iter().map(|outcome| Count::of(outcome, of(outcome))).collect();
            let verdicts = rows.into_iter().map(|(_, row)| row).collect();
            Part { id: anchors.claim("part", &[house.title()]), title: house.title(), counts, verdicts }
        })
        .collect();
    Views { parts, pending, skipped, used }
}

fn row(report: &Report, verdict: &Verdict, id: String, calculation: Option<String>) -> Row {
    let (word, shape) = outcome_word(verdict.outcome);
    let one = |value| shown::value(value, &verdict.units, report.units);
    let (value, limit) = match (&verdict.value, &verdict.limit) {
        (Some(value), Some(limit)) => {
            let (value, limit) = shown::pair(value, limit, &verdict.units, report.units);
            (Some(value), Some(limit))
        }
        (value, limit) => (value.as_ref().map(one), limit.as_ref().map(one)),
    };
    let limit = [Some(verdict.comparison.clone()), limit].into_iter().flatten().filter(|part| !part.is_empty());
    let is_met = verdict.outcome == Outcome::Met;
    Row {
        id,
        word,
        shape,
        is_advice: verdict.severity == Severity::Advice,
        title: verdict.title.clone(),
        rule: verdict.full_name(),
        subject: verdict.subject.to_string(),
        value,
        limit: limit.collect::<Vec<_>>().join(" "),
        margin: verdict.margin.as_ref().map(one),
        source: shown::cited(&verdict.source, Some(&verdict.provenance)),
        message: (!is_met && !verdict.message.is_empty()).then(|| verdict.message.clone()),
        help: verdict.help.clone().filter(|_| !is_met),
        waiver: waiver_of(report, verdict).map(agreement),
        place: verdict.at.as_ref().map(shown::place),
        place_note: verdict.at_note.clone(),
        calculation,
        under: None,
    }
}

fn waiver_of<'a>(report: &'a Report, verdict: &Verdict) -> Option<&'a Waiver> {
    let name = verdict.full_name();
    let is_waived = verdict.outcome == Outcome::Waived;
    report.home.waivers.iter().find(|waiver| is_waived && waiver.is_of(&name, verdict.subject.as_str()))
}

/// `photographed instead; agreed with factory, until revision D`
fn agreement(waiver: &Waiver) -> String {
    let mut ends: BTreeSet<String> = BTreeSet::new();
    ends.extend(waiver.until.as_ref().map(|revision| format!("until revision {revision}")));
    ends.extend(waiver.until_date.as_ref().map(|date| format!("until {date}")));
    let ends: String = ends.iter().map(|end| format!(", {end}")).collect();
    format!("{}; agreed with {}{ends}", waiver.reason, waiver.agreed_with)
}
