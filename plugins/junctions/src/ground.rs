//! Heat through the ground: slabs, suspended floors and heated basements, with or without edge insulation.
//!
//! Steady-state values for a ground of one conductivity. The characteristic dimension of the floor carries its shape.
//!
//! Source: ISO 13370:2017 (formulas from memory; clause numbers of the 2007 edition are 9.1 slab, 9.2 suspended, 9.3
//! basement, annex B edge insulation).

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::facts::PSI_UNITS;
use mateline_equation::equation;
use mateline_model::Step;
use mateline_model::quantity::{
    Area, Conductance, Conductivity, Length, ThermalResistance, ThermalTransmittance, Units,
};

/// Wind.
const SPEED: Units = Units::new("m/s", 1, "ft/s", 1);
/// Vents per length.
const VENTS: Units = Units::new("m²/m", 4, "ft²/ft", 4);

equation! {
    /// Characteristic dimension of a floor. Source: ISO 13370:2017 (from memory).
    pub Characteristic = "B' = A/(0.5 P)" {
        B "B'": Length "characteristic dimension" [Units::LENGTH],
        A: Area "floor" [Units::AREA],
        P: Length "perimeter" [Units::LENGTH],
    }

    /// Equivalent thickness of a floor. Source: ISO 13370:2017 (from memory).
    pub Equivalent = "dt = w + λ (Rsi + Rf + Rse)" {
        dt: Length "equivalent thickness" [Units::LENGTH],
        w: Length "thickness of the walls" [Units::LENGTH],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        Rsi: ThermalResistance "inner film" [Units::RESISTANCE],
        Rf: ThermalResistance "layers of the floor" [Units::RESISTANCE],
        Rse: ThermalResistance "outer film" [Units::RESISTANCE],
    }

    /// U-factor of a slab on the ground with `dt < B'`, and of the ground below a suspended floor.
    /// Source: ISO 13370:2017, slab (clause 9.1 of 2007; from memory).
    pub Slab = "U = 2 λ/(π B' + dt) ln(π B'/dt + 1)" {
        U: ThermalTransmittance "floor" [Units::TRANSMITTANCE],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        B "B'": Length "characteristic dimension" [Units::LENGTH],
        dt: Length "equivalent thickness" [Units::LENGTH],
    }

    /// U-factor of a slab on the ground that is well insulated. Source: as for one that is not.
    pub InsulatedSlab = "U = λ/(0.457 B' + dt)" {
        U: ThermalTransmittance "floor" [Units::TRANSMITTANCE],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        B "B'": Length "characteristic dimension" [Units::LENGTH],
        dt: Length "equivalent thickness" [Units::LENGTH],
    }

    /// What edge insulation adds to the equivalent thickness. Source: ISO 13370:2007, annex B (from memory).
    pub Extra = "d' = Rn λ − dn" {
        extra "d'": Length "extra equivalent thickness" [Units::LENGTH],
        Rn: ThermalResistance "resistance of the edge insulation" [Units::RESISTANCE],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        dn: Length "its thickness" [Units::LENGTH],
    }

    /// Linear transmittance of a level strip of edge insulation, nought or less.
    /// Source: ISO 13370:2007, annex B (from memory).
    pub LevelEdge = "ψ = −(λ/π) (ln(D/dt + 1) − ln(D/(dt + d') + 1))" {
        ψ: Conductivity "edge insulation" [PSI_UNITS],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        D: Length "width of the edge insulation" [Units::LENGTH],
        dt: Length "equivalent thickness" [Units::LENGTH],
        extra "d'": Length "extra equivalent thickness" [Units::LENGTH],
    }

    /// Linear transmittance of upright edge insulation, nought or less. Source: as for a level strip.
    pub UprightEdge = "ψ = −(λ/π) (ln(2 D/dt + 1) − ln(2 D/(dt + d') + 1))" {
        ψ: Conductivity "edge insulation" [PSI_UNITS],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        D: Length "depth of the edge insulation" [Units::LENGTH],
        dt: Length "equivalent thickness" [Units::LENGTH],
        extra "d'": Length "extra equivalent thickness" [Units::LENGTH],
    }

    /// U-factor with edge insulation. Source: ISO 13370:2007, annex B (from memory).
    pub WithEdge = "U = U0 + 2 ψ/B'" {
        U: ThermalTransmittance "floor" [Units::TRANSMITTANCE],
        U0: ThermalTransmittance "without edge insulation" [Units::TRANSMITTANCE],
        ψ: Conductivity "edge insulation" [PSI_UNITS],
        B "B'": Length "characteristic dimension" [Units::LENGTH],
    }

    /// What leaves the air below a suspended floor through walls and vents.
    /// Source: ISO 13370:2017, suspended floor (clause 9.2 of 2007; from memory).
    pub WallsAndVents = "Ux = 2 h Uw/B' + 1450[J/(m³·K)] ε v fw/B'" {
        Ux: ThermalTransmittance "through walls and vents" [Units::TRANSMITTANCE],
        h: Length "floor's upper face above grade" [Units::LENGTH],
        Uw: ThermalTransmittance "walls around the space" [Units::TRANSMITTANCE],
        B "B'": Length "characteristic dimension" [Units::LENGTH],
        ε: Length "vents per length of perimeter" [VENTS],
        v: "m/s" "wind at 10 m" [SPEED],
        fw: f64 "wind shielding" [Units::plain(2)],
    }

    /// U-factor of a suspended floor with all below it. Source: ISO 13370:2017, suspended floor (from memory).
    pub OverSpace = "1/U = 1/Uf + 1/(Ug + Ux)" {
        U: ThermalTransmittance "floor with the ground" [Units::TRANSMITTANCE],
        Uf: ThermalTransmittance "the floor" [Units::TRANSMITTANCE],
        Ug: ThermalTransmittance "through the ground" [Units::TRANSMITTANCE],
        Ux: ThermalTransmittance "through walls and vents" [Units::TRANSMITTANCE],
    }

    /// Equivalent thickness of a basement's floor. Source: ISO 13370:2017, basement (clause 9.3 of 2007; from memory).
    pub Deeper = "db = dt + z/2" {
        db: Length "with half the depth" [Units::LENGTH],
        dt: Length "equivalent thickness" [Units::LENGTH],
        z: Length "depth below grade" [Units::LENGTH],
    }

    /// Equivalent thickness of basement walls. Source: ISO 13370:2017, basement (from memory).
    pub WallEquivalent = "dw = λ (Rsi + Rw + Rse)" {
        dw: Length "equivalent thickness of the walls" [Units::LENGTH],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        Rsi: ThermalResistance "inner film" [Units::RESISTANCE],
        Rw: ThermalResistance "layers of the wall" [Units::RESISTANCE],
        Rse: ThermalResistance "outer film" [Units::RESISTANCE],
    }

    /// U-factor of basement walls below grade. Source: ISO 13370:2017, basement (from memory).
    pub WallBelow = "U = 2 λ/(π z) (1 + 0.5 min(dt, dw)/(min(dt, dw) + z)) ln(z/dw + 1)" {
        U: ThermalTransmittance "walls below grade" [Units::TRANSMITTANCE],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        z: Length "depth below grade" [Units::LENGTH],
        dt: Length "equivalent thickness of the floor" [Units::LENGTH],
        dw: Length "equivalent thickness of the walls" [Units::LENGTH],
    }

    /// Heat loss coefficient of what of a basement lies below grade. Source: ISO 13370:2017, basement (from memory).
    pub BasementLoss = "H = A Uf + z P Uw" {
        H: Conductance "through the ground" [Units::CONDUCTANCE],
        A: Area "floor" [Units::AREA],
        Uf: ThermalTransmittance "floor" [Units::TRANSMITTANCE],
        z: Length "depth below grade" [Units::LENGTH],
        P: Length "perimeter" [Units::LENGTH],
        Uw: ThermalTransmittance "walls" [Units::TRANSMITTANCE],
    }

    /// The same where openings below grade, in window wells, are counted by themselves. Source: as for one without.
    pub LossBesideOpenings = "H = A Uf + (z P − Aw) Uw" {
        H: Conductance "through the ground" [Units::CONDUCTANCE],
        A: Area "floor" [Units::AREA],
        Uf: ThermalTransmittance "floor" [Units::TRANSMITTANCE],
        z: Length "depth below grade" [Units::LENGTH],
        P: Length "perimeter" [Units::LENGTH],
        Aw: Area "openings of the walls below grade" [Units::AREA],
        Uw: ThermalTransmittance "walls" [Units::TRANSMITTANCE],
    }

    /// U-factor of a wall of an unheated space above grade. Source: ISO 13370:2017 with the films of ISO 6946 (from
    /// memory).
    pub AboveGrade = "1/Uw = Rsi + Rw + Rse" {
        Uw: ThermalTransmittance "walls above grade" [Units::TRANSMITTANCE],
        Rsi: ThermalResistance "inner film" [Units::RESISTANCE],
        Rw: ThermalResistance "layers of the wall" [Units::RESISTANCE],
        Rse: ThermalResistance "outer film" [Units::RESISTANCE],
    }

    /// Heat loss coefficient of a floor. Source: ISO 13370:2017 (from memory).
    pub FloorLoss = "H = U A" {
        H: Conductance "through the ground" [Units::CONDUCTANCE],
        U: ThermalTransmittance "floor" [Units::TRANSMITTANCE],
        A: Area "floor" [Units::AREA],
    }
}

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
    pub(crate) fn characteristic(&self) -> Characteristic {
        Characteristic { A: self.area, P: self.perimeter }
    }

    /// Characteristic dimension `B'`.
    pub fn characteristic_dimension(&self) -> Length {
        self.characteristic().value()
    }

    pub(crate) fn equivalent(&self) -> Equivalent {
        Equivalent { w: self.wall_thickness, λ: self.ground, Rsi: RSI_FLOOR, Rf: self.resistance, Rse: RSE }
    }

    /// Equivalent thickness `d_t`.
    pub fn equivalent_thickness(&self) -> Length {
        self.equivalent().value()
    }

    /// U-factor of a slab on the ground.
    pub fn slab(&self) -> ThermalTransmittance {
        self.slab_step().0
    }

    pub(crate) fn slab_step(&self) -> (ThermalTransmittance, Step) {
        slab(self.characteristic_dimension(), self.equivalent_thickness(), self.ground)
    }

    /// U-factor of the ground below a suspended floor.
    pub(crate) fn below(&self) -> Slab {
        Slab { λ: self.ground, B: self.characteristic_dimension(), dt: self.equivalent_thickness() }
    }

    /// U-factor of a slab with edge insulation.
    pub fn slab_with_edge(&self, edge: &EdgeInsulation) -> ThermalTransmittance {
        self.with_edge(self.slab(), edge).value()
    }

    pub(crate) fn with_edge(&self, bare: ThermalTransmittance, edge: &EdgeInsulation) -> WithEdge {
        let psi = edge.psi(self.equivalent_thickness(), self.ground);
        WithEdge { U0: bare, ψ: psi, B: self.characteristic_dimension() }
    }
}

