//! Heat through the ground: slabs, suspended floors and heated basements, with or without edge insulation.
//!
//! Steady-state values for a ground of one conductivity. The characteristic dimension of the floor carries its shape.
//!
//! Source: ISO 13370:2017 (formulas from memory; clause numbers of the 2007 edition are 9.1 slab, 9.2 suspended, 9.3
//! basement, annex B edge insulation).

use mateline_model::quantity::{Area, Conductance, Conductivity, Length, ThermalResistance, ThermalTransmittance};
use std::f64::consts::PI;

/// Inner surface resistance of a floor, heat flowing down: ISO 6946 (from memory).
pub const RSI_FLOOR: ThermalResistance = ThermalResistance::from_si(0.17);
/// Inner surface resistance of a basement wall: ISO 6946 (from memory).
pub const RSI_WALL: ThermalResistance = ThermalResistance::from_si(0.13);
/// Outer surface resistance: ISO 6946 (from memory).
pub const RSE: ThermalResistance = ThermalResistance::from_si(0.04);

/// A floor on or over the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Floor {
    /// Area `A`.
    pub area: Area,
    /// Exposed perimeter `P`.
    pub perimeter: Length,
    /// Thickness of the walls around it, `w`.
    pub wall_thickness: Length,
    /// Resistance of the floor's layers without films, `Rf`; for a suspended floor, of the ground's cover.
    pub resistance: ThermalResistance,
    /// Conductivity of the ground, `λ`.
    pub ground: Conductivity,
}

impl Floor {
    /// Characteristic dimension `B' = A/(0.5 P)` (m).
    pub fn characteristic_dimension(&self) -> Length {
        self.area / (self.perimeter * 0.5)
    }

    /// Equivalent thickness `d_t = w + λ (Rsi + Rf + Rse)` (m).
    pub fn equivalent_thickness(&self) -> Length {
        self.wall_thickness + Length::from_si(self.ground.si() * (RSI_FLOOR + self.resistance + RSE).si())
    }

    /// U-factor of a slab on the ground.
    ///
    /// `d_t < B'`: `U = 2λ/(π B' + d_t) ln(π B'/d_t + 1)`; else, well insulated, `U = λ/(0.457 B' + d_t)`.
    pub fn slab(&self) -> ThermalTransmittance {
        slab(self.characteristic_dimension(), self.equivalent_thickness(), self.ground)
    }

    /// U-factor of a slab with edge insulation: `U = U_0 + 2 ψ/B'`.
    pub fn slab_with_edge(&self, edge: &EdgeInsulation) -> ThermalTransmittance {
        let psi = edge.psi(self.equivalent_thickness(), self.ground);
        ThermalTransmittance::from_si(self.slab().si() + 2.0 * psi.si() / self.characteristic_dimension().si())
    }
}

fn slab(dimension: Length, thickness: Length, ground: Conductivity) -> ThermalTransmittance {
    let (b, dt, k) = (dimension.si(), thickness.si(), ground.si());
    let u = if dt < b { 2.0 * k / (PI * b + dt) * (PI * b / dt + 1.0).ln() } else { k / (0.457 * b + dt) };
    ThermalTransmittance::from_si(u)
}

/// Insulation along the edge of a slab.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeInsulation {
    /// Resistance `Rn`.
    pub resistance: ThermalResistance,
    /// Thickness `dn`.
    pub thickness: Length,
    /// Width of a level strip, or depth of an upright one, `D`.
    pub extent: Length,
    /// Upright, on the foundation wall.
    pub is_upright: bool,
}

impl EdgeInsulation {
    /// Linear transmittance of the edge insulation, nought or less.
    ///
    /// `ψ = −(λ/π) [ln(D/d_t + 1) − ln(D/(d_t + d') + 1)]` for a level strip, `2D` in place of `D` for an upright one,
    /// with `d' = Rn λ − dn` the extra equivalent thickness (m).
    ///
    /// Source: ISO 13370:2007, annex B (from memory).
    pub fn psi(&self, equivalent_thickness: Length, ground: Conductivity) -> Conductivity {
        let (k, dt) = (ground.si(), equivalent_thickness.si());
        let d = self.extent.si() * if self.is_upright { 2.0 } else { 1.0 };
        let extra = self.resistance.si() * k - self.thickness.si();
        Conductivity::from_si(-k / PI * ((d / dt + 1.0).ln() - (d / (dt + extra) + 1.0).ln()))
    }
}

