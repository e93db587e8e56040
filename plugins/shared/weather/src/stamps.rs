//! Which hour of the year a row is of.

use crate::layout::{Layout, Stamp};
use crate::table::Fault;
use crate::year::{DAYS, month_of};
use csv::StringRecord;

/// Month, day and the hour that begins, of a row.
pub(crate) fn stamp(
    layout: &Layout,
    row: &StringRecord,
    line: u64,
    faults: &mut Vec<Fault>,
) -> Option<(u32, u32, u32)> {
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
pub(crate) fn place_in_year(month: u32, day: u32, hour: u32) -> Option<usize> {
    let month = (month as usize).checked_sub(1).filter(|month| *month < 12)?;
    let has = DAYS.get(month).is_some_and(|days| (1..=*days).contains(&day));
    let before: u32 = DAYS.iter().take(month).sum();
    (has && hour < 24).then_some(((before + day - 1) * 24 + hour) as usize)
}

/// An hour of the year in words.
pub(crate) fn words(hour: usize) -> String {
    let month = month_of(hour);
    let before: u32 = DAYS.iter().take(month).sum();
    let day = hour as u32 / 24 - before + 1;
    format!("the hour of {:02}-{day:02} that begins at {:02}:00", month + 1, hour % 24)
}
