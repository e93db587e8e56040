//! A report that was kept, or that another program wrote, against the one of now: which verdicts turned, and why.
//!
//! Both are JSON reports, so that nothing of the earlier run has to be done again: its program may be gone. What turned a
//! verdict is told by what differs: the text of its pack, its limit, the facts that its rule weighs. Where none of these
//! does, it is the program.

use crate::json::{JsonFact, JsonPack, JsonPlugin, JsonReport, JsonRevision, JsonValue, PluginOutcome, Writer};
use crate::printable;
use mateline_model::{Outcome, Severity, Traced};
use schemars::{JsonSchema, Schema, schema_for};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// The version of this format; a change that a reader has to know of, additions among them, raises it.
pub const SCHEMA_VERSION: u32 = 1;
/// Facts of one verdict that are named.
const MOST_FACTS: usize = 4;
/// Rows of one part of the text before the rest are counted.
const LONGEST_PART: usize = 40;

/// A JSON report as it is read again. What older reports do not tell is empty.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Kept {
    /// What wrote it.
    pub mateline: Writer,
    home: String,
    revision: JsonRevision,
    facts: BTreeMap<String, BTreeMap<String, KeptFact>>,
    verdicts: Vec<KeptVerdict>,
    #[serde(default)]
    packs: Vec<JsonPack>,
    #[serde(default)]
    tables: Vec<Traced>,
    plugins: Vec<JsonPlugin>,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
struct KeptFact {
    value: Option<JsonValue>,
    unit: String,
    shown: String,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
struct KeptVerdict {
    pack: String,
    rule: String,
    subject: String,
    verdict: Outcome,
    severity: Severity,
    limit: Option<JsonValue>,
    unit: String,
    message: String,
}

impl KeptVerdict {
    fn fails(&self) -> bool {
        self.severity == Severity::Required && matches!(self.verdict, Outcome::Short | Outcome::Unproven)
    }

    fn name(&self) -> (String, &str) {
        (format!("{}/{}", self.pack, self.rule), &self.subject)
    }
}

impl Kept {
    /// Reads a JSON report of one home.
    ///
    /// # Errors
    /// Why it is none.
    pub fn read(text: &str) -> Result<Kept, String> {
        serde_json::from_str(text).map_err(|error| format!("it is no JSON report of one home: {error}"))
    }

    /// A report of now.
    pub fn of(report: JsonReport) -> Kept {
        let fact = |fact: JsonFact| KeptFact { value: fact.value, unit: fact.unit, shown: fact.shown };
        let of_subject = |facts: BTreeMap<String, JsonFact>| facts.into_iter().map(|(name, one)| (name, fact(one)));
        let verdicts = report.verdicts.into_iter().map(|one| KeptVerdict {
            pack: one.pack,
            rule: one.rule,
            subject: one.subject,
            verdict: one.verdict,
            severity: one.severity,
            limit: one.limit,
            unit: one.unit,
            message: one.message,
        });
        Kept {
            mateline: report.mateline,
            home: report.home,
            revision: report.revision,
            facts: report.facts.into_iter().map(|(subject, facts)| (subject, of_subject(facts).collect())).collect(),
            verdicts: verdicts.collect(),
            packs: report.packs,
            tables: report.tables,
            plugins: report.plugins,
        }
    }
}

/// What differs between two reports.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Since {
    /// What wrote this.
    pub mateline: Writer,
    /// The earlier report.
    pub old: SideOf,
    /// The later report.
    pub new: SideOf,
    /// Packs and tables of which the text is another one, or that came or went.
    pub texts: Vec<TextTurn>,
    /// Verdicts that turned.
    pub verdicts: Vec<TurnedSince>,
    /// How many facts moved, came or went.
    pub moved: usize,
    /// Required verdicts of the later report that are short or unproven.
    pub failing: usize,
    /// Plugins that failed in either; what is said of their facts does not hold.
    pub failures: Vec<String>,
}

/// One report.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SideOf {
    /// The version of the program that wrote it.
    pub version: String,
    /// The project's name.
    pub home: String,
    /// The revision.
    pub revision: JsonRevision,
}

/// A text that is another one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TextTurn {
    /// The pack's id or the table's name.
    pub name: String,
    /// As it was.
    pub old: Option<Traced>,
    /// As it is.
    pub new: Option<Traced>,
}