/// What surrounds the air below a suspended floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnderFloor {
    /// From inside through the suspended floor, `Uf`.
    pub floor: ThermalTransmittance,
    /// Height of the floor's upper face above outside ground, `h`.
    pub height: Length,
    /// U-factor of the walls around the space, `Uw`.
    pub walls: ThermalTransmittance,
    /// Area of vents per length of perimeter, `ε` (m²/m).
    pub vents: f64,
    /// Mean wind speed at 10 m, `v` (m/s).
    pub wind: f64,
    /// Wind shielding factor, `fw`.
    pub shielding: f64,
}

/// The parts of a suspended floor's U-factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suspended {
    /// Through the ground below, `Ug`.
    pub ground: ThermalTransmittance,
    /// Through walls and vents, `Ux`.
    pub around: ThermalTransmittance,
    /// The whole, `U`.
    pub whole: ThermalTransmittance,
}

/// U-factor of a floor over a crawl space that is open to outdoor air.
///
/// `1/U = 1/Uf + 1/(Ug + Ux)`, `Ug = 2λ/(π B' + d_g) ln(π B'/d_g + 1)` with `d_g = w + λ (Rsi + Rg + Rse)`,
/// `Ux = 2 h Uw/B' + 1450 ε v fw/B'`. Valid for a space no more than 0.5 m below outside ground.
pub fn suspended(floor: &Floor, below: &UnderFloor) -> Suspended {
    let (b, dg, k) = (floor.characteristic_dimension().si(), floor.equivalent_thickness().si(), floor.ground.si());
    let ground = 2.0 * k / (PI * b + dg) * (PI * b / dg + 1.0).ln();
    Suspended::of(below.floor, ThermalTransmittance::from_si(ground), below.around(floor.characteristic_dimension()))
}

/// The same with insulation along the edge of the ground below: `Ug = Ug0 + 2 ψ/B'`.
pub fn suspended_with_edge(floor: &Floor, below: &UnderFloor, edge: &EdgeInsulation) -> Suspended {
    let bare = suspended(floor, below);
    let less = 2.0 * edge.psi(floor.equivalent_thickness(), floor.ground).si() / floor.characteristic_dimension().si();
    Suspended::of(below.floor, ThermalTransmittance::from_si(bare.ground.si() + less), bare.around)
}

impl UnderFloor {
    /// Through walls and vents: `Ux = 2 h Uw/B' + 1450 ε v fw/B'`.
    pub fn around(&self, dimension: Length) -> ThermalTransmittance {
        let air = 1_450.0 * self.vents * self.wind * self.shielding;
        ThermalTransmittance::from_si((2.0 * self.height.si() * self.walls.si() + air) / dimension.si())
    }
}

impl Suspended {
    /// `1/U = 1/Uf + 1/(Ug + Ux)`.
    pub fn of(floor: ThermalTransmittance, ground: ThermalTransmittance, around: ThermalTransmittance) -> Suspended {
        let whole = 1.0 / (1.0 / floor.si() + 1.0 / (ground.si() + around.si()));
        Suspended { ground, around, whole: ThermalTransmittance::from_si(whole) }
    }
}

/// A heated basement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basement {
    /// Its floor.
    pub floor: Floor,
    /// Depth of the floor below outside ground, `z`.
    pub depth: Length,
    /// Resistance of the walls' layers without films, `Rw`.
    pub walls: ThermalResistance,
}

impl Basement {
    /// Equivalent thickness of the walls, `d_w = λ (Rsi + Rw + Rse)` (m).
    pub fn wall_thickness(&self) -> Length {
        Length::from_si(self.floor.ground.si() * (RSI_WALL + self.walls + RSE).si())
    }

    /// U-factor of the floor: that of a slab with `d_t + z/2` in place of `d_t`.
    pub fn floor_u(&self) -> ThermalTransmittance {
        let thickness = self.floor.equivalent_thickness() + self.depth * 0.5;
        slab(self.floor.characteristic_dimension(), thickness, self.floor.ground)
    }

    /// U-factor of the walls.
    ///
    /// `U = 2λ/(π z) (1 + 0.5 d_t/(d_t + z)) ln(z/d_w + 1)`, with `d_w` in place of `d_t` where it is the smaller.
    pub fn wall_u(&self) -> ThermalTransmittance {
        let (k, z, dw) = (self.floor.ground.si(), self.depth.si(), self.wall_thickness().si());
        let dt = self.floor.equivalent_thickness().si().min(dw);
        ThermalTransmittance::from_si(2.0 * k / (PI * z) * (1.0 + 0.5 * dt / (dt + z)) * (z / dw + 1.0).ln())
    }

