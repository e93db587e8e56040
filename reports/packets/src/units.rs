//! How values of the home that are no facts are shown.

use mateline_model::quantity::{Length, UnitSystem, Units};

/// Outdoor and indoor temperature.
pub(crate) const TEMPERATURE: Units = Units::new("°C", 1, "°F", 0);
/// Heating degree-days.
pub(crate) const DEGREE_DAYS: Units = Units::new("K·d", 0, "°F·d", 0);
/// A small dimension: holes, ducts, rough openings.
pub(crate) const SMALL: Units = Units::new("mm", 0, "in", 2);

/// A length as it is read off a tape: inches with a fraction, to the nearest sixteenth, or millimetres.
pub(crate) fn by_tape(length: Length, system: UnitSystem) -> String {
    const INCH: f64 = 0.0254;
    let per_unit = match system {
        UnitSystem::Si => return format!("{:.0} mm", length.si() * 1e3),
        UnitSystem::Ip => 16_u64,
    };
    let parts = (length.si() / INCH * 16.0).round().max(0.0);
    // A length in a home is bounded far below this.
    let parts = if parts < 1e9 { parts as u64 } else { return SMALL.show(length.into(), system) };
    let (whole, mut part, mut of) = (parts / per_unit, parts % per_unit, per_unit);
    while part > 0 && part % 2 == 0 {
        (part, of) = (part / 2, of / 2);
    }
    match (whole, part) {
        (whole, 0) => format!("{whole} in"),
        (0, part) => format!("{part}/{of} in"),
        (whole, part) => format!("{whole} {part}/{of} in"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tape_is_read_in_fractions() {
        for (inches, told) in
            [(72.0, "72 in"), (3.5, "3 1/2 in"), (0.75, "3/4 in"), (30.0625, "30 1/16 in"), (5.96875, "6 in")]
        {
            assert_eq!(by_tape(Length::from_si(inches * 0.0254), UnitSystem::Ip), told);
        }
        assert_eq!(by_tape(Length::from_si(0.914), UnitSystem::Si), "914 mm");
    }
}
