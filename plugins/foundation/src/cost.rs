//! What the works cost at the user's own unit rates. No rate comes with the plugin.

use crate::earth::is_sunk;
use crate::facts;
use crate::sizes::Sizes;
use crate::terms::{PRELIMINARY, area, earth, length, money, plain, sum};
use crate::works::Works;
use mateline_model::home::{FoundationKind, Home, Rate, Rates, WaterProtection};
use mateline_model::quantity::{
    Dimension, Money, MoneyPerArea, MoneyPerLength, MoneyPerMass, MoneyPerVolume, Quantity, Units,
};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::Lack;

/// One line of an estimate.
#[derive(Clone, Debug, PartialEq)]
struct Item {
    /// The rate's name in the home.
    rate: &'static str,
    /// How much of it.
    amount: f64,
    /// The amount as a term.
    term: Term,
    /// The low and the high rate, where given, and how they are shown.
    price: Option<(f64, f64)>,
    units: (Units, Dimension),
}

/// A rate of any dimension, in SI.
trait Priced {
    fn ends(&self) -> (f64, f64);
}

macro_rules! priced {
    ($($kind:ident)*) => {$(
        impl Priced for Rate<$kind> {
            fn ends(&self) -> (f64, f64) {
                (self.low.si(), self.high.si())
            }
        }
    )*};
}

priced! { Money MoneyPerArea MoneyPerLength MoneyPerMass MoneyPerVolume }

/// An estimate: low, middle and high, with its calculation.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// At the low rates.
    pub low: f64,
    /// At the high rates.
    pub high: f64,
    lines: Vec<(Step, Term)>,
    items: Vec<Item>,
}

impl Estimate {
    /// Middle of low and high.
    pub fn middle(&self) -> f64 {
        (self.low + self.high) / 2.0
    }

    /// The calculation at the middle of the rates.
    pub fn basis(&self) -> Basis {
        let steps = self.lines.iter().map(|(step, _)| step.clone());
        let terms = self.lines.iter().map(|(_, term)| term.clone()).collect();
        let basis = steps.fold(Basis::new("amounts times the given rates", "the home's rates"), Basis::step);
        basis.step(sum(money("C", "cost", self.middle()), terms)).assuming(RATES).assuming(PRELIMINARY)
    }

    /// The calculation at one end of the rates.
    pub fn end_basis(&self, high: bool) -> Basis {
        let terms = self.items.iter().map(|item| {
            let (low_rate, high_rate) = item.price.unwrap_or_default();
            let value = item.amount * if high { high_rate } else { low_rate };
            money("C", format!("{}: {}", item.rate, item.term.meaning), value).given(format!("rates.{}", item.rate))
        });
        let which = if high { "amounts times the high rates" } else { "amounts times the low rates" };
        let result = money("C", "cost", if high { self.high } else { self.low });
        Basis::new(which, "the home's rates").step(sum(result, terms.collect())).assuming(RATES).assuming(PRELIMINARY)
    }
}

const RATES: &str = "rates are the user's own; what has no rate in the home's list is not counted, such as fees, \
                     finishes, stairs, services and soil brought for the backfill";

/// The cost of works at the home's rates.
///
/// # Errors
/// The quantities or rates that are missing, by name.
pub fn estimate(home: &Home, subject: &Subject, works: &Works) -> Result<Estimate, Lack> {
    let items = items(home, subject, works)?;
    let missing: Vec<String> =
        items.iter().filter(|item| item.price.is_none()).map(|item| format!("rates.{}", item.rate)).collect();
    if !missing.is_empty() {
        let word = if missing.len() == 1 { "is" } else { "are" };
        let at = if home.rates.is_some() { "rates" } else { "home" };
        return Err(Lack::at(format!("{} {word} not given", missing.join(", ")), at));
    }
    let mut lines = Vec::new();
    let (mut low, mut high) = (0.0, 0.0);
    for item in &items {
        let (from, to) = item.price.unwrap_or_default();
        low += item.amount * from;
        high += item.amount * to;
        let middle = (from + to) / 2.0;
        let rate = Term::new("p", rate_meaning(item), Quantity::new(middle, item.units.1), item.units.0.clone())
            .given(format!("rates.{}", item.rate));
        let result = money("C", item.term.meaning.clone(), item.amount * middle);
        let symbol = item.term.symbol.clone();
        let step = Step::new(format!("C = {symbol} p")).term(item.term.clone()).term(rate).result(result.clone());
        lines.push((step, result));
    }
    Ok(Estimate { low, high, lines, items })
}

