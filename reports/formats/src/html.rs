//! The HTML report: one file that stands alone, for a reader with a browser or a printer.
//!
//! No network, no outside font; one inline script that finds words and filters the verdicts, which nobody needs to read
//! the page and which it allows by its digest alone. The views built here are already worded, sorted and counted; the templates
//! put them in order.

mod anchors;
mod calculations;
mod figures;
mod house;
mod unusable;
mod verdicts;
#[cfg(test)]
pub(crate) mod well_formed;

use crate::error::ReportError;
use crate::{VERSION, shown, templates};
use anchors::{Anchors, FactIds};
use calculations::OtherFact;
use mateline_model::quantity::UnitSystem;
use mateline_model::{OpenCounts, Outcome, PackSummary, PluginStatus, Report, Summary, Traced};
use serde::Serialize;
pub use unusable::unusable;
use verdicts::{Part, Pending, Skipped};

/// What a policy allows the one script of the page by.
pub const SCRIPT_DIGEST: &str = "sha256-CM4FRmAn5XG9odDFwM0oRtaQjL3ZufVlGhrax7QBw+I=";

/// The whole report as one HTML file.
///
/// # Errors
/// When a template cannot be filled.
pub fn report(report: &Report) -> Result<String, ReportError> {
    let mut anchors = Anchors::default();
    let fact_ids = FactIds::of(report, &mut anchors);
    let verdicts = verdicts::views(report, &fact_ids, &mut anchors);
    let (calculations, other_facts) = calculations::views(report, &fact_ids, &verdicts);
    let figures = figures::views(report, &mut anchors)?;
    let items =
        report.verdicts.len() + report.entries().len() + steps(report) + report.plugins.len() + report.packs.len();
    let items = items + figures::cells(report);
    let page = Page {
        title: format!("{}, revision {}", report.name(), report.revision().id),
        project: report.name().to_string(),
        revision: report.revision().id.to_string(),
        date: report.revision().date.to_string(),
        note: report.revision().note.clone(),
        place: report.home.site.place.to_string(),
        climate_zone: report.home.site.climate_zone.to_string(),
        codes: codes(report),
        file: report.file.clone(),
        units: match report.units {
            UnitSystem::Ip => "inch-pound",
            UnitSystem::Si => "SI",
        },
        version: VERSION,
        script_digest: SCRIPT_DIGEST,
        letterhead: report.letterhead.iter().flat_map(|text| text.lines()).map(str::to_owned).collect(),
        counts: required_counts(report),
        advice: report.open_counts().advice,
        outcomes: counts(report.summary()),
        sentences: sentences(report),
        pending: verdicts.pending,
        parts: verdicts.parts,
        not_applicable: verdicts.skipped,
        plans: figures.plans,
        elevations: figures.elevations,
        figures: figures.groups,
        calculations,
        other_facts,
        packs: report.packs.iter().map(PackView::from).collect(),
        tables: report.tables.clone(),
        materials: report.materials.iter().map(|(id, whose)| (id.clone(), whose.word())).collect(),
        plugins: report.plugins.iter().map(PluginView::from).collect(),
        remarks: report
            .remarks
            .iter()
            .map(|remark| RemarkView {
                message: remark.told().into_owned(),
                place: remark.at.as_ref().map(shown::place),
                fails: remark.fails,
            })
            .collect(),
    };
    templates::fill_with(&[], &report.partials, "page.html", &page, items)
}

/// Which editions are in force at the place, as the home states.
fn codes(report: &Report) -> String {
    let codes = report.home.site.codes.clone().unwrap_or_default();
    let edition = |year: Option<u32>| year.map_or_else(|| "not stated".to_owned(), |year| format!("edition {year}"));
    format!("energy code {}, residential code {}", edition(codes.energy), edition(codes.residential))
}

/// How many lines of calculations there are to print.
fn steps(report: &Report) -> usize {
    report.facts.iter().flat_map(|fact| &fact.basis.steps).map(|step| 2 + step.terms.len()).sum()
}

