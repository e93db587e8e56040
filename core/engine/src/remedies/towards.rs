//! The search for the changes that meet many requirements at once: all of a pack.
//!
//! How combinations are searched, [`super::combinations`] says. Requirements that share no dial are searched apart.

use super::combinations::{Combinations, Ended, Says, State};
use super::dials::{Change, Dial, Step};
use super::search::Search;
use super::trials::Said;
use super::turned::Turned;
use crate::load::Edit;
use crate::only::Only;
use mateline_model::{Outcome, Report, Severity, Verdict};
use serde::Serialize;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// What is to be met.
#[derive(Clone, Copy, Debug)]
pub struct Target<'a> {
    /// The pack.
    pub pack: &'a str,
    /// Whether its advice need not be met.
    pub required_only: bool,
    /// Combinations that are tried at most.
    pub most: usize,
}

/// How a pack can be met.
#[derive(Clone, Debug, Serialize)]
pub struct Way {
    /// The changes with what each buys, in the order in which they buy most.
    pub bought: Vec<Bought>,
    /// How sure it is that there is no cheaper way.
    pub reached: Reached,
    /// Requirements that no lever reaches.
    pub beyond: Vec<Turned>,
    /// Requirements that are unproven: what is owed for them no change of the design gives.
    pub owed: Vec<Turned>,
    /// Requirements that cannot all be met with these levers, though each of them can; none may be left out.
    pub conflict: Vec<Turned>,
    /// Whether the conflict has been tried to its end: else it may be smaller, or none.
    pub is_proven: bool,
    /// The requirements of other packs and advice that are met with it, and those that are met no more.
    pub better: Vec<Turned>,
    /// Those that are met no more.
    pub worse: Vec<Turned>,
    /// Whether costs are prices; else they are how much is changed.
    pub is_priced: bool,
}

/// A change with what it buys.
#[derive(Clone, Debug, Serialize)]
pub struct Bought {
    /// The change.
    pub change: Change,
    /// What all changes up to this one cost.
    pub cost: f64,
    /// What is still open of what is to be met.
    pub open: usize,
}

/// How good a way is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reached {
    /// None is cheaper, of so many combinations that could be.
    Cheapest {
        /// How many were tried.
        tried: usize,
        /// How many there are.
        of: u128,
    },
    /// The best that was found before the search was ended.
    Best {
        /// How many were tried.
        tried: usize,
    },
    /// There is none: what is nearest was taken.
    Nearest {
        /// How many were tried.
        tried: usize,
    },
}

