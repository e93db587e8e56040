//! Values of finishes and records that cannot be.

use crate::air::DWELLING;
use crate::cas::{self, CasNumber};
use crate::compound;
use crate::decay::Emission;
use crate::substance;
use mateline_model::home::{Finish, Home, Name};
use mateline_model::quantity::{Duration, EmissionRate};
use mateline_model::{Pointer, Problem};
use std::collections::BTreeMap;

/// A panel's chamber test shows parts per million; more than this is a unit left out.
const MOST_PANEL_FORMALDEHYDE: f64 = 1e-4;

/// Every problem of the sections this plugin reads.
pub(crate) fn problems(home: &Home) -> Vec<Problem> {
    let mut checker = Checker { home, found: Vec::new() };
    if home.spaces.keys().any(|id| id == DWELLING) && !home.finishes.is_empty() {
        let message = format!("spaces.{DWELLING} has the name that stands for the whole dwelling");
        checker.add(format!("spaces.{DWELLING}"), message, Some("give the room another id"));
    }
    for (id, finish) in &home.finishes {
        checker.finish(&format!("finishes.{id}"), finish);
    }
    for (id, own) in &home.compounds {
        checker.own_compound(&format!("compounds.{id}.cas"), &own.cas);
    }
    for (id, test) in &home.measurements {
        if let Some(Err(message)) = test.compound.as_ref().map(|name| compound::listed(name)) {
            let help = Some("name a compound of the list, or give its CAS number");
            checker.add(format!("measurements.{id}.compound"), message, help);
        }
    }
    for (id, record) in &home.evidence {
        if let (Some(issued), Some(expires)) = (record.issued, record.expires)
            && expires < issued
        {
            let path = format!("evidence.{id}");
            let message = format!("{path} expires on {expires}, before it is issued on {issued}");
            checker.add(format!("{path}.expires"), message, None);
        }
    }
    checker.found
}

struct Checker<'a> {
    home: &'a Home,
    found: Vec<Problem>,
}

