//! Records on the day of judging, which is the revision's: valid, expired, not yet issued, or not shown.

use crate::facts;
use indexmap::IndexMap;
use mateline_model::home::{Date, Evidence, EvidenceKind, Home, Id, Party};
use mateline_model::quantity::{Duration, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack, Request};
use serde::Deserialize;

/// The state of a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Neither a date nor a file is named: it has not arrived.
    Missing,
    /// A first day is not named, or no last one where records of the kind end.
    NoDates,
    /// It is of a kind that ends, gives no last day, and no pack says how old it may be.
    NoEnd,
    /// It gives no last day, and is older than a pack lets such a record be.
    TooOld,
    /// Its last day is past.
    Expired,
    /// Its first day is to come.
    NotYetIssued,
    /// It holds on the day, first and last day included.
    Valid,
}

impl State {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            State::Missing => "missing",
            State::NoDates => "no-dates",
            State::NoEnd => "no-end",
            State::TooOld => "too-old",
            State::Expired => "expired",
            State::NotYetIssued => "not-yet-issued",
            State::Valid => "valid",
        }
    }

    /// Whether a yes or no can be said of it.
    pub fn is_shown(self) -> bool {
        !matches!(self, State::Missing | State::NoDates | State::NoEnd | State::TooOld)
    }
}

/// How old a record without a last day may be, by kind, as the packs say: the least where several do.
#[derive(Clone, Debug, Default)]
pub struct Limits(Vec<(EvidenceKind, f64)>);

impl Limits {
    /// The settings `greatest_age` of the packs.
    ///
    /// # Errors
    /// When a pack names no kind of record or gives no age.
    pub fn of(settings: &[(String, serde_json::Value)]) -> Result<Limits, String> {
        let mut found = Vec::new();
        for (pack, setting) in settings {
            let Some(ages) = setting.get("greatest_age").and_then(serde_json::Value::as_object) else { continue };
            for (kind, age) in ages {
                let wrong = |error: String| format!("{pack}: greatest_age: {kind}: {error}");
                let known = EvidenceKind::deserialize(serde_json::Value::String(kind.clone()));
                let known = known.map_err(|error| wrong(error.to_string()))?;
                let text = age.as_str().unwrap_or_default();
                let age = text.parse::<Duration>().map_err(|error| wrong(error.to_string()))?;
                found.push((known, age.si()));
            }
        }
        Ok(Limits(found))
    }

    /// The greatest age (s) of a record of this kind.
    fn of_kind(&self, kind: EvidenceKind) -> Option<f64> {
        self.0.iter().filter(|(known, _)| *known == kind).map(|(_, age)| *age).min_by(f64::total_cmp)
    }
}

/// Whether records of a kind are renewed, so that one without a last day says nothing by itself.
fn ends(kind: EvidenceKind) -> bool {
    kind == EvidenceKind::EmissionCertificate
}

/// The state of a record on a day.
pub fn state(record: &Evidence, on: Date, limits: &Limits) -> State {
    match (record.issued, record.expires) {
        (None, None) if record.file.is_none() => State::Missing,
        (None, None) => State::NoDates,
        (_, Some(expires)) if expires < on => State::Expired,
        (Some(issued), _) if issued > on => State::NotYetIssued,
        (None, _) => State::NoDates,
        (Some(issued), None) => match limits.of_kind(record.kind) {
            Some(age) if days(issued, on) * DAY > age => State::TooOld,
            Some(_) => State::Valid,
            None if ends(record.kind) => State::NoEnd,
            None => State::Valid,
        },
        _ => State::Valid,
    }
}

/// Days from one date to another.
fn days(from: Date, to: Date) -> f64 {
    f64::from(from.0.until(to.0).map_or(0, |span| span.get_days()))
}

/// Seconds of a day.
const DAY: f64 = 86_400.0;

/// What was found of the files of records, by record: read by the engine, since plugins open no files.
#[derive(Debug, Default, Deserialize)]
struct Files {
    #[serde(default)]
    evidence_files: IndexMap<String, FileFound>,
}

/// One file.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
enum FileFound {
    /// The SHA-256 of its bytes, in hexadecimal.
    Sha256(String),
    /// Why it could not be read.
    Lacks(String),
}

impl Files {
    fn of(settings: &[(String, serde_json::Value)]) -> Files {
        let found = settings.iter().find(|(_, setting)| setting.get("evidence_files").is_some());
        found.and_then(|(_, setting)| serde_json::from_value(setting.clone()).ok()).unwrap_or_default()
    }

