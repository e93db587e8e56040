//! The share of a floor's, ceiling's or roof's face that is framing, counted from spacing and rims.

use super::count::{AREA, Count, LENGTH, Part, finish};
use mateline_equation::equation;
use mateline_model::quantity::{Area, Length, Units};

equation! {
    /// Members at their spacing over the boxes' plans. Source: common practice, no source.
    pub DeckMembers = "A = (t/s) Ab" {
        A: Area "members" [AREA],
        t: Length "thickness of a member" [Units::THICKNESS],
        s: Length "spacing" [Units::THICKNESS],
        Ab: Area "plan area of the boxes, Σ x y" [AREA],
    }

    /// One rim member along all four sides of every box. Source: common practice, no source.
    pub DeckRims = "A = t Lr" {
        A: Area "rims along each side of every box" [AREA],
        t: Length "thickness of a member" [Units::THICKNESS],
        Lr: Length "sides of the boxes, Σ 2 (x + y)" [LENGTH],
    }

    /// Rows of blocking along the longer side of every box. Source: common practice, no source.
    pub DeckBlocking = "A = nr t Lb" {
        A: Area "blocking" [AREA],
        nr: f64 "rows" [Units::COUNT],
        t: Length "thickness of a member" [Units::THICKNESS],
        Lb: Length "longer sides of the boxes, Σ max(x, y)" [LENGTH],
    }
}

/// Counts the members of a floor, ceiling or roof from its boxes, each a size in plan.
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
    let parts = vec![
        Part::of("members", DeckMembers { t: thickness, s: spacing, Ab: plan }.step()),
        Part::of("rims along each side of every box", DeckRims { t: thickness, Lr: rims }.step()),
        Part::of("blocking", DeckBlocking { nr: f64::from(blocking_rows), t: thickness, Lb: longer }.step()),
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
