//! The search for single changes that turn a verdict.

use super::levers::{Lever, Levers, Towards};
use crate::load::{BadInput, Edit, Loaded, Node};
use crate::{Engine, Options, Session};
use mateline_model::quantity::{Quantity, parse};
use mateline_model::{Outcome, Place, Report, Severity, Verdict};
use std::collections::BTreeSet;
use std::path::Path;

/// A limit is found to this share of the step that turns the verdict.
const FINENESS: f64 = 0.01;

/// A change of one value that turns a verdict.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// The verdict that it turns.
    pub of: Turned,
    /// What is changed, in words.
    pub title: String,
    /// Where, and to what.
    pub edit: Edit,
    /// What stands there now.
    pub now: String,
    /// The least change that would do, where sizes lie between; rounded to the side that does.
    pub limit: Option<String>,
    /// The place of the value.
    pub at: Place,
    /// Other requirements and advice that are met with it.
    pub better: Vec<Turned>,
    /// Those that are met no more.
    pub worse: Vec<Turned>,
    /// Who else decides.
    pub caution: Option<String>,
}

/// A verdict that turns.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Turned {
    /// The rule, `pack/rule`.
    pub rule: String,
    /// What it judges.
    pub subject: String,
    /// Whether it is advice.
    pub is_advice: bool,
}

impl Turned {
    fn of(verdict: &Verdict) -> Turned {
        Turned {
            rule: verdict.full_name(),
            subject: verdict.subject.to_string(),
            is_advice: verdict.severity == Severity::Advice,
        }
    }
}

/// A home that is searched for remedies.
pub struct Search<'a> {
    session: Session<'a>,
    home: &'a Path,
    options: Options,
    loaded: Loaded,
    base: Report,
}

