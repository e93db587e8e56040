//! What the parts of the year's use come to: electricity by month, what is delivered, and what that stands for.
//!
//! Solar arrays feed the home first, hour by hour; what is over goes to the grid. How that counts is said with every figure:
//! primary energy and carbon take what the grid delivers and credit nothing that goes back; `energy.primary_netted` sets all
//! that arrays yield against all that is used.

use crate::facts::{self, HEAT, USE};
use crate::home_year::HeldYear;
use crate::months::MONTHS;
use crate::part::Part;
use mateline_equation::equation;
use mateline_model::home::Fuel;
use mateline_model::quantity::{Energy, Money, MoneyPerEnergy, Power, Ratio, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

const PRICE: Units = Units::new("$/kWh", 3, "$/kWh", 3);
const CARBON: Units = Units::new("kg/kWh", 3, "lb/kWh", 3);
const FACTOR: Units = Units::plain(2);

equation! {
    /// All that is used. Source: addition.
    pub(crate) Together = "E = Σ E_j" {
        E: Energy "together" [USE],
        E_j: [Energy] "of a part" [USE],
    }

    /// Primary energy: what grid and fuels deliver, each by its factor. Source: definition.
    pub(crate) Primary = "P = f_e E_i + f_f E_f" {
        P: Energy "primary energy" [USE],
        f_e: Ratio "factor of electricity" [FACTOR],
        E_i: Energy "from the grid" [USE],
        f_f: Ratio "factor of the fuel" [FACTOR],
        E_f: Energy "fuel" [USE],
    }

    /// The same with all that arrays yield set against it. Source: definition.
    pub(crate) Netted = "P = f_e (E_e − E_s) + f_f E_f" {
        P: Energy "primary energy, netted" [USE],
        f_e: Ratio "factor of electricity" [FACTOR],
        E_e: Energy "electricity used" [USE],
        E_s: Energy "yield of solar arrays" [USE],
        f_f: Ratio "factor of the fuel" [FACTOR],
        E_f: Energy "fuel" [USE],
    }

    /// What energy costs in the year. Source: definition.
    pub(crate) Cost = "C = p_e E_i + p_f E_f − p_x E_x" {
        C: Money "cost of energy in the year" [Units::MONEY],
        p_e: MoneyPerEnergy "electricity from the grid" [PRICE],
        E_i: Energy "from the grid" [USE],
        p_f: MoneyPerEnergy "fuel" [PRICE],
        E_f: Energy "fuel" [USE],
        p_x: MoneyPerEnergy "paid for what goes to the grid" [PRICE],
        E_x: Energy "to the grid" [USE],
    }

    /// Carbon dioxide of the grid's electricity. Source: definition.
    pub(crate) GridCarbon = "M = k E_i" {
        M: Mass "carbon dioxide in the year" [Units::MASS],
        k: MassPerEnergy "of the grid's electricity" [CARBON],
        E_i: Energy "from the grid" [USE],
    }

    /// Rated power of arrays that would yield as much in the year as is used, of the slopes and directions that there are.
    /// Source: proportion.
    pub(crate) ZeroPower = "P_0 = P E/E_s" {
        P_0: Power "rated power for a year of nought" [facts::RATED],
        P: Power "rated power" [facts::RATED],
        E: Energy "delivered to the home" [USE],
        E_s: Energy "yield of solar arrays" [HEAT],
    }

    /// The same as an area. Source: proportion.
    pub(crate) ZeroArea = "A_0 = A E/E_s" {
        A_0: Area "area for a year of nought" [Units::AREA],
        A: Area "area of the modules" [Units::AREA],
        E: Energy "delivered to the home" [USE],
        E_s: Energy "yield of solar arrays" [HEAT],
    }
}

/// What waits for all parts to be known.
const ALL: [&QuantityDef; 11] = [
    &facts::ELECTRICITY,
    &facts::FUEL,
    &facts::DELIVERED,
    &facts::COST,
    &facts::CARBON,
    &facts::SELF_USE,
    &facts::SELF_SHARE,
    &facts::IMPORTED,
    &facts::EXPORTED,
    &facts::ZERO_POWER,
    &facts::ZERO_AREA,
];

/// Facts of each pack's factors.
const BY_FACTORS: [&QuantityDef; 2] = [&facts::PRIMARY, &facts::PRIMARY_NETTED];

/// Writes why nothing can be said by the factors of any pack.
pub(crate) fn lacking(request: &Request<'_>, lack: &Lack, findings: &mut Findings) {
    for (subject, _) in factors(request) {
        lack.write(&subject, &BY_FACTORS, findings);
    }
}

/// Whether a quantity is told of a pack's factors and not of the home.
pub(crate) fn is_by_factors(definition: &QuantityDef) -> bool {
    BY_FACTORS.iter().any(|one| one.name == definition.name)
}

/// Factors of primary energy that packs hand over.
fn factors<'a>(request: &'a Request<'_>) -> impl Iterator<Item = (Subject, &'a serde_json::Value)> {
    let of = |(pack, setting): &'a (String, serde_json::Value)| {
        Some((Subject::element("factors", pack), setting.get("primary")?))
    };
    request.settings.iter().filter_map(of)
}

