//! JUnit XML, for CI systems that list tests: a suite for each pack of a home, a case for each rule and subject.
//!
//! What is required and short or unproven is a failure. What is waived, and advice that is not followed, is skipped:
//! it does not fail the run. A plugin that failed and a home that cannot be used are errors. Rules that do not concern
//! the home are counted as a property of the suite.
//!
//! Source: the schema that a common CI server publishes for the format, kept beside the tests.

mod xml;

pub use xml::{Case, CaseOutcome, Detail, Suite, Suites};

use crate::finding::{Finding, Kind, findings};
use crate::{CheckedHome, shown};
use mateline_model::{Outcome, PluginStatus, Remark, Report, Verdict};

/// The suites of a run.
pub fn suites(homes: &[CheckedHome]) -> Suites {
    let several = homes.len() > 1;
    Suites { name: "mateline".to_owned(), suites: homes.iter().flat_map(|home| of_home(home, several)).collect() }
}

fn of_home(home: &CheckedHome, several: bool) -> Vec<Suite> {
    // With several homes in a file, suites and cases say whose they are.
    let named = |name: &str| if several { format!("{}: {name}", home.file) } else { name.to_owned() };
    let report = match &home.result {
        Ok(report) => report,
        Err(_) => {
            let cases = findings(home).iter().map(|finding| problem(finding, named("input"))).collect();
            return vec![Suite { name: named("input"), properties: Vec::new(), cases }];
        }
    };
    let mut suites: Vec<Suite> = Vec::new();
    for verdict in &report.verdicts {
        let name = named(&verdict.pack);
        let at = suites.iter().position(|suite| suite.name == name).unwrap_or_else(|| {
            suites.push(Suite {
                name: name.clone(),
                properties: properties(home, report, &verdict.pack),
                cases: Vec::new(),
            });
            suites.len() - 1
        });
        if verdict.outcome != Outcome::NotApplicable
            && let Some(suite) = suites.get_mut(at)
        {
            suite.cases.push(case(home, verdict, name));
        }
    }
    let plugins = named("plugins");
    let cases = report.plugins.iter().map(|ran| plugin(ran, plugins.clone())).collect();
    suites.push(Suite { name: plugins, properties: Vec::new(), cases });
    if !report.remarks.is_empty() {
        let remarks = named("remarks");
        let cases = report.remarks.iter().map(|made| remark(home, made, remarks.clone())).collect();
        suites.push(Suite { name: remarks, properties: Vec::new(), cases });
    }
    suites
}

