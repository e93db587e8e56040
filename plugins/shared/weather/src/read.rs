//! Reading a year from the text of a file: TMY3 as its makers publish it, or a plain table with named columns.
//!
//! A TMY3 file has the station on its first line and names of columns on its second; its hours end at their stamps, so
//! that the sun of a row stands half an hour before. A plain table begins with lines of `# name: value` (`place`,
//! `latitude`, `longitude`, `zone`, `elevation`, and `stamps`: `start`, `middle` or `end` of the hour) and a row of names with
//! units: `time`, `temperature [C]` or `[F]`, `ghi [W/m2]`, `dni [W/m2]`, `dhi [W/m2]`, and where they are known `humidity [%]`
//! and `wind [m/s]`.
//!
//! Nothing is repaired: every row that is missing, doubled or impossible is named with its column.

use crate::layout::{Layout, plain, tmy3};
use crate::likely::unlikely;
use crate::sky::Radiation;
use crate::stamps::{place_in_year, stamp, words};
use crate::sun::Place;
use crate::table::{Column, Columns, Fault, Row};
use crate::year::{HOURS, Hour, WeatherYear};
use csv::{ReaderBuilder, StringRecord};

/// A file of a year is far smaller than this (bytes).
pub const LARGEST: usize = 16 * 1024 * 1024;
/// So many faults are told.
const MOST_FAULTS: usize = 20;
/// What stands for a missing value in TMY3.
const MISSING: f64 = -9_900.0;

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
        plain(&names, head.stamps.as_deref())
    };
    layout.map(|layout| (layout, rest))
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
    use crate::year::DAYS;
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