fn slab(dimension: Length, thickness: Length, ground: Conductivity) -> (ThermalTransmittance, Step) {
    let (λ, B, dt) = (ground, dimension, thickness);
    if dt < B { Slab { λ, B, dt }.step() } else { InsulatedSlab { λ, B, dt }.step() }
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
    pub(crate) fn extra(&self, ground: Conductivity) -> Extra {
        Extra { Rn: self.resistance, λ: ground, dn: self.thickness }
    }

    /// Linear transmittance of the edge insulation, nought or less.
    pub fn psi(&self, equivalent_thickness: Length, ground: Conductivity) -> Conductivity {
        self.psi_step(equivalent_thickness, ground).0
    }

    pub(crate) fn psi_step(&self, dt: Length, λ: Conductivity) -> (Conductivity, Step) {
        let (D, extra) = (self.extent, self.extra(λ).value());
        if self.is_upright { UprightEdge { λ, D, dt, extra }.step() } else { LevelEdge { λ, D, dt, extra }.step() }
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

/// U-factor of a floor over a crawl space that is open to outdoor air. Valid for a space no more than 0.5 m below outside
/// ground.
pub fn suspended(floor: &Floor, below: &UnderFloor) -> Suspended {
    Suspended::of(below.floor, floor.below().value(), below.around(floor.characteristic_dimension()))
}

/// The same with insulation along the edge of the ground below.
pub fn suspended_with_edge(floor: &Floor, below: &UnderFloor, edge: &EdgeInsulation) -> Suspended {
    let ground = floor.with_edge(floor.below().value(), edge).value();
    Suspended::of(below.floor, ground, below.around(floor.characteristic_dimension()))
}

impl UnderFloor {
    /// Through walls and vents.
    pub fn around(&self, dimension: Length) -> ThermalTransmittance {
        self.walls_and_vents(dimension).value()
    }

    pub(crate) fn walls_and_vents(&self, dimension: Length) -> WallsAndVents {
        WallsAndVents {
            h: self.height,
            Uw: self.walls,
            B: dimension,
            ε: Length::from_si(self.vents),
            v: self.wind,
            fw: self.shielding,
        }
    }
}

impl Suspended {
    /// The whole from its parts.
    pub fn of(floor: ThermalTransmittance, ground: ThermalTransmittance, around: ThermalTransmittance) -> Suspended {
        Suspended { ground, around, whole: OverSpace { Uf: floor, Ug: ground, Ux: around }.value() }
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
    pub(crate) fn wall_equivalent(&self) -> WallEquivalent {
        WallEquivalent { λ: self.floor.ground, Rsi: RSI_WALL, Rw: self.walls, Rse: RSE }
    }

    /// Equivalent thickness of the walls, `d_w`.
    pub fn wall_thickness(&self) -> Length {
        self.wall_equivalent().value()
    }

    pub(crate) fn deeper(&self) -> Deeper {
        Deeper { dt: self.floor.equivalent_thickness(), z: self.depth }
    }

    /// U-factor of the floor: that of a slab with half the depth more of ground below it.
    pub fn floor_u(&self) -> ThermalTransmittance {
        self.floor_step().0
    }

    pub(crate) fn floor_step(&self) -> (ThermalTransmittance, Step) {
        let (u, step) = slab(self.floor.characteristic_dimension(), self.deeper().value(), self.floor.ground);
        (u, step.meaning(Slab::dt, "with half the depth").named(Slab::dt, "db"))
    }

    pub(crate) fn wall(&self) -> WallBelow {
        let (dt, dw) = (self.floor.equivalent_thickness(), self.wall_thickness());
        WallBelow { λ: self.floor.ground, z: self.depth, dt, dw }
    }

    /// U-factor of the walls.
    pub fn wall_u(&self) -> ThermalTransmittance {
        self.wall().value()
    }

    pub(crate) fn heat(&self) -> BasementLoss {
        let Floor { area, perimeter, .. } = self.floor;
        BasementLoss { A: area, Uf: self.floor_u(), z: self.depth, P: perimeter, Uw: self.wall_u() }
    }

    /// With openings of the walls below grade that are counted by themselves.
    pub(crate) fn heat_beside(&self, openings: Area) -> LossBesideOpenings {
        let BasementLoss { A, Uf, z, P, Uw } = self.heat();
        LossBesideOpenings { A, Uf, z, P, Aw: openings, Uw }
    }

    /// Heat loss coefficient of floor and walls.
    pub fn loss(&self) -> Conductance {
        self.heat().value()
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
        let (low, high) = (slab(b, Length::from_si(4.8 - 1e-9), k).0.si(), slab(b, b, k).0.si());
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
