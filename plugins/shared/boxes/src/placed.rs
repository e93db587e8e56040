//! Where each box stands: its spans along x, y and z, with the height of upper boxes worked out from those below.

use crate::coordinate::{GAP, Nm, Rect, Span, metres, nanometres, square_metres};
use crate::near::near_pairs;
use mateline_model::home::{Face, Home, Id, Module, Side};
use std::collections::BTreeMap;
use std::ops::ControlFlow;

/// The faces of a box, in the order of [`Placed`]'s face numbers: twice the axis, plus one for the higher end.
pub const FACES: [Face; 6] = [Face::West, Face::East, Face::South, Face::North, Face::Bottom, Face::Top];

/// The axis a face looks along (0 x, 1 y, 2 z), and whether it looks towards the higher end.
pub const fn direction(face: Face) -> (usize, bool) {
    match face {
        Face::West => (0, false),
        Face::East => (0, true),
        Face::South => (1, false),
        Face::North => (1, true),
        Face::Bottom => (2, false),
        Face::Top => (2, true),
    }
}

/// The face that looks along an axis.
pub const fn face_along(axis: usize, high: bool) -> Face {
    match (axis, high) {
        (0, false) => Face::West,
        (0, true) => Face::East,
        (1, false) => Face::South,
        (1, true) => Face::North,
        (_, false) => Face::Bottom,
        (_, true) => Face::Top,
    }
}

/// The position of a face in [`FACES`].
pub const fn number(face: Face) -> usize {
    let (axis, high) = direction(face);
    2 * axis + high as usize
}

/// The face that looks at this one.
pub const fn opposite(face: Face) -> Face {
    let (axis, high) = direction(face);
    face_along(axis, !high)
}

/// A box where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// Its id.
    pub id: Id,
    /// Its storey.
    pub level: u32,
    /// Its spans along x, y and z, without the wedge of a sloped ceiling.
    pub spans: [Span; 3],
    /// The wedge on top, where the ceiling slopes.
    pub wedge: Option<Wedge>,
}

/// What a sloped ceiling adds on top of a box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wedge {
    /// The horizontal axis it rises along.
    pub axis: usize,
    /// Whether it rises towards the higher end.
    pub up: bool,
    /// Rise per run.
    pub ratio: f64,
    /// Height of its high side.
    pub rise: Nm,
}

impl Wedge {
    /// Sloped length per level length, `1/cos α = √(1 + ratio²)`.
    pub fn stretch(&self) -> f64 {
        mateline_model::portable::hypot(self.ratio, 1.0)
    }
}

impl Placed {
    /// The plan of the box.
    pub fn plan(&self) -> Rect {
        Rect::new(self.spans[0], self.spans[1])
    }

    /// The same box with a level top, as high as the low side of its ceiling.
    pub fn levelled(mut self) -> Placed {
        self.wedge = None;
        self
    }

    /// Whether its longer sides in plan run from west to east.
    pub fn runs_east(&self) -> bool {
        self.spans[0].length() >= self.spans[1].length()
    }

    /// Its spans with the wedge.
    pub fn reach(&self) -> [Span; 3] {
        let [x, y, z] = self.spans;
        [x, y, Span::new(z.lo, z.hi + self.rise())]
    }

    /// Height of the wedge; zero where the top is flat.
    pub fn rise(&self) -> Nm {
        self.wedge.map_or(0, |wedge| wedge.rise)
    }

    /// Whether a side face carries the triangle of the wedge.
    pub fn is_gable(&self, face: Face) -> bool {
        let (axis, _) = direction(face);
        axis < 2 && self.wedge.is_some_and(|wedge| wedge.axis != axis)
    }

    /// A face as a rectangle in its plane, u being the lower of its two axes. The high side of a sloped ceiling is
    /// part of its side face; triangles are left out.
    pub fn face(&self, face: Face) -> Rect {
        let (axis, high) = direction(face);
        let [x, y, mut z] = self.spans;
        if self.wedge.is_some_and(|wedge| wedge.axis == axis && wedge.up == high) {
            z.hi += self.rise();
        }
        match axis {
            0 => Rect::new(y, z),
            1 => Rect::new(x, z),
            _ => Rect::new(x, y),
        }
    }

