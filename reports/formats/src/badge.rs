//! One line for a badge: what is open, or that nothing is; and the same as a small drawing.

use crate::homes::{CheckedHome, Counts};
use crate::shown::counted;

/// `mateline: 2 short, 3 unproven, 1 advice`, or `mateline: 41 met`. Without the name of any home.
pub fn badge(homes: &[CheckedHome]) -> String {
    format!("mateline: {}\n", told(homes).0)
}

/// How a badge stands.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Standing {
    /// Nothing required is open.
    Good,
    /// Something cannot be shown.
    Open,
    /// Something is short, or the run failed.
    Bad,
    /// Nothing was judged.
    Empty,
}

/// The badge as SVG: the words, and beside them a mark that tells how it stands without its colour, a full disc, a ring or
/// a bar.
pub fn svg(homes: &[CheckedHome]) -> String {
    const SIZE: f64 = 12.0;
    let (told, standing) = told(homes);
    let line = format!("mateline: {told}");
    let text = well_formed(&line);
    // Sans-serif letters are a little over half as wide as they are high.
    let width = (line.chars().count() as f64 * 0.56 * SIZE + 40.0).ceil();
    let (colour, mark) = match standing {
        Standing::Good => ("#1b6e3c", r#"<circle cx="14" cy="11" r="5" fill="currentColor"/>"#),
        Standing::Open => {
            ("#8a5a00", r#"<circle cx="14" cy="11" r="4" fill="none" stroke="currentColor" stroke-width="2"/>"#)
        }
        Standing::Bad => ("#a3211b", r#"<path d="M9 11h10" stroke="currentColor" stroke-width="3"/>"#),
        Standing::Empty => ("#4a4a4a", r#"<path d="M9 11h10" stroke="currentColor" stroke-width="1"/>"#),
    };
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"22\" viewBox=\"0 0 {width} 22\" role=\"img\" \
         aria-label=\"{text}\"><title>{text}</title><rect x=\"0.5\" y=\"0.5\" width=\"{}\" height=\"21\" fill=\"#ffffff\" \
         stroke=\"{colour}\"/><g color=\"{colour}\">{mark}</g><text x=\"26\" y=\"15\" font-family=\"sans-serif\" \
         font-size=\"{SIZE}\" fill=\"#1a1a1a\">{text}</text></svg>\n",
        width - 1.0
    )
}

/// Text as XML holds it: counts and words of our own.
fn well_formed(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('"', "&quot;")
}

/// What a badge says, and how it stands.
fn told(homes: &[CheckedHome]) -> (String, Standing) {
    let Counts { met, short, unproven, advice, failures, faults, unusable, .. } = Counts::of_all(homes);
    let failed = |count| counted(count, "plugin failed", "plugins failed");
    let open: Vec<String> = [
        (unusable > 0).then(|| format!("{unusable} cannot be used")),
        (failures > 0).then(|| failed(failures)),
        (short > 0).then(|| format!("{short} short")),
        (unproven > 0).then(|| format!("{unproven} unproven")),
        (faults > 0).then(|| counted(faults, "fault", "faults")),
    ]
    .into_iter()
    .flatten()
    .collect();
    let told = match (open.is_empty(), met) {
        (false, _) => open.join(", "),
        (true, 0) => "nothing judged".to_owned(),
        (true, met) => format!("{met} met"),
    };
    let advice = if advice > 0 { format!(", {advice} advice") } else { String::new() };
    let standing = match () {
        () if unusable + failures + short + faults > 0 => Standing::Bad,
        () if unproven > 0 => Standing::Open,
        () if met == 0 => Standing::Empty,
        () => Standing::Good,
    };
    (format!("{told}{advice}"), standing)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;
    use mateline_model::Outcome;

    #[test]
    fn a_badge_says_what_is_open_in_one_line() {
        let mut report = fixture::report();
        let line = |report: &mateline_model::Report| {
            badge(&[CheckedHome { file: "home.yaml".to_owned(), result: Ok(report.clone()) }])
        };
        assert_eq!(line(&report), "mateline: 1 plugin failed, 1 short, 1 unproven, 1 advice\n");
        report.plugins.clear();
        report.verdicts.retain(|verdict| !verdict.fails());
        assert_eq!(line(&report), "mateline: 1 met, 1 advice\n");
        report.verdicts.retain(|verdict| verdict.outcome == Outcome::NotApplicable);
        assert_eq!(line(&report), "mateline: nothing judged\n");
        assert_eq!(badge(&[fixture::unusable()]), "mateline: 1 cannot be used\n");
        let one = [CheckedHome { file: "home.yaml".to_owned(), result: Ok(report.clone()) }];
        let drawn = svg(&one);
        assert!(drawn.contains("<title>mateline: nothing judged</title>") && drawn.contains("stroke-width=\"1\""));
        assert!(svg(&[fixture::unusable()]).contains("M9 11h10\" stroke=\"currentColor\" stroke-width=\"3\""));
        assert_eq!(crate::html::well_formed::check(&drawn), Ok(()));
        let home = |text: &str| CheckedHome { file: text.to_owned(), result: Ok(fixture::hostile(text)) };
        assert_eq!(badge(&[home("\n\u{1b}x")]).lines().count(), 1);
    }
}
