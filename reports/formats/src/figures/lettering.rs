//! How wide a text is about, and how it is cut or broken to fit.

/// About how wide a text is, in the units of its font size: sans-serif letters are a little over half as wide as they
/// are high, and letters outside the Latin, Greek and Cyrillic scripts up to twice that.
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    text.chars().map(|c| if u32::from(c) < 0x2000 { 0.56 } else { 1.05 }).sum::<f64>() * size
}

/// As much of a text as fits into a width, with an ellipsis where it was cut; at least one letter.
pub(super) fn clipped(text: &str, size: f64, width: f64) -> String {
    let text = crate::printable::line(text);
    if text_width(&text, size) <= width {
        return text.into_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        if !kept.is_empty() && text_width(&kept, size) + text_width("m…", size) > width {
            break;
        }
        kept.push(c);
    }
    kept.truncate(kept.trim_end().len());
    kept.push('…');
    kept
}

/// A text in one line, or broken at a space into two, of which the second is cut where it must be.
pub(super) fn broken(text: &str, size: f64, width: f64) -> Vec<String> {
    let fits = |part: &str| text_width(part, size) <= width;
    if fits(text) {
        return vec![clipped(text, size, width)];
    }
    let last_fitting_space = text.match_indices(' ').map(|(at, _)| text.split_at(at)).rfind(|(first, _)| fits(first));
    match last_fitting_space {
        Some((first, rest)) => vec![clipped(first, size, width), clipped(rest.trim_start(), size, width)],
        None => vec![clipped(text, size, width)],
    }
}

/// A text in as many lines as it takes, broken at spaces; no more than `most` lines.
pub(super) fn wrapped(text: &str, size: f64, width: f64, most: usize) -> Vec<String> {
    let text = crate::printable::line(text);
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let together = lines.last().map(|line| format!("{line} {word}"));
        match together.filter(|together| text_width(together, size) <= width) {
            Some(together) => {
                lines.pop();
                lines.push(together);
            }
            None if lines.len() == most => break,
            None => lines.push(clipped(word, size, width)),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_texts_are_cut_where_they_must_be() {
        assert_eq!(clipped("EPS", 10.0, 100.0), "EPS");
        let cut = clipped("cellulose, dense pack, in 2x6 studs", 10.0, 100.0);
        assert!(cut.ends_with('…') && text_width(&cut, 10.0) <= 100.0, "{cut}");
        assert_eq!(clipped("wide", 10.0, 0.0), "w…");
    }

    #[test]
    fn a_long_name_takes_two_lines() {
        assert_eq!(broken("gypsum board", 12.0, 190.0), ["gypsum board"]);
        let two = broken("cellulose, dense pack, in 2x6 studs", 12.0, 190.0);
        assert_eq!(two, ["cellulose, dense pack, in", "2x6 studs"]);
        assert_eq!(broken(&"m".repeat(10_000), 12.0, 190.0).len(), 1);
    }
}