impl Search<'_> {
    /// The cheapest changes that were found to meet all of a pack, or what comes nearest to that.
    pub fn towards(&self, target: Target<'_>) -> Way {
        let is_wanted = |verdict: &&Verdict| {
            verdict.pack == target.pack && (verdict.severity == Severity::Required || !target.required_only)
        };
        let wanted: Vec<&Verdict> = self.base().verdicts.iter().filter(is_wanted).collect();
        let owed =
            wanted.iter().filter(|verdict| verdict.outcome == Outcome::Unproven).map(|v| Turned::of(v)).collect();
        let short: Vec<&Verdict> = wanted.iter().copied().filter(|verdict| verdict.outcome == Outcome::Short).collect();
        let mut dials: Vec<Dial<'_>> = Vec::new();
        let mut moved_by: Vec<Vec<usize>> = Vec::new();
        for verdict in &short {
            let handles = self.levers.on(&self.loaded().tree, self.trials.packs(), verdict).into_iter();
            let numbers = handles.filter_map(|handle| {
                let known = dials.iter().position(|d| d.handle.path == handle.path || d.shared.contains(&handle.path));
                known.or_else(|| {
                    dials.push(Dial::of(&self.trials, handle)?);
                    Some(dials.len() - 1)
                })
            });
            let numbers = numbers.collect();
            moved_by.push(numbers);
        }
        let steps: Vec<Vec<Step>> = dials.iter().map(|dial| dial.sides.concat()).collect();
        let is_priced = steps.iter().flatten().all(|step| step.price.is_some());
        let cost = |step: &Step| if is_priced { step.price.map_or(0.0, |price| price.money) } else { step.change };
        // The order of a dial's steps is that of their cost, which for a saving is that of the change.
        let steps: Vec<Vec<Step>> = steps
            .into_iter()
            .map(|mut steps| {
                steps.sort_by(|one, other| {
                    cost(one).max(0.0).total_cmp(&cost(other).max(0.0)).then(one.change.total_cmp(&other.change))
                });
                steps
            })
            .collect();
        let costs =
            steps.iter().map(|steps| std::iter::once(0.0).chain(steps.iter().map(|s| cost(s).max(0.0))).collect());
        let of: Vec<Turned> = wanted
            .iter()
            .filter(|v| matches!(v.outcome, Outcome::Short | Outcome::Met))
            .map(|v| Turned::of(v))
            .collect();
        let met: Vec<Turned> =
            of.iter().filter(|one| !short.iter().any(|verdict| one.is_of(verdict))).cloned().collect();
        // What is short comes first, then what is met and has to stay so: any dial may spoil that.
        let goals: Vec<Turned> = short.iter().map(|verdict| Turned::of(verdict)).chain(met).collect();
        moved_by.resize(goals.len(), (0..dials.len()).collect());
        let only = self.trials.only(goals.iter().map(|goal| goal.rule.clone()));
        let edits = |state: &State| -> Vec<Edit> {
            let set = std::iter::zip(state, std::iter::zip(&dials, &steps)).filter(|(step, _)| **step > 0);
            set.filter_map(|(step, (dial, steps))| Some(dial.edits(&steps.get(step - 1)?.text))).flatten().collect()
        };
        let says = |state: &State| says(self, &goals, &edits(state), only.as_ref());
        let all = Combinations {
            costs: Vec::from_iter(costs),
            moved_by,
            says: &says,
            known: RefCell::default(),
            most: target.most,
        };
        let start = vec![0; dials.len()];
        let (can, beyond): (Vec<usize>, Vec<usize>) =
            (0..short.len()).partition(|goal| all.cheapest_of(&[*goal], &start, target.most / 10) != Ended::None);
        let kept = |mut goals: Vec<usize>| {
            goals.extend(short.len()..of.len());
            goals
        };
        let mut way =
            Choice { state: start.clone(), is_cheapest: true, is_met: true, conflict: Vec::new(), is_proven: true };
        for group in all.groups(&can) {
            way.join(&all, kept(group), &start);
        }
        // What was searched apart has to hold together.
        if way.is_met && all.lacks(&kept(can.clone()), &way.state).0 > 0 {
            way =
                Choice { state: start.clone(), is_cheapest: true, is_met: true, conflict: Vec::new(), is_proven: true };
            way.join(&all, kept(can), &start);
        }
        let tried = all.tried();
        let reached = match (way.is_met, way.is_cheapest) {
            (true, true) => Reached::Cheapest {
                tried,
                of: all.costs.iter().map(|costs| costs.len() as u128).fold(1, u128::saturating_mul),
            },
            (true, false) => Reached::Best { tried },
            (false, _) => Reached::Nearest { tried },
        };
        let named = |numbers: &[usize]| numbers.iter().filter_map(|goal| goals.get(*goal).cloned()).collect();
        let before = Turned::open(self.base());
        let after = self
            .trials
            .whole(&edits(&way.state))
            .map_or_else(|| before.clone(), |report: Report| Turned::open(&report));
        Way {
            bought: self.bought(&all, &way.state, (&dials, &steps), short.len()),
            reached,
            beyond: named(&beyond),
            owed,
            conflict: named(&way.conflict),
            is_proven: way.is_proven,
            better: before
                .difference(&after)
                .filter(|one| one.rule.split('/').next() != Some(target.pack))
                .cloned()
                .collect(),
            worse: after.difference(&before).cloned().collect(),
            is_priced,
        }
    }

    /// The changes of a combination, each next the one that buys most for its cost.
    fn bought(
        &self,
        all: &Combinations<'_>,
        state: &State,
        (dials, steps): (&[Dial<'_>], &[Vec<Step>]),
        short: usize,
    ) -> Vec<Bought> {
        let goals: Vec<usize> = (0..short).collect();
        let mut left: Vec<usize> =
            (0..state.len()).filter(|dial| state.get(*dial).is_some_and(|step| *step > 0)).collect();
        let mut here: State = vec![0; state.len()];
        let mut bought = Vec::new();
        while !left.is_empty() {
            let (open, lack) = all.lacks(&goals, &here);
            let with = |dial: usize| {
                let mut next = here.clone();
                if let (Some(next), Some(step)) = (next.get_mut(dial), state.get(dial)) {
                    *next = *step;
                }
                next
            };
            let gain = |dial: &usize| {
                let next = with(*dial);
                let (then, then_lack) = all.lacks(&goals, &next);
                let gain = open as f64 - then as f64 + (lack - then_lack) / (lack.abs() + 1e-9);
                gain / (all.cost(&next) - all.cost(&here)).max(1e-9)
            };
            let gains = left.iter().map(|dial| (gain(dial), *dial));
            let Some((_, dial)) = gains.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1))) else { break };
            left.retain(|other| *other != dial);
            here = with(dial);
            let step = here.get(dial).and_then(|step| steps.get(dial)?.get(step.checked_sub(1)?));
            let Some((step, dial)) = step.zip(dials.get(dial)) else { break };
            bought.push(Bought {
                change: dial.change(&self.trials, step, None),
                cost: all.cost(&here),
                open: all.lacks(&goals, &here).0,
            });
        }
        bought
    }
}

