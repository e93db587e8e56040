//! How boxes stand on one another: the load of each, and what of it goes to each box below.
//!
//! A box is stiff. It stands on the corners of the areas in which it touches the boxes below, and what a corner bears grows
//! evenly across the plan, so that forces and moments balance: two areas share by the lever rule, more share as a stiff box
//! on even springs. A corner holds nothing down: where one would have to, the box is left to the designer.
//!
//! Source: statics of a rigid body.

use mateline_boxes::Boxes;
use mateline_boxes::coordinate::{GAP, Rect, metres, square_metres};
use mateline_boxes::placed::Placed;
use mateline_boxes::region::Region;
use mateline_model::Subject;
use mateline_model::home::Face;
use mateline_sdk::{Lack, Request};

/// Standard gravity (m/s²).
pub const GRAVITY: f64 = 9.806_65;

/// A force down and where it acts in plan.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Load {
    /// The force (N).
    pub force: f64,
    /// Where it acts (m), along x and y.
    pub at: [f64; 2],
}

impl Load {
    /// An even load on a region of the plan, in newtons per square metre.
    fn even(pressure: f64, region: &Region) -> Load {
        let each = |rect: Rect| {
            let middle = [rect.u, rect.v].map(|span| (metres(span.lo) + metres(span.hi)) / 2.0);
            Load { force: pressure * square_metres(rect.area()), at: middle }
        };
        region.rects().map(each).fold(Load::default(), Load::and)
    }

    /// Both together.
    fn and(self, other: Load) -> Load {
        let force = self.force + other.force;
        if force == 0.0 {
            return self;
        }
        let at = [0, 1].map(|axis| (self.force * self.at[axis] + other.force * other.at[axis]) / force);
        Load { force, at }
    }
}

/// Corner of an area: which area, its weight among the corners, and where it is in plan.
type Corner = (usize, f64, [f64; 2]);

/// What each of the areas that a box stands on bears of its load; `None` where it would lift off one of their corners.
pub fn share_out(load: Load, areas: &[Rect]) -> Option<Vec<Load>> {
    if areas.is_empty() {
        return None;
    }
    let corners = areas.iter().enumerate().flat_map(|(index, area)| {
        let weight = square_metres(area.area()) / 4.0;
        let [u, v] = [area.u, area.v].map(|span| [metres(span.lo), metres(span.hi)]);
        let corner = move |x: f64| v.map(|y| (index, weight, [x, y]));
        u.into_iter().flat_map(corner).collect::<Vec<_>>()
    });
    let corners: Vec<Corner> = corners.collect();
    let sum = |of: &dyn Fn(&Corner) -> f64| -> f64 { corners.iter().map(of).sum() };
    let whole = sum(&|(_, weight, _)| *weight);
    let middle = [0, 1].map(|axis| sum(&|(_, weight, at)| weight * at[axis]) / whole);
    let away = |at: &[f64; 2], axis: usize| at[axis] - middle[axis];
    let spread = |a: usize, b: usize| sum(&|(_, weight, at)| weight * away(at, a) * away(at, b));
    let (xx, xy, yy) = (spread(0, 0), spread(0, 1), spread(1, 1));
    let [ex, ey] = [0, 1].map(|axis| away(&load.at, axis));
    let det = xx * yy - xy * xy;
    let (along_x, along_y) = ((ex * yy - ey * xy) / det, (ey * xx - ex * xy) / det);
    let mut found = vec![Load::default(); areas.len()];
    for (index, weight, at) in &corners {
        let share = weight * (1.0 / whole + along_x * away(at, 0) + along_y * away(at, 1));
        // A share that is not finite is no share either.
        if share.is_nan() || share < -1e-9 {
            return None;
        }
        let one = found.get_mut(*index)?;
        *one = one.and(Load { force: load.force * share.max(0.0), at: *at });
    }
    Some(found)
}

/// A load on the plan of a box, with what it is.
#[derive(Clone, Debug, PartialEq)]
pub struct AreaLoad {
    /// What loads.
    pub of: Loading,
    /// Area (m²).
    pub area: f64,
    /// Force (N).
    pub force: f64,
}

/// What loads the plan of a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loading {
    /// Snow on the part of its top that is seen from above.
    Snow,
    /// People and furniture on its floor.
    Live,
}

/// Loads per area (Pa).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressures {
    /// Snow.
    pub snow: f64,
    /// Live load on the floors of the lowest boxes.
    pub live: f64,
    /// Live load on the floors above.
    pub live_above: f64,
}

/// A box with all that stands on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Borne {
    /// Its own weight (kg).
    pub weight: f64,
    /// The loads on its plan.
    pub areas: Vec<AreaLoad>,
    /// From each box that stands on it: which, what share of that box's load, and the force (N).
    pub above: Vec<(usize, f64, f64)>,
    /// All together.
    pub total: Load,
}

