//! The same boxes on each kind of foundation, side by side.

use crate::bearing::Loads;
use crate::cost::{Estimate, estimate};
use crate::earth::deepest;
use crate::facts;
use crate::site_plan::SitePlan;
use crate::sizes::{Stand, word};
use crate::terms::{PRELIMINARY, practice};
use crate::works::{QUANTITIES, Works, gained};
use mateline_equation::equation;
use mateline_model::home::{FoundationKind, Home};
use mateline_model::quantity::{Area, Money, MoneyPerArea, Quantity, UnitSystem, Units};
use mateline_model::{Basis, Drawing, Figure, Pointer, QuantityDef, Subject};
use mateline_sdk::{Findings, Lack};

equation! {
    /// What each area gained costs beyond a crawl space. Source: definition.
    pub(crate) CostOfGain = "c = (C − C_0)/A_g" {
        c: MoneyPerArea "extra cost for each area gained" [facts::MONEY_PER_AREA],
        C: Money "cost of this foundation" [Units::MONEY],
        C_0: Money "cost of a crawl space" [Units::MONEY],
        A_g: Area "floor area gained" [Units::AREA],
    }
}

/// The kinds compared, in the order they are shown.
pub const KINDS: [FoundationKind; 4] =
    [FoundationKind::CrawlSpace, FoundationKind::Basement, FoundationKind::Piers, FoundationKind::Slab];

/// One kind of foundation under the boxes of a home.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// What it is.
    pub kind: FoundationKind,
    /// Its quantities, or why there are none.
    pub works: Result<Works, Lack>,
    /// Its cost, or the rates that are missing.
    pub cost: Result<Estimate, Lack>,
    /// Whether boxes can stand on it.
    pub fit: String,
    /// What it adds.
    pub adds: String,
    /// What it would leave short or open.
    pub open_points: String,
}

/// The subject of an alternative's facts.
pub fn subject(kind: FoundationKind) -> Subject {
    Subject::element("alternatives", word(kind))
}

/// All alternatives of a home.
pub fn alternatives(home: &Home, plan: &SitePlan, loads: Option<&Loads>) -> Vec<Alternative> {
    let one = |kind: FoundationKind| {
        let stand = Stand::alternative(home.foundation.as_ref(), kind);
        let works = Works::of(home, &subject(kind), &stand, plan.clone(), loads);
        let cost = works.as_ref().map_err(Clone::clone).and_then(|works| estimate(home, &subject(kind), works));
        let open_points = open_points(home, kind, works.as_ref().ok());
        let adds = adds(home, kind, works.as_ref().ok());
        Alternative { kind, works, cost, fit: fit(home, kind), adds, open_points }
    };
    KINDS.map(one).into()
}

/// Facts of each alternative.
pub fn report(all: &[Alternative], findings: &mut Findings) {
    let crawl = all.iter().find(|one| one.kind == FoundationKind::CrawlSpace).map(|one| &one.cost);
    for one in all {
        let subject = subject(one.kind);
        let words = |method| practice(method).assuming(PRELIMINARY).assuming("in words, from the kind and the site");
        findings.text(&subject, &facts::KIND, word(one.kind), words("kind compared"));
        findings.text(&subject, &facts::FIT, one.fit.clone(), words("services below factory-built boxes"));
        findings.text(&subject, &facts::ADDS, one.adds.clone(), words("what the kind brings"));
        findings.text(&subject, &facts::OPEN_POINTS, one.open_points.clone(), words("what is known of the site"));
        match &one.works {
            Ok(works) => {
                works.entries.clone().write(&subject, "foundation", findings);
                let (value, basis) = gained(works);
                findings.fact(&subject, &facts::AREA_GAINED, Area::from_si(value), basis);
            }
            Err(lack) => {
                lack.write(&subject, &QUANTITIES, findings);
                lack.write(&subject, &[&facts::AREA_GAINED], findings);
            }
        }
        costs(&subject, &one.cost, findings);
        cost_per_area(&subject, one, crawl, findings);
    }
}

fn costs(subject: &Subject, cost: &Result<Estimate, Lack>, findings: &mut Findings) {
    let estimate = match cost {
        Ok(estimate) => estimate,
        Err(lack) => return lack.write(subject, &[&facts::COST, &facts::COST_LOW, &facts::COST_HIGH], findings),
    };
    let mut write = |definition: &QuantityDef, value: f64, basis: Basis| {
        findings.fact_at(subject, definition, Money::from_si(value), basis, Pointer::new("rates"));
    };
    write(&facts::COST, estimate.middle(), estimate.basis());
    write(&facts::COST_LOW, estimate.low, estimate.end_basis(false));
    write(&facts::COST_HIGH, estimate.high, estimate.end_basis(true));
}

