//! Tests in the plant: those made so far, what the test of each box may show, and a form for those still to come.

use crate::packet::{Block, Form, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::Subject;
use mateline_model::home::{Measurement, MeasurementKind, Stage};

pub(crate) fn section(source: Source<'_>) -> Section {
    let mut blocks = Vec::new();
    let made =
        tests_made(source, "plant-tests-made", "Tests made in the plant", |test| test.stage == Some(Stage::InFactory));
    blocks.push(if made.rows.is_empty() {
        Block::paragraph("No test in the plant is recorded.")
    } else {
        Block::Table(made)
    });
    blocks.push(Block::Table(pass_values(source)));
    blocks.extend(form(source).map(Block::Form));
    Section { id: "tests-in-the-plant", title: "Tests in the plant", blocks }
}

/// Tests that fit, with what came out.
pub(crate) fn tests_made(source: Source<'_>, name: &str, title: &str, fits: impl Fn(&Measurement) -> bool) -> Table {
    let rows = source.report.home.measurements.iter().filter(|(_, test)| fits(test)).map(|(id, test)| {
        let subject = Subject::element("measurements", id);
        let path = |field: &str| format!("measurements.{id}.{field}");
        vec![
            Cell::words(id.to_string()),
            source.choice(path("kind"), &test.kind),
            source.choice(path("stage"), &test.stage),
            source.named(
                path("module"),
                test.module.as_ref().map_or_else(|| "whole home".to_owned(), ToString::to_string).into(),
            ),
            source.named(path("date"), test.date.as_ref()),
            source.named(path("by"), test.by.as_ref()),
            source.named(path("method"), test.method.as_ref()),
            source.fact(&subject, "airtightness.test_q50"),
            source.fact(&subject, "airtightness.test_valid"),
        ]
    });
    let heads = ["Test", "What", "Stage", "Box", "Date", "By", "Method", "Flow at 50 Pa", "Valid"];
    Table::schedule(name, title, &heads, rows.collect())
}

/// What the test of each box may show.
fn pass_values(source: Source<'_>) -> Table {
    let rows = source.report.home.modules.keys().map(|id| {
        let subject = Subject::element("modules", id);
        vec![Cell::words(id.to_string()), source.fact(&subject, "airtightness.plant_test_q50")]
    });
    let heads = ["Box", "Flow at 50 Pa at most"];
    Table::schedule("plant-test-values", "Air test of a box in the plant, what it may show", &heads, rows.collect())
        .note("The budget of what the factory closes in the box, its mate faces taped off.")
}

/// A row for each box that no test in the plant is recorded of.
fn form(source: Source<'_>) -> Option<Form> {
    let home = &source.report.home;
    let is_tested = |id: &mateline_model::home::Id| {
        home.measurements.values().any(|test| {
            test.kind == MeasurementKind::BlowerDoor
                && test.stage == Some(Stage::InFactory)
                && test.module.as_ref() == Some(id)
        })
    };
    let boxes: Vec<&str> = home.modules.keys().filter(|id| !is_tested(id)).map(AsRef::as_ref).collect();
    (!boxes.is_empty()).then(|| {
        Form::of_names(
            "Air test of a box in the plant",
            "Mate faces and floor openings are taped first. Write the pressure with its sign and the unit of the flow; the \
             readings go into measurements of the home file with stage in-factory.",
            &["Box", "Date", "Tester", "Pressure (Pa)", "Flow and unit", "What was still open"],
            boxes,
        )
    })
}
