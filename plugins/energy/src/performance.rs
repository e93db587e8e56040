//! The performance path of a pack: what the home uses in the year beside the pack's reference home.
//!
//! Both are held between the pack's temperatures through the same hours, with what the pack says is given off indoors and
//! drawn of hot water. Both have the home's machines, of a size in proportion to their largest hour; what a heat pump does
//! not reach, resistance heat brings. Heating, cooling, fans and hot water count, and nothing that solar arrays yield.
//! Ducts outside the envelope, heating by resistance alone and a home without cooling are not worked out: what the table puts
//! in their place, an efficiency of ducts by where they lie and machines of the least efficiency that is allowed, was not in
//! reach, and without it nothing is told.
//!
//! Source: performance path of the model energy code, as the pack hands its figures over. A code may ask that a program be
//! accepted by the authority before its figures count; nothing here says that this one is.

use crate::facts::{self, USE};
use crate::frost;
use crate::gathered::{Balance, Conditions};
use crate::home_year::{HeldYear, Told, Year};
use crate::hot_water;
use crate::hours::Views;
use crate::machine::Machine;
use crate::part::{CAUTION, ungiven};
use crate::reference_home::{Pair, Settings, Side};
use crate::surfaces::Surface;
use crate::totals::rate;
use crate::zone_model::Model;
use mateline_equation::equation;
use mateline_model::home::{CoolingKind, Fuel, HeatFrom};
use mateline_model::quantity::{Energy, MoneyPerEnergy, Power, Ratio, Temperature, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

const PRICE: Units = Units::new("$/kWh", 3, "$/kWh", 3);
const FACTOR: Units = Units::plain(2);
const YEAR: f64 = 8_760.0 * 3_600.0;

equation! {
    /// Source energy of what is used, each by the pack's factor. Source: definition.
    pub(crate) SourceEnergy = "P = f_e E_e + f_f E_f" {
        P: Energy "source energy" [USE],
        f_e: Ratio "factor of electricity" [FACTOR],
        E_e: Energy "electricity" [USE],
        f_f: Ratio "factor of fuels" [FACTOR],
        E_f: Energy "fuel" [USE],
    }

    /// What it costs. Source: definition.
    pub(crate) EnergyCost = "C = p_e E_e + p_f E_f" {
        C: Money "cost of energy in the year" [Units::MONEY],
        p_e: MoneyPerEnergy "electricity" [PRICE],
        E_e: Energy "electricity" [USE],
        p_f: MoneyPerEnergy "fuel" [PRICE],
        E_f: Energy "fuel" [USE],
    }
}

const COSTS: [&QuantityDef; 2] = [&facts::PROPOSED_COST, &facts::REFERENCE_COST];
const SOURCES: [&QuantityDef; 2] = [&facts::PROPOSED_SOURCE, &facts::REFERENCE_SOURCE];

/// Whether a quantity is told of a pack's performance path and not of the home.
pub(crate) fn is_of_path(definition: &QuantityDef) -> bool {
    COSTS.iter().chain(&SOURCES).any(|one| one.name == definition.name)
}

/// The packs that say something of a performance path, and what.
fn packs<'a>(request: &'a Request<'_>) -> impl Iterator<Item = (&'a str, Subject, &'a serde_json::Value)> {
    request.settings.iter().filter_map(|(pack, setting)| {
        Some((pack.as_str(), Subject::element("references", pack), setting.get("performance")?))
    })
}

/// Writes why no path can be worked out.
pub(crate) fn lacking(request: &Request<'_>, lack: &Lack, findings: &mut Findings) {
    for (_, subject, _) in packs(request) {
        lack.write(&subject, &COSTS, findings);
        lack.write(&subject, &SOURCES, findings);
    }
}

