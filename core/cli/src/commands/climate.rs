//! `mateline climate`

use crate::arguments::Climate;
use crate::exit::Exit;
use crate::output;
use mateline_engine::load::open_file;
use mateline_model::quantity::{DegreeDays, HeatFlux, Length, Quantity, Ratio, Temperature, UnitSystem, Units};
use mateline_plugins::weather::{LARGEST, Summary, WeatherYear, read};
use std::fmt::Write;
use std::io::Read;
use std::path::Path;

const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
const DEGREE_DAYS: Units = Units::new("°C·d", 0, "°F·d", 0);
const RADIATION: Units = Units::new("kWh/(m²·d)", 2, "kWh/(m²·d)", 2);
const HUMIDITY: Units = Units::new("%", 0, "%", 0);
const HEIGHT: Units = Units::new("m", 0, "ft", 0);

/// Prints what a weather file says of a site, to paste into a home.
pub fn run(wanted: &Climate) -> Exit {
    let text = match text_of(&wanted.file) {
        Ok(text) => text,
        Err(error) => return output::refuse(&format!("cannot read '{}': {error}", wanted.file.display())),
    };
    match read(&text) {
        Ok(year) => output::print(&block(&year, &wanted.file, wanted.units.map_or(UnitSystem::Ip, Into::into))),
        Err(faults) => {
            let file = wanted.file.display();
            let lines: Vec<String> = faults.iter().map(|fault| format!("{file}: {fault}")).collect();
            output::refuse(&lines.join("\nerror: "))
        }
    }
}

fn text_of(path: &Path) -> Result<String, String> {
    let file = open_file(path).map_err(|error| error.to_string())?;
    let mut text = String::new();
    let most = LARGEST as u64 + 1;
    file.take(most).read_to_string(&mut text).map_err(|error| error.to_string())?;
    Ok(text)
}

/// The site block.
fn block(year: &WeatherYear, file: &Path, units: UnitSystem) -> String {
    let summary = Summary::of(year);
    let show = |shown: Units, value: Quantity| shown.show(value, units);
    let temperature = |degrees: f64| show(Units::TEMPERATURE, Temperature::from_si(degrees).into());
    let name: String = year.name.chars().filter(|c| !c.is_control()).collect();
    let file = file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let mut text = format!("# {file}: {name}. Lines for site: of a home; place and climate_zone are yours to add.\n");
    for remark in &year.remarks {
        let _ = writeln!(text, "# {remark}");
    }
    let latitude = year.place.latitude.to_degrees();
    let _ = writeln!(text, "latitude: {latitude:.3} °");
    let _ = writeln!(text, "elevation: {}", show(HEIGHT, Length::from_si(year.elevation).into()));
    let _ = writeln!(
        text,
        "# Of this year's hours alone, 99 % above and 1 % above. A typical year is milder than a long record:"
    );
    let _ = writeln!(text, "# take design temperatures from the authority.");
    let _ = writeln!(text, "design_heating: {}", temperature(summary.heating));
    let _ = writeln!(text, "design_cooling: {}", temperature(summary.cooling));
    let degree_days = DegreeDays::from_si(summary.degree_days * 86_400.0);
    let _ = writeln!(text, "heating_degree_days: {}", show(DEGREE_DAYS, degree_days.into()));
    text.push_str("months:\n");
    for (month, means) in MONTHS.into_iter().zip(&summary.months) {
        let humidity =
            means.humidity.map(|share| format!(", humidity: {}", show(HUMIDITY, Ratio::from_si(share).into())));
        let radiation = show(RADIATION, HeatFlux::from_si(means.radiation).into());
        let (air, humidity) = (temperature(means.temperature), humidity.unwrap_or_default());
        let _ = writeln!(text, "  {month}: {{temperature: {air}{humidity}, radiation: {radiation}}}");
    }
    let _ = writeln!(text, "# The ground holds about the mean of the year, {}.", temperature(summary.mean));
    let [south, west, north, east] = summary.walls;
    let _ = writeln!(
        text,
        "# Sun and sky on walls in this year: south {south:.0}, west {west:.0}, north {north:.0}, east {east:.0} kWh/m²."
    );
    text
}
