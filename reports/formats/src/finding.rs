//! What a run has to tell, weightiest first, each with its level: what is short, unproven or against advice, remarks,
//! plugins that failed, and homes that cannot be used. The one place that decides how grave a finding is.

use crate::{CheckedHome, shown};
use mateline_model::{Outcome, Place, Report, Severity, Verdict};

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Level {
    /// Fails the run.
    Error,
    /// Fails the run for want of proof.
    Warning,
    /// Does not fail the run.
    Note,
}

/// What an open verdict is called.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Short,
    Unproven,
    Advice,
}

impl Kind {
    /// From the gravest to the slightest.
    pub const ALL: [Kind; 3] = [Kind::Short, Kind::Unproven, Kind::Advice];

    /// The kind of a verdict that is open.
    pub fn of(verdict: &Verdict) -> Option<Kind> {
        match (verdict.outcome, verdict.severity) {
            (Outcome::Short | Outcome::Unproven, Severity::Advice) => Some(Kind::Advice),
            (Outcome::Short, Severity::Required) => Some(Kind::Short),
            (Outcome::Unproven, Severity::Required) => Some(Kind::Unproven),
            _ => None,
        }
    }

    pub fn word(self) -> &'static str {
        match self {
            Kind::Short => "short",
            Kind::Unproven => "unproven",
            Kind::Advice => "advice",
        }
    }

    pub fn level(self) -> Level {
        match self {
            Kind::Short => Level::Error,
            Kind::Unproven => Level::Warning,
            Kind::Advice => Level::Note,
        }
    }
}

/// Something a run has to tell.
#[derive(Clone, Debug)]
pub(crate) struct Finding<'a> {
    pub level: Level,
    /// `short`, `unproven`, `advice`, `remark`, `is this meant?`, `plugin failed`, `cannot be used`.
    pub word: &'static str,
    /// What stands behind it, where that is a verdict.
    pub verdict: Option<&'a Verdict>,
    /// One sentence with the numbers.
    pub message: String,
    /// Rule and source.
    pub cited: Option<String>,
    /// What to do.
    pub help: Option<String>,
    /// Where, the file as it is reached from the folder the run was started in.
    pub at: Option<Place>,
}

/// Everything one home gives to tell, the gravest kind first, each kind in the order of the report.
pub(crate) fn findings(home: &CheckedHome) -> Vec<Finding<'_>> {
    match &home.result {
        Ok(report) => of_report(home, report),
        Err(problems) => problems
            .iter()
            .map(|problem| Finding {
                level: Level::Error,
                word: "cannot be used",
                verdict: None,
                message: problem.message.clone(),
                cited: None,
                help: problem.help.clone(),
                at: Some(home.place(&problem.at)),
            })
            .collect(),
    }
}

/// What one home has agreed exceptions for. It fails nothing, and is to be seen all the same.
pub(crate) fn waived(home: &CheckedHome) -> Vec<Finding<'_>> {
    let verdicts = home.result.iter().flat_map(|report| &report.verdicts);
    let waived = verdicts.filter(|verdict| verdict.outcome == Outcome::Waived);
    waived.map(|verdict| of_verdict(home, verdict, Level::Note, "waived")).collect()
}

fn of_verdict<'a>(home: &CheckedHome, verdict: &'a Verdict, level: Level, word: &'static str) -> Finding<'a> {
    let cited = shown::cited(&verdict.source, Some(&verdict.provenance));
    Finding {
        level,
        word,
        verdict: Some(verdict),
        message: format!("{}: {}", verdict.subject, verdict.message),
        cited: Some(format!("{}, {cited}", verdict.full_name())),
        help: verdict.help.as_deref().map(shown::lower_start),
        at: verdict.at.as_ref().map(|place| home.place(place)),
    }
}

fn of_report<'a>(home: &CheckedHome, report: &'a Report) -> Vec<Finding<'a>> {
    let verdicts = Kind::ALL.into_iter().flat_map(|kind| {
        let of_kind = report.verdicts.iter().filter(move |verdict| Kind::of(verdict) == Some(kind));
        of_kind.map(move |verdict| of_verdict(home, verdict, kind.level(), kind.word()))
    });
    let plain =
        |level, word, message: String, at| Finding { level, word, verdict: None, message, cited: None, help: None, at };
    let failures = report.plugins.iter().filter_map(|plugin| {
        let message = format!("plugin {} failed: {}", plugin.name, plugin.failure.as_ref()?);
        Some(plain(Level::Error, "plugin failed", message, None))
    });
    let remarks = report.remarks.iter().map(|remark| {
        let level = if remark.fails { Level::Error } else { Level::Note };
        plain(level, remark.about.word(), remark.message.clone(), remark.at.as_ref().map(|place| home.place(place)))
    });
    let mut found: Vec<Finding<'a>> = failures.chain(verdicts).chain(remarks).collect();
    found.sort_by_key(|finding| finding.level);
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn the_gravest_comes_first_and_each_has_its_place() {
        let home = CheckedHome { file: "a/home.yaml".to_owned(), result: Ok(fixture::report()) };
        let told: Vec<(Level, &str, Option<String>)> =
            findings(&home).iter().map(|f| (f.level, f.word, f.at.as_ref().map(shown::place))).collect();
        let at = |place: &str| Some(format!("a/home.yaml:{place}"));
        let expected = [
            (Level::Error, "plugin failed", None),
            (Level::Error, "short", at("8:7")),
            (Level::Warning, "unproven", at("10:7")),
            (Level::Note, "advice", None),
            (Level::Note, "remark", at("1:1")),
        ];
        assert_eq!(told[..3], expected[..3]);
        assert_eq!(told.iter().map(|(l, w, _)| (*l, *w)).collect::<Vec<_>>(), expected.map(|(l, w, _)| (l, w)));
    }

    #[test]
    fn a_home_that_cannot_be_used_tells_each_problem() {
        let broken = fixture::unusable();
        let told = findings(&broken);
        assert_eq!(told.len(), 2);
        assert!(told.iter().all(|finding| finding.level == Level::Error && finding.word == "cannot be used"));
    }
}