fn rate_meaning(item: &Item) -> String {
    let words = item.rate.replace('_', " ");
    match item.price {
        Some((low, high)) if low != high => format!("rate for {words}, middle of its range"),
        _ => format!("rate for {words}"),
    }
}

/// What the works consist of, only lines with an amount.
fn items(home: &Home, subject: &Subject, works: &Works) -> Result<Vec<Item>, Lack> {
    let none = Rates::default();
    let rates = home.rates.as_ref().unwrap_or(&none);
    let sizes = &works.sizes;
    let outline = &works.plan.outline;
    let fact = |definition: &QuantityDef, symbol: &'static str| -> Result<(f64, Term), Lack> {
        let value = works.value(definition)?;
        let quantity = Quantity::new(value, definition.dimension());
        let term = Term::new(symbol, definition.label(), quantity, definition.units.clone());
        Ok((value, term.fact(subject, definition.name.clone())))
    };
    let mut list = List(Vec::new());
    let (dug, topsoil) = (works.value(&facts::EXCAVATION_BANK)?, works.value(&facts::TOPSOIL_BANK)?);
    list.volume(
        "excavation",
        (dug + topsoil, earth("V", "excavation and topsoil, in the ground", dug + topsoil)),
        &rates.excavation,
    );
    if rates.haul.is_none() && rates.haul_per_load.is_some() {
        list.each("haul_per_load", fact(&facts::TRUCKLOADS, "n")?, &rates.haul_per_load);
    } else {
        list.volume("haul", fact(&facts::HAUL_OFF_LOOSE, "V")?, &rates.haul);
    }
    list.volume("backfill", fact(&facts::BACKFILL, "V")?, &rates.backfill);
    list.volume("gravel", fact(&facts::GRAVEL, "V")?, &rates.gravel);
    list.volume("concrete", fact(&facts::CONCRETE_TOTAL, "V")?, &rates.concrete);
    list.area("formwork", fact(&facts::FORMWORK, "A")?, &rates.formwork);
    let (mass, term) = fact(&facts::REINFORCEMENT, "m")?;
    list.add(
        "reinforcement",
        mass,
        term,
        &rates.reinforcement,
        Units::new("$/kg", 2, "$/lb", 2),
        MoneyPerMass::DIMENSION,
    );

    let buried = outline.perimeter * sizes.buried_wall();
    if is_sunk(sizes) {
        let term = area("A", "outside of walls below grade", buried);
        match protection(home, sizes) {
            WaterProtection::Waterproofing => list.area("waterproofing", (buried, term), &rates.waterproofing),
            WaterProtection::Dampproofing => list.area("dampproofing", (buried, term), &rates.dampproofing),
            WaterProtection::None => {}
        }
    }
    if works.drained {
        let run = outline.perimeter;
        let term = length("L", "footing drain along the outline", run);
        list.add("drainage", run, term, &rates.drainage, Units::new("$/m", 0, "$/ft", 2), MoneyPerLength::DIMENSION);
    }
    let inside = works.plan.inside(sizes.wall.value);
    let (warm, vented) = warm(home, sizes);
    if warm {
        let walls = outline.perimeter * sizes.wall_height();
        list.area("wall_insulation", (walls, area("A", "foundation walls", walls)), &rates.wall_insulation);
    }
    if sizes.slab.value > 0.0 {
        let term = area("A", "slab", inside);
        list.area("slab_insulation", (inside, term), &rates.slab_insulation);
    }
    if !warm && sizes.kind != FoundationKind::Slab {
        let what = if vented { "floor over the vented space" } else { "floor over the open or an unconditioned space" };
        list.area("floor_insulation", (outline.area, area("A", what, outline.area)), &rates.floor_insulation);
    }
    if sizes.kind == FoundationKind::Piers {
        let around = outline.perimeter * sizes.height.value;
        list.area("skirt", (around, area("A", "skirt", around)), &rates.skirt);
    } else {
        list.area(
            "ground_cover",
            (inside, area("A", "ground cover or sheet under the slab", inside)),
            &rates.ground_cover,
        );
    }
    if sizes.kind != FoundationKind::Piers {
        list.each("post", (works.posts(), plain("n", "posts under mate lines", works.posts(), 0)), &rates.post);
    }
    let [sump, ejector, windows] = fittings(home, sizes);
    list.each("sump", (sump, plain("n", "sumps", sump, 0)), &rates.sump);
    list.each("ejector", (ejector, plain("n", "sewage ejectors", ejector, 0)), &rates.ejector);
    list.each("egress_window", (windows, plain("n", "escape windows", windows, 0)), &rates.egress_window);
    list.each("set_up", (1.0, plain("n", "setting up the site", 1.0, 0)), &rates.set_up);
    Ok(list.0)
}