#[derive(Serialize)]
struct Page {
    title: String,
    project: String,
    revision: String,
    date: String,
    note: Option<String>,
    place: String,
    climate_zone: String,
    codes: String,
    file: String,
    units: &'static str,
    version: &'static str,
    script_digest: &'static str,
    letterhead: Vec<String>,
    /// Requirements by outcome.
    counts: Vec<Count>,
    /// Pieces of advice that are open.
    advice: usize,
    /// Verdicts by outcome, advice among them.
    outcomes: Vec<Count>,
    sentences: Vec<String>,
    pending: Vec<Pending>,
    parts: Vec<Part>,
    not_applicable: Vec<Skipped>,
    plans: Vec<figures::FigureView>,
    elevations: Vec<figures::FigureView>,
    figures: Vec<figures::Group>,
    calculations: Vec<calculations::Group>,
    other_facts: Vec<OtherFact>,
    packs: Vec<PackView>,
    tables: Vec<Traced>,
    materials: Vec<(String, &'static str)>,
    plugins: Vec<PluginView>,
    remarks: Vec<RemarkView>,
}

#[derive(Serialize)]
struct Count {
    count: usize,
    word: &'static str,
    shape: &'static str,
}

impl Count {
    fn of(outcome: Outcome, count: usize) -> Count {
        let (word, shape) = outcome_word(outcome);
        Count { count, word, shape }
    }
}

#[derive(Serialize)]
struct PackView {
    id: String,
    version: Option<u32>,
    edition: Option<String>,
    texts: Vec<Traced>,
    title: String,
    source: String,
    caution: Option<String>,
}

impl From<&PackSummary> for PackView {
    fn from(pack: &PackSummary) -> PackView {
        PackView {
            id: pack.id.clone(),
            version: pack.version,
            edition: pack.edition.clone(),
            texts: pack.texts.clone(),
            title: pack.title.clone(),
            source: pack.source.clone(),
            caution: pack.caution.clone(),
        }
    }
}

#[derive(Serialize)]
struct PluginView {
    name: String,
    version: String,
    about: String,
    failure: Option<String>,
}

impl From<&PluginStatus> for PluginView {
    fn from(plugin: &PluginStatus) -> PluginView {
        PluginView {
            name: plugin.name.clone(),
            version: plugin.version.clone(),
            about: plugin.about.clone(),
            failure: plugin.failure.clone(),
        }
    }
}

#[derive(Serialize)]
struct RemarkView {
    message: String,
    place: Option<String>,
    fails: bool,
}

/// The word and the shape of an outcome.
fn outcome_word(outcome: Outcome) -> (&'static str, &'static str) {
    match outcome {
        Outcome::Short => ("short", "short"),
        Outcome::Unproven => ("unproven", "unproven"),
        Outcome::Waived => ("waived", "waived"),
        Outcome::Met => ("met", "met"),
        Outcome::NotApplicable => ("not applicable", "not-applicable"),
    }
}

fn counts(summary: Summary) -> Vec<Count> {
    [
        (summary.short, Outcome::Short),
        (summary.unproven, Outcome::Unproven),
        (summary.waived, Outcome::Waived),
        (summary.met, Outcome::Met),
        (summary.not_applicable, Outcome::NotApplicable),
    ]
    .into_iter()
    .map(|(count, outcome)| Count::of(outcome, count))
    .collect()
}

/// How many requirements are open, and how often each other outcome came out.
fn required_counts(report: &Report) -> Vec<Count> {
    let OpenCounts { short, unproven, .. } = report.open_counts();
    counts(Summary { short, unproven, ..report.summary() })
}

/// What came out, in plain sentences.
fn sentences(report: &Report) -> Vec<String> {
    let OpenCounts { short, unproven, advice } = report.open_counts();
    let waived = report.summary().waived;
    let requirements = |count| shown::counted(count, "requirement", "requirements");
    let is = |count: usize| if count == 1 { "is" } else { "are" };
    let mut sentences = vec![match (short, unproven, report.summary().met) {
        (0, 0, 0) => "No requirement has been judged met, short or unproven.".to_owned(),
        (0, 0, _) => "No requirement is short, and none is unproven.".to_owned(),
        (_, 0, _) => format!("{} {} short; none is unproven.", requirements(short), is(short)),
        (0, ..) => format!(
            "No requirement is short, but {} cannot be shown to be met: an input, a certificate or a test is missing.",
            requirements(unproven)
        ),
        _ => format!(
            "{} {} short, and {} cannot be shown to be met: an input, a certificate or a test is missing.",
            requirements(short),
            is(short),
            requirements(unproven)
        ),
    }];
    let waiting = report.verdicts.iter().filter(|verdict| verdict.under.is_some()).count();
    if waiting > 0 {
        let verdicts = shown::counted(waiting, "verdict waits", "verdicts wait");
        sentences.push(format!("{verdicts} for others that are open, and {} counted under them.", is(waiting)));
    }
    if advice > 0 {
        let pieces = shown::counted(advice, "piece of advice is", "pieces of advice are");
        sentences.push(format!("{pieces} open, which does not fail the check."));
    }
    if waived > 0 {
        sentences.push(format!("{} {} waived by agreement.", requirements(waived), is(waived)));
    }
    for plugin in report.plugins.iter().filter(|plugin| plugin.failure.is_some()) {
        sentences.push(format!(
            "The calculation {} failed; its facts are missing, and requirements that need them are unproven.",
            plugin.name
        ));
    }
    sentences
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;

    fn page(of: &Report) -> String {
        let text = report(of).expect("the page is filled");
        well_formed::check(&text).unwrap_or_else(|fault| panic!("{fault}"));
        text
    }

    #[test]
    fn the_page_is_well_formed_and_stands_alone() {
        let page = page(&fixture::report());
        assert!(page.starts_with("<!doctype html>"));
        for absent in ["http://", "https://", "@import", "url(http", "src="] {
            let found = page.replace("http://www.w3.org/2000/svg", "").contains(absent);
            assert!(!found, "{absent}");
        }
    }

    #[test]
    fn the_one_script_is_allowed_by_its_digest() {
        use base64::Engine;
        use sha2::{Digest, Sha256};
        let page = page(&fixture::report());
        assert_eq!(page.matches("<script").count(), 1);
        let script = page.split("<script>").nth(1).unwrap().split("</script>").next().unwrap();
        let digest = base64::engine::general_purpose::STANDARD.encode(Sha256::digest(script));
        let policy = format!("script-src 'sha256-{digest}'");
        assert!(page.contains(&policy), "{policy}");
    }

    #[test]
    #[ignore = "writes pages for a look in a browser: MATELINE_LOOK=FOLDER cargo test look -- --ignored"]
    fn look() {
        let folder = std::path::PathBuf::from(std::env::var("MATELINE_LOOK").expect("a folder is given"));
        std::fs::create_dir_all(&folder).expect("the folder can be made");
        let mut report = fixture::report();
        std::fs::write(folder.join("short.html"), page(&report)).expect("the page is written");
        let once = report.verdicts.clone();
        report.verdicts.extend((0..11).flat_map(|_| once.clone()));
        std::fs::write(folder.join("long.html"), page(&report)).expect("the page is written");
        std::fs::write(folder.join("hostile.html"), page(&fixture::hostile("</p>\u{202e}🏠 <b>שלום\" '")))
            .expect("the page is written");
    }

    #[test]
    fn every_section_is_there_in_reading_order() {
        let page = page(&fixture::report());
        let mut before = 0;
        for part in [
            "Heron Lane",
            "Revision <bdi>C</bdi>",
            "2026-10-05",
            "Burlington VT",
            "1 requirement is short, and 1 requirement cannot be shown",
            "Plans",
            "Contents",
            "Walls, floors and roofs",
            "Windows and doors",
            "Mate lines",
            "Boxes",
            "Foundation",
            "Not applicable",
            "Figures",
            "Calculations",
            "R_foam = d / λ",
            "heat flows straight through the layers",
            "Other facts",
            "Rule packs",
            "Energy code of the demonstration",
            "Not a code anywhere.",
            "Plugins",
            "the flow exponent is 0.31",
            "Cautions",
            "authority having jurisdiction",
        ] {
            let at = page.get(before..).and_then(|rest| rest.find(part));
            before += at.unwrap_or_else(|| panic!("'{part}' is missing or out of order"));
        }
    }

    #[test]
    fn a_verdict_shows_its_numbers_source_place_and_calculation() {
        let page = page(&fixture::report());
        for part in [
            "0.0520 Btu/(h·ft²·°F)",
            "at most 0.0450 Btu/(h·ft²·°F)",
            "-0.0070",
            "Table 1 (from memory, high)",
            "home.yaml:8:7",
            "Thicken the continuous insulation to at least 1 3/4 in",
            "href=\"#fact-assemblies-wall-envelope-u-factor\"",
            "id=\"fact-assemblies-wall-envelope-u-factor\"",
            "photographed instead",
            "until revision D",
        ] {
            assert!(page.contains(part), "{part}");
        }
    }

    #[test]
    fn every_link_has_its_target_and_every_id_is_one() {
        let page = page(&fixture::report());
        let after = |mark: &str| -> Vec<String> {
            page.split(mark).skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned).collect()
        };
        let mut ids = after(" id=\"");
        for target in after("href=\"#") {
            assert!(ids.contains(&target), "#{target}");
        }
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count);
    }

    #[test]
    fn the_same_report_gives_the_same_bytes() {
        assert_eq!(report(&fixture::report()).unwrap(), report(&fixture::report()).unwrap());
    }

    #[test]
    fn hostile_text_in_any_field_stays_text() {
        let long = "x".repeat(10_000);
        for evil in [
            "</script></style></title><script>alert(1)</script>",
            "\" onload=\"alert(1)\" x='",
            "{{ 7 * 7 }}{% include 'x' %}",
            "<!-- --><![CDATA[ ]]>&amp;&#x3c;b",
            "\u{202e}\u{2067}\u{0}\u{b}\u{1b}[2J",
            "🏠👩‍🔧 שלום مرحبا",
            &long,
        ] {
            let page = page(&fixture::hostile(evil));
            assert!(page.matches("<script").count() <= 1 && !page.contains("onload=\""), "{evil}");
            assert!(!page.chars().any(|c| matches!(c, '\u{0}' | '\u{b}' | '\u{1b}' | '\u{202e}' | '\u{2067}')));
            assert!(!page.contains("49{%"), "{evil}");
            assert!(!page.contains("&amp;#x3c;") || page.contains("&amp;amp;"), "{evil}");
        }
    }

    #[test]
    fn an_empty_report_is_still_a_page() {
        let mut report = fixture::report();
        report.verdicts.clear();
        report.facts = mateline_model::Facts::default();
        report.missing.clear();
        report.figures.clear();
        report.packs.clear();
        report.plugins.clear();
        report.remarks.clear();
        let page = page(&report);
        assert!(page.contains("No requirement has been judged"));
        assert!(!page.contains("Other facts"));
    }
}
