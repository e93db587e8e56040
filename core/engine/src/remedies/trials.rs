//! Trying changes: the home checked with other values, whole or only what some rules look at.

use super::levers::Levers;
use super::turned::Turned;
use crate::check::Checked;
use crate::load::{BadInput, Changes, Edit, Loaded};
use crate::only::Only;
use crate::pack::Pack;
use crate::{Engine, Options, Session};
use mateline_model::{Outcome, Report, Verdict};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::Path;
use std::sync::Arc;

/// A home that changes are tried on.
pub struct Trials<'a> {
    engine: &'a Engine,
    session: Session<'a>,
    home: &'a Path,
    options: Options,
    loaded: Loaded,
    base: Checked,
    /// What is open on it.
    open: BTreeSet<Turned>,
    /// What was said, by the changes.
    known: RefCell<HashMap<Vec<Edit>, Vec<Known>>>,
}

/// How changes are tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// With the plugins as they are.
    Fully,
    /// As the engine tries them: nearly the same, sooner.
    Roughly,
}

/// What one trial said of all that was open and that it judged; none where no such home can be.
struct Known {
    how: How,
    /// What was judged; all where it does not say.
    only: Option<Only>,
    said: Option<BTreeMap<Turned, Said>>,
}

impl Known {
    fn answers(&self, of: &Turned, how: How, only: Option<&Only>) -> bool {
        let is_judged = match (&self.only, only) {
            (None, _) => true,
            (Some(judged), Some(_)) => judged.rules.contains(&of.rule),
            (Some(_), None) => false,
        };
        is_judged && (self.how == how || self.how == How::Fully)
    }
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
        let open = Turned::open(&base.report);
        Ok(Trials { engine, session, home, options, loaded, base, open, known: RefCell::default() })
    }

    /// The home as it stands.
    pub fn base(&self) -> &Report {
        &self.base.report
    }

    /// The packs that judge it.
    pub fn packs(&self) -> &[Arc<Pack>] {
        &self.base.packs
    }

    /// The tree and the files that the home was read from.
    pub fn loaded(&self) -> &Loaded {
        &self.loaded
    }

    /// Levers as they are on the home.
    ///
    /// # Errors
    /// Every problem with what the firm or the home says of them.
    pub fn levers(&self, levers: &Levers) -> Result<Levers, BadInput> {
        let Loaded { home, tree, project, .. } = &self.loaded;
        let levers = levers.for_home(home, tree, &self.base.report.quantities);
        levers.map_err(|problems| BadInput::new(problems, project.files().to_vec()))
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

    /// Whether there is a sooner way to find what is asked for.
    pub fn can_be_rough(&self, only: &Only) -> bool {
        self.engine.tries(only)
    }

    /// What the home with changes says of a verdict that is open; none where no such home can be. What has been asked
    /// before is not asked again.
    pub fn said(&self, edits: &[Edit], only: Option<&Only>, how: How, of: &Turned) -> Option<Said> {
        if let Some(known) =
            self.known.borrow().get(edits).and_then(|all| all.iter().find(|k| k.answers(of, how, only)))
        {
            return known.said.as_ref()?.get(of).copied();
        }
        let verdicts = match (how, only) {
            (How::Roughly, Some(only)) => {
                let changes = Changes { values: edits, site: None };
                self.session.tried(self.home, changes, &self.options, only).ok()
            }
            _ => self.verdicts(edits, only),
        };
        let said = verdicts.map(|verdicts| {
            let all = verdicts.iter().map(|verdict| (Turned::of(verdict), Said::of(verdict)));
            all.filter(|(of, _)| self.open.contains(of)).collect::<BTreeMap<Turned, Said>>()
        });
        let answer = said.as_ref().and_then(|said| said.get(of).copied());
        let known = Known { how, only: only.cloned(), said };
        self.known.borrow_mut().entry(edits.to_vec()).or_default().push(known);
        answer
    }
}

impl Said {
    /// What a verdict says.
    pub fn of(verdict: &Verdict) -> Said {
        let margin = verdict.margin.as_ref().and_then(mateline_model::Value::number).map(|margin| margin.si);
        Said { is_met: verdict.outcome == Outcome::Met, margin }
    }
}
