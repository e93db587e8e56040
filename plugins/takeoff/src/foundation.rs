//! What the lowest boxes stand on: what lies below their floors, and the walls and floor of a conditioned space there.

use crate::problems;
use mateline_model::Problem;
use mateline_model::home::{Boundary, Foundation, FoundationKind, Home};
use mateline_model::quantity::Length;
use mateline_sdk::Lack;

/// What lies below the lowest boxes.
#[derive(Clone, Debug, PartialEq)]
pub enum Below {
    /// Not said.
    Unknown(Lack),
    /// A space inside the thermal envelope.
    Inside(FoundationKind),
    /// Something outside it.
    Outside(Boundary),
}

impl Below {
    /// What lies below boxes that stand on a kind of foundation.
    pub fn of(foundation: &Foundation, kind: FoundationKind) -> Below {
        match kind {
            FoundationKind::Basement | FoundationKind::CrawlSpace if foundation.conditions(kind) => Below::Inside(kind),
            FoundationKind::Basement => Below::Outside(Boundary::UnheatedBasement),
            FoundationKind::CrawlSpace => Below::Outside(Boundary::CrawlSpace),
            FoundationKind::Slab => Below::Outside(Boundary::Ground),
            FoundationKind::Piers => Below::Outside(Boundary::Outdoor),
        }
    }

    /// Whether it is a conditioned basement, whose floor counts as floor area; that of a crawl space does not.
    pub fn has_floor_area(&self) -> bool {
        *self == Below::Inside(FoundationKind::Basement)
    }
}

/// Height of the space below and depth of its floor below grade (m).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heights {
    /// From its floor to the underside of the boxes.
    pub height: f64,
    /// From grade to its floor.
    pub depth: f64,
}

impl Heights {
    /// Height of the walls above grade (m).
    pub fn above_grade(self) -> f64 {
        self.height - self.depth
    }
}

/// Heights that cannot be.
pub fn problems(home: &Home) -> Vec<Problem> {
    let Some(foundation) = &home.foundation else { return Vec::new() };
    let units = home.units;
    let mut problems = Vec::new();
    let is_hollow = |kind| matches!(kind, FoundationKind::Basement | FoundationKind::CrawlSpace);
    let hollow = is_hollow(foundation.kind);
    for (index, except) in foundation.except.iter().enumerate().filter(|(_, except)| is_hollow(except.kind)) {
        let path = format!("foundation.except.{index}");
        let sizes: [(&str, Option<Length>, _); 2] = [
            ("height", except.height, "a space below the boxes has a height"),
            ("depth_below_grade", except.depth_below_grade, "a floor below grade has a depth above zero"),
        ];
        for (field, value, what) in sizes {
            problems.extend(problems::positive(&format!("{path}.{field}"), value, what, units));
        }
    }
    let what = "a space below the boxes has a height";
    problems.extend(problems::positive("foundation.height", foundation.height.filter(|_| hollow), what, units));
    let depth = foundation.depth_below_grade.map(|depth| depth.si());
    let path = "foundation.depth_below_grade";
    if let Some(depth) = depth.filter(|depth| hollow && (*depth < 0.0 || depth.is_nan())) {
        let message =
            format!("{path} is {}; a floor below grade has a depth of zero or more", problems::length(depth, units));
        problems.push(problems::at(path, message, "measure from grade down to the floor"));
    }
    let height = foundation.height.map(|height| height.si());
    if let (Some(depth), Some(height)) = (depth, height)
        && hollow
        && height > 0.0
        && problems::exceeds(depth, height)
    {
        let message = format!(
            "{path} is {}, more than foundation.height {}; the boxes would stand below grade",
            problems::length(depth, units),
            problems::length(height, units)
        );
        problems.push(problems::at(path, message, "raise the foundation's height, or lessen its depth"));
    }
    problems
}
