//! The files that the records of a home name: certificates, test reports, labels and photographs.

use mateline_model::Report;
use std::collections::BTreeMap;

/// The files by the names the home gives them; for one that cannot be read, why.
#[derive(Clone, Debug, Default)]
pub struct Attached {
    files: BTreeMap<String, Result<Vec<u8>, String>>,
}

impl Attached {
    /// Reads each file that a record names, once.
    pub fn read(report: &Report, read: impl Fn(&str) -> Result<Vec<u8>, String>) -> Attached {
        let names = report.home.evidence.values().filter_map(|record| record.file.as_ref());
        let files = names.map(|name| (name.to_string(), read(name)));
        Attached { files: files.collect() }
    }

    /// The file of a name; none where it was not asked for.
    pub(crate) fn get(&self, name: &str) -> Option<Result<&[u8], &str>> {
        self.files.get(name).map(|file| file.as_deref().map_err(String::as_str))
    }

    /// Files that could be read.
    pub(crate) fn found(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.files.iter().filter_map(|(name, file)| Some((name.as_str(), file.as_deref().ok()?)))
    }

    /// Why the others could not.
    pub(crate) fn missing(&self) -> impl Iterator<Item = &str> {
        self.files.values().filter_map(|file| file.as_ref().err().map(String::as_str))
    }
}