/// Writes the sums, or why there are none.
pub(crate) fn report(request: &Request<'_>, year: &HeldYear, parts: Result<Vec<Part>, Lack>, findings: &mut Findings) {
    let parts = match parts {
        Ok(parts) => parts,
        Err(lack) => {
            lack.write(&Subject::home(), &ALL, findings);
            return lacking(request, &lack, findings);
        }
    };
    let sums = Sums::of(year, &parts, findings);
    sums.solar(request, findings);
    sums.primary(request, findings);
    sums.cost(request, findings);
    sums.carbon(request, findings);
}

/// Sums of the year.
struct Sums {
    electricity: Energy,
    fuel: Energy,
    burnt: Option<Fuel>,
    mixed: bool,
    imported: Energy,
    exported: Energy,
    delivered: Energy,
    yields: Energy,
}

fn basis(method: &'static str) -> Basis {
    Basis::new(method, "definition").provenance("definition")
}

impl Sums {
    fn of(year: &HeldYear, parts: &[Part], findings: &mut Findings) -> Sums {
        let home = Subject::home();
        let mut months = [0.0; 12];
        let (mut imported, mut exported, mut own, mut yields) = (0.0, 0.0, 0.0, 0.0);
        let electric: Vec<&Part> = parts.iter().filter(|part| part.fuel.is_none()).collect();
        for (number, hour) in year.hours.hours.iter().enumerate() {
            let used: f64 = electric.iter().map(|part| part.course.at(number, hour.month)).sum();
            let sun = year.solar_at(number);
            let time = hour.count * 3_600.0;
            if let Some(month) = months.get_mut(hour.month) {
                *month += used * time;
            }
            own += used.min(sun) * time;
            imported += (used - sun).max(0.0) * time;
            exported += (sun - used).max(0.0) * time;
            yields += sun * time;
        }
        for ((_, name, _), month) in MONTHS.iter().zip(months) {
            let energy = Energy::from_si(month);
            let step = Step::procedure("electricity of all parts over the hours of the month").result(Term::new(
                "E",
                format!("electricity, {name}"),
                energy,
                USE,
            ));
            findings.fact(
                &Subject::element("months", name),
                &facts::ELECTRICITY,
                energy,
                basis("sum of the hours").step(step),
            );
        }
        let sum = |fuel: bool, findings: &mut Findings, fact: &QuantityDef| {
            let some: Vec<&Part> = parts.iter().filter(|part| part.fuel.is_some() == fuel).collect();
            let each: Vec<Energy> = some.iter().map(|part| part.energy).collect();
            let (all, step) = Together { E_j: &each }.step();
            let step = step.each(Together::E_j, &some, |term, part| {
                Term { meaning: part.fact.label(), ..term }.fact(&home, part.fact.name.clone())
            });
            findings.fact(&home, fact, all, basis("sum of the parts").step(step));
            all
        };
        let electricity = sum(false, findings, &facts::ELECTRICITY);
        let fuel = sum(true, findings, &facts::FUEL);
        let (delivered, step) = Together { E_j: &[electricity, fuel] }.step();
        let step = step.each(Together::E_j, &[&facts::ELECTRICITY, &facts::FUEL], |term, fact| {
            Term { meaning: fact.label(), ..term }.fact(&home, fact.name.clone())
        });
        let all = basis("sum of electricity and fuel").step(step).assuming("what solar arrays yield is not taken off");
        findings.fact(&home, &facts::DELIVERED, delivered, all);
        let told = [
            (&facts::SELF_USE, "used in the hour that it is made", own),
            (&facts::IMPORTED, "from the grid", imported),
            (&facts::EXPORTED, "to the grid", exported),
        ];
        for (fact, what, energy) in told {
            let energy = Energy::from_si(energy);
            let step = Step::procedure("hour by hour, the smaller of use and yield; what is short comes from the grid, what is over goes to it")
                .result(Term::new("E", what, energy, USE));
            let basis = basis("use and yield of each hour")
                .step(step)
                .assuming("nothing is stored; appliances, fans and hot water use as much in every hour of a day")
                .assuming(match year.hours.is_file {
                    true => "hours of the weather file",
                    false => "hours of mean days: dull days and clear ones are one, so that more is used on the spot than in a real year",
                });
            findings.fact(&home, fact, energy, basis);
        }
        let kinds: Vec<Fuel> = parts.iter().filter_map(|part| part.fuel).collect();
        Sums {
            electricity,
            fuel,
            burnt: kinds.first().copied(),
            mixed: kinds.iter().any(|fuel| Some(fuel) != kinds.first()),
            imported: Energy::from_si(imported),
            exported: Energy::from_si(exported),
            delivered,
            yields: Energy::from_si(yields),
        }
    }

