//! Volumes of pits: the prismoidal rule, and the area of an outline moved outwards.

use crate::facts::EARTH;
use mateline_equation::equation;
use mateline_model::quantity::{Area, Length, Units};

equation! {
    /// Volume of a prismoid: exact where the area is at most a cubic in depth, as it is for sides of even slope.
    ///
    /// Source: Simpson's rule; geometry.
    pub Prismoid = "V_p = D/6 (A_b + 4 A_m + A_t)" {
        V_p: Volume "pit" [EARTH],
        D: Length "depth of the pit below the topsoil" [Units::LENGTH],
        A_b: Area "pit at its bottom" [Units::AREA],
        A_m: Area "pit at half its depth" [Units::AREA],
        A_t: Area "pit at its top" [Units::AREA],
    }

    /// Area of an outline of right angles moved outwards, with its corners square: `e` is 4 for one outline without a
    /// court. Valid while the moved sides do not meet one another.
    ///
    /// Source: geometry.
    pub Moved = "A_x = A + P x + e x²" {
        A_x: Area "outline moved outwards" [Units::AREA],
        A: Area "area of the outline" [Units::AREA],
        P: Length "length of the outline" [Units::LENGTH],
        e: f64 "corners that point outwards less those that point inwards" [Units::plain(0)],
        x: Length "distance outside the wall" [Units::LENGTH],
    }
}

/// Volume of a prismoid in plain numbers.
pub fn prismoidal(depth: f64, bottom: f64, middle: f64, top: f64) -> f64 {
    let area = Area::from_si;
    Prismoid { D: Length::from_si(depth), A_b: area(bottom), A_m: area(middle), A_t: area(top) }.value().si()
}

/// Area of an outline moved outwards in plain numbers.
pub fn moved_area(area: f64, perimeter: f64, corners: f64, distance: f64) -> f64 {
    let (p, x) = (Length::from_si(perimeter), Length::from_si(distance));
    Moved { A: Area::from_si(area), P: p, e: corners, x }.value().si()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// ft³ in 1 yd³.
    const YARD: f64 = 27.0;

    fn pit(x: f64, y: f64, depth: f64, run: f64) -> (f64, [f64; 3]) {
        let at = |z: f64| moved_area(x * y, 2.0 * (x + y), 4.0, run * z);
        let areas = [at(0.0), at(depth / 2.0), at(depth)];
        (prismoidal(depth, areas[0], areas[1], areas[2]), areas)
    }

    /// 40 x 30 ft, 8 ft deep, upright sides: 9600 ft³ = 355.56 yd³ (computed independently). Half of the last digit.
    #[test]
    fn upright_sides() {
        assert!((pit(40.0, 30.0, 8.0, 0.0).0 / YARD - 355.56).abs() < 0.005);
    }

    /// The same bottom, sides 1:1: 1200, 48 x 38 and 56 x 46 ft², 546.77 yd³ (computed independently; the integral
    /// agrees). The mean of the end areas gives 15 104 ft³, 2.3 % more.
    #[test]
    fn sloped_sides() {
        let (volume, areas) = pit(40.0, 30.0, 8.0, 1.0);
        assert_eq!(areas, [1200.0, 48.0 * 38.0, 56.0 * 46.0]);
        assert!((volume / YARD - 546.77).abs() < 0.005);
        let mean = 8.0 * (areas[0] + areas[2]) / 2.0;
        assert_eq!(mean, 15_104.0);
        assert!((mean / volume - 1.023).abs() < 0.000_5);
    }

    proptest! {
        /// Against the sum of a thousand thin slices.
        #[test]
        fn exact_for_any_slope(x in 1.0f64..60.0, y in 1.0f64..60.0, depth in 0.1f64..20.0, run in 0.0f64..2.0) {
            let slices = 1000;
            let step = depth / f64::from(slices);
            let sum: f64 = (0..slices)
                .map(|i| step * moved_area(x * y, 2.0 * (x + y), 4.0, run * step * (f64::from(i) + 0.5)))
                .sum();
            let (volume, _) = pit(x, y, depth, run);
            prop_assert!((volume - sum).abs() <= 1e-6 * volume);
        }

        /// Every length twice as long: eight times the volume.
        #[test]
        fn scales_with_the_cube(x in 1.0f64..60.0, y in 1.0f64..60.0, depth in 0.1f64..20.0, run in 0.0f64..2.0) {
            let (one, two) = (pit(x, y, depth, run).0, pit(2.0 * x, 2.0 * y, 2.0 * depth, run).0);
            prop_assert!((two - 8.0 * one).abs() <= 1e-9 * two);
        }

        /// An L is two rectangles; moved outwards it is their union, computed here piece by piece.
        #[test]
        fn an_l_shape(a in 4.0f64..20.0, b in 4.0f64..20.0, c in 1.0f64..3.0, d in 1.0f64..3.0, o in 0.0f64..3.0) {
            let (area, perimeter) = (a * b - c * d, 2.0 * (a + b));
            let moved = (a + 2.0 * o) * (b + 2.0 * o) - c * d;
            prop_assert!((moved_area(area, perimeter, 4.0, o) - moved).abs() < 1e-9);
        }
    }
}
