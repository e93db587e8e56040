//! Combinations of steps on dials, searched for the cheapest that meets some goals.
//!
//! A combination is a number of steps on each dial. The search takes combinations in the order of their cost and asks what
//! is still open; whatever meets that goes on along one of the dials that move it, so only those are tried next. The first
//! combination at which nothing is open is then the cheapest there is.

use std::cell::RefCell;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

/// Which step stands on each dial; 0 is what stands there now.
pub(super) type State = Vec<usize>;

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
pub(super) type Says = Vec<(bool, f64)>;

/// A search over combinations.
pub(super) struct Combinations<'a> {
    /// What each step on each dial costs; the first is what stands there.
    pub costs: Vec<Vec<f64>>,
    /// The dials that move each goal.
    pub moved_by: Vec<Vec<usize>>,
    pub says: &'a dyn Fn(&State) -> Says,
    pub known: RefCell<BTreeMap<State, Says>>,
    pub most: usize,
}

/// What a search ended on.
#[derive(Debug, PartialEq)]
pub(super) enum Ended {
    Found(State),
    /// There is none.
    None,
    /// Tried as many as may be.
    GivenUp,
}

impl Combinations<'_> {
    pub fn cost(&self, state: &State) -> f64 {
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

    pub fn tried(&self) -> usize {
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
    pub fn cheapest(&self, goals: &[usize], start: &State) -> Ended {
        self.cheapest_of(goals, start, self.most)
    }

    /// The same, of so many that are tried at most.
    pub fn cheapest_of(&self, goals: &[usize], start: &State, most: usize) -> Ended {
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
    pub fn lacks(&self, goals: &[usize], state: &State) -> (usize, f64) {
        let says = self.said(state);
        let open = goals.iter().filter_map(|goal| says.get(*goal)).filter(|(is_met, _)| !is_met);
        open.fold((0, 0.0), |(count, sum), (_, short)| (count + 1, sum + short))
    }

    /// A good combination found by going on, step by step, where most is gained for the money, and then taking back what is
    /// not needed; the nearest one where none meets all.
    pub fn greedy(&self, goals: &[usize], start: &State) -> (State, bool) {
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
    pub fn groups(&self, goals: &[usize]) -> Vec<Vec<usize>> {
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
    pub fn conflict(&self, goals: &[usize], start: &State) -> (Vec<usize>, bool) {
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

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, reason = "a test may stop here")]
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
