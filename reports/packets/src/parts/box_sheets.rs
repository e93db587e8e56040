//! A sheet for each box: what it weighs and how it is set, what is sealed where and seen by whom, its openings, what is
//! built into it in the plant, what is left for the site, and its own test.
//!
//! What a hand looks for at a seal is common practice, no source.

use super::allowed::{self, is_in};
use crate::packet::{self, Block, Pair, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::home::{Id, Module, Party, Penetration, SeamSeal};
use mateline_model::quantity::by_tape;
use mateline_model::{Drawing, ElevationPart, Figure, PlanItem, PlanSeam, Subject};
use mateline_reports::{ReportError, figures};

/// The rule that holds the test of a box against its budget, whichever pack it stands in; names of rules are stable.
const PLANT_TEST: &str = "plant-test-within-budget";
/// Left free for a hand.
const BLANK: &str = "________";

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let mut blocks = vec![Block::paragraph(
        "One sheet for each box, to hang beside it. A hold point is signed before anything covers it. What stands as \
         ________ is not in the home file: the plant or its engineer gives it.",
    )];
    for (id, module) in &source.report.home.modules {
        blocks.push(Block::Page { title: format!("Box {id}") });
        blocks.push(Block::Pairs { pairs: facts(source, id, module) });
        blocks.extend(drawing(source, id)?);
        blocks.push(Block::Table(hold_points(source, id)));
        blocks.push(Block::Table(openings(source, id)));
        blocks.push(Block::Table(allowed::built_in(source, id)));
        blocks.push(Block::Table(allowed::refused(source, id)));
        blocks.push(Block::Table(left_for_site(source, id)));
        blocks.push(Block::SignOff { parties: vec![format!("Box {id}: plant quality"), "Inspection body".to_owned()] });
    }
    Ok(Section { id: "box-sheets", title: "Box by box", blocks })
}

/// The box by itself in plan: what the plan of its level shows of it.
fn drawing(source: Source<'_>, id: &Id) -> Result<Option<Block>, ReportError> {
    let report = source.report;
    let subject = Subject::element("modules", id);
    for figure in &report.figures {
        let Drawing::Plan { boxes, seams, openings, within, note, .. } = &figure.drawing else { continue };
        let Some(own) = boxes.iter().find(|drawn| drawn.label == id.as_ref()) else { continue };
        let of_box = |part: &&ElevationPart| {
            let opening = report.home.openings.iter().find(|(opening, _)| part.label == opening.as_ref());
            opening.is_some_and(|(_, opening)| opening.module == *id)
        };
        let openings: Vec<ElevationPart> = openings.iter().filter(of_box).cloned().collect();
        let within: Vec<PlanItem> = within.iter().filter(|item| item.of == id.as_ref()).cloned().collect();
        let seams: Vec<PlanSeam> =
            seams.iter().filter(|seam| beside(source, &seam.label, id).is_some()).cloned().collect();
        let told: Vec<&str> = openings
            .iter()
            .map(|part| part.words.as_str())
            .chain(within.iter().map(|item| item.words.as_str()))
            .collect();
        let one = Figure {
            subject,
            key: "packets.box".into(),
            title: format!("Box {id} in plan"),
            alternative: format!(
                "Box {id} in plan, with {}.",
                if told.is_empty() { "nothing".to_owned() } else { told.join("; ") }
            ),
            drawing: Drawing::Plan {
                boxes: vec![own.clone()],
                below: Vec::new(),
                seams,
                openings,
                within,
                note: note.clone(),
            },
        };
        let drawn = format!("box-{id}");
        let svg = figures::svg(report, &one, &drawn)?;
        return Ok(svg.map(|svg| {
            Block::Figure(packet::Figure { id: drawn, title: one.title, alternative: one.alternative, svg })
        }));
    }
    Ok(None)
}