/// A verdict that turned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TurnedSince {
    /// The rule's full name, pack/rule.
    pub rule: String,
    /// What is judged.
    pub subject: String,
    /// Whether it fails a run.
    pub severity: Severity,
    /// The earlier outcome; `null` when there was no such verdict.
    pub old: Option<Outcome>,
    /// The later outcome; `null` when there is none any more.
    pub new: Option<Outcome>,
    /// What the later verdict says; of one that is gone, the earlier.
    pub message: String,
    /// What differs that it rests on.
    pub why: Vec<String>,
}

impl TurnedSince {
    /// Whether something required turned to short or unproven.
    pub fn is_worse(&self) -> bool {
        let open = |outcome: Option<Outcome>| matches!(outcome, Some(Outcome::Short | Outcome::Unproven));
        self.severity == Severity::Required && open(self.new) && !open(self.old)
    }
}

/// The schema of [`Since`].
pub fn schema() -> Schema {
    schema_for!(Since)
}

/// What differs between an earlier report and a later one, as written by mateline of the given version.
pub fn since(old: &Kept, new: &Kept, version: &str) -> Since {
    let texts = texts(old, new);
    let failed = |side: &Kept, word: &str| -> Vec<String> {
        let failed = side.plugins.iter().filter(|plugin| plugin.status == PluginOutcome::Failed);
        failed.map(|plugin| format!("plugin {} failed in the {word} report", plugin.name)).collect()
    };
    Since {
        mateline: Writer { version: version.to_owned(), schema: SCHEMA_VERSION },
        verdicts: turned(old, new, &texts),
        texts,
        moved: moved(old, new),
        failing: new.verdicts.iter().filter(|verdict| verdict.fails()).count(),
        failures: [failed(old, "earlier"), failed(new, "later")].concat(),
        old: side(old),
        new: side(new),
    }
}

fn side(kept: &Kept) -> SideOf {
    SideOf { version: kept.mateline.version.clone(), home: kept.home.clone(), revision: kept.revision.clone() }
}

/// Packs and tables whose text is another one. Of a report that tells none of them nothing can be said.
fn texts(old: &Kept, new: &Kept) -> Vec<TextTurn> {
    let of_pack = |pack: &JsonPack| Some((pack.id.clone(), pack.texts.first()?.clone()));
    let all = |kept: &Kept| -> BTreeMap<String, Traced> {
        let tables = kept.tables.iter().map(|table| (table.name.clone(), table.clone()));
        let extended = kept.packs.iter().flat_map(|pack| pack.texts.iter().skip(1));
        let extended = extended.map(|text| (text.name.clone(), text.clone()));
        kept.packs.iter().filter_map(of_pack).chain(extended).chain(tables).collect()
    };
    let (before, after) = (all(old), all(new));
    if before.is_empty() || after.is_empty() {
        return Vec::new();
    }
    let names: BTreeSet<&String> = before.keys().chain(after.keys()).collect();
    let turned = names.into_iter().filter_map(|name| {
        let (old, new) = (before.get(name), after.get(name));
        let same = old.map(|old| &old.sha256) == new.map(|new| &new.sha256);
        (!same).then(|| TextTurn { name: name.clone(), old: old.cloned(), new: new.cloned() })
    });
    turned.collect()
}

fn turned(old: &Kept, new: &Kept, texts: &[TextTurn]) -> Vec<TurnedSince> {
    type ByName<'a> = BTreeMap<(String, &'a str), &'a KeptVerdict>;
    let before: ByName<'_> = old.verdicts.iter().map(|verdict| (verdict.name(), verdict)).collect();
    let after: ByName<'_> = new.verdicts.iter().map(|verdict| (verdict.name(), verdict)).collect();
    let told = |verdict: &KeptVerdict, was: Option<&KeptVerdict>, is: Option<&KeptVerdict>| TurnedSince {
        rule: verdict.name().0,
        subject: verdict.subject.clone(),
        severity: verdict.severity,
        old: was.map(|was| was.verdict),
        new: is.map(|is| is.verdict),
        message: verdict.message.clone(),
        why: why(old, new, was, is, texts),
    };
    let mut all: Vec<TurnedSince> = Vec::new();
    for verdict in &new.verdicts {
        let was = before.get(&verdict.name()).copied();
        let is_quiet = was.is_none() && verdict.verdict == Outcome::NotApplicable;
        if was.map(|was| was.verdict) != Some(verdict.verdict) && !is_quiet {
            all.push(told(verdict, was, Some(verdict)));
        }
    }
    let gone = old.verdicts.iter().filter(|verdict| !after.contains_key(&verdict.name()));
    all.extend(gone.filter(|one| one.verdict != Outcome::NotApplicable).map(|one| told(one, Some(one), None)));
    all
}

