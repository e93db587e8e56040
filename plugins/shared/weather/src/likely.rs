//! Whether a year is what it says it is: units, columns, zone and hemisphere.
//!
//! Only what cannot be is refused. Bounds are far beyond what has been measured. Common practice, no source.

use crate::sun::{Place, Sun, outside};
use crate::table::{Columns, Fault, Row};
use crate::year::month_of;
use mateline_model::portable::sin;

/// Coldest and warmest air ever measured, and a little more (°C).
const AIR: (f64, f64) = (-90.0, 57.0);
/// No hour's mean wind is stronger (m/s).
const GALE: f64 = 80.0;
/// A mean of the year beyond these is not in °C (°C).
const MEAN: (f64, f64) = (-35.0, 35.0);
/// No beam is stronger (W/m²): what reaches the air.
const BEAM: f64 = 1_415.0;
/// More on the level than reaches the air there, by this factor and this much (W/m²), when clouds add to the sun.
const CLOUDS: (f64, f64) = (1.15, 60.0);
/// More than this at night is no twilight (W/m²).
const TWILIGHT: f64 = 15.0;
/// The sky cannot give more than sun and sky together, by this factor and this much (W/m²).
const WHOLE: (f64, f64) = (1.1, 20.0);
/// The middle of the year's sunshine stands so near to the sun's highest point (h).
const NOON: f64 = 0.8;
/// So many faults are told.
const MOST: usize = 20;

/// All that cannot be.
pub(crate) fn unlikely(place: &Place, columns: &Columns, rows: &[Row]) -> Vec<Fault> {
    let mut faults = whole(place, columns, rows);
    if !faults.is_empty() {
        return faults;
    }
    for (number, row) in rows.iter().enumerate() {
        faults.extend(of_row(place, columns, number, row));
        if faults.len() >= MOST {
            break;
        }
    }
    faults
}

fn of_row(place: &Place, columns: &Columns, number: usize, row: &Row) -> Vec<Fault> {
    let mut faults = Vec::new();
    let hour = &row.hour;
    let mut say = |column: &str, message: String| faults.push(Fault::at(row.line, column, message));
    if !(AIR.0..=AIR.1).contains(&hour.temperature) {
        say(&columns.temperature.name, format!("{:.1} °C has never been measured; look at the unit", hour.temperature));
    }
    if let (Some(humidity), Some(column)) = (hour.humidity, &columns.humidity)
        && !(0.0..=1.0).contains(&humidity)
    {
        say(&column.name, format!("{:.0} % is no relative humidity", humidity * 100.0));
    }
    if let (Some(wind), Some(column)) = (hour.wind, &columns.wind)
        && !(0.0..=GALE).contains(&wind)
    {
        say(&column.name, format!("{wind:.1} m/s is no wind of an hour; look at the unit"));
    }
    let radiation = hour.radiation;
    for (column, value) in [
        (&columns.global, radiation.global),
        (&columns.direct, radiation.direct),
        (&columns.diffuse, radiation.diffuse),
    ] {
        if value < 0.0 {
            say(&column.name, format!("{value:.0} W/m² is below nought"));
        }
    }
    // Less is no fault at any time.
    if radiation.global <= TWILIGHT && radiation.direct <= BEAM && radiation.diffuse <= WHOLE.1 {
        return faults;
    }
    // The highest sun of the hour, a little before and after.
    let up = [0.0, 0.5, 1.0].map(|part| Sun::at(place, number as f64 + part).up).into_iter().fold(-1.0, f64::max);
    let above = up.max(0.0) * outside(number as f64 / 24.0 + 1.0);
    if up < sin(-1.0_f64.to_radians()) && radiation.global > TWILIGHT {
        say(&columns.global.name, format!("{:.0} W/m² at night, by place and zone of the file", radiation.global));
    } else if radiation.global > above * CLOUDS.0 + CLOUDS.1 {
        let message = format!("{:.0} W/m², where no more than {above:.0} W/m² reach the air", radiation.global);
        say(&columns.global.name, message);
    }
    if radiation.direct > BEAM {
        say(&columns.direct.name, format!("{:.0} W/m², more than reaches the air", radiation.direct));
    }
    if radiation.diffuse > radiation.global * WHOLE.0 + WHOLE.1 {
        let message = format!(
            "{:.0} W/m² of the sky beside {:.0} W/m² of sun and sky; are columns exchanged",
            radiation.diffuse, radiation.global
        );
        say(&columns.diffuse.name, message);
    }
    faults
}

/// What the year as a whole tells.
fn whole(place: &Place, columns: &Columns, rows: &[Row]) -> Vec<Fault> {
    let mut faults = Vec::new();
    let count = rows.len().max(1) as f64;
    let mean = rows.iter().map(|row| row.hour.temperature).sum::<f64>() / count;
    if !(MEAN.0..=MEAN.1).contains(&mean) {
        let message = format!(
            "the year's mean is {mean:.1} °C: column '{}' holds degrees of another kind",
            columns.temperature.name
        );
        faults.push(Fault::whole(message));
    }
    let of_month = |wanted: usize| {
        let hours = rows.iter().enumerate().filter(|(number, _)| month_of(*number) == wanted);
        let (sum, count) =
            hours.fold((0.0, 0.0), |(sum, count), (_, row)| (sum + row.hour.temperature, count + 1.0_f64));
        sum / count.max(1.0)
    };
    let (january, july) = (of_month(0), of_month(6));
    let north = place.latitude.to_degrees();
    if north.abs() > 25.0 && (january > july) == (north > 0.0) {
        let side = if north > 0.0 { "north" } else { "south" };
        let message =
            format!("January with {january:.1} °C and July with {july:.1} °C do not fit {:.1}° {side}", north.abs());
        faults.push(Fault::whole(message));
    }
    let (mut sum, mut weight) = (0.0, 0.0);
    for (number, row) in rows.iter().enumerate() {
        let sun = Sun::at(place, number as f64 + 0.5);
        sum += row.hour.radiation.global * sun.hour.to_degrees() / 15.0;
        weight += row.hour.radiation.global;
    }
    if weight > 0.0 && (sum / weight).abs() > NOON {
        let message = format!(
            "the middle of the sunshine stands {:.1} h from where the sun is highest: zone, longitude or stamps are others",
            (sum / weight).abs()
        );
        faults.push(Fault::whole(message));
    }
    faults
}
