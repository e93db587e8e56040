//! The check as a review comment: Markdown that fits a forge's limit, the weightiest first.

use crate::comment::{Part, Row, cell, code, fit, prose};
use crate::finding::{Finding, Kind, findings};
use crate::homes::{CheckedHome, Counts};
use crate::shown::{self, counted};
use mateline_model::{Outcome, Verdict};

/// What the file says last, whatever it holds.
const CAUTION: &str = "\nA designer's check, no certificate and no approval: the adopted local code and the authority having \
                       jurisdiction decide. *Unproven* is never a pass.\n";

/// What is open, in at most [`crate::LONGEST_COMMENT`] bytes: what is left out at the end of a part is counted.
pub fn markdown(homes: &[CheckedHome]) -> String {
    let told: Vec<(&CheckedHome, Vec<Finding<'_>>)> = homes.iter().map(|home| (home, findings(home))).collect();
    let head = format!("## {}\n\n{}\n{CAUTION}", title(homes), sentence(homes));
    let mut parts = Vec::new();
    if homes.len() > 1 {
        parts.push(table(homes));
    }
    for (word, heading) in [
        ("cannot be used", "Cannot be used"),
        ("plugin failed", "Plugins that failed"),
        (Kind::Short.word(), "Short"),
        (Kind::Unproven.word(), "Unproven"),
        (Kind::Advice.word(), "Advice"),
        ("remark", "Remarks"),
    ] {
        let rows = told.iter().flat_map(|(home, found)| {
            let of_word = found.iter().filter(move |finding| finding.word == word);
            of_word.map(|finding| Row::new(row(home, finding, homes.len() > 1)))
        });
        parts.push(part(heading, rows.collect()));
    }
    parts.push(part("Waived", homes.iter().flat_map(|home| waived(home, homes.len() > 1)).collect()));
    parts.retain(|part| !part.rows.is_empty());
    fit(head, &parts)
}

fn title(homes: &[CheckedHome]) -> String {
    match homes {
        [home] => match &home.result {
            Ok(report) => {
                let revision = report.revision();
                prose(&format!("{}: revision {} ({})", report.name(), revision.id, revision.date))
            }
            Err(_) => prose(&home.file),
        },
        homes => counted(homes.len(), "home", "homes"),
    }
}

fn sentence(homes: &[CheckedHome]) -> String {
    let Counts { met, short, unproven, advice, waived, not_applicable, failures, faults, unusable } =
        Counts::of_all(homes);
    let mut parts = vec![
        format!("**{short} short**"),
        format!("**{unproven} unproven**"),
        format!("{met} met"),
        format!("{waived} waived"),
        format!("{advice} advice"),
        format!("{not_applicable} not applicable"),
    ];
    parts.extend((failures > 0).then(|| counted(failures, "plugin failed", "plugins failed")));
    parts.extend((faults > 0).then(|| counted(faults, "remark that fails the run", "remarks that fail the run")));
    parts.extend((unusable > 0).then(|| counted(unusable, "home cannot be used", "homes cannot be used")));
    parts.join(", ")
}

fn table(homes: &[CheckedHome]) -> Part {
    let rows = homes.iter().map(|home| {
        let Counts { met, short, unproven, advice, waived, unusable, .. } = Counts::of(home);
        let file = cell(&home.file);
        Row::new(match unusable {
            0 => format!("| {file} | {met} | {short} | {unproven} | {advice} | {waived} |"),
            _ => format!("| {file} | cannot be used | | | | |"),
        })
    });
    Part {
        heading: "Homes".to_owned(),
        lead: "| home | met | short | unproven | advice | waived |\n|---|---|---|---|---|---|\n",
        rows: rows.collect(),
    }
}

fn part(heading: &str, rows: Vec<Row>) -> Part {
    Part { heading: format!("{heading} ({})", rows.len()), lead: "", rows }
}

fn row(home: &CheckedHome, finding: &Finding<'_>, several: bool) -> String {
    let place = finding.at.as_ref().map(|place| format!(" ({})", code(&shown::place(place))));
    let place = match place {
        None if several => format!(" ({})", code(&home.file)),
        place => place.unwrap_or_default(),
    };
    let help = finding.help.as_ref().map(|help| format!("; help: {}", prose(help))).unwrap_or_default();
    match finding.verdict {
        Some(verdict) => format!("- {}{place}{help}", judged(verdict)),
        None => format!("- {}{place}{help}", prose(&finding.message)),
    }
}

/// `assemblies.wall`: the sentence; rule, source.
fn judged(verdict: &Verdict) -> String {
    let (subject, rule) = (code(verdict.subject.as_str()), code(&verdict.full_name()));
    let source = shown::cited(&verdict.source, Some(&verdict.provenance));
    format!("{subject}: {}; {rule}, {}", prose(&verdict.message), prose(&source))
}

fn waived(home: &CheckedHome, several: bool) -> Vec<Row> {
    let verdicts = home.result.as_ref().map_or(&[] as &[Verdict], |report| &report.verdicts);
    let waived = verdicts.iter().filter(|verdict| verdict.outcome == Outcome::Waived);
    let of = if several { format!(" ({})", code(&home.file)) } else { String::new() };
    waived.map(|verdict| Row::new(format!("- {}{of}", judged(verdict)))).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::LONGEST_COMMENT;
    use crate::comment::reading::{outside_code, without_escapes};
    use crate::fixture;

    fn home(report: mateline_model::Report) -> CheckedHome {
        CheckedHome { file: "a/home.yaml".to_owned(), result: Ok(report) }
    }

    #[test]
    fn the_comment_has_its_parts_in_order_of_weight() {
        let comment = markdown(&[home(fixture::report())]);
        let mut before = 0;
        for part in [
            "## Heron Lane: revision C (2026-10-05)\n\n**1 short**, **1 unproven**, 1 met, 1 waived, 1 advice, 2 not \
             applicable, 1 plugin failed\n",
            "no certificate",
            "### Plugins that failed (1)",
            "### Short (1)",
            "- `assemblies.wall`: U-factor 0.0520 Btu/(h·ft²·°F) is above 0.0450; `energy-code-demo/wall-u-factor`, Table 1 \
             (from memory, high) (`a/home.yaml:8:7`); help: thicken",
            "### Unproven (1)",
            "### Advice (1)",
            "### Remarks (1)",
            "### Waived (1)",
        ] {
            let at = comment.get(before..).and_then(|rest| rest.find(part));
            before += at.unwrap_or_else(|| panic!("'{part}' is missing or out of order in\n{comment}"));
        }
    }

    #[test]
    fn several_homes_have_a_table() {
        let comment = markdown(&[home(fixture::report()), fixture::unusable()]);
        assert!(comment.starts_with("## 2 homes\n"), "{comment}");
        assert!(comment.contains("| `a/home.yaml` | 1 | 1 | 1 | 1 | 1 |\n| `broken/home.yaml` | cannot be used |"));
        assert!(comment.contains("- 9 needs a unit (`broken/home.yaml:3:5`); help: write 9 ft\n"), "{comment}");
    }

    #[test]
    fn a_comment_of_any_size_fits_and_counts_what_it_leaves_out() {
        let mut long = fixture::report();
        let (short, unproven) = (long.verdicts[0].clone(), long.verdicts[1].clone());
        assert_eq!((short.outcome, unproven.outcome), (Outcome::Short, Outcome::Unproven));
        long.verdicts = vec![short; 900];
        long.verdicts.extend(vec![unproven; 900]);
        for homes in [vec![home(long.clone())], vec![home(long); 40]] {
            let comment = markdown(&homes);
            assert!(comment.len() <= LONGEST_COMMENT && comment.len() > LONGEST_COMMENT - 3_000, "{}", comment.len());
            let all = 900 * homes.len();
            let shown = comment.matches("above 0.0450; `").count();
            assert!(comment.contains(&format!("### Short ({all})")) && shown > 100, "{shown}");
            assert!(comment.contains(&format!("… and {} more\n", all - shown)), "{shown}");
            let shown = comment.matches("has no u\\_factor; `").count();
            assert!(comment.contains(&format!("… and {} more\n", all - shown)) && shown > 20, "{shown}");
        }
    }

    #[test]
    fn text_from_files_stays_text() {
        for evil in [
            "</p><script>alert(1)</script>",
            "`` ` @all #1 |||",
            "\n# heading\n- [x] done",
            "![i](https://x.y/z.png)",
            "\u{1b}[31m\u{202e}",
        ] {
            let homes = [
                CheckedHome { file: format!("{evil}/home.yaml"), result: Ok(fixture::hostile(evil)) },
                fixture::unusable(),
            ];
            for comment in [markdown(&homes), markdown(&homes[..1])] {
                let outside = without_escapes(&outside_code(&comment));
                for markup in ["<", "@all", "\n# heading", "\n- [x]", "https://", "\u{1b}", "\u{202e}"] {
                    assert!(!outside.contains(markup), "{markup} in\n{outside}");
                }
            }
        }
    }
}
