//! Which columns a table of weather has, by the names at their heads, and what its stamps mean.

use crate::table::{Column, Columns, Fault};
use csv::StringRecord;
use mateline_model::quantity::{Dimension, unit};

/// Where in an hour its stamp stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stamp {
    Start,
    Middle,
    End,
}

/// The columns that are read, and the stamps.
pub(crate) struct Layout {
    pub date: usize,
    /// Of TMY3, whose date and time stand apart.
    pub time: Option<usize>,
    pub stamp: Stamp,
    pub columns: Columns,
}

/// Names of TMY3's columns. Source: the published description of the format, and files of it.
pub(crate) fn tmy3(names: &StringRecord) -> Result<Layout, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut column = |begins: &str, factor: f64| {
        let place = names.iter().position(|name| name.trim().starts_with(begins));
        if place.is_none() {
            faults.push(Fault::whole(format!("there is no column '{begins}'")));
        }
        Column { place: place.unwrap_or_default(), name: begins.to_owned(), factor, before: 0.0 }
    };
    let (date, time) = (column("Date", 1.0).place, column("Time", 1.0).place);
    let wind = "Wspd (m/s)";
    let columns = Columns {
        wind: names.iter().position(|name| name.trim() == wind).map(|place| Column {
            place,
            name: wind.to_owned(),
            factor: 1.0,
            before: 0.0,
        }),
        temperature: column("Dry-bulb (C)", 1.0),
        humidity: Some(column("RHum (%)", 0.01)),
        global: column("GHI (W/m^2)", 1.0),
        direct: column("DNI (W/m^2)", 1.0),
        diffuse: column("DHI (W/m^2)", 1.0),
    };
    if faults.is_empty() { Ok(Layout { date, time: Some(time), stamp: Stamp::End, columns }) } else { Err(faults) }
}

/// Names and units of a plain table's columns; `stamps` is what it says of them.
pub(crate) fn plain(names: &StringRecord, stamps: Option<&str>) -> Result<Layout, Vec<Fault>> {
    let mut faults = Vec::new();
    let stamp = match stamps {
        Some("start") => Stamp::Start,
        Some("middle") => Stamp::Middle,
        Some("end") => Stamp::End,
        _ => {
            faults.push(Fault::whole(
                "a line '# stamps: start', middle or end has to say what part of the hour a time means",
            ));
            Stamp::Start
        }
    };
    let mut column = |wanted: &str, example: &str, needed: bool| {
        let found = names.iter().enumerate().find_map(|(place, cell)| {
            let (name, unit) = cell.split_once('[').map_or((cell, ""), |(name, unit)| (name, unit));
            (name.trim().to_ascii_lowercase() == wanted)
                .then(|| (place, unit.trim_end_matches([']', ' ']).trim().to_owned()))
        });
        let Some((place, written)) = found else {
            if needed {
                faults.push(Fault::whole(format!("there is no column '{wanted} [{example}]'")));
            }
            return None;
        };
        let by_unit = match written.as_str() {
            "C" | "°C" => Some((1.0, 0.0)),
            "F" | "°F" => Some((5.0 / 9.0, -32.0)),
            "%" => Some((0.01, 0.0)),
            other => unit(other).map(|unit| (unit.factor, 0.0)),
        };
        let kinds = match wanted {
            "temperature" => ["C", "°C", "F", "°F"].contains(&written.as_str()),
            "humidity" => written == "%",
            "wind" => unit(&written).is_some_and(|unit| unit.dimension == Dimension::VELOCITY),
            _ => unit(&written).is_some_and(|unit| unit.dimension == Dimension::HEAT_FLUX),
        };
        let Some((factor, before)) = by_unit.filter(|_| kinds) else {
            faults.push(Fault::whole(format!("column '{wanted}' is in '{written}'; give a unit such as [{example}]")));
            return None;
        };
        Some(Column { place, name: wanted.to_owned(), factor, before })
    };
    let time = names.iter().position(|name| name.trim().eq_ignore_ascii_case("time"));
    let (temperature, humidity) = (column("temperature", "C", true), column("humidity", "%", false));
    let wind = column("wind", "m/s", false);
    let (global, direct) = (column("ghi", "W/m2", true), column("dni", "W/m2", true));
    let diffuse = column("dhi", "W/m2", true);
    if time.is_none() {
        faults.push(Fault::whole("there is no column 'time'"));
    }
    match (time, temperature, global, direct, diffuse) {
        (Some(date), Some(temperature), Some(global), Some(direct), Some(diffuse)) if faults.is_empty() => {
            let columns = Columns { temperature, humidity, wind, global, direct, diffuse };
            Ok(Layout { date, time: None, stamp, columns })
        }
        _ => Err(faults),
    }
}
