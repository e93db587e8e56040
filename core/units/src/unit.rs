//! Units: a table of atoms, and the small grammar that composes them (`Btu/(h·ft²·°F)`, `µg/(m²·h)`).
//!
//! Conversion factors: NIST Special Publication 811, appendix B (from memory), and the definitions of the inch, pound
//! and international table Btu.

use super::dimension::Dimension;
use super::powi;

/// A unit of measure: what one of it is in SI, and what it measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// SI units in one of this unit.
    pub factor: f64,
    /// Added after multiplying: only scales of temperature have one.
    pub offset: f64,
    /// What the unit measures.
    pub dimension: Dimension,
}

impl Unit {
    const fn new(factor: f64, dimension: Dimension) -> Unit {
        Unit { factor, offset: 0.0, dimension }
    }

    /// A number of this unit, in SI.
    pub fn to_si(self, number: f64) -> f64 {
        number * self.factor + self.offset
    }

    /// An SI value, as a number of this unit.
    pub fn of_si(self, si: f64) -> f64 {
        (si - self.offset) / self.factor
    }
}

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;
const GRAVITY: f64 = 9.806_65;
const BTU: f64 = 1_055.055_852_62;
const GALLON: f64 = 231.0 * INCH * INCH * INCH;
const CFM: f64 = FOOT * FOOT * FOOT / 60.0;
const HOUR: f64 = 3_600.0;
const DAY: f64 = 86_400.0;
const RANKINE: f64 = 5.0 / 9.0;
/// One US perm: 1 grain/(h·ft²·inHg), with mercury at 0 °C (3386.389 Pa).
const PERM: f64 = POUND / 7_000.0 / (HOUR * FOOT * FOOT * 3_386.389);
/// Water column at 4 °C.
const WATER_INCH: f64 = 249.088_91;

