//! The hourly year that the home names, and whether it is of the home's site.

use mateline_model::quantity::{Length, Units};
use mateline_model::{Pointer, Problem};
use mateline_sdk::Request;
use mateline_weather::{Fault, WeatherYear, read};

/// A file of a place so far to the north or south is of another climate (°). Common practice, no source.
const FAR: f64 = 1.0;
/// A file of a place so much higher or lower is about 2 K colder or warmer (m). Common practice, no source.
const HIGH: f64 = 300.0;
const HEIGHT: Units = Units::new("m", 0, "ft", 0);

/// The year of the file that the home names.
///
/// # Errors
/// Everything that is wrong with it, each with its row and column.
pub(crate) fn of(request: &Request<'_>) -> Result<Option<WeatherYear>, Vec<Problem>> {
    let Some(weather) = &request.home.weather else { return Ok(None) };
    let name = weather.file.as_ref();
    let at = |message: String, help: Option<&str>| {
        let (at, help) = (Pointer::new("weather.file"), help.map(str::to_owned));
        Problem { at, also: Vec::new(), message, help }
    };
    let problem = |message: String, help: &str| at(format!("'{name}': {message}"), Some(help));
    let file = request.settings.iter().find_map(|(_, setting)| setting.get("weather_file"));
    let read_as = |key: &str| file.and_then(|file| file.get(key)?.as_str());
    let Some(text) = read_as("text") else {
        let why = read_as("lacks").map_or_else(|| format!("'{name}' was not handed over"), str::to_owned);
        return Err(vec![at(why, None)]);
    };
    let told = |fault: Fault| problem(fault.to_string(), "mend the file, or take another");
    let year = read(text).map_err(|faults| faults.into_iter().map(told).collect::<Vec<_>>())?;
    let site = &request.home.site;
    let mut problems = Vec::new();
    if let Some(latitude) = site.latitude {
        let (here, there) = (latitude.si().to_degrees(), year.place.latitude.to_degrees());
        if (here - there).abs() > FAR {
            let message = format!("it is of latitude {there:.2}°, and the site is at {here:.2}°");
            problems.push(problem(message, "take a file of a station nearer by, or mend site.latitude"));
        }
    }
    if let Some(elevation) = site.elevation
        && (elevation.si() - year.elevation).abs() > HIGH
    {
        let show = |metres: f64| HEIGHT.show(Length::from_si(metres).into(), request.home.units);
        let message = format!(
            "it is of a place {} above the sea, and the site lies at {}",
            show(year.elevation),
            show(elevation.si())
        );
        problems.push(problem(message, "take a file of a station of the site's height, or mend site.elevation"));
    }
    if problems.is_empty() { Ok(Some(year)) } else { Err(problems) }
}
