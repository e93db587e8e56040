//! Lengths as drawings give them: feet, inches and fractions, or millimetres.

use super::UnitSystem;

/// Sixteenths of an inch in a foot.
const FOOT: u64 = 12 * 16;

/// A length (m) to the nearest sixteenth of an inch or millimetre: `13 ft 9 1/2 in`, `4191 mm`.
pub fn by_tape(metres: f64, system: UnitSystem) -> String {
    let sign = if metres < 0.0 { "−" } else { "" };
    let metres = metres.abs();
    // No length of a home is near this.
    if metres.is_nan() || metres > 1e6 {
        return "not known".to_owned();
    }
    if system == UnitSystem::Si {
        return format!("{sign}{:.0} mm", metres * 1e3);
    }
    let parts = (metres / 0.0254 * 16.0).round() as u64;
    let (feet, inches, mut part, mut of) = (parts / FOOT, parts % FOOT / 16, parts % 16, 16);
    while part > 0 && part % 2 == 0 {
        (part, of) = (part / 2, of / 2);
    }
    let fraction = if part == 0 { String::new() } else { format!("{part}/{of}") };
    let inches = match (inches, part) {
        (0, 0) if feet > 0 => return format!("{sign}{feet} ft"),
        (inches, 0) => inches.to_string(),
        (0, _) => fraction,
        (inches, _) => format!("{inches} {fraction}"),
    };
    if feet > 0 { format!("{sign}{feet} ft {inches} in") } else { format!("{sign}{inches} in") }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 in is 25.4 mm by definition.
    #[test]
    fn a_drawing_gives_feet_inches_and_fractions() {
        for (inches, told) in [
            (165.0, "13 ft 9 in"),
            (528.0, "44 ft"),
            (12.5, "1 ft 1/2 in"),
            (41.0625, "3 ft 5 1/16 in"),
            (0.75, "3/4 in"),
            (11.99, "1 ft"),
            (0.0, "0 in"),
            (-16.0, "−1 ft 4 in"),
        ] {
            assert_eq!(by_tape(inches * 0.0254, UnitSystem::Ip), told);
        }
        assert_eq!(by_tape(4.191, UnitSystem::Si), "4191 mm");
        assert_eq!(by_tape(f64::NAN, UnitSystem::Ip), "not known");
    }
}
