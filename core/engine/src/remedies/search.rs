//! The search for the changes that turn one verdict: single ones, and pairs where no single one does.

use super::dials::{Change, Dial, Step};
use super::levers::Levers;
use super::trials::{How, Said, Trials};
use super::turned::Turned;
use crate::load::{BadInput, Edit, Loaded};
use crate::only::Only;
use crate::{Engine, Options};
use mateline_model::quantity::parse;
use mateline_model::{Outcome, Report, Verdict};
use serde::Serialize;
use std::cell::OnceCell;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// So many sides of levers, those that bring it nearest, are tried in pairs.
const PAIRED: usize = 4;
/// What a rough trial says is believed where its margin is so many times what rough trials are off by for the home as it
/// stands, and such a share of the limit more.
const BELIEVED: (f64, f64) = (4.0, 0.01);
/// A limit is found to a hundredth of the step that turns the verdict.
const FINE: usize = 100;

/// Changes that turn a verdict.
#[derive(Clone, Debug, Serialize)]
pub struct Remedy {
    /// The verdict that they turn.
    pub of: Turned,
    /// The changes: one, or two where no single one does.
    pub changes: Vec<Change>,
    /// Other requirements and advice that are met with them.
    pub better: Vec<Turned>,
    /// Those that are met no more.
    pub worse: Vec<Turned>,
}

impl Remedy {
    /// What all changes cost; none where a price is not known.
    pub fn price(&self) -> Option<f64> {
        self.changes.iter().map(|change| Some(change.price?.money)).sum()
    }

    /// The changes as they are made.
    pub fn edits(&self) -> Vec<Edit> {
        self.changes.iter().flat_map(Change::edits).collect()
    }
}

/// A home that is searched for remedies.
pub struct Search<'a> {
    pub(super) trials: Trials<'a>,
    pub(super) levers: Levers,
    /// What has to run for each rule that is short, by its name.
    needs: OnceCell<BTreeMap<String, Only>>,
}

