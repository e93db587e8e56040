//! Numbers of the materials in a field: in the largest part of each, or beside it with a leader where it is thin.

use super::super::{Rect, px, shapes};
use super::Sheet;
use mateline_model::{FieldOutline, portable};
use serde::Serialize;

/// Size of the disc with a number, and least side of a part that holds one.
const DISC: (f64, f64) = (15.0, 19.0);

#[derive(Serialize)]
pub(super) struct Callout {
    number: usize,
    x: String,
    y: String,
    leader: Option<shapes::Point>,
}

/// A numbered disc for each material, and the materials in the order of their numbers.
pub(super) fn callouts(
    outlines: &[FieldOutline],
    sheet: &Sheet,
    most: usize,
    taken: &mut Vec<Rect>,
) -> (Vec<Callout>, Vec<String>) {
    let mut named: Vec<(&str, Rect)> = Vec::new();
    for (label, rect) in outlines.iter().filter_map(|o| Some((o.label.as_str(), sheet.rect(o.edges)?))) {
        let is_full = named.len() >= most;
        match named.iter_mut().find(|(known, _)| *known == label) {
            Some((_, largest)) if rect.w * rect.h > largest.w * largest.h => *largest = rect,
            Some(_) => {}
            None if label.trim().is_empty() || is_full => {}
            None => named.push((label, rect)),
        }
    }
    let mut leaders: Vec<(Point, Point)> = Vec::new();
    // The smallest part, such as a gasket, has the fewest places for its number: it is placed first.
    let mut smallest: Vec<(usize, Rect)> = named.iter().map(|(_, rect)| *rect).enumerate().collect();
    smallest.sort_by(|one, other| (one.1.w * one.1.h).total_cmp(&(other.1.w * other.1.h)));
    let mut callouts: Vec<Callout> = smallest
        .into_iter()
        .filter_map(|(index, rect)| {
            let (disc, dot) = place(&rect, sheet, taken, &leaders)?;
            taken.push(Rect::centred(disc.0, disc.1, DISC.0 + 2.0, DISC.0 + 2.0));
            leaders.extend(dot.map(|dot| (disc, dot)));
            Some(Callout { number: index + 1, x: px(disc.0), y: px(disc.1), leader: dot.map(shapes::Point::from) })
        })
        .collect();
    callouts.sort_by_key(|callout| callout.number);
    (callouts, named.into_iter().map(|(label, _)| label.to_owned()).collect())
}

type Point = (f64, f64);

/// Where the disc goes, and the dot that it points to where it does not stand in the part itself.
fn place(rect: &Rect, sheet: &Sheet, taken: &[Rect], leaders: &[(Point, Point)]) -> Option<(Point, Option<Point>)> {
    let frame = sheet.frame;
    let half = DISC.0 / 2.0 + 1.0;
    let is_free = |(x, y): Point| {
        let disc = Rect::centred(x, y, DISC.0 + 2.0, DISC.0 + 2.0);
        let is_inside = x - half >= frame.x
            && x + half <= frame.x + frame.w
            && y - half >= frame.y
            && y + half <= frame.y + frame.h;
        is_inside && taken.iter().all(|other| !disc.overlaps(other))
    };
    let shares = [0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9];
    let at = |share_x: f64, share_y: f64| (rect.x + rect.w * share_x, rect.y + rect.h * share_y);
    if rect.w >= DISC.1 && rect.h >= DISC.1 {
        let spots = shares.iter().flat_map(|y| shares.map(|x| at(x, *y)));
        if let Some(spot) = spots.into_iter().find(|spot| is_free(*spot)) {
            return Some((spot, None));
        }
    }
    let lies_flat = rect.w >= rect.h;
    let depth = if lies_flat { rect.h } else { rect.w };
    for away in [14.0, 24.0, 36.0, 50.0, 66.0, 84.0] {
        for share in shares {
            let dot = if lies_flat { at(share, 0.5) } else { at(0.5, share) };
            for side in [-1.0, 1.0] {
                let off = side * (depth / 2.0 + away);
                // A little along as well, so that leaders of neighbours do not run into one.
                let spot = if lies_flat { (dot.0 + 10.0, dot.1 + off) } else { (dot.0 + off, dot.1 - 10.0) };
                if is_free(spot) && !leaders.iter().any(|leader| cross((spot, dot), *leader)) {
                    return Some((spot, Some(dot)));
                }
            }
        }
    }
    None
}

/// Whether two lines come so near to each other that a reader could mistake one for the other.
fn cross(one: (Point, Point), other: (Point, Point)) -> bool {
    let along = |(a, b): (Point, Point), share: f64| (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
    let steps = || (0..=8).map(|step| f64::from(step) / 8.0);
    steps().any(|p| {
        let point = along(one, p);
        steps().any(|q| {
            let near = along(other, q);
            portable::hypot(near.0 - point.0, near.1 - point.1) < 10.0
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_material_has_one_number_and_no_number_covers_another() {
        let sheet = Sheet { west: 0.0, top: 1.0, scale: 400.0, frame: Rect { x: 0.0, y: 0.0, w: 400.0, h: 400.0 } };
        let part = |label: &str, edges: [f64; 4]| FieldOutline { label: label.to_owned(), edges };
        let outlines = [
            part("gypsum", [0.0, 0.0, 0.012, 1.0]),
            part("stud", [0.012, 0.4, 0.15, 0.44]),
            part("cellulose", [0.012, 0.0, 0.15, 0.4]),
            part("cellulose", [0.012, 0.44, 0.15, 1.0]),
            part("osb", [0.15, 0.0, 0.161, 1.0]),
            part("foam", [0.161, 0.0, 0.24, 1.0]),
        ];
        let mut taken = Vec::new();
        let (discs, named) = callouts(&outlines, &sheet, 24, &mut taken);
        assert_eq!(named, ["gypsum", "stud", "cellulose", "osb", "foam"]);
        assert_eq!(discs.len(), 5);
        for (index, one) in taken.iter().enumerate() {
            assert!(taken.iter().skip(index + 1).all(|other| !one.overlaps(other)), "{taken:?}");
        }
        let has_leader: Vec<bool> = discs.iter().map(|disc| disc.leader.is_some()).collect();
        assert_eq!(has_leader, [true, true, false, true, false]);
    }
}