/// Extra cost over a crawl space, for each area gained.
///
/// `c = (C − C_crawl)/A_g`, with `C` the cost of this alternative and of a crawl space under the same boxes, and `A_g`
/// (m²) the floor area gained.
///
/// Source: definition.
fn cost_per_area(
    subject: &Subject,
    one: &Alternative,
    crawl: Option<&Result<Estimate, Lack>>,
    findings: &mut Findings,
) {
    let definition = &facts::COST_PER_AREA;
    let gained = match &one.works {
        Ok(works) => works.gained(),
        Err(lack) => return lack.write(subject, &[definition], findings),
    };
    if gained <= 0.0 {
        return Lack::at("no floor area is gained", "foundation").write(subject, &[definition], findings);
    }
    let (cost, base) = match (&one.cost, crawl) {
        (Ok(cost), Some(Ok(crawl))) => (cost.middle(), crawl.middle()),
        (Err(lack), _) | (_, Some(Err(lack))) => return lack.write(subject, &[definition], findings),
        (Ok(_), None) => return,
    };
    let crawl_space = self::subject(FoundationKind::CrawlSpace);
    let (value, step) =
        CostOfGain { C: Money::from_si(cost), C_0: Money::from_si(base), A_g: Area::from_si(gained) }.step();
    let step = step
        .fact(CostOfGain::C, subject, facts::COST.name.clone())
        .fact(CostOfGain::C_0, &crawl_space, facts::COST.name.clone())
        .fact(CostOfGain::A_g, subject, facts::AREA_GAINED.name.clone());
    let basis = Basis::new("extra cost over a crawl space", "definition").step(step).assuming(PRELIMINARY);
    findings.fact(subject, definition, value, basis);
}

fn fit(home: &Home, kind: FoundationKind) -> String {
    let hang = home.foundation.as_ref().and_then(|foundation| foundation.services_below_floor);
    match (kind, hang) {
        (FoundationKind::Slab, Some(false)) => "fits with care: no service may hang below the floor",
        (FoundationKind::Slab, _) => "unfit: services hang below the floor of a factory-built box",
        (FoundationKind::Piers, Some(false)) => "fits",
        (FoundationKind::Piers, _) => "fits with care: services below the floor hang in the open and need a warm skirt",
        (FoundationKind::CrawlSpace | FoundationKind::Basement, _) => "fits",
    }
    .to_owned()
}

fn adds(home: &Home, kind: FoundationKind, works: Option<&Works>) -> String {
    match kind {
        FoundationKind::Basement => {
            let room = works.map(|works| Units::AREA.show(Area::from_si(works.gained()).into(), home.units));
            let room = room.map_or_else(|| "floor area".to_owned(), |room| format!("{room} of floor"));
            format!("{room}, full height below the services, a place for equipment")
        }
        FoundationKind::CrawlSpace => "access to services from below".to_owned(),
        FoundationKind::Piers => "little concrete".to_owned(),
        FoundationKind::Slab => "nothing below the boxes".to_owned(),
    }
}

/// What an alternative would leave short or open, by what the site and the home say.
fn open_points(home: &Home, kind: FoundationKind, works: Option<&Works>) -> String {
    let foundation = home.foundation.as_ref();
    let chosen = foundation.filter(|foundation| foundation.kind == kind);
    let mut points: Vec<String> = Vec::new();
    if let Some(sizes) = works.map(|works| &works.sizes) {
        let frost = home.site.frost_depth.map(|depth| depth.si());
        if let Some(frost) = frost.filter(|frost| sizes.footing_depth.value + 1e-9 < *frost) {
            let short = mateline_model::quantity::Length::from_si(frost - sizes.footing_depth.value);
            points.push(format!(
                "frost: the footing ends {} above the frost depth",
                Units::LENGTH.show(short.into(), home.units)
            ));
        }
        match home.site.water_table {
            Some(table) if table.si() < deepest(sizes) => {
                points.push("water: the water table lies above the lowest point".to_owned());
            }
            None if crate::earth::is_sunk(sizes) => points.push("water: the water table is not known".to_owned()),
            _ => {}
        }
    }
    let hang = foundation.and_then(|foundation| foundation.services_below_floor) != Some(false);
    if kind == FoundationKind::Slab && hang {
        points.push("services: no room below the floor".to_owned());
    }
    if kind == FoundationKind::Piers && hang {
        points.push("services: pipes below the floor are exposed to frost".to_owned());
    }
    let escapes =
        home.openings.values().any(|opening| &*opening.module == "foundation" && opening.clear_width.is_some());
    if kind == FoundationKind::Basement && !escapes {
        points.push("escape: no escape opening is drawn in the basement".to_owned());
    }
    if kind == FoundationKind::CrawlSpace {
        if chosen.is_none_or(|foundation| foundation.ground_cover.is_none()) {
            points.push("moisture: no ground cover is named".to_owned());
        }
        if chosen.is_none_or(|foundation| foundation.vent_area.is_none() && foundation.conditioning_flow.is_none()) {
            points.push("moisture: neither vents nor a conditioning flow are named".to_owned());
        }
    }
    if kind != FoundationKind::Piers
        && home.site.radon_zone == Some(1)
        && foundation.is_none_or(|foundation| foundation.radon.is_none())
    {
        points.push("radon: no provisions are named in a zone of high radon".to_owned());
    }
    if points.is_empty() { "none known".to_owned() } else { points.join("; ") }
}

