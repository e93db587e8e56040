//! What changed between two revisions: in the description, in the facts and in the verdicts.

use crate::fact::Value;
use crate::home::Date;
use crate::quantity::{Dimension, Quantity, UnitSystem, Units};
use crate::report::Remark;
use crate::subject::Subject;
use crate::verdict::{Outcome, Place, Severity};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Two revisions of a home, side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The earlier one.
    pub old: Side,
    /// The later one.
    pub new: Side,
    /// The units it is shown in.
    pub units: UnitSystem,
    /// What was edited, by element in the order of the later file.
    pub edits: Vec<Edit>,
    /// Facts that moved, by subject and quantity.
    pub moved: Vec<Moved>,
    /// Verdicts that turned, in the order of the later report.
    pub turned: Vec<Turned>,
    /// Verdicts that were short and are further from their limit now.
    pub shorter: Vec<Shorter>,
    /// Rules that came, went, or ask for something else.
    pub rules: Vec<RuleChange>,
    /// How many required verdicts are short or unproven, where rules changed.
    pub corners: Option<Corners>,
    /// Margins that shrank below the threshold.
    pub thin: Vec<Thin>,
    /// The threshold, as a share of the limit.
    pub threshold: f64,
    /// Records that ended between the two dates.
    pub ended: Vec<Ended>,
    /// Remarks on the later run that were not made on the earlier one.
    pub remarks: Vec<Remark>,
    /// Plugins that failed; what is said above does not hold for their facts.
    pub failures: Vec<PluginFailure>,
    /// What fails a check of the later revision: required verdicts that are short or unproven, remarks that fail it.
    pub failing: usize,
}

impl Comparison {
    /// Whether a required verdict that was not short or unproven is so now, or one that was short is further from its
    /// limit.
    pub fn got_worse(&self) -> bool {
        let is_required = |shorter: &Shorter| shorter.severity == Severity::Required;
        self.turned.iter().any(Turned::is_worse) || self.shorter.iter().any(is_required)
    }

    /// Whether the two say the same: no edit, no fact moved, no rule changed, no verdict turned.
    pub fn is_quiet(&self) -> bool {
        let nothing_turned = self.turned.is_empty() && self.shorter.is_empty() && self.rules.is_empty();
        self.edits.is_empty() && self.moved.is_empty() && nothing_turned && self.ended.is_empty()
    }
}

/// One side of a comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// The project's name.
    pub home: String,
    /// The revision.
    pub revision: String,
    /// Its date.
    pub date: Date,
    /// What the revision says of itself.
    pub note: Option<String>,
}

/// A plugin that failed on one of the sides.
#[derive(Clone, Debug, PartialEq)]
pub struct PluginFailure {
    /// The plugin.
    pub plugin: String,
    /// The revision it failed on.
    pub revision: String,
    /// Whether that is the later one.
    pub on_later: bool,
    /// The error.
    pub message: String,
}

/// One edit of the description.
#[derive(Clone, Debug, PartialEq)]
pub struct Edit {
    /// The element: `assemblies.wall`, or a section of its own such as `site`.
    pub element: String,
    /// The field within it: `layers.3.thickness`; empty when the whole element came or went. Items of lists are counted
    /// from nought in the later file, those that went in the earlier one.
    pub field: String,
    /// The word by which the item of a list is known: `eps-type-ii`.
    pub item: Option<String>,
    /// The earlier text.
    pub old: Option<String>,
    /// The later text.
    pub new: Option<String>,
    /// Where it stands in the later file; for what went, nowhere.
    pub at: Option<Place>,
}

/// A fact that moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// What it is about.
    pub subject: Subject,
    /// The quantity's full name.
    pub quantity: String,
    /// What it is, in a few words.
    pub label: String,
    /// How it is shown.
    pub units: Units,
    /// The earlier value.
    pub old: Option<Value>,
    /// The later value.
    pub new: Option<Value>,
}

impl Moved {
    /// Later less earlier, where both are numbers of one kind; of temperatures on a scale a difference.
    pub fn difference(&self) -> Option<Quantity> {
        let (old, new) = self.numbers()?;
        let dimension = match new.dimension {
            Dimension::TEMPERATURE => Dimension::TEMPERATURE_DIFFERENCE,
            other => other,
        };
        Some(Quantity::new(new.si - old.si, dimension))
    }

    /// The difference as a share of the earlier value; `None` from nought and for temperatures on a scale, whose nought
    /// is only a convention.
    pub fn change(&self) -> Option<f64> {
        let (old, new) = self.numbers()?;
        let has_nought = new.dimension != Dimension::TEMPERATURE && old.si != 0.0;
        has_nought.then(|| (new.si - old.si) / old.si.abs()).filter(|share| share.is_finite())
    }

