//! Soil in the ground, loose on the truck and compacted again.

/// Volume of dug soil, loose: `V_l = V_b (1 + s)`, with `V_b` (m³) the volume in the ground and `s` the swell.
pub fn loose(bank: f64, swell: f64) -> f64 {
    bank * (1.0 + swell)
}

/// Volume in the ground that fills a hole when it is compacted: `V_b = V_c/c`, with `c` the compacted volume over the
/// volume in the ground.
pub fn bank_to_fill(hole: f64, compacted: f64) -> f64 {
    hole / compacted
}

/// Trucks: `n = ⌈V_l/V_t⌉`, with a hair of tolerance so that a load filled to the brim is one load.
pub fn truckloads(loose: f64, truck: f64) -> f64 {
    (loose / truck - 1e-9).ceil().max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Load factors, volume in the ground over volume loose, of an earthmoving maker's handbook, ed. 44, p. 30-1 (looked up): swell 10, 25, 40, 50 %. Three
    /// decimals are printed.
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
        assert!((bank_to_fill(90.0, 0.9) - 100.0).abs() < 1e-12);
    }
}
