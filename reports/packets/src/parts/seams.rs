//! The mate lines: which boxes meet, how long the seam is, who closes it when and with what.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::home::{Seam, SeamSeal};
use mateline_model::{Drawing, Subject};
use mateline_reports::ReportError;

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let mut blocks = vec![Block::Table(schedule(source))];
    blocks.extend(super::figures(source, |figure| matches!(figure.drawing, Drawing::SeamPlan { .. }))?);
    Ok(Section { id: "mate-lines", title: "Mate lines", blocks })
}

/// The entry that describes a seam: its own, or the one for every other.
pub(crate) fn described<'a>(source: Source<'a>, subject: &Subject) -> Option<(&'a str, &'a Seam)> {
    let seams = &source.report.home.seams;
    let named = |name: &str| seams.iter().find(|(id, _)| id.as_ref() == name).map(|(id, seam)| (id.as_ref(), seam));
    named(subject.id()).or_else(|| named("default"))
}

fn schedule(source: Source<'_>) -> Table {
    let rows = source.subjects("seams").map(|subject| {
        let (id, seam) = described(source, subject).unzip();
        let path = |field: &str| format!("seams.{}.{field}", id.unwrap_or_default());
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
            source.fact(subject, "takeoff.gap"),
            named("sealed_by", of(&seals, true)),
            named("sealed_by", of(&seals, false)),
            source.choice(path("by"), &seam.and_then(|seam| seam.by)),
            inspected,
            source.named(path("detail"), seam.and_then(|seam| seam.detail.as_ref())),
            source.fact(subject, "airtightness.q50"),
        ]
    });
    let heads = [
        "Mate line",
        "Kind",
        "Length through the air barrier",
        "Gap",
        "Fixed in the plant",
        "Closed on site",
        "Closed by",
        "Inspected",
        "Detail",
        "Leakage budget at 50 Pa",
    ];
    Table::schedule("mate-lines", "Schedule of mate-line seals", &heads, rows.collect()).note(
        "What is fixed in the plant travels with the box and has to be whole when it is set; what is closed on site \
         follows before anything covers the seam.",
    )
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
