//! The search for the changes that meet many requirements at once: all of a pack.
//!
//! A combination is a number of steps on each dial. The search takes combinations in the order of their cost and asks what
//! is still open; whatever meets that goes on along one of the dials that move it, so only those are tried next. The first
//! combination at which nothing is open is then the cheapest there is. Requirements that share no dial are searched apart.

use super::dials::{Change, Dial, Step};
use super::search::Search;
use super::trials::Said;
use super::turned::Turned;
use crate::load::Edit;
use crate::only::Only;
use mateline_model::{Outcome, Report, Severity, Verdict};
use serde::Serialize;
use std::cell::RefCell;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

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

/// Which step stands on each dial; 0 is what stands there now.
type State = Vec<usize>;

/// A combination in the order of its cost.
struct Next {
    cost: f64,
    state: State,
}

impl PartialEq for Next {
    fn eq(&self, other: &Next) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Next {}
impl PartialOrd for Next {
    fn partial_cmp(&self, other: &Next) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Next {
    /// The cheapest is the greatest, as a heap wants it.
    fn cmp(&self, other: &Next) -> Ordering {
        other.cost.total_cmp(&self.cost).then_with(|| other.state.cmp(&self.state))
    }
}

/// What combinations say: for each goal whether it is met, and by how much of its limit it is short.
type Says = Vec<(bool, f64)>;

/// A search over combinations.
struct Combinations<'a> {
    /// What each step on each dial costs; the first is what stands there.
    costs: Vec<Vec<f64>>,
    /// The dials that move each goal.
    moved_by: Vec<Vec<usize>>,
    says: &'a dyn Fn(&State) -> Says,
    known: RefCell<BTreeMap<State, Says>>,
    most: usize,
}

/// What a search ended on.
#[derive(Debug, PartialEq)]
enum Ended {
    Found(State),
    /// There is none.
    None,
    /// Tried as many as may be.
    GivenUp,
}

impl Combinations<'_> {
    fn cost(&self, state: &State) -> f64 {
        std::iter::zip(&self.costs, state).filter_map(|(costs, step)| costs.get(*step)).sum()
    }

    fn said(&self, state: &State) -> Says {
        if let Some(known) = self.known.borrow().get(state) {
            return known.clone();
        }
        let says = (self.says)(state);
        self.known.borrow_mut().insert(state.clone(), says.clone());
        says
    }

    fn tried(&self) -> usize {
        self.known.borrow().len()
    }

    fn can_go(&self, state: &State, dial: usize) -> bool {
        state.get(dial).zip(self.costs.get(dial)).is_some_and(|(step, costs)| step + 1 < costs.len())
    }

    fn on(&self, state: &State, dial: usize) -> State {
        let mut next = state.clone();
        next.get_mut(dial).into_iter().for_each(|step| *step += 1);
        next
    }

    /// The cheapest combination from a start outwards that meets all of some goals.
    fn cheapest(&self, goals: &[usize], start: &State) -> Ended {
        self.cheapest_of(goals, start, self.most)
    }

    /// The same, of so many that are tried at most.
    fn cheapest_of(&self, goals: &[usize], start: &State, most: usize) -> Ended {
        let mut waiting = BinaryHeap::from([Next { cost: self.cost(start), state: start.clone() }]);
        let mut seen = BTreeSet::from([start.clone()]);
        let until = self.tried() + most;
        while let Some(Next { state, .. }) = waiting.pop() {
            if self.tried() >= until && !self.known.borrow().contains_key(&state) {
                return Ended::GivenUp;
            }
            let says = self.said(&state);
            let open = goals.iter().filter(|goal| says.get(**goal).is_some_and(|(is_met, _)| !is_met));
            let open = open.filter_map(|goal| self.moved_by.get(*goal));
            // What is open with the fewest dials left.
            let dials = open.map(|dials| dials.iter().filter(|dial| self.can_go(&state, **dial)).collect::<Vec<_>>());
            let Some(dials) = dials.min_by_key(Vec::len) else { return Ended::Found(state) };
            for dial in dials {
                let next = self.on(&state, *dial);
                if seen.insert(next.clone()) {
                    waiting.push(Next { cost: self.cost(&next), state: next });
                }
            }
        }
        Ended::None
    }

    /// The goals that are open and by how much they are short together.
    fn lacks(&self, goals: &[usize], state: &State) -> (usize, f64) {
        let says = self.said(state);
        let open = goals.iter().filter_map(|goal| says.get(*goal)).filter(|(is_met, _)| !is_met);
        open.fold((0, 0.0), |(count, sum), (_, short)| (count + 1, sum + short))
    }

