//! Values of a drawing: from SI to the report's units, and which can be drawn at all.

use mateline_model::quantity::{Dimension, Unit, UnitSystem, Units, number, unit};

/// Nothing in a home measures so much in any unit; what does is left out.
const GREATEST: f64 = 1e12;

/// What a number without a unit is in SI.
const PLAIN: Unit = Unit { factor: 1.0, offset: 0.0, dimension: Dimension::PLAIN };

/// A value that can be drawn.
pub(super) fn drawable(value: f64) -> Option<f64> {
    (value.abs() <= GREATEST).then_some(value)
}

/// How the values of one scale are shown.
pub(super) struct Measure<'a> {
    name: &'a str,
    digits: u8,
    unit: Option<Unit>,
}

impl<'a> Measure<'a> {
    /// In the report's system; in SI, and marked so, where the two units do not measure the same or nobody defined them.
    pub(super) fn new(units: &'a Units, system: UnitSystem) -> Measure<'a> {
        let (name, digits) = units.of(system);
        let measures = |name: &str| if name.is_empty() { Some(PLAIN) } else { unit(name) };
        let fits = |found: &Unit| measures(&units.si).is_some_and(|si| si.dimension == found.dimension);
        match measures(name).filter(fits) {
            Some(found) => Measure { name, digits: digits.min(9), unit: Some(found) },
            None => Measure { name: "SI", digits: 4, unit: None },
        }
    }

    /// A value in SI as a number of the unit.
    pub(super) fn shown(&self, si: f64) -> f64 {
        self.unit.map_or(si, |unit| unit.of_si(si))
    }

    /// The number alone, in words where it cannot be drawn.
    pub(super) fn number(&self, si: f64) -> String {
        match drawable(si) {
            Some(si) => number(self.shown(si), self.digits),
            None => "not known".to_owned(),
        }
    }

    /// The number with its unit.
    pub(super) fn text(&self, si: f64) -> String {
        let text = self.number(si);
        if drawable(si).is_none() { text } else { self.with_unit(text) }
    }

    /// A number already written, with the unit.
    pub(super) fn with_unit(&self, number: String) -> String {
        if self.name.is_empty() { number } else { format!("{number} {}", self.name) }
    }

    /// What runs along an axis, with the unit.
    pub(super) fn title(&self, label: &str) -> String {
        match (label.trim().is_empty(), self.name.is_empty()) {
            (_, true) => label.to_owned(),
            (true, false) => self.name.to_owned(),
            (false, false) => format!("{label}, {}", self.name),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_shown_in_the_units_of_the_report() {
        let flow = Units::new("m³/h", 0, "cfm", 1);
        assert_eq!(Measure::new(&flow, UnitSystem::Si).text(0.1), "360 m³/h");
        assert_eq!(Measure::new(&flow, UnitSystem::Ip).text(0.1), "211.9 cfm");
        assert_eq!(Measure::new(&flow, UnitSystem::Ip).title("flow"), "flow, cfm");
        assert_eq!(Measure::new(&Units::plain(1), UnitSystem::Ip).title("month"), "month");
        assert_eq!(Measure::new(&flow, UnitSystem::Ip).text(f64::NAN), "not known");
    }

    #[test]
    fn a_unit_that_does_not_fit_is_never_written_beside_the_number() {
        for odd in [Units::new("m", 1, "cfm", 1), Units::new("hogshead", 1, "hogshead", 1)] {
            assert_eq!(Measure::new(&odd, UnitSystem::Ip).text(2.0), "2.0000 SI");
        }
    }
}
