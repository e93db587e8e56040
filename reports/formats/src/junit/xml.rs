//! JUnit XML as types, and how they are written. Only what the published schema allows; no clock, so no times.

use crate::printable;
use std::fmt::Write;

/// The whole file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suites {
    /// What wrote it.
    pub name: String,
    /// Its suites.
    pub suites: Vec<Suite>,
}

/// A suite: the rules of one pack for one home.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suite {
    /// Its name.
    pub name: String,
    /// What else is to be known, by name.
    pub properties: Vec<(String, String)>,
    /// Its cases.
    pub cases: Vec<Case>,
}

/// A case: a rule and a subject.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Case {
    /// The group in which it is listed.
    pub class: String,
    /// Its name.
    pub name: String,
    /// How it came out.
    pub outcome: CaseOutcome,
}

/// How a case came out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CaseOutcome {
    /// As required.
    Passed,
    /// Not as required.
    Failed(Detail),
    /// It could not be tried.
    Broken(Detail),
    /// It does not count.
    Skipped(Detail),
}

/// What is to be said of a case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Detail {
    /// A word: `short`, `unproven` …
    pub word: String,
    /// One sentence.
    pub message: String,
    /// Everything, over several lines.
    pub text: String,
}

/// How many cases there are, and how they came out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Tally {
    tests: usize,
    failures: usize,
    errors: usize,
    skipped: usize,
}

impl Suites {
    /// The file's text.
    pub fn to_xml(&self) -> String {
        let all: Vec<&Case> = self.suites.iter().flat_map(|suite| &suite.cases).collect();
        let Tally { tests, failures, errors, .. } = tally(&all);
        let mut xml = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        let name = attribute(&self.name);
        let _ =
            writeln!(xml, "<testsuites name=\"{name}\" tests=\"{tests}\" failures=\"{failures}\" errors=\"{errors}\">");
        self.suites.iter().for_each(|suite| write_suite(suite, &mut xml));
        xml.push_str("</testsuites>\n");
        xml
    }
}

fn write_suite(suite: &Suite, xml: &mut String) {
    let Tally { tests, failures, errors, skipped } = tally(&suite.cases.iter().collect::<Vec<_>>());
    let name = attribute(&suite.name);
    let _ = writeln!(
        xml,
        "  <testsuite name=\"{name}\" tests=\"{tests}\" failures=\"{failures}\" errors=\"{errors}\" skipped=\"{skipped}\">"
    );
    if !suite.properties.is_empty() {
        xml.push_str("    <properties>\n");
        for (name, value) in &suite.properties {
            let (name, value) = (attribute(name), attribute(value));
            let _ = writeln!(xml, "      <property name=\"{name}\" value=\"{value}\"/>");
        }
        xml.push_str("    </properties>\n");
    }
    suite.cases.iter().for_each(|case| write_case(case, xml));
    xml.push_str("  </testsuite>\n");
}

fn write_case(case: &Case, xml: &mut String) {
    let (class, name) = (attribute(&case.class), attribute(&case.name));
    let head = format!("    <testcase classname=\"{class}\" name=\"{name}\"");
    let (element, detail) = match &case.outcome {
        CaseOutcome::Passed => {
            let _ = writeln!(xml, "{head}/>");
            return;
        }
        CaseOutcome::Failed(detail) => ("failure", detail),
        CaseOutcome::Broken(detail) => ("error", detail),
        CaseOutcome::Skipped(detail) => ("skipped", detail),
    };
    let (word, message, text) = (attribute(&detail.word), attribute(&detail.message), content(&detail.text));
    let _ = writeln!(
        xml,
        "{head}>\n      <{element} type=\"{word}\" message=\"{message}\">{text}</{element}>\n    </testcase>"
    );
}

fn tally(cases: &[&Case]) -> Tally {
    cases.iter().fold(Tally { tests: cases.len(), ..Tally::default() }, |mut tally, case| {
        match case.outcome {
            CaseOutcome::Passed => {}
            CaseOutcome::Failed(_) => tally.failures += 1,
            CaseOutcome::Broken(_) => tally.errors += 1,
            CaseOutcome::Skipped(_) => tally.skipped += 1,
        }
        tally
    })
}

/// Text between quotes: one line, with the five marks of XML escaped and what XML does not allow replaced.
fn attribute(text: &str) -> String {
    escape(&printable::line(text))
}

/// Text between tags.
fn content(text: &str) -> String {
    escape(&printable::block(text))
}

fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&apos;"),
            c => safe.push(c),
        }
    }
    safe
}
