//! The mate lines: which boxes meet, how long the seam is, who closes it when and with what.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::home::{Junction, JunctionKind, JunctionSection, SeamSeal, are_one_seam};
use mateline_model::quantity::{Length, Units};
use mateline_model::{Drawing, Fact, Subject};
use mateline_reports::ReportError;

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let mut blocks = vec![Block::Table(schedule(source))];
    blocks.extend(super::figures(source, |figure| matches!(figure.drawing, Drawing::SeamPlan { .. }))?);
    Ok(Section { id: "mate-lines", title: "Mate lines", blocks })
}

fn schedule(source: Source<'_>) -> Table {
    let rows = source.subjects("seams").map(|subject| {
        let (id, seam) = source.report.home.seam(subject.id()).unzip();
        let path = |field: &str| format!("seams.{}.{field}", id.map_or("", AsRef::as_ref));
        let named = |field: &str, text: String| {
            if text.is_empty() { Cell::words("not given") } else { source.named(path(field), Some(text)) }
        };
        let seals: Vec<SeamSeal> = seam.map(|seam| seam.sealed_by.iter().copied().collect()).unwrap_or_default();
        let inspected = match seam.and_then(|seam| seam.inspected) {
            Some(true) => source.named(path("inspected"), Some("yes, before it is covered")),
            Some(false) => source.named(path("inspected"), Some("no")),
            None => Cell::words("not given"),
        };
        vec![
            Cell::words(subject.id()),
            source.fact(subject, "takeoff.seam_kind"),
            source.fact(subject, "takeoff.seam_length"),
            gap(source, subject),
            gasket(source, subject),
            named("sealed_by", of(&seals, true)),
            named("sealed_by", of(&seals, false)),
            source.choice(path("by"), &seam.and_then(|seam| seam.by)),
            inspected,
            source.named(path("detail"), seam.and_then(|seam| seam.detail.as_ref())),
            source.shown_by(
                &format!("seams.{}", id.map_or("", AsRef::as_ref)),
                &[
                    ("product", seam.and_then(|seam| seam.product.as_ref())),
                    ("drawing", seam.and_then(|seam| seam.drawing.as_ref())),
                ],
            ),
            source.fact(subject, "airtightness.q50"),
        ]
    });
    let heads = [
        "Mate line",
        "Kind",
        "Length through the air barrier",
        "Gap",
        "Gasket",
        "Fixed in the plant",
        "Closed on site",
        "Closed by",
        "Inspected",
        "Detail",
        "Product, drawing",
        "Leakage budget at 50 Pa",
    ];
    Table::schedule("mate-lines", "Schedule of mate-line seals", &heads, rows.collect()).note(
        "What is fixed in the plant travels with the box and has to be whole when it is set; what is closed on site \
         follows before anything covers the seam. Gap and gasket are those of the section that is drawn and was solved.",
    )
}

/// The sizes of the sections drawn through a mate line, each with its path: of one that names it, else of those of its kind.
fn drawn<'a>(
    source: Source<'a>,
    subject: &Subject,
    field: &'static str,
    size: impl Fn(&JunctionSection) -> Option<Length>,
) -> Vec<(String, Length)> {
    let kind = source.report.facts.get(subject, "takeoff.seam_kind").and_then(|fact| fact.value.text());
    let fits = |junction: &Junction| match junction.kind {
        JunctionKind::MateWall | JunctionKind::MateFloor | JunctionKind::MateRoof => kind == Some("side-by-side"),
        JunctionKind::StackedRim => kind == Some("stacked"),
        _ => false,
    };
    let is_here = |junction: &Junction| junction.seam.as_ref().is_none_or(|seam| are_one_seam(seam, subject.id()));
    let here = source.report.home.junctions.iter().filter(|(_, junction)| fits(junction) && is_here(junction));
    here.filter_map(|(id, junction)| {
        Some((format!("junctions.{id}.section.{field}"), junction.section.as_deref().and_then(&size)?))
    })
    .collect()
}

/// The gap of a mate line: as its section is drawn, else as the boxes stand.
fn gap(source: Source<'_>, subject: &Subject) -> Cell {
    let stands_open = |fact: &&Fact| fact.value.number().is_some_and(|gap| gap.si > 0.0);
    let boxes = source.report.facts.get(subject, "takeoff.gap").filter(stands_open);
    one_of(source, &drawn(source, subject, "gap", |section| section.gap))
        .or_else(|| boxes.map(|fact| source.of(fact)))
        .unwrap_or_else(|| Cell::words("usual size"))
}

/// The depth of the gasket in the gap, as the section is drawn.
fn gasket(source: Source<'_>, subject: &Subject) -> Cell {
    one_of(source, &drawn(source, subject, "gasket", |section| section.gasket))
        .unwrap_or_else(|| Cell::words("usual size"))
}

/// The size that all sections have; all of them where they differ.
fn one_of(source: Source<'_>, sizes: &[(String, Length)]) -> Option<Cell> {
    let cells = sizes.iter().map(|(path, size)| source.given(path.clone(), Some(*size), &Units::THICKNESS));
    let mut cells: Vec<Cell> = cells.collect();
    cells.dedup_by(|one, other| one.text == other.text);
    match cells.as_slice() {
        [] => None,
        [one] => Some(one.clone()),
        several => Some(Cell::words(words::joined(&several.iter().map(|cell| cell.text.clone()).collect::<Vec<_>>()))),
    }
}

/// The seals of one party. A seal's name says who brings it; a membrane is fixed in the plant and lapped on site.
fn of(seals: &[SeamSeal], plant: bool) -> String {
    let here = |seal: &SeamSeal| match seal {
        SeamSeal::FactoryGasket => plant,
        SeamSeal::SiteGasket | SeamSeal::SiteTape | SeamSeal::SiteSealant | SeamSeal::SiteFoam => !plant,
        SeamSeal::Membrane => true,
    };
    let word = |seal: &SeamSeal| match (seal, plant) {
        (SeamSeal::FactoryGasket, _) => "gasket".to_owned(),
        (SeamSeal::Membrane, true) => "membrane with a loose end".to_owned(),
        (SeamSeal::Membrane, false) => "membrane lapped and sealed".to_owned(),
        (other, _) => words::of(other).replace("site ", ""),
    };
    let list: Vec<String> = seals.iter().filter(|seal| here(seal)).map(word).collect();
    match (list.is_empty(), seals.is_empty()) {
        (true, false) => "nothing".to_owned(),
        _ => words::joined(&list),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_party_finds_its_seals() {
        let seals = [SeamSeal::FactoryGasket, SeamSeal::SiteTape];
        assert_eq!((of(&seals, true), of(&seals, false)), ("gasket".to_owned(), "tape".to_owned()));
        assert_eq!(of(&[SeamSeal::SiteFoam], true), "nothing");
        assert_eq!(of(&[], true), "");
    }
}