    /// Where the plane of a face stands on its axis.
    pub fn plane(&self, face: Face) -> Nm {
        let (axis, high) = direction(face);
        if high { self.spans[axis].hi } else { self.spans[axis].lo }
    }

    /// Area of a whole face in m², wedge included: triangles on the sides, the sloped top along the slope.
    pub fn face_area(&self, face: Face) -> f64 {
        let flat = square_metres(self.face(face).area());
        match self.wedge {
            Some(wedge) if face == Face::Top => flat * wedge.stretch(),
            Some(wedge) if self.is_gable(face) => {
                flat + 0.5 * metres(wedge.rise) * metres(self.spans[wedge.axis].length())
            }
            _ => flat,
        }
    }

    /// Volume in m³, wedge included.
    pub fn volume(&self) -> f64 {
        let plan = square_metres(self.plan().area());
        plan * (metres(self.spans[2].length()) + 0.5 * metres(self.rise()))
    }

    /// Its path in the home.
    pub fn path(&self) -> String {
        format!("modules.{}", self.id)
    }
}

/// No box is longer (m).
pub const LONGEST: f64 = 100.0;
/// No box stands farther from the origin (m).
pub const FARTHEST: f64 = 100_000.0;

/// What keeps a box from being placed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// Its size along an axis is none of a box (m).
    Size(Axis, f64),
    /// Its place along an axis is beyond all measure (m).
    Place(Axis, f64),
    /// It is on level 0.
    Level,
}

/// The name of an axis, as a home file writes it.
pub type Axis = &'static str;

/// What is wrong with one box by itself.
pub fn faults(module: &Module) -> Vec<Fault> {
    let (size, at) = (&module.size, &module.at);
    let sizes = [("x", size.x), ("y", size.y), ("z", size.z)].map(|(axis, value)| (axis, value.si()));
    let wrong = |value: f64| !(value > metres(GAP) && value <= LONGEST);
    let places = [("x", Some(at.x)), ("y", Some(at.y)), ("z", at.z)];
    let places = places.into_iter().filter_map(|(axis, value)| Some((axis, value?.si())));
    let far = |value: f64| value.is_nan() || value.abs() > FARTHEST;
    let sizes = sizes.into_iter().filter(|(_, value)| wrong(*value)).map(|(axis, value)| Fault::Size(axis, value));
    let places = places.filter(|(_, value)| far(*value)).map(|(axis, value)| Fault::Place(axis, value));
    sizes.chain(places).chain((module.level == 0).then_some(Fault::Level)).collect()
}

/// Places every box that has no fault, in the order of the file.
pub fn place(home: &Home) -> Vec<Placed> {
    let whole: Vec<_> = home.modules.iter().filter(|(_, module)| faults(module).is_empty()).collect();
    let mut boxes: Vec<Placed> = whole.iter().map(|(id, module)| standing(id, module)).collect();
    let given: Vec<bool> = whole.iter().map(|(_, module)| module.at.z.is_some()).collect();
    raise(&mut boxes, &given);
    boxes
}

fn standing(id: &Id, module: &Module) -> Placed {
    let from = |at: Nm, size: f64| Span::new(at, at + nanometres(size));
    let size = &module.size;
    let spans = [
        from(nanometres(module.at.x.si()), size.x.si()),
        from(nanometres(module.at.y.si()), size.y.si()),
        from(module.at.z.map_or(0, |z| nanometres(z.si())), size.z.si()),
    ];
    let wedge = module.sloped_ceiling.as_ref().filter(|ceiling| ceiling.slope.ratio > 0.0).map(|ceiling| {
        let (axis, up) = direction(Face::from(ceiling.rises_to));
        let ratio = ceiling.slope.ratio;
        Wedge { axis, up, ratio, rise: nanometres(ratio * metres(spans[axis].length())) }
    });
    Placed { id: id.clone(), level: module.level, spans, wedge }
}

/// Gives boxes without a height the one that follows: level 1 stands at zero, a box of a higher level on the tallest
/// box of the level below that it overlaps in plan, or where it overlaps none, on the tallest of that level.
fn raise(boxes: &mut [Placed], given: &[bool]) {
    let mut levels: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (i, placed) in boxes.iter().enumerate() {
        levels.entry(placed.level).or_default().push(i);
    }
    let mut below: Vec<usize> = Vec::new();
    for storey in levels.into_values() {
        let tops = tops_under(boxes, &below, &storey);
        for (i, top) in storey.iter().zip(tops) {
            if given.get(*i) == Some(&false)
                && let Some(placed) = boxes.get_mut(*i)
            {
                placed.spans[2] = placed.spans[2].moved(top);
            }
        }
        below = storey;
    }
}

