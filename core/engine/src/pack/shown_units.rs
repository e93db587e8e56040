//! How a rule's value and its limit are shown.

use super::format::RuleFile;
use super::limit_file::LimitFile;
use mateline_model::quantity::{Dimension, Units, unit};

/// Decimals of a plain number where the limit does not say how many.
const PLAIN_DIGITS: usize = 3;

/// Lengths whose limit is written in inches.
const INCHES: Units = Units::new("mm", 0, "in", 2);

/// How a number is shown: a share in percent where its limit is written so, a count whole, any other plain number as
/// finely as its limit is written; a length in inches where its limit is, and what no plugin defines in any unit of its limit; everything else as its
/// quantity or dimension is.
pub(super) fn shown_units(dimension: Dimension, is_count: bool, defined: Option<Units>, rule: &RuleFile) -> Units {
    let limits = rule.at_least.iter().chain(&rule.at_most).chain(rule.between.iter().flatten());
    let written: Vec<&str> = limits.flat_map(texts).collect();
    let in_inches = !written.is_empty() && written.iter().all(|text| text.trim_end().ends_with(" in"));
    if defined.is_none() && dimension == Dimension::LENGTH && in_inches {
        return INCHES;
    }
    if dimension != Dimension::PLAIN {
        return defined.unwrap_or_else(|| as_written(dimension, &written).unwrap_or_else(|| Units::usual(dimension)));
    }
    let in_percent = |text: &&str| text.trim_end().ends_with('%');
    if !written.is_empty() && written.iter().all(in_percent) {
        return defined.filter(|units| units.si == "%").unwrap_or(Units::PERCENT);
    }
    match defined {
        Some(units) => units,
        None if is_count => Units::plain(0),
        None => {
            let most = written.iter().map(|text| decimals(text)).max().unwrap_or(PLAIN_DIGITS);
            Units::plain(u8::try_from(most.clamp(2, 6)).unwrap_or(3))
        }
    }
}

/// The unit in which every limit is written, where that is none of those in which such a value is usually shown: what is
/// a power for each flow measures what a pressure does.
fn as_written(dimension: Dimension, written: &[&str]) -> Option<Units> {
    let unit_of = |text: &str| text.trim().split_once(' ').map(|(_, unit)| unit.trim().to_owned());
    let own = unit_of(written.first()?)?;
    let usual = Units::usual(dimension);
    let is_one = unit(&own).is_some_and(|unit| unit.dimension == dimension);
    let is_all = written.iter().all(|text| unit_of(text).as_ref() == Some(&own));
    if !is_one || !is_all || own == usual.si || own == usual.ip {
        return None;
    }
    let digits = written.iter().map(|text| decimals(text)).max().unwrap_or(0);
    let digits = u8::try_from(digits).unwrap_or(0);
    Some(Units { si: own.clone().into(), ip: own.into(), si_digits: digits, ip_digits: digits })
}

/// Decimals that a number is written with.
fn decimals(text: &str) -> usize {
    text.split_once('.').map_or(0, |(_, after)| after.chars().take_while(char::is_ascii_digit).count())
}

/// The values a limit is written with.
fn texts(limit: &LimitFile) -> Vec<&str> {
    match limit {
        LimitFile::Value(text) => vec![text],
        LimitFile::Table { rows, .. } => {
            rows.iter().map(|(_, text)| text.as_str()).filter(|text| *text != "none").collect()
        }
        LimitFile::Fact { .. } | LimitFile::Parameter { .. } | LimitFile::Expression { .. } => Vec::new(),
    }
}