/// Every atom: its symbol as mateline prints it, other spellings accepted, and the unit.
pub const ATOMS: &[(&str, &[&str], Unit)] = &[
    ("m", &[], Unit::new(1.0, Dimension::LENGTH)),
    ("mm", &[], Unit::new(1e-3, Dimension::LENGTH)),
    ("cm", &[], Unit::new(1e-2, Dimension::LENGTH)),
    ("km", &[], Unit::new(1e3, Dimension::LENGTH)),
    ("µm", &["μm", "um"], Unit::new(1e-6, Dimension::LENGTH)),
    ("in", &["inch", "inches", "\"", "″", "”"], Unit::new(INCH, Dimension::LENGTH)),
    ("ft", &["foot", "feet", "'", "′", "’"], Unit::new(FOOT, Dimension::LENGTH)),
    ("yd", &["yard", "yards"], Unit::new(3.0 * FOOT, Dimension::LENGTH)),
    ("mi", &["mile", "miles"], Unit::new(5_280.0 * FOOT, Dimension::LENGTH)),
    ("mil", &["mils"], Unit::new(INCH / 1e3, Dimension::LENGTH)),
    ("sf", &["sqft"], Unit::new(FOOT * FOOT, Dimension::AREA)),
    ("L", &["l"], Unit::new(1e-3, Dimension::VOLUME)),
    ("mL", &["ml"], Unit::new(1e-6, Dimension::VOLUME)),
    ("gal", &["gallon", "gallons"], Unit::new(GALLON, Dimension::VOLUME)),
    ("pint", &["pints"], Unit::new(GALLON / 8.0, Dimension::VOLUME)),
    ("kg", &[], Unit::new(1.0, Dimension::MASS)),
    ("g", &[], Unit::new(1e-3, Dimension::MASS)),
    ("mg", &[], Unit::new(1e-6, Dimension::MASS)),
    ("µg", &["μg", "ug"], Unit::new(1e-9, Dimension::MASS)),
    ("ng", &[], Unit::new(1e-12, Dimension::MASS)),
    ("t", &["tonne", "tonnes"], Unit::new(1e3, Dimension::MASS)),
    ("lb", &["lbs", "lbm"], Unit::new(POUND, Dimension::MASS)),
    ("oz", &[], Unit::new(POUND / 16.0, Dimension::MASS)),
    ("gr", &["grain", "grains"], Unit::new(POUND / 7_000.0, Dimension::MASS)),
    ("s", &["sec"], Unit::new(1.0, Dimension::TIME)),
    ("min", &[], Unit::new(60.0, Dimension::TIME)),
    ("h", &["hr", "hour", "hours"], Unit::new(HOUR, Dimension::TIME)),
    ("d", &["day", "days"], Unit::new(DAY, Dimension::TIME)),
    ("yr", &["year", "years", "a"], Unit::new(365.0 * DAY, Dimension::TIME)),
    ("ACH", &[], Unit::new(1.0 / HOUR, Dimension::RATE)),
    ("N", &[], Unit::new(1.0, Dimension::FORCE)),
    ("kN", &[], Unit::new(1e3, Dimension::FORCE)),
    ("lbf", &[], Unit::new(POUND * GRAVITY, Dimension::FORCE)),
    ("kip", &["kips"], Unit::new(1e3 * POUND * GRAVITY, Dimension::FORCE)),
    ("plf", &[], Unit::new(POUND * GRAVITY / FOOT, Dimension::LINE_LOAD)),
    ("Pa", &[], Unit::new(1.0, Dimension::PRESSURE)),
    ("hPa", &[], Unit::new(100.0, Dimension::PRESSURE)),
    ("kPa", &[], Unit::new(1e3, Dimension::PRESSURE)),
    ("psf", &[], Unit::new(POUND * GRAVITY / (FOOT * FOOT), Dimension::PRESSURE)),
    ("psi", &[], Unit::new(POUND * GRAVITY / (INCH * INCH), Dimension::PRESSURE)),
    ("inwg", &["inwc", "inH2O"], Unit::new(WATER_INCH, Dimension::PRESSURE)),
    ("W", &[], Unit::new(1.0, Dimension::POWER)),
    ("kW", &[], Unit::new(1e3, Dimension::POWER)),
    ("J", &[], Unit::new(1.0, Dimension::ENERGY)),
    ("kJ", &[], Unit::new(1e3, Dimension::ENERGY)),
    ("MJ", &[], Unit::new(1e6, Dimension::ENERGY)),
    ("Wh", &[], Unit::new(HOUR, Dimension::ENERGY)),
    ("kWh", &[], Unit::new(1e3 * HOUR, Dimension::ENERGY)),
    ("Btu", &["BTU"], Unit::new(BTU, Dimension::ENERGY)),
    ("kBtu", &[], Unit::new(1e3 * BTU, Dimension::ENERGY)),
    ("cfm", &["cfm50", "cfm25", "CFM"], Unit::new(CFM, Dimension::FLOW)),
    ("gpm", &[], Unit::new(GALLON / 60.0, Dimension::FLOW)),
    ("perm", &["perms"], Unit::new(PERM, Dimension::PERMEANCE)),
    ("A", &[], Unit::new(1.0, Dimension::CURRENT)),
    ("V", &[], Unit::new(1.0, Dimension::VOLTAGE)),
    ("Bq", &[], Unit::new(1.0, Dimension::RATE)),
    ("pCi", &[], Unit::new(0.037, Dimension::RATE)),
    ("$", &[], Unit::new(1.0, Dimension::MONEY)),
    ("rad", &[], Unit::new(1.0, Dimension::ANGLE)),
    ("°", &["deg"], Unit::new(std::f64::consts::PI / 180.0, Dimension::ANGLE)),
    ("sone", &["sones"], Unit::new(1.0, Dimension::LOUDNESS)),
    ("dB", &[], Unit::new(1.0, Dimension::PLAIN)),
    ("dB(A)", &["dBA"], Unit::new(1.0, Dimension::SOUND_LEVEL)),
    ("%", &[], Unit::new(1e-2, Dimension::PLAIN)),
    ("ppm", &[], Unit::new(1e-6, Dimension::PLAIN)),
    ("ppb", &[], Unit::new(1e-9, Dimension::PLAIN)),
    ("K", &["Δ°C", "Δ°K"], Unit::new(1.0, Dimension::TEMPERATURE_DIFFERENCE)),
    ("Δ°F", &["ΔF"], Unit::new(RANKINE, Dimension::TEMPERATURE_DIFFERENCE)),
    ("°C", &["degC"], Unit { factor: 1.0, offset: 0.0, dimension: Dimension::TEMPERATURE }),
    ("°F", &["degF"], Unit { factor: RANKINE, offset: -32.0 * RANKINE, dimension: Dimension::TEMPERATURE }),
    // The inch-pound resistance without its long unit, as `R-13` writes it.
    ("R", &[], Unit::new(FOOT * FOOT * HOUR * RANKINE / BTU, Dimension::RESISTANCE)),
    ("RSI", &[], Unit::new(1.0, Dimension::RESISTANCE)),
];

/// Whole units that the grammar cannot compose, because of how they are usually written.
const WHOLE: &[(&str, &str)] = &[
    ("W/m²K", "W/(m²·K)"),
    ("W/m2K", "W/(m²·K)"),
    ("W/mK", "W/(m·K)"),
    ("m²K/W", "m²·K/W"),
    ("m2K/W", "m²·K/W"),
    ("in w.g.", "inwg"),
    ("in. w.g.", "inwg"),
    ("in w.c.", "inwg"),
    ("sq ft", "ft²"),
    ("sq. ft", "ft²"),
    ("cu ft", "ft³"),
    ("cu yd", "yd³"),
];

