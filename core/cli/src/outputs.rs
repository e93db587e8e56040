//! Which formats a check writes, and where to.

use crate::arguments::{Format, When};
use crate::exit::Exit;
use crate::output;
use clap::ValueEnum;
use mateline_reports::text::{Extent, Style};
use mateline_reports::{
    CheckedHome, ReportError, VERSION, annotations, badge, homes, html, json, junit, markdown, sarif, text,
};
use std::path::{Path, PathBuf};

/// What goes to standard output and what to files.
#[derive(Debug, PartialEq, Eq)]
pub struct Plan {
    printed: Option<Format>,
    files: Vec<(Format, PathBuf)>,
}

impl Plan {
    /// From what was typed. `--out FORMAT=FILE` is a pair by itself; `--out FILE` belongs to the one format that has no
    /// file yet; a format without a file is printed. Text is printed where no format is named.
    ///
    /// # Errors
    /// A sentence: two formats would go to one place.
    pub fn of(formats: &[Format], outs: &[PathBuf]) -> Result<Plan, String> {
        let mut files: Vec<(Format, PathBuf)> = Vec::new();
        let mut bare: Vec<&PathBuf> = Vec::new();
        for out in outs {
            match pair(out)? {
                Some(pair) => files.push(pair),
                None => bare.push(out),
            }
        }
        let mut loose: Vec<Format> = Vec::new();
        for format in formats {
            if !loose.contains(format) && !files.iter().any(|(paired, _)| paired == format) {
                loose.push(*format);
            }
        }
        if formats.is_empty() && (files.is_empty() || bare.is_empty()) {
            loose.push(Format::Text);
        }
        match (bare.as_slice(), loose.as_slice()) {
            ([], _) => {}
            ([file], [format]) => {
                files.push((*format, (*file).clone()));
                loose.clear();
            }
            _ => {
                let file = bare.first().map(|file| file.display().to_string()).unwrap_or_default();
                return Err(format!("which format goes to '{file}' is not clear; write --out FORMAT={file}"));
            }
        }
        if let [first, second, ..] = loose.as_slice() {
            let (first, second) = (first.name(), second.name());
            return Err(format!(
                "{first} and {second} would both go to standard output; write --out {second}=FILE for one of them"
            ));
        }
        for (index, (_, file)) in files.iter().enumerate() {
            if files.iter().skip(index + 1).any(|(_, other)| other == file) {
                return Err(format!("two formats would go to '{}'", file.display()));
            }
        }
        Ok(Plan { printed: loose.first().copied(), files })
    }

    /// Whether every format can hold what is checked.
    ///
    /// # Errors
    /// A sentence: a format holds one home only.
    pub fn fits(&self, are_several: bool) -> Result<(), String> {
        let all = self.printed.iter().chain(self.files.iter().map(|(format, _)| format));
        if are_several && all.copied().any(|format| format == Format::Html) {
            return Err("an html report holds one home; name one home file, or use another format".to_owned());
        }
        Ok(())
    }

    /// Writes every format. All of them are made before the first is written, so that none is left half told.
    pub fn write(&self, homes: &[CheckedHome], are_several: bool, colour: When, extent: Extent) -> Exit {
        let written = |format: Format, style| written(format, homes, are_several, style, extent);
        let files: Result<Vec<_>, Exit> =
            self.files.iter().map(|(format, file)| Ok((file, written(*format, Style::PLAIN)?))).collect();
        let printed = self.printed.map_or(Ok(None), |format| written(format, output::stdout_style(colour)));
        let (files, printed) = match (files, printed) {
            (Ok(files), Ok(printed)) => (files, printed),
            (Err(ended), _) | (_, Err(ended)) => return ended,
        };
        for (file, text) in files.into_iter().filter_map(|(file, text)| Some((file, text?))) {
            let exit = output::write_file(file, &text);
            if exit != Exit::Done {
                return exit;
            }
        }
        printed.map_or(Exit::Done, |text| output::print(&text))
    }
}

/// `FORMAT=FILE`; anything else is a file.
fn pair(out: &Path) -> Result<Option<(Format, PathBuf)>, String> {
    let Some((name, file)) = out.to_str().and_then(|text| text.split_once('=')) else { return Ok(None) };
    match Format::from_str(name, false) {
        Ok(format) if file.is_empty() => Err(format!("--out {}= names no file", format.name())),
        Ok(format) => Ok(Some((format, PathBuf::from(file)))),
        Err(_) => Ok(None),
    }
}