    /// Whether a record's file is there, and its SHA-256.
    fn report(&self, id: &Id, subject: &Subject, findings: &mut Findings) {
        let at = Pointer::new(format!("{subject}.file"));
        match self.evidence_files.get(id.as_ref()) {
            Some(FileFound::Sha256(hash)) => {
                let hash = || Value::Text(hash.clone());
                let term = Term::new("hash", "SHA-256 of the file's bytes", hash(), Units::plain(0));
                let step = Step::procedure("hash = SHA-256(file)").term(term.given(at.path.clone()));
                let basis = Basis::new("the file as it lies in the project folder", "FIPS 180-4").step(step);
                findings.fact_at(subject, &facts::EVIDENCE_FILE_PRESENT, Value::Flag(true), basis.clone(), at.clone());
                findings.fact_at(subject, &facts::EVIDENCE_SHA256, hash(), basis, at);
            }
            other => {
                let because = match other {
                    Some(FileFound::Lacks(why)) => why.clone(),
                    _ => "the files of records have not been read".to_owned(),
                };
                for quantity in [&facts::EVIDENCE_FILE_PRESENT, &facts::EVIDENCE_SHA256] {
                    findings.missing(subject, quantity, because.clone(), Some(at.clone()));
                }
            }
        }
    }
}

/// Facts of every record.
pub(crate) fn report(request: &Request<'_>, limits: &Limits, findings: &mut Findings) {
    let home = request.home;
    let files = Files::of(request.settings);
    for (id, record) in &home.evidence {
        let subject = Subject::element("evidence", id);
        dates(home, &subject, record, limits, findings);
        let named = record.file.is_some();
        let path = if named { format!("{subject}.file") } else { subject.to_string() };
        let term = Term::new("named", "file", Value::Flag(named), Units::plain(0)).given(path);
        let basis = Basis::new("as given", "the home").step(Step::procedure("named").term(term));
        findings.flag(&subject, &facts::EVIDENCE_FILE_NAMED, named, basis);
        if named {
            files.report(id, &subject, findings);
        }
        uses(home, id, record, &subject, findings);
    }
}

fn dates(home: &Home, subject: &Subject, record: &Evidence, limits: &Limits, findings: &mut Findings) {
    let on = home.revision.date;
    let state = state(record, on, limits);
    let date = |symbol: &'static str, meaning: &str, date: Date| {
        Term::new(symbol, meaning, Value::Text(date.to_string()), Units::plain(0))
    };
    let day = || date("day", "day of judging", on).given("revision.date");
    let mut step = Step::procedure("first day ≤ day ≤ last day").term(day());
    if let Some(issued) = record.issued {
        step = step.term(date("first day", "issued", issued).given(format!("{subject}.issued")));
    }
    if let Some(expires) = record.expires {
        step = step.term(date("last day", "expires", expires).given(format!("{subject}.expires")));
    }
    let result = Term::new("state", "on the day", Value::Text(state.word().to_owned()), Units::plain(0));
    let mut basis = Basis::new("dates of the record against the day of judging", "common practice, no source");
    basis = basis.step(step.result(result));
    if state == State::Valid && record.expires.is_none() {
        basis = basis.assuming(match limits.of_kind(record.kind) {
            Some(age) => format!("without a last day it holds for {} d, as a pack says", age / DAY),
            None => "a record of this kind does not end".to_owned(),
        });
    }
    findings.text(subject, &facts::EVIDENCE_STATE, state.word(), basis.clone());
    if state.is_shown() {
        let field = if record.expires.is_some() { "expires" } else { "issued" };
        let at = Pointer::new(format!("{subject}.{field}"));
        findings.fact_at(subject, &facts::EVIDENCE_VALID, Value::Flag(state == State::Valid), basis, at);
    } else {
        lack(subject, state).write(subject, &[&facts::EVIDENCE_VALID], findings);
    }
    match record.expires {
        Some(expires) => {
            let left = Duration::from_si(days(on, expires) * DAY);
            let step = Step::procedure("days = last day − day")
                .term(date("last day", "expires", expires).given(format!("{subject}.expires")))
                .term(day())
                .result(Term::new("days", "days left", left, Units::DAYS));
            let basis = Basis::new("days between two dates", "common practice, no source").step(step);
            findings.fact_at(
                subject,
                &facts::EVIDENCE_DAYS_LEFT,
                left,
                basis,
                Pointer::new(format!("{subject}.expires")),
            );
        }
        None => {
            let lack = Lack::at(format!("{subject} gives no last day"), subject.as_str());
            lack.write(subject, &[&facts::EVIDENCE_DAYS_LEFT], findings);
        }
    }
}