    /// A good combination found by going on, step by step, where most is gained for the money, and then taking back what is
    /// not needed; the nearest one where none meets all.
    fn greedy(&self, goals: &[usize], start: &State) -> (State, bool) {
        let mut state = start.clone();
        let mut dials: Vec<usize> =
            goals.iter().filter_map(|goal| self.moved_by.get(*goal)).flatten().copied().collect();
        dials.sort_unstable();
        dials.dedup();
        loop {
            let (open, short) = self.lacks(goals, &state);
            if open == 0 {
                break;
            }
            // Any number of steps on one dial: a single one may gain nothing yet.
            let ahead = dials.iter().flat_map(|dial| {
                let mut next = state.clone();
                std::iter::from_fn(move || {
                    self.can_go(&next, *dial).then(|| {
                        next = self.on(&next, *dial);
                        next.clone()
                    })
                })
            });
            let gains = ahead.filter_map(|next| {
                let (then_open, then_short) = self.lacks(goals, &next);
                let gain = open.saturating_sub(then_open) as f64 + (short - then_short).max(0.0) / (short + 1e-9);
                let paid = (self.cost(&next) - self.cost(&state)).max(1e-9);
                (then_open <= open && (then_open < open || then_short < short)).then(|| (gain / paid, next))
            });
            match gains.max_by(|one, other| one.0.total_cmp(&other.0).then_with(|| other.1.cmp(&one.1))) {
                Some((_, next)) => state = next,
                None => return (state, false),
            }
        }
        let by_cost =
            |dial: &usize| self.costs.get(*dial).and_then(|costs| costs.get(state.get(*dial).copied()?)).copied();
        dials.sort_by(|one, other| by_cost(other).unwrap_or(0.0).total_cmp(&by_cost(one).unwrap_or(0.0)));
        for dial in dials {
            for step in 0..state.get(dial).copied().unwrap_or(0) {
                let mut less = state.clone();
                less.get_mut(dial).into_iter().for_each(|here| *here = step);
                if self.lacks(goals, &less).0 == 0 {
                    state = less;
                    break;
                }
            }
        }
        (state, true)
    }

    /// Goals that share no dial with the others, apart.
    fn groups(&self, goals: &[usize]) -> Vec<Vec<usize>> {
        let mut groups: Vec<(BTreeSet<usize>, Vec<usize>)> = Vec::new();
        for goal in goals {
            let mut dials: BTreeSet<usize> = self.moved_by.get(*goal).into_iter().flatten().copied().collect();
            let mut members = vec![*goal];
            groups.retain(|(theirs, others)| {
                let is_apart = theirs.is_disjoint(&dials);
                if !is_apart {
                    dials.extend(theirs.iter().copied());
                    members.extend(others.iter().copied());
                }
                is_apart
            });
            members.sort_unstable();
            groups.push((dials, members));
        }
        groups.into_iter().map(|(_, goals)| goals).collect()
    }

    /// The goals of some, each of which can be met, that cannot all be: as few as can be, and whether that is sure.
    fn conflict(&self, goals: &[usize], start: &State) -> (Vec<usize>, bool) {
        let (mut kept, mut is_proven) = (goals.to_vec(), true);
        for goal in goals {
            let others: Vec<usize> = kept.iter().copied().filter(|other| other != goal).collect();
            match self.cheapest(&others, start) {
                Ended::None => kept = others,
                Ended::Found(_) => {}
                Ended::GivenUp => is_proven = false,
            }
        }
        (kept, is_proven)
    }
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
            let handles = self.levers.on(&self.loaded().tree, self.base(), verdict).into_iter();
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A small row of numbers that looks drawn by lot.
    struct Lot(u64);

