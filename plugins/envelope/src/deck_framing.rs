//! The share of a floor's, ceiling's or roof's face that is framing, counted from spacing and rims.

use crate::framing_count::{Count, Part, finish};
use mateline_model::quantity::{Area, Length};

/// Counts the members of a floor, ceiling or roof from its boxes.
///
/// `f = t/s + Σ 2 t (x + y) / Σ x y + nr Σ t max(x, y) / Σ x y`, with `t` the member's thickness, `s` the spacing, `x`
/// and `y` the plan size of each box (m) and `nr` the rows of blocking. One rim member runs along all four sides of
/// every box.
///
/// Source: common practice, no source.
///
/// # Errors
/// In words, when the boxes have no area.
pub fn deck(
    thickness: Length,
    spacing: Length,
    blocking_rows: u32,
    boxes: &[(Length, Length)],
) -> Result<Count, String> {
    let plan: Area = boxes.iter().map(|(x, y)| *x * *y).sum();
    if plan.si() <= 0.0 {
        return Err("the boxes have no floor area to count framing in".to_owned());
    }
    let rims: Length = boxes.iter().map(|(x, y)| (*x + *y) * 2.0).sum();
    let longer: Length = boxes.iter().map(|(x, y)| Length::from_si(x.si().max(y.si()))).sum();
    let rows = f64::from(blocking_rows);
    let t = |part: Part| part.with("t", "thickness of a member", thickness);
    let parts = vec![
        t(Part::new("members", "A = (t/s) Ab", plan * (thickness / spacing))).with("s", "spacing", spacing).with(
            "Ab",
            "plan area of the boxes, Σ x y",
            plan,
        ),
        t(Part::new("rims along each side of every box", "A = t Lr", thickness * rims)).with(
            "Lr",
            "sides of the boxes, Σ 2 (x + y)",
            rims,
        ),
        t(Part::new("blocking", "A = nr t Lb", thickness * longer * rows).with("nr", "rows", rows)).with(
            "Lb",
            "longer sides of the boxes, Σ max(x, y)",
            longer,
        ),
    ];
    finish(parts, plan)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn inches(number: f64) -> Length {
        Length::from_si(number * 0.0254)
    }

    /// By hand: 1.5 in at 16 in is 9.375 %; the rim of a box of 480 x 160 in covers 1.5 x 2 x 640 = 1,920 of 76,800
    /// in², 2.5 %; a row of blocking 1.5 x 480 = 720 in², 0.9375 %.
    #[test]
    fn a_floor_counted_by_hand() {
        let boxes = [(inches(480.0), inches(160.0))];
        let plain = deck(inches(1.5), inches(16.0), 0, &boxes).unwrap();
        assert!((plain.fraction.si() - 0.118_75).abs() < 1e-12);
        let blocked = deck(inches(1.5), inches(16.0), 1, &boxes).unwrap();
        assert!((blocked.fraction.si() - 0.128_125).abs() < 1e-12);
        assert!(deck(inches(1.5), inches(16.0), 0, &[]).is_err());
    }
}
