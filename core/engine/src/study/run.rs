//! Running variants: each is loaded with its edits, and only the plugins are run whose facts are asked for.

use super::plan::{HomeOf, Plan, Shard, Variant};
use crate::Session;
use crate::load::Changes;
use mateline_model::{Facts, Severity, StudyRow as Row, Value, ValueKind, Verdict};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

/// Variants that are run before their rows are handed over.
const AT_ONCE: usize = 64;

impl Plan<'_> {
    /// The numbers of the variants that a shard runs.
    pub fn numbers(&self, shard: Shard) -> impl Iterator<Item = u64> {
        let end = u64::try_from(self.count()).unwrap_or(u64::MAX);
        (0..end).skip(shard.number.saturating_sub(1)).step_by(shard.of.max(1))
    }

    /// Runs variants and hands over their rows in order, until that fails.
    ///
    /// # Errors
    /// What the taker says.
    pub fn run<E>(
        &self,
        numbers: impl Iterator<Item = u64>,
        mut take: impl FnMut(Row) -> Result<(), E>,
    ) -> Result<(), E> {
        let sessions = Sessions { plan: self, idle: Mutex::new(BTreeMap::new()) };
        let mut numbers = numbers.peekable();
        while numbers.peek().is_some() {
            let now: Vec<u64> = numbers.by_ref().take(AT_ONCE).collect();
            let rows: Vec<Row> = now.par_iter().map(|number| sessions.row(*number)).collect();
            rows.into_iter().try_for_each(&mut take)?;
        }
        Ok(())
    }
}

/// Sessions that are not at work, by home: a thread takes one or opens another.
struct Sessions<'a> {
    plan: &'a Plan<'a>,
    idle: Mutex<BTreeMap<usize, Vec<Session<'a>>>>,
}

impl Sessions<'_> {
    fn row(&self, number: u64) -> Row {
        let variant = self.plan.variant(u128::from(number));
        let home = self.plan.homes.get(variant.home);
        let idle = || self.idle.lock().unwrap_or_else(PoisonError::into_inner);
        let taken = idle().get_mut(&variant.home).and_then(Vec::pop);
        let session = taken.unwrap_or_else(|| Session::new(self.plan.engine));
        let row = home.map(|home| self.plan.row(&session, home, number, &variant));
        idle().entry(variant.home).or_default().push(session);
        row.unwrap_or_else(|| Row { variant: number, ..Row::default() })
    }
}

impl Plan<'_> {
    fn row(&self, session: &Session<'_>, home: &HomeOf, number: u64, variant: &Variant) -> Row {
        let edits = home.edits(&variant.steps);
        let climate = variant.climate.and_then(|climate| self.climates.get(climate));
        let site = climate.map(|(_, site)| &**site);
        let found = session.asked(&home.path, Changes { values: &edits, site }, &self.options, home.only.as_ref());
        let texts = std::iter::zip(&self.varied, &variant.steps);
        let texts = texts.map(|(varied, step)| Some(varied.lever.steps.get((*step)?)?.to_string()));
        let mut row = Row {
            home: home.name.clone(),
            climate: climate.map(|(name, _)| name.clone()),
            set: texts.collect(),
            cost: home.price(&variant.steps),
            variant: number,
            ..Row::default()
        };
        match found {
            Ok((facts, verdicts)) => {
                row.values = self.values(&facts);
                row.open = self.packs.iter().map(|pack| open(pack, &verdicts)).collect();
            }
            Err(bad) => {
                let why = bad.problems.first().map_or_else(String::new, |problem| problem.message.clone());
                row.fault = Some(why);
                row.values = self.columns.iter().map(|_| serde_json::Value::Null).collect();
            }
        }
        row
    }

    fn values(&self, facts: &Facts) -> Vec<serde_json::Value> {
        let value = |column: &super::Column| match &facts.get(&column.subject, &column.quantity)?.value {
            Value::Number(quantity) if column.kind == ValueKind::Number => {
                let (unit, _) = column.units.of(self.units);
                let shown = mateline_model::quantity::unit(unit).map_or(quantity.si, |unit| unit.of_si(quantity.si));
                serde_json::Number::from_f64(shown).map(serde_json::Value::Number)
            }
            Value::Number(quantity) => serde_json::Number::from_f64(quantity.si).map(serde_json::Value::Number),
            Value::Text(text) => Some(serde_json::Value::String(text.clone())),
            Value::Flag(flag) => Some(serde_json::Value::Bool(*flag)),
        };
        self.columns.iter().map(|column| value(column).unwrap_or_default()).collect()
    }
}

/// The open requirements and the open advice of a pack.
fn open(pack: &str, verdicts: &[Verdict]) -> (usize, usize) {
    let open = verdicts.iter().filter(|verdict| verdict.pack == pack && verdict.is_open());
    let (advice, required): (Vec<_>, Vec<_>) = open.partition(|verdict| verdict.severity == Severity::Advice);
    (required.len(), advice.len())
}
