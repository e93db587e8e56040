//! Annotations for the log of a CI run, in the two usual forms.
//!
//! Workflow commands, `::error file=home.yaml,line=31,col=7::message`, which one kind of forge shows beside the line,
//! and plain lines, `home.yaml:31:7: error: message`, which the other kind and most editors find by a pattern.
//! Source: common practice, no source; the escapes of workflow commands from memory, high.

use crate::finding::{Finding, Level, findings, waived};
use crate::shown::counted;
use crate::{CheckedHome, printable};

/// Commands of one level that a forge shows for a step, at most. Source: from memory, high.
const MOST_OF_A_LEVEL: usize = 10;

/// One workflow command a finding, the gravest of all homes first, what is waived last; as many of each level as a forge
/// shows for a step, and how many there are beyond.
pub fn commands(homes: &[CheckedHome]) -> String {
    let mut all: Vec<Finding<'_>> = homes.iter().flat_map(findings).collect();
    all.sort_by_key(|finding| finding.level);
    all.extend(homes.iter().flat_map(waived));
    let count = |level| all.iter().filter(|finding| finding.level == level).count();
    let levels = [
        (Level::Error, "error", "errors"),
        (Level::Warning, "warning", "warnings"),
        (Level::Note, "notice", "notices"),
    ];
    let is_over = levels.iter().any(|(level, ..)| count(*level) > MOST_OF_A_LEVEL);
    // The last notice is the one that counts the rest.
    let most = |level| MOST_OF_A_LEVEL - usize::from(is_over && level == Level::Note);
    let rest = levels.iter().filter_map(|(level, one, several)| {
        let more = count(*level).saturating_sub(most(*level));
        (more > 0).then(|| counted(more, one, several))
    });
    let rest: Vec<String> = rest.collect();
    let mut told = [0usize; 3];
    let shown = all.iter().filter(|finding| {
        let Some(told) = told.get_mut(finding.level as usize) else { return false };
        *told += 1;
        *told <= most(finding.level)
    });
    let mut text: String = shown.map(|finding| command(finding) + "\n").collect();
    if is_over {
        let message = format!("beyond what is shown here there are {}; the report has them all", rest.join(", "));
        text.push_str(&format!("::notice title=mateline::{}\n", data(&message)));
    }
    text
}

/// A workflow command.
fn command(finding: &Finding<'_>) -> String {
    let mut properties = Vec::new();
    if let Some(place) = &finding.at {
        properties.push(format!("file={}", property(&place.file)));
        if place.line > 0 {
            properties.push(format!("line={}", place.line));
            properties.push(format!("col={}", place.column.max(1)));
        }
        if place.line > 0 && place.length > 0 {
            properties.push(format!("endColumn={}", place.column.max(1).saturating_add(place.length)));
        }
    }
    properties.push(format!("title={}", property(&title(finding))));
    let level = match finding.level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Note => "notice",
    };
    format!("::{level} {}::{}", properties.join(","), data(&body(finding)))
}

/// One plain line a finding, the gravest of each home first, what is waived last.
pub fn plain(homes: &[CheckedHome]) -> String {
    lines(homes, |finding| {
        let level = match finding.level {
            Level::Error => "error",
            Level::Warning => "warning",
            Level::Note => "note",
        };
        let place = finding.at.as_ref().map(|place| match place.line {
            0 => format!("{}: ", place.file),
            line => format!("{}:{line}:{}: ", place.file, place.column.max(1)),
        });
        let head = format!("{}{level}: {}: ", place.unwrap_or_default(), title(finding));
        inert(&(head + &body(finding).replace('\n', "; ")))
    })
}

