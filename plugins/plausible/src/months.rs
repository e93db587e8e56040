//! The year that the site's monthly means tell.

use crate::facts;
use mateline_model::home::{Home, Month};
use mateline_model::quantity::{DegreeDays, Temperature, TemperatureDifference};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Lack};

/// The months in order, with their days.
const YEAR: [(Month, f64); 12] = [
    (Month::Jan, 31.0),
    (Month::Feb, 28.25),
    (Month::Mar, 31.0),
    (Month::Apr, 30.0),
    (Month::May, 31.0),
    (Month::Jun, 30.0),
    (Month::Jul, 31.0),
    (Month::Aug, 31.0),
    (Month::Sep, 30.0),
    (Month::Oct, 31.0),
    (Month::Nov, 30.0),
    (Month::Dec, 31.0),
];

/// Base of heating degree-days in North America: 65 °F, in °C.
const BASE: f64 = (65.0 - 32.0) / 1.8;

/// Facts of the year.
pub(crate) fn report(home: &Home, findings: &mut Findings) {
    let subject = Subject::home();
    let months: Option<Vec<(f64, f64)>> =
        YEAR.iter().map(|(month, days)| Some((home.site.months.get(month)?.temperature.si(), *days))).collect();
    let Some(months) = months else {
        let all = [&facts::COLDEST_MONTH, &facts::LARGEST_MONTH_STEP, &facts::MONTHS_DEGREE_DAYS];
        Lack::at("the twelve months of site.months are not given", "site.months").write(&subject, &all, findings);
        return;
    };
    let following = months.iter().cycle().skip(1);
    let step = months.iter().zip(following).map(|((one, _), (next, _))| (next - one).abs()).fold(0.0, f64::max);
    let coldest = months.iter().map(|(temperature, _)| *temperature).fold(f64::INFINITY, f64::min);
    let degree_days: f64 = months.iter().map(|(temperature, days)| (BASE - temperature).max(0.0) * days).sum();
    let at = || Pointer::new("site.months");
    let basis = |what: &'static str, term: Term| {
        Basis::new("of the site's monthly means", "arithmetic").step(Step::procedure(what).result(term))
    };
    let coldest = Temperature::from_si(coldest);
    let term = Term::new("θ", "coldest month", coldest, facts::COLDEST_MONTH.units.clone());
    findings.fact_at(&subject, &facts::COLDEST_MONTH, coldest, basis("the coldest of twelve", term), at());
    let step = TemperatureDifference::from_si(step);
    let term = Term::new("Δθ", "largest difference", step, facts::LARGEST_MONTH_STEP.units.clone());
    findings.fact_at(&subject, &facts::LARGEST_MONTH_STEP, step, basis("the largest step of twelve", term), at());
    let degree_days = DegreeDays::from_si(degree_days * 86_400.0);
    let term = Term::new("D", "degree-days", degree_days, facts::MONTHS_DEGREE_DAYS.units.clone());
    let what = "of each month, what its mean lacks to 65 °F times its days; all of these together";
    findings.fact_at(&subject, &facts::MONTHS_DEGREE_DAYS, degree_days, basis(what, term), at());
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]

    use super::*;
    use crate::Plausible;
    use mateline_model::{Facts, Value};
    use mateline_sdk::{Plugin, Request};

    /// Monthly normals of a cold town (°F), from memory, whose published heating degree-days are about 7,300 °F·d:
    /// monthly means give somewhat less.
    const COLD: [f64; 12] = [19.0, 21.0, 31.0, 45.0, 57.0, 66.0, 71.0, 69.0, 61.0, 49.0, 38.0, 26.0];

    #[test]
    fn a_year_by_hand() {
        // 31·46 + 28.25·44 + 31·34 + 30·20 + 31·8 + 30·4 + 31·16 + 30·27 + 31·39 = 7,206 °F·d
        let names = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
        let months: serde_json::Map<String, serde_json::Value> = names
            .iter()
            .zip(COLD)
            .map(|(name, mean)| ((*name).to_owned(), serde_json::json!({"temperature": format!("{mean} °F")})))
            .collect();
        let home = Home::read(&serde_json::json!({
            "home": "invented", "revision": {"id": "A", "date": "2026-10-05"},
            "site": {"place": "an invented town", "climate_zone": "6A", "months": months},
            "modules": {"A": {"level": 1, "at": {"x": "0 m", "y": "0 m"}, "size": {"x": "9 m", "y": "4 m", "z": "3 m"}}},
        }))
        .unwrap();
        let facts = Facts::default();
        let found = Plausible.run(&Request { home: &home, facts: &facts, settings: &[], shown: true }).unwrap();
        let number = |name: &str| {
            let fact = found.facts.iter().find(|fact| fact.quantity == name).unwrap();
            let Value::Number(quantity) = fact.value else { unreachable!("{name} is a number") };
            quantity.si
        };
        let fahrenheit_days = number("plausible.months_degree_days") / 86_400.0 * 1.8;
        assert!((fahrenheit_days - 7_206.0).abs() < 1e-6, "{fahrenheit_days}");
        assert!((number("plausible.coldest_month") - (19.0 - 32.0) / 1.8).abs() < 1e-9);
        assert!((number("plausible.largest_month_step") - 14.0 / 1.8).abs() < 1e-9);
    }
}
