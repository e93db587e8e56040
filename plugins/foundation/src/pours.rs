//! Volumes of what is poured.

use crate::facts::EARTH;
use mateline_equation::equation;
use mateline_model::quantity::Units;

equation! {
    /// A wall footing. Source: geometry.
    pub(crate) WallFooting = "V = L w_f t_f" {
        V: Volume "wall footing" [EARTH],
        L: Length "length along the middle of the wall" [Units::LENGTH],
        w_f: Length "width of the footing" [Units::LENGTH],
        t_f: Length "thickness of the footing" [Units::LENGTH],
    }

    /// Square pads. Source: geometry.
    pub(crate) PadVolume = "V = n a² t_p" {
        V: Volume "pads" [EARTH],
        n: f64 "pads" [Units::plain(0)],
        a: Length "side of a pad" [Units::LENGTH],
        t_p: Length "thickness of a pad" [Units::LENGTH],
    }

    /// A slab inside the walls. Source: geometry.
    pub(crate) Slab = "V = A_i t_s" {
        V: Volume "slab" [EARTH],
        A_i: Area "floor inside the walls" [Units::AREA],
        t_s: Length "slab" [Units::LENGTH],
    }

    /// Concrete to order. Source: addition, with an allowance.
    pub(crate) ToOrder = "V = (V_f + V_w + V_s)(1 + p)" {
        V: Volume "concrete to order" [EARTH],
        V_f: Volume "footings and pads" [EARTH],
        V_w: Volume "walls and piers" [EARTH],
        V_s: Volume "slab" [EARTH],
        p: f64 "concrete ordered beyond what is placed" [Units::PERCENT],
    }

    /// A wall. Source: geometry.
    pub(crate) Wall = "V = L t h_w" {
        V: Volume "walls" [EARTH],
        L: Length "length along the middle of the wall" [Units::LENGTH],
        t: Length "concrete wall" [Units::LENGTH],
        h_w: Length "height of the wall" [Units::LENGTH],
    }

    /// Round piers. Source: geometry.
    pub(crate) Piers = "V = n π/4 d_p² h_w" {
        V: Volume "piers" [EARTH],
        n: f64 "piers" [Units::plain(0)],
        d_p: Length "diameter of a pier" [Units::LENGTH],
        h_w: Length "height of a pier" [Units::LENGTH],
    }

    /// Forms of both faces of footing and wall. Source: geometry.
    pub(crate) WallForms = "A = 2 L (t_f + h_w)" {
        A: Area "forms" [Units::AREA],
        L: Length "length along the middle of the wall" [Units::LENGTH],
        t_f: Length "thickness of the footing" [Units::LENGTH],
        h_w: Length "height of the wall" [Units::LENGTH],
    }

    /// Forms of round piers. Source: geometry.
    pub(crate) PierForms = "A = n π d_p h_w" {
        A: Area "forms" [Units::AREA],
        n: f64 "piers" [Units::plain(0)],
        d_p: Length "diameter of a pier" [Units::LENGTH],
        h_w: Length "height of a pier" [Units::LENGTH],
    }

    /// Reinforcement by a rate for each volume of concrete. Source: common practice, no source.
    pub(crate) Reinforcement = "m = ρ (V_f + V_w)" {
        m: Mass "reinforcement" [Units::MASS],
        ρ: Density "reinforcement in a volume of concrete" [Units::new("kg/m³", 1, "lb/yd³", 0)],
        V_f: Volume "footings and pads" [EARTH],
        V_w: Volume "walls and piers" [EARTH],
    }
}
