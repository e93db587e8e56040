//! Every blower-door test of the home: its facts, and whether it keeps to its standard.

use crate::blower_door::{self, BlowerDoor, Interval};
use crate::budget::Budget;
use crate::facts;
use crate::home_budget::{exterior, volume};
use crate::item::known;
use crate::outcome::{Worked, air_changes, flow_of, per_area, state, worked_text};
use crate::stages;
use crate::validity;
use crate::worked_test;
use mateline_model::home::{Id, Measurement, MeasurementKind, Stage};
use mateline_model::quantity::{Flow, Length, Quantity, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Subject, Term, Value};
use mateline_sdk::{Findings, Lack, Request};

/// A test with its outcome.
pub(crate) struct Tested<'a> {
    /// What its facts are about.
    pub subject: Subject,
    /// The measurement.
    pub measurement: &'a Measurement,
    /// What came out, or what keeps it from giving a number.
    pub outcome: Result<BlowerDoor, Lack>,
    /// Objections by ISO 9972.
    pub objections: Vec<String>,
    /// Objections by ASTM E779.
    pub objections_e779: Vec<String>,
}

impl Tested<'_> {
    /// Whether it is a valid test of the whole home.
    pub(crate) fn counts(&self) -> bool {
        self.is_whole() && self.outcome.is_ok() && self.objections.is_empty()
    }

    fn is_whole(&self) -> bool {
        self.measurement.module.is_none() && self.measurement.stage != Some(Stage::InFactory)
    }

    /// Tests order by stage, then by day.
    pub(crate) fn rank(&self) -> (u8, Option<mateline_model::home::Date>) {
        let stage = match self.measurement.stage {
            None | Some(Stage::InFactory) => 0,
            Some(Stage::AfterSet) => 1,
            Some(Stage::BeforeCladding) => 2,
            Some(Stage::Final) => 3,
        };
        (stage, self.measurement.date)
    }
}

/// The latest valid test of the whole home; of two of one stage and day, the later in the file.
pub(crate) fn latest<'t, 'a>(tests: &'t [Tested<'a>]) -> Option<&'t Tested<'a>> {
    tests.iter().filter(|test| test.counts()).max_by_key(|test| test.rank())
}

/// The reading of most leakage among the tests of the whole home that do not count, with nothing still open, and none of
/// them earlier than the latest that counts: what they found stands against the home though it cannot stand for it.
pub(crate) fn worst_later<'t, 'a>(tests: &'t [Tested<'a>]) -> Option<(&'t Tested<'a>, Flow)> {
    let since = latest(tests).map(Tested::rank);
    let stands_against = |test: &&Tested<'_>| {
        let is_later = since.is_none_or(|since| test.rank() >= since);
        test.is_whole() && !test.counts() && test.measurement.still_open.is_empty() && is_later
    };
    let readings = tests.iter().filter(stands_against).filter_map(|test| {
        let reading = test.outcome.as_ref().ok()?.q50().value;
        reading.is_finite().then(|| (test, Flow::from_si(reading)))
    });
    readings.max_by(|(_, one), (_, other)| one.si().total_cmp(&other.si()))
}

/// Works out every blower-door test, in the order of the file.
pub(crate) fn work_out<'a>(request: &Request<'a>) -> Vec<Tested<'a>> {
    let is_test = |(_, one): &(&Id, &Measurement)| one.kind == MeasurementKind::BlowerDoor;
    let tests = request.home.measurements.iter().filter(is_test);
    tests.map(|(id, measurement)| one(request, id, measurement)).collect()
}

fn one<'a>(request: &Request<'a>, id: &Id, measurement: &'a Measurement) -> Tested<'a> {
    let subject = Subject::element("measurements", id);
    let height = match &measurement.module {
        Some(module) => request.number(&Subject::element("modules", module), "takeoff.travel_height"),
        None => request.number(&Subject::home(), "takeoff.height"),
    };
    let height = height.map(Length::from_si);
    let outcome = blower_door::read(measurement, &request.home.site)
        .map_err(|because| Lack::at(format!("{subject}: {because}"), format!("{subject}.points")));
    let (objections, objections_e779) = match &outcome {
        Ok(test) => (validity::iso_9972(test, measurement, height), validity::astm_e779(test, measurement, height)),
        Err(lack) => (vec![lack.because.clone()], vec![lack.because.clone()]),
    };
    Tested { subject, measurement, outcome, objections, objections_e779 }
}

/// Facts of every test.
pub(crate) fn report(request: &Request<'_>, budget: &Budget, tests: &[Tested<'_>], findings: &mut Findings) {
    for test in tests {
        let at = Pointer::new(test.subject.as_str());
        verdicts(test, &at, findings);
        for (definition, outcome) in results(request, test) {
            state(findings, &test.subject, &definition, outcome, Some(&at));
        }
        let expected = stages::expected(budget, test.measurement);
        state(findings, &test.subject, &facts::STAGE_BUDGET_Q50, expected, Some(&at));
    }
}

fn verdicts(test: &Tested<'_>, at: &Pointer, findings: &mut Findings) {
    let standards: [(&QuantityDef, &QuantityDef, &str, &[String]); 2] = [
        (&facts::TEST_VALID, &facts::TEST_OBJECTION, "conditions of ISO 9972:2015", &test.objections),
        (&facts::TEST_VALID_E779, &facts::TEST_OBJECTION_E779, "conditions of ASTM E779-19", &test.objections_e779),
    ];
    for (valid, objection, standard, objections) in standards {
        let basis = || {
            let mut basis = Basis::new(standard.to_owned(), standard.to_owned()).provenance("from memory");
            basis.assumptions = objections.to_vec();
            basis.assuming("looked at: points, pressures, zero-flow pressures, exponent, height and temperatures, wind")
        };
        findings.fact_at(&test.subject, valid, Value::Flag(objections.is_empty()), basis(), at.clone());
        if !objections.is_empty() {
            state(findings, &test.subject, objection, Ok(worked_text(objections.join("; "), basis())), Some(at));
        }
    }
}