    impl Lot {
        fn next(&mut self, below: u64) -> u64 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 33) % below
        }
    }

    /// Dials with the cost of their steps, and goals: each a least sum over some dials, of which one may count against it.
    struct Case {
        costs: Vec<Vec<f64>>,
        goals: Vec<(Vec<f64>, f64)>,
    }

    fn case(lot: &mut Lot) -> Case {
        let dials = 2 + lot.next(3) as usize;
        let costs = (0..dials).map(|_| {
            let steps = 2 + lot.next(3);
            (0..steps)
                .scan(0.0, |sum, step| {
                    *sum += if step == 0 { 0.0 } else { lot.next(9) as f64 };
                    Some(*sum)
                })
                .collect()
        });
        let costs: Vec<Vec<f64>> = costs.collect();
        let goals = (0..1 + lot.next(4)).map(|_| {
            let weights = (0..dials).map(|_| [0.0, 0.0, 1.0, 2.0, -1.0][lot.next(5) as usize]).collect();
            (weights, lot.next(6) as f64)
        });
        Case { goals: goals.collect(), costs }
    }

    impl Case {
        fn says(&self, state: &State) -> Says {
            let said = |(weights, least): &(Vec<f64>, f64)| {
                let sum: f64 = std::iter::zip(weights, state).map(|(weight, step)| weight * *step as f64).sum();
                (sum >= *least, (least - sum).max(0.0))
            };
            self.goals.iter().map(said).collect()
        }

        fn moved_by(&self) -> Vec<Vec<usize>> {
            let moving = |(weights, _): &(Vec<f64>, f64)| {
                weights.iter().enumerate().filter(|(_, weight)| **weight != 0.0).map(|(dial, _)| dial).collect()
            };
            self.goals.iter().map(moving).collect()
        }

        /// All combinations, with their cost.
        fn all(&self) -> Vec<State> {
            self.costs.iter().fold(vec![Vec::new()], |states, costs| {
                let longer = |state: &State| {
                    (0..costs.len()).map(|step| [state.as_slice(), &[step]].concat()).collect::<Vec<_>>()
                };
                states.iter().flat_map(longer).collect()
            })
        }
    }

    fn meets(says: &Says, goals: &[usize]) -> bool {
        goals.iter().all(|goal| says.get(*goal).is_some_and(|(is_met, _)| *is_met))
    }

    /// Against every combination there is: the cheapest has the same cost, none is found where there is none, and goals
    /// that are told to be in conflict cannot all be met, while they can without any one of them.
    #[test]
    fn the_cheapest_is_the_cheapest_of_all() {
        let (mut lot, mut found, mut in_conflict) = (Lot(1), 0, 0);
        for _ in 0..400 {
            let case = case(&mut lot);
            let says = |state: &State| case.says(state);
            let search = Combinations {
                costs: case.costs.clone(),
                moved_by: case.moved_by(),
                says: &says,
                known: RefCell::default(),
                most: 10_000,
            };
            let start = vec![0; case.costs.len()];
            let all = case.all();
            let least = |goals: &[usize]| {
                let meeting = all.iter().filter(|state| meets(&case.says(state), goals));
                meeting.map(|state| search.cost(state)).min_by(f64::total_cmp)
            };
            let goals: Vec<usize> = (0..case.goals.len()).collect();
            match search.cheapest(&goals, &start) {
                Ended::Found(state) => {
                    assert!(meets(&case.says(&state), &goals));
                    assert_eq!(Some(search.cost(&state)), least(&goals));
                    found += 1;
                }
                Ended::None => {
                    assert_eq!(least(&goals), None);
                    let can: Vec<usize> = goals.iter().copied().filter(|goal| least(&[*goal]).is_some()).collect();
                    if least(&can).is_some() {
                        continue;
                    }
                    let (conflict, is_proven) = search.conflict(&can, &start);
                    assert!(is_proven && least(&conflict).is_none());
                    for goal in &conflict {
                        let others: Vec<usize> = conflict.iter().copied().filter(|other| other != goal).collect();
                        assert!(least(&others).is_some(), "one less can be met");
                    }
                    in_conflict += 1;
                }
                Ended::GivenUp => panic!("so few are tried to the end"),
            }
            let (state, is_met) = search.greedy(&goals, &start);
            assert_eq!(is_met, meets(&case.says(&state), &goals));
        }
        assert!(found > 100 && in_conflict > 10, "{found} found, {in_conflict} in conflict");
    }

    /// What shares no dial is apart, also by way of a third.
    #[test]
    fn goals_are_grouped_by_the_dials_they_share() {
        let says = |_: &State| Vec::new();
        let search = Combinations {
            costs: vec![vec![0.0]; 5],
            moved_by: vec![vec![0], vec![1], vec![0, 2], vec![3], vec![2, 4]],
            says: &says,
            known: RefCell::default(),
            most: 1,
        };
        let mut groups = search.groups(&[0, 1, 2, 3, 4]);
        groups.sort();
        assert_eq!(groups, [vec![0, 2, 4], vec![1], vec![3]]);
    }
}