impl<'a> Search<'a> {
    /// Checks the home as it stands, and the levers on it.
    ///
    /// # Errors
    /// Every problem of the input.
    pub fn new(engine: &'a Engine, home: &'a Path, options: Options) -> Result<Search<'a>, BadInput> {
        let trials = Trials::new(engine, home, options)?;
        let levers = trials.levers(&engine.levers()?)?;
        Ok(Search { trials, levers, needs: OnceCell::new() })
    }

    /// The home as it stands.
    pub fn base(&self) -> &Report {
        self.trials.base()
    }

    /// The tree and the files that the home was read from.
    pub fn loaded(&self) -> &Loaded {
        self.trials.loaded()
    }

    /// The levers on it.
    pub fn levers(&self) -> &Levers {
        &self.levers
    }

    /// What has to run for each rule that is short; none where plugins of others are at work.
    fn needs(&self) -> &BTreeMap<String, Only> {
        self.needs.get_or_init(|| {
            let short = self.base().verdicts.iter().filter(|verdict| verdict.outcome == Outcome::Short);
            let rules: BTreeSet<String> = short.map(Verdict::full_name).collect();
            rules.into_iter().filter_map(|rule| Some((rule.clone(), self.trials.only([rule])?))).collect()
        })
    }

    /// What has to run for a rule, with all rules that are short and need no more than that: they are told with it.
    fn only(&self, rule: &str) -> Option<Only> {
        let mut only = self.needs().get(rule)?.clone();
        for other in self.needs().values().filter(|other| other.plugins.is_subset(&only.plugins)) {
            only.rules.extend(other.rules.iter().cloned());
        }
        Some(only)
    }

    /// The order in which to look for what turns several verdicts: first those for which most has to run, because that
    /// tells of others too.
    pub fn order(&self, verdicts: &[&Verdict]) -> Vec<usize> {
        let size = |verdict: &Verdict| self.needs().get(&verdict.full_name()).map(|only| only.plugins.len());
        let mut order: Vec<usize> = (0..verdicts.len()).collect();
        order.sort_by_key(|number| Reverse(verdicts.get(*number).and_then(|verdict| size(verdict))));
        order
    }

    /// What turns a verdict that is short: every single lever that does, or else pairs of them. Those that break nothing
    /// come first, then by price where all have one, else by how much is changed.
    pub fn remedies(&self, verdict: &Verdict) -> Vec<Remedy> {
        let of = Turned::of(verdict);
        let handles = self.levers.on(&self.loaded().tree, self.trials.packs(), verdict);
        let mut dials: Vec<Dial<'_>> = Vec::new();
        for handle in handles {
            let is_one = dials.iter().any(|dial| dial.shared.contains(&handle.path));
            dials.extend(Dial::of(&self.trials, handle).filter(|_| !is_one));
        }
        let asking = Asking {
            trials: &self.trials,
            only: self.only(&of.rule),
            of: &of,
            is_range: verdict.comparison.starts_with("between"),
            how: How::Fully,
            doubted: 0.0,
        };
        let mut found = self.sought(&asking, verdict, &dials, singles);
        if found.is_empty() {
            found = self.sought(&asking, verdict, &dials, pairs);
        }
        found.sort_by(|(one, a), (other, b)| {
            let by_price = a.price().zip(b.price()).map(|(one, other)| one.total_cmp(&other));
            let by_price = by_price.unwrap_or_else(|| b.price().is_some().cmp(&a.price().is_some()));
            a.worse.len().cmp(&b.worse.len()).then(by_price).then(one.total_cmp(other))
        });
        found.into_iter().map(|(_, remedy)| remedy).collect()
    }

    /// What a way of looking finds while only what the verdict looks at is run, roughly where that can be; fully where a
    /// check of the whole home says otherwise, then with all that there is.
    fn sought(
        &self,
        narrow: &Asking<'_>,
        verdict: &Verdict,
        dials: &[Dial<'_>],
        look: fn(&Asking<'_>, &[Dial<'_>]) -> Ways,
    ) -> Vec<(f64, Remedy)> {
        let is_sound = |asking: &Asking<'_>| asking.said(&[]).map(|said| said.is_met) == Some(false);
        let found = |asking: &Asking<'_>| if is_sound(asking) { self.checked(asking, dials, look) } else { None };
        let roughly = || narrow.roughly(verdict).and_then(|rough| found(&rough));
        let wide = || self.checked(&narrow.wide(), dials, look);
        roughly().or_else(|| found(narrow)).or_else(wide).unwrap_or_default()
    }

    /// What was found, checked as a whole; none where one does not do what it should.
    fn checked(
        &self,
        asking: &Asking<'_>,
        dials: &[Dial<'_>],
        look: fn(&Asking<'_>, &[Dial<'_>]) -> Ways,
    ) -> Option<Vec<(f64, Remedy)>> {
        let before = Turned::open(self.base());
        let ways = look(asking, dials).into_iter();
        ways.map(|steps| {
            let changed = steps.iter().map(|(_, step, _)| step.change).sum();
            let changes: Vec<Change> = steps
                .into_iter()
                .filter_map(|(dial, step, limit)| Some(dials.get(dial)?.change(&self.trials, &step, limit)))
                .collect();
            let edits: Vec<Edit> = changes.iter().flat_map(Change::edits).collect();
            let report = self.trials.whole(&edits)?;
            let is_met = report.verdicts.iter().find(|verdict| asking.of.is_of(verdict)).map(Said::of)?.is_met;
            let after = Turned::open(&report);
            let remedy = Remedy {
                of: asking.of.clone(),
                changes,
                better: before.difference(&after).cloned().collect(),
                worse: after.difference(&before).cloned().collect(),
            };
            is_met.then_some((changed, remedy))
        })
        .collect()
    }
}

/// Ways to turn a verdict: for each the dials by number, with the step and the limit.
type Ways = Vec<Vec<(usize, Step, Option<String>)>>;

