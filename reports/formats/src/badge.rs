//! One line for a badge: what is open, or that nothing is.

use crate::homes::{CheckedHome, Counts};
use crate::shown::counted;

/// `mateline: 2 short, 3 unproven, 1 advice`, or `mateline: 41 met`. Without the name of any home.
pub fn badge(homes: &[CheckedHome]) -> String {
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
    format!("mateline: {told}{advice}\n")
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
        let home = |text: &str| CheckedHome { file: text.to_owned(), result: Ok(fixture::hostile(text)) };
        assert_eq!(badge(&[home("\n\u{1b}x")]).lines().count(), 1);
    }
}
