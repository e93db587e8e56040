//! Annotations for the log of a CI run, in the two usual forms.
//!
//! Workflow commands, `::error file=home.yaml,line=31,col=7::message`, which one kind of forge shows beside the line,
//! and plain lines, `home.yaml:31:7: error: message`, which the other kind and most editors find by a pattern.
//! Source: common practice, no source; the escapes of workflow commands from memory, high.

use crate::finding::{Finding, Level, findings, waived};
use crate::{CheckedHome, printable};

/// One workflow command a finding, the gravest of each home first, what is waived last.
pub fn commands(homes: &[CheckedHome]) -> String {
    lines(homes, |finding| {
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
    })
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
