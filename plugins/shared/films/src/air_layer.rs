//! Closed air layers.

use crate::surface::Direction;
use mateline_model::quantity::{Length, ThermalResistance};

/// Depth (mm) and resistance (m²·K/W) for heat flowing up, level and down.
const UNVENTILATED: &[(f64, [f64; 3])] = &[
    (0.0, [0.00, 0.00, 0.00]),
    (5.0, [0.11, 0.11, 0.11]),
    (7.0, [0.13, 0.13, 0.13]),
    (10.0, [0.15, 0.15, 0.15]),
    (15.0, [0.16, 0.17, 0.17]),
    (25.0, [0.16, 0.18, 0.19]),
    (50.0, [0.16, 0.18, 0.21]),
    (100.0, [0.16, 0.18, 0.22]),
    (300.0, [0.16, 0.18, 0.23]),
];

/// The deepest air layer that the table covers (m).
pub const DEEPEST: f64 = 0.3;

/// Resistance of an unventilated air layer between surfaces of high emissivity, by depth and direction of heat flow, in
/// a straight line between the rows of the table.
///
/// Valid for depths up to 300 mm and less than a tenth of the layer's other two sizes; a deeper layer gets the value of
/// 300 mm, and one of no depth none.
///
/// Source: ISO 6946:2017, table of unventilated air layers (from memory).
pub fn unventilated(depth: Length, direction: Direction) -> ThermalResistance {
    let column = match direction {
        Direction::Up => 0,
        Direction::Level => 1,
        Direction::Down => 2,
    };
    let value = |row: &[f64; 3]| row.get(column).copied().unwrap_or(0.0);
    let millimetres = depth.si() * 1e3;
    let mut below = (0.0, 0.0);
    for (row, values) in UNVENTILATED {
        let here = (*row, value(values));
        if millimetres <= here.0 {
            if here.0 == below.0 {
                return ThermalResistance::from_si(here.1);
            }
            let along = (millimetres - below.0) / (here.0 - below.0);
            return ThermalResistance::from_si(below.1 + along.max(0.0) * (here.1 - below.1));
        }
        below = here;
    }
    ThermalResistance::from_si(below.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn at(millimetres: f64, direction: Direction) -> f64 {
        unventilated(Length::from_si(millimetres / 1e3), direction).si()
    }

    /// ISO 6946:2017, table of unventilated air layers (from memory): rows, and halfway between two of them.
    #[test]
    fn the_table_and_between_its_rows() {
        for (millimetres, up, level, down) in
            [(0.0, 0.0, 0.0, 0.0), (5.0, 0.11, 0.11, 0.11), (25.0, 0.16, 0.18, 0.19), (300.0, 0.16, 0.18, 0.23)]
        {
            for (direction, value) in [(Direction::Up, up), (Direction::Level, level), (Direction::Down, down)] {
                assert!((at(millimetres, direction) - value).abs() < 1e-12, "{millimetres} mm {direction:?}");
            }
        }
        assert!((at(6.0, Direction::Up) - 0.12).abs() < 1e-12);
        assert!((at(75.0, Direction::Down) - 0.215).abs() < 1e-12);
        assert!((at(20.0, Direction::Level) - 0.175).abs() < 1e-12);
        assert!((at(900.0, Direction::Down) - 0.23).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn a_deeper_layer_never_resists_less(a in 0.0..400.0_f64, b in 0.0..400.0_f64) {
            let (thin, thick) = (a.min(b), a.max(b));
            for direction in [Direction::Up, Direction::Level, Direction::Down] {
                prop_assert!(at(thin, direction) <= at(thick, direction) + 1e-12);
            }
        }
    }
}
