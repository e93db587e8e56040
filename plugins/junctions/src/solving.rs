//! Solving all junctions of a home: sections that are alike are solved once, different ones side by side.

use crate::arrangement::SectionError;
use crate::draw::{self, Drawn, Scene, Wanted};
use crate::lack::Lack;
use crate::plan::{Planned, lists};
use crate::psi::{Solutions, SolvedJunction};
use crate::section::content_hash;
use crate::solution::Solver;
use mateline_model::home::JunctionKind;
use mateline_sdk::Request;
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

/// Draws and solves every junction that needs it.
pub(crate) fn outcomes(request: &Request<'_>, planned: &[Planned<'_>], solver: &dyn Solver) -> Vec<Outcome> {
    let drawings: Vec<Option<Result<Drawn, Lack>>> = planned.iter().map(|planned| drawing(request, planned)).collect();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    let mut different: Vec<&Drawn> = Vec::new();
    let mut place_of: Vec<usize> = Vec::with_capacity(drawings.len());
    for drawing in &drawings {
        let Some(Ok(drawn)) = drawing else {
            place_of.push(usize::MAX);
            continue;
        };
        let without = drawn.without.as_ref().map(content_hash).unwrap_or_default();
        let place = *places.entry(content_hash(&drawn.section) + &without).or_insert_with(|| {
            different.push(drawn);
            different.len() - 1
        });
        place_of.push(place);
    }
    let solved: Vec<Result<Arc<Solutions>, SectionError>> =
        each(&different, |drawn| Solutions::of(drawn, solver).map(Arc::new));
    let mut first: Vec<Option<String>> = vec![None; solved.len()];
    let mut outcomes = Vec::with_capacity(planned.len());
    for ((planned, drawing), place) in planned.iter().zip(drawings).zip(place_of) {
        outcomes.push(match drawing {
            None => Outcome::Idle,
            Some(Err(lack)) => Outcome::Lacking(lack),
            Some(Ok(drawn)) => match solved.get(place) {
                Some(Ok(solutions)) => {
                    let like = first.get(place).cloned().flatten();
                    if let Some(first) = first.get_mut(place) {
                        first.get_or_insert_with(|| planned.id.clone());
                    }
                    Outcome::Solved(Box::new(SolvedJunction { drawn, solutions: Arc::clone(solutions), like }))
                }
                Some(Err(error)) => {
                    let path = format!("junctions.{}", planned.id);
                    Outcome::Lacking(Lack::at(format!("{path}: {error}"), path))
                }
                None => Outcome::Idle,
            },
        });
    }
    outcomes
}

/// The section of a junction; `None` where the home gives all that is asked of it.
fn drawing(request: &Request<'_>, planned: &Planned<'_>) -> Option<Result<Drawn, Lack>> {
    let given = planned.junction;
    if given.is_some_and(|junction| junction.psi.is_some() && junction.surface_factor.is_some()) {
        return None;
    }
    let home = request.home;
    let own = given.and_then(|junction| draw::own_section(home, junction, &format!("junctions.{}", planned.id)));
    let wanted = Wanted {
        kind: planned.kind,
        junction: given,
        seam: planned.seam.as_deref(),
        top_is_apart: lists(home, JunctionKind::FoundationTop),
    };
    Some(own.unwrap_or_else(|| draw::draw(&Scene { request, home, wanted })))
}

/// Does the same for every item, in order; side by side, unless no thread may start.
#[cfg(not(feature = "plugin-library"))]
fn each<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync + Send) -> Vec<R> {
    use rayon::prelude::*;
    items.par_iter().map(work).collect()
}

/// Does the same for every item, in order.
#[cfg(feature = "plugin-library")]
fn each<T, R>(items: &[T], work: impl Fn(&T) -> R) -> Vec<R> {
    items.iter().map(work).collect()
}
