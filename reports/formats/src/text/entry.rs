//! One entry of a listing: a title line, lines of files with what is to be seen there, and notes.

use super::Style;
use crate::{printable, shown};
use annotate_snippets::{AnnotationKind, Element, Group, Level, Message, Renderer, Snippet};
use mateline_model::Place;
use std::collections::BTreeMap;
use std::ops::Range;

/// Bytes of a line that is shown; of a longer one only the place is told.
const LONGEST_LINE: usize = 10_000;

/// Writes entries, with lines from the given files.
pub(super) struct Entries<'a> {
    lines: BTreeMap<&'a str, Vec<&'a str>>,
    renderer: Renderer,
}

/// A place to be shown: the main one of an entry, or another that takes part.
pub(super) struct Spot<'a> {
    pub place: &'a Place,
    pub label: Option<&'a str>,
    pub is_main: bool,
}

impl<'a> Entries<'a> {
    pub(super) fn new(sources: &'a BTreeMap<String, String>, style: Style) -> Entries<'a> {
        let renderer = if style.colour { Renderer::styled().hyperlink(false) } else { Renderer::plain() };
        Entries {
            lines: sources.iter().map(|(file, text)| (file.as_str(), text.lines().collect())).collect(),
            renderer: renderer.term_width(style.width.max(40)),
        }
    }

    /// Adds one entry to a text.
    pub(super) fn write(
        &self,
        text: &mut String,
        level: Level<'_>,
        title: &str,
        spots: &[Spot<'_>],
        notes: Vec<Message<'static>>,
    ) {
        let places = spots.iter().map(|spot| self.element(spot));
        let elements: Vec<Element<'static>> = places.chain(notes.into_iter().map(Element::from)).collect();
        let group = Group::with_title(level.primary_title(printable::line(title).into_owned())).elements(elements);
        text.push_str(&self.renderer.render(&[group]));
        text.push_str("\n\n");
    }

    /// The line of a file with the place marked; only the place's name where there is no such line.
    fn element(&self, spot: &Spot<'_>) -> Element<'static> {
        let label = spot.label.map(|label| printable::line(label).into_owned());
        let Some(line) = self.line(spot.place) else {
            let label = label.map(|label| format!(": {label}")).unwrap_or_default();
            return note(&format!("{}{label}", shown::place(spot.place))).into();
        };
        let kind = if spot.is_main { AnnotationKind::Primary } else { AnnotationKind::Context };
        let span = span(&line, spot.place);
        Snippet::source(line)
            .line_start(usize::try_from(spot.place.line).unwrap_or(1))
            .path(printable::line(&spot.place.file).into_owned())
            .annotation(kind.span(span).label(label))
            .into()
    }

    fn line(&self, place: &Place) -> Option<String> {
        let index = usize::try_from(place.line).ok()?.checked_sub(1)?;
        let line = self.lines.get(place.file.as_str())?.get(index).filter(|line| line.len() <= LONGEST_LINE)?;
        Some(printable::line(line).into_owned())
    }
}

/// A line below the snippet.
pub(super) fn note(text: &str) -> Message<'static> {
    Level::NOTE.no_name().message(printable::line(text).into_owned())
}

/// What can be done, below the notes.
pub(super) fn help(text: &str) -> Message<'static> {
    Level::HELP.message(shown::lower_start(&printable::line(text)))
}

/// The bytes of a line that a place means: as many characters as it says, the rest of the line when it does not.
fn span(line: &str, place: &Place) -> Range<usize> {
    let column = usize::try_from(place.column).unwrap_or(1).saturating_sub(1);
    let byte_of = |characters: usize| line.char_indices().nth(characters).map_or(line.len(), |(byte, _)| byte);
    let start = byte_of(column);
    let end = match usize::try_from(place.length).unwrap_or(0) {
        0 => line.trim_end().len().max(start),
        length => byte_of(column.saturating_add(length)),
    };
    start..end
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_counts_characters_not_bytes() {
        let place = |column, length| Place { file: String::new(), line: 1, column, length };
        assert_eq!("2 m² wide".get(span("2 m² wide", &place(6, 4))), Some("wide"));
        assert_eq!("2 m² wide".get(span("2 m² wide", &place(3, 0))), Some("m² wide"));
        assert_eq!(span("short", &place(99, 7)), 5..5);
    }
}
