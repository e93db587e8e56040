//! Concentration of every compound in every room and in the dwelling, from all finishes together.

use crate::ages::{self, Ages};
use crate::air::{Air, airs};
use crate::amount::MOST_TERMS;
use crate::compound::Compound;
use crate::decay::Law;
use crate::facts::{self, CONCENTRATION_UNITS, EMISSION_UNITS};
use crate::hazard::{self, Mean};
use crate::levels::levels;
use crate::mass_balance::{AllGiven, Balanced, Entering, FlowNeeded, Given, Steady, flow_needed, source};
use crate::product::{Knowledge, Product, TEST_AGE};
use crate::zones::Zones;
use mateline_equation::equation;
use mateline_model::quantity::{Area, Density, Duration, EmissionRate, Flow, MassFlow, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Emission factor of a finish whose test names isomers of one compound one by one. Source: addition.
    pub(crate) Isomers = "E = Σ E_i" {
        E: EmissionRate "emission factor" [EMISSION_UNITS],
        E_i: [EmissionRate] "isomer" [EMISSION_UNITS],
    }

    /// A room's part of a finish that is in several. Source: division by floor area; common practice, no source.
    pub(crate) RoomPart = "A = A_all F/F_all" {
        A: Area "area in this air" [Units::AREA],
        A_all: Area "area of the finish" [Units::AREA],
        F: Area "floor of the room" [Units::AREA],
        F_all: Area "floors of all rooms it is in" [Units::AREA],
    }

    /// The dwelling's part of a finish that is in a garage too. Source: subtraction.
    pub(crate) DwellingPart = "A = A_all − A_out" {
        A: Area "area in this air" [Units::AREA],
        A_all: Area "area of the finish" [Units::AREA],
        A_out: Area "its part in garages" [Units::AREA],
    }

    /// Share of the largest source. Source: division.
    pub(crate) LargestShare = "share = C_max/C" {
        share: Ratio "share of the largest source" [Units::PERCENT],
        C_max: Density "brought about by the largest source" [CONCENTRATION_UNITS],
        C: Density "brought about by all" [CONCENTRATION_UNITS],
    }
}

/// One source: a finish, its factor and its area in the room.
struct Part<'p, 'a> {
    product: &'p Product<'a>,
    factor: EmissionRate,
    area: Area,
}

/// Facts of every compound in every volume of air; then those on all compounds together.
pub(crate) fn report(request: &Request<'_>, products: &[Product<'_>], ages: &Ages, findings: &mut Findings) {
    sums_complete(products, findings);
    let zones = Zones::of(request);
    let airs = airs(request, &zones, products);
    let rooms: Vec<&Air<'_, '_>> = airs.iter().filter(|air| air.room.is_some()).collect();
    for air in &airs {
        let mut means = Vec::new();
        for (id, sources) in air.compounds(products) {
            let Some(first) = sources.first().and_then(|product| product.of(id).next()) else { continue };
            let compound = first.named.compound.clone();
            let one = Balance { air, rooms: &rooms, id, compound, sources, ages };
            means.push(one.report(products, findings));
        }
        if means.is_empty() && air.unknown(products).is_empty() {
            continue;
        }
        let subject = air.subject();
        name_space(air, &subject, findings);
        unknown_sources(air, products, &subject, findings);
        hazard::report(&subject, &means, findings);
    }
}

fn name_space(air: &Air<'_, '_>, subject: &Subject, findings: &mut Findings) {
    let origin = air.room.map_or_else(|| "home".to_owned(), |room| format!("spaces.{room}"));
    let term = Term::new("room", "volume of air", Value::Text(air.id().to_owned()), facts::SPACE.units);
    let basis = Basis::new("as given", "the home").step(Step::procedure("room").term(term.given(origin)));
    findings.text(subject, &facts::SPACE, air.id(), basis);
}

