//! Reading a year from the text of a file: TMY3 as its makers publish it, or a plain table with named columns.
//!
//! A TMY3 file has the station on its first line and names of columns on its second; its hours end at their stamps, so
//! that the sun of a row stands half an hour before. A plain table begins with lines of `# name: value` (`place`,
//! `latitude`, `longitude`, `zone`, `elevation`, and `stamps`: `start`, `middle` or `end` of the hour) and a row of names with
//! units: `time`, `temperature [C]` or `[F]`, `ghi [W/m2]`, `dni [W/m2]`, `dhi [W/m2]`, and where they are known `humidity [%]`
//! and `wind [m/s]`.
//!
//! Nothing is repaired: every row that is missing, doubled or impossible is named with its column.

use crate::likely::unlikely;
use crate::sky::Radiation;
use crate::sun::Place;
use crate::table::{Column, Columns, Fault, Row};
use crate::year::{DAYS, HOURS, Hour, WeatherYear};
use csv::{ReaderBuilder, StringRecord};
use mateline_model::quantity::unit;

/// A file of a year is far smaller than this (bytes).
pub const LARGEST: usize = 16 * 1024 * 1024;
/// So many faults are told.
const MOST_FAULTS: usize = 20;
/// What stands for a missing value in TMY3.
const MISSING: f64 = -9_900.0;

/// Where in an hour its stamp stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stamp {
    Start,
    Middle,
    End,
}

/// The columns that are read, and the stamps.
struct Layout {
    date: usize,
    /// Of TMY3, whose date and time stand apart.
    time: Option<usize>,
    stamp: Stamp,
    columns: Columns,
}

