//! Limits of a rule: values, tables, other facts, parameters; and how they are shown.

use super::compile::Compiler;
use super::format::RuleFile;
use super::limit_file::LimitFile;
use super::names::{self, RuleNames};
use super::table::Measure;
use super::{Limit, Table};
use crate::expr::{Kind, Names};
use crate::load::did_you_mean;
use mateline_model::quantity::{Dimension, Quantity, Units, parse};

impl Compiler<'_> {
    pub(super) fn limit(
        &mut self,
        field: &str,
        limit: &LimitFile,
        kind: &Kind,
        names: &RuleNames<'_>,
    ) -> Option<Limit> {
        let dimension = match kind {
            Kind::Number(dimension) => *dimension,
            other => {
                self.error(&[field], format!("{} has no greatest or least", names::kind_name(other)));
                return None;
            }
        };
        match limit {
            LimitFile::Value(text) => self.quantity(&[field], text, dimension).map(Limit::Value),
            LimitFile::Table { by, interpolate, rows } => self.table(field, (by, *interpolate, rows), dimension, names),
            LimitFile::Fact { fact, of, times } => {
                let Some(definition) = self.vocabulary.quantity(fact) else {
                    let message = self.vocabulary.unknown(fact, "quantity");
                    self.error(&[field, "fact"], message);
                    return None;
                };
                if definition.dimension() != dimension {
                    let (found, wanted) = (definition.dimension().with_article(), dimension.with_article());
                    let message = format!("{fact} is {found}, but the value is {wanted}");
                    self.error(&[field, "fact"], message);
                }
                let quantity = names.reads_as.get(fact).unwrap_or(fact).clone();
                Some(Limit::Fact { quantity, of: of.clone(), times: *times })
            }
            LimitFile::Parameter { parameter, times } => {
                let Some(found) = names.parameters.get(parameter) else {
                    let near = did_you_mean(parameter, names.parameters.keys().map(String::as_str));
                    self.error(&[field, "parameter"], format!("the pack has no parameter '{parameter}'{near}"));
                    return None;
                };
                let found = found.kind();
                if found != *kind {
                    let (found, wanted) = (names::kind_name(&found), names::kind_name(kind));
                    let message = format!("the parameter '{parameter}' is {found}, but the value is {wanted}");
                    self.error(&[field, "parameter"], message);
                }
                Some(Limit::Parameter { parameter: parameter.clone(), times: *times })
            }
        }
    }

    fn table(
        &mut self,
        field: &str,
        (by, interpolate, rows): (&str, bool, &[(String, String)]),
        dimension: Dimension,
        names: &RuleNames<'_>,
    ) -> Option<Limit> {
        let chosen_by = names.kind(by, None).unwrap_or_else(|near| {
            let near = near.first().map(|near| format!(" (did you mean '{near}'?)")).unwrap_or_default();
            self.error(&[field, "by"], format!("unknown name '{by}'{near}"));
            Kind::Unknown
        });
        let measure = match (&chosen_by, interpolate) {
            (Kind::Number(by), false) => Measure::Values(*by),
            (Kind::Number(by), true) => Measure::Interpolated(*by),
            (Kind::List(_) | Kind::Date, _) => {
                self.error(&[field, "by"], format!("{by} is {}, which chooses no row", names::kind_name(&chosen_by)));
                return None;
            }
            (Kind::Unknown, true) => return None,
            (_, true) => {
                let what = names::kind_name(&chosen_by);
                self.error(&[field, "interpolate"], format!("{by} is {what}; only numbers can be interpolated"));
                return None;
            }
            (Kind::Text(None), false) if self.vocabulary.quantity(by).is_some() => Measure::FreeWords,
            (_, false) => Measure::Words,
        };
        let mut read = Vec::new();
        for (key, text) in rows {
            if text == "none" {
                read.push((key.clone(), None));
            } else if let Some(quantity) = self.quantity(&[field, key], text, dimension) {
                read.push((key.clone(), Some(quantity)));
            }
        }
        let keys: Vec<String> = read.iter().map(|(key, _)| key.clone()).collect();
        match Table::new(by, measure, read) {
            Ok(table) => {
                let at = self.tree.span_at(&self.path(&[field]));
                Some(Limit::Table(table, at))
            }
            Err(messages) => {
                for (row, message) in messages {
                    let path = self.path(&[field, keys.get(row).map_or("", String::as_str)]);
                    let key = path.split_last().and_then(|(key, parents)| self.tree.at(parents)?.get(key));
                    let at = key.map_or_else(|| self.tree.span_at(&path), |entry| entry.key_span);
                    self.errors.push(crate::load::Diagnosis::new(at, message));
                }
                None
            }
        }
    }

    fn quantity(&mut self, field: &[&str], text: &str, dimension: Dimension) -> Option<Quantity> {
        match parse(text) {
            Ok(quantity) if quantity.dimension == dimension => Some(quantity),
            Ok(quantity) => {
                let wanted = dimension.with_article();
                let message = if quantity.dimension == Dimension::PLAIN {
                    format!("'{text}' needs a unit: the value is {wanted}")
                } else {
                    format!("'{text}' is {}, but the value is {wanted}", quantity.dimension.with_article())
                };
                self.error(field, message);
                None
            }
            Err(error) => {
                self.error(field, error.to_string());
                None
            }
        }
    }
}

/// Decimals of a plain number where the limit does not say how many.
const PLAIN_DIGITS: usize = 3;

/// How a number is shown: a share in percent where its limit is written so, a count whole, any other plain number as
/// finely as its limit is written; everything else as its quantity or dimension is.
pub(super) fn shown_units(dimension: Dimension, is_count: bool, defined: Option<Units>, rule: &RuleFile) -> Units {
    if dimension != Dimension::PLAIN {
        return defined.unwrap_or_else(|| names::usual_units(dimension));
    }
    let limits = rule.at_least.iter().chain(&rule.at_most).chain(rule.between.iter().flatten());
    let written: Vec<&str> = limits.flat_map(texts).collect();
    let in_percent = |text: &&str| text.trim_end().ends_with('%');
    if !written.is_empty() && written.iter().all(in_percent) {
        return defined.filter(|units| units.si == "%").unwrap_or(Units::PERCENT);
    }
    match defined {
        Some(units) => units,
        None if is_count => Units::plain(0),
        None => {
            let decimals = |text: &str| text.split_once('.').map_or(0, |(_, after)| after.trim().len());
            let most = written.iter().map(|text| decimals(text)).max().unwrap_or(PLAIN_DIGITS);
            Units::plain(u8::try_from(most.clamp(2, 6)).unwrap_or(3))
        }
    }
}

/// The values a limit is written with.
fn texts(limit: &LimitFile) -> Vec<&str> {
    match limit {
        LimitFile::Value(text) => vec![text],
        LimitFile::Table { rows, .. } => {
            rows.iter().map(|(_, text)| text.as_str()).filter(|text| *text != "none").collect()
        }
        LimitFile::Fact { .. } | LimitFile::Parameter { .. } => Vec::new(),
    }
}