/// The alternatives as a table, in the units of the report.
pub fn table(all: &[Alternative], units: UnitSystem) -> Figure {
    let columns = std::iter::once("What".to_owned()).chain(all.iter().map(|one| word(one.kind).to_owned())).collect();
    let mut rows = Vec::new();
    for definition in [
        &facts::EXCAVATION_BANK,
        &facts::HAUL_OFF_LOOSE,
        &facts::TRUCKLOADS,
        &facts::CONCRETE_TOTAL,
        &facts::FORMWORK,
        &facts::REINFORCEMENT,
    ] {
        let cell = |one: &Alternative| {
            let found = one.works.as_ref().map_err(Clone::clone).and_then(|works| works.value(definition));
            let shown = |value| definition.units.show(Quantity::new(value, definition.dimension()), units);
            found.map_or_else(|_| "not known".to_owned(), shown)
        };
        rows.push(std::iter::once(definition.label()).chain(all.iter().map(cell)).collect());
    }
    let gained = |one: &Alternative| {
        let found = one.works.as_ref().map(|works| Units::AREA.show(Area::from_si(works.gained()).into(), units));
        found.unwrap_or_else(|_| "not known".to_owned())
    };
    rows.push(std::iter::once("Floor area gained".to_owned()).chain(all.iter().map(gained)).collect());
    let cost = |one: &Alternative| match &one.cost {
        Ok(found) if (found.high - found.low).abs() < 0.5 => show_money(found.middle(), units),
        Ok(found) => format!("{} to {}", show_money(found.low, units), show_money(found.high, units)),
        Err(_) => "not known".to_owned(),
    };
    rows.push(std::iter::once("Cost".to_owned()).chain(all.iter().map(cost)).collect());
    let base = all.iter().find(|one| one.kind == FoundationKind::CrawlSpace).and_then(|crawl| crawl.cost.as_ref().ok());
    let extra = |one: &Alternative| match (one.works.as_ref().map(Works::gained), &one.cost, base) {
        (Ok(gained), _, _) if gained <= 0.0 => "no area gained".to_owned(),
        (Ok(gained), Ok(cost), Some(base)) => {
            let value = MoneyPerArea::from_si((cost.middle() - base.middle()) / gained);
            facts::MONEY_PER_AREA.show(value.into(), units)
        }
        _ => "not known".to_owned(),
    };
    let head = "Extra cost over the crawl space, by area gained";
    rows.push(std::iter::once(head.to_owned()).chain(all.iter().map(extra)).collect());
    type Words = fn(&Alternative) -> String;
    let words: [(&str, Words); 3] = [
        ("Fit", |one| one.fit.clone()),
        ("Adds", |one| one.adds.clone()),
        ("Left short or open", |one| one.open_points.clone()),
    ];
    for (head, pick) in words {
        rows.push(std::iter::once(head.to_owned()).chain(all.iter().map(pick)).collect());
    }
    Figure {
        subject: Subject::home(),
        key: "foundation.side-by-side".into(),
        title: "Foundations side by side".to_owned(),
        alternative:
            "quantities, cost and open points of the same boxes on a crawl space, a basement, piers and a slab"
                .to_owned(),
        drawing: Drawing::Table { columns, rows, note: note(all) },
    }
}

fn note(all: &[Alternative]) -> String {
    let lack = all.iter().filter(|one| one.works.is_ok()).find_map(|one| one.cost.as_ref().err());
    let costs = lack.map_or_else(String::new, |lack| format!(" Costs are not known: {}.", lack.because));
    format!("Quantities are preliminary and for the licensed designer.{costs}")
}

fn show_money(value: f64, units: UnitSystem) -> String {
    Units::MONEY.show(Money::from_si(value).into(), units)
}