    fn solar(&self, request: &Request<'_>, findings: &mut Findings) {
        let home = Subject::home();
        let arrays = &request.home.systems.solar;
        if arrays.is_empty() || self.yields.si() <= 0.0 {
            let lack = Lack::at("the home names no solar arrays", "systems");
            return lack.write(&home, &[&facts::SELF_SHARE, &facts::ZERO_POWER, &facts::ZERO_AREA], findings);
        }
        let own = self.yields - self.exported;
        let share = Ratio::from_si(own.si() / self.yields.si());
        let step = Step::procedure("what is used on the spot over what is made").result(Term::new(
            "s",
            "used on the spot",
            share,
            Units::PERCENT,
        ));
        findings.fact(&home, &facts::SELF_SHARE, share, basis("use and yield of each hour").step(step));
        let power: Power = arrays.values().map(|array| array.power).sum();
        let (zero, step) = ZeroPower { P: power, E: self.delivered, E_s: self.yields }.step();
        let step =
            step.fact(ZeroPower::E, &home, facts::DELIVERED.name).fact(ZeroPower::E_s, &home, facts::SOLAR_YIELD.name);
        let said = "arrays of these slopes and directions; every kilowatt-hour to the grid counts as one from it";
        findings.fact(&home, &facts::ZERO_POWER, zero, basis("proportion").step(step).assuming(said));
        let areas: Option<Vec<_>> = arrays.values().map(|array| array.area).collect();
        match areas {
            None => Lack::at("not every solar array gives its area", "systems.solar").write(
                &home,
                &[&facts::ZERO_AREA],
                findings,
            ),
            Some(areas) => {
                let (zero, step) = ZeroArea { A: areas.into_iter().sum(), E: self.delivered, E_s: self.yields }.step();
                let step = step.fact(ZeroArea::E, &home, facts::DELIVERED.name).fact(
                    ZeroArea::E_s,
                    &home,
                    facts::SOLAR_YIELD.name,
                );
                findings.fact(&home, &facts::ZERO_AREA, zero, basis("proportion").step(step).assuming(said));
            }
        }
    }