/// How walls below grade are protected: as drawn for the chosen kind; otherwise against water where the water table is
/// high or not known and people live there, and against damp elsewhere.
fn protection(home: &Home, sizes: &Sizes) -> WaterProtection {
    let own = home.foundation.as_ref().filter(|foundation| foundation.kind == sizes.kind);
    if let Some(drawn) = own.and_then(|foundation| foundation.water_protection) {
        return drawn;
    }
    let lowest = crate::earth::deepest(sizes);
    let high = home.site.water_table.is_none_or(|table| table.si() < lowest);
    if high && sizes.kind == FoundationKind::Basement {
        WaterProtection::Waterproofing
    } else {
        WaterProtection::Dampproofing
    }
}

/// Whether the space below is inside the thermal envelope, and whether it is vented.
fn warm(home: &Home, sizes: &Sizes) -> (bool, bool) {
    let own = home.foundation.as_ref().filter(|foundation| foundation.kind == sizes.kind);
    match sizes.kind {
        FoundationKind::Basement => (own.is_none_or(|foundation| foundation.is_conditioned()), false),
        FoundationKind::CrawlSpace => {
            let warm = own.is_none_or(|foundation| foundation.is_conditioned());
            (warm, !warm && own.is_some_and(|foundation| foundation.vent_area.is_some()))
        }
        FoundationKind::Slab | FoundationKind::Piers => (false, false),
    }
}

/// Sumps, ejectors and escape windows.
fn fittings(home: &Home, sizes: &Sizes) -> [f64; 3] {
    if sizes.kind != FoundationKind::Basement {
        return [0.0; 3];
    }
    let foundation = home.foundation.as_ref();
    let own = foundation.filter(|foundation| foundation.kind == sizes.kind);
    let drawn = foundation.is_some_and(|foundation| foundation.sump.is_some());
    let high = home.site.water_table.is_some_and(|table| table.si() < crate::earth::deepest(sizes));
    let sump = f64::from(u8::from(drawn || high));
    let low = foundation.is_some_and(|foundation| foundation.fixtures_below_sewer == Some(true));
    let lifted = own.is_some_and(|foundation| foundation.ejector == Some(true));
    let ejector = f64::from(u8::from(low || lifted));
    let escapes: u32 =
        home.openings.values().filter(|o| &*o.module == "foundation" && o.clear_width.is_some()).map(|o| o.count).sum();
    [sump, ejector, f64::from(escapes.max(1))]
}

struct List(Vec<Item>);

impl List {
    fn add(
        &mut self,
        rate: &'static str,
        amount: f64,
        term: Term,
        price: &Option<impl Priced>,
        units: Units,
        dimension: Dimension,
    ) {
        if amount > 0.0 {
            let price = price.as_ref().map(Priced::ends);
            self.0.push(Item { rate, amount, term, price, units: (units, dimension) });
        }
    }

    fn volume(&mut self, rate: &'static str, (amount, term): (f64, Term), price: &Option<Rate<MoneyPerVolume>>) {
        self.add(rate, amount, term, price, Units::new("$/m³", 0, "$/yd³", 2), MoneyPerVolume::DIMENSION);
    }

    fn area(&mut self, rate: &'static str, (amount, term): (f64, Term), price: &Option<Rate<MoneyPerArea>>) {
        self.add(rate, amount, term, price, Units::new("$/m²", 0, "$/ft²", 2), MoneyPerArea::DIMENSION);
    }

    fn each(&mut self, rate: &'static str, (amount, term): (f64, Term), price: &Option<Rate<Money>>) {
        self.add(rate, amount, term, price, Units::MONEY, Money::DIMENSION);
    }
}