/// What the box is, and how it travels, is set and is tested.
fn facts(source: Source<'_>, id: &Id, module: &Module) -> Vec<Pair> {
    let subject = Subject::element("modules", id);
    let pair = |name: &str, value: Cell| Pair { name: name.to_owned(), value };
    let size = ["takeoff.travel_length", "takeoff.travel_width", "takeoff.travel_height"];
    let size: Vec<String> = size.iter().map(|quantity| source.fact(&subject, quantity).text).collect();
    let weight = super::boxes::weight(source, &subject);
    let weight = if module.weight.is_some() {
        weight
    } else {
        Cell::words(format!("{}; {}", weight.text, super::boxes::ENVELOPE_ONLY))
    };
    let stacked = |other: &str| {
        let kind = source.report.facts.get(&Subject::element("seams", other), "takeoff.seam_kind");
        kind.and_then(|fact| fact.value.text()) == Some("stacked")
    };
    let level = |other: &Id| source.report.home.modules.get(other).map_or(0, |module| module.level);
    let others = || source.subjects("seams").filter_map(|seam| Some((seam.id(), beside(source, seam.id(), id)?)));
    let list = |ids: Vec<String>| if ids.is_empty() { "none".to_owned() } else { words::joined(&ids) };
    let below = others().filter(|(seam, other)| stacked(seam) && level(other) < module.level);
    let above = others().filter(|(seam, other)| stacked(seam) && level(other) > module.level);
    let side = others().filter(|(seam, _)| !stacked(seam));
    let names = |ids: &mut dyn Iterator<Item = (&str, &Id)>| list(ids.map(|(_, other)| other.to_string()).collect());
    let set = format!(
        "level {}; on {}, beside {}, under {}; number in the order of setting {BLANK}",
        module.level,
        names(&mut { below }),
        names(&mut { side }),
        names(&mut { above })
    );
    let tested = source.report.home.measurements.iter().find(|(_, test)| {
        test.stage == Some(mateline_model::home::Stage::InFactory) && test.module.as_ref() == Some(id)
    });
    let shown = tested.map_or_else(
        || Cell::words(BLANK),
        |(test, _)| {
            let test = Subject::element("measurements", test);
            let shown = source.fact_or(&test, "airtightness.test_q50", BLANK);
            let judged = source.judged().find(|verdict| verdict.subject == test && verdict.rule == PLANT_TEST);
            let state = judged.map(|verdict| format!(", {}", source.outcome(verdict).text)).unwrap_or_default();
            Cell::words(format!("{}{state}", shown.text))
        },
    );
    vec![
        pair("Length, width, height", Cell::words(size.join(" × "))),
        pair("Weight", weight),
        pair("Weighed", Cell::words(BLANK)),
        pair("Lifting points and rigging, by the plant's engineer", Cell::words(BLANK)),
        pair("Set", Cell::words(set)),
        pair("Weather wrap: product, seams taped, open faces closed", Cell::words(BLANK)),
        pair(
            "Air test in the plant at 50 Pa, passes at",
            source.fact_or(&subject, "airtightness.plant_test_q50", BLANK),
        ),
        pair("Air test in the plant at 50 Pa, showed", shown),
    ]
}

/// The box on the other side of a seam of this box.
fn beside<'a>(source: Source<'a>, seam: &str, id: &Id) -> Option<&'a Id> {
    let mut others = source.report.home.modules.keys().filter(|other| *other != id);
    others.find(|other| seam == format!("{id}-{other}") || seam == format!("{other}-{id}"))
}

/// One row for each seam and hole of the box that the plant seals: with what, and what a hand looks for.
fn hold_points(source: Source<'_>, id: &Id) -> Table {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for seam in source.subjects("seams").filter(|seam| beside(source, seam.id(), id).is_some()) {
        let Some((entry, described)) = source.report.home.seam(seam.id()) else { continue };
        let seals =
            described.sealed_by.iter().filter(|seal| matches!(seal, SeamSeal::FactoryGasket | SeamSeal::Membrane));
        for seal in seals {
            rows.push(vec![
                Cell::words(format!("mate line {}", seam.id())),
                Cell::words("1"),
                source.named(format!("seams.{entry}.sealed_by"), Some(words::of(seal).replace("factory ", ""))),
                source.named(format!("seams.{entry}.detail"), described.detail.as_ref()),
                Cell::words(super::seals::of_seam(*seal)),
                Cell::words(BLANK),
            ]);
        }
    }
    for (hole_id, hole) in holes(source, id, Party::Factory) {
        rows.push(vec![
            Cell::words(hole_id.to_string()),
            source.count(format!("penetrations.{hole_id}.count"), hole.count),
            source.choice(format!("penetrations.{hole_id}.seal"), &hole.seal),
            Cell::words(
                hole.diameter
                    .map_or_else(String::new, |size| format!("{} diameter", by_tape(size.si(), source.report.units))),
            ),
            Cell::words(hole.seal.map_or("how it is sealed is not given", super::seals::of_hole)),
            Cell::words(BLANK),
        ]);
    }
    let heads = ["Seam or hole", "Count", "Sealed with", "Detail, size", "Seen when", "Initials, date"];
    Table::schedule(&format!("hold-points-{id}"), &format!("Box {id}: hold points"), &heads, rows)
        .note("Signed before it is covered. What a hand looks for is common practice, no source.")
}

