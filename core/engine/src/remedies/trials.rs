//! Trying changes: the home checked with other values, whole or only what some rules look at.

use super::turned::Turned;
use crate::check::Checked;
use crate::load::{BadInput, Changes, Edit, Loaded};
use crate::only::Only;
use crate::{Engine, Options, Session};
use mateline_model::{Outcome, Report, Verdict};
use std::path::Path;

/// A home that changes are tried on.
pub struct Trials<'a> {
    session: Session<'a>,
    home: &'a Path,
    options: Options,
    loaded: Loaded,
    base: Checked,
}

/// What a trial says of one verdict.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Said {
    /// Whether it is met.
    pub is_met: bool,
    /// How far the value is on the right side of the limit, in SI; negative when short, none where that is no number.
    pub margin: Option<f64>,
}

impl<'a> Trials<'a> {
    /// Checks the home as it stands.
    ///
    /// # Errors
    /// Every problem of the input.
    pub fn new(engine: &'a Engine, home: &'a Path, options: Options) -> Result<Trials<'a>, BadInput> {
        let session = Session::new(engine);
        let base = session.check_whole(home, &options)?;
        let loaded = engine.load(home)?;
        Ok(Trials { session, home, options, loaded, base })
    }

    /// The home as it stands.
    pub fn base(&self) -> &Report {
        &self.base.report
    }

    /// The tree and the files that the home was read from.
    pub fn loaded(&self) -> &Loaded {
        &self.loaded
    }

    /// The home with changes, checked as a whole; none where no such home can be.
    pub fn whole(&self, edits: &[Edit]) -> Option<Report> {
        self.session.check_edited(self.home, edits, &self.options).ok()
    }

    /// What has to run and be judged for some rules: they, the rules that make up for them, and the plugins of every fact
    /// that they name or have looked at. None where plugins of others are at work.
    pub fn only(&self, rules: impl IntoIterator<Item = String>) -> Option<Only> {
        self.only_with(rules, [])
    }

    /// The same with more plugins.
    pub fn only_with(
        &self,
        rules: impl IntoIterator<Item = String>,
        plugins: impl IntoIterator<Item = String>,
    ) -> Option<Only> {
        let (rules, plugins) = (rules.into_iter().collect(), plugins.into_iter().collect());
        self.base.report.home.plugins.is_empty().then(|| self.session.only(&self.base.packs, rules, plugins))
    }

    /// Verdicts on the home with changes: of some rules, or all.
    pub fn verdicts(&self, edits: &[Edit], only: Option<&Only>) -> Option<Vec<Verdict>> {
        match only {
            Some(_) => {
                let changes = Changes { values: edits, site: None };
                self.session.asked(self.home, changes, &self.options, only).ok().map(|(_, verdicts)| verdicts)
            }
            None => self.whole(edits).map(|report| report.verdicts),
        }
    }

    /// What the home with changes says of a verdict; none where no such home can be.
    pub fn said(&self, edits: &[Edit], only: Option<&Only>, of: &Turned) -> Option<Said> {
        let verdicts = self.verdicts(edits, only)?;
        verdicts.iter().find(|verdict| of.is_of(verdict)).map(Said::of)
    }
}

impl Said {
    /// What a verdict says.
    pub fn of(verdict: &Verdict) -> Said {
        let margin = verdict.margin.as_ref().and_then(mateline_model::Value::number).map(|margin| margin.si);
        Said { is_met: verdict.outcome == Outcome::Met, margin }
    }
}
