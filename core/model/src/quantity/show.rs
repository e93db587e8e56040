//! Quantity to text: the unit, the system and the number of decimals are chosen where a quantity is defined.

use super::{Dimension, Quantity, unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Which units a person reads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum UnitSystem {
    /// Inch-pound units, as North American factories and codes write them.
    #[default]
    Ip,
    /// International System.
    Si,
}

/// How values of one quantity are shown: a unit and a number of decimals in each system.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Units {
    /// SI unit.
    pub si: Cow<'static, str>,
    /// Inch-pound unit.
    pub ip: Cow<'static, str>,
    /// Decimals in SI.
    pub si_digits: u8,
    /// Decimals in inch-pound units.
    pub ip_digits: u8,
}

impl Units {
    /// Units known when the program is built.
    pub const fn new(si: &'static str, si_digits: u8, ip: &'static str, ip_digits: u8) -> Units {
        Units { si: Cow::Borrowed(si), ip: Cow::Borrowed(ip), si_digits, ip_digits }
    }

    /// A plain number, ratio or count.
    pub const fn plain(digits: u8) -> Units {
        Units::new("", digits, "", digits)
    }

    /// The unit and decimals in one system.
    pub fn of(&self, system: UnitSystem) -> (&str, u8) {
        match system {
            UnitSystem::Si => (&self.si, self.si_digits),
            UnitSystem::Ip => (&self.ip, self.ip_digits),
        }
    }

    /// What the unit measures; `None` when the unit is unknown.
    pub fn dimension(&self) -> Option<Dimension> {
        if self.si.is_empty() { Some(Dimension::PLAIN) } else { unit(&self.si).map(|unit| unit.dimension) }
    }

    /// A value with its unit: `0.045 Btu/(h·ft²·°F)`.
    pub fn show(&self, quantity: Quantity, system: UnitSystem) -> String {
        self.show_with(quantity, system, 0)
    }

    /// The same with more decimals than usual, for two values that would otherwise print alike.
    pub fn show_with(&self, quantity: Quantity, system: UnitSystem, more_digits: u8) -> String {
        let (name, digits) = self.of(system);
        let value =
            if name.is_empty() { quantity.si } else { unit(name).map_or(f64::NAN, |unit| unit.of_si(quantity.si)) };
        let text = number(value, digits.saturating_add(more_digits));
        if let Some(per) = name.strip_prefix('$') {
            let (sign, amount) = text.strip_prefix('-').map_or(("", text.as_str()), |amount| ("-", amount));
            return format!("{sign}${}{per}", in_thousands(amount));
        }
        match name {
            "" => text,
            "%" | "°" => format!("{text}{}{name}", if name == "%" { " " } else { "" }),
            _ => format!("{text} {name}"),
        }
    }

    /// Two values that differ, shown with as many decimals as it takes to see that they do (at most six more).
    pub fn show_pair(&self, a: Quantity, b: Quantity, system: UnitSystem) -> (String, String) {
        let mut more = 0;
        loop {
            let pair = (self.show_with(a, system, more), self.show_with(b, system, more));
            if pair.0 != pair.1 || a.si == b.si || more >= 6 {
                return pair;
            }
            more += 1;
        }
    }
}

/// A number with fixed decimals, never `-0`.
pub fn number(value: f64, digits: u8) -> String {
    let text = format!("{value:.*}", usize::from(digits));
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        _ => text,
    }
}

/// The whole part of an amount in groups of three digits: `106,835.50`.
fn in_thousands(amount: &str) -> String {
    let (whole, rest) = amount.split_at(amount.find('.').unwrap_or(amount.len()));
    let mut text = String::new();
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index) % 3 == 0 {
            text.push(',');
        }
        text.push(digit);
    }
    text + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_show_in_both_systems() {
        let u = Quantity::new(0.255_521_85, Dimension::TRANSMITTANCE);
        assert_eq!(Units::TRANSMITTANCE.show(u, UnitSystem::Ip), "0.0450 Btu/(h·ft²·°F)");
        assert_eq!(Units::TRANSMITTANCE.show(u, UnitSystem::Si), "0.256 W/(m²·K)");
        assert_eq!(Units::PERCENT.show(Quantity::plain(0.25), UnitSystem::Si), "25.0 %");
        assert_eq!(number(-0.000_1, 2), "0.00");
    }

    #[test]
    fn money_is_written_as_people_write_it() {
        let show = |si| Units::MONEY.show(Quantity::new(si, Dimension::MONEY), UnitSystem::Ip);
        assert_eq!((show(106_835.2), show(950.0)), ("$106,835".to_owned(), "$950".to_owned()));
        assert_eq!((show(-1_200.0), show(1_000_000.0)), ("-$1,200".to_owned(), "$1,000,000".to_owned()));
        let exact = Units::new("$", 2, "$", 2);
        assert_eq!(exact.show(Quantity::new(1_234.5, Dimension::MONEY), UnitSystem::Ip), "$1,234.50");
    }

    #[test]
    fn values_that_differ_do_not_print_alike() {
        let limit = Quantity::new(0.045 * 5.678_263_341, Dimension::TRANSMITTANCE);
        let value = Quantity::new(0.045_000_4 * 5.678_263_341, Dimension::TRANSMITTANCE);
        let (a, b) = Units::TRANSMITTANCE.show_pair(value, limit, UnitSystem::Ip);
        assert_ne!(a, b);
        assert!(a.starts_with("0.045000"), "{a}");
    }
}
