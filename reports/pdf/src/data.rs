//! The packet as the JSON that the document reads.

use crate::glyphs::Glyphs;
use mateline_packets::{Packet, Paper};
use serde::Serialize;
use serde_json::Value;

/// The texts that may hold names too long for a column.
const BREAKABLE: [&str; 4] = ["bare", "from", "place", "text"];
/// Characters of a word after which it may break anywhere.
const LONG: usize = 20;
const BREAK: char = '\u{200B}';

#[derive(Serialize)]
struct Data<'a> {
    paper: &'static str,
    /// Year, month and day of the revision.
    date: Vec<i32>,
    /// Whether the fonts lack letters of the packet.
    lacks_letters: bool,
    packet: &'a Packet,
}

pub(crate) fn json(packet: &Packet, paper: Paper, glyphs: &Glyphs<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let paper = match paper {
        Paper::Letter => "us-letter",
        Paper::A4 => "a4",
    };
    let date = packet.date.split('-').filter_map(|part| part.parse().ok()).collect();
    let mut data = serde_json::to_value(Data { paper, date, lacks_letters: false, packet })?;
    if clean(&mut data, glyphs) {
        data["lacks_letters"] = Value::Bool(true);
    }
    serde_json::to_vec(&data)
}

/// Makes every text drawable, and draws figures in an embedded font. Whether letters are lacking.
fn clean(value: &mut Value, glyphs: &Glyphs<'_>) -> bool {
    match value {
        Value::String(text) => {
            let (drawable, lacks) = glyphs.drawable(text);
            *text = drawable
                .replace("font-family=\"system-ui, 'DejaVu Sans', sans-serif\"", "font-family=\"Libertinus Serif\"");
            lacks
        }
        Value::Array(list) => list.iter_mut().fold(false, |lacks, item| clean(item, glyphs) | lacks),
        Value::Object(map) => map.iter_mut().fold(false, |lacks, (key, item)| {
            let item_lacks = clean(item, glyphs);
            if let Value::String(words) = item
                && BREAKABLE.contains(&key.as_str())
            {
                *words = breakable(words);
            }
            item_lacks | lacks
        }),
        Value::Null | Value::Bool(_) | Value::Number(_) => false,
    }
}

/// Lets long names break after what joins their parts, and digests and other long words anywhere.
fn breakable(words: &str) -> String {
    let mut broken = String::with_capacity(words.len() + words.len() / 8);
    let mut unbroken = 0;
    let mut letters = words.chars().peekable();
    while let Some(letter) = letters.next() {
        broken.push(letter);
        let joins = matches!(letter, '/' | '_' | '.') && letters.peek().is_some_and(|next| next.is_alphabetic());
        unbroken = if letter.is_whitespace() || letter == BREAK { 0 } else { unbroken + 1 };
        if joins || unbroken == LONG {
            broken.push(BREAK);
            unbroken = 0;
        }
    }
    broken
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_may_break() {
        for (words, broken) in [
            ("moisture.f_rsi 0.75", "moisture.|f_|rsi 0.75"),
            ("ASTM E779, 4.5/6", "ASTM E779, 4.5/6"),
            ("0123456789abcdef0123456789 ab", "0123456789abcdef0123|456789 ab"),
        ] {
            assert_eq!(breakable(words), broken.replace('|', "\u{200B}"));
        }
    }
}
