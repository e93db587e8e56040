//! Soil in the ground, loose on the truck and compacted again.

use crate::facts::EARTH;
use mateline_equation::equation;
use mateline_model::quantity::Units;

equation! {
    /// Volume of dug soil on the truck. Source: definition of the swell.
    pub Loose = "V_l = V (1 + s)" {
        V_l: Volume "loose" [EARTH],
        V: Volume "in the ground" [EARTH],
        s: f64 "swell" [Units::PERCENT],
    }

    /// Volume of dug soil when it is compacted. Source: definition of the compacted volume.
    pub Compacted = "V_k = V c" {
        V_k: Volume "excavated soil, compacted" [EARTH],
        V: Volume "excavation in the ground" [EARTH],
        c: f64 "compacted volume over that in the ground" [Units::PERCENT],
    }

    /// Volume in the ground that fills a hole when it is compacted. Source: definition of the compacted volume.
    pub ToFill = "V_n = V_c/c" {
        V_n: Volume "soil for the backfill, as in the ground" [EARTH],
        V_c: Volume "backfill, compacted" [EARTH],
        c: f64 "compacted volume over that in the ground" [Units::PERCENT],
    }

    /// Soil left over. Source: difference.
    pub LeftOver = "V_h = max(V − V_n, 0)" {
        V_h: Volume "soil left over, as in the ground" [EARTH],
        V: Volume "excavation in the ground" [EARTH],
        V_n: Volume "soil for the backfill, as in the ground" [EARTH],
    }

    /// Soil to bring. Source: difference.
    pub ToBring = "V_i = max(V_n − V, 0)" {
        V_i: Volume "soil to bring, as in the ground" [EARTH],
        V_n: Volume "soil for the backfill, as in the ground" [EARTH],
        V: Volume "excavation in the ground" [EARTH],
    }

    /// Trucks: a load a hair above the brim is one load. Source: division, rounded up.
    pub Truckloads = "n = ⌈V_l/V_t − 10⁻⁹⌉" {
        n: f64 "truckloads" [Units::plain(0)],
        V_l: Volume "to haul away, loose" [EARTH],
        V_t: Volume "what a truck carries, loose" [EARTH],
    }

    /// Topsoil stripped. Source: geometry.
    pub Topsoil = "V_t = A_t τ" {
        V_t: Volume "topsoil in the ground" [EARTH],
        A_t: Area "area stripped" [Units::AREA],
        τ: Length "topsoil" [Units::LENGTH],
    }

    /// What is filled back. Source: difference.
    pub Backfill = "V_c = max(0, V − V_x)" {
        V_c: Volume "backfill, compacted" [EARTH],
        V: Volume "excavation in the ground" [EARTH],
        V_x: Volume "taken up by the building" [EARTH],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use mateline_model::quantity::Volume;

    fn loose(bank: f64, swell: f64) -> f64 {
        Loose { V: Volume::from_si(bank), s: swell }.value().si()
    }

    fn truckloads(loose: f64, truck: f64) -> f64 {
        Truckloads { V_l: Volume::from_si(loose), V_t: Volume::from_si(truck) }.value()
    }

    /// Load factors, volume in the ground over volume loose, of an earthmoving maker's handbook, ed. 44, p. 30-1 (looked
    /// up): swell 10, 25, 40, 50 %. Three decimals are printed.
    #[test]
    fn published_load_factors() {
        for (swell, factor, voids) in
            [(0.10, 0.909, 9.1), (0.25, 0.800, 20.0), (0.40, 0.714, 28.6), (0.50, 0.667, 33.3)]
        {
            let load_factor = 1.0 / loose(1.0, swell);
            assert!((load_factor - factor).abs() < 0.000_5);
            assert!(((1.0 - load_factor) * 100.0 - voids).abs() < 0.05);
        }
    }

    /// 355.56 yd³ in the ground is 394.67 loose as sand, 444.44 as loam and 508.44 as clay (computed independently).
    #[test]
    fn loose_volumes() {
        let bank = 9600.0 / 27.0;
        for (swell, expected) in [(0.11, 394.67), (0.25, 444.44), (0.43, 508.44)] {
            assert!((loose(bank, swell) - expected).abs() < 0.005);
        }
    }

    #[test]
    fn loads_and_fill() {
        assert_eq!(truckloads(120.0, 12.0), 10.0);
        assert_eq!(truckloads(120.1, 12.0), 11.0);
        assert_eq!(truckloads(0.0, 12.0), 0.0);
        assert!((ToFill { V_c: Volume::from_si(90.0), c: 0.9 }.value().si() - 100.0).abs() < 1e-12);
    }
}
