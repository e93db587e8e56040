//! Categories of finishes, read once from `categories.yaml`.

use crate::words::{did_you_mean, hyphened};
use indexmap::IndexMap;
use mateline_model::home::{Finish, FinishKind};
use mateline_sdk::Lack;
use serde::Deserialize;
use std::sync::OnceLock;

/// The file as it is embedded.
pub const TABLE: &str = include_str!("../categories.yaml");

/// A category.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Category {
    /// Which rules look at it.
    pub kind: FinishKind,
    /// Other words for the same.
    #[serde(default)]
    pub also: Vec<String>,
    /// What it lies on in a room.
    #[serde(default)]
    pub covers: Option<Cover>,
    /// Whether products of it often hold composite wood, though its kind does not say so.
    #[serde(default)]
    pub wood: bool,
}

/// What a finish lies on in a room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cover {
    /// The floor.
    Floor,
    /// The ceiling.
    Ceiling,
    /// The walls.
    Wall,
}

/// Every category, by id, in the order of its file.
pub fn categories() -> &'static IndexMap<String, Category> {
    static CATEGORIES: OnceLock<IndexMap<String, Category>> = OnceLock::new();
    CATEGORIES.get_or_init(|| read().unwrap_or_default())
}

/// Reads the embedded file. It does not change after the build, and a test holds that it can be read.
fn read() -> Result<IndexMap<String, Category>, serde_yaml::Error> {
    serde_yaml::from_str(TABLE)
}

/// The category a word stands for, with its id.
pub fn find(word: &str) -> Option<(&'static str, &'static Category)> {
    let word = hyphened(word);
    let found = categories().iter().find(|(id, category)| **id == word || category.also.contains(&word));
    found.map(|(id, category)| (id.as_str(), category))
}

/// What a finish is: as it says itself, else as its category does.
pub(crate) fn kind(path: &str, finish: &Finish) -> Result<FinishKind, Lack> {
    finish.kind.or_else(|| find(&finish.category).map(|(_, category)| category.kind)).ok_or_else(|| {
        let near = did_you_mean(&finish.category, categories().keys().map(String::as_str));
        let because =
            format!("{path} has the category '{}', which is not in the list{near}, and no kind", finish.category);
        Lack::at(because, format!("{path}.category"))
    })
}

/// Whether a finish may hold composite wood, so that it has to say of which class, or that there is none in it: by its
/// kind or category, or because it speaks of some itself. What is of no known kind may be anything.
pub(crate) fn may_hold_composite_wood(path: &str, finish: &Finish) -> Result<bool, Lack> {
    if finish.composite_wood.is_some() || finish.panel.is_some() || finish.panel_formaldehyde.is_some() {
        return Ok(true);
    }
    let by_kind = matches!(kind(path, finish)?, FinishKind::Joinery | FinishKind::Panel);
    Ok(by_kind || find(&finish.category).is_some_and(|(_, category)| category.wood))
}

/// The word for a kind, as a home writes it.
pub fn word(kind: FinishKind) -> &'static str {
    match kind {
        FinishKind::Coating => "coating",
        FinishKind::Adhesive => "adhesive",
        FinishKind::Sealant => "sealant",
        FinishKind::Flooring => "flooring",
        FinishKind::Board => "board",
        FinishKind::Joinery => "joinery",
        FinishKind::Panel => "panel",
        FinishKind::Insulation => "insulation",
        FinishKind::Pipe => "pipe",
        FinishKind::Other => "other",
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn the_file_can_be_read_and_no_word_stands_for_two_categories() {
        let categories = read().unwrap();
        assert!(categories.len() > 60);
        let mut words = BTreeSet::new();
        for (id, category) in &categories {
            for word in std::iter::once(id).chain(&category.also) {
                assert_eq!(hyphened(word), *word);
                assert!(words.insert(word.clone()), "{word} stands twice");
            }
        }
    }

    #[test]
    fn spellings_lead_to_the_words_of_the_rules() {
        let id = |word| find(word).map(|(id, _)| id);
        assert_eq!(id("Flat paint"), Some("flat"));
        assert_eq!(id("non_flat coating"), Some("nonflat"));
        assert_eq!(id("primer"), Some("primer-sealer-undercoater"));
        assert_eq!(id("stardust"), None);
    }
}
