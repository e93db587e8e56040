//! Who can close an open point, and by when: a pure function of the home and of what is owed.
//!
//! A record is owed by whoever provides the product or the work it is about, a test by the tester, a field of the design
//! by the designer, work on a seam or a hole by whom the home names for it, a choice of how to live and a price by the
//! owner. Dates and hold points are those of the home; where it names none, none is made up.

use mateline_model::home::{EvidenceKind, Id, Measurement, MeasurementKind, Party, Stage};
use mateline_model::{Outcome, Report, Subject, Verdict};

/// A party that acts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Actor {
    /// Draws and specifies.
    Designer,
    /// Builds the boxes, and buys what is built in there.
    Plant,
    /// Sets, joins and finishes the boxes.
    SiteCrew,
    /// Measures and inspects.
    Tester,
    /// Lives there, pays, and chooses.
    Owner,
}

impl Actor {
    /// In a word or two.
    pub fn word(self) -> &'static str {
        match self {
            Actor::Designer => "designer",
            Actor::Plant => "plant",
            Actor::SiteCrew => "site crew",
            Actor::Tester => "tester",
            Actor::Owner => "owner",
        }
    }

    fn of(party: Party) -> Actor {
        match party {
            Party::Factory => Actor::Plant,
            Party::Site => Actor::SiteCrew,
        }
    }
}

/// What stands where the home names neither a date nor a hold point.
pub const NO_DATE: &str = "no date is given";

/// Who acts, and by when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Act {
    /// Who.
    pub who: Actor,
    /// The date or hold point: `before the box leaves the plant`; [`NO_DATE`] where none is named.
    pub by: String,
}

impl Act {
    /// `plant, before the box leaves the plant`; the party alone where no date is known.
    pub fn told(&self) -> String {
        let by = Some(self.by.as_str()).filter(|by| *by != NO_DATE);
        by.map_or_else(|| self.who.word().to_owned(), |by| format!("{}, {by}", self.who.word()))
    }
}

/// Where a missing thing belongs in the home, and who gives it: the first that the path begins with. What is not listed is
/// a field of the design.
const OWED_AT: &[(&str, Actor)] = &[
    ("measurements", Actor::Tester),
    ("systems.air_ducts.leakage", Actor::Tester),
    ("systems.air_ducts.tested", Actor::Tester),
    ("enclosure.inspected_by_list", Actor::Tester),
    ("approvals.state_programme", Actor::Plant),
    ("systems.readiness", Actor::Owner),
    ("rates", Actor::Owner),
];

/// What a missing value was to be measured as: the first that the quantity begins with.
const QUANTITIES: &[(&str, Actor)] = &[
    ("airtightness.test_", Actor::Tester),
    ("ventilation.measured_", Actor::Tester),
    ("materials.measured_", Actor::Tester),
];

/// What is sealed or filed, and by whom, whether it is missing or falls short: the first that the quantity begins with.
const WORK: &[(&str, Actor)] = &[
    ("airtightness.predicted_", Actor::SiteCrew),
    ("materials.product_record", Actor::Plant),
    ("materials.custody", Actor::Plant),
];

/// Fields of a seam or hole that say what was done there; the others are the designer's to draw.
const DONE_ON_THE_SPOT: [&str; 2] = ["inspected", "evidence"];

/// Who acts on a verdict that is open, and by when.
pub fn of(report: &Report, verdict: &Verdict) -> Act {
    let who = who(report, verdict);
    Act { who, by: due(report, verdict, who) }
}

/// Who owes what a verdict that is met for the time being rests on, and by when; none where it rests on nothing: a test is
/// owed by the tester, a report of a calculation by the designer. Which of them is told by what the rule says of it: a text
/// of its pack, since a firm's rules rest on what only the firm can name.
pub fn owed_for_now(report: &Report, verdict: &Verdict) -> Option<Act> {
    let owed = verdict.provisional.as_ref()?;
    if owed.contains("report") && !owed.contains("test") {
        return Some(Act { who: Actor::Designer, by: next_issue(report) });
    }
    let by = if owed.contains("final test") { at_stage(Stage::Final) } else { NO_DATE };
    Some(Act { who: Actor::Tester, by: by.to_owned() })
}

fn who(report: &Report, verdict: &Verdict) -> Actor {
    let (section, id) = (verdict.subject.section(), verdict.subject.id());
    let home = &report.home;
    let is_missing = verdict.outcome == Outcome::Unproven;
    let owed = verdict.owed.first().filter(|_| is_missing).map(|owed| &*owed.at);
    let on_the_spot = |by: Option<Party>| {
        let field = owed.and_then(|path| path.rsplit('.').next());
        let is_done_there = field.map_or(!is_missing, |field| DONE_ON_THE_SPOT.contains(&field));
        by.filter(|_| is_done_there).map(Actor::of)
    };
    let found = match section {
        "measurements" => home.measurements.get(id).map(|test| if is_missing { tester(test) } else { worker(test) }),
        "evidence" => Some(provider(report, id)),
        "finishes" if is_missing => home.finishes.get(id).and_then(|finish| {
            let named = finish.evidence.iter().find_map(|record: &Id| party_of(report, record.as_ref()));
            named.or(finish.by.map(Actor::of))
        }),
        "seams" => home.seam(id).and_then(|(_, seam)| on_the_spot(seam.by)),
        "penetrations" => home.penetrations.get(id).and_then(|hole| on_the_spot(hole.by)),
        _ => None,
    };
    let by_path = || starts(OWED_AT, owed?);
    let by_quantity = |table| starts(table, verdict.quantity.as_deref()?);
    let measured = || by_quantity(QUANTITIES).filter(|_| is_missing);
    found.or_else(by_path).or_else(measured).or_else(|| by_quantity(WORK)).unwrap_or(Actor::Designer)
}