/// The homes of each pack's path, with their planes among those that the hours tell of.
pub(crate) fn prepared(
    request: &Request<'_>,
    balance: &Balance<'_>,
    surfaces: &[Surface<'_>],
    model: &Model,
    views: &mut Views,
) -> Vec<(Subject, Result<Pair, Lack>)> {
    let mut all = Vec::new();
    for (pack, subject, setting) in packs(request) {
        let pair = match setting {
            serde_json::Value::Object(_) => serde_json::from_value::<Settings>(setting.clone())
                .map_err(|error| Lack::new(format!("the performance path of {pack} cannot be read: {error}")))
                .and_then(|settings| Pair::of(request, balance, surfaces, model, views, settings)),
            _ => Err(Lack::new(format!("{pack} hands over no reference home"))),
        };
        all.push((subject, pair));
    }
    all
}

/// What heats, and what cools, in both homes.
struct Machines {
    heating: Heating,
    cooling: Machine,
    /// Runs while the home is heated (W).
    pump: f64,
}

enum Heating {
    Pump(Machine),
    /// By the share of the fuel's heat that reaches the rooms.
    Fuel(f64),
}

impl Machines {
    fn of(request: &Request<'_>) -> Result<Machines, Lack> {
        let systems = &request.home.systems;
        let system = systems.heating.as_ref().ok_or_else(|| Lack::at("the home names no heating", "systems"))?;
        let inside = match system.ducted.ok_or_else(|| ungiven("systems.heating.ducted"))? {
            false => true,
            true => system.ducts_inside.ok_or_else(|| ungiven("systems.heating.ducts_inside"))?,
        };
        if !inside {
            return Err(Lack::at(
                "ducts lie outside the envelope, and the efficiencies that the path's table gives to ducts were not in reach",
                "systems.heating",
            ));
        }
        let part_load = |share: Option<Ratio>| share.map(|share| share.si());
        let heating = match system.fuel {
            Fuel::HeatPump => {
                let stops = system.stops_below.map(Temperature::si);
                let machine = Machine::of(&system.rated, part_load(system.part_load), stops);
                let because = "systems.heating.rated needs two points without frost at least, at two temperatures";
                Heating::Pump(machine.ok_or_else(|| Lack::at(because, "systems.heating"))?)
            }
            Fuel::Electricity => {
                let because = "the reference home of one heated by resistance has a heat pump, whose efficiency by the path's table was not in reach";
                return Err(Lack::at(because, "systems.heating"));
            }
            _ => {
                let share = system.efficiency.filter(|share| share.si() > 0.0);
                Heating::Fuel(share.ok_or_else(|| ungiven("systems.heating.efficiency"))?.si())
            }
        };
        let cooling = systems.cooling.as_ref().ok_or_else(|| Lack::at("the home names no cooling", "systems"))?;
        if cooling.kind == CoolingKind::None {
            let because =
                "the path counts a cooling in a home without one, whose efficiency by its table was not in reach";
            return Err(Lack::at(because, "systems.cooling"));
        }
        let machine = Machine::of(&cooling.rated, part_load(cooling.part_load), None);
        let because = "systems.cooling.rated needs two points at least, at two temperatures";
        let cooling = machine.ok_or_else(|| Lack::at(because, "systems.cooling"))?;
        Ok(Machines { heating, cooling, pump: system.pump.map_or(0.0, Power::si) })
    }
}

/// Hot water of both homes.
struct Water {
    used: Energy,
    fuel: Option<Fuel>,
    /// Taken from the rooms in each month (W).
    from_rooms: [f64; 12],
}

impl Water {
    fn of(request: &Request<'_>, balance: &Balance<'_>, pair: &Pair) -> Result<Water, Lack> {
        let (months, water, factor, _) = hot_water::heat(request, balance.climate, Some(pair.drawn))?;
        let all: f64 = months.iter().map(|month| month.si()).sum();
        let mut from_rooms = [0.0; 12];
        if water.fuel == Fuel::HeatPump {
            let from = water.heat_from.ok_or_else(|| ungiven("systems.hot_water.heat_from"))?;
            if from == HeatFrom::Rooms {
                from_rooms = hot_water::taken(&months, factor);
            }
        }
        let fuel = Some(water.fuel).filter(|fuel| !matches!(fuel, Fuel::HeatPump | Fuel::Electricity));
        Ok(Water { used: Energy::from_si(all / factor.si()), fuel, from_rooms })
    }
}

/// What a home uses in the year, part by part.
#[derive(Clone, Copy)]
struct Uses {
    heating: Energy,
    cooling: Energy,
    pump: Energy,
    fans: Energy,
    water: Energy,
}

/// The loads of one home in each hour (W), and the largest of each.
struct Loads {
    heating: Vec<f64>,
    cooling: Vec<f64>,
}

impl Loads {
    fn of(balance: &Balance<'_>, pair: &Pair, side: &Side, water: &Water, year: &HeldYear) -> Loads {
        let indoor = &pair.settings.indoor;
        let conditions = Conditions { winter: indoor.heating, internal: pair.inside, ..balance.conditions() };
        let zone = side.model.zone(balance.floor, side.exchange);
        let (low, high) = (indoor.heating.si(), indoor.cooling.si().max(indoor.heating.si()));
        let told = Year::of(conditions, &side.model, &year.hours).run([&zone, &zone], low, high);
        let hours = &year.hours.hours;
        let drawn = |month: usize| water.from_rooms.get(month).copied().unwrap_or_default();
        let heats = |(told, of): (&Told, &crate::hours::HourOfYear)| match told.heat > 0.0 {
            true => told.heat + drawn(of.month),
            false => 0.0,
        };
        Loads {
            heating: told.iter().zip(hours).map(heats).collect(),
            cooling: told.iter().map(|told| told.cool).collect(),
        }
    }

    /// The largest of each.
    fn most(&self) -> [f64; 2] {
        [&self.heating, &self.cooling].map(|loads| loads.iter().copied().fold(0.0, f64::max))
    }

    /// What the machines use for them, `sizes` times as large as the home's.
    fn uses(&self, machines: &Machines, sizes: [f64; 2], year: &HeldYear) -> [Energy; 3] {
        let cooler = machines.cooling.sized(sizes[1]);
        let pump = match &machines.heating {
            Heating::Pump(machine) => Some(machine.sized(sizes[0])),
            Heating::Fuel(_) => None,
        };
        let (mut heating, mut cooling, mut running) = (0.0, 0.0, 0.0);
        for ((load, taken), of) in self.heating.iter().zip(&self.cooling).zip(&year.hours.hours) {
            let time = of.count * 3_600.0;
            if *load > 0.0 {
                heating += time
                    * match (&machines.heating, &pump) {
                        (Heating::Fuel(share), _) => load / share,
                        (_, Some(machine)) => {
                            let work = machine.hour(*load, of.air);
                            work.power + (load - work.heat)
                        }
                        _ => *load,
                    };
                running += time * machines.pump;
            }
            if *taken > 0.0 {
                // What is beyond its capacity takes as much for each watt.
                let work = cooler.hour(*taken, of.air);
                cooling += time * if work.heat > 0.0 { work.power * taken / work.heat } else { *taken };
            }
        }
        [heating, cooling, running].map(Energy::from_si)
    }
}

/// Writes what both homes of each pack use and cost.
pub(crate) fn report(
    request: &Request<'_>,
    balance: &Balance<'_>,
    year: &HeldYear,
    pairs: Vec<(Subject, Result<Pair, Lack>)>,
    findings: &mut Findings,
) {
    for (subject, pair) in pairs {
        let written = pair.and_then(|pair| compared(request, balance, year, &subject, &pair, findings));
        if let Err(lack) = written {
            lack.write(&subject, &COSTS, findings);
            lack.write(&subject, &SOURCES, findings);
        }
    }
}

fn compared(
    request: &Request<'_>,
    balance: &Balance<'_>,
    year: &HeldYear,
    subject: &Subject,
    pair: &Pair,
    findings: &mut Findings,
) -> Result<(), Lack> {
    let machines = Machines::of(request)?;
    let water = Water::of(request, balance, pair)?;
    let against_frost = frost::part(request, year)?.energy;
    let sides = [&pair.proposed, &pair.reference];
    let [own, other] = sides.map(|side| Loads::of(balance, pair, side, &water, year));
    let ([heat, cool], [of_heat, of_cool]) = (own.most(), other.most());
    let size = |most: f64, of: f64| if most > 0.0 && of > 0.0 { of / most } else { 1.0 };
    let sizes = [[1.0, 1.0], [size(heat, of_heat), size(cool, of_cool)]];
    for (number, (loads, side)) in [own, other].iter().zip(sides).enumerate() {
        let sizes = sizes.get(number).copied().unwrap_or([1.0, 1.0]);
        let [heating, cooling, pump] = loads.uses(&machines, sizes, year);
        // The table has no frost protection: it is of the home alone.
        let frost = if number == 0 { against_frost } else { Energy::default() };
        let fans = Energy::from_si(side.fans.si() * YEAR) + frost;
        let uses = Uses { heating, cooling, pump, fans, water: water.used };
        write(request, year, subject, pair, (number, uses), (&machines, &water), findings);
    }
    Ok(())
}

fn write(
    request: &Request<'_>,
    year: &HeldYear,
    subject: &Subject,
    pair: &Pair,
    (number, uses): (usize, Uses),
    (machines, water): (&Machines, &Water),
    findings: &mut Findings,
) {
    let system = request.home.systems.heating.as_ref().map(|heating| heating.fuel);
    let burns = matches!(machines.heating, Heating::Fuel(_));
    let (mut electricity, mut fuel) = (uses.cooling + uses.pump + uses.fans, Energy::default());
    for (used, burnt) in [(uses.heating, burns), (uses.water, water.fuel.is_some())] {
        let place = if burnt { &mut fuel } else { &mut electricity };
        *place = *place + used;
    }
    let settings = &pair.settings;
    let home = if number == 0 { "the home" } else { "the reference home" };
    let term = |symbol, what: &str, energy: Energy| Term::new(symbol, format!("{what}, {home}"), energy, USE);
    let step =
        Step::procedure("held between the pack's temperatures through the hours, its machines by their rated points")
            .term(Term::new("H_V", "by air", pair_exchange(pair, number), Units::CONDUCTANCE))
            .term(
                Term::new("θ_i", "held in winter", settings.indoor.heating, Units::TEMPERATURE)
                    .published(settings.source.clone()),
            )
            .term(
                Term::new("θ_c", "held in summer", settings.indoor.cooling, Units::TEMPERATURE)
                    .published(settings.source.clone()),
            )
            .term(Term::new("Φ_i", "from people, lights and appliances", Power::from_si(pair.inside), facts::POWER))
            .term(term("E_h", "heating", uses.heating))
            .term(term("E_c", "cooling", uses.cooling))
            .term(term("E_p", "pumps", uses.pump))
            .term(term("E_v", "fans, with warming of their air against frost", uses.fans))
            .term(term("E_w", "hot water", uses.water))
            .result(term("E_e", "electricity", electricity));
    let burnt = Step::procedure("what of it is fuel").result(term("E_f", "fuel", fuel));
    let basis = |method: &'static str, last: Step| {
        Basis::new(method, settings.source.clone())
            .provenance(settings.provenance.clone())
            .step(pair.air_step.clone())
            .step(step.clone())
            .step(burnt.clone())
            .step(last)
            .assuming("no program of this kind counts before the authority has accepted it")
            .assuming(match year.hours.is_file {
                true => "hours of the weather file",
                false => "each month is one mean day, repeated: no hot spell, no dull week",
            })
            .assuming("each home is one zone; junctions are in neither home")
            .assuming(match pair.over_space {
                true => "the reference home's floor is the table's, over the same ground and air as the home's: what the path's table says of them was not in reach",
                false => "what lies on the ground is the same in both: what the path's table says of it was not in reach",
            })
            .assuming("machines of the home in both, in proportion to the largest hour; what solar arrays yield is not counted")
            .assuming("what ducts lose is the same in both")
            .assuming(CAUTION)
    };
    let factors = &settings.source_factors;
    let source = SourceEnergy { f_e: factors.electricity, E_e: electricity, f_f: factors.fuel, E_f: fuel };
    let (source, last) = source.step();
    let last = last
        .published(SourceEnergy::f_e, settings.source.clone())
        .published(SourceEnergy::f_f, settings.source.clone());
    let pick = |both: [&'static QuantityDef; 2]| if number == 0 { both[0] } else { both[1] };
    findings.fact(subject, pick(SOURCES), source, basis("performance path, by source energy", last));

    let rates = request.home.rates.as_ref();
    let fuels: Vec<Fuel> = system.filter(|_| burns).into_iter().chain(water.fuel).collect();
    let p_f = match (fuels.first(), rates.and_then(|rates| rates.fuel)) {
        (None, _) => Some(MoneyPerEnergy::default()),
        (Some(first), Some(rate)) if fuels.iter().all(|fuel| fuel == first) => Some(rate.high),
        _ => None,
    };
    let price = rates.and_then(|rates| rates.electricity).map(|rate| rate.high).zip(p_f);
    let Some((p_e, p_f)) = price else {
        let lack = Lack::at("a rate for electricity and for every fuel is not given under rates", "rates");
        return lack.write(subject, &[pick(COSTS)], findings);
    };
    let (cost, last) = EnergyCost { p_e, E_e: electricity, p_f, E_f: fuel }.step();
    let last = last.given(EnergyCost::p_e, rate("electricity"));
    let last = if fuels.is_empty() { last } else { last.given(EnergyCost::p_f, rate("fuel")) };
    findings.fact(subject, pick(COSTS), cost, basis("performance path, by cost", last));
}

fn pair_exchange(pair: &Pair, number: usize) -> mateline_model::quantity::Conductance {
    let side = if number == 0 { &pair.proposed } else { &pair.reference };
    mateline_model::quantity::Conductance::from_si(side.exchange)
}
