//! One part of the home in plan: the outline its foundation follows, and the posts or piers inside it.

use crate::bearing::{CONCRETE_SOURCE, Loads, PadSide, pad_side, soil_bearing};
use crate::plan::{BearingLine, Extent};
use crate::pours::{PadVolume, WallFooting};
use crate::prism::{Moved, moved_area};
use crate::sizes::{FOOT, INCH, STATED, Sizes};
use crate::terms::{length, plain};
use mateline_equation::equation;
use mateline_model::home::{FoundationKind, Home};
use mateline_model::quantity::{Area, Length, LineLoad, Pressure, Units, Volume};
use mateline_model::{Origin, Step, Term};
use mateline_sdk::Lack;

/// Distance between posts or piers along a bearing line (m): 8 ft.
pub const SPACING: f64 = 8.0 * FOOT;
/// Side of a pad whose load is not known (m): 24 in.
const PAD: f64 = 24.0 * INCH;
/// Width of a post (m): 4 in.
const POST: f64 = 4.0 * INCH;
/// Diameter of a pier (m): 12 in.
pub const PIER: f64 = 12.0 * INCH;

equation! {
    /// Length of footing and wall along the middle of a wall inside the outline. Source: geometry.
    pub(crate) Middle = "L = max(0, P − e t)" {
        L: Length "length of footing and wall along their middle" [Units::LENGTH],
        P: Length "length of the outline" [Units::LENGTH],
        e: f64 "corners that point outwards less those that point inwards" [Units::plain(0)],
        t: Length "concrete wall" [Units::LENGTH],
    }

    /// Floor inside the walls. Source: geometry.
    pub(crate) Inside = "A_i = max(0, A − P t + e t²)" {
        A_i: Area "floor inside the walls" [Units::AREA],
        A: Area "area of the outline" [Units::AREA],
        P: Length "length of the outline" [Units::LENGTH],
        e: f64 "corners that point outwards less those that point inwards" [Units::plain(0)],
        t: Length "concrete wall" [Units::LENGTH],
    }

    /// A pad as wide as the footing that is given. Source: the home.
    pub(crate) PadGiven = "a = w_f" {
        a: Length "side of a pad" [Units::LENGTH],
        w_f: Length "width of the footing" [Units::LENGTH],
    }

    /// Thickness of a pad, which stands out no farther than it is thick. Source: IRC 2021, R403.1.1 (from memory, high).
    pub(crate) PadThickness = "t_p = max(t_f, (a − d_p)/2)" {
        t_p: Length "thickness of a pad" [Units::LENGTH],
        t_f: Length "thickness of the footing" [Units::LENGTH],
        a: Length "side of a pad" [Units::LENGTH],
        d_p: Length "width of what stands on it" [Units::LENGTH],
    }

    /// Piers along bearing lines, one at each end. Source: division, rounded up.
    pub(crate) PierCount = "n = Σ (⌈L_j/s⌉ + 1)" {
        n: f64 "piers" [Units::plain(0)],
        L_j: [Length] "a bearing line" [Units::LENGTH],
        s: Length "distance between them" [Units::LENGTH],
    }

    /// Posts along bearing lines whose ends stand on walls. Source: division, rounded up.
    pub(crate) PostCount = "n = Σ (⌈L_j/s⌉ − 1)" {
        n: f64 "posts" [Units::plain(0)],
        L_j: [Length] "a bearing line" [Units::LENGTH],
        s: Length "distance between them" [Units::LENGTH],
    }
}

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

    fn outline(&self) -> [Term; 3] {
        [self.area.clone(), self.perimeter.clone(), self.corners()]
    }

    fn along(&self, wall: f64) -> Middle {
        let (p, t) = (Length::from_si(self.outline.perimeter), Length::from_si(wall));
        Middle { P: p, e: self.outline.corners, t }
    }

    fn within(&self, wall: f64) -> Inside {
        let (p, t) = (Length::from_si(self.outline.perimeter), Length::from_si(wall));
        Inside { A: Area::from_si(self.outline.area), P: p, e: self.outline.corners, t }
    }

    /// An outline moved outwards, with its step.
    pub fn moved_step(&self, distance: f64) -> (Area, Step) {
        let (p, x) = (Length::from_si(self.outline.perimeter), Length::from_si(distance));
        let (area, step) = Moved { A: Area::from_si(self.outline.area), P: p, e: self.outline.corners, x }.step();
        (area, self.outline().into_iter().fold(step, Step::with))
    }

    /// The footing of a slab under all mate lines together, cast against the ground; `None` for other foundations.
    pub fn mate_strip(&self, sizes: &Sizes, what: &'static str) -> Option<(Volume, Step)> {
        let run: f64 = self.lines.iter().filter(|line| line.mate).map(|line| line.length).sum();
        if sizes.kind != FoundationKind::Slab || run <= 0.0 {
            return None;
        }
        let (width, thickness) = (&sizes.footing_width, &sizes.footing_thickness);
        let strip = WallFooting { L: Length::from_si(run), w_f: width.length(), t_f: thickness.length() };
        let (volume, step) = strip.step();
        let step = step.meaning(WallFooting::L, "mate lines, together").given(WallFooting::L, "modules");
        Some((volume, step.with(width.term()).with(thickness.term()).meaning(WallFooting::V, what)))
    }

    /// Length along the middle of a wall inside the outline.
    pub fn middle(&self, wall: f64) -> f64 {
        self.along(wall).value().si()
    }

    /// How that length comes about.
    pub fn middle_step(&self, sizes: &Sizes) -> Step {
        let step = self.along(sizes.wall.value).step().1;
        step.with(self.perimeter.clone()).with(self.corners()).with(sizes.wall.term())
    }

    /// Floor area inside the walls.
    pub fn inside(&self, wall: f64) -> f64 {
        self.within(wall).value().si()
    }

    /// How that area comes about.
    pub fn inside_step(&self, sizes: &Sizes) -> Step {
        let step = self.within(sizes.wall.value).step().1;
        self.outline().into_iter().fold(step, Step::with).with(sizes.wall.term())
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
    /// Thickness of a pad (m).
    pub thickness: f64,
    /// The side that the load asks for (m), where that is known.
    pub needed: Option<f64>,
    /// How that side comes about.
    pub sizing: Vec<Step>,
    /// The bearing lines they stand on: how many, and how long together (m).
    pub lines: (f64, f64),
    /// How count and side come about.
    pub steps: Vec<Step>,
}