/// What comes out of a test, each with its basis or what it lacks.
fn results(request: &Request<'_>, test: &Tested<'_>) -> Vec<(QuantityDef, Result<Worked, Lack>)> {
    let subject = &test.subject;
    let outcome = || test.outcome.as_ref().map_err(Clone::clone);
    let flow = |definition: QuantityDef, of: fn(Interval) -> f64, pick: fn(&BlowerDoor) -> Interval| {
        let worked = outcome().map(|one| {
            let value = Flow::from_si(of(pick(one)));
            let result = Term::new(symbol_of(&definition), definition.label(), value, definition.units.clone());
            (Value::from(value), worked_test::basis(subject, one, result))
        });
        (definition, worked)
    };
    let exponent = |definition: QuantityDef, of: fn(Interval) -> f64| {
        let worked = outcome().map(|one| {
            let value = Quantity::plain(of(one.exponent()));
            let result = Term::new("n", definition.label(), value, facts::EXPONENT);
            (Value::Number(value), worked_test::basis(subject, one, result))
        });
        (definition, worked)
    };
    let area = |definition: QuantityDef, of: fn(&BlowerDoor) -> mateline_model::quantity::Area| {
        let worked = outcome().map(|one| {
            let result = Term::new("A", definition.label(), of(one), facts::SMALL_AREA);
            (Value::from(of(one)), worked_test::basis(subject, one, result))
        });
        (definition, worked)
    };
    let measured = || outcome().map(|one| flow_of(subject, &facts::TEST_Q50, "q50", Flow::from_si(one.q50().value)));
    vec![
        flow(facts::TEST_Q50, |one| one.value, BlowerDoor::q50),
        flow(facts::TEST_Q50_LOW, |one| one.low, BlowerDoor::q50),
        flow(facts::TEST_Q50_HIGH, |one| one.high, BlowerDoor::q50),
        (
            facts::TEST_Q50_E779,
            outcome().map(|one| {
                let value = one.q50_e779();
                let result = Term::new("q50", facts::TEST_Q50_E779.label(), value, Units::HOURLY_FLOW);
                (Value::from(value), worked_test::basis_e779(subject, one, result))
            }),
        ),
        exponent(facts::TEST_EXPONENT, |one| one.value),
        exponent(facts::TEST_EXPONENT_LOW, |one| one.low),
        exponent(facts::TEST_EXPONENT_HIGH, |one| one.high),
        flow(facts::TEST_C, |one| one.value, BlowerDoor::coefficient),
        flow(facts::TEST_C_LOW, |one| one.low, BlowerDoor::coefficient),
        flow(facts::TEST_C_HIGH, |one| one.high, BlowerDoor::coefficient),
        (
            facts::TEST_R2,
            outcome().and_then(|one| {
                let r2 = one.r2().ok_or_else(|| Lack::at("a single point has no fit", format!("{subject}.points")))?;
                let result = Term::new("r²", facts::TEST_R2.label(), Quantity::plain(r2), Units::plain(4));
                Ok((Value::Number(Quantity::plain(r2)), worked_test::basis(subject, one, result)))
            }),
        ),
        (facts::TEST_ACH50, measured().and_then(|flow| tested_volume(request, test, flow))),
        (facts::TEST_Q50_PER_AREA, measured().and_then(|flow| tested_area(request, test, flow))),
        area(facts::TEST_ELA4, BlowerDoor::ela4),
        area(facts::TEST_EQLA10, BlowerDoor::eqla10),
    ]
}

fn symbol_of(definition: &QuantityDef) -> &'static str {
    if definition.name.starts_with("airtightness.test_c") { "C_L" } else { "q50" }
}

/// Air changes of the home, or of one box by its exterior volume.
fn tested_volume(request: &Request<'_>, test: &Tested<'_>, flow: Term) -> Result<Worked, Lack> {
    let Some(module) = &test.measurement.module else { return air_changes(flow, volume(request)?) };
    let subject = Subject::element("modules", module);
    let meaning = "volume of the box by exterior dimensions";
    let (value, basis) = air_changes(flow, known(request, &subject, "takeoff.volume", "V", meaning, Units::VOLUME)?)?;
    Ok((value, basis.assuming("one box in the plant is taken with its exterior volume")))
}

/// Flow per area of the home's envelope, or of one box's exposed faces.
fn tested_area(request: &Request<'_>, test: &Tested<'_>, flow: Term) -> Result<Worked, Lack> {
    let Some(module) = &test.measurement.module else { return per_area(flow, exterior(request)?) };
    let subject = Subject::element("modules", module);
    let meaning = "exposed area of the box";
    let (value, basis) =
        per_area(flow, known(request, &subject, "takeoff.exposed_area", "A_E", meaning, Units::AREA)?)?;
    Ok((value, basis.assuming("one box in the plant is taken with the faces that stay exposed after set")))
}

/// The measured flow of a test as a term, for sums that go on from it.
pub(crate) fn measured(test: &Tested<'_>, flow: Flow) -> Term {
    flow_of(&test.subject, &facts::TEST_Q50, "q50", flow)
}