fn starts(table: &[(&str, Actor)], text: &str) -> Option<Actor> {
    table.iter().find(|(start, _)| text.starts_with(start)).map(|(_, actor)| *actor)
}

/// Who makes a test.
fn tester(test: &Measurement) -> Actor {
    if test.stage == Some(Stage::InFactory) { Actor::Plant } else { Actor::Tester }
}

/// Who mends what a test found: the plant in its boxes, the site crew in what it sealed or set up; what stands in the air
/// comes from what was chosen.
fn worker(test: &Measurement) -> Actor {
    match (test.stage, test.kind) {
        (Some(Stage::InFactory), _) => Actor::Plant,
        (_, MeasurementKind::AirSample) => Actor::Designer,
        _ => Actor::SiteCrew,
    }
}

/// Who provides a record: whom the home names, else who makes what the record shows.
fn provider(report: &Report, id: &str) -> Actor {
    let by_kind = |kind: EvidenceKind| match kind {
        EvidenceKind::Calculation => Actor::Designer,
        EvidenceKind::Photograph => Actor::SiteCrew,
        EvidenceKind::EmissionCertificate
        | EvidenceKind::CompositeWoodLabel
        | EvidenceKind::ContentStatement
        | EvidenceKind::ProductLabel
        | EvidenceKind::TestReport
        | EvidenceKind::ChainOfCustody => Actor::Plant,
    };
    let of_kind = || report.home.evidence.get(id).map(|record| by_kind(record.kind));
    party_of(report, id).or_else(of_kind).unwrap_or(Actor::Designer)
}

/// The party that the home names for a record, by itself or by the finishes that it backs.
fn party_of(report: &Report, id: &str) -> Option<Actor> {
    let fact = report.facts.get(&Subject::element("evidence", id), "materials.evidence_owed_by")?;
    match fact.value.text()? {
        "factory" => Some(Actor::Plant),
        "site" => Some(Actor::SiteCrew),
        _ => None,
    }
}

/// By when, or at which hold point.
fn due(report: &Report, verdict: &Verdict, who: Actor) -> String {
    let (section, id) = (verdict.subject.section(), verdict.subject.id());
    let home = &report.home;
    match (section, who) {
        ("evidence", _) => {
            let ends = home.evidence.get(id).and_then(|record| record.expires);
            ends.map_or_else(|| before(who), |day| format!("by {day}, when the record ends"))
        }
        ("seams" | "penetrations", Actor::SiteCrew) => "before it is covered".to_owned(),
        (_, Actor::Designer | Actor::Owner) => next_issue(report),
        (_, Actor::Tester | Actor::SiteCrew) => {
            test_of(report, verdict).map_or_else(|| NO_DATE.to_owned(), |at| at_stage(at).to_owned())
        }
        _ => before(who),
    }
}

/// What has to be done before a party's work is out of its hands.
fn before(who: Actor) -> String {
    match who {
        Actor::Plant => "before the box leaves the plant",
        _ => NO_DATE,
    }
    .to_owned()
}

/// The issue of the papers after this one, where the home lists its issues.
fn next_issue(report: &Report) -> String {
    let (issues, this) = (&report.home.issues, &report.home.revision.id);
    let next = issues.iter().skip_while(|issue| issue.as_ref() != this.as_ref()).nth(1);
    next.map_or_else(|| NO_DATE.to_owned(), |issue| format!("with revision {issue}"))
}

/// The stage of the test that an open point waits for.
fn test_of(report: &Report, verdict: &Verdict) -> Option<Stage> {
    let tests = &report.home.measurements;
    let owed = verdict.owed.iter().find_map(|owed| owed.at.strip_prefix("measurements."));
    let named = owed.and_then(|path| path.split('.').next()).or(Some(verdict.subject.id()));
    let known = named.and_then(|id| tests.get(id)).and_then(|test| test.stage);
    let is_about_leakage = verdict.quantity.as_deref().is_none_or(|quantity| quantity.starts_with("airtightness."));
    known.or_else(|| next_stage(report).filter(|_| is_about_leakage))
}

/// The stage after the last that a test of the whole home is recorded for.
fn next_stage(report: &Report) -> Option<Stage> {
    let of_home = report.home.measurements.values().filter(|test| test.kind == MeasurementKind::BlowerDoor);
    let order = [Stage::InFactory, Stage::AfterSet, Stage::BeforeCladding, Stage::Final];
    let place = |stage: Stage| order.iter().position(|known| *known == stage);
    let last = of_home.filter_map(|test| test.stage.and_then(place)).max();
    order.get(last.map_or(2, |last| (last + 1).clamp(2, 3))).copied()
}

/// A test as a hold point.
pub fn at_stage(stage: Stage) -> &'static str {
    match stage {
        Stage::InFactory => "at the test of the box in the plant",
        Stage::AfterSet => "at the test of the set boxes",
        Stage::BeforeCladding => "at the test before cladding",
        Stage::Final => "at the final test of the finished home",
    }
}