fn lines(homes: &[CheckedHome], line: impl Fn(&Finding<'_>) -> String) -> String {
    let of_home = |home| findings(home).iter().chain(&waived(home)).map(&line).collect::<Vec<_>>();
    homes.iter().flat_map(of_home).map(|line| line + "\n").collect()
}

/// `short energy-code-2021/wall-u-factor`, or the word alone.
fn title(finding: &Finding<'_>) -> String {
    let rule = finding.verdict.map(|verdict| format!(" {}", verdict.full_name()));
    printable::line(&format!("{}{}", finding.word, rule.unwrap_or_default())).into_owned()
}

/// The sentence, the source and what to do, a line each.
fn body(finding: &Finding<'_>) -> String {
    let help = finding.help.as_ref().map(|help| format!("help: {help}"));
    let source = finding.cited.as_ref().map(|cited| format!("by {cited}"));
    let lines: Vec<String> = [Some(finding.message.clone()), source, help]
        .into_iter()
        .flatten()
        .map(|line| printable::line(&line).into_owned())
        .collect();
    lines.join("\n")
}

/// The message of a workflow command: it ends at a line break, and `%` begins an escape.
fn data(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// A property of a workflow command: it also ends at a comma or a colon.
fn property(text: &str) -> String {
    data(&printable::line(text)).replace(':', "%3A").replace(',', "%2C")
}

/// A line in which no runner finds a command of its own: those begin with `::`, or with `##` anywhere.
fn inert(line: &str) -> String {
    let line = printable::line(line).replace("##", "#\u{2060}#");
    if line.trim_start().starts_with(':') { format!("./{line}") } else { line }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    fn homes() -> [CheckedHome; 2] {
        [CheckedHome { file: "a/home.yaml".to_owned(), result: Ok(fixture::report()) }, fixture::unusable()]
    }

    #[test]
    fn a_command_names_level_place_rule_and_help() {
        let written = commands(&homes());
        let expected = "\
::error file=a/home.yaml,line=8,col=7,title=short energy-code-demo/wall-u-factor::assemblies.wall: \
U-factor 0.0520 Btu/(h·ft²·°F) is above 0.0450%0Aby energy-code-demo/wall-u-factor, Table 1 (from memory, high)\
%0Ahelp: thicken the continuous insulation to at least 1 3/4 in
";
        assert!(written.contains(expected), "{written}");
        assert!(written.contains("::warning file=a/home.yaml,line=10,col=7,title=unproven "), "{written}");
        assert!(written.contains("::error title=plugin failed::plugin airtightness failed: the flow"), "{written}");
        assert!(written.contains("::notice file=a/home.yaml,line=1,col=1,endColumn=5,title=remark::the"), "{written}");
        assert!(written.contains("::error file=broken/home.yaml,line=3,col=5,"), "{written}");
        assert!(
            written.contains("title=waived modular-demo/mate-line-inspection::seams.A-B: the mate line"),
            "{written}"
        );
    }

    /// Many homes: ten of each level, the gravest first, and the rest counted in the tenth notice.
    #[test]
    fn no_more_is_written_than_a_forge_shows() {
        let of = |count: usize| -> Vec<CheckedHome> {
            let home = |number| CheckedHome { file: format!("{number}/home.yaml"), result: Ok(fixture::report()) };
            (0..count).map(home).collect()
        };
        let all: Vec<Level> =
            findings(&of(1)[0]).iter().chain(&waived(&of(1)[0])).map(|finding| finding.level).collect();
        let each = |level| all.iter().filter(|one| **one == level).count();
        let written = commands(&of(20));
        let begins = |word: &str| written.lines().filter(|line| line.starts_with(&format!("::{word} "))).count();
        assert_eq!([begins("error"), begins("warning"), begins("notice")], [10, 10, 10], "{written}");
        let order: Vec<&str> =
            written.lines().filter_map(|line| line.split_once(' ').map(|(level, _)| level)).collect();
        let sorted = ["::error"; 10].into_iter().chain(["::warning"; 10]).chain(["::notice"; 10]).collect::<Vec<_>>();
        assert_eq!(order, sorted);
        let rest = [each(Level::Error) * 20 - 10, each(Level::Warning) * 20 - 10, each(Level::Note) * 20 - 9];
        let last = format!(
            "beyond what is shown here there are {} errors, {} warnings, {} notices; the report has them all",
            rest[0], rest[1], rest[2]
        );
        assert_eq!(written.lines().last().and_then(|line| line.split("::").last()), Some(last.as_str()));
        assert_eq!(commands(&of(1)).lines().count(), all.len(), "nothing is cut");
    }

    #[test]
    fn a_plain_line_is_what_editors_find() {
        let written = plain(&homes());
        let expected = "a/home.yaml:8:7: error: short energy-code-demo/wall-u-factor: assemblies.wall: U-factor 0.0520";
        assert!(written.contains(expected), "{written}");
        assert!(written.contains("a/home.yaml:10:7: warning: unproven"), "{written}");
        assert!(written.contains("\nerror: plugin failed: ") || written.starts_with("error: plugin failed: "));
    }

    #[test]
    fn nothing_in_a_file_becomes_a_command_of_its_own() {
        assert_eq!(data("50 %\r\n::error::x"), "50 %25%0D%0A::error::x");
        assert_eq!(property("a,b:c\nd%"), "a%2Cb%3Ac d%25");
        for evil in ["\n::error::owned", "\r::set-env name=A::b", "%0A::error::", "a,line=1::x", "##[error]x", "::x::y"]
        {
            let home = CheckedHome { file: format!("{evil}/home.yaml"), result: Ok(fixture::hostile(evil)) };
            let expected = findings(&home).len() + waived(&home).len();
            assert!(expected <= MOST_OF_A_LEVEL, "nothing is cut");
            assert!(!waived(&home).is_empty());
            let written = commands(std::slice::from_ref(&home));
            assert_eq!(written.lines().count(), expected, "{written}");
            for line in written.lines() {
                let rest = line.strip_prefix("::").unwrap_or_default();
                let (head, message) = rest.split_once("::").unwrap_or_default();
                let properties = head.split_once(' ').map(|(_, properties)| properties).unwrap_or_default();
                for property in properties.split(',') {
                    let (name, value) = property.split_once('=').unwrap_or_default();
                    assert!(["file", "line", "col", "endColumn", "title"].contains(&name), "{line}");
                    assert!(!value.contains(':'), "{line}");
                }
                assert!(
                    message.split('%').skip(1).all(|after| ["25", "0A"].iter().any(|e| after.starts_with(e))),
                    "{line}"
                );
            }
            let written = plain(&[home]);
            assert_eq!(written.lines().count(), expected, "{written}");
            assert!(
                written.lines().all(|line| !line.trim_start().starts_with("::") && !line.contains("##[")),
                "{written}"
            );
        }
    }
}
