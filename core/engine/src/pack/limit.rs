//! Limits of a rule: values, tables, other facts, parameters, expressions.

use super::compile::Compiler;
use super::limit_file::LimitFile;
use super::names::{self, RuleNames};
use super::table::Measure;
use super::{Limit, Table};
use crate::expr::{Kind, Names, never};
use crate::load::did_you_mean;
use mateline_model::quantity::{Dimension, Quantity, parse};

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
            LimitFile::Expression { expression } => {
                let (read, found) = self.expression(&[field, "expression"], expression, names)?;
                if found != *kind {
                    let (found, wanted) = (names::kind_name(&found), names::kind_name(kind));
                    self.error(&[field, "expression"], format!("the expression is {found}, but the value is {wanted}"));
                }
                Some(Limit::Expression(read))
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
            (Kind::Text(_), false) if self.vocabulary.quantity(by).is_some() => Measure::FreeWords,
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
        let table = Table::new(by, measure, read).and_then(|table| match &chosen_by {
            Kind::Text(Some(words)) => {
                let idle = table.idle(words).map(|(row, key)| (row, never(key, by, words)));
                let idle: Vec<(usize, String)> = idle.collect();
                if idle.is_empty() { Ok(table) } else { Err(idle) }
            }
            _ => Ok(table),
        });
        match table {
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

    pub fn quantity(&mut self, field: &[&str], text: &str, dimension: Dimension) -> Option<Quantity> {
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