/// One verdict, asked again and again.
struct Asking<'a> {
    trials: &'a Trials<'a>,
    only: Option<Only>,
    of: &'a Turned,
    /// Whether the value has to lie between two limits: then a step may go too far.
    is_range: bool,
    how: How,
    /// The margin up to which what is said roughly is not believed.
    doubted: f64,
}

impl Asking<'_> {
    /// The same asked of the whole home.
    fn wide(&self) -> Asking<'_> {
        Asking { only: None, how: How::Fully, ..*self }
    }

    /// The same asked with the plugins as they are.
    fn fully(&self) -> Asking<'_> {
        Asking { only: self.only.clone(), how: How::Fully, ..*self }
    }

    /// The same asked roughly; none where there is no such way.
    fn roughly(&self, verdict: &Verdict) -> Option<Asking<'_>> {
        let only = self.only.clone().filter(|only| self.trials.can_be_rough(only))?;
        let mut rough = Asking { only: Some(only), how: How::Roughly, ..*self };
        let (is, nearly) = (Said::of(verdict).margin, rough.said(&[])?.margin);
        if let (Some(is), Some(nearly)) = (is, nearly) {
            let limit =
                verdict.limit.as_ref().and_then(mateline_model::Value::number).map_or(0.0, |limit| limit.si.abs());
            rough.doubted = BELIEVED.0 * (is - nearly).abs() + BELIEVED.1 * limit;
        }
        Some(rough)
    }

    fn said(&self, edits: &[Edit]) -> Option<Said> {
        let said = self.trials.said(edits, self.only.as_ref(), self.how, self.of)?;
        let is_doubted = self.how == How::Roughly && said.margin.is_some_and(|margin| margin.abs() <= self.doubted);
        if is_doubted { self.fully().said(edits) } else { Some(said) }
    }

    fn is_met(&self, edits: &[Edit]) -> bool {
        self.said(edits).is_some_and(|said| said.is_met)
    }

    /// The step of a side that turns the verdict, where a rough search has found one: the nearest that does so in fact.
    fn in_fact<'s>(&self, dial: &Dial<'_>, side: &'s [Step], found: usize) -> Option<(usize, &'s Step)> {
        let fully = self.fully();
        let does = |index: &usize| side.get(*index).is_some_and(|step| fully.is_met(&dial.edits(&step.text)));
        let mut index = (found..side.len()).find(does)?;
        while dial.is_ordered && index > 0 && does(&(index - 1)) {
            index -= 1;
        }
        Some((index, side.get(index)?))
    }
}

/// Every single dial that turns the verdict, with the first step to either side that does.
fn singles(asking: &Asking<'_>, dials: &[Dial<'_>]) -> Ways {
    let mut found = Vec::new();
    for (number, dial) in dials.iter().enumerate() {
        for side in &dial.sides {
            let does = |step: &Step| asking.is_met(&dial.edits(&step.text));
            let turning = match dial.is_ordered && !asking.is_range {
                true => first(side, does),
                false => side.iter().enumerate().find(|(_, step)| does(step)),
            };
            let turning = turning.and_then(|(index, _)| asking.in_fact(dial, side, index));
            let Some((index, step)) = turning else { continue };
            let before = index.checked_sub(1).and_then(|before| side.get(before));
            let limit = limit(asking, dial, before, step);
            found.push(vec![(number, step.clone(), limit)]);
        }
    }
    found
}