/// How many finishes are not known, and that all are known where they are.
fn unknown_sources<'a>(air: &Air<'_, 'a>, products: &[Product<'a>], subject: &Subject, findings: &mut Findings) {
    let unknown = air.unknown(products);
    let mut step = Step::procedure("n = Σ 1");
    for product in unknown.iter().take(MOST_TERMS) {
        let lacks = if product.knowledge == Knowledge::None { "emission factors" } else { "area" };
        let term = Term::new("1", format!("{} has no {lacks}", product.subject), 1.0, Units::plain(0));
        step = step.term(term.given(product.subject.to_string()));
    }
    let count =
        Term::new("n", "finishes of which it is not known what they give off", unknown.len() as f64, Units::plain(0));
    let basis = Basis::new("finishes without emission factors or area, counted", "common practice, no source")
        .step(step.result(count))
        .assuming("compounds that a finish's factors do not name are taken as not found in its test");
    findings.count(subject, &facts::UNKNOWN_SOURCES, unknown.len(), basis.clone());
    match unknown.first() {
        None => findings.flag(subject, &facts::ALL_SOURCES_KNOWN, true, basis),
        Some(first) => {
            let at = Some(Pointer::new(first.subject.as_str()));
            findings.missing(subject, &facts::ALL_SOURCES_KNOWN, not_known(&unknown), at);
        }
    }
}

/// Why a sum is not the whole.
fn not_known(unknown: &[&Product<'_>]) -> String {
    let names: Vec<&str> = unknown.iter().take(6).map(|product| product.id.as_ref()).collect();
    let more = if unknown.len() > names.len() { format!(" and {} more", unknown.len() - 6) } else { String::new() };
    format!("it is not known what is given off by {}{more}, so no sum is the whole", names.join(", "))
}

/// Whether the sums are the whole, said once for the home: true, or missing with the finishes that stand in the way.
fn sums_complete(products: &[Product<'_>], findings: &mut Findings) {
    let home = Subject::home();
    let unknown: Vec<_> = products.iter().filter(|product| product.is_unknown()).collect();
    let at = unknown.first().map_or("finishes", |product| product.subject.as_str());
    let because = if products.is_empty() {
        "the home names no finishes".to_owned()
    } else if unknown.is_empty() {
        let none = Term::new("n", "finishes of which it is not known what they give off", 0.0, Units::plain(0));
        let basis = Basis::new("finishes without emission factors or area, counted", "common practice, no source")
            .step(Step::procedure("n = 0").term(none));
        return findings.flag(&home, &facts::SUMS_COMPLETE, true, basis);
    } else {
        not_known(&unknown)
    };
    findings.missing(&home, &facts::SUMS_COMPLETE, because, Some(Pointer::new(at)));
}

/// The balance of one compound in one volume of air.
struct Balance<'p, 'z, 'a> {
    air: &'p Air<'z, 'a>,
    /// Every room that has facts.
    rooms: &'p [&'p Air<'z, 'a>],
    id: &'p str,
    compound: Compound,
    sources: Vec<&'p Product<'a>>,
    ages: &'p Ages,
}