/// What has been chosen so far.
struct Choice {
    state: State,
    is_cheapest: bool,
    is_met: bool,
    conflict: Vec<usize>,
    is_proven: bool,
}

impl Choice {
    /// Adds what meets some goals.
    fn join(&mut self, all: &Combinations<'_>, goals: Vec<usize>, start: &State) {
        let state = match all.cheapest(&goals, start) {
            Ended::Found(state) => state,
            Ended::GivenUp => {
                self.is_cheapest = false;
                let (state, is_met) = all.greedy(&goals, start);
                self.is_met &= is_met;
                self.is_proven &= is_met;
                state
            }
            Ended::None => {
                self.is_met = false;
                let (conflict, is_proven) = all.conflict(&goals, start);
                self.conflict.extend(conflict);
                self.is_proven &= is_proven;
                all.greedy(&goals, start).0
            }
        };
        for (mine, theirs) in std::iter::zip(&mut self.state, state) {
            *mine = (*mine).max(theirs);
        }
    }
}

/// What the home with changes says of goals. A home that cannot be meets none of them.
fn says(search: &Search<'_>, goals: &[Turned], edits: &[Edit], only: Option<&Only>) -> Says {
    let verdicts = search.trials.verdicts(edits, only).unwrap_or_default();
    let by_name: BTreeMap<(String, &str), &Verdict> =
        verdicts.iter().map(|verdict| ((verdict.full_name(), verdict.subject.as_str()), verdict)).collect();
    let said = |goal: &Turned| {
        let Some(verdict) = by_name.get(&(goal.rule.clone(), goal.subject.as_str())) else { return (false, 1.0) };
        let said = Said::of(verdict);
        // What does not concern the home any more is no longer open.
        let is_met = said.is_met || verdict.outcome == Outcome::NotApplicable;
        let limit = verdict.limit.as_ref().and_then(mateline_model::Value::number).map_or(1.0, |limit| limit.si.abs());
        let short = said.margin.map_or(1.0, |margin| (-margin / limit.max(1e-12)).clamp(0.0, 1e6));
        (is_met, if is_met { 0.0 } else { short })
    };
    goals.iter().map(said).collect()
}
