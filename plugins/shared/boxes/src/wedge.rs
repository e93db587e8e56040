//! The triangles that sloped ceilings put on side faces: what they share with other faces and what stays open.

use crate::coordinate::{Rect, Span, metres};
use crate::placed::Placed;
use mateline_model::home::Face;

/// A part of a side face between two straight lines over a stretch of u; lengths in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// From, to.
    pub u: (f64, f64),
    /// The lower line.
    pub bottom: Line,
    /// The upper line.
    pub top: Line,
}

/// `z = z0 + slope · u`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Height at u = 0 (m).
    pub z0: f64,
    /// Rise per run.
    pub slope: f64,
}

impl Line {
    /// A level line.
    pub const fn level(z0: f64) -> Line {
        Line { z0, slope: 0.0 }
    }

    /// Its height at `u`.
    pub fn at(self, u: f64) -> f64 {
        self.z0 + self.slope * u
    }

    fn crossing(self, other: Line) -> Option<f64> {
        let slope = self.slope - other.slope;
        (slope.abs() > 1e-12).then(|| (other.z0 - self.z0) / slope)
    }
}

impl Strip {
    /// A rectangle of a face.
    pub fn of_rect(rect: Rect) -> Strip {
        Strip {
            u: (metres(rect.u.lo), metres(rect.u.hi)),
            bottom: Line::level(metres(rect.v.lo)),
            top: Line::level(metres(rect.v.hi)),
        }
    }
}

/// The line along the top of a side face: sloped on a gable, level elsewhere.
pub fn top_line(placed: &Placed, face: Face) -> Line {
    let high = metres(placed.face(face).v.hi);
    match placed.wedge.filter(|_| placed.is_gable(face)) {
        Some(wedge) => {
            let run: Span = placed.spans[wedge.axis];
            let (slope, start) = if wedge.up { (wedge.ratio, run.lo) } else { (-wedge.ratio, run.hi) };
            Line { z0: high - slope * metres(start), slope }
        }
        None => Line::level(high),
    }
}

/// The triangle on a side face.
pub fn gable(placed: &Placed, face: Face) -> Option<Strip> {
    placed.is_gable(face).then(|| {
        let rect = Strip::of_rect(placed.face(face));
        Strip { u: rect.u, bottom: rect.top, top: top_line(placed, face) }
    })
}

/// A side face in strips: its rectangle, and its triangle if it has one.
pub fn strips(placed: &Placed, face: Face) -> Vec<Strip> {
    std::iter::once(Strip::of_rect(placed.face(face))).chain(gable(placed, face)).collect()
}

/// Area (m²) that two faces in one plane share.
pub fn shared(a: &[Strip], b: &[Strip]) -> f64 {
    a.iter().map(|strip| uncovered(strip, &[]) - uncovered(strip, b)).sum()
}

/// Area (m²) of a strip that none of the covers hides.
///
/// Between two neighbouring points where a line begins, ends or crosses another, the open height is a straight
/// function of u, so that its value half-way times the width is exact.
pub fn uncovered(strip: &Strip, covers: &[Strip]) -> f64 {
    let (from, to) = strip.u;
    let meets = |cover: &&Strip| cover.u.0 < to && cover.u.1 > from;
    let covers: Vec<&Strip> = covers.iter().filter(meets).collect();
    let lines: Vec<Line> =
        std::iter::once(strip).chain(covers.iter().copied()).flat_map(|strip| [strip.bottom, strip.top]).collect();
    let mut cuts: Vec<f64> = vec![from, to];
    cuts.extend(covers.iter().flat_map(|cover| [cover.u.0, cover.u.1]));
    for (position, line) in lines.iter().enumerate() {
        cuts.extend(lines.iter().skip(position + 1).filter_map(|other| line.crossing(*other)));
    }
    cuts.retain(|u| (from..=to).contains(u));
    cuts.sort_unstable_by(f64::total_cmp);
    cuts.iter().zip(cuts.iter().skip(1)).map(|(u0, u1)| (u1 - u0) * open_height(strip, &covers, (u0 + u1) / 2.0)).sum()
}

fn open_height(strip: &Strip, covers: &[&Strip], u: f64) -> f64 {
    let (bottom, top) = (strip.bottom.at(u), strip.top.at(u));
    let here = |cover: &&&Strip| cover.u.0 < u && u < cover.u.1;
    let mut hidden: Vec<(f64, f64)> = covers
        .iter()
        .filter(here)
        .map(|cover| (cover.bottom.at(u).max(bottom), cover.top.at(u).min(top)))
        .filter(|(lo, hi)| lo < hi)
        .collect();
    hidden.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let mut open = (top - bottom).max(0.0);
    let mut reached = bottom;
    for (lo, hi) in hidden {
        if hi > reached {
            open -= hi - lo.max(reached);
            reached = hi;
        }
    }
    open.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strip(u: (f64, f64), bottom: f64, top: Line) -> Strip {
        Strip { u, bottom: Line::level(bottom), top }
    }

    fn close(value: f64, wanted: f64) {
        assert!((value - wanted).abs() < 1e-12, "{value} against {wanted}");
    }

    /// A triangle 4 wide and 2 high has 4 m². Its mirror image in the same plane shares a triangle 4 wide and 1 high
    /// with it, 2 m². A rectangle over its lower metre leaves the top: 2 wide, 1 high, 1 m².
    #[test]
    fn triangles_by_hand() {
        let rising = strip((0.0, 4.0), 0.0, Line { z0: 0.0, slope: 0.5 });
        let falling = strip((0.0, 4.0), 0.0, Line { z0: 2.0, slope: -0.5 });
        let low = strip((-1.0, 9.0), 0.0, Line::level(1.0));
        close(uncovered(&rising, &[]), 4.0);
        close(shared(&[rising], &[falling]), 2.0);
        close(uncovered(&rising, &[low]), 1.0);
        close(uncovered(&rising, &[low, falling, low]), 1.0);
        close(uncovered(&rising, &[rising]), 0.0);
    }
}