fn properties(home: &CheckedHome, report: &Report, pack: &str) -> Vec<(String, String)> {
    let skipped = report.verdicts.iter().filter(|v| v.pack == pack && v.outcome == Outcome::NotApplicable).count();
    [
        ("home", report.name().to_string()),
        ("file", home.file.clone()),
        ("revision", report.revision().id.to_string()),
        ("date", report.revision().date.to_string()),
        ("not applicable", skipped.to_string()),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .to_vec()
}

fn case(home: &CheckedHome, verdict: &Verdict, class: String) -> Case {
    let detail = |word: &str| {
        let place = verdict.at.as_ref().map(|place| shown::place(&home.place(place)));
        let source = format!("{}, {}", verdict.full_name(), shown::cited(&verdict.source, Some(&verdict.provenance)));
        let help = verdict.help.as_ref().map(|help| format!("help: {}", shown::lower_start(help)));
        let lines: Vec<String> =
            [Some(verdict.message.clone()), place, Some(source), help].into_iter().flatten().collect();
        Detail { word: word.to_owned(), message: verdict.message.clone(), text: lines.join("\n") }
    };
    let outcome = match Kind::of(verdict) {
        Some(kind @ (Kind::Short | Kind::Unproven)) => CaseOutcome::Failed(detail(kind.word())),
        Some(Kind::Advice) => CaseOutcome::Skipped(detail(Kind::Advice.word())),
        None if verdict.outcome == Outcome::Waived => CaseOutcome::Skipped(detail("waived")),
        None => CaseOutcome::Passed,
    };
    Case { class, name: format!("{} {}", verdict.rule, verdict.subject), outcome }
}

fn plugin(plugin: &PluginStatus, class: String) -> Case {
    let outcome = match &plugin.failure {
        None => CaseOutcome::Passed,
        Some(failure) => {
            let text = format!("{failure}\nfacts that are missing: {}", plugin.writes.join(", "));
            CaseOutcome::Broken(Detail { word: "plugin failed".to_owned(), message: failure.clone(), text })
        }
    };
    Case { class, name: plugin.name.clone(), outcome }
}

fn remark(home: &CheckedHome, remark: &Remark, class: String) -> Case {
    let place = remark.at.as_ref().map(|place| format!("\n{}", shown::place(&home.place(place))));
    let text = format!("{}{}", remark.message, place.unwrap_or_default());
    let detail = Detail { word: "remark".to_owned(), message: remark.message.clone(), text };
    let outcome = if remark.fails { CaseOutcome::Failed(detail) } else { CaseOutcome::Skipped(detail) };
    Case { class, name: remark.message.clone(), outcome }
}

fn problem(finding: &Finding<'_>, class: String) -> Case {
    let place = finding.at.as_ref().map(shown::place).unwrap_or_default();
    let help = finding.help.as_ref().map(|help| format!("\nhelp: {help}")).unwrap_or_default();
    let text = format!("{}\n{place}{help}", finding.message);
    let detail = Detail { word: finding.word.to_owned(), message: finding.message.clone(), text };
    Case { class, name: place, outcome: CaseOutcome::Broken(detail) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, reason = "a test may stop here")]
    use super::*;
    use crate::{fixture, html::well_formed};

    fn home(report: Report) -> CheckedHome {
        CheckedHome { file: "a/home.yaml".to_owned(), result: Ok(report) }
    }

    #[test]
    fn a_shortfall_fails_with_its_place_source_and_help() {
        let xml = suites(&[home(fixture::report())]).to_xml();
        let expected = "\
    <testcase classname=\"energy-code-demo\" name=\"wall-u-factor assemblies.wall\">
      <failure type=\"short\" message=\"U-factor 0.0520 Btu/(h·ft²·°F) is above 0.0450\">\
U-factor 0.0520 Btu/(h·ft²·°F) is above 0.0450
a/home.yaml:8:7
energy-code-demo/wall-u-factor, Table 1 (from memory, high)
help: thicken the continuous insulation to at least 1 3/4 in</failure>
    </testcase>
";
        assert!(xml.contains(expected), "{xml}");
        let heads: Vec<&str> = xml.lines().filter(|line| line.trim_start().starts_with("<testsuite")).collect();
        let expected = [
            "<testsuites name=\"mateline\" tests=\"8\" failures=\"2\" errors=\"1\">",
            "  <testsuite name=\"energy-code-demo\" tests=\"3\" failures=\"2\" errors=\"0\" skipped=\"0\">",
            "  <testsuite name=\"modular-demo\" tests=\"2\" failures=\"0\" errors=\"0\" skipped=\"2\">",
            "  <testsuite name=\"plugins\" tests=\"2\" failures=\"0\" errors=\"1\" skipped=\"0\">",
            "  <testsuite name=\"remarks\" tests=\"1\" failures=\"0\" errors=\"0\" skipped=\"1\">",
        ];
        assert_eq!(heads, expected);
        assert!(xml.contains("<property name=\"not applicable\" value=\"2\"/>"));
    }

    #[test]
    fn homes_that_cannot_be_used_are_errors() {
        let xml = suites(&[home(fixture::report()), fixture::unusable()]).to_xml();
        assert!(xml.contains("<testsuite name=\"broken/home.yaml: input\" tests=\"2\" failures=\"0\" errors=\"2\""));
        assert!(xml.contains("<testsuite name=\"a/home.yaml: energy-code-demo\""), "{xml}");
        assert!(xml.contains("<error type=\"cannot be used\" message=\"9 needs a unit\">9 needs a unit\nbroken/home.yaml:3:5\nhelp: write 9 ft</error>"), "{xml}");
    }

    #[test]
    fn nothing_in_a_file_becomes_markup() {
        for evil in
            ["]]><x a='1'>&amp;", "\"/><failure>", "\u{0}\u{b}\u{1b}[31m\u{ffff}\u{fffe}\u{202e}", "<!--", "", "\r\n\t"]
        {
            let xml = suites(&[home(fixture::hostile(evil))]).to_xml();
            well_formed::check(xml.trim_start_matches("<?xml version=\"1.0\" encoding=\"UTF-8\"?>"))
                .unwrap_or_else(|fault| panic!("{evil:?}: {fault}"));
            assert!(
                xml.chars()
                    .all(|c| c == '\n' || c == '\t' || (!c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}')))
            );
        }
    }
}