impl<'a> Search<'a> {
    /// Checks the home as it stands.
    ///
    /// # Errors
    /// Every problem of the input.
    pub fn new(engine: &'a Engine, home: &'a Path, options: Options) -> Result<Search<'a>, BadInput> {
        let session = Session::new(engine);
        let base = session.check(home, &options)?;
        let loaded = engine.load(home)?;
        Ok(Search { session, home, options, loaded, base })
    }

    /// The home as it stands.
    pub fn base(&self) -> &Report {
        &self.base
    }

    /// The tree and the files that the home was read from.
    pub fn loaded(&self) -> &Loaded {
        &self.loaded
    }

    /// Every single lever that turns a verdict that is short, those that break nothing and change least first.
    pub fn single(&self, levers: &Levers, verdict: &Verdict) -> Vec<Remedy> {
        let found = levers.on(&self.loaded.tree, verdict);
        let remedies = found.iter().flat_map(|(lever, path)| self.steps(lever, path, verdict));
        let mut remedies: Vec<(f64, Remedy)> = remedies.collect();
        remedies.sort_by(|(one, a), (other, b)| a.worse.len().cmp(&b.worse.len()).then(one.total_cmp(other)));
        remedies.into_iter().map(|(_, remedy)| remedy).collect()
    }

    /// The first step of a lever to either side that turns the verdict, with how much is changed.
    fn steps(&self, lever: &Lever, path: &[String], verdict: &Verdict) -> Vec<(f64, Remedy)> {
        let Some(Node::Str(now)) = self.loaded.tree.at(path).map(|placed| &placed.node) else { return Vec::new() };
        let edit = |text: &str| Edit { path: path.to_vec(), text: text.to_owned() };
        let Ok(present) = parse(now) else {
            let others = lever.steps.iter().filter(|step| *step != now);
            let turning = others.filter_map(|step| Some((edit(step), self.turned(&edit(step), verdict)?)));
            return turning
                .map(|(edit, report)| (1.0, self.remedy(lever, now, edit, None, (&report, Turned::of(verdict)))))
                .take(1)
                .collect();
        };
        let mut steps: Vec<(Quantity, &str)> = Vec::new();
        for step in &lever.steps {
            steps.extend(parse(step).ok().filter(|q| q.dimension == present.dimension).map(|q| (q, step.as_str())));
        }
        steps.sort_by(|one, other| one.0.si.total_cmp(&other.0.si));
        let (mut below, above): (Vec<_>, Vec<_>) =
            steps.into_iter().filter(|(step, _)| step.si != present.si).partition(|(step, _)| step.si < present.si);
        below.reverse();
        let mut remedies = Vec::new();
        let sides = [(Towards::More, above), (Towards::Less, below)];
        for (_, side) in sides.into_iter().filter(|(side, _)| lever.towards.is_none_or(|towards| towards == *side)) {
            let Some((step, before, report)) = self.first(&side, present, &edit, verdict) else { continue };
            let limit = self.limit(&edit, before.si, step, verdict);
            let change = ((step.0.si - present.si) / present.si).abs();
            remedies.push((change, self.remedy(lever, now, edit(step.1), limit, (&report, Turned::of(verdict)))));
        }
        remedies
    }

    /// The first of steps, nearest first, that turns the verdict, the one before it, and what the home is with it.
    fn first<'s>(
        &self,
        steps: &[(Quantity, &'s str)],
        present: Quantity,
        edit: &impl Fn(&str) -> Edit,
        verdict: &Verdict,
    ) -> Option<((Quantity, &'s str), Quantity, Report)> {
        let mut found = self.turned(&edit(steps.last()?.1), verdict)?;
        let (mut low, mut high) = (0, steps.len() - 1);
        while low < high {
            let middle = (low + high) / 2;
            match self.turned(&edit(steps.get(middle)?.1), verdict) {
                Some(report) => (high, found) = (middle, report),
                None => low = middle + 1,
            }
        }
        let before = low.checked_sub(1).and_then(|before| steps.get(before)).map_or(present, |(step, _)| *step);
        Some((*steps.get(low)?, before, found))
    }

    /// The value between one that does not turn the verdict and a step that does from which on it turns.
    fn limit(
        &self,
        edit: &impl Fn(&str) -> Edit,
        before: f64,
        (step, text): (Quantity, &str),
        verdict: &Verdict,
    ) -> Option<String> {
        let unit = text.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '/' | ' ' | '-')).trim();
        let one = parse(&format!("1 {unit}")).ok().filter(|one| one.si > 0.0)?.si;
        let (from, to) = (before / one, step.si / one);
        let fine = (to - from) * FINENESS;
        // The number of the fine step, from the one that does not turn it; all lie on one grid.
        let (mut not, mut does) = (0.0, (1.0 / FINENESS).round());
        while does - not > 1.0 {
            let middle = ((not + does) / 2.0).floor();
            let number = from + fine * middle;
            match self.turned(&edit(&format!("{number} {unit}")), verdict) {
                Some(_) => does = middle,
                None => not = middle,
            }
        }
        let limit = from + fine * does;
        (does < (1.0 / FINENESS).round()).then(|| format!("{} {unit}", (limit * 1e4).round() / 1e4))
    }

    /// The report of the home with a change that turns the verdict; none where it does not, or where no such home can be.
    fn turned(&self, edit: &Edit, verdict: &Verdict) -> Option<Report> {
        let report = self.session.check_edited(self.home, std::slice::from_ref(edit), &self.options).ok()?;
        let is_it = |other: &&Verdict| other.full_name() == verdict.full_name() && other.subject == verdict.subject;
        let is_met = report.verdicts.iter().find(is_it).is_some_and(|now| now.outcome == Outcome::Met);
        is_met.then_some(report)
    }

    fn remedy(
        &self,
        lever: &Lever,
        now: &str,
        edit: Edit,
        limit: Option<String>,
        (report, of): (&Report, Turned),
    ) -> Remedy {
        let open = |report: &Report| -> BTreeSet<Turned> {
            report.verdicts.iter().filter(|verdict| verdict.is_open()).map(Turned::of).collect()
        };
        let (before, after) = (open(&self.base), open(report));
        let better = before.difference(&after).cloned().collect();
        let worse = after.difference(&before).cloned().collect();
        let at = Engine::place_of(&self.loaded, &edit.path.join("."));
        Remedy {
            of,
            title: lever.title.clone(),
            edit,
            now: now.to_owned(),
            limit,
            at,
            better,
            worse,
            caution: lever.caution.clone(),
        }
    }
}
