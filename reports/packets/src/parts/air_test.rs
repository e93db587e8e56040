//! The plan of the air tests: targets, what the next test has to show, tests made, and a form for the readings.

use crate::packet::{Block, Form, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::Drawing;
use mateline_model::home::MeasurementKind;
use mateline_reports::ReportError;

/// Pressures of a test in both directions, in the order they are set (Pa).
///
/// ISO 9972:2015 and ASTM E779-19 ask for at least five points in each direction, up to 50 or 60 Pa in steps of at most
/// 10 Pa (from memory).
const PRESSURES: [i32; 6] = [60, 50, 40, 30, 20, 10];

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let mut blocks = vec![Block::Table(targets(source))];
    let made = super::plant_tests::tests_made(source, "air-tests-made", "Air tests made", |test| {
        test.kind == MeasurementKind::BlowerDoor
    });
    if !made.rows.is_empty() {
        blocks.push(Block::Table(stages(source)));
        blocks.push(Block::Table(made));
    }
    blocks.extend(super::figures(source, |figure| {
        matches!(figure.drawing, Drawing::Chart { .. }) && figure.subject.section() == "measurements"
    })?);
    blocks.push(Block::Form(conditions()));
    blocks.push(Block::Form(readings()));
    blocks.push(Block::Form(results()));
    blocks.push(Block::Form(ducts()));
    Ok(Section { id: "air-test", title: "Airtightness test plan", blocks })
}

fn targets(source: Source<'_>) -> Table {
    let has_target =
        source.subjects("references").filter(|s| source.report.facts.get(s, "airtightness.target_q50").is_some());
    let rows = has_target.map(|subject| {
        let quantities = ["target_q50", "next_test_q50", "remaining_allowance", "chance", "predicted_chance"];
        let cells = quantities.map(|name| source.fact(subject, &format!("airtightness.{name}")));
        std::iter::once(Cell::words(subject.id())).chain(cells).collect()
    });
    let heads = [
        "Target",
        "Flow at 50 Pa in the end",
        "Next test shows at most",
        "Left for what is still open",
        "Chance by the budget",
        "Chance by the latest test",
    ];
    Table::schedule("air-test-targets", "Targets of the air tests", &heads, rows.collect()).note(
        "The next test is the one after the last that is recorded. Its flow leaves room for what is opened or closed \
         after it.",
    )
}

/// The leakage budget that goes with each test's stage.
fn stages(source: Source<'_>) -> Table {
    let tests = source.subjects("measurements");
    let rows =
        tests.filter(|subject| source.report.facts.get(subject, "airtightness.test_q50").is_some()).map(|subject| {
            let stage = source.report.home.measurements.get(subject.id()).and_then(|test| test.stage);
            let quantities = ["stage_budget_q50", "test_q50", "test_q50_low", "test_q50_high", "test_ach50", "test_r2"];
            let cells = quantities.map(|name| source.fact(subject, &format!("airtightness.{name}")));
            let stage = source.choice(format!("measurements.{}.stage", subject.id()), &stage);
            [Cell::words(subject.id()), stage].into_iter().chain(cells).collect()
        });
    let heads = ["Test", "Stage", "Budget of the stage", "Measured", "At least", "At most", "Air changes", "r²"];
    Table::schedule("air-test-stages", "Budget and result by stage", &heads, rows.collect())
}

fn conditions() -> Form {
    let names = [
        "Stage, date and hour",
        "Tester and employer",
        "Standard and method",
        "Fan: make, model, serial number, calibrated on",
        "Gauge: make, model, serial number, calibrated on",
        "Indoor and outdoor temperature",
        "Barometer or height above the sea",
        "Wind",
        "Pressure with the fan sealed, before",
        "Pressure with the fan sealed, after",
        "What was still open, what was taped",
    ];
    Form::of_names("Conditions of the test", "Filled in on the day.", &["Condition", "Reading"], names)
}

fn readings() -> Form {
    let rows = PRESSURES.map(|pressure| {
        vec![format!("-{pressure}"), String::new(), String::new(), format!("+{pressure}"), String::new(), String::new()]
    });
    Form {
        title: "Readings of the test".to_owned(),
        note:
            "Pressure inside less outside, as read; write the unit of the flow once at the top. The readings go into \
               measurements of the home file."
                .to_owned(),
        columns: ["About (Pa)", "Pressure read", "Flow", "About (Pa)", "Pressure read", "Flow"]
            .map(str::to_owned)
            .to_vec(),
        rows: rows.to_vec(),
    }
}

fn results() -> Form {
    let rows = [
        "Flow coefficient C, with its unit",
        "Exponent n",
        "r²",
        "Flow at 50 Pa",
        "Its uncertainty",
        "Air changes at 50 Pa",
        "Effective leakage area at 4 Pa",
    ];
    Form::of_names(
        "Results of the test",
        "Each direction by itself, then the mean.",
        &["Value", "Depressurisation", "Pressurisation", "Mean"],
        rows,
    )
}

fn ducts() -> Form {
    let rows = [
        "System, area of floor that it serves",
        "Fan and gauge: serial number, calibrated on",
        "Registers sealed with, air handler in place",
        "Pressure in the ducts against the room (Pa)",
        "Total flow at 25 Pa",
        "Flow to outdoors at 25 Pa, where measured",
    ];
    Form::of_names("Leakage of the air ducts", "For ducts that carry heating or cooling.", &["Value", "Reading"], rows)
}