/// For every two dials that turn the verdict together the cheapest steps that do, or those that change least; of those
/// dials that bring it nearest by themselves.
fn pairs(asking: &Asking<'_>, dials: &[Dial<'_>]) -> Ways {
    let base = asking.said(&[]).and_then(|said| said.margin);
    let mut sides: Vec<(f64, usize, &Dial<'_>, &Vec<Step>)> = Vec::new();
    for (number, dial) in dials.iter().enumerate() {
        for side in &dial.sides {
            let far = side.last().filter(|_| dial.is_ordered);
            let tried = side.iter().filter(|step| far.is_none_or(|far| far.text == step.text));
            let margins = tried.map(|step| asking.said(&dial.edits(&step.text)).and_then(|said| said.margin));
            let gain = margins.map(|margin| margin.zip(base).map_or(0.0, |(margin, base)| margin - base));
            let gain = gain.fold(f64::MIN, f64::max);
            if gain > 0.0 || base.is_none() {
                sides.push((gain, number, dial, side));
            }
        }
    }
    sides.sort_by(|one, other| other.0.total_cmp(&one.0));
    sides.truncate(PAIRED);
    let mut found = Vec::new();
    for (place, (_, one, dial, side)) in sides.iter().enumerate() {
        for (_, other, other_dial, other_side) in sides.iter().skip(place + 1).filter(|(_, other, ..)| other != one) {
            let does = |a: &Step, b: &Step| asking.is_met(&[dial.edits(&a.text), other_dial.edits(&b.text)].concat());
            let in_order = dial.is_ordered && other_dial.is_ordered && !asking.is_range;
            let best = cheapest_pair(in_order, side, other_side, does);
            found.extend(best.map(|(a, b)| vec![(*one, a.clone(), None), (*other, b.clone(), None)]));
        }
    }
    found
}

/// The cheapest two steps that do together, or those that change least. With more of the one no more of the other is
/// needed: so the search goes down the stairs between what does and what does not.
fn cheapest_pair<'s>(
    in_order: bool,
    one: &'s [Step],
    other: &'s [Step],
    does: impl Fn(&Step, &Step) -> bool,
) -> Option<(&'s Step, &'s Step)> {
    let price = |a: &Step, b: &Step| a.price.zip(b.price).map_or(a.change + b.change, |(a, b)| a.money + b.money);
    let mut best: Option<(f64, &Step, &Step)> = None;
    let mut take = |a: &'s Step, b: &'s Step| {
        let price = price(a, b);
        if best.is_none_or(|(least, ..)| price < least) {
            best = Some((price, a, b));
        }
    };
    if !in_order {
        for a in one {
            other.iter().filter(|b| does(a, b)).for_each(|b| take(a, b));
        }
        return best.map(|(_, a, b)| (a, b));
    }
    one.last().zip(other.last()).filter(|(a, b)| does(a, b))?;
    let mut low = other.len();
    for a in one {
        while let Some(b) = low.checked_sub(1).and_then(|before| other.get(before)).filter(|b| does(a, b)) {
            low -= 1;
            take(a, b);
        }
    }
    best.map(|(_, a, b)| (a, b))
}

/// The first step, nearest first, that does, by halving.
fn first(steps: &[Step], does: impl Fn(&Step) -> bool) -> Option<(usize, &Step)> {
    steps.last().filter(|last| does(last))?;
    let (mut low, mut high) = (0, steps.len() - 1);
    while low < high {
        let middle = (low + high) / 2;
        match steps.get(middle).is_some_and(&does) {
            true => high = middle,
            false => low = middle + 1,
        }
    }
    Some((low, steps.get(low)?))
}

/// The value between a step that does not turn the verdict, or what stands, and one that does from which on it turns; none
/// where that is the step.
fn limit(asking: &Asking<'_>, dial: &Dial<'_>, before: Option<&Step>, step: &Step) -> Option<String> {
    // Between two products there is none.
    if !dial.brings.is_empty() {
        return None;
    }
    let unit = step.text.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '/' | ' ' | '-')).trim();
    let one = parse(&format!("1 {unit}")).ok().filter(|one| one.si > 0.0)?.si;
    let now = dial.present.map(|present| present.si);
    let (from, to) = (before.map_or(now, |before| before.size)? / one, step.size? / one);
    let at = |number: usize| from + (to - from) * number as f64 / FINE as f64;
    // Where nothing tells how near it is, a rough answer cannot be doubted.
    let has_margin = asking.said(&[]).is_some_and(|said| said.margin.is_some());
    let asking = if has_margin { asking } else { &asking.fully() };
    let margin = |edits: Vec<Edit>| asking.said(&edits).and_then(|said| said.margin);
    let not = margin(before.map_or_else(Vec::new, |before| dial.edits(&before.text)));
    let does = margin(dial.edits(&step.text));
    let said = |number: usize| asking.said(&dial.edits(&format!("{} {unit}", at(number))));
    let found = boundary((0, not), (FINE, does), |number| said(number).map(|said| (said.is_met, said.margin)));
    (found < FINE).then(|| format!("{} {unit}", outwards(at(found), to - from)))
}