    fn numbers(&self) -> Option<(Quantity, Quantity)> {
        let (old, new) = (self.old.as_ref()?.number()?, self.new.as_ref()?.number()?);
        (old.dimension == new.dimension).then_some((old, new))
    }
}

/// A verdict that turned.
#[derive(Clone, Debug, PartialEq)]
pub struct Turned {
    /// The rule's full name.
    pub rule: String,
    /// The rule's title.
    pub title: String,
    /// What is judged.
    pub subject: Subject,
    /// Whether it fails a run.
    pub severity: Severity,
    /// The earlier outcome; `None` when there was no such verdict.
    pub old: Option<Outcome>,
    /// The later outcome; `None` when there is none any more.
    pub new: Option<Outcome>,
    /// What turned it, where rules changed.
    pub by: Option<Cause>,
    /// What the later verdict says; of one that is gone, the earlier.
    pub message: String,
    /// Where in the later file.
    pub at: Option<Place>,
}

/// How many required verdicts are short or unproven, of each of the two homes by each of the two sets of rules. A home's
/// facts are those of its own rules' settings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Corners {
    /// The earlier home by the earlier rules.
    pub old_by_old: usize,
    /// The earlier home by the later rules.
    pub old_by_new: usize,
    /// The later home by the earlier rules.
    pub new_by_old: usize,
    /// The later home by the later rules.
    pub new_by_new: usize,
}

/// What turned a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// The design: by the earlier rules it would have turned too.
    Design,
    /// The rules: by the earlier ones it would not have turned.
    Rules,
    /// Both: by the earlier rules it would be something else again.
    Both,
}

/// A rule that changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleChange {
    /// The rule's full name.
    pub rule: String,
    /// The rule's title.
    pub title: String,
    /// How.
    pub turn: RuleTurn,
    /// What it asked.
    pub old: Option<String>,
    /// What it asks now.
    pub new: Option<String>,
    /// What is looser, or why that cannot be told.
    pub why: Option<String>,
}

/// How a rule changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RuleTurn {
    /// It was not there.
    Added,
    /// It is not there any more.
    Dropped,
    /// What meets it now met it before.
    Stricter,
    /// Something meets it that did not.
    Looser,
    /// It asks for something else; whether for less cannot be told.
    Changed,
}

/// A verdict that was short and is further from its limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Shorter {
    /// The rule's full name.
    pub rule: String,
    /// What is judged.
    pub subject: Subject,
    /// Whether it fails a run.
    pub severity: Severity,
    /// What the later verdict says.
    pub message: String,
    /// How far from the limit it was.
    pub old: Quantity,
    /// How far from the limit it is.
    pub new: Quantity,
    /// How these are shown.
    pub units: Units,
    /// Where in the later file.
    pub at: Option<Place>,
}

/// Which way a verdict turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Direction {
    /// It is short or unproven and was neither.
    Worse,
    /// It was short or unproven and is neither.
    Better,
    /// It turned, and both before and after it is open, or both before and after it is not.
    Neither,
}

impl Turned {
    /// Which way it turned, advice included. What is waived is no better than what is open, and a record or measurement
    /// that was withdrawn took its shortfall along without mending it.
    pub fn direction(&self) -> Direction {
        let weight = |outcome: Option<Outcome>| match outcome {
            Some(Outcome::Short | Outcome::Unproven) => 2,
            Some(Outcome::Waived) => 1,
            Some(Outcome::Met | Outcome::NotApplicable) | None => 0,
        };
        let is_withdrawn = self.new.is_none() && matches!(self.subject.section(), "evidence" | "measurements");
        match (weight(self.old), weight(self.new)) {
            (old, new) if new > old => Direction::Worse,
            (1 | 2, 0) if !is_withdrawn => Direction::Better,
            _ => Direction::Neither,
        }
    }

    /// Whether a required verdict is short or unproven that was neither before.
    pub fn is_worse(&self) -> bool {
        let is_open = matches!(self.new, Some(Outcome::Short | Outcome::Unproven));
        self.severity == Severity::Required && self.direction() == Direction::Worse && is_open
    }
}

/// A margin that shrank below the threshold while the requirement is still met.
#[derive(Clone, Debug, PartialEq)]
pub struct Thin {
    /// The rule's full name.
    pub rule: String,
    /// What is judged.
    pub subject: Subject,
    /// What the later verdict says.
    pub message: String,
    /// The earlier margin, as a share of the limit.
    pub old: f64,
    /// The later margin, as a share of the limit.
    pub new: f64,
}

/// A record that ended between the two dates.
#[derive(Clone, Debug, PartialEq)]
pub struct Ended {
    /// The record's id.
    pub record: String,
    /// When it ended.
    pub expired: Date,
    /// The elements it backs in the later revision: `finishes.living-floor`.
    pub backs: Vec<String>,
}
