//! Several homes at a terminal: each listing under its file, then one row a home.

use super::{CheckedHome, Counts};
use crate::text::{Extent, Style, check, columns};
use crate::{printable, shown};

/// The listings of all homes, each under the name of its file, then a table; in brief, a line for each home.
pub fn text(homes: &[CheckedHome], style: Style, extent: Extent) -> String {
    let mut text = String::new();
    for home in homes {
        let (file, listing) = (
            printable::line(&home.file),
            match &home.result {
                Ok(report) => check(report, style, extent),
                Err(problems) => format!("{}\n", unusable(problems.len())),
            },
        );
        text += &match extent {
            Extent::Brief => format!("{file}: {listing}"),
            _ => format!("── {file}\n{listing}\n"),
        };
    }
    if extent == Extent::Brief { text } else { text + &table(homes) }
}

/// One row a home, then what the run adds up to.
pub fn table(homes: &[CheckedHome]) -> String {
    let rows: Vec<[String; 7]> = homes.iter().map(row).collect();
    let heads = ["home", "met", "short", "unproven", "advice", "waived", ""];
    let all = Counts::of_all(homes);
    let open = |home: &&CheckedHome| home.result.as_ref().is_ok_and(|report| report.fails() || report.plugin_failed());
    let open = homes.iter().filter(open).count();
    let done = homes.len() - open - all.unusable;
    let mut line = format!(
        "{}: {done} with nothing open, {open} with something short, unproven or failed",
        shown::counted(homes.len(), "home", "homes")
    );
    if all.unusable > 0 {
        line.push_str(&format!(", {} that cannot be used", all.unusable));
    }
    format!("{}\n{line}\n", columns(&heads, &rows))
}

fn row(home: &CheckedHome) -> [String; 7] {
    let file = printable::line(&home.file).into_owned();
    let counts = Counts::of(home);
    let note = match &home.result {
        Err(problems) => {
            let dash = || "-".to_owned();
            return [file, dash(), dash(), dash(), dash(), dash(), unusable(problems.len())];
        }
        Ok(_) if counts.failures > 0 => shown::counted(counts.failures, "plugin failed", "plugins failed"),
        Ok(_) => String::new(),
    };
    let Counts { met, short, unproven, advice, waived, .. } = counts;
    let [met, short, unproven, advice, waived] = [met, short, unproven, advice, waived].map(|count| count.to_string());
    [file, met, short, unproven, advice, waived, note]
}

fn unusable(problems: usize) -> String {
    format!("cannot be used: {}", shown::counted(problems, "problem", "problems"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn every_home_has_its_listing_and_its_row() {
        let home = CheckedHome { file: "a/home.yaml".to_owned(), result: Ok(fixture::report()) };
        let mut sound = fixture::report();
        sound.verdicts.retain(|verdict| !verdict.fails());
        sound.plugins.retain(|plugin| plugin.failure.is_none());
        let sound = CheckedHome { file: "b/home.yaml".to_owned(), result: Ok(sound) };
        let text = text(&[home, sound, fixture::unusable()], Style::PLAIN, Extent::All);
        let expected = "\
home              met  short  unproven  advice  waived
a/home.yaml       1    1      1         1       1       1 plugin failed
b/home.yaml       1    0      0         1       1
broken/home.yaml  -    -      -         -       -       cannot be used: 2 problems

3 homes: 1 with nothing open, 1 with something short, unproven or failed, 1 that cannot be used
";
        assert!(text.ends_with(expected), "{text}");
        assert!(text.starts_with("── a/home.yaml\nadvice: modules.A"), "{text}");
        assert!(text.contains("\n── broken/home.yaml\ncannot be used: 2 problems\n"), "{text}");
    }

    #[test]
    fn no_escape_sequence_of_a_file_name_reaches_the_terminal() {
        let evil = "\u{1b}]0;owned\u{7}\n::error::\u{202e}";
        let home = CheckedHome { file: evil.to_owned(), result: Ok(fixture::hostile(evil)) };
        let text = text(&[home], Style::PLAIN, Extent::All);
        assert!(text.chars().all(|c| c == '\n' || !c.is_control()), "{text:?}");
        assert!(!text.contains('\u{202e}') && !text.contains("\n::error"), "{text:?}");
    }
}
