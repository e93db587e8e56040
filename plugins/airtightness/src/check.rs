//! Values of seams, holes and tests that cannot be.

use crate::budget::is_named;
use crate::seams;
use mateline_model::home::{Home, Measurement, MeasurementKind};
use mateline_model::{Pointer, Problem, Subject};
use mateline_sdk::Request;

/// Every problem of the sections this plugin reads.
pub(crate) fn problems(request: &Request<'_>) -> Vec<Problem> {
    let home = request.home;
    let mut found = crate::components::problems(request);
    for (id, seam) in &home.seams {
        if let Some(leakage) = seam.leakage.filter(|leakage| leakage.si() < 0.0) {
            found.push(negative(format!("seams.{id}.leakage"), &leakage.to_string()));
        }
    }
    for (id, hole) in &home.penetrations {
        let path = format!("penetrations.{id}");
        if let Some(leakage) = hole.leakage.filter(|leakage| leakage.si() < 0.0) {
            found.push(negative(format!("{path}.leakage"), &leakage.to_string()));
        }
        if let Some(diameter) = hole.diameter.filter(|diameter| diameter.si() <= 0.0) {
            found.push(not_positive(format!("{path}.diameter"), &diameter.to_string()));
        }
        if let Some(area) = hole.area.filter(|area| area.si() <= 0.0) {
            found.push(not_positive(format!("{path}.area"), &area.to_string()));
        }
    }
    for (id, opening) in &home.openings {
        if let Some(leakage) = opening.air_leakage.filter(|leakage| leakage.si() < 0.0) {
            found.push(negative(format!("openings.{id}.air_leakage"), &leakage.to_string()));
        }
    }
    if let Some(factor) = home.site.weather_shielding_factor.filter(|factor| !(0.0..=2.0).contains(&factor.si())) {
        let path = "site.weather_shielding_factor";
        found.push(problem(path, format!("{path} is {factor}; it lies between 0 and 2")));
    }
    for (id, measurement) in home.measurements.iter().filter(|(_, one)| one.kind == MeasurementKind::BlowerDoor) {
        test(request, &format!("measurements.{id}"), measurement, &mut found);
    }
    found
}

fn test(request: &Request<'_>, path: &str, measurement: &Measurement, found: &mut Vec<Problem>) {
    for (index, point) in measurement.points.iter().enumerate() {
        let at = format!("{path}.points.{index}");
        if point.flow.si() <= 0.0 {
            found.push(not_positive(format!("{at}.flow"), &point.flow.to_string()));
        }
        if point.pressure.si() == 0.0 {
            found.push(problem(
                &format!("{at}.pressure"),
                format!("{at}.pressure is zero; a point needs a pressure difference"),
            ));
        }
    }
    for (field, temperature) in [("indoor", measurement.indoor), ("outdoor", measurement.outdoor)] {
        if let Some(temperature) = temperature.filter(|one| !(-60.0..=60.0).contains(&one.si())) {
            let message = format!("{path}.{field} is {temperature}; air lies between -60 °C and 60 °C");
            found.push(problem(&format!("{path}.{field}"), message));
        }
    }
    if let Some(barometer) = measurement.barometer.filter(|one| !(50_000.0..=110_000.0).contains(&one.si())) {
        let message = format!("{path}.barometer is {barometer}; it lies between 50 kPa and 110 kPa");
        found.push(problem(&format!("{path}.barometer"), message));
    }
    if let Some(elevation) = measurement.elevation.filter(|one| !(-500.0..=9000.0).contains(&one.si())) {
        let message = format!("{path}.elevation is {elevation}; it lies between -500 m and 9000 m");
        found.push(problem(&format!("{path}.elevation"), message));
    }
    if let Some(wind) = measurement.wind.filter(|wind| wind.si() < 0.0) {
        found.push(negative(format!("{path}.wind"), &wind.to_string()));
    }
    let known = parts(request);
    for (index, name) in measurement.still_open.iter().enumerate() {
        let is_seam = || seams::pair(request.home, name.strip_prefix("seams.").unwrap_or(name)).is_some();
        if !known.iter().any(|subject| is_named(subject, name)) && !is_seam() {
            let at = format!("{path}.still_open.{index}");
            let message = format!("{at} is '{name}', which is no seam, opening or penetration of this home");
            let help = Some("name a part as its section does, such as penetrations.sewer or seams.A-B".to_owned());
            found.push(Problem { help, ..problem(&at, message) });
        }
    }
}

/// Everything that may be still open during a test.
fn parts(request: &Request<'_>) -> Vec<Subject> {
    let home: &Home = request.home;
    let openings = home.openings.keys().map(|id| Subject::element("openings", id));
    let holes = home.penetrations.keys().map(|id| Subject::element("penetrations", id));
    let leaks = crate::systems::subjects(home);
    let corners = (!matches!(crate::corners::item(request), Ok(None))).then(crate::corners::subject);
    openings.chain(holes).chain(leaks).chain(seams::found(request)).chain(corners).collect()
}

fn negative(path: String, value: &str) -> Problem {
    let message = format!("{path} is {value}; it cannot be negative");
    problem(&path, message)
}

fn not_positive(path: String, value: &str) -> Problem {
    let message = format!("{path} is {value}; it must be above zero");
    problem(&path, message)
}

fn problem(path: &str, message: String) -> Problem {
    Problem { at: Pointer::new(path), also: Vec::new(), message, help: None }
}