/// The least number that does, between one that does not and one that does, all between on one rising line: guessed along
/// the margins, halved where a guess gained little.
fn boundary(
    not: (usize, Option<f64>),
    does: (usize, Option<f64>),
    said: impl Fn(usize) -> Option<(bool, Option<f64>)>,
) -> usize {
    let ((mut not, mut short), (mut does, mut over)) = (not, does);
    let mut halve = false;
    while does - not > 1 {
        let middle = usize::midpoint(not, does);
        let guess = match (short, over) {
            (Some(short), Some(over)) if !halve && short < 0.0 && over > short => {
                let share = -short / (over - short);
                let guess = not + (share * (does - not) as f64).ceil() as usize;
                guess.clamp(not + 1, does - 1)
            }
            _ => middle,
        };
        let width = does - not;
        match said(guess) {
            Some((true, margin)) => (does, over) = (guess, margin),
            Some((false, margin)) => (not, short) = (guess, margin),
            None => (not, short) = (guess, None),
        }
        halve = !halve && (does - not) * 2 > width;
    }
    does
}

/// A number with as many digits as a tenth of a hundredth of a step needs, rounded to the side to which the step goes.
fn outwards(number: f64, step: f64) -> f64 {
    let mut unit = 1.0;
    while unit * step.abs() < (FINE * 10) as f64 && unit < 1e9 {
        unit *= 10.0;
    }
    // What lies on a round number but for the last bits is that number.
    let scaled = (number * unit * 1e4).round() / 1e4;
    if step > 0.0 { scaled.ceil() / unit } else { scaled.floor() / unit }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The boundary of a rising line, a bent one, and one without margins is the least number that does, for every place
    /// it may have.
    #[test]
    fn the_boundary_is_the_least_number_that_does() {
        let shapes: [fn(f64) -> f64; 4] = [|x| x, |x| x * x * x, |x| 1.0 - (-20.0 * x).exp(), |x| (40.0 * x).exp()];
        for least in 1..=100_usize {
            for (number, shape) in shapes.iter().enumerate() {
                let zero = shape((least as f64 - 0.5) / 100.0);
                let margin = |n: usize| shape(n as f64 / 100.0) - zero;
                for blind in [false, true] {
                    let shown = |n: usize| (!blind).then(|| margin(n));
                    let tries = std::cell::Cell::new(0);
                    let said = |n: usize| {
                        tries.set(tries.get() + 1);
                        Some((margin(n) >= 0.0, shown(n)))
                    };
                    assert_eq!(boundary((0, shown(0)), (100, shown(100)), said), least);
                    assert!(tries.get() <= 14, "shape {number}, least {least}: {} tries", tries.get());
                }
            }
        }
    }

    /// Rounding goes to the side of the step, and leaves what is round as it is.
    #[test]
    fn a_limit_is_rounded_to_the_side_that_does() {
        for (number, step, rounded) in [
            (2.8125, 0.5, 2.8125),
            (2.81251, 0.5, 2.8126),
            (0.316, -0.02, 0.316),
            (0.3169999, -0.02, 0.31699),
            (3.0, 1.0, 3.0),
        ] {
            let found = outwards(number, step);
            assert!((found - rounded).abs() < 1e-12, "{number} by {step}: {found}");
        }
    }
}