/// Looks a unit up by the text a person writes. `None` if it is no unit mateline knows.
pub fn unit(text: &str) -> Option<Unit> {
    let text = text.trim();
    if text.is_empty() || text.starts_with('/') {
        return None;
    }
    if let Some((_, written)) = WHOLE.iter().find(|(short, _)| *short == text) {
        return unit(written);
    }
    if let Some(whole) = atom(text, true) {
        return Some(whole);
    }
    let mut parser = Parser { rest: text, depth: 0 };
    let unit = parser.product()?;
    parser.rest.trim_start().is_empty().then_some(unit)
}

/// The nearest known unit to a misspelt one.
pub fn spellings() -> impl Iterator<Item = &'static str> {
    ATOMS.iter().map(|(symbol, _, _)| *symbol)
}

/// An atom by symbol. Inside a composed unit a scale of temperature stands for a difference.
fn atom(text: &str, alone: bool) -> Option<Unit> {
    let found = ATOMS.iter().find(|(symbol, aliases, _)| *symbol == text || aliases.contains(&text));
    match found {
        Some((_, _, unit)) if unit.dimension.point && !alone => {
            Some(Unit::new(unit.factor, Dimension::TEMPERATURE_DIFFERENCE))
        }
        Some((_, _, unit)) => Some(*unit),
        None if text == "F" && !alone => Some(Unit::new(RANKINE, Dimension::TEMPERATURE_DIFFERENCE)),
        None => None,
    }
}

struct Parser<'a> {
    rest: &'a str,
    depth: u8,
}

impl Parser<'_> {
    /// `factor (('·' | '*' | '/') factor)*`, left to right.
    fn product(&mut self) -> Option<Unit> {
        let mut unit = self.factor()?;
        loop {
            let rest = self.rest.trim_start();
            let Some(operator) = rest.chars().next().filter(|c| matches!(c, '·' | '⋅' | '*' | '/')) else {
                return Some(unit);
            };
            self.rest = &rest[operator.len_utf8()..];
            let factor = self.factor()?;
            unit = if operator == '/' {
                Unit::new(unit.factor / factor.factor, unit.dimension.per(factor.dimension)?)
            } else {
                Unit::new(unit.factor * factor.factor, unit.dimension.times(factor.dimension)?)
            };
        }
    }

    /// `atom exponent?`, `'(' product ')' exponent?` or `1`.
    fn factor(&mut self) -> Option<Unit> {
        self.rest = self.rest.trim_start();
        if let Some(rest) = self.rest.strip_prefix("dB(A)") {
            self.rest = rest;
            return atom("dB(A)", false);
        }
        let base = if let Some(rest) = self.rest.strip_prefix('(') {
            self.depth += 1;
            if self.depth > 4 {
                return None;
            }
            self.rest = rest;
            let inner = self.product()?;
            self.rest = self.rest.trim_start().strip_prefix(')')?;
            self.depth -= 1;
            inner
        } else if let Some(rest) = self.rest.strip_prefix('1') {
            self.rest = rest;
            return Some(Unit::new(1.0, Dimension::PLAIN));
        } else {
            self.symbol()?
        };
        let exponent = self.exponent()?;
        Some(Unit::new(powi(base.factor, exponent.into()), base.dimension.power(exponent)?))
    }

    /// The longest run of symbol characters that names an atom; trailing digits are an exponent (`ft2`).
    fn symbol(&mut self) -> Option<Unit> {
        let end = self
            .rest
            .char_indices()
            .find(|(_, c)| !(c.is_alphanumeric() && !is_superscript(*c) || "°%$'\"′″Δ".contains(*c)))
            .map_or(self.rest.len(), |(index, _)| index);
        let run = &self.rest[..end];
        if let Some(unit) = atom(run, false) {
            self.rest = &self.rest[end..];
            return Some(unit);
        }
        let letters = run.trim_end_matches(|c: char| c.is_ascii_digit());
        let unit = atom(letters, false)?;
        self.rest = &self.rest[letters.len()..];
        Some(unit)
    }

    /// `²`, `³`, `⁻¹`, `^2`, `^-1` or a bare digit; nothing means 1.
    fn exponent(&mut self) -> Option<i8> {
        let mut digits = String::new();
        let mut rest = self.rest;
        let caret = rest.strip_prefix('^');
        if let Some(after) = caret {
            rest = after;
        }
        for c in rest.chars() {
            let plain = match c {
                '⁻' => '-',
                '⁰' => '0',
                '¹' => '1',
                '²' => '2',
                '³' => '3',
                '⁴' => '4',
                '-' if caret.is_some() && digits.is_empty() => '-',
                c if c.is_ascii_digit() => c,
                _ => break,
            };
            digits.push(plain);
            rest = &rest[c.len_utf8()..];
        }
        if digits.is_empty() {
            return if caret.is_some() { None } else { Some(1) };
        }
        let exponent: i8 = digits.parse().ok()?;
        if !(-4..=4).contains(&exponent) {
            return None;
        }
        self.rest = rest;
        Some(exponent)
    }
}

