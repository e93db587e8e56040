//! Solving all junctions of a home: what is asked twice is solved once, and different things side by side.

use crate::draw::{self, Drawn, Scene, Wanted};
use crate::lack::Lack;
use crate::plan::{Planned, lists};
use crate::psi::{Flow, SolvedJunction};
use crate::solved::{Difference, HeatFlow, Surfaces};
use crate::store::Store;
use mateline_conduction::arrangement::SectionError;
use mateline_conduction::section::{Section, content_hash};
use mateline_conduction::solution::Accuracy;
use mateline_model::home::{Home, JunctionKind};
use mateline_sdk::Request;
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What came out for one junction, before it is written down.
#[derive(Debug)]
pub(crate) enum Outcome {
    Solved(Box<SolvedJunction>),
    /// Nothing had to be solved.
    Idle,
    Lacking(Lack),
}

/// What is asked of a section.
enum Asked<'a> {
    HeatFlow(&'a Section, Accuracy),
    Difference(&'a Section, &'a Section, Accuracy),
    Surfaces(&'a Section),
}

/// What came of it.
#[derive(Clone)]
enum Answer {
    Flow(Flow),
    Surfaces(Arc<Surfaces>),
}

/// A name for what is asked: sections by their hashes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Flow(String, Option<String>),
    Surfaces(String),
}

impl Key {
    fn flow(section: &Section, without: Option<&Section>) -> Key {
        Key::Flow(content_hash(section), without.map(content_hash))
    }
}

impl Asked<'_> {
    fn section(&self) -> &Section {
        match self {
            Asked::HeatFlow(section, _) | Asked::Difference(section, ..) | Asked::Surfaces(section) => section,
        }
    }

    /// Names everything that the answer depends on.
    fn key(&self) -> Key {
        match self {
            Asked::HeatFlow(section, _) => Key::flow(section, None),
            Asked::Difference(section, without, _) => Key::flow(section, Some(without)),
            Asked::Surfaces(section) => Key::Surfaces(content_hash(section)),
        }
    }

    fn answer(&self, store: &dyn Store) -> Result<Answer, SectionError> {
        match self {
            Asked::HeatFlow(section, accuracy) => {
                HeatFlow::of(section, accuracy, store).map(|flow| Answer::Flow(Flow::Alone(Arc::new(flow))))
            }
            Asked::Difference(section, without, accuracy) => {
                Difference::of(section, without, accuracy, store).map(|both| Answer::Flow(Flow::Beside(Arc::new(both))))
            }
            Asked::Surfaces(section) => Surfaces::of(section, store).map(Arc::new).map(Answer::Surfaces),
        }
    }
}

/// All that is asked for a junction: the heat flow of its section and of what it is compared with, and its surfaces.
fn asked(drawn: &Drawn) -> Vec<Asked<'_>> {
    let accuracy = if drawn.in_ground { Accuracy::GROUND } else { Accuracy::FINE };
    let flow = match &drawn.without {
        Some(without) => Asked::Difference(&drawn.section, without, accuracy),
        None => Asked::HeatFlow(&drawn.section, accuracy),
    };
    vec![flow, Asked::Surfaces(&drawn.section)]
}

/// Draws and solves every junction that needs it.
pub(crate) fn outcomes(request: &Request<'_>, planned: &[Planned<'_>], store: &dyn Store) -> Vec<Outcome> {
    let drawings: Vec<Option<Result<Drawn, Lack>>> = planned.iter().map(|planned| drawing(request, planned)).collect();
    let mut different: BTreeMap<Key, Asked<'_>> = BTreeMap::new();
    for drawn in drawings.iter().flatten().flatten() {
        for one in asked(drawn) {
            different.entry(one.key()).or_insert(one);
        }
    }
    let mut different: Vec<_> = different.into_iter().collect();
    // The largest first, so that none is left over for one thread at the end.
    different.sort_by_key(|(_, asked)| Reverse(asked.section().parts.len()));
    let (keys, work): (Vec<_>, Vec<_>) = different.into_iter().unzip();
    let answers = each(store, &work, |asked| asked.answer(store));
    let answers: BTreeMap<_, _> = keys.into_iter().zip(answers).collect();
    let mut first: BTreeMap<Key, String> = BTreeMap::new();
    let mut outcomes = Vec::with_capacity(planned.len());
    for (planned, drawing) in planned.iter().zip(&drawings) {
        outcomes.push(match drawing {
            None => Outcome::Idle,
            Some(Err(lack)) => Outcome::Lacking(lack.clone()),
            Some(Ok(drawn)) => {
                let mut solved = together(&format!("junctions.{}", planned.id), drawn, &answers);
                let key = Key::flow(&drawn.section, drawn.without.as_ref());
                solved.like = first.get(&key).cloned();
                first.entry(key).or_insert_with(|| planned.id.clone());
                Outcome::Solved(Box::new(solved))
            }
        });
    }
    outcomes
}

/// A junction with its answers.
fn together(path: &str, drawn: &Drawn, answers: &BTreeMap<Key, Result<Answer, SectionError>>) -> SolvedJunction {
    let lack = |error: &SectionError| Lack::at(format!("the section of {path} is not solved: {error}"), path);
    let flow = match answers.get(&Key::flow(&drawn.section, drawn.without.as_ref())) {
        Some(Ok(Answer::Flow(flow))) => Ok(flow.clone()),
        Some(Err(error)) => Err(lack(error)),
        _ => Err(lack(&SectionError::Numbers)),
    };
    let surfaces = match answers.get(&Key::Surfaces(content_hash(&drawn.section))) {
        Some(Ok(Answer::Surfaces(surfaces))) => Ok(Arc::clone(surfaces)),
        Some(Err(error)) => Err(lack(error)),
        _ => Err(lack(&SectionError::Numbers)),
    };
    SolvedJunction { drawn: drawn.clone(), flow, surfaces, like: None }
}

/// The section of a junction; `None` where the home gives all that is asked of it.
pub(crate) fn drawing(request: &Request<'_>, planned: &Planned<'_>) -> Option<Result<Drawn, Lack>> {
    let given = planned.junction;
    if given.is_some_and(|junction| junction.psi.is_some() && junction.surface_factor.is_some()) {
        return None;
    }
    let home = request.home;
    let own = given.and_then(|junction| draw::own_section(home, junction, &format!("junctions.{}", planned.id)));
    Some(own.unwrap_or_else(|| draw::draw(&Scene { request, home, wanted: wanted(home, planned) })))
}

/// What the section of a junction is drawn for.
pub(crate) fn wanted<'a>(home: &Home, planned: &'a Planned<'a>) -> Wanted<'a> {
    Wanted {
        kind: planned.kind,
        junction: planned.junction,
        seam: planned.seam.as_deref(),
        top_is_apart: lists(home, JunctionKind::FoundationTop),
        over_air: planned.over_air,
    }
}

/// Does the same for every item; side by side, the first begun first, unless no thread may start. Answers in order.
pub(crate) fn each<T: Sync, R: Send>(store: &dyn Store, items: &[T], work: impl Fn(&T) -> R + Sync + Send) -> Vec<R> {
    use rayon::prelude::*;
    if !store.lets_threads_start() {
        return items.iter().map(work).collect();
    }
    let mut done: Vec<(usize, R)> =
        items.iter().enumerate().par_bridge().map(|(index, item)| (index, work(item))).collect();
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, answer)| answer).collect()
}
