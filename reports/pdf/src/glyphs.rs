//! Which characters the embedded fonts can draw. An archived PDF may hold no character without a glyph.

use mateline_reports::printable;
use typst::text::Font;

/// What stands for a character that cannot be drawn.
const OTHER: char = '?';

pub(crate) struct Glyphs<'a> {
    fonts: &'a [Font],
}

impl<'a> Glyphs<'a> {
    pub(crate) fn of(fonts: &'a [Font]) -> Glyphs<'a> {
        Glyphs { fonts }
    }

    /// The text with every character that no font has replaced, and every character that moves the text around it.
    pub(crate) fn drawable(&self, text: &str) -> String {
        let draw = |c: char| match c {
            '\n' => '\n',
            '\t' => ' ',
            c if self.has(c) => c,
            _ => OTHER,
        };
        printable::block(text).chars().map(draw).collect()
    }

    fn has(&self, c: char) -> bool {
        c.is_ascii_graphic() || c == ' ' || self.fonts.iter().any(|font| font.info().coverage.contains(u32::from(c)))
    }
}

/// Whether letters of a text are marked as lacking in what is drawn of it.
pub(crate) fn is_marked(text: &str, drawn: &str) -> bool {
    drawn.matches(OTHER).count() > text.matches(OTHER).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world;

    #[test]
    fn what_no_font_has_is_replaced() {
        let fonts = world::fonts();
        let glyphs = Glyphs::of(&fonts);
        assert_eq!(glyphs.drawable("R' = 4 m²·K/W → λ ψ\n"), "R' = 4 m²·K/W → λ ψ\n");
        assert_eq!(
            glyphs.drawable("a\u{1f3e0}b\u{202e}c"),
            "a?b?c".replace("b?", if glyphs.has('\u{fffd}') { "b\u{fffd}" } else { "b?" })
        );
    }

    #[test]
    fn letters_that_lack_are_told() {
        let fonts = world::fonts();
        let glyphs = Glyphs::of(&fonts);
        assert!(!is_marked("Straße, Łódź, λ?", &glyphs.drawable("Straße, Łódź, λ?")));
        assert!(is_marked("家", &glyphs.drawable("家")));
    }
}
