//! The parts of a foundation in plan: what stands on the foundation itself, and what on each of its exceptions.

use crate::foundation::{Below, Heights};
use mateline_boxes::coordinate::{GAP, Span, metres};
use mateline_boxes::outline::Outline;
use mateline_boxes::placed::Placed;
use mateline_boxes::region::{Edge, difference, intersection};
use mateline_model::home::{Home, Side};
use mateline_model::quantity::Length;
use mateline_sdk::Lack;

/// What some of the lowest boxes stand on together.
#[derive(Clone, Debug)]
pub struct Part {
    /// What lies below them.
    pub below: Below,
    /// Where the home describes it.
    pub path: String,
    /// Their outline.
    pub outline: Outline,
    /// From the floor below to the underside of the boxes.
    height: Option<Length>,
    /// From grade to that floor.
    depth: Option<Length>,
}

impl Part {
    /// Height from the floor below to the underside of the boxes (m).
    pub fn height(&self) -> Result<f64, Lack> {
        self.height.map(|height| height.si()).ok_or_else(|| self.lack("height"))
    }

    /// Height of the space below and depth of its floor.
    pub fn heights(&self) -> Result<Heights, Lack> {
        let height = self.height()?;
        Ok(Heights { height, depth: self.depth.ok_or_else(|| self.lack("depth_below_grade"))?.si() })
    }

    fn lack(&self, field: &str) -> Lack {
        let whose = if self.path == "foundation" { "the foundation" } else { self.path.as_str() };
        Lack::at(format!("{whose} has no {field}"), self.path.clone())
    }
}

/// A stretch of the outline of one part, on one side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// The side.
    pub side: Side,
    /// The part beside it; `None` where the outline looks outdoors.
    pub beside: Option<usize>,
    /// How long (m).
    pub length: f64,
}

/// All parts: the foundation itself first, then its exceptions.
#[derive(Clone, Debug)]
pub struct Parts {
    /// The parts.
    pub all: Vec<Part>,
    /// The part of each box, by the box's position; that of an upper box says nothing.
    of: Vec<usize>,
}

impl Parts {
    /// The parts of a home's foundation.
    pub fn of(home: &Home, boxes: &[Placed]) -> Parts {
        let lowest = || boxes.iter().filter(|placed| placed.level == 1);
        let Some(foundation) = &home.foundation else {
            let below = Below::Unknown(Lack::at("the home has no foundation", "foundation"));
            let outline = Outline::of(lowest());
            let whole = Part { below, path: "foundation".to_owned(), outline, height: None, depth: None };
            return Parts { all: vec![whole], of: vec![0; boxes.len()] };
        };
        let part = |placed: &Placed| foundation.exception(&placed.id).map_or(0, |(index, _)| index + 1);
        let outline = |number: usize| Outline::of(lowest().filter(|placed| part(placed) == number));
        let mut all = vec![Part {
            below: Below::of(foundation, foundation.kind),
            path: "foundation".to_owned(),
            outline: outline(0),
            height: foundation.height,
            depth: foundation.depth_below_grade,
        }];
        all.extend(foundation.except.iter().enumerate().map(|(index, except)| Part {
            below: Below::of(foundation, except.kind),
            path: format!("foundation.except.{index}"),
            outline: outline(index + 1),
            height: except.height,
            depth: except.depth_below_grade,
        }));
        Parts { all, of: boxes.iter().map(part).collect() }
    }

    /// What lies below a box of the lowest level.
    pub fn below(&self, placed: usize) -> &Below {
        let part = self.of.get(placed).and_then(|part| self.all.get(*part));
        part.or(self.all.first()).map_or(&Below::Outside(mateline_model::home::Boundary::Outdoor), |part| &part.below)
    }

    /// Why what lies below the boxes is not known, where it is not.
    pub fn unknown(&self) -> Option<&Lack> {
        self.all.iter().find_map(|part| match &part.below {
            Below::Unknown(lack) => Some(lack),
            _ => None,
        })
    }

    /// Those inside the thermal envelope, with their positions.
    pub fn inside(&self) -> impl Iterator<Item = (usize, &Part)> {
        self.all.iter().enumerate().filter(|(_, part)| matches!(part.below, Below::Inside(_)))
    }

    /// Whether all boxes stand on one foundation.
    pub fn is_one(&self) -> bool {
        self.all.len() == 1
    }

    /// The outline of a part, stretch by stretch: of each side what looks outdoors, then what lies beside other parts. A
    /// space that is open below the boxes is outdoors.
    pub fn stretches(&self, part: usize) -> Vec<Stretch> {
        let Some(own) = self.all.get(part) else { return Vec::new() };
        let shared = self.shared(part);
        let mut stretches = Vec::new();
        for (side, whole) in own.outline.sides {
            let start = stretches.len();
            stretches.push(Stretch { side, beside: None, length: whole });
            for (other, edges) in &shared {
                let there = edges.iter().filter(|edge| edge.side == side);
                let length: f64 = there.map(|edge| metres(edge.along.length())).sum();
                if length > 0.0 {
                    stretches.push(Stretch { side, beside: Some(*other), length });
                    if let Some(outdoors) = stretches.get_mut(start) {
                        outdoors.length -= length;
                    }
                }
            }
        }
        stretches
    }

    /// The edges of a part that lie beside each other part that is no open space.
    fn shared(&self, part: usize) -> Vec<(usize, Vec<Edge>)> {
        let Some(own) = self.all.get(part) else { return Vec::new() };
        let outdoors = Below::Outside(mateline_model::home::Boundary::Outdoor);
        let others = self.all.iter().enumerate().filter(|(other, of)| *other != part && of.below != outdoors);
        let mut shared = Vec::new();
        for (other, of) in others {
            let mut edges = Vec::new();
            for edge in own.outline.region.outline() {
                for facing in of.outline.region.outline() {
                    if facing.side != opposite(edge.side) || (facing.at - edge.at).abs() > GAP {
                        continue;
                    }
                    let common = intersection(&[edge.along], &[facing.along]);
                    edges.extend(common.into_iter().map(|along| Edge { along, ..edge }));
                }
            }
            shared.push((other, edges));
        }
        shared
    }

    /// The edges of a part along which a wall stands: all but those towards another part inside the envelope.
    pub fn walled(&self, part: usize) -> Vec<Edge> {
        let Some(own) = self.all.get(part) else { return Vec::new() };
        let open: Vec<Edge> = self.open(part);
        let walls = own.outline.region.outline().into_iter().flat_map(|edge| {
            let open = open.iter().filter(|open| open.side == edge.side && open.at == edge.at);
            let mut open: Vec<Span> = open.map(|open| open.along).collect();
            open.sort_unstable();
            difference(&[edge.along], &open).into_iter().map(move |along| Edge { along, ..edge })
        });
        walls.collect()
    }

    /// The edges of a part towards other parts inside the envelope.
    pub fn open(&self, part: usize) -> Vec<Edge> {
        let inside = |other: &usize| self.all.get(*other).is_some_and(|of| matches!(of.below, Below::Inside(_)));
        self.shared(part).into_iter().filter(|(other, _)| inside(other)).flat_map(|(_, edges)| edges).collect()
    }
}

fn opposite(side: Side) -> Side {
    match side {
        Side::North => Side::South,
        Side::South => Side::North,
        Side::East => Side::West,
        Side::West => Side::East,
    }
}
