//! SARIF 2.1.0, for forges that show results beside the lines of a change: one run a home.
//!
//! What is short or unproven is a result of the kind `fail`. What is waived is suppressed, and informational of no level
//! as well: who only counts levels counts no error. SARIF has the kind `open` for what cannot be decided, but lets a reader pass over it, and what is unproven may never look like a pass:
//! it is a `warning` instead. What is met or does not concern the home is only counted.
//!
//! A result keeps its fingerprint as long as rule and subject keep their names: edits elsewhere in the file move the
//! line and not the fingerprint.

mod address;
mod log;

pub use log::*;

use crate::finding::{self, Finding, findings};
use crate::homes::Counts;
use crate::{CheckedHome, comment, printable, shown};
use mateline_model::{Outcome, Place, Report, Traced, Verdict};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// Where the schema of the format is published.
const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json";
/// The name of the fingerprint; a change of what goes into it changes the name.
const FINGERPRINT: &str = "ruleAndSubject/v1";
/// The rule of an input that cannot be used, and of a remark that fails the run.
const OWN_RULES: [(&str, &str, &str); 2] = [
    ("mateline/input", "The home can be read", "Correct the line; nothing of the home is checked before."),
    ("mateline/remark", "The run has nothing to object to", "Correct the line that is named."),
];

/// The log of a run, as written by mateline of the given version.
pub fn log(homes: &[CheckedHome], version: &str) -> Log {
    Log {
        schema: SCHEMA.to_owned(),
        version: "2.1.0".to_owned(),
        runs: homes.iter().map(|home| run(home, version)).collect(),
    }
}

fn run(home: &CheckedHome, version: &str) -> Run {
    let mut rules = Rules::default();
    let told = findings(home);
    let mut results: Vec<Found> = told.iter().filter_map(|finding| found(home, finding, &mut rules)).collect();
    let mut notifications: Vec<Notification> =
        told.iter().filter(|finding| !is_result(finding)).map(notification).collect();
    if let Ok(report) = &home.result {
        let waived = report.verdicts.iter().filter(|verdict| verdict.outcome == Outcome::Waived);
        results.extend(waived.map(|verdict| suppressed(home, report, verdict, &mut rules)));
    } else {
        notifications.push(Notification {
            message: text("the input cannot be used"),
            level: Grade::Error,
            locations: Vec::new(),
        });
    }
    let counts = Counts::of(home);
    let started_in = text("the folder in which mateline was started");
    Run {
        tool: Tool { driver: Driver { name: "mateline".to_owned(), version: version.to_owned(), rules: rules.list } },
        automation_details: AutomationDetails { id: format!("mateline/{}", printable::line(&home.file)) },
        invocations: vec![Invocation {
            execution_successful: counts.unusable == 0 && counts.failures == 0,
            exit_code: exit_code(home),
            tool_execution_notifications: notifications,
        }],
        original_uri_base_ids: BTreeMap::from([(address::BASE.to_owned(), BaseId { description: started_in })]),
        column_kind: "unicodeCodePoints".to_owned(),
        results,
        properties: RunProperties {
            home: printable::line(home.name()).into_owned(),
            revision: home.result.as_ref().ok().map(|report| printable::line(&report.revision().id).into_owned()),
            met: counts.met,
            not_applicable: counts.not_applicable,
            rests_on: home.result.as_ref().map(rests_on).unwrap_or_default(),
        },
    }
}

/// Every text that a report rests on, once.
fn rests_on(report: &Report) -> Vec<Traced> {
    let mut all: Vec<Traced> =
        report.packs.iter().flat_map(|pack| &pack.texts).chain(&report.tables).cloned().collect();
    all.sort();
    all.dedup();
    all
}

/// The exit code a check of this home alone ends with.
fn exit_code(home: &CheckedHome) -> i32 {
    match &home.result {
        Err(_) => 2,
        Ok(report) if report.plugin_failed() => 3,
        Ok(report) => i32::from(report.fails()),
    }
}

/// Whether a finding is a result: verdicts, problems of the input, and remarks that fail the run. The rest is told
/// about the run as a whole.
fn is_result(finding: &Finding<'_>) -> bool {
    finding.verdict.is_some()
        || finding.word == "cannot be used"
        || (finding.word == "remark" && finding.level == finding::Level::Error)
}

fn found(home: &CheckedHome, finding: &Finding<'_>, rules: &mut Rules) -> Option<Found> {
    if !is_result(finding) {
        return None;
    }
    let level = grade(finding.level);
    let (rule_index, subject) = match (&home.result, finding.verdict) {
        (Ok(report), Some(verdict)) => (rules.of_verdict(report, verdict), verdict.subject.as_str()),
        _ => (rules.own(usize::from(finding.word == "remark")), finding.message.as_str()),
    };
    let rule_id = rules.id(rule_index);
    Some(Found {
        kind: "fail".to_owned(),
        level,
        message: text(&format!("{}: {}", finding.word, finding.message)),
        locations: location(finding.at.as_ref(), finding.verdict).into_iter().collect(),
        partial_fingerprints: fingerprint(&rule_id, subject),
        suppressions: Vec::new(),
        properties: FoundProperties {
            verdict: finding.verdict.map(|verdict| verdict.outcome.to_string()),
            help: finding.help.as_ref().map(|help| printable::line(help).into_owned()),
        },
        rule_id,
        rule_index,
    })
}

