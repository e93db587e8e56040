//! Which characters the embedded fonts can draw. An archived PDF may hold no character without a glyph.

use mateline_reports::printable;
use typst::text::Font;

pub(crate) struct Glyphs<'a> {
    fonts: &'a [Font],
}

impl<'a> Glyphs<'a> {
    pub(crate) fn of(fonts: &'a [Font]) -> Glyphs<'a> {
        Glyphs { fonts }
    }

    /// The text with the code of every character that no font has, `[U+5BB6]`, in its place, and without those that
    /// move the text around them. Whether there was one without a glyph.
    pub(crate) fn drawable(&self, text: &str) -> (String, bool) {
        let (mut drawn, mut lacks) = (String::with_capacity(text.len()), false);
        for c in printable::block(text).chars() {
            match c {
                '\n' => drawn.push('\n'),
                '\t' => drawn.push(' '),
                c if self.has(c) => drawn.push(c),
                c => {
                    lacks = true;
                    drawn.push_str(&format!("[U+{:04X}]", u32::from(c)));
                }
            }
        }
        (drawn, lacks)
    }

    fn has(&self, c: char) -> bool {
        c.is_ascii_graphic() || c == ' ' || self.fonts.iter().any(|font| font.info().coverage.contains(u32::from(c)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world;

    #[test]
    fn what_no_font_has_is_shown_by_its_code() {
        let fonts = world::fonts();
        let glyphs = Glyphs::of(&fonts);
        for whole in ["R' = 4 m²·K/W → λ ψ\n", "Straße, Łódź, λ?"] {
            assert_eq!(glyphs.drawable(whole), (whole.to_owned(), false));
        }
        assert_eq!(glyphs.drawable("a\u{1f3e0}b?家"), ("a[U+1F3E0]b?[U+5BB6]".to_owned(), true));
        assert!(!glyphs.drawable("b\u{202e}c").0.contains('?'));
    }
}