fn holes<'a>(source: Source<'a>, id: &Id, by: Party) -> impl Iterator<Item = (&'a Id, &'a Penetration)> {
    let holes = source.report.home.penetrations.iter();
    holes.filter(move |(_, hole)| hole.module == *id && hole.by == Some(by))
}

/// The openings of the box, as the plant frames them.
fn openings(source: Source<'_>, id: &Id) -> Table {
    let here = source.report.home.openings.iter().filter(|(_, opening)| opening.module == *id);
    let rows = here.map(|(name, opening)| {
        let path = |field: &str| format!("openings.{name}.{field}");
        let size = |field: &str, length| source.by_tape(path(field), length);
        vec![
            Cell::words(name.to_string()),
            source.choice(path("kind"), &opening.kind),
            source.choice(path("face"), &opening.face),
            source.count(path("count"), opening.count),
            size("width", Some(opening.width)),
            size("height", Some(opening.height)),
            opening.sill.map_or_else(|| Cell::words("–"), |sill| size("sill", Some(sill))),
            source.shown_by(
                &format!("openings.{name}"),
                &[
                    ("product", opening.product.as_ref()),
                    ("detail", opening.detail.as_ref()),
                    ("drawing", opening.drawing.as_ref()),
                ],
            ),
        ]
    });
    let heads = ["Opening", "Kind", "Face", "Count", "Rough width", "Rough height", "Sill", "Product, detail, drawing"];
    Table::schedule(&format!("openings-{id}"), &format!("Box {id}: openings"), &heads, rows.collect())
}

/// What the site closes or applies, with how much of it.
fn left_for_site(source: Source<'_>, id: &Id) -> Table {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let row = |what: String, which: String, amount: Cell| {
        vec![Cell::words(what), Cell::words(which), amount, Cell::words(BLANK)]
    };
    for seam in source.subjects("seams").filter(|seam| beside(source, seam.id(), id).is_some()) {
        let seals = source.report.home.seam(seam.id()).into_iter().flat_map(|(_, seam)| seam.sealed_by.iter());
        let on_site = seals.filter(|seal| !matches!(seal, SeamSeal::FactoryGasket | SeamSeal::Membrane));
        rows.extend(on_site.map(|seal| {
            row(
                words::of(seal).replace("site ", ""),
                format!("mate line {}", seam.id()),
                source.fact(seam, "takeoff.seam_length"),
            )
        }));
    }
    for (name, hole) in holes(source, id, Party::Site) {
        let seal = hole.seal.map_or_else(|| "seal not given".to_owned(), |seal| words::of(&seal));
        rows.push(row(seal, name.to_string(), source.count(format!("penetrations.{name}.count"), hole.count)));
    }
    let finishes = source.report.home.finishes.iter();
    for (name, finish) in finishes.filter(|(_, finish)| finish.by == Some(Party::Site) && is_in(source, finish, id)) {
        let area = source.fact(&Subject::element("finishes", name), "materials.area");
        let whole = Cell::words(format!("{} in all its rooms", area.text));
        rows.push(row(finish.category.replace('-', " "), name.to_string(), whole));
    }
    let heads = ["What", "For", "How much", "Ships with the box, count"];
    Table::schedule(&format!("left-for-site-{id}"), &format!("Box {id}: left for the site"), &heads, rows)
        .note("The home file does not say what of it ships loose with the box: write the count of packages.")
}
