//! The members of a layer, sort by sort, and the share of its face that they cover.

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use mateline_equation::equation;
use mateline_model::quantity::{Area, Ratio, Units};
use mateline_model::{Step, Term};

/// A share in a calculation.
pub const SHARE: Units = Units::plain(4);
/// An area of members, fine enough to follow.
pub(super) const AREA: Units = Units::new("m²", 4, "ft²", 3);
/// A length of members, fine enough to follow.
pub(super) const LENGTH: Units = Units::new("m", 3, "ft", 3);

equation! {
    /// Share of a face that is framing. Source: common practice, no source.
    pub Framed = "f = (Σ A_i)/Af" {
        f: Ratio "share of framing" [SHARE],
        A_i: [Area] "members" [AREA],
        Af: Area "face without openings" [AREA],
    }
}

/// Members of one sort and the area they cover.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What they are: `regular studs`.
    pub what: &'static str,
    /// The area they cover; below zero where it takes away what openings displace.
    pub area: Area,
    /// How it follows.
    pub steps: Vec<Step>,
}

impl Part {
    pub(super) fn of(what: &'static str, (area, step): (Area, Step)) -> Part {
        Part { what, area, steps: vec![step] }
    }

    /// With a step that goes before.
    pub(super) fn after(mut self, step: Step) -> Part {
        self.steps.insert(0, step);
        self
    }
}

/// The members found and the share they cover.
#[derive(Clone, Debug, PartialEq)]
pub struct Count {
    /// Sorts of members; an area below zero takes away what openings displace.
    pub parts: Vec<Part>,
    /// The face they share with the cavities: the wall less its openings.
    pub face: Area,
    /// `f`.
    pub fraction: Ratio,
}

impl Count {
    /// The share from the areas of the parts.
    pub fn share(&self) -> (Ratio, Step) {
        let areas: Vec<Area> = self.parts.iter().map(|part| part.area).collect();
        let (share, step) = Framed { A_i: &areas, Af: self.face }.step();
        (share, step.each(Framed::A_i, &self.parts, |term, part| Term { meaning: part.what.to_owned(), ..term }))
    }
}

/// Sums the parts over the face.
pub(super) fn finish(parts: Vec<Part>, face: Area) -> Result<Count, String> {
    let parts: Vec<Part> = parts.into_iter().filter(|part| part.area.si() != 0.0).collect();
    let mut count = Count { parts, face, fraction: Ratio::default() };
    count.fraction = count.share().0;
    if (0.0..=1.0).contains(&count.fraction.si()) {
        return Ok(count);
    }
    Err(format!("the members counted cover {:.0} % of the face; give framed.fraction", count.fraction.si() * 100.0))
}