/// A format of what came out. Nothing, where no home could be used and the format has no words for that: it stands on the
/// error stream, and the JSON of one home is that of its report.
fn written(
    format: Format,
    homes: &[CheckedHome],
    are_several: bool,
    style: Style,
    extent: Extent,
) -> Result<Option<String>, Exit> {
    let json = |text: Result<String, String>| text.map_err(|error| output::error(&error));
    let page = |page: Result<String, ReportError>| page.map_err(|error| output::page_fault(&error));
    let one = homes.first().filter(|_| !are_several);
    let none_is_usable = homes.iter().all(|home| home.result.is_err());
    let text = match (format, one.map(|home| (home, &home.result))) {
        (Format::Text, _) if none_is_usable => return Ok(None),
        (Format::Text, Some((_, Ok(report)))) => text::check(report, style, extent),
        (Format::Text, _) => homes::text(homes, style, extent),
        (Format::Json, Some((_, Ok(report)))) => json(output::json(&json::report(report, VERSION)))?,
        (Format::Json, Some((_, Err(_)))) => return Ok(None),
        (Format::Json, None) => json(output::json(&homes::json(homes, VERSION)))?,
        (Format::Html, Some((_, Ok(report)))) => page(html::report(report))?,
        (Format::Html, Some((home, Err(problems)))) => page(html::unusable(home, problems))?,
        (Format::Html, None) => return Err(output::refuse("an html report holds one home")),
        (Format::Sarif, _) => json(output::json(&sarif::log(homes, VERSION)))?,
        (Format::Junit, _) => junit::suites(homes).to_xml(),
        (Format::Markdown, _) => markdown::markdown(homes),
        (Format::Annotations, _) => annotations::commands(homes),
        (Format::AnnotationsPlain, _) => annotations::plain(homes),
        (Format::Badge, _) => badge::badge(homes),
        (Format::BadgeSvg, _) => badge::svg(homes),
    };
    Ok(Some(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(formats: &[Format], outs: &[&str]) -> Result<Plan, String> {
        Plan::of(formats, &outs.iter().map(PathBuf::from).collect::<Vec<_>>())
    }

    fn expect(printed: Option<Format>, files: &[(Format, &str)]) -> Result<Plan, String> {
        Ok(Plan { printed, files: files.iter().map(|(format, file)| (*format, PathBuf::from(file))).collect() })
    }

    #[test]
    fn formats_and_files_find_each_other() {
        use Format::{Json, Junit, Sarif, Text};
        assert_eq!(plan(&[], &[]), expect(Some(Text), &[]));
        assert_eq!(plan(&[], &["a"]), expect(None, &[(Text, "a")]));
        assert_eq!(plan(&[Json], &[]), expect(Some(Json), &[]));
        assert_eq!(plan(&[Json], &["a"]), expect(None, &[(Json, "a")]));
        assert_eq!(plan(&[], &["sarif=a", "junit=b"]), expect(Some(Text), &[(Sarif, "a"), (Junit, "b")]));
        assert_eq!(plan(&[Sarif], &["sarif=a"]), expect(None, &[(Sarif, "a")]));
        assert_eq!(plan(&[Text, Sarif], &["sarif=a"]), expect(Some(Text), &[(Sarif, "a")]));
        assert_eq!(plan(&[Text, Sarif], &["sarif=a", "b"]), expect(None, &[(Sarif, "a"), (Text, "b")]));
        assert_eq!(plan(&[Json, Json], &[]), expect(Some(Json), &[]));
        assert_eq!(plan(&[], &["a=b"]), expect(None, &[(Text, "a=b")]), "'a' is no format");
        assert_eq!(plan(&[], &["./text=b"]), expect(None, &[(Text, "./text=b")]));
        assert_eq!(plan(&[], &["text=b"]), expect(Some(Text), &[(Text, "b")]));
    }

    #[test]
    fn two_formats_never_go_to_one_place() {
        use Format::{Json, Sarif, Text};
        for (formats, outs, words) in [
            (&[Text, Json][..], &[][..], "text and json would both go to standard output"),
            (&[Text, Json], &["a"], "--out FORMAT=a"),
            (&[Json], &["a", "b"], "--out FORMAT=a"),
            (&[Sarif], &["sarif=a", "b"], "--out FORMAT=b"),
            (&[], &["sarif=a", "b"], "--out FORMAT=b"),
            (&[], &["sarif=a", "junit=a"], "two formats would go to 'a'"),
            (&[], &["sarif="], "names no file"),
        ] {
            let refused = plan(formats, outs);
            assert!(refused.as_ref().is_err_and(|message| message.contains(words)), "{outs:?}: {refused:?}");
        }
        assert!(plan(&[Format::Html], &[]).is_ok_and(|plan| plan.fits(false).is_ok() && plan.fits(true).is_err()));
    }
}
