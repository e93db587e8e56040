//! The form of a quantity's text as a regular expression, for editors that know no more of it than a schema says.
//!
//! Every text that `parse` reads as a dimension fits its pattern. Of those that it refuses the pattern finds
//! a number without a unit, a unit of another dimension and a misspelt one; a unit that is put together, `Btu/(h·ft²·°F)`,
//! is not looked into.

use mateline_model::quantity::{ATOMS, Dimension};

/// A number: `5.5`, `1e-3`, `1/2`, `9 1/2`, `9-1/2`, `9½`.
const NUMBER: &str = "(?:(?:[0-9]+(?:\\.[0-9]*)?|\\.[0-9]+)(?:[eE][-+]?[0-9]+)?(?:/[0-9]+|(?:-|-?\\s+)[0-9]+/[0-9]+|(?:-|-?\\s+)?[½¼¾⅛⅜⅝⅞⅓⅔])?|[½¼¾⅛⅜⅝⅞⅓⅔])";
/// A unit that is put together of others. None begins with what belongs to the number before it: an e, a fraction, a sign.
const TOGETHER: &str = "(?:1/[A-Za-zµμ(].*|[^\\s0-9.eE½¼¾⅛⅜⅝⅞⅓⅔+−–/-].*[·*/^²³⁻¹(].*|[A-DF-Za-df-zµμ][A-Za-zµμ]*[2-4]|[^\\s0-9.eE½¼¾⅛⅜⅝⅞⅓⅔+−–/-]\\S*\\s+[^\\s0-9].*)";

/// The pattern of a dimension; none for plain numbers, which need no unit.
pub fn pattern(dimension: Dimension) -> Option<String> {
    if dimension == Dimension::PLAIN {
        return None;
    }
    let atoms = ATOMS.iter().filter(|(.., unit)| unit.dimension == dimension);
    let mut names: Vec<String> =
        atoms.flat_map(|(name, others, _)| [*name].into_iter().chain(others.iter().copied())).map(escaped).collect();
    // The longest first: `ft` is not the beginning of `ft²`, but `m` is that of `mm`.
    names.sort_by(|a, b| b.len().cmp(&a.len()).then_with(|| a.cmp(b)));
    names.push(TOGETHER.to_owned());
    let unit = format!("(?:{})", names.join("|"));
    let terms = format!("[-−–+]?\\s*{NUMBER}\\s*{unit}(?:\\s*-?\\s*{NUMBER}\\s*{unit})*");
    Some(match dimension == Dimension::RESISTANCE {
        true => format!("^\\s*(?:R(?:SI)?\\s*-?\\s*{NUMBER}|{terms})\\s*$"),
        false => format!("^\\s*(?:{terms})\\s*$"),
    })
}

/// A name in which no character has a meaning of its own.
fn escaped(name: &str) -> String {
    name.chars().flat_map(|c| if "$()^*+?.|[]{}\\/".contains(c) { vec!['\\', c] } else { vec![c] }).collect()
}
