//! Air cavities as materials: the conductivity that carries as much heat as convection and radiation do.

use mateline_films::surface::Direction;
use mateline_model::portable::{pow, powi};
use mateline_model::quantity::{Conductivity, Length, ThermalResistance};

/// Emissivity of both surfaces: building materials without metal.
const EMISSIVITY: f64 = 0.9;
/// Mean temperature (K).
const MEAN: f64 = 283.15;
/// Stefan and Boltzmann's constant (W/(m²·K⁴)).
const SIGMA: f64 = 5.670_374e-8;

/// Resistance of an unventilated cavity `d` deep in the direction of heat flow and `b` wide across it.
///
/// `R = 1/(h_a + h_r)` with `h_a = max(0.025/d, c)`, where `c` is 1.95 for heat flowing up, 1.25 level and
/// `0.12 d^(−0.44)` down (W/(m²·K)), and `h_r = ½ E h_r0 (1 + √(1 + d²/b²) − d/b)`, `h_r0 = 4 σ T_m³`,
/// `E = 1/(1/ε₁ + 1/ε₂ − 1)`. For a wide layer, `d/b → 0`, `h_r = E h_r0`. Here ε = 0.9 and `T_m` = 283.15 K. Valid for
/// depths up to 300 mm; a deeper cavity is taken as one of 300 mm.
///
/// Source: ISO 6946:2017, annex on airspaces (from memory).
pub fn resistance(depth: Length, width: Option<Length>, flow: Direction) -> ThermalResistance {
    let d = depth.si().min(0.3);
    let moving = match flow {
        Direction::Up => 1.95,
        Direction::Level => 1.25,
        Direction::Down => 0.12 * pow(d, -0.44),
    };
    let convection = (0.025 / d).max(moving);
    let slope = width.map_or(0.0, |width| d / width.si());
    let exchange = 1.0 / (2.0 / EMISSIVITY - 1.0);
    let radiation = 0.5 * exchange * 4.0 * SIGMA * powi(MEAN, 3) * (1.0 + (1.0 + slope * slope).sqrt() - slope);
    ThermalResistance::from_si(1.0 / (convection + radiation))
}

/// Conductivity that stands for a cavity: `λ = d/R`.
pub fn conductivity(depth: Length, width: Option<Length>, flow: Direction) -> Conductivity {
    Conductivity::from_si(depth.si() / resistance(depth, width, flow).si())
}

#[cfg(test)]
mod tests {
    use super::*;
    use mateline_films::air_layer::unventilated;

    /// ISO 6946, table of unventilated air layers (from memory), which is printed to 0.01 m²·K/W: half of that digit.
    #[test]
    fn wide_layers_have_the_resistance_of_the_table() {
        for millimetres in [5.0, 7.0, 10.0, 15.0, 25.0, 50.0, 100.0, 300.0] {
            let depth = Length::from_si(millimetres / 1e3);
            for flow in [Direction::Up, Direction::Level, Direction::Down] {
                let (found, printed) = (resistance(depth, None, flow).si(), unventilated(depth, flow).si());
                assert!((found - printed).abs() <= 0.006, "{millimetres} mm {flow:?}: {found} against {printed}");
            }
        }
    }

    /// A narrow slot lets less radiation through than a wide layer, and a very wide one as much.
    #[test]
    fn a_slot_resists_more_than_a_layer() {
        let depth = Length::from_si(0.14);
        let of = |width: f64| resistance(depth, Some(Length::from_si(width)), Direction::Level).si();
        let layer = resistance(depth, None, Direction::Level).si();
        assert!(of(0.005) > of(0.05) && of(0.05) > layer);
        assert!((of(1e4) - layer).abs() < 1e-4);
    }
}