/// Reads a year.
///
/// # Errors
/// Everything that is wrong with the file, up to twenty faults.
pub fn read(text: &str) -> Result<WeatherYear, Vec<Fault>> {
    if text.len() > LARGEST {
        return Err(vec![Fault::whole(format!("the file is larger than {} MiB", LARGEST / 1024 / 1024))]);
    }
    let mut head = Head::default();
    let mut remarks = Vec::new();
    let (layout, rows) = open(text, &mut head)?;
    let mut faults = Vec::new();
    let mut hours: Vec<Row> = Vec::with_capacity(HOURS);
    let mut leap = 0;
    for row in &rows {
        if faults.len() >= MOST_FAULTS {
            break;
        }
        let line = row.position().map_or(0, csv::Position::line);
        let Some((month, day, hour)) = stamp(&layout, row, line, &mut faults) else { continue };
        if (month, day) == (2, 29) {
            leap += 1;
            continue;
        }
        let wanted = hours.len();
        let found = place_in_year(month, day, hour);
        if found != Some(wanted) {
            let expected = words(wanted);
            let told =
                format!("the hour of {month:02}-{day:02} that begins at {hour:02}:00 stands where {expected} belongs");
            faults.push(Fault::at(line, "time", format!("{told}; an hour is missing, doubled or out of order")));
            return Err(faults);
        }
        if let Some(hour) = values(&layout.columns, row, line, &mut faults) {
            hours.push(Row { line, hour });
        } else {
            hours.push(Row { line, hour: Hour::default() });
        }
    }
    if faults.is_empty() && hours.len() != HOURS {
        let last = hours.len();
        faults.push(Fault::whole(format!("the file ends after {last} of {HOURS} hours; {} is missing", words(last))));
    }
    if leap > 0 {
        remarks.push(format!("{leap} hours of 29 February are left out"));
    }
    let place = head.place(&mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    let (place, elevation) = place.unwrap_or((Place { latitude: 0.0, longitude: 0.0, zone: 0.0 }, 0.0));
    let found = unlikely(&place, &layout.columns, &hours);
    if !found.is_empty() {
        return Err(found);
    }
    let hours = hours.into_iter().map(|row| row.hour).collect();
    Ok(WeatherYear { name: head.name, place, elevation, hours, remarks })
}

/// What stands above the table.
#[derive(Default)]
struct Head {
    name: String,
    latitude: Option<f64>,
    longitude: Option<f64>,
    zone: Option<f64>,
    elevation: Option<f64>,
    stamps: Option<String>,
}

impl Head {
    fn place(&self, faults: &mut Vec<Fault>) -> Option<(Place, f64)> {
        let mut need = |name: &str, value: Option<f64>, most: f64| {
            let value = value.filter(|value| value.is_finite() && value.abs() <= most);
            if value.is_none() {
                faults.push(Fault::whole(format!("{name} is not given, or is no number up to {most}")));
            }
            value
        };
        let latitude = need("latitude", self.latitude, 90.0);
        let longitude = need("longitude", self.longitude, 180.0);
        let zone = need("zone, the hours ahead of universal time,", self.zone, 14.0);
        let elevation = need("elevation", self.elevation, 9_000.0);
        let (latitude, longitude) = (latitude?.to_radians(), longitude?.to_radians());
        Some((Place { latitude, longitude, zone: zone? }, elevation?))
    }
}

/// Finds out what kind of file it is, reads what stands above the table, and splits the rest into rows.
fn open(text: &str, head: &mut Head) -> Result<(Layout, Vec<StringRecord>), Vec<Fault>> {
    let text = text.trim_start_matches('\u{feff}');
    let mut reader =
        ReaderBuilder::new().has_headers(false).flexible(true).comment(Some(b'#')).from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for record in reader.records() {
        match record {
            Ok(record) => rows.push(record),
            Err(error) => return Err(vec![Fault::whole(format!("the file is no table: {error}"))]),
        }
        if rows.len() > HOURS + 30 {
            break;
        }
    }
    for line in text.lines().filter_map(|line| line.trim().strip_prefix('#')) {
        let Some((name, value)) = line.split_once(':') else { continue };
        let (name, value) = (name.trim().to_ascii_lowercase(), value.trim());
        let number = value.split_whitespace().next().and_then(|number| number.parse().ok());
        match name.as_str() {
            "place" => head.name = value.to_owned(),
            "latitude" => head.latitude = number,
            "longitude" => head.longitude = number,
            "zone" => head.zone = number,
            "elevation" => head.elevation = number,
            "stamps" => head.stamps = Some(value.to_ascii_lowercase()),
            _ => {}
        }
    }
    let is_tmy3 = rows.get(1).is_some_and(|row| row.iter().any(|cell| cell.starts_with("Dry-bulb")));
    let table = if is_tmy3 { 2 } else { 1 };
    let rest = rows.split_off(table.min(rows.len()));
    let names = rows.last().cloned().unwrap_or_default();
    let layout = if is_tmy3 {
        let station = rows.first().cloned().unwrap_or_default();
        let number = |place: usize| station.get(place).and_then(|cell| cell.trim().parse().ok());
        head.name = station.get(1).unwrap_or_default().trim().to_owned();
        (head.zone, head.latitude, head.longitude, head.elevation) = (number(3), number(4), number(5), number(6));
        tmy3(&names)
    } else {
        plain(&names, head)
    };
    layout.map(|layout| (layout, rest))
}

/// Names of TMY3's columns. Source: the published description of the format, and files of it.
fn tmy3(names: &StringRecord) -> Result<Layout, Vec<Fault>> {
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

/// Names and units of a plain table's columns.
fn plain(names: &StringRecord, head: &Head) -> Result<Layout, Vec<Fault>> {
    let mut faults = Vec::new();
    let stamp = match head.stamps.as_deref() {
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
            "wind" => {
                unit(&written).is_some_and(|unit| unit.dimension == mateline_model::quantity::Dimension::VELOCITY)
            }
            _ => unit(&written).is_some_and(|unit| unit.dimension == mateline_model::quantity::Dimension::HEAT_FLUX),
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

/// Month, day and the hour that begins, of a row.
fn stamp(layout: &Layout, row: &StringRecord, line: u64, faults: &mut Vec<Fault>) -> Option<(u32, u32, u32)> {
    let date = row.get(layout.date).unwrap_or_default().trim();
    let (date, time) = match layout.time {
        Some(place) => (date, row.get(place).unwrap_or_default().trim()),
        None => date.split_once([' ', 'T']).unwrap_or((date, "")),
    };
    let parts: Vec<u32> = date.split(['-', '/']).filter_map(|part| part.parse().ok()).collect();
    let (month, day) = match (layout.time.is_some(), parts.as_slice()) {
        (true, [month, day, _]) | (false, [_, month, day]) | (false, [month, day]) => (*month, *day),
        _ => {
            faults.push(Fault::at(line, "time", format!("'{date}' is no date such as 01-31")));
            return None;
        }
    };
    let clock = time.split_once(':').and_then(|(hour, minute)| {
        Some((hour.trim().parse::<u32>().ok()?, minute.split(':').next()?.trim().parse::<u32>().ok()?))
    });
    let Some((hour, minute)) = clock.filter(|(hour, minute)| *hour <= 24 && *minute < 60) else {
        faults.push(Fault::at(line, "time", format!("'{time}' is no time of day such as 13:00")));
        return None;
    };
    let begins = match (layout.stamp, minute) {
        (Stamp::Start, 0) => hour,
        (Stamp::Middle, 30) => hour,
        (Stamp::End, 0) if hour > 0 => hour - 1,
        (Stamp::End, 0) => {
            // Midnight that ends the day before.
            let (month, day) =
                if day > 1 { (month, day - 1) } else { ((month + 10) % 12 + 1, last_day((month + 10) % 12 + 1)) };
            return Some((month, day, 23));
        }
        _ => {
            let means = if layout.stamp == Stamp::Middle { "half past" } else { "on the hour" };
            faults.push(Fault::at(line, "time", format!("'{time}' is not {means}, as the stamps of this file are")));
            return None;
        }
    };
    Some((month, day, begins))
}

fn last_day(month: u32) -> u32 {
    DAYS.get(month as usize - 1).copied().unwrap_or(31)
}

/// The hour of the year that begins then.
fn place_in_year(month: u32, day: u32, hour: u32) -> Option<usize> {
    let month = (month as usize).checked_sub(1).filter(|month| *month < 12)?;
    let has = DAYS.get(month).is_some_and(|days| (1..=*days).contains(&day));
    let before: u32 = DAYS.iter().take(month).sum();
    (has && hour < 24).then_some(((before + day - 1) * 24 + hour) as usize)
}

/// An hour of the year in words.
fn words(hour: usize) -> String {
    let month = crate::year::month_of(hour);
    let before: u32 = DAYS.iter().take(month).sum();
    let day = hour as u32 / 24 - before + 1;
    format!("the hour of {:02}-{day:02} that begins at {:02}:00", month + 1, hour % 24)
}

/// The values of a row.
fn values(columns: &Columns, row: &StringRecord, line: u64, faults: &mut Vec<Fault>) -> Option<Hour> {
    let mut value = |column: &Column| {
        let written = row.get(column.place).unwrap_or_default().trim();
        let number = written.parse::<f64>().ok().filter(|number| number.is_finite());
        let Some(number) = number.filter(|number| *number != MISSING) else {
            let said = if number.is_some() { "is missing" } else { "is no number" };
            faults.push(Fault::at(line, &column.name, format!("'{written}' {said}")));
            return None;
        };
        Some((number + column.before) * column.factor)
    };
    let temperature = value(&columns.temperature);
    let humidity = match &columns.humidity {
        Some(column) => Some(value(column)?),
        None => None,
    };
    let wind = match &columns.wind {
        Some(column) => Some(value(column)?),
        None => None,
    };
    let (global, direct, diffuse) = (value(&columns.global), value(&columns.direct), value(&columns.diffuse));
    let radiation = Radiation { global: global?, direct: direct?, diffuse: diffuse? };
    Some(Hour { temperature: temperature?, humidity, wind, radiation })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test may stop here")]
mod tests {
    use super::*;
    use crate::sun::{Sun, outside};
    use mateline_model::portable::cos;
    use std::fmt::Write;
    use std::sync::OnceLock;

    /// A year of clear days at 45° N, 75° W, five hours behind universal time. Invented.
    fn clear() -> &'static [Vec<String>] {
        static YEAR: OnceLock<Vec<Vec<String>>> = OnceLock::new();
        YEAR.get_or_init(|| (0..HOURS).map(clear_hour).collect())
    }

    fn clear_hour(hour: usize) -> Vec<String> {
        let place = Place { latitude: 45.0_f64.to_radians(), longitude: (-75.0_f64).to_radians(), zone: -5.0 };
        let sun = Sun::at(&place, hour as f64 + 0.5);
        let up = sun.up.max(0.0);
        let diffuse = 0.1 * outside(hour as f64 / 24.0) * up;
        let direct = if up > 0.05 { 600.0 } else { 0.0 };
        let warm = 8.0 - 15.0 * cos(2.0 * std::f64::consts::PI * (hour as f64 / 24.0 - 20.0) / 365.0);
        let month = crate::year::month_of(hour);
        let before: u32 = DAYS.iter().take(month).sum();
        let mut cells = vec![format!("{:02}-{:02} {:02}:30", month + 1, hour as u32 / 24 - before + 1, hour % 24)];
        cells.extend([warm, 60.0, direct * up + diffuse, direct, diffuse].map(|value| format!("{value:.1}")));
        cells
    }

    /// It as a table, with a change to each row; a row that is emptied is left out.
    fn table(change: impl Fn(usize, &mut Vec<String>)) -> String {
        let mut text =
            "# place: Nowhere\n# latitude: 45\n# longitude: -75\n# zone: -5\n# elevation: 100 m\n# stamps: middle\n\
            time,temperature [C],humidity [%],ghi [W/m2],dni [W/m2],dhi [W/m2]\n"
                .to_owned();
        for (hour, cells) in clear().iter().enumerate() {
            let mut cells = cells.clone();
            change(hour, &mut cells);
            if !cells.is_empty() {
                writeln!(text, "{}", cells.join(",")).unwrap();
            }
        }
        text
    }

    fn faults(text: &str) -> Vec<String> {
        read(text).unwrap_err().iter().map(ToString::to_string).collect()
    }

    #[test]
    fn a_sound_year_is_read() {
        let year = read(&table(|_, _| {})).unwrap();
        assert_eq!((year.hours.len(), year.name.as_str(), year.elevation), (HOURS, "Nowhere", 100.0));
        assert_eq!(year.remarks, [] as [String; 0]);
        // Fahrenheit in a column that says so is the same air; so are a leap day's hours, which are told.
        let degrees = |cell: &str| format!("{:.2}", cell.parse::<f64>().unwrap() * 1.8 + 32.0);
        let text = table(|_, cells| cells[1] = degrees(&cells[1])).replace("temperature [C]", "temperature [F]");
        let warm = read(&text).unwrap();
        assert!(year.hours.iter().zip(&warm.hours).all(|(a, b)| (a.temperature - b.temperature).abs() < 0.01));
        let leap: String = (0..24).map(|hour| format!("02-29 {hour:02}:30,0,50,0,0,0\n")).collect();
        let text = table(|_, _| {}).replace("03-01 00:30,", &format!("{leap}03-01 00:30,"));
        assert_eq!(read(&text).unwrap().remarks, ["24 hours of 29 February are left out"]);
    }

    /// Each mistake by itself, and what is said of it: row and column first. Rows count from the first line of the file.
    #[test]
    fn every_mistake_is_named_with_its_place() {
        let set = |at: usize, column: usize, value: &'static str| {
            table(move |hour, cells| {
                if hour == at {
                    cells[column] = value.to_owned();
                }
            })
        };
        let cases = [
            (
                table(|hour, cells| {
                    if hour == 100 {
                        cells.clear()
                    }
                }),
                "row 108, time: the hour of 01-05 that begins at 05:00 stands where",
            ),
            (
                table(|hour, cells| {
                    if hour == HOURS - 1 {
                        cells.clear()
                    }
                }),
                "the file ends after 8759 of 8760 hours; the hour of 12-31 that begins at 23:00 is missing",
            ),
            (set(3, 0, "01-01 03:00"), "row 11, time: '03:00' is not half past, as the stamps of this file are"),
            (set(3, 0, "noon"), "row 11, time: 'noon' is no date such as 01-31"),
            (set(3, 1, "-"), "row 11, temperature: '-' is no number"),
            (set(3, 1, "71.5"), "row 11, temperature: 71.5 °C has never been measured; look at the unit"),
            (set(12, 3, "-4"), "row 20, ghi: -4 W/m² is below nought"),
            (set(1, 3, "180"), "row 9, ghi: 180 W/m² at night, by place and zone of the file"),
            (set(12, 2, "160"), "row 20, humidity: 160 % is no relative humidity"),
            (set(12, 4, "2000"), "row 20, dni: 2000 W/m², more than reaches the air"),
            (table(|_, cells| cells.swap(3, 5)), "W/m² of the sky beside"),
            (
                table(|_, cells| cells.swap(1, 2)),
                "the year's mean is 60.0 °C: column 'temperature' holds degrees of another kind",
            ),
            (
                table(|_, _| {}).replace("# zone: -5", "# zone: -8"),
                "the middle of the sunshine stands 3.0 h from where the sun is highest",
            ),
            (table(|_, _| {}).replace("# latitude: 45", "# latitude: -45"), "do not fit 45.0° south"),
            (table(|_, _| {}).replace("ghi [W/m2]", "ghi"), "column 'ghi' is in ''; give a unit such as [W/m2]"),
            (table(|_, _| {}).replace("dni [W/m2]", "beam [W/m2]"), "there is no column 'dni [W/m2]'"),
            (table(|_, _| {}).replace("# stamps: middle\n", ""), "a line '# stamps: start', middle or end has to say"),
            (
                table(|_, _| {}).replace("# elevation: 100 m\n", ""),
                "elevation is not given, or is no number up to 9000",
            ),
            (String::new(), "there is no column 'temperature [C]'"),
        ];
        for (text, said) in cases {
            let told = faults(&text);
            assert!(told.iter().any(|fault| fault.contains(said)), "{said}: {told:?}");
        }
    }

    /// The public TMY3 year of Greensboro (723170), as the example Sparrow Court keeps it. Means, design temperatures,
    /// degree-days and walls by pandas and pvlib 0.16.1 on the makers' file, half of the last digit, walls 0.3 %. Where
    /// somebody names that file, it says the same: `MATELINE_TMY3=723170TYA.CSV cargo test --workspace --lib greensboro`.
    #[test]
    fn the_public_file_of_greensboro() {
        let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/../../../examples/sparrow-court/weather/greensboro.csv");
        let text = std::fs::read_to_string(kept).unwrap();
        if let Ok(makers) = std::env::var("MATELINE_TMY3") {
            let makers = read(&std::fs::read_to_string(makers).unwrap()).unwrap();
            assert_eq!(makers.hours, read(&text).unwrap().hours);
        }
        let year = read(&text).unwrap();
        let summary = crate::Summary::of(&year);
        let means = [0.332, 5.030, 11.414, 14.685, 19.032, 23.592, 25.433, 24.761, 20.076, 13.120, 10.821, 4.229];
        let level =
            [74.848, 85.751, 131.766, 162.302, 174.719, 187.527, 188.581, 174.054, 132.813, 111.264, 73.045, 69.533];
        for (month, ((found, mean), level)) in summary.months.iter().zip(means).zip(level).enumerate() {
            let sum = found.radiation * f64::from(DAYS[month]) * 0.024;
            assert!((found.temperature - mean).abs() < 0.0006 && (sum - level).abs() < 0.0006, "{month}: {found:?}");
        }
        assert_eq!((summary.heating, summary.cooling), (-9.4, 32.2));
        assert!((summary.degree_days - 2153.2).abs() < 0.06, "{}", summary.degree_days);
        for (found, wall) in summary.walls.into_iter().zip([1139.9, 913.6, 443.6, 897.1]) {
            assert!((found / wall - 1.0).abs() < 0.003, "{found} beside {wall}");
        }
    }
}
