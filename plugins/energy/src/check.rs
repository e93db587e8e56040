//! A climate that cannot be.

use crate::facts::FLUX;
use crate::mean_day::MeanDay;
use crate::months::MONTHS;
use mateline_model::home::Home;
use mateline_model::{Pointer, Problem};
use std::f64::consts::FRAC_PI_2;

/// Every problem of what this plugin alone reads of the site.
pub(crate) fn problems(home: &Home) -> Vec<Problem> {
    let site = &home.site;
    let Some(latitude) = site.latitude else { return Vec::new() };
    if latitude.si().abs() > FRAC_PI_2 {
        let message = format!("site.latitude is {:.4}°; it lies between −90° and 90°", latitude.si().to_degrees());
        return vec![problem("site.latitude".to_owned(), message, "give degrees north of the equator")];
    }
    let mut found = Vec::new();
    for (number, (month, name, _)) in MONTHS.into_iter().enumerate() {
        let Some(radiation) = site.months.get(&month).and_then(|month| month.radiation) else { continue };
        let most = MeanDay::most(number, latitude);
        if radiation > most {
            let path = format!("site.months.{name}.radiation");
            let (given, most) = FLUX.show_pair(radiation.into(), most.into(), home.units);
            let message = format!("{path} is {given}; no more than {most} reach the air above this latitude");
            found.push(problem(path, message, "give the mean of days and nights, such as 3.2 kWh/(m²·d)"));
        }
    }
    found
}

fn problem(path: String, message: String, help: &str) -> Problem {
    Problem { at: Pointer::new(path), also: Vec::new(), message, help: Some(help.to_owned()) }
}
