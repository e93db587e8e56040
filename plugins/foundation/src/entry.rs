//! A result on its way to becoming a fact: of the home, of a part of it, or of an alternative.

use mateline_model::quantity::Quantity;
use mateline_model::{Basis, Pointer, QuantityDef, Subject, Value};
use mateline_sdk::{Findings, Lack};

/// A number with its calculation, or why there is none.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// What it is.
    pub definition: QuantityDef,
    /// Its SI value and calculation.
    pub found: Result<(f64, Basis), Lack>,
}

/// Results in the order they came about.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entries(Vec<Entry>);

impl Entries {
    /// Adds a result.
    pub fn add(&mut self, definition: QuantityDef, value: f64, basis: Basis) {
        self.0.push(Entry { definition, found: Ok((value, basis)) });
    }

    /// Adds results that cannot be found.
    pub fn lack(&mut self, definitions: &[&QuantityDef], lack: &Lack) {
        for definition in definitions {
            self.0.push(Entry { definition: (*definition).clone(), found: Err(lack.clone()) });
        }
    }

    /// The value of a quantity, or why there is none.
    ///
    /// # Errors
    /// Why there is none.
    pub fn value(&self, definition: &QuantityDef) -> Result<f64, Lack> {
        let entry = self.0.iter().find(|entry| entry.definition.name == definition.name);
        match entry.map(|entry| &entry.found) {
            Some(Ok((value, _))) => Ok(*value),
            Some(Err(lack)) => Err(lack.clone()),
            None => Err(Lack::at(format!("{} was not computed", definition.name), "foundation")),
        }
    }

    /// Adds the results of another list.
    pub fn extend(&mut self, others: Entries) {
        self.0.extend(others.0);
    }

    /// All results.
    pub fn iter(&self) -> impl Iterator<Item = &Entry> {
        self.0.iter()
    }

    /// Writes every result as a fact of a subject that points at a place.
    pub fn write(self, subject: &Subject, at: &str, findings: &mut Findings) {
        for Entry { definition, found } in self.0 {
            match found {
                Ok((value, basis)) => {
                    let value = Value::Number(Quantity::new(value, definition.dimension()));
                    findings.fact_at(subject, &definition, value, basis, Pointer::new(at));
                }
                Err(lack) => lack.write(subject, &[&definition], findings),
            }
        }
    }
}