impl Checker<'_> {
    fn add(&mut self, path: String, message: String, help: Option<&str>) {
        self.found.push(Problem { at: Pointer::new(path), also: Vec::new(), message, help: help.map(str::to_owned) });
    }

    /// A number that checks, of no compound that has a level already.
    fn own_compound(&mut self, path: &str, number: &Name) {
        let message = match cas::read(number.trim()) {
            Some(CasNumber::Right(_)) => match compound::listed(number) {
                Ok(named) if named.compound.chronic_level.is_some() => {
                    format!("{} has a level in the list already", named.compound.name)
                }
                _ => return,
            },
            Some(CasNumber::WrongDigit { written, expected }) => {
                format!("CAS number {written} does not check: its last digit would be {expected}")
            }
            None => format!("'{number}' is no CAS number"),
        };
        self.add(path.to_owned(), message, None);
    }

    fn finish(&mut self, path: &str, finish: &Finish) {
        self.signs(path, finish);
        self.ages(path, finish);
        self.decay(path, finish);
        self.compounds(&format!("{path}.emissions"), &finish.emissions.iter().collect::<Vec<_>>());
        for (index, later) in finish.later_emissions.iter().enumerate() {
            let place = format!("{path}.later_emissions.{index}.emissions");
            self.compounds(&place, &later.emissions.iter().collect::<Vec<_>>());
            for name in later.emissions.keys() {
                let known = |other: &Name| match (compound::listed(other), compound::listed(name)) {
                    (Ok(other), Ok(own)) => other.substance == own.substance,
                    _ => true,
                };
                if !finish.emissions.keys().any(known) {
                    let message = format!("{place}.{name} has no first value in {path}.emissions");
                    self.add(format!("{place}.{name}"), message, Some("give the factor of the first test too"));
                }
            }
        }
        for (index, content) in finish.contains.iter().enumerate() {
            for number in cas::find(content) {
                if let CasNumber::WrongDigit { written, expected } = number {
                    let message = format!("CAS number {written} does not check: its last digit would be {expected}");
                    self.add(
                        format!("{path}.contains.{index}"),
                        message,
                        Some("compare it with the safety data sheet"),
                    );
                }
            }
            if let Some(near) = substance::nearly(content) {
                let message = format!("'{content}' is in no list of substances (did you mean '{near}'?)");
                let help = Some("write the substance as the list does, or add its CAS number, which decides");
                self.add(format!("{path}.contains.{index}"), message, help);
            }
        }
        if let Some(other) = &finish.tested_with {
            let place = format!("{path}.tested_with");
            if format!("finishes.{other}") == path {
                self.add(place, format!("{path} is said to be tested with itself"), None);
            } else if !self.home.finishes.contains_key(other) {
                let near = crate::words::did_you_mean(other, self.home.finishes.keys().map(AsRef::as_ref));
                self.add(place, format!("there is no finish '{other}'{near}"), None);
            }
        }
    }

    fn signs(&mut self, path: &str, finish: &Finish) {
        let values = [
            ("area", finish.area.map(|value| (value.si(), value.to_string()))),
            ("length", finish.length.map(|value| (value.si(), value.to_string()))),
            ("mass", finish.mass.map(|value| (value.si(), value.to_string()))),
            ("voc_content", finish.voc_content.map(|value| (value.si(), value.to_string()))),
            ("colourant_voc", finish.colourant_voc.map(|value| (value.si(), value.to_string()))),
            ("panel_formaldehyde", finish.panel_formaldehyde.map(|value| (value.si(), value.to_string()))),
        ];
        for (field, value) in values {
            if let Some((_, shown)) = value.filter(|(number, _)| *number < 0.0) {
                let place = format!("{path}.{field}");
                let message = format!("{place} is {shown}; it cannot be negative");
                self.add(place, message, None);
            }
        }
        if let Some(measured) = finish.panel_formaldehyde.filter(|measured| measured.si() > MOST_PANEL_FORMALDEHYDE) {
            let place = format!("{path}.panel_formaldehyde");
            let message = format!("{place} is {} ppm; a chamber test shows less than 100 ppm", measured.si() * 1e6);
            self.add(place, message, Some("write the unit: \"0.05 ppm\""));
        }
    }

    fn ages(&mut self, path: &str, finish: &Finish) {
        let mut last = crate::product::TEST_AGE;
        let first = finish.tested_at.map(|age| (format!("{path}.tested_at"), age));
        if let Some((place, age)) = first {
            self.positive(place, age);
            last = age;
        }
        for (index, later) in finish.later_emissions.iter().enumerate() {
            let place = format!("{path}.later_emissions.{index}.tested_at");
            if later.tested_at <= last {
                let (age, last) = (days(later.tested_at), days(last));
                let message = format!("{place} is {age} days, not later than {last} days before it");
                self.add(place, message, Some("list tests in the order of age"));
            }
            last = later.tested_at;
        }
    }

    fn positive(&mut self, place: String, age: Duration) {
        if age.si() <= 0.0 {
            let message = format!("{place} is {} days; it must be above zero", days(age));
            self.add(place, message, None);
        }
    }

    fn decay(&mut self, path: &str, finish: &Finish) {
        let Some(decay) = &finish.decay else { return };
        let place = format!("{path}.decay");
        if Emission::given_law(decay).is_none() {
            let message =
                format!("{place} is neither a 'power' nor the three of 'fast_share', 'fast_rate', 'slow_rate'");
            self.add(place.clone(), message, None);
        }
        if let Some(share) = decay.fast_share.filter(|share| !(0.0..=1.0).contains(&share.si())) {
            self.add(
                format!("{place}.fast_share"),
                format!("{place}.fast_share is {share}; it lies between 0 and 1"),
                None,
            );
        }
        let rates = [
            ("power", decay.power.map(|value| value.si())),
            ("fast_rate", decay.fast_rate.map(|value| value.si())),
            ("slow_rate", decay.slow_rate.map(|value| value.si())),
        ];
        for (field, value) in rates {
            if value.is_some_and(|value| value < 0.0) {
                let message = format!("{place}.{field} is below zero; emissions do not grow with age");
                self.add(format!("{place}.{field}"), message, None);
            }
        }
        if !finish.later_emissions.is_empty() {
            let message = format!("{path} gives both a decay and later emissions, which show a decay of their own");
            self.add(place, message, Some("leave one of them out"));
        }
    }

    /// Names that can be read, each substance once, no factor below zero.
    fn compounds(&mut self, place: &str, emissions: &[(&Name, &EmissionRate)]) {
        let mut seen: BTreeMap<String, &Name> = BTreeMap::new();
        for (name, factor) in emissions {
            let at = format!("{place}.{name}");
            if factor.si() < 0.0 {
                let factor = factor.in_unit("µg/(m²·h)").unwrap_or_default();
                self.add(at.clone(), format!("{at} is {factor} µg/(m²·h); it cannot be negative"), None);
            }
            match compound::listed(name) {
                Err(message) => {
                    let help = Some("name a compound of the list, or give its CAS number");
                    self.add(at, message, help);
                }
                Ok(named) => {
                    if let Some(other) = seen.insert(named.substance, name) {
                        self.add(
                            at,
                            format!("'{name}' and '{other}' are the same compound"),
                            Some("give its factor once"),
                        );
                    }
                }
            }
        }
    }
}

fn days(age: Duration) -> f64 {
    (age.si() / 86.4).round() / 1e3
}
