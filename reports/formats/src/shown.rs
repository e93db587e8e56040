//! How values, places, sources and origins read, in the units of the report.

use mateline_model::quantity::{Dimension, Quantity, UnitSystem, Units, number, unit};
use mateline_model::{Fact, Origin, Place, Report, Value, Verdict};

/// What stands in place of a value that could not be found.
pub const NOT_KNOWN: &str = "not known";

/// A value as a person reads it.
pub fn value(value: &Value, units: &Units, system: UnitSystem) -> String {
    match value {
        Value::Number(quantity) if is_difference(*quantity, units) => {
            let units = Units { si: "K".into(), ip: "Δ°F".into(), ..units.clone() };
            value.show(&units, system)
        }
        Value::Number(quantity) if !fits(*quantity, units, system) => bare(*quantity),
        _ => value.show(units, system),
    }
}

/// The margin between two temperatures is a difference, which no temperature scale can show.
fn is_difference(quantity: Quantity, units: &Units) -> bool {
    quantity.dimension == Dimension::TEMPERATURE_DIFFERENCE && units.dimension() == Some(Dimension::TEMPERATURE)
}

/// Words in which thermal resistances stand in SI units, with them in the units of the report: `0.25 m²·K/W` reads
/// `1.42 h·ft²·°F/Btu`.
pub fn wording(text: &str, system: UnitSystem) -> String {
    const SI: &str = " m²·K/W";
    if system == UnitSystem::Si {
        return text.to_owned();
    }
    let mut parts = text.split(SI);
    let mut told = parts.next().unwrap_or_default().to_owned();
    for after in parts {
        let words = told.trim_end_matches(|c: char| c.is_ascii_digit() || c == '.').len();
        let number = told.split_off(words);
        let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        let decimals = u8::try_from(decimals).unwrap_or(u8::MAX);
        match mateline_model::quantity::parse(&format!("{number}{SI}")) {
            Ok(resistance) => {
                told.push_str(&Units::new("m²·K/W", decimals, "h·ft²·°F/Btu", decimals).show(resistance, system));
            }
            Err(_) => told.push_str(&format!("{number}{SI}")),
        }
        told.push_str(after);
    }
    told
}

/// Two values side by side, with as many decimals as it takes to tell them apart.
pub fn pair(a: &Value, b: &Value, units: &Units, system: UnitSystem) -> (String, String) {
    match (a, b) {
        (Value::Number(x), Value::Number(y)) if fits(*x, units, system) && fits(*y, units, system) => {
            units.show_pair(*x, *y, system)
        }
        _ => (value(a, units, system), value(b, units, system)),
    }
}

/// A fact's value.
pub fn fact(report: &Report, fact: &Fact) -> String {
    match (report.quantities.get(&*fact.quantity), &fact.value) {
        (Some(definition), fact_value) => value(fact_value, &definition.units, report.units),
        (None, Value::Number(quantity)) => bare(*quantity),
        (None, other) => other.show(&Units::plain(0), report.units),
    }
}

/// Whether the unit exists and measures what the quantity measures.
fn fits(quantity: Quantity, units: &Units, system: UnitSystem) -> bool {
    let (name, _) = units.of(system);
    name.is_empty() || unit(name).is_some_and(|unit| unit.dimension == quantity.dimension)
}

/// A number whose unit nobody defined.
fn bare(quantity: Quantity) -> String {
    format!("{} (SI, {})", number(quantity.si, 4), quantity.dimension)
}

/// Titles that are named of what waits for an open point.
const MOST_NAMED: usize = 3;

/// `2 more wait for this: Soil-gas retarder; Vent pipe`: what is counted under an open point, each title once, and of many
/// the first: `12 more wait for this: Soil-gas retarder; Vent pipe; Sump; and 7 other rules`.
pub fn waiting(under: &[&Verdict]) -> Option<String> {
    let mut titles: Vec<&str> = Vec::new();
    for verdict in under {
        if !titles.contains(&verdict.title.as_str()) {
            titles.push(&verdict.title);
        }
    }
    let others = titles.len().saturating_sub(MOST_NAMED);
    // One more is as long as saying so.
    let named = if others > 1 { titles.get(..MOST_NAMED)? } else { titles.as_slice() };
    let rest = if others > 1 { format!("; and {others} other rules") } else { String::new() };
    Some(format!("{} for this: {}{rest}", more_wait(under.len())?, named.join("; ")))
}

/// `2 more wait`; nothing where none does.
pub(crate) fn more_wait(count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some("1 more waits".to_owned()),
        count => Some(format!("{count} more wait")),
    }
}

/// `home.yaml:31:7`, or the file alone where the line is not known.
pub fn place(place: &Place) -> String {
    if place.line == 0 {
        return place.file.clone();
    }
    format!("{}:{}:{}", place.file, place.line, place.column)
}