impl Pads {
    /// The volume of them all, cut or cast.
    pub fn volume(&self, what: String) -> (Volume, Step) {
        let (side, thickness) = (Length::from_si(self.side), Length::from_si(self.thickness));
        let (volume, step) = PadVolume { n: self.count, a: side, t_p: thickness }.step();
        let step = step.with(self.count_term()).with(self.side_term());
        (volume, step.meaning(PadVolume::V, what))
    }

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
        // A line a hair longer than so many bays is that many bays.
        let long = |line: &BearingLine| Length::from_si((line.length - 1e-9 * SPACING).max(1e-9));
        let (lengths, spacing): (Vec<Length>, _) = (lines().map(long).collect(), Length::from_si(SPACING));
        let (count, counting) = if piers {
            PierCount { L_j: &lengths, s: spacing }.step()
        } else {
            PostCount { L_j: &lengths, s: spacing }.step()
        };
        if count < 1.0 {
            continue;
        }
        let what = match (piers, mate) {
            (false, _) => "posts along mate lines",
            (true, true) => "piers along mate lines",
            (true, false) => "piers along sides",
        };
        let total: f64 = lines().map(|line| line.length).sum();
        let counting = counting.meaning(PierCount::n, what).published(PierCount::s, STATED).each(
            PierCount::L_j,
            lines(),
            |term, line| Term { meaning: line.name(), ..term },
        );
        let sizing = sized(home, sizes, loads, mate)?;
        let needed = sizing.as_ref().map(|sized| sized.side);
        let lines = (lines().count() as f64, total);
        let pad = if is_drawn(home, sizes) {
            let (side, step) = PadGiven { w_f: sizes.footing_width.length() }.step();
            let step = step.with(sizes.footing_width.term());
            Sized { side: side.si(), thickness: sizes.footing_thickness.value, steps: vec![step] }
        } else if let Some(sized) = &sizing {
            sized.clone()
        } else {
            stated(sizes, mate)
        };
        let steps = std::iter::once(counting).chain(pad.steps).collect();
        let sizing = sizing.map(|sized| sized.steps).unwrap_or_default();
        found.push(Pads { what, count, side: pad.side, thickness: pad.thickness, needed, sizing, lines, steps });
    }
    Ok(found)
}

