//! Floors over unheated space in the ground: basements outside the thermal envelope, and crawl spaces deeper than half a
//! metre.
//!
//! Source: ISO 13370:2017 (formulas from memory; clause 9.4 and annex E of the 2007 edition).

use crate::ground::{Basement, Floor, Suspended, UnderFloor};
use mateline_equation::equation;
use mateline_model::quantity::{Length, Rate, ThermalTransmittance, Units};

/// Air changes of an unheated basement where nobody knows better (1/h): ISO 13370 (from memory).
pub const AIR_CHANGES: f64 = 0.3;

/// Air changes.
const CHANGES: Units = Units::new("1/h", 1, "1/h", 1);

equation! {
    /// Heat loss coefficient of an unheated basement's air to outdoor air. Source: ISO 13370:2017, unheated basement (clause
    /// 9.4 of 2007; from memory).
    pub BasementToAir = "Hx = h P Uw + 0.33[Wh/(m³·K)] n A hb" {
        Hx: Conductance "from the basement's air to outdoor air" [Units::CONDUCTANCE],
        h: Length "floor's upper face above grade" [Units::LENGTH],
        P: Length "perimeter" [Units::LENGTH],
        Uw: ThermalTransmittance "its walls above grade" [Units::TRANSMITTANCE],
        n: Rate "air changes" [CHANGES],
        A: Area "floor" [Units::AREA],
        hb: Length "height of the basement's air" [Units::LENGTH],
    }

    /// What leaves the air of an unheated basement for the ground and outdoors, per area of floor.
    /// Source: ISO 13370:2017, unheated basement (clause 9.4 of 2007; from memory).
    pub BasementAir = "Ux = Ubf + (z P Ubw + Hx)/A" {
        Ux: ThermalTransmittance "from the basement's air to outside" [Units::TRANSMITTANCE],
        Ubf: ThermalTransmittance "the basement's floor" [Units::TRANSMITTANCE],
        z: Length "depth below grade" [Units::LENGTH],
        P: Length "perimeter" [Units::LENGTH],
        Ubw: ThermalTransmittance "its walls below grade" [Units::TRANSMITTANCE],
        Hx: Conductance "from the basement's air to outdoor air" [Units::CONDUCTANCE],
        A: Area "floor" [Units::AREA],
    }

    /// U-factor of a floor over an unheated basement, with all that lies below it.
    /// Source: ISO 13370:2017, unheated basement (from memory).
    pub OverBasement = "1/U = 1/Uf + 1/Ux" {
        U: ThermalTransmittance "floor with all below it" [Units::TRANSMITTANCE],
        Uf: ThermalTransmittance "the floor" [Units::TRANSMITTANCE],
        Ux: ThermalTransmittance "from the basement's air to outside" [Units::TRANSMITTANCE],
    }

    /// U-factor of the base of a deep crawl space, with its walls below ground.
    /// Source: ISO 13370:2017, annex E of 2007 (from memory).
    pub DeepBase = "Ug = Ubf + z P Ubw/A" {
        Ug: ThermalTransmittance "through the ground" [Units::TRANSMITTANCE],
        Ubf: ThermalTransmittance "the base" [Units::TRANSMITTANCE],
        z: Length "depth below grade" [Units::LENGTH],
        P: Length "perimeter" [Units::LENGTH],
        Ubw: ThermalTransmittance "its walls below grade" [Units::TRANSMITTANCE],
        A: Area "floor" [Units::AREA],
    }
}

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
    pub(crate) fn outdoor_air(&self) -> BasementToAir {
        let Floor { perimeter, area, .. } = self.shell.floor;
        BasementToAir {
            h: self.height,
            P: perimeter,
            Uw: self.walls,
            n: Rate::from_si(self.air_changes / 3_600.0),
            A: area,
            hb: self.clear,
        }
    }

    pub(crate) fn air(&self) -> BasementAir {
        let Basement { floor, depth, .. } = self.shell;
        BasementAir {
            Ubf: self.shell.floor_u(),
            z: depth,
            P: floor.perimeter,
            Ubw: self.shell.wall_u(),
            Hx: self.outdoor_air().value(),
            A: floor.area,
        }
    }

    /// What leaves its air for the outside, per area of floor.
    pub fn around(&self) -> ThermalTransmittance {
        self.air().value()
    }

    pub(crate) fn whole(&self) -> OverBasement {
        OverBasement { Uf: self.floor, Ux: self.around() }
    }

    /// U-factor of the floor over it with all that lies below.
    pub fn u(&self) -> ThermalTransmittance {
        self.whole().value()
    }
}

/// The base of a crawl space more than 0.5 m below outside ground, as that of a basement.
pub(crate) fn deep_base(base: &Basement) -> DeepBase {
    let Basement { floor, depth, .. } = *base;
    DeepBase { Ubf: base.floor_u(), z: depth, P: floor.perimeter, Ubw: base.wall_u(), A: floor.area }
}

/// U-factor of a floor over a crawl space more than 0.5 m below outside ground: as one nearer to it, the base and the
/// walls below ground being those of a basement.
pub fn deep(base: &Basement, below: &UnderFloor) -> Suspended {
    let around = below.around(base.floor.characteristic_dimension());
    Suspended::of(below.floor, deep_base(base).value(), around)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::suspended;
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