/// What differs that a verdict rests on.
fn why(old: &Kept, new: &Kept, was: Option<&KeptVerdict>, is: Option<&KeptVerdict>, texts: &[TextTurn]) -> Vec<String> {
    let mut reasons = Vec::new();
    let Some(one) = is.or(was) else { return reasons };
    let of = |kept: &Kept| kept.packs.iter().find(|pack| pack.id == one.pack).cloned();
    let (pack_was, pack_is) = (of(old), of(new));
    let made_of = |pack: &Option<JsonPack>, name: &str| {
        pack.as_ref().is_some_and(|pack| pack.id == name || pack.texts.iter().any(|text| text.name == name))
    };
    for turn in texts.iter().filter(|turn| made_of(&pack_was, &turn.name) || made_of(&pack_is, &turn.name)) {
        reasons.push(told(turn));
    }
    if let (Some(was), Some(is)) = (was, is)
        && was.limit != is.limit
        && let (Some(before), Some(after)) = (&was.limit, &is.limit)
    {
        reasons.push(format!("its limit was {}, is {}", number(before, &was.unit), number(after, &is.unit)));
    }
    let reads = [&pack_is, &pack_was].into_iter().flatten().find_map(|pack| pack.reads.get(&one.rule).cloned());
    let reads: Vec<(String, String)> = reads
        .into_iter()
        .flatten()
        .map(|read| match read.split_once(" of ") {
            Some((quantity, subject)) => (subject.to_owned(), quantity.to_owned()),
            None => (one.subject.clone(), read),
        })
        .collect();
    let moved: Vec<String> =
        reads.iter().filter_map(|(subject, quantity)| moved_fact(old, new, subject, quantity)).collect();
    let more = moved.len().saturating_sub(MOST_FACTS);
    reasons.extend(moved.into_iter().take(MOST_FACTS));
    if more > 0 {
        reasons.push(format!("{more} more facts moved"));
    }
    if reasons.is_empty() {
        let (before, after) = (&old.mateline.version, &new.mateline.version);
        reasons.push(match (old.revision == new.revision, before == after) {
            (false, _) => "the home is in another revision".to_owned(),
            (true, false) => format!("mateline {after} judges it otherwise than {before}"),
            (true, true) => "no text, limit or fact that it weighs differs: the home or the program does".to_owned(),
        });
    }
    reasons
}

/// A fact that a rule weighs and that moved, in words.
fn moved_fact(old: &Kept, new: &Kept, subject: &str, quantity: &str) -> Option<String> {
    let of = |kept: &Kept| kept.facts.get(subject).and_then(|facts| facts.get(quantity)).cloned();
    let (was, is) = (of(old), of(new));
    if alike(was.as_ref(), is.as_ref()) {
        return None;
    }
    let shown = |fact: Option<&KeptFact>| fact.map_or("not there", |fact| fact.shown.as_str()).to_owned();
    Some(format!("{quantity} of {subject} was {}, is {}", shown(was.as_ref()), shown(is.as_ref())))
}

/// Values that differ by less than a part in a thousand million have not moved: sums taken in another order.
fn alike(old: Option<&KeptFact>, new: Option<&KeptFact>) -> bool {
    match (old.and_then(|old| old.value.as_ref()), new.and_then(|new| new.value.as_ref())) {
        (Some(JsonValue::Number(a)), Some(JsonValue::Number(b))) => {
            old.map(|old| &old.unit) == new.map(|new| &new.unit)
                && (a == b || (a - b).abs() <= 1e-9 * a.abs().max(b.abs()))
        }
        (a, b) => a == b,
    }
}

fn moved(old: &Kept, new: &Kept) -> usize {
    let names = |kept: &Kept| -> Vec<(String, String)> {
        let all = kept.facts.iter();
        all.flat_map(|(subject, facts)| facts.keys().map(|name| (subject.clone(), name.clone()))).collect()
    };
    let all: BTreeSet<(String, String)> = names(old).into_iter().chain(names(new)).collect();
    all.iter().filter(|(subject, quantity)| moved_fact(old, new, subject, quantity).is_some()).count()
}

fn number(value: &JsonValue, unit: &str) -> String {
    match value {
        JsonValue::Number(number) if unit.is_empty() => number.to_string(),
        JsonValue::Number(number) => format!("{number} {unit}"),
        JsonValue::Text(text) => text.clone(),
        JsonValue::Flag(flag) => flag.to_string(),
    }
}