/// Whether the home draws the pads of its piers.
fn is_drawn(home: &Home, sizes: &Sizes) -> bool {
    let Origin::Given(path) = &sizes.footing_width.origin else { return false };
    let piers = home.foundation.as_ref().is_some_and(|foundation| foundation.kind == FoundationKind::Piers);
    sizes.kind == FoundationKind::Piers && (piers || path.starts_with("foundation.except"))
}

/// A pad with how it comes about.
#[derive(Clone, Debug, PartialEq)]
struct Sized {
    side: f64,
    thickness: f64,
    steps: Vec<Step>,
}

/// Thickness of a pad of some side.
fn thickness(sizes: &Sizes, side: f64) -> PadThickness {
    let carried = if sizes.has_walls() { POST } else { PIER };
    PadThickness { t_f: sizes.footing_thickness.length(), a: Length::from_si(side), d_p: Length::from_si(carried) }
}

fn thickness_step(sizes: &Sizes, side: f64) -> Step {
    let step = thickness(sizes, side).step().1;
    step.with(sizes.footing_thickness.term()).published(PadThickness::d_p, STATED)
}

/// A usual pad, where no load is known.
fn stated(sizes: &Sizes, mate: bool) -> Sized {
    let what = if mate { "side of a pad along mate lines" } else { "side of a pad along sides" };
    let given = Term::new("a", what, Length::from_si(PAD), Units::LENGTH).published(STATED);
    let step = Step::new("a = a").term(given).result(length("a", "side of a pad", PAD));
    let steps = vec![step, thickness_step(sizes, PAD)];
    Sized { side: PAD, thickness: thickness(sizes, PAD).value().si(), steps }
}

/// The pad that spreads the load, where that and the soil's bearing value are known. Side and thickness depend on one
/// another: a thicker pad weighs more.
fn sized(home: &Home, sizes: &Sizes, loads: Option<&Loads>, mate: bool) -> Result<Option<Sized>, Lack> {
    let load = loads.and_then(|loads| if mate { loads.mate } else { loads.side });
    let (Some(load), Ok((bearing, term))) = (load, soil_bearing(home)) else { return Ok(None) };
    let heavy = || Lack::at("a pad's own weight uses up the bearing value of the soil", "site.soil_bearing");
    let (line, spacing) = (LineLoad::from_si(load), Length::from_si(SPACING));
    let of = |thickness: Length| pad_side(line, spacing, Pressure::from_si(bearing), thickness).ok_or_else(heavy);
    let mut thick = sizes.footing_thickness.length();
    for _ in 0..200 {
        let next = thickness(sizes, of(thick)?.value().si()).value();
        let settled = (next.si() - thick.si()).abs() < 1e-12;
        thick = next;
        if settled {
            break;
        }
    }
    let what = if mate { "greatest load along a mate line" } else { "greatest load along a side" };
    let quantity = if mate { &crate::facts::LINE_LOAD_MATE } else { &crate::facts::LINE_LOAD_SIDE };
    let (side, step) = of(thick)?.step();
    let step = step
        .meaning(PadSide::q, what)
        .fact(PadSide::q, &mateline_model::Subject::home(), quantity.name.clone())
        .published(PadSide::s, STATED)
        .published(PadSide::γ, CONCRETE_SOURCE)
        .with(term);
    let steps = vec![thickness_step(sizes, side.si()), step];
    Ok(Some(Sized { side: side.si(), thickness: thick.si(), steps }))
}
