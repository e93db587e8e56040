//! Floors over unheated space in the ground: basements outside the thermal envelope, and crawl spaces deeper than half a
//! metre.
//!
//! Source: ISO 13370:2017 (formulas from memory; clause 9.4 and annex E of the 2007 edition).

use crate::ground::{Basement, Suspended, UnderFloor};
use mateline_model::quantity::{Length, ThermalTransmittance};

/// Air changes of an unheated basement where nobody knows better (1/h): ISO 13370 (from memory).
pub const AIR_CHANGES: f64 = 0.3;
/// Heat capacity of air per volume (W·h/(m³·K)): ISO 13370 (from memory).
const AIR: f64 = 0.33;

/// An unheated basement below a heated home.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnheatedBasement {
    /// Its own floor and walls, as those of a heated basement.
    pub shell: Basement,
    /// From inside through the floor over it, `Uf`.
    pub floor: ThermalTransmittance,
    /// Height of that floor's upper face above outside ground, `h`.
    pub height: Length,
    /// U-factor of its walls above outside ground, `Uw`.
    pub walls: ThermalTransmittance,
    /// Height of its air, from its floor to the floor over it.
    pub clear: Length,
    /// Air changes per hour, `n`.
    pub air_changes: f64,
}

impl UnheatedBasement {
    /// What leaves its air for the outside, per area of floor (W/(m²·K)): `Ubf + (z P Ubw + h P Uw + 0.33 n V)/A`.
    pub fn around(&self) -> ThermalTransmittance {
        let Basement { floor, depth, .. } = &self.shell;
        let (area, perimeter) = (floor.area.si(), floor.perimeter.si());
        let walls = depth.si() * self.shell.wall_u().si() + self.height.si() * self.walls.si();
        let air = AIR * self.air_changes * area * self.clear.si();
        ThermalTransmittance::from_si(self.shell.floor_u().si() + (perimeter * walls + air) / area)
    }

    /// U-factor of the floor over it with all that lies below: `1/U = 1/Uf + A/(A Ubf + z P Ubw + h P Uw + 0.33 n V)`.
    pub fn u(&self) -> ThermalTransmittance {
        ThermalTransmittance::from_si(1.0 / (1.0 / self.floor.si() + 1.0 / self.around().si()))
    }
}

/// U-factor of a floor over a crawl space more than 0.5 m below outside ground: as one nearer to it, with
/// `Ug = Ubf + z P Ubw/A`, the base and the walls below ground being those of a basement.
pub fn deep(base: &Basement, below: &UnderFloor) -> Suspended {
    let (area, perimeter) = (base.floor.area.si(), base.floor.perimeter.si());
    let ground = base.floor_u().si() + base.depth.si() * perimeter * base.wall_u().si() / area;
    let around = below.around(base.floor.characteristic_dimension());
    Suspended::of(below.floor, ThermalTransmittance::from_si(ground), around)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::{Floor, suspended};
    use mateline_model::quantity::{Area, Conductivity, ThermalResistance};

    fn shell(depth: f64) -> Basement {
        Basement {
            floor: Floor {
                area: Area::from_si(96.0),
                perimeter: Length::from_si(40.0),
                wall_thickness: Length::from_si(0.3),
                resistance: ThermalResistance::from_si(1.5),
                ground: Conductivity::from_si(2.0),
            },
            depth: Length::from_si(depth),
            walls: ThermalResistance::from_si(3.0),
        }
    }

    /// The heated basement of the reference notes (Ubf 0.2852, Ubw 0.2266, computed by another hand) under a floor of
    /// 0.2 W/(m²·K), by hand: A Ubf 27.379, z P Ubw 19.941, h P Uw 0.5 x 40 x 1.5 = 30, air 0.33 x 0.3 x 96 x 2.4 =
    /// 22.810, together 100.13 W/K; 1/U = 5 + 96/100.13.
    #[test]
    fn an_unheated_basement_by_hand() {
        let basement = UnheatedBasement {
            shell: shell(2.2),
            floor: ThermalTransmittance::from_si(0.2),
            height: Length::from_si(0.5),
            walls: ThermalTransmittance::from_si(1.5),
            clear: Length::from_si(2.4),
            air_changes: AIR_CHANGES,
        };
        assert!((basement.around().si() * 96.0 - 100.13).abs() < 0.02, "{}", basement.around().si() * 96.0);
        assert!((basement.u().si() - 1.0 / (5.0 + 96.0 / 100.13)).abs() < 0.0001, "{}", basement.u().si());
        assert!(basement.u() < basement.floor, "air below the floor is warmer than outdoors");
    }

    /// As the depth goes to nothing the base of a deep crawl space is that of a shallow one.
    #[test]
    fn a_crawl_space_of_no_depth_is_a_shallow_one() {
        let below = UnderFloor {
            floor: ThermalTransmittance::from_si(0.2),
            height: Length::from_si(0.5),
            walls: ThermalTransmittance::from_si(1.5),
            vents: 0.0015,
            wind: 4.0,
            shielding: 0.05,
        };
        let shallow = suspended(&shell(0.0).floor, &below);
        let found = deep(&shell(1e-6), &below);
        assert!((found.whole.si() - shallow.whole.si()).abs() < 1e-5, "{found:?} beside {shallow:?}");
        assert!(deep(&shell(1.0), &below).ground > ThermalTransmittance::default());
    }
}
