//! What one plugin found, as it is put together with what the others found and kept from check to check.

use crate::digest::{Digest, Digester};
use mateline_model::{Fact, Figure, Missing, Origin, Pointer, Problem, Value};
use mateline_sdk::Findings;
use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

/// What one plugin found. Nothing in it says where anything stands in a file: places are looked up when a report is put
/// together, so that it stays good when lines move.
#[derive(Debug, Default)]
pub struct Found {
    /// Its facts.
    pub facts: Vec<Arc<Fact>>,
    /// The same without the calculations behind them, as other plugins are given them.
    pub bare: Vec<Arc<Fact>>,
    /// Facts that could not be found.
    pub missing: Vec<Missing>,
    /// Things in the home that cannot be.
    pub problems: Vec<Problem>,
    /// Figures.
    pub figures: Vec<Figure>,
    /// What has to be said aloud.
    pub remarks: Vec<Problem>,
    /// Every path of the home that a fact points to or was computed from.
    pub paths: BTreeSet<String>,
    digest: OnceLock<Digest>,
}

impl From<Findings> for Found {
    fn from(findings: Findings) -> Found {
        let Findings { facts, missing, problems, figures, remarks } = findings;
        Found {
            bare: facts.iter().map(|fact| Arc::new(fact.bare())).collect(),
            paths: paths(&facts),
            facts: facts.into_iter().map(Arc::new).collect(),
            missing,
            problems,
            figures,
            remarks,
            digest: OnceLock::new(),
        }
    }
}

impl Found {
    /// Names all that other plugins and rules can see of it: its facts, and why others are missing.
    pub fn digest(&self) -> Digest {
        *self.digest.get_or_init(|| {
            let mut digest = Digester::default();
            for fact in &self.bare {
                digest.text(fact.subject.as_str());
                digest.text(&fact.quantity);
                // A number's dimension is that of its quantity.
                match &fact.value {
                    Value::Number(number) => digest.number(number.si),
                    Value::Text(text) => digest.text(text),
                    Value::Flag(flag) => digest.mark(u8::from(*flag)),
                }
                pointer(&mut digest, fact.at.as_ref());
            }
            for missing in &self.missing {
                digest.text(missing.subject.as_str());
                digest.text(&missing.quantity);
                digest.text(&missing.because);
                pointer(&mut digest, missing.at.as_ref());
            }
            digest.finish()
        })
    }
}

fn pointer(digest: &mut Digester, pointer: Option<&Pointer>) {
    digest.mark(u8::from(pointer.is_some()));
    if let Some(Pointer { path, note }) = pointer {
        digest.text(path);
        digest.mark(u8::from(note.is_some()));
        digest.text(note.as_deref().unwrap_or_default());
    }
}

/// Where facts point to, and what they were computed from.
fn paths(facts: &[Fact]) -> BTreeSet<String> {
    let mut paths: BTreeSet<&str> = BTreeSet::new();
    for fact in facts {
        paths.extend(fact.at.as_ref().map(|pointer| pointer.path.as_str()));
        let terms = fact.basis.steps.iter().flat_map(|step| step.terms.iter().chain(&step.result));
        paths.extend(
            terms.filter_map(|term| if let Origin::Given(path) = &term.origin { Some(path.as_str()) } else { None }),
        );
    }
    paths.into_iter().map(str::to_owned).collect()
}
