//! Figures: what each finish adds to the formaldehyde in the air of the dwelling, and of the room with most of it,
//! against the published levels.

use crate::air::{Air, airs};
use crate::compound::Compound;
use crate::facts::CONCENTRATION_UNITS;
use crate::product::{Product, TEST_AGE};
use crate::zones::Zones;
use mateline_model::home::Party;
use mateline_model::quantity::{Density, UnitSystem};
use mateline_model::{Bar, Drawing, Figure, Mark};
use mateline_sdk::{Findings, Request};

/// The compound that is drawn.
const DRAWN: &str = "formaldehyde";
/// Most finishes with a bar of their own.
const NAMED: usize = 10;
/// A finish that adds less than this share of the whole has none.
const SMALL: f64 = 0.01;
/// Levels closer to each other than this share are one line.
const ALIKE: f64 = 1e-6;

/// A figure for the dwelling, and one for the room with the greatest concentration.
pub(crate) fn report(request: &Request<'_>, products: &[Product<'_>], findings: &mut Findings) {
    if !request.shown {
        return;
    }
    let zones = Zones::of(request);
    let airs = airs(request, &zones, products);
    let all: Vec<Sources<'_, '_, '_>> = airs.iter().filter_map(|air| Sources::of(air, products)).collect();
    let (dwelling, rooms): (Vec<_>, Vec<_>) = all.iter().partition(|one| one.air.room.is_none());
    // Of two rooms with the same concentration, the first of the home.
    let worst = rooms.into_iter().reduce(|most, next| if next.total() > most.total() { next } else { most });
    findings.figures.extend(dwelling.into_iter().chain(worst).map(|one| one.figure(products, request.home.units)));
}

/// What every finish adds to the air of a room or of the dwelling.
struct Sources<'p, 'z, 'a> {
    air: &'p Air<'z, 'a>,
    compound: &'p Compound,
    /// Each finish with the concentration it brings about, largest first.
    parts: Vec<(&'p Product<'a>, Density)>,
}

impl<'p, 'z, 'a> Sources<'p, 'z, 'a> {
    /// None where a source, an area or the fresh air is not known, or where nothing is given off: the facts say why.
    fn of(air: &'p Air<'z, 'a>, products: &'p [Product<'a>]) -> Option<Sources<'p, 'z, 'a>> {
        let compounds = air.compounds(products);
        let giving = compounds.get(DRAWN)?;
        let compound = &giving.first()?.of(DRAWN).next()?.named.compound;
        let part = |product: &&'p Product<'a>| {
            let factor = product.factor(DRAWN, TEST_AGE, None).ok()?;
            Some((*product, air.brought(product, factor).ok()?))
        };
        let mut parts: Vec<(&Product<'a>, Density)> = giving.iter().map(part).collect::<Option<_>>()?;
        parts.retain(|(_, added)| added.si() > 0.0);
        parts.sort_by(|a, b| b.1.si().total_cmp(&a.1.si()));
        (!parts.is_empty()).then_some(Sources { air, compound, parts })
    }

    fn total(&self) -> Density {
        self.parts.iter().map(|(_, added)| *added).sum()
    }

    fn figure(&self, products: &[Product<'a>], units: UnitSystem) -> Figure {
        let place = match self.air.room {
            Some(room) => format!("the room with most of it, {}", words(room.as_ref())),
            None => "the home".to_owned(),
        };
        let name = &self.compound.name;
        let unknown = match self.air.unknown(products).len() {
            0 => String::new(),
            1 => "; what one finish gives off is not known".to_owned(),
            count => format!("; what {count} finishes give off is not known"),
        };
        let (rows, levels) = (self.rows(), self.levels());
        let total = bar("all finishes together".to_owned(), self.total(), None);
        let alternative = in_words(&rows, &total, &levels, units);
        let title = format!("{name} at 14 days in {place}, by finish{unknown}");
        let drawing = Drawing::Bars { units: CONCENTRATION_UNITS, rows, targets: levels, total: Some(total) };
        Figure { subject: self.air.of_compound(DRAWN), key: "materials.sources".into(), title, alternative, drawing }
    }

    fn rows(&self) -> Vec<Bar> {
        let least = SMALL * self.total().si();
        let large = self.parts.iter().take(NAMED).filter(|(_, added)| added.si() >= least).count();
        let named = if self.parts.len() - large == 1 { self.parts.len() } else { large };
        let (own, small) = self.parts.split_at(named);
        let finish =
            |(product, added): &(&Product<'_>, Density)| bar(words(product.id.as_ref()), *added, product.finish.by);
        let mut rows: Vec<Bar> = own.iter().map(finish).collect();
        if !small.is_empty() {
            let added = small.iter().map(|(_, added)| *added).sum();
            rows.push(bar(format!("{} smaller sources", small.len()), added, None));
        }
        rows
    }

    /// The published levels, rising; those that are equal share a line.
    fn levels(&self) -> Vec<Mark> {
        let both = [(self.compound.chronic_level, "chronic reference level"), (self.compound.allowable, "CDPH level")];
        let mark = |(level, label): (Option<Density>, &str)| Some(Mark { label: label.to_owned(), value: level?.si() });
        let mut levels: Vec<Mark> = both.into_iter().filter_map(mark).collect();
        levels.sort_by(|a, b| a.value.total_cmp(&b.value));
        levels.dedup_by(|next, first| {
            let alike = next.value - first.value <= ALIKE * first.value;
            if alike {
                first.label = format!("{} and {}", first.label, next.label);
            }
            alike
        });
        levels
    }
}

fn bar(label: String, added: Density, by: Option<Party>) -> Bar {
    let group = match by {
        Some(Party::Factory) => "applied in the factory",
        Some(Party::Site) => "applied on site",
        None => "",
    };
    Bar { label, low: None, value: added.si(), high: None, group: group.to_owned() }
}

/// An id as words.
fn words(id: &str) -> String {
    id.replace('-', " ")
}

fn in_words(rows: &[Bar], total: &Bar, levels: &[Mark], units: UnitSystem) -> String {
    let shown = |value: f64| CONCENTRATION_UNITS.show(Density::from_si(value).into(), units);
    let parts: Vec<String> = rows.iter().map(|row| format!("{}, {}", row.label, shown(row.value))).collect();
    let mut text = format!("All finishes together {}: {}.", shown(total.value), parts.join("; "));
    for level in levels {
        let side = if total.value > level.value { "above" } else { "not above" };
        text.push_str(&format!(" That is {side} {}, the {}.", shown(level.value), level.label));
    }
    text
}