/// The place of a path in the home, or the path itself where the place is not known.
pub fn path(report: &Report, path: &str) -> String {
    report.places.get(path).map_or_else(|| path.to_owned(), place)
}

/// `Table R402.1.2 (from memory, high)`.
pub fn cited(source: &str, provenance: Option<&str>) -> String {
    match (source.trim(), provenance.map(str::trim).filter(|mark| !mark.is_empty())) {
        (source, Some(mark)) if source.is_empty() || source == mark => mark.to_owned(),
        (source, Some(mark)) => format!("{source} ({mark})"),
        ("", None) => "no source named".to_owned(),
        (source, None) => source.to_owned(),
    }
}

/// Where a value of a calculation comes from.
pub fn origin(report: &Report, origin: &Origin) -> String {
    match origin {
        Origin::Computed => "computed here".to_owned(),
        Origin::Given(given) => path(report, given),
        Origin::Fact(subject, quantity) => format!("{quantity} of {subject}"),
        Origin::Published(source) => source.clone(),
    }
}

/// Help is written as a sentence in a pack and as the end of a line in a report.
pub fn lower_start(text: &str) -> String {
    let mut letters = text.chars();
    let second_is_lower = text.chars().nth(1).is_some_and(|c| c.is_lowercase() || c == ' ');
    match letters.next() {
        Some(first) if second_is_lower => {
            let rest = letters.as_str();
            format!("{}{}", first.to_lowercase(), rest.strip_suffix('.').unwrap_or(rest))
        }
        _ => text.strip_suffix('.').unwrap_or(text).to_owned(),
    }
}

/// What a verdict that is met for the time being says of that: `met by forecast, final test owed`.
pub fn met_for_now(said: &str) -> String {
    if said.starts_with("met ") { said.to_owned() } else { format!("met {said}") }
}

/// `1 requirement`, `2 requirements`.
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_that_does_not_fit_is_never_printed_beside_the_number() {
        let area = Value::Number(Quantity::new(2.5, Dimension::AREA));
        assert_eq!(value(&area, &Units::LENGTH, UnitSystem::Si), "2.5000 (SI, area)");
        assert_eq!(value(&area, &Units::new("hogshead", 1, "hogshead", 1), UnitSystem::Ip), "2.5000 (SI, area)");
        assert_eq!(value(&area, &Units::AREA, UnitSystem::Si), "2.50 m²");
    }

    /// Of many only the first are named; of four all are, since the fourth is as short as saying that there is one more.
    #[test]
    fn what_waits_is_named_up_to_a_few() {
        let one = crate::fixture::report().verdicts.swap_remove(0);
        let titled = |title: &str| Verdict { title: title.to_owned(), ..one.clone() };
        let all: Vec<Verdict> = ["Drain", "Sump", "Drain", "Sheet", "Pipe", "Fan"].map(titled).to_vec();
        let told = |count: usize| waiting(&all.iter().take(count).collect::<Vec<_>>());
        assert_eq!(told(0), None);
        assert_eq!(told(1).as_deref(), Some("1 more waits for this: Drain"));
        assert_eq!(told(5).as_deref(), Some("5 more wait for this: Drain; Sump; Sheet; Pipe"));
        assert_eq!(told(6).as_deref(), Some("6 more wait for this: Drain; Sump; Sheet; and 2 other rules"));
    }

    #[test]
    fn a_margin_between_temperatures_is_a_difference() {
        let margin = Value::Number(Quantity::new(-3.5, Dimension::TEMPERATURE_DIFFERENCE));
        let units = Units::new("°C", 1, "°F", 1);
        assert_eq!(value(&margin, &units, UnitSystem::Si), "-3.5 K");
        assert_eq!(value(&margin, &units, UnitSystem::Ip), "-6.3 Δ°F");
    }

    #[test]
    fn resistances_in_words_are_in_the_units_of_the_report() {
        // 1 m²·K/W is 5.678263 h·ft²·°F/Btu, by the definitions of foot, pound and British thermal unit.
        let text = "films of 0.25 m²·K/W inside, Rsi 0.1300 m²·K/W; no m²·K/W";
        let told = "films of 1.42 h·ft²·°F/Btu inside, Rsi 0.7382 h·ft²·°F/Btu; no m²·K/W";
        assert_eq!(wording(text, UnitSystem::Ip), told);
        assert_eq!(wording(text, UnitSystem::Si), text);
    }

    #[test]
    fn help_reads_as_the_end_of_a_line() {
        assert_eq!(lower_start("Thicken the foam."), "thicken the foam");
        assert_eq!(lower_start("EPS of 3 in would do"), "EPS of 3 in would do");
        assert_eq!(lower_start(""), "");
    }

    #[test]
    fn a_source_carries_its_mark() {
        assert_eq!(cited("Table 1", Some("from memory")), "Table 1 (from memory)");
        assert_eq!(cited("", Some("common practice, no source")), "common practice, no source");
        assert_eq!(cited(" ", None), "no source named");
    }
}