/// The load of each box with all that stands on it, in the order of the boxes.
pub fn borne(request: &Request<'_>, boxes: &Boxes, pressures: Pressures) -> Vec<Result<Borne, Lack>> {
    let mut order: Vec<usize> = (0..boxes.placed.len()).collect();
    order.sort_by_key(|i| std::cmp::Reverse(boxes.placed.get(*i).map_or(0, |one| one.spans[2].lo)));
    let mut found: Vec<Result<Borne, Lack>> =
        boxes.placed.iter().map(|one| own(request, boxes, one, pressures)).collect();
    for i in order {
        let Some(one) = boxes.placed.get(i).filter(|one| one.level > 1) else { continue };
        let below: Vec<_> = boxes.arrangement.on(i, Face::Bottom).collect();
        let areas: Vec<Rect> = below.iter().map(|contact| contact.rect).collect();
        let path = format!("modules.{}", one.id);
        let parts = match found.get(i) {
            Some(Ok(borne)) => share_out(borne.total, &areas).ok_or_else(|| {
                Lack::at(format!("{} lies too far beyond the boxes below to rest on them alone", one.id), path)
            }),
            Some(Err(lack)) => Err(lack.clone()),
            None => continue,
        };
        let whole = found.get(i).and_then(|borne| borne.as_ref().ok()).map_or(0.0, |borne| borne.total.force);
        for (place, contact) in below.iter().enumerate() {
            let Some(lower) = found.get_mut(contact.other(i)) else { continue };
            match (&parts, &mut *lower) {
                (Ok(parts), Ok(borne)) => {
                    let part = parts.get(place).copied().unwrap_or_default();
                    let share = if whole > 0.0 { part.force / whole } else { 0.0 };
                    borne.above.push((i, share, part.force));
                    borne.total = borne.total.and(part);
                }
                (Err(lack), Ok(_)) => *lower = Err(lack.clone()),
                (_, Err(_)) => {}
            }
        }
    }
    found
}

/// A box by itself: its weight, the live load on its floor, and snow on what of it is seen from above.
fn own(request: &Request<'_>, boxes: &Boxes, one: &Placed, pressures: Pressures) -> Result<Borne, Lack> {
    let subject = Subject::element("modules", &one.id);
    let weight = request
        .number(&subject, "takeoff.weight")
        .ok_or_else(|| Lack::at(format!("the weight of {} is not known", one.id), format!("modules.{}", one.id)))?;
    let plan = Region::from(one.plan());
    let area = square_metres(plan.area());
    let higher = boxes.placed.iter().filter(|other| other.spans[2].lo >= one.spans[2].hi);
    let seen = plan.minus(&Region::union_of(higher.map(Placed::plan).collect()).closed(GAP));
    let live = if one.level == 1 { pressures.live } else { pressures.live_above };
    let mut total = Load::even(live, &plan);
    let mut areas = vec![AreaLoad { of: Loading::Live, area, force: total.force }];
    if !seen.is_empty() {
        let snow = Load::even(pressures.snow, &seen);
        areas.insert(0, AreaLoad { of: Loading::Snow, area: square_metres(seen.area()), force: snow.force });
        total = total.and(snow);
    }
    let own = Load { at: Load::even(1.0, &plan).at, force: weight * GRAVITY };
    total = own.and(total);
    Ok(Borne { weight, areas, above: Vec::new(), total })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]

    use super::*;
    use mateline_boxes::coordinate::{Span, nanometres};
    use proptest::prelude::*;

    fn rect([west, south, east, north]: [f64; 4]) -> Rect {
        let span = |lo, hi| Span::new(nanometres(lo), nanometres(hi));
        Rect::new(span(west, east), span(south, north))
    }

    /// A beam of 14 over supports at 0 and 10 with its load at 7: 0.3 and 0.7 of it (lever rule). The areas of a bridge from
    /// 0 to 4 and from 10 to 12 (m) whose load is at 6 share as 2 and 6 m are to 8 only where each bears at its middle; a
    /// stiff box keeps forces and moments in balance.
    #[test]
    fn forces_and_moments_balance() {
        let one = share_out(Load { force: 1.0, at: [7.0, 2.0] }, &[rect([0.0, 0.0, 10.0, 4.0])]).unwrap();
        assert!((one[0].force - 1.0).abs() < 1e-12 && (one[0].at[0] - 7.0).abs() < 1e-9);
        let bridge = [rect([0.0, 0.0, 4.0, 4.0]), rect([10.0, 0.0, 12.0, 4.0])];
        let parts = share_out(Load { force: 1.0, at: [6.0, 2.0] }, &bridge).unwrap();
        let moment: f64 = parts.iter().map(|part| part.force * part.at[0]).sum();
        assert!((parts[0].force + parts[1].force - 1.0).abs() < 1e-12 && (moment - 6.0).abs() < 1e-9);
        let even = [rect([0.0, 0.0, 2.0, 4.0]), rect([10.0, 0.0, 12.0, 4.0])];
        assert!((share_out(Load { force: 1.0, at: [6.0, 2.0] }, &even).unwrap()[0].force - 0.5).abs() < 1e-12);
        // Beyond the edge of what it stands on, a box tips.
        assert!(share_out(Load { force: 1.0, at: [10.1, 2.0] }, &[rect([0.0, 0.0, 10.0, 4.0])]).is_none());
        assert!(share_out(Load { force: 1.0, at: [0.0, 0.0] }, &[]).is_none());
    }

    proptest! {
        /// Whatever is shared out comes to the whole, and acts where the load does.
        #[test]
        fn nothing_is_lost(x in 0.5..9.5_f64, y in 0.5..3.5_f64, gap in 0.1..5.0_f64) {
            let areas = [rect([0.0, 0.0, 5.0 - gap / 2.0, 4.0]), rect([5.0 + gap / 2.0, 0.0, 10.0, 4.0])];
            let load = Load { force: 3.0, at: [x, y] };
            if let Some(parts) = share_out(load, &areas) {
                let together = parts.into_iter().fold(Load::default(), Load::and);
                prop_assert!((together.force - 3.0).abs() < 1e-9);
                prop_assert!((together.at[0] - x).abs() < 1e-9 && (together.at[1] - y).abs() < 1e-9);
            }
        }
    }
}
