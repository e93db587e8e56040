//! The packet as the JSON that the document reads.

use crate::glyphs::{self, Glyphs};
use mateline_packets::{Packet, Paper};
use serde::Serialize;
use serde_json::Value;

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
            let drawable = glyphs.drawable(text);
            let lacks = glyphs::is_marked(text, &drawable);
            *text = drawable
                .replace("font-family=\"system-ui, 'DejaVu Sans', sans-serif\"", "font-family=\"Libertinus Serif\"");
            lacks
        }
        Value::Array(list) => list.iter_mut().fold(false, |lacks, item| clean(item, glyphs) | lacks),
        Value::Object(map) => map.values_mut().fold(false, |lacks, item| clean(item, glyphs) | lacks),
        Value::Null | Value::Bool(_) | Value::Number(_) => false,
    }
}
