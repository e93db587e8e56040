//! What is asked of a home where not everything is.

use std::collections::BTreeSet;

/// Some rules, with the plugins whose facts they look at.
#[derive(Clone, Debug)]
pub struct Only {
    /// Full names of the rules.
    pub rules: BTreeSet<String>,
    /// The plugins' names, all that those read among them.
    pub plugins: BTreeSet<String>,
}
