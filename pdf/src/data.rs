//! The packet as the JSON that the document reads.

use crate::glyphs::Glyphs;
use mateline_packets::{Packet, Paper};
use serde::Serialize;
use serde_json::Value;

#[derive(Serialize)]
struct Data<'a> {
    paper: &'static str,
    /// Year, month and day of the revision.
    date: Vec<i32>,
    packet: &'a Packet,
}

pub(crate) fn json(packet: &Packet, paper: Paper, glyphs: &Glyphs<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let paper = match paper {
        Paper::Letter => "us-letter",
        Paper::A4 => "a4",
    };
    let date = packet.date.split('-').filter_map(|part| part.parse().ok()).collect();
    let mut data = serde_json::to_value(Data { paper, date, packet })?;
    clean(&mut data, glyphs);
    serde_json::to_vec(&data)
}

/// Makes every text drawable, and draws figures in an embedded font.
fn clean(value: &mut Value, glyphs: &Glyphs<'_>) {
    match value {
        Value::String(text) => {
            let drawable = glyphs.drawable(text);
            *text = drawable
                .replace("font-family=\"system-ui, 'DejaVu Sans', sans-serif\"", "font-family=\"Libertinus Serif\"");
        }
        Value::Array(list) => list.iter_mut().for_each(|item| clean(item, glyphs)),
        Value::Object(map) => map.values_mut().for_each(|item| clean(item, glyphs)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}
