//! The comparison as one HTML file that stands alone, in the look of the report.

use super::facts::{FactRow, OtherFacts, SubjectFacts};
use super::view::{EditRow, EndedRow, SideView, ThinRow, TurnedGroup, View};
use crate::error::ReportError;
use crate::{VERSION, templates};
use mateline_model::Comparison;
use mateline_model::quantity::UnitSystem;
use serde::Serialize;

/// What changed, as one HTML file.
///
/// # Errors
/// When the template cannot be filled.
pub fn html(comparison: &Comparison) -> Result<String, ReportError> {
    let view = View::of(comparison);
    let items = comparison.edits.len()
        + comparison.moved.len()
        + comparison.turned.len()
        + comparison.thin.len()
        + comparison.ended.iter().map(|ended| 1 + ended.backs.len()).sum::<usize>()
        + comparison.shorter.len()
        + comparison.rules.len()
        + comparison.remarks.len();
    let page = Page {
        title: view.title,
        sentences: view.sentences,
        old: view.old,
        new: view.new,
        units: match comparison.units {
            UnitSystem::Ip => "inch-pound",
            UnitSystem::Si => "SI",
        },
        version: VERSION,
        failures: view.failures,
        turned: [
            TurnedPart { id: "worse", title: "Worse", groups: view.worse.groups },
            TurnedPart { id: "better", title: "Better", groups: view.better.groups },
            TurnedPart { id: "still-open", title: "Still open, in another way", groups: view.still_open.groups },
        ]
        .into_iter()
        .filter(|part| !part.groups.is_empty())
        .collect(),
        quiet_turns: view.quiet_turns,
        shorter: view.shorter,
        rules: view.rules,
        edits: view
            .edits
            .into_iter()
            .map(|element| Element { name: element.element, whole: element.whole, rows: element.rows })
            .collect(),
        edit_count: view.edit_count,
        fact_count: view.facts.count,
        whole: view.facts.whole,
        subjects: view.facts.subjects,
        other_facts: view.facts.others,
        threshold: view.threshold,
        thin: view.thin,
        ended: view.ended,
        remarks: view.remarks,
    };
    templates::fill("comparison.html", &page, items)
}

#[derive(Serialize)]
struct Page {
    title: String,
    sentences: Vec<String>,
    old: SideView,
    new: SideView,
    units: &'static str,
    version: &'static str,
    failures: Vec<String>,
    turned: Vec<TurnedPart>,
    quiet_turns: Vec<String>,
    shorter: Vec<String>,
    rules: Vec<String>,
    edits: Vec<Element>,
    edit_count: usize,
    fact_count: usize,
    whole: Vec<FactRow>,
    subjects: Vec<SubjectFacts>,
    other_facts: Vec<OtherFacts>,
    threshold: String,
    thin: Vec<ThinRow>,
    ended: Vec<EndedRow>,
    remarks: Vec<String>,
}

#[derive(Serialize)]
struct TurnedPart {
    id: &'static str,
    title: &'static str,
    groups: Vec<TurnedGroup>,
}

#[derive(Serialize)]
struct Element {
    name: String,
    whole: Option<&'static str>,
    rows: Vec<EditRow>,
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::comparison::sample;
    use crate::html::well_formed;

    fn page(of: &Comparison) -> String {
        let text = html(of).expect("the page is filled");
        well_formed::check(&text).unwrap_or_else(|fault| panic!("{fault}"));
        text
    }

    #[test]
    fn the_page_has_its_parts_in_order_and_stands_alone() {
        let page = page(&sample::comparison());
        for absent in ["<script", "http://", "https://", "@import", "url(http", "src="] {
            assert!(!page.replace("http://www.w3.org/2000/svg", "").contains(absent), "{absent}");
        }
        let mut before = 0;
        for part in [
            "<!doctype html>",
            "Heron Lane: revision B",
            "1 required verdict turned",
            "The home as a whole",
            "-4.5 %",
            ">Worse<",
            "U-factor 0.0520 is above 0.0450",
            "home.yaml:31:7",
            ">Better<",
            ">Short, now shorter<",
            ">Rules changed<",
            ">Edits<",
            "layers.2.thickness",
            "2 in",
            "3 in",
            "Facts that moved",
            "1 of modules",
            "Margins that shrank below 5.0 %",
            "Records that ended",
            "finishes.paint",
            "matches no verdict",
            "authority having jurisdiction",
        ] {
            let at = page.get(before..).and_then(|rest| rest.find(part));
            before += at.unwrap_or_else(|| panic!("'{part}' is missing or out of order"));
        }
    }

    #[test]
    fn quiet_broken_and_long_comparisons_are_pages_too() {
        assert!(page(&sample::quiet()).contains("The two say the same"));
        assert!(page(&sample::broken()).contains("plugin envelope failed"));
        let mut long = sample::comparison();
        long.edits = vec![long.edits[0].clone(); 3_000];
        long.moved = vec![long.moved[0].clone(); 3_000];
        page(&long);
    }

    #[test]
    fn hostile_text_stays_text() {
        for evil in
            ["</style><script>alert(1)</script>", "\" onload=\"alert(1)", "{{ 7 * 7 }}", "\u{202e}\u{1b}[2J\u{0}"]
        {
            let page = page(&sample::hostile(evil));
            assert!(!page.contains("<script") && !page.contains("onload=\"") && !page.contains("49"), "{evil}");
            assert!(!page.chars().any(|c| matches!(c, '\u{0}' | '\u{1b}' | '\u{202e}')));
        }
    }
}