fn suppressed(home: &CheckedHome, report: &Report, verdict: &Verdict, rules: &mut Rules) -> Found {
    let rule_index = rules.of_verdict(report, verdict);
    let rule_id = rules.id(rule_index);
    let at = verdict.at.as_ref().map(|place| home.place(place));
    let waiver = report.home.waivers.iter().find(|waiver| waiver.is_of(&verdict.full_name(), verdict.subject.as_str()));
    let agreed = waiver.map(|waiver| format!("{}; agreed with {}", waiver.reason, waiver.agreed_with));
    Found {
        kind: "informational".to_owned(),
        level: Grade::None,
        message: text(&format!("waived: {}: {}", verdict.subject, verdict.message)),
        locations: location(at.as_ref(), Some(verdict)).into_iter().collect(),
        partial_fingerprints: fingerprint(&rule_id, verdict.subject.as_str()),
        suppressions: vec![Suppression {
            kind: "external".to_owned(),
            justification: printable::line(&agreed.unwrap_or_else(|| verdict.message.clone())).into_owned(),
        }],
        properties: FoundProperties { verdict: Some(verdict.outcome.to_string()), help: None },
        rule_id,
        rule_index,
    }
}

fn notification(finding: &Finding<'_>) -> Notification {
    Notification {
        message: text(&finding.message),
        level: grade(finding.level),
        locations: location(finding.at.as_ref(), None).into_iter().collect(),
    }
}

fn grade(level: finding::Level) -> Grade {
    match level {
        finding::Level::Error => Grade::Error,
        finding::Level::Warning => Grade::Warning,
        finding::Level::Note => Grade::Note,
    }
}

/// The place of a result in its file and in the home.
fn location(at: Option<&Place>, verdict: Option<&Verdict>) -> Option<Location> {
    let region = |place: &Place| {
        let start_column = place.column.max(1);
        let end = (place.length > 0).then(|| start_column.saturating_add(place.length));
        (place.line > 0).then_some(Region { start_line: place.line, start_column, end_column: end })
    };
    let physical =
        at.map(|place| PhysicalLocation { artifact_location: address::of(&place.file), region: region(place) });
    let logical: Vec<LogicalLocation> = verdict
        .map(|verdict| LogicalLocation { fully_qualified_name: printable::line(verdict.subject.as_str()).into_owned() })
        .into_iter()
        .collect();
    (physical.is_some() || !logical.is_empty())
        .then_some(Location { physical_location: physical, logical_locations: logical })
}

/// Rule and subject, and nothing that an edit elsewhere in the file changes.
fn fingerprint(rule: &str, subject: &str) -> BTreeMap<String, String> {
    let digest = Sha256::digest(format!("{rule}\0{subject}"));
    let hex = digest.iter().take(16).map(|byte| format!("{byte:02x}")).collect();
    BTreeMap::from([(FINGERPRINT.to_owned(), hex)])
}

/// Text in which a reader of SARIF finds neither a link nor a placeholder.
fn text(text: &str) -> Text {
    Text { text: inert(text), markdown: None }
}

/// In a message `[words](number)` is a link and `{0}` a placeholder; a backslash and a second brace take that away.
fn inert(text: &str) -> String {
    let line = printable::line(text).replace("](", "\\](");
    if line.contains('{') { line.replace('{', "{{").replace('}', "}}") } else { line }
}

/// The rules of a run, each once, in the order of their first result.
#[derive(Default)]
struct Rules {
    list: Vec<Descriptor>,
    index: BTreeMap<String, usize>,
}

impl Rules {
    fn of_verdict(&mut self, report: &Report, verdict: &Verdict) -> usize {
        let id = printable::line(&verdict.full_name()).into_owned();
        self.add(id, |id| of_verdict(id, report, verdict))
    }

    fn own(&mut self, number: usize) -> usize {
        let (id, title, help) = OWN_RULES.get(number).copied().unwrap_or(OWN_RULES[0]);
        self.add(id.to_owned(), |id| Descriptor {
            id,
            short_description: text(title),
            full_description: text(title),
            help: text(help),
            default_configuration: Configuration { level: Grade::Error },
            properties: RuleProperties { tags: vec!["mateline".to_owned()], provenance: String::new() },
        })
    }

    fn add(&mut self, id: String, make: impl FnOnce(String) -> Descriptor) -> usize {
        let next = self.list.len();
        *self.index.entry(id.clone()).or_insert_with(|| {
            self.list.push(make(id));
            next
        })
    }

    fn id(&self, index: usize) -> String {
        self.list.get(index).map_or_else(String::new, |rule| rule.id.clone())
    }
}

fn of_verdict(id: String, report: &Report, verdict: &Verdict) -> Descriptor {
    let source = shown::cited(&verdict.source, Some(&verdict.provenance));
    let pack = report.packs.iter().find(|pack| pack.id == verdict.pack);
    let mut parts = vec![format!("{}.", verdict.title), format!("Source: {source}.")];
    parts.extend(verdict.help.as_ref().map(|help| format!("To do: {}.", shown::lower_start(help))));
    parts.extend(pack.map(|pack| format!("Pack: {}, after {}.", pack.title, pack.source)));
    parts.extend(pack.and_then(|pack| pack.caution.clone()));
    let markdown: Vec<String> = parts.iter().map(|part| comment::prose(part)).collect();
    let level = match verdict.severity {
        mateline_model::Severity::Required => Grade::Error,
        mateline_model::Severity::Advice => Grade::Note,
    };
    Descriptor {
        id,
        short_description: text(&verdict.title),
        full_description: text(&format!("{}; {source}", verdict.title)),
        help: Text { text: inert(&parts.join(" ")), markdown: Some(markdown.join("\n\n")) },
        default_configuration: Configuration { level },
        properties: RuleProperties {
            tags: vec![printable::line(&verdict.pack).into_owned()],
            provenance: printable::line(&verdict.provenance).into_owned(),
        },
    }
}

#[cfg(test)]
mod tests;