impl<'p, 'a> Balance<'p, '_, 'a> {
    fn report(&self, products: &[Product<'a>], findings: &mut Findings) -> Mean {
        let subject = self.air.of_compound(self.id);
        let names = self.sources.iter().flat_map(|product| product.of(self.id)).map(|emitted| emitted.path.clone());
        let mut step = Step::procedure("compound");
        for path in names.take(MOST_TERMS) {
            let term = Term::new("name", "as given", Value::Text(self.compound.name.clone()), facts::COMPOUND.units);
            step = step.term(term.given(path));
        }
        let basis = Basis::new("name or CAS number looked up", "compound list of this plugin").step(step);
        findings.text(&subject, &facts::COMPOUND, self.id, basis);
        name_space(self.air, &subject, findings);
        unknown_sources(self.air, products, &subject, findings);
        levels(&self.compound, &subject, findings);
        self.largest(&subject, findings);
        self.flow_needed(&subject, findings);
        let move_in = self.ages.move_in;
        self.concentration(&subject, &facts::CONCENTRATION, TEST_AGE, None, findings).ok();
        self.concentration(&subject, &facts::CONCENTRATION_MOVE_IN, move_in, None, findings).ok();
        let year = Some(move_in + ages::YEAR);
        let one_year = self.concentration(&subject, &facts::CONCENTRATION_ONE_YEAR, move_in, year, findings);
        let (one_year, at) = match one_year {
            Ok((value, at)) => (Ok(value), Some(at)),
            Err(lack) => (Err(lack), None),
        };
        Mean { subject, compound: self.compound.clone(), one_year, at }
    }

    /// Finishes in its own air.
    fn parts(&self, from: Duration, to: Option<Duration>) -> Result<Vec<Part<'p, 'a>>, Lack> {
        let part = |product: &&'p Product<'a>| -> Result<Part<'p, 'a>, Lack> {
            Ok(Part { product, factor: product.factor(self.id, from, to)?, area: self.air.area(product)? })
        };
        self.sources.iter().filter(|product| self.air.holds(product)).map(part).collect()
    }

    /// Every finish with what it brings about, from its own air or through other rooms.
    fn brought(&self, from: Duration, to: Option<Duration>) -> Result<Vec<(&'p Product<'a>, Density)>, Lack> {
        let one = |product: &&'p Product<'a>| -> Result<_, Lack> {
            Ok((*product, self.air.brought(product, product.factor(self.id, from, to)?)?))
        };
        self.sources.iter().map(one).collect()
    }

    fn concentration(
        &self,
        subject: &Subject,
        definition: &QuantityDef,
        from: Duration,
        to: Option<Duration>,
        findings: &mut Findings,
    ) -> Result<(Density, Pointer), Lack> {
        match self.worked(definition, from, to) {
            Ok((value, basis, at)) => {
                findings.fact_at(subject, definition, value, basis, at.clone());
                Ok((value, at))
            }
            Err(lack) => {
                lack.write(subject, &[definition], findings);
                Err(lack)
            }
        }
    }

    fn worked(
        &self,
        definition: &QuantityDef,
        from: Duration,
        to: Option<Duration>,
    ) -> Result<(Density, Basis, Pointer), Lack> {
        let parts = self.parts(from, to)?;
        let brought = self.brought(from, to)?;
        let value: Density = brought.iter().map(|(_, found)| *found).sum();
        if !value.si().is_finite() {
            return Err(Lack::at(format!("the air of {} has no finite balance", self.air.id()), "systems"));
        }
        let basis = self.sum(&parts, from, to);
        let (first, last) = match self.air.room {
            Some(_) => {
                let zone = self.air.known_zone()?;
                let (first, last) = self.balance(zone, strength(&parts), value, definition, (from, to))?;
                (Some(first), last)
            }
            None => {
                let (of, quantity) = &self.air.flow_of;
                let step = Steady { S: strength(&parts), Q: self.air.flow.clone()? }.step().1;
                (None, step.fact(Steady::Q, of, *quantity))
            }
        };
        let last = last.meaning(Steady::C, format!("{} in the air", self.compound.name));
        let basis = first.into_iter().fold(basis, Basis::step).step(last);
        let basis = if to.is_some() || from != TEST_AGE {
            basis.assuming(format!("move-in at {}", self.ages.move_in_from))
        } else {
            basis
        };
        Ok((value, basis, self.pointer(&brought, value)))
    }

    /// All air that enters the room, and the balance of its air.
    fn balance(
        &self,
        zone: usize,
        own: MassFlow,
        value: Density,
        definition: &QuantityDef,
        (from, to): (Duration, Option<Duration>),
    ) -> Result<(Step, Step), Lack> {
        let zones = self.air.zones;
        let into = zones.into(zone);
        let flows: Vec<Flow> = into.iter().map(|(_, flow)| *flow).collect();
        let mut there = Vec::new();
        for (other, _) in &into {
            let one =
                |product: &&'p Product<'a>| self.air.brought_to(product, product.factor(self.id, from, to)?, *other);
            there.push(self.sources.iter().map(one).sum::<Result<Density, Lack>>()?);
        }
        let subject = |zone: usize| zones.all.get(zone).map(|zone| &zone.subject);
        let name = |other: usize| subject(other).map_or("", Subject::id);
        let (all, entering) = Entering { Q_o: zones.outdoor(zone), Q_j: &flows }.step();
        let entering = match subject(zone) {
            Some(subject) => entering.fact(Entering::Q_o, subject, "ventilation.zone_outdoor_air"),
            None => entering,
        };
        let airway = |term: Term, (other, _): &(usize, Flow)| {
            let subject = Subject::element("airways", format_args!("{}-to-{}", name(*other), name(zone)));
            Term { meaning: format!("from {}", name(*other)), ..term }.fact(&subject, "ventilation.airway_flow")
        };
        let room = |other: usize| self.rooms.iter().find(|air| air.zone == Some(other));
        let balanced = Balanced { C: value, Q: all, S: own, Q_j: &flows, C_j: &there }.step().1;
        let balanced = balanced.each(Balanced::Q_j, &into, airway).each(Balanced::C_j, &into, |term, (other, _)| {
            let term = Term { meaning: format!("in the air of {}", name(*other)), ..term };
            match room(*other) {
                Some(air) => term.fact(&air.of_compound(self.id), definition.name.clone()),
                None => term,
            }
        });
        Ok((entering.each(Entering::Q_j, &into, airway), balanced))
    }

    /// `S = Σ E A`, part by part.
    fn sum(&self, parts: &[Part<'_, '_>], from: Duration, to: Option<Duration>) -> Basis {
        let mut basis =
            Basis::new("steady mass balance of one compound", "CDPH Standard Method v1.2, form of the balance")
                .provenance("from memory, high")
                .assuming("perfect mixing, no sinks, nothing in the outdoor air")
                .assuming(self.air.assumption())
                .assuming("emissions change over days and the air over hours, so the air follows them without delay");
        if self.air.spaces.len() > 1 {
            let spaces: Vec<&str> = self.air.spaces.iter().map(|id| id.as_ref()).collect();
            basis = basis.assuming(format!("rooms that share one air, with closets: {}", spaces.join(", ")));
        }
        let (listed, more) = parts.split_at(parts.len().min(MOST_TERMS));
        let mut given: Vec<MassFlow> = Vec::new();
        for (number, part) in listed.iter().enumerate() {
            let (strength, step) = Given { E: part.factor, A: part.area }.step();
            given.push(strength);
            let step = match self.factor(part, from, to, &mut basis) {
                Some(path) => step.given(Given::E, path),
                None => step,
            };
            let all = part.product.amount.as_ref().is_ok_and(|amount| amount.total == part.area);
            let step = if all {
                step.fact(Given::A, &part.product.subject, facts::AREA.name)
            } else {
                self.share(part, &mut basis);
                step
            };
            basis = basis.step(numbered(step.meaning(Given::S_i, part.product.subject.as_str()), number + 1));
            for assumption in part.product.assumptions(self.id) {
                basis = basis.assuming(assumption);
            }
        }
        let mut labels: Vec<String> = (1..=listed.len()).map(|number| number.to_string()).collect();
        if !more.is_empty() {
            given.push(strength(more));
            labels.push("_more".to_owned());
            basis = basis.assuming(format!("S_more is what {} more finishes give off together", more.len()));
        }
        let step = AllGiven { S_i: &given }.step().1;
        let step =
            step.each(AllGiven::S_i, listed, |term, part| Term { meaning: part.product.subject.to_string(), ..term });
        basis.step(step.written("i", &labels))
    }

    /// Where the factor of one finish stands in the home; where it is worked from there, how.
    fn factor(&self, part: &Part<'_, '_>, from: Duration, to: Option<Duration>, basis: &mut Basis) -> Option<String> {
        let entries: Vec<_> = part.product.of(self.id).collect();
        if let [one] = entries.as_slice()
            && (one.emission.law == Law::Held || one.emission.age == from && to.is_none())
        {
            return Some(one.path.clone());
        }
        let mut isomers = Vec::new();
        for entry in &entries {
            let Ok(value) = (match to {
                None => entry.emission.at(from),
                Some(to) => entry.emission.mean(from, to),
            }) else {
                continue;
            };
            basis.steps.extend(entry.emission.steps(&entry.path, from, to, value));
            isomers.push(value);
        }
        if entries.len() > 1 {
            let step = Isomers { E_i: &isomers }.step().1;
            let paths = entries.iter().map(|entry| entry.path.clone());
            basis.steps.push(step.each(Isomers::E_i, paths, Term::given));
        }
        None
    }

    /// The part of a finish's area that lies in this air.
    fn share(&self, part: &Part<'_, '_>, basis: &mut Basis) {
        let Ok(amount) = &part.product.amount else { return };
        let step = match self.air.room {
            Some(room) => {
                let floor = amount.floors * (part.area / amount.total);
                let step = RoomPart { A_all: amount.total, F: floor, F_all: amount.floors }.step().1;
                if self.air.spaces.len() == 1 {
                    let step = step.meaning(RoomPart::F, format!("floor of {room}"));
                    step.given(RoomPart::F, format!("spaces.{room}.floor_area"))
                } else {
                    step.meaning(RoomPart::F, format!("floor of {room} and what shares its air, where it is in"))
                }
            }
            None => DwellingPart { A_all: amount.total, A_out: amount.total - part.area }.step().1,
        };
        let step = step.meaning(RoomPart::A_all, format!("area of {}", part.product.id));
        basis.steps.push(step.fact(RoomPart::A_all, &part.product.subject, facts::AREA.name));
        let assumption = "a finish in several rooms is divided among them by floor area".to_owned();
        if !basis.assumptions.contains(&assumption) {
            basis.assumptions.push(assumption);
        }
    }

    /// The finish that gives off most.
    fn pointer(&self, brought: &[(&Product<'_>, Density)], all: Density) -> Pointer {
        match greatest(brought) {
            Some((product, most)) => {
                let path = product.of(self.id).next().map_or(product.subject.to_string(), |one| one.path.clone());
                let share = if all.si() > 0.0 { most / all * 100.0 } else { 0.0 };
                Pointer::noted(path, format!("{share:.0} % of it comes from here"))
            }
            None => Pointer::new("finishes"),
        }
    }

    fn largest(&self, subject: &Subject, findings: &mut Findings) {
        let found = self.brought(TEST_AGE, None).and_then(|brought| {
            let all: Density = brought.iter().map(|(_, found)| *found).sum();
            let none = || Lack::new(format!("no finish gives off any {}", self.compound.name));
            let most = greatest(&brought).filter(|_| all.si() > 0.0 && all.si().is_finite()).ok_or_else(none)?;
            Ok((most, all))
        });
        let ((product, most), all) = match found {
            Ok(found) => found,
            Err(lack) => {
                lack.write(subject, &[&facts::LARGEST_SOURCE], findings);
                lack.write(subject, &[&facts::SOURCE_SHARE], findings);
                return;
            }
        };
        let (share, step) = LargestShare { C_max: most, C: all }.step();
        let step = step.meaning(LargestShare::C_max, format!("by {}", product.subject));
        let step = step.fact(LargestShare::C, subject, facts::CONCENTRATION.name);
        let basis = Basis::new("steady mass balance of one compound", "what each finish brings about adds").step(step);
        findings.text(subject, &facts::LARGEST_SOURCE, product.id.to_string(), basis.clone());
        findings.fact(subject, &facts::SOURCE_SHARE, share, basis);
    }

    fn flow_needed(&self, subject: &Subject, findings: &mut Findings) {
        let chronic = self.compound.chronic_level.map(|level| (level, self.compound.chronic_source()));
        let allowable = self.compound.allowable.map(|level| (level, self.compound.allowable_source()));
        let lower = match (chronic, allowable) {
            (Some(a), Some(b)) => Some(if a.0 < b.0 { a } else { b }),
            (a, b) => a.or(b),
        };
        let Some((level, from)) = lower else {
            let lack = Lack::new(format!("{} has no level in the list", self.compound.name));
            return lack.write(subject, &[&facts::FLOW_NEEDED], findings);
        };
        let found = self.parts(TEST_AGE, None).and_then(|parts| {
            let needed =
                flow_needed(strength(&parts), level).ok_or_else(|| Lack::new("the sources have no finite sum"))?;
            Ok((parts, needed))
        });
        match found {
            Ok((parts, needed)) => {
                let step = FlowNeeded { S: strength(&parts), C: level }.step().1.published(FlowNeeded::C, from);
                let step = step.meaning(FlowNeeded::C, "lower of the two levels");
                let basis = self.sum(&parts, TEST_AGE, None).step(step);
                findings.fact(subject, &facts::FLOW_NEEDED, needed, basis);
            }
            Err(lack) => lack.write(subject, &[&facts::FLOW_NEEDED], findings),
        }
    }
}

/// The step of one source, by its number.
fn numbered(mut step: Step, number: usize) -> Step {
    let symbol = format!("S{number}");
    step.equation = step.equation.replacen(Given::S_i.0, &symbol, 1).into();
    if let Some(result) = &mut step.result {
        result.symbol = symbol.into();
    }
    step
}

fn strength(parts: &[Part<'_, '_>]) -> MassFlow {
    source(parts.iter().map(|part| (part.factor, part.area)))
}

/// The finish that brings about most, the first of several.
fn greatest<'p, 'a>(brought: &[(&'p Product<'a>, Density)]) -> Option<(&'p Product<'a>, Density)> {
    brought.iter().fold(None, |best, next| match best {
        Some((_, most)) if most >= next.1 => best,
        _ => Some(*next),
    })
}