/// A text that is another one, in words.
fn told(turn: &TextTurn) -> String {
    let version = |text: &Traced| text.version.map(|version| format!("version {version}"));
    let digest = |text: &Traced| text.sha256.chars().take(12).collect::<String>();
    match (&turn.old, &turn.new) {
        (Some(old), Some(new)) if old.version != new.version => {
            let of = |text: &Traced| version(text).unwrap_or_else(|| "without a version".to_owned());
            format!("{} was {}, is {}", turn.name, of(old), of(new))
        }
        (Some(old), Some(new)) => format!("{} is another text: {} → {}", turn.name, digest(old), digest(new)),
        (None, Some(_)) => format!("{} came", turn.name),
        (_, None) => format!("{} went", turn.name),
    }
}

/// The same for people at a terminal.
pub fn text(since: &Since) -> String {
    let mut page = Vec::new();
    let of = |side: &SideOf| {
        format!("{}: revision {} of {}, by mateline {}", side.home, side.revision.id, side.revision.date, side.version)
    };
    page.push(format!("{} → {}", of(&since.old), of(&since.new)));
    page.extend(since.failures.iter().map(|failure| format!("error: {failure}")));
    if !since.texts.is_empty() {
        page.push(format!("\nOther texts: {}", since.texts.len()));
        page.extend(since.texts.iter().take(LONGEST_PART).map(|turn| format!("  {}", told(turn))));
    }
    page.push(match since.moved {
        0 => "\nNo fact moved".to_owned(),
        count => format!("\nFacts that moved: {count}"),
    });
    let word =
        |outcome: Option<Outcome>| outcome.map_or_else(|| "not judged".to_owned(), |outcome| outcome.to_string());
    page.push(match since.verdicts.len() {
        0 => "No verdict turned".to_owned(),
        count => format!("Verdicts that turned: {count}"),
    });
    for turned in since.verdicts.iter().take(LONGEST_PART) {
        let advice = if turned.severity == Severity::Advice { " [advice]" } else { "" };
        let (new, old) = (word(turned.new), word(turned.old));
        page.push(format!("  {new}, was {old}: {}  {}{advice}", turned.subject, turned.rule));
        page.push(format!("    {}", turned.message));
        page.extend(turned.why.iter().map(|why| format!("    = {why}")));
    }
    if let Some(more) = since.verdicts.len().checked_sub(LONGEST_PART).filter(|more| *more > 0) {
        page.push(format!("  … and {more} more"));
    }
    page.iter().flat_map(|lines| lines.split('\n')).map(|line| printable::line(line).into_owned() + "\n").collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;
    use crate::json::report;

    fn kept() -> JsonReport {
        report(&fixture::report(), "1.2.3")
    }

    #[test]
    fn a_report_reads_back_and_nothing_has_turned() {
        let text = serde_json::to_string(&kept()).unwrap();
        assert_eq!(Kept::read(&text), Ok(Kept::of(kept())));
        let found = since(&Kept::of(kept()), &Kept::of(kept()), "1.2.3");
        assert_eq!((found.texts.len(), found.verdicts.len(), found.moved), (0, 0, 0));
        let validator = jsonschema::validator_for(&serde_json::to_value(schema()).unwrap()).unwrap();
        assert!(validator.is_valid(&serde_json::to_value(&found).unwrap()));
        assert!(Kept::read("{}").unwrap_err().starts_with("it is no JSON report of one home"));
    }

    /// A verdict turned by its pack, by a fact and by the program, each told as that.
    #[test]
    fn why_a_verdict_turned_is_what_differs() {
        let why = |change: &dyn Fn(&mut JsonReport)| {
            let (mut old, new) = (kept(), kept());
            old.verdicts[0].verdict = Outcome::Met;
            change(&mut old);
            let found = since(&Kept::of(old), &Kept::of(new), "1.2.3");
            assert_eq!(found.verdicts.len(), 1, "{found:?}");
            assert!(found.verdicts[0].is_worse());
            found.verdicts[0].why.join("; ")
        };
        let by_program = why(&|old| old.mateline.version = "1.2.2".to_owned());
        assert_eq!(by_program, "mateline 1.2.3 judges it otherwise than 1.2.2");
        let pack = |old: &mut JsonReport| {
            let text = &mut old.packs[0].texts[0];
            (text.version, text.sha256) = (Some(1), "f".repeat(64));
        };
        assert_eq!(why(&pack), "energy-code-demo was version 1, is version 2");
        let limit = |old: &mut JsonReport| old.verdicts[0].limit = Some(JsonValue::Number(0.5));
        assert!(why(&limit).starts_with("its limit was 0.5 W/(m²·K), is 0."), "{}", why(&limit));
        assert!(why(&|old| old.revision.id = "A".to_owned()).contains("another revision"));
        assert!(why(&|_| {}).contains("the home or the program does"));
    }
}
