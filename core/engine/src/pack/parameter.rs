//! Parameters of a pack: values it leaves to the home, each with a default.

use super::format::ParameterFile;
use crate::expr::{Expression, Item, Kind};
use mateline_model::home::Scalar;
use mateline_model::quantity::{Dimension, Quantity, UnitSystem, Units, parse};

/// A parameter.
#[derive(Clone, Debug)]
pub struct Parameter {
    /// What it is.
    pub meaning: String,
    /// The value where the home sets none.
    pub default: Item,
    /// The home's value.
    pub set: Option<Item>,
}

impl Parameter {
    /// From a pack's file.
    ///
    /// # Errors
    /// Why the name or the default cannot be used.
    pub(super) fn new(name: &str, file: &ParameterFile) -> Result<Parameter, String> {
        let full = format!("parameter.{name}");
        let reads = Expression::parse(&full).is_ok_and(|read| read.names().iter().any(|found| found.path == full));
        if !reads {
            return Err(format!("'{name}' cannot be read in a rule; begin it with a small letter or _"));
        }
        Ok(Parameter { meaning: file.meaning.to_string(), default: item(&file.default)?, set: None })
    }

    /// The value in use.
    pub fn value(&self) -> &Item {
        self.set.as_ref().unwrap_or(&self.default)
    }

    /// What kind of value it takes.
    pub fn kind(&self) -> Kind {
        kind_of_item(&self.default)
    }

    /// Takes the home's value.
    ///
    /// # Errors
    /// Why it is none of this parameter's.
    pub(super) fn set(&mut self, value: &Scalar) -> Result<(), String> {
        let value = item(value)?;
        let (found, wanted) = (kind_of(&value), kind_of(&self.default));
        if found != wanted {
            return Err(match &value {
                Item::Number(Quantity { dimension: Dimension::PLAIN, .. }) => {
                    format!("{} needs a unit: the parameter is {wanted}", show(&value, UnitSystem::Si))
                }
                _ => format!("'{}' is {found}, but the parameter is {wanted}", show(&value, UnitSystem::Si)),
            });
        }
        self.set = Some(value);
        Ok(())
    }
}

fn kind_of_item(item: &Item) -> Kind {
    match item {
        Item::Number(quantity) => Kind::Number(quantity.dimension),
        Item::Flag(_) => Kind::Flag,
        Item::List(items) => Kind::List(Box::new(items.first().map_or(Kind::Unknown, kind_of_item))),
        Item::Text(_) | Item::Date(_) => Kind::Text(None),
    }
}

fn kind_of(item: &Item) -> String {
    match item {
        Item::Number(quantity) => quantity.dimension.with_article(),
        Item::Flag(_) => "true or false".to_owned(),
        Item::List(items) => items.first().map_or("a list".to_owned(), |item| format!("a list of {}", kind_of(item))),
        Item::Text(_) | Item::Date(_) => "a word".to_owned(),
    }
}

/// A value as a person reads it.
pub(crate) fn show(item: &Item, system: UnitSystem) -> String {
    match item {
        Item::Number(quantity) if quantity.dimension == Dimension::PLAIN => quantity.si.to_string(),
        Item::Number(quantity) => {
            let units = Units::usual(quantity.dimension);
            units.show(*quantity, system)
        }
        Item::Flag(flag) => flag.to_string(),
        Item::Text(text) | Item::Date(text) => text.clone(),
        Item::List(items) => items.iter().map(|item| show(item, system)).collect::<Vec<_>>().join(", "),
    }
}

/// A value as it is written: a quantity, a word, true or false, or a list of one of them.
fn item(value: &Scalar) -> Result<Item, String> {
    match value {
        Scalar::Flag(flag) => Ok(Item::Flag(*flag)),
        Scalar::List(values) => {
            let items = values.iter().map(item).collect::<Result<Vec<Item>, String>>()?;
            match items.windows(2).find(|pair| kind_of(&pair[0]) != kind_of(&pair[1])) {
                Some(pair) => Err(format!("a list holds {} and {}", kind_of(&pair[0]), kind_of(&pair[1]))),
                None if items.is_empty() => Err("the list is empty".to_owned()),
                None => Ok(Item::List(items)),
            }
        }
        Scalar::Number(number) => Ok(Item::Number(Quantity::plain(*number))),
        Scalar::Text(text) => match parse(text) {
            Ok(quantity) => Ok(Item::Number(quantity)),
            Err(error) if text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.')) => {
                Err(error.to_string())
            }
            Err(_) => Ok(Item::Text(text.clone())),
        },
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    fn made(name: &str, default: Scalar) -> Result<Parameter, String> {
        Parameter::new(name, &ParameterFile { default, meaning: "a limit".parse().unwrap() })
    }

    fn text(text: &str) -> Scalar {
        Scalar::Text(text.to_owned())
    }

    #[test]
    fn a_value_of_the_home_measures_what_the_default_does() {
        let mut leakage = made("leakage", text("0.04 cfm/ft²")).unwrap();
        assert_eq!(leakage.set(&text("0.2 L/(s·m²)")), Ok(()));
        assert_eq!(leakage.value(), &Item::Number(parse("0.2 L/(s·m²)").unwrap()));
        assert!(leakage.set(&Scalar::Number(0.05)).unwrap_err().starts_with("0.05 needs a unit"));
        assert!(leakage.set(&text("3 ft")).unwrap_err().contains("is a length, but the parameter is"));
        assert!(leakage.set(&text("3 inn")).unwrap_err().starts_with("unknown unit 'inn'"));
        let mut word = made("finish", text("oiled")).unwrap();
        assert_eq!(word.set(&Scalar::Flag(true)).unwrap_err(), "'true' is true or false, but the parameter is a word");
    }

    #[test]
    fn a_name_can_be_read_in_a_rule() {
        assert!(made("greatest-leakage", Scalar::Number(1.0)).is_ok());
        assert!(made("Leakage", Scalar::Number(1.0)).is_err());
        assert!(made("1st", Scalar::Number(1.0)).is_err());
    }
}