/// Why a record shows nothing.
pub(crate) fn lack(subject: &Subject, state: State) -> Lack {
    let because = match state {
        State::NoDates => format!("{subject} does not say when it was issued"),
        State::NoEnd => format!("{subject} gives no last day, and no pack says how old it may be"),
        State::TooOld => format!("{subject} gives no last day, and is older than a pack lets it be"),
        _ => format!("{subject} has no date and no file: the record has not arrived"),
    };
    Lack::at(because, subject.as_str())
}

/// Which finishes rest on it, and who owes it.
fn uses(home: &Home, id: &Id, record: &Evidence, subject: &Subject, findings: &mut Findings) {
    let users: Vec<_> = home.finishes.iter().filter(|(_, finish)| finish.evidence.contains(id)).collect();
    let mut step = Step::procedure("n = Σ 1");
    for (finish, _) in users.iter().take(40) {
        let term = Term::new("1", (*finish).to_string(), 1.0, Units::plain(0));
        step = step.term(term.given(format!("finishes.{finish}.evidence")));
    }
    let step = step.result(Term::new("n", "finishes that name it", users.len() as f64, Units::plain(0)));
    let basis = Basis::new("finishes that name the record, counted", "the home").step(step);
    findings.count(subject, &facts::EVIDENCE_USES, users.len(), basis);

    let appliers: Vec<(String, Party)> =
        users.iter().filter_map(|(finish, user)| Some((format!("finishes.{finish}.by"), user.by?))).collect();
    let owed = match (record.owed_by, appliers.as_slice()) {
        (Some(party), _) => Some((party, format!("{subject}.owed_by"))),
        (None, [(path, first), rest @ ..]) if rest.iter().all(|(_, party)| party == first) => {
            Some((*first, path.clone()))
        }
        _ => None,
    };
    match owed {
        Some((party, path)) => {
            let word = match party {
                Party::Factory => "factory",
                Party::Site => "site",
            };
            let term = Term::new("party", "who provides it", Value::Text(word.to_owned()), Units::plain(0)).given(path);
            let basis = Basis::new("as given, or who applies the finishes it backs", "the home");
            findings.text(subject, &facts::EVIDENCE_OWED_BY, word, basis.step(Step::procedure("party").term(term)));
        }
        None => {
            let because = format!("{subject} does not say who owes it, and its finishes name no one party");
            findings.missing(subject, &facts::EVIDENCE_OWED_BY, because, Some(Pointer::new(subject.as_str())));
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn on(issued: Option<&str>, expires: Option<&str>, file: bool, day: &str) -> State {
        let record = serde_json::json!({
            "kind": "emission-certificate", "issued": issued, "expires": expires, "file": file.then_some("a.pdf"),
        });
        let year = [("p".to_owned(), serde_json::json!({"greatest_age": {"emission-certificate": "365 d"}}))];
        state(&serde_json::from_value(record).unwrap(), day.parse().unwrap(), &Limits::of(&year).unwrap())
    }

    #[test]
    fn first_and_last_day_are_included() {
        let (first, last) = (Some("2026-02-01"), Some("2027-02-01"));
        for (day, expected) in [
            ("2026-01-31", State::NotYetIssued),
            ("2026-02-01", State::Valid),
            ("2027-02-01", State::Valid),
            ("2027-02-02", State::Expired),
        ] {
            assert_eq!(on(first, last, true, day), expected, "{day}");
        }
    }

    /// 365 days from 2026-02-01 end on 2027-02-01.
    #[test]
    fn without_a_last_day_the_age_counts() {
        let first = Some("2026-02-01");
        assert_eq!(on(first, None, false, "2027-02-01"), State::Valid);
        assert_eq!(on(first, None, false, "2027-02-02"), State::TooOld);
        let record =
            |kind: &str| serde_json::from_value(serde_json::json!({"kind": kind, "issued": "2026-02-01"})).unwrap();
        let day = "2056-10-05".parse().unwrap();
        assert_eq!(state(&record("emission-certificate"), day, &Limits::default()), State::NoEnd);
        assert_eq!(state(&record("photograph"), day, &Limits::default()), State::Valid);
        for wrong in [
            serde_json::json!({"greatest_age": {"card": "1 d"}}),
            serde_json::json!({"greatest_age": {"photograph": "1 ft"}}),
        ] {
            assert!(Limits::of(&[("p".to_owned(), wrong)]).is_err());
        }
    }

    #[test]
    fn what_is_not_dated_is_not_shown() {
        assert_eq!(on(None, None, false, "2026-10-05"), State::Missing);
        assert_eq!(on(None, None, true, "2026-10-05"), State::NoDates);
        assert_eq!(on(None, Some("2026-02-01"), false, "2026-10-05"), State::Expired);
        assert_eq!(on(None, Some("2027-02-01"), false, "2026-10-05"), State::NoDates);
    }
}