fn is_superscript(c: char) -> bool {
    matches!(c, '⁻' | '⁰' | '¹' | '²' | '³' | '⁴')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn factor(text: &str) -> f64 {
        unit(text).unwrap_or_else(|| panic!("{text} is a unit")).factor
    }

    fn close(a: f64, b: f64, relative: f64) {
        assert!((a - b).abs() <= relative * b.abs(), "{a} against {b}");
    }

    /// Factors as NIST SP 811 appendix B prints them (from memory), to their last digit.
    #[test]
    fn published_conversion_factors() {
        close(factor("Btu/(h·ft²·°F)"), 5.678_263, 1e-6);
        close(factor("h·ft²·°F/Btu"), 0.176_110_2, 1e-6);
        close(factor("Btu·in/(h·ft²·°F)"), 0.144_227_9, 1e-6);
        close(factor("Btu/(h·ft·°F)"), 1.730_735, 1e-6);
        close(factor("cfm"), 4.719_474e-4, 1e-6);
        close(factor("ft³/min"), 4.719_474e-4, 1e-6);
        close(factor("cfm/ft²"), 5.08e-3, 1e-9);
        close(factor("in w.g."), 249.089, 1e-5);
        close(factor("psf"), 47.880_26, 1e-6);
        close(factor("psi"), 6_894.757, 1e-6);
        close(factor("plf"), 14.593_90, 1e-6);
        close(factor("kip"), 4_448.222, 1e-6);
        close(factor("lb/ft³"), 16.018_46, 1e-6);
        close(factor("perm"), 5.721_35e-11, 1e-5);
        close(factor("gal"), 3.785_412e-3, 1e-6);
        close(factor("yd³"), 0.764_554_9, 1e-6);
        close(factor("Btu/(lb·°F)"), 4_186.8, 1e-6);
        close(factor("kBtu/ft²"), 3.154_591 * 3.6e6, 1e-6);
        close(factor("pCi/L"), 37.0, 1e-9);
    }

    #[test]
    fn spellings_of_one_unit_agree() {
        for spelling in ["W/(m2·K)", "W/(m^2·K)", "W·m⁻²·K⁻¹", "W/m²/K", "W/m²K", "W/(m²*K)"] {
            close(factor(spelling), 1.0, 1e-12);
        }
        close(factor("Btu/(h·ft2·F)"), factor("Btu/(h·ft²·°F)"), 1e-12);
        close(factor("Btu/h·ft²·°F"), factor("Btu/h") * factor("ft²") * factor("Δ°F"), 1e-12);
    }

    #[test]
    fn a_unit_does_not_start_with_a_slash_and_rubbish_is_no_unit() {
        for text in ["/h", "", "inn", "ft^", "ft^9", "m)(", "((((((m))))))", "ft²²", "·m", "m·"] {
            assert_eq!(unit(text), None, "{text}");
        }
    }

    #[test]
    fn a_scale_of_temperature_is_a_point_alone_and_a_difference_inside() {
        assert!(unit("°F").is_some_and(|u| u.dimension.point));
        assert!(unit("W/°C").is_some_and(|u| !u.dimension.point));
        close(unit("°F").map_or(0.0, |u| u.to_si(-8.0)), -22.222_222_2, 1e-6);
        close(unit("°F").map_or(0.0, |u| u.of_si(20.0)), 68.0, 1e-9);
    }

    /// Round trip of every atom, there and back.
    #[test]
    fn every_unit_round_trips() {
        for (symbol, aliases, unit_) in ATOMS {
            for spelling in std::iter::once(symbol).chain(aliases.iter()) {
                let found = unit(spelling).unwrap_or_else(|| panic!("{spelling} is a unit"));
                assert_eq!(found, *unit_, "{spelling}");
                for number in [0.0, 1.0, -40.0, 12.375, 1e6] {
                    close(found.of_si(found.to_si(number)) + 1e3, number + 1e3, 1e-9);
                }
            }
        }
    }
}