/// For each box of a storey, the height of what carries it.
fn tops_under(boxes: &[Placed], below: &[usize], storey: &[usize]) -> Vec<Nm> {
    let top = |i: &usize| boxes.get(*i).map_or(0, |placed| placed.spans[2].hi);
    let tallest = below.iter().map(top).max().unwrap_or(0);
    let flat = |i: &usize| boxes.get(*i).map_or([Span::new(0, 0); 3], |b| [b.spans[0], b.spans[1], Span::new(0, 1)]);
    let plans: Vec<[Span; 3]> = below.iter().chain(storey).map(flat).collect();
    let mut under: Vec<Option<Nm>> = vec![None; storey.len()];
    let _ = near_pairs(&plans, 0, |i, j| {
        let overlaps = plans.get(i).zip(plans.get(j)).is_some_and(|(a, b)| overlap_in_plan(a, b));
        let upper = j.checked_sub(below.len()).and_then(|position| under.get_mut(position));
        if let (true, Some(upper), Some(lower)) = (overlaps, upper, below.get(i)) {
            *upper = (*upper).max(Some(top(lower)));
        }
        ControlFlow::Continue(())
    });
    under.into_iter().map(|top| top.unwrap_or(tallest)).collect()
}

/// Whether two boxes lie over one another by more than a gap.
pub fn overlap_in_plan(a: &[Span; 3], b: &[Span; 3]) -> bool {
    a[0].depth(b[0]) > GAP && a[1].depth(b[1]) > GAP
}

/// The face of a box on a side.
pub fn side_of(face: Face) -> Option<Side> {
    match face {
        Face::North => Some(Side::North),
        Face::East => Some(Side::East),
        Face::South => Some(Side::South),
        Face::West => Some(Side::West),
        Face::Top | Face::Bottom => None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;
    use crate::samples::{home, metric};
    use serde_json::json;

    fn heights(modules: serde_json::Value) -> Vec<Nm> {
        place(&home(modules)).iter().map(|placed| placed.spans[2].lo).collect()
    }

    /// A is 3 m and B 4 m high. C stands over A alone, D over both, E over neither; F says where it stands.
    #[test]
    fn an_upper_box_stands_on_the_tallest_box_below_it() {
        let heights = heights(json!({
            "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
            "B": metric(1, [0.0, 4.0], [10.0, 4.0, 4.0]),
            "C": metric(2, [0.0, 0.0], [10.0, 4.0, 3.0]),
            "D": metric(2, [12.0, 2.0], [10.0, 4.0, 3.0]),
            "E": metric(2, [-5.0, 1.0], [10.0, 4.0, 3.0]),
            "F": {
                "level": 2, "at": { "x": "30 m", "y": "0 m", "z": "3.5 m" },
                "size": { "x": "1 m", "y": "1 m", "z": "1 m" },
            },
            "G": metric(3, [0.0, 0.0], [2.0, 2.0, 3.0]),
        }));
        let m = |metres: f64| nanometres(metres);
        assert_eq!(heights, [0, 0, m(3.0), m(4.0), m(4.0), m(3.5), m(7.0)]);
    }

    /// Run 4 m at 3/12: rise 1 m, triangle 2 m², top 10 · √(4² + 1²) m², volume 10 · 4 · 3 + ½ · 4 · 1 · 10 m³.
    #[test]
    fn a_sloped_ceiling_adds_a_wedge() {
        let mut sloped = metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]);
        sloped["sloped_ceiling"] = json!({ "slope": "3/12", "rises_to": "north" });
        let boxes = place(&home(json!({ "A": sloped })));
        let a = boxes.first().unwrap();
        let close = |value: f64, wanted: f64| assert!((value - wanted).abs() < 1e-9, "{value} against {wanted}");
        close(a.face_area(Face::North), 40.0);
        close(a.face_area(Face::South), 30.0);
        close(a.face_area(Face::East), 14.0);
        close(a.face_area(Face::Top), 10.0 * 17f64.sqrt());
        close(a.volume(), 140.0);
    }
}