    fn primary(&self, request: &Request<'_>, findings: &mut Findings) {
        let home = Subject::home();
        for (subject, factors) in factors(request) {
            let number = |name: &str| factors.get(name).and_then(serde_json::Value::as_f64).map(Ratio::from_si);
            let of_fuel = match self.burnt {
                None => Some(Ratio::default()),
                Some(_) if self.mixed => None,
                Some(fuel) => number(word(fuel)),
            };
            let Some((f_e, f_f)) = number("electricity").zip(of_fuel) else {
                let lack = Lack::new("the pack hands over no factor for all that the home uses");
                lack.write(&subject, &BY_FACTORS, findings);
                continue;
            };
            let (primary, step) = Primary { f_e, E_i: self.imported, f_f, E_f: self.fuel }.step();
            let step = step.fact(Primary::E_i, &home, facts::IMPORTED.name).fact(Primary::E_f, &home, facts::FUEL.name);
            let all = basis("factors of the pack").step(step).assuming("what goes to the grid earns no credit");
            findings.fact(&subject, &facts::PRIMARY, primary, all);
            let netted = Netted { f_e, E_e: self.electricity, E_s: self.yields, f_f, E_f: self.fuel };
            let (netted, step) = netted.step();
            let step =
                step.fact(Netted::E_e, &home, facts::ELECTRICITY.name).fact(Netted::E_f, &home, facts::FUEL.name);
            let all = basis("factors of the pack")
                .step(step)
                .assuming("what goes to the grid is taken off at the factor of what comes from it");
            findings.fact(&subject, &facts::PRIMARY_NETTED, netted, all);
        }
    }

    fn cost(&self, request: &Request<'_>, findings: &mut Findings) {
        let home = Subject::home();
        let rates = request.home.rates.as_ref();
        let lack = |path: &str| Lack::at(format!("{path} is not given"), "rates");
        let Some(p_e) = rates.and_then(|rates| rates.electricity) else {
            return lack(&rate("electricity")).write(&home, &[&facts::COST], findings);
        };
        let p_f = match (self.burnt, rates.and_then(|rates| rates.fuel)) {
            (None, _) => MoneyPerEnergy::default(),
            (Some(_), Some(rate)) if !self.mixed => rate.high,
            _ => return lack("a rate for every fuel").write(&home, &[&facts::COST], findings),
        };
        let paid = rates.and_then(|rates| rates.export).map(|rate| rate.low);
        let cost = Cost {
            p_e: p_e.high,
            E_i: self.imported,
            p_f,
            E_f: self.fuel,
            p_x: paid.unwrap_or_default(),
            E_x: self.exported,
        };
        let (cost, step): (Money, Step) = cost.step();
        let step = step
            .given(Cost::p_e, rate("electricity"))
            .fact(Cost::E_i, &home, facts::IMPORTED.name)
            .fact(Cost::E_f, &home, facts::FUEL.name)
            .fact(Cost::E_x, &home, facts::EXPORTED.name);
        let step = if paid.is_some() { step.given(Cost::p_x, rate("export")) } else { step };
        let all = basis("the user's own rates").step(step).assuming("at the high end of what is charged and the low end of what is paid; what a connection costs by itself is not in it");
        findings.fact(&home, &facts::COST, cost, all);
    }

    fn carbon(&self, request: &Request<'_>, findings: &mut Findings) {
        let home = Subject::home();
        let Some(k) = request.home.site.grid_carbon else {
            return Lack::at("site.grid_carbon is not given", "site").write(&home, &[&facts::CARBON], findings);
        };
        if self.burnt.is_some() {
            return Lack::new("no factor is given for the fuel that the home burns").write(
                &home,
                &[&facts::CARBON],
                findings,
            );
        }
        let (mass, step) = GridCarbon { k, E_i: self.imported }.step();
        let step = step.given(GridCarbon::k, "site.grid_carbon").fact(GridCarbon::E_i, &home, facts::IMPORTED.name);
        let all = basis("the factor that the site states").step(step).assuming("what goes to the grid earns no credit");
        findings.fact(&home, &facts::CARBON, mass, all);
    }
}

/// Where a rate is given.
pub(crate) fn rate(name: &str) -> String {
    format!("rates.{name}")
}

/// A fuel as packs name it.
fn word(fuel: Fuel) -> &'static str {
    match fuel {
        Fuel::HeatPump | Fuel::Electricity => "electricity",
        Fuel::Gas => "gas",
        Fuel::Propane => "propane",
        Fuel::Oil => "oil",
        Fuel::Wood => "wood",
    }
}
