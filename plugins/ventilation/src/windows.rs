//! Windows of the rooms that a code lets be aired by a window: how much of them opens.

use crate::facts;
use mateline_equation::equation;
use mateline_model::home::{Id, Opening, OpeningKind, Operation, SpaceUse};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Basis, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Openable area of windows. Source: addition; a sash that slides opens half (common practice, no source).
    pub(crate) Openable = "A = Σ n_j s_j b_j h_j" {
        A: Area "openable" [Units::AREA],
        n_j: [f64] "how many" [Units::plain(0)],
        s_j: [f64] "share that opens" [Units::plain(2)],
        b_j: [Length] "width" [Units::LENGTH],
        h_j: [Length] "height" [Units::LENGTH],
    }
}

/// Facts of every room that people stay in, and of every bath and toilet room.
pub(crate) fn report(request: &Request<'_>, findings: &mut Findings) {
    let home = request.home;
    for (id, space) in &home.spaces {
        let bath = matches!(space.used_as, SpaceUse::Bathroom | SpaceUse::HalfBath);
        if !bath && !space.used_as.is_habitable() {
            continue;
        }
        let subject = Subject::element("spaces", id);
        let windows: Vec<(&Id, &Opening)> = home.openings.iter().filter(|(_, opening)| serves(opening, id)).collect();
        if windows.is_empty() {
            let at = if home.openings.is_empty() { "openings" } else { subject.as_str() };
            let lack = Lack::at(format!("no window names {subject} as its space"), at);
            lack.write(&subject, &[&facts::OPENABLE_AREA], findings);
            continue;
        }
        let windows: Vec<(&Id, &Opening)> = windows.into_iter().filter(|(id, _)| airs(request, id)).collect();
        openable(&subject, &windows, findings);
    }
}

/// Whether outdoor air comes in by it: not from a garage or another space of the building.
fn airs(request: &Request<'_>, id: &Id) -> bool {
    let behind = request.text(&Subject::element("openings", id), "takeoff.boundary");
    !matches!(behind, Some("garage" | "crawl-space" | "unheated-basement" | "unheated" | "conditioned"))
}

fn serves(opening: &Opening, room: &Id) -> bool {
    let lets_light_in = matches!(opening.kind, OpeningKind::Window | OpeningKind::GlazedDoor | OpeningKind::Skylight);
    lets_light_in && opening.space.as_ref() == Some(room)
}

fn openable(subject: &Subject, windows: &[(&Id, &Opening)], findings: &mut Findings) {
    let mut leaves = Vec::new();
    for (id, window) in windows {
        match leaf(window) {
            Some(leaf) => leaves.push((id, window, leaf)),
            None => {
                let path = format!("openings.{id}");
                let lack = Lack::at(format!("{path} does not say how it opens"), path);
                return lack.write(subject, &[&facts::OPENABLE_AREA], findings);
            }
        }
    }
    let counts: Vec<f64> = leaves.iter().map(|(_, window, _)| f64::from(window.count)).collect();
    let shares: Vec<f64> = leaves.iter().map(|(.., leaf)| leaf.share).collect();
    let widths: Vec<Length> = leaves.iter().map(|(.., leaf)| leaf.width).collect();
    let heights: Vec<Length> = leaves.iter().map(|(.., leaf)| leaf.height).collect();
    let (area, step): (Area, _) = Openable { n_j: &counts, s_j: &shares, b_j: &widths, h_j: &heights }.step();
    let step = step
        .each(Openable::n_j, &leaves, |term, (id, ..)| Term { meaning: format!("{id}, count"), ..term })
        .each(Openable::s_j, &leaves, |term, (id, ..)| Term { meaning: format!("{id}, share that opens"), ..term })
        .each(Openable::b_j, &leaves, |term, (id, _, leaf)| {
            Term { meaning: format!("{id}, width"), ..term }.given(format!("openings.{id}.{}", leaf.fields.0))
        })
        .each(Openable::h_j, &leaves, |term, (id, _, leaf)| {
            Term { meaning: format!("{id}, height"), ..term }.given(format!("openings.{id}.{}", leaf.fields.1))
        });
    let basis = Basis::new("what of the windows opens", "common practice, no source")
        .step(step)
        .assuming("a sash that slides opens half of its window; any other, all of it")
        .assuming("windows towards a garage or another space of the building bring no outdoor air");
    findings.fact(subject, &facts::OPENABLE_AREA, area, basis);
}

struct Leaf {
    share: f64,
    width: Length,
    height: Length,
    fields: (&'static str, &'static str),
}

/// What of a window opens; none where it does not say.
fn leaf(window: &Opening) -> Option<Leaf> {
    if let (Some(width), Some(height)) = (window.clear_width, window.clear_height) {
        return Some(Leaf { share: 1.0, width, height, fields: ("clear_width", "clear_height") });
    }
    let share = match window.operation? {
        Operation::Fixed => 0.0,
        Operation::DoubleHung | Operation::Slider => 0.5,
        Operation::Casement | Operation::Awning | Operation::TiltTurn => 1.0,
    };
    Some(Leaf { share, width: window.width, height: window.height, fields: ("width", "height") })
}