    /// `H = A U_floor + z P U_wall` (W/K).
    pub fn loss(&self) -> Conductance {
        self.floor_u() * self.floor.area + self.wall_u() * (self.depth * self.floor.perimeter)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The worked floor of the reference notes: 12 m by 8 m, walls 0.3 m, ground 2.0 W/(m·K) (own inputs; values
    /// computed by another hand, to 0.0002 W/(m²·K)).
    fn floor(resistance: f64) -> Floor {
        Floor {
            area: Area::from_si(96.0),
            perimeter: Length::from_si(40.0),
            wall_thickness: Length::from_si(0.3),
            resistance: ThermalResistance::from_si(resistance),
            ground: Conductivity::from_si(2.0),
        }
    }

    fn close(found: f64, expected: f64) {
        assert!((found - expected).abs() < 0.0002, "{found} against {expected}");
    }

    #[test]
    fn slabs() {
        close(floor(0.0).characteristic_dimension().si(), 4.8);
        for (resistance, thickness, u) in
            [(0.0, 0.72, 0.7819), (1.0, 2.72, 0.4222), (2.5, 5.72, 0.2527), (5.0, 10.72, 0.1549)]
        {
            close(floor(resistance).equivalent_thickness().si(), thickness);
            close(floor(resistance).slab().si(), u);
        }
    }

    fn edge(extent: f64, is_upright: bool) -> EdgeInsulation {
        EdgeInsulation {
            resistance: ThermalResistance::from_si(2.5),
            thickness: Length::from_si(0.1),
            extent: Length::from_si(extent),
            is_upright,
        }
    }

    #[test]
    fn edge_insulation() {
        let floor = floor(0.1);
        close(floor.slab().si(), 0.7140);
        for edge in [edge(0.6, true), edge(1.2, false)] {
            close(edge.psi(floor.equivalent_thickness(), floor.ground).si(), -0.4121);
            close(floor.slab_with_edge(&edge).si(), 0.5423);
        }
    }

    #[test]
    fn suspended_floor() {
        let below = UnderFloor {
            floor: ThermalTransmittance::from_si(0.2),
            height: Length::from_si(0.5),
            walls: ThermalTransmittance::from_si(1.5),
            vents: 0.0015,
            wind: 4.0,
            shielding: 0.05,
        };
        let found = suspended(&floor(0.0), &below);
        close(found.ground.si(), 0.7819);
        close(found.around.si(), 0.4031);
        close(found.whole.si(), 0.1711);
    }

    #[test]
    fn heated_basement() {
        let basement =
            Basement { floor: floor(1.5), depth: Length::from_si(2.2), walls: ThermalResistance::from_si(3.0) };
        close(basement.floor.equivalent_thickness().si(), 3.72);
        close(basement.wall_thickness().si(), 6.34);
        close(basement.floor_u().si(), 0.2852);
        close(basement.wall_u().si(), 0.2266);
        // Printed to 0.01 W/K.
        assert!((basement.loss().si() - 47.31).abs() < 0.005);
        close(basement.loss().si() / (96.0 + 2.2 * 40.0), 0.2571);
    }

    /// The two branches of the slab formula meet within 0.03 % where `d_t = B'`.
    #[test]
    fn branches_meet() {
        let b = Length::from_si(4.8);
        let k = Conductivity::from_si(2.0);
        let (low, high) = (slab(b, Length::from_si(4.8 - 1e-9), k).si(), slab(b, b, k).si());
        assert!((low / high - 1.0).abs() < 3e-4, "{low} and {high}");
    }

    proptest! {
        #[test]
        fn more_insulation_and_a_larger_floor_lose_less(r in 0.0..8.0_f64, more in 0.01..4.0_f64, larger in 1.01..5.0_f64) {
            prop_assert!(floor(r + more).slab().si() < floor(r).slab().si());
            let wider = Floor { area: Area::from_si(96.0 * larger), ..floor(r) };
            prop_assert!(wider.slab().si() < floor(r).slab().si());
        }

        #[test]
        fn edge_insulation_without_extra_thickness_does_nothing(extent in 0.1..3.0_f64, r in 0.0..3.0_f64) {
            let none = EdgeInsulation {
                resistance: ThermalResistance::from_si(0.1 / 2.0),
                ..edge(extent, true)
            };
            prop_assert!(none.psi(floor(r).equivalent_thickness(), Conductivity::from_si(2.0)).si().abs() < 1e-12);
            let upright = edge(extent, true).psi(floor(r).equivalent_thickness(), Conductivity::from_si(2.0));
            let level = edge(2.0 * extent, false).psi(floor(r).equivalent_thickness(), Conductivity::from_si(2.0));
            prop_assert!((upright.si() - level.si()).abs() < 1e-12 && upright.si() < 0.0);
        }
    }
}
