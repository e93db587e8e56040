//! One part of the home in plan: the outline its foundation follows, and the posts or piers inside it.

use crate::bearing::{Loads, pad_side, soil_bearing};
use crate::lack::Lack;
use crate::plan::{BearingLine, Extent};
use crate::prism::moved_area;
use crate::sizes::{FOOT, INCH, STATED, Sizes};
use crate::terms::{area, length, line, plain};
use mateline_model::home::{FoundationKind, Home};
use mateline_model::quantity::{Length, Units};
use mateline_model::{Step, Term};

/// Distance between posts or piers along a bearing line (m): 8 ft.
const SPACING: f64 = 8.0 * FOOT;
/// Side of a pad whose load is not known (m): 24 in.
const PAD: f64 = 24.0 * INCH;
/// Diameter of a pier (m): 12 in.
pub const PIER: f64 = 12.0 * INCH;

/// The outline of a part of the home, with where its numbers come from.
#[derive(Clone, Debug, PartialEq)]
pub struct SitePlan {
    /// The outline.
    pub outline: Extent,
    /// Its area as a term.
    pub area: Term,
    /// Its length as a term.
    pub perimeter: Term,
    /// The bearing lines inside and along it.
    pub lines: Vec<BearingLine>,
}

impl SitePlan {
    /// The corners as a term.
    pub fn corners(&self) -> Term {
        plain("e", "corners that point outwards less those that point inwards", self.outline.corners, 0)
    }

    /// Area of the outline moved outwards.
    pub fn moved(&self, distance: f64) -> f64 {
        moved_area(self.outline.area, self.outline.perimeter, self.outline.corners, distance)
    }

    /// Length along the middle of a wall inside the outline: `L = P − e t`.
    pub fn middle(&self, wall: f64) -> f64 {
        (self.outline.perimeter - self.outline.corners * wall).max(0.0)
    }

    /// How that length comes about.
    pub fn middle_step(&self, sizes: &Sizes) -> Step {
        Step::new("L = P - e t")
            .term(self.perimeter.clone())
            .term(self.corners())
            .term(sizes.wall.term())
            .result(length("L", "length of footing and wall along their middle", self.middle(sizes.wall.value)))
    }

    /// Floor area inside the walls: `A_i = A − P t + e t²`.
    pub fn inside(&self, wall: f64) -> f64 {
        self.moved(-wall).max(0.0)
    }

    /// How that area comes about.
    pub fn inside_step(&self, sizes: &Sizes) -> Step {
        Step::new("A_i = A - P t + e t²")
            .term(self.area.clone())
            .term(self.perimeter.clone())
            .term(self.corners())
            .term(sizes.wall.term())
            .result(area("A_i", "floor inside the walls", self.inside(sizes.wall.value)))
    }
}

/// Posts or piers that are alike, each on a square pad.
#[derive(Clone, Debug, PartialEq)]
pub struct Pads {
    /// What stands on them.
    pub what: &'static str,
    /// How many.
    pub count: f64,
    /// Side of a pad (m).
    pub side: f64,
    /// The bearing lines they stand on: how many, and how long together (m).
    pub lines: (f64, f64),
    /// How count and side come about.
    pub steps: Vec<Step>,
}

impl Pads {
    /// Side of a pad as a term.
    pub fn side_term(&self) -> Term {
        length("a", format!("side of a pad under {}", self.what), self.side)
    }

    /// How many as a term.
    pub fn count_term(&self) -> Term {
        plain("n", format!("{}, pads", self.what), self.count, 0)
    }
}

/// The pads inside a part: under posts along the mate lines, or under every pier.
///
/// # Errors
/// When the soil cannot carry a pad's own weight.
pub fn pads(home: &Home, sizes: &Sizes, plan: &SitePlan, loads: Option<&Loads>) -> Result<Vec<Pads>, Lack> {
    let piers = sizes.kind == FoundationKind::Piers;
    let mut found = Vec::new();
    for mate in [false, true] {
        if !mate && !piers || sizes.kind == FoundationKind::Slab {
            continue;
        }
        let lines = || plan.lines.iter().filter(|line| line.mate == mate);
        let each = |line: &BearingLine| {
            let bays = (line.length / SPACING - 1e-9).ceil().max(1.0);
            if piers { bays + 1.0 } else { bays - 1.0 }
        };
        let count: f64 = lines().map(each).sum();
        if count < 1.0 {
            continue;
        }
        let what = match (piers, mate) {
            (false, _) => "posts along mate lines",
            (true, true) => "piers along mate lines",
            (true, false) => "piers along sides",
        };
        let total: f64 = lines().map(|line| line.length).sum();
        let equation = if piers { "n = Σ (⌈L/s⌉ + 1)" } else { "n = Σ (⌈L/s⌉ - 1)" };
        let counting = Step::new(equation)
            .term(length("L", format!("{} bearing lines, together", lines().count()), total))
            .term(length("s", "distance between them", SPACING).published(STATED))
            .result(plain("n", what, count, 0));
        let (side, sizing) = pad(home, sizes, loads, mate)?;
        found.push(Pads { what, count, side, lines: (lines().count() as f64, total), steps: vec![counting, sizing] });
    }
    Ok(found)
}

fn pad(home: &Home, sizes: &Sizes, loads: Option<&Loads>, mate: bool) -> Result<(f64, Step), Lack> {
    let own = home.foundation.as_ref().filter(|foundation| {
        sizes.kind == FoundationKind::Piers && foundation.kind == sizes.kind && foundation.footing.is_some()
    });
    if own.is_some() {
        let side = sizes.footing_width.value;
        let step = Step::new("a = w_f").term(sizes.footing_width.term()).result(length("a", "side of a pad", side));
        return Ok((side, step));
    }
    let load = loads.and_then(|loads| if mate { loads.mate } else { loads.side });
    let (Some(load), Ok((bearing, term))) = (load, soil_bearing(home)) else {
        let given = Term::new("a", "side of a pad", Length::from_si(PAD), Units::LENGTH).published(STATED);
        return Ok((PAD, Step::new("a = a").term(given).result(length("a", "side of a pad", PAD))));
    };
    let heavy = || Lack::new("a pad's own weight uses up the bearing value of the soil", "site.soil_bearing");
    let side = pad_side(load * SPACING, bearing, sizes.footing_thickness.value).ok_or_else(heavy)?;
    let what = if mate { "greatest load along a mate line" } else { "greatest load along a side" };
    let quantity = if mate { &crate::facts::LINE_LOAD_MATE } else { &crate::facts::LINE_LOAD_SIDE };
    let load = crate::terms::own(line("q", what, load), &mateline_model::Subject::home(), quantity);
    let step = Step::new("a = √(q s/(q_a - γ g t_f))")
        .term(load)
        .term(length("s", "distance between them", SPACING).published(STATED))
        .term(term)
        .term(sizes.footing_thickness.term())
        .result(length("a", "side of a pad", side));
    Ok((side, step))
}
