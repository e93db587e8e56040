//! How much air reaches each room, from where, and how fresh it is.

use crate::air::{Air, Fans, LEAKAGE_EXPONENT};
use crate::dwelling::{Door, Dwelling, TRANSFER_COEFFICIENT, Way, volume};
use crate::facts::{self, FLOW, HOURS, PASCAL};
use crate::lack::Lack;
use crate::linear::at;
use mateline_model::home::{Id, MeasurementKind, Space};
use mateline_model::quantity::{Area, Duration, Flow, Length, Pressure, Units, Volume};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

/// Air below this (m³/s) does not count as reaching a room.
const SOME_AIR: f64 = 1e-6;

const FLOWS: &[&QuantityDef] = &[&facts::TRANSFER_AIR, &facts::LEAKAGE_AIR, &facts::FRESH_AIR, &facts::AGE_OF_AIR];

/// The home's air in ordinary operation and boost.
pub(crate) struct Delivery<'a, 'b> {
    pub(crate) dwelling: &'b Dwelling<'a>,
    pub(crate) ordinary: &'b Result<Air<'a>, Lack>,
    pub(crate) boost: &'b Result<Air<'a>, Lack>,
}

/// Facts of every room.
pub(crate) fn report(request: &Request<'_>, delivery: &Delivery<'_, '_>, findings: &mut Findings) {
    let ages = delivery.ordinary.as_ref().map(|air| air.mixing.ages()).unwrap_or_default();
    for (id, space) in &request.home.spaces {
        if !delivery.dwelling.zone_of.contains_key(id) {
            continue;
        }
        let subject = Subject::element("spaces", id);
        measured(request, id, &subject, findings);
        match delivery.ordinary {
            Ok(air) => Room { id, space, subject: &subject, delivery, air }.report(&ages, findings),
            Err(lack) => {
                lack.write(
                    &subject,
                    &[&facts::SUPPLY_AIR, &facts::EXHAUST_AIR, &facts::REACHED, &facts::REACHED_BY],
                    findings,
                );
                lack.write(&subject, &[&facts::DOOR_PRESSURE], findings);
                lack.write(&subject, FLOWS, findings);
            }
        }
        match delivery.boost {
            Ok(air) => door_pressure(&facts::DOOR_PRESSURE_BOOST, delivery.dwelling, air, id, &subject, findings),
            Err(lack) => lack.write(&subject, &[&facts::DOOR_PRESSURE_BOOST], findings),
        }
    }
    let home = Subject::home();
    match delivery.ordinary {
        Ok(air) => {
            let residual = Flow::from_si(air.field.residual);
            let units = facts::NETWORK_RESIDUAL.units.clone();
            let step = Step::new("max |Σ Q_in − Σ Q_out|")
                .term(Term::new("n", "Newton steps", air.field.steps as f64, Units::plain(0)))
                .result(Term::new("r", "largest flow left over", residual, units));
            let basis = network_basis(air).step(step);
            findings.fact(&home, &facts::NETWORK_RESIDUAL, residual, basis);
        }
        Err(lack) => lack.write(&home, &[&facts::NETWORK_RESIDUAL], findings),
    }
}

/// What every flow of the network rests on.
pub(crate) fn network_basis(air: &Air<'_>) -> Basis {
    let basis = Basis::new("steady air-flow network, Newton's method", "mass balance in every zone")
        .assuming("fans hold their flows; no wind and no stack effect; doors shut, one-way flow through their gaps")
        .assuming("rooms that stand open to each other share one air")
        .assuming("transfer Q = 1.07 A √Δp cfm with A in in² and Δp in Pa (from memory, high)");
    match air.q50 {
        Some(_) => basis.assuming(format!(
            "leakage at 50 Pa as airtightness.best_q50, spread over the rooms by volume, Q = C Δp^{LEAKAGE_EXPONENT}"
        )),
        None => basis.assuming("leakage is not known and none is counted"),
    }
}

struct Room<'a, 'b> {
    id: &'b Id,
    space: &'b Space,
    subject: &'b Subject,
    delivery: &'b Delivery<'a, 'b>,
    air: &'b Air<'a>,
}

impl Room<'_, '_> {
    fn report(&self, ages: &[Option<f64>], findings: &mut Findings) {
        let none = Fans::default();
        let fans = self.air.fans.get(self.id).unwrap_or(&none);
        let totals = [
            (&facts::SUPPLY_AIR, "supplies", &fans.supply, "brings"),
            (&facts::EXHAUST_AIR, "exhausts", &fans.exhaust, "takes"),
        ];
        for (definition, field, units, verb) in totals {
            let total: f64 = units.iter().map(|(_, flow)| flow).sum();
            let mut step = Step::new("Q = Σ Q_u");
            for (unit, flow) in units {
                let path = format!("systems.ventilation.{unit}.{field}.{}", self.id);
                step =
                    step.term(Term::new("Q_u", format!("what {unit} {verb}"), Flow::from_si(*flow), FLOW).given(path));
            }
            let result = Term::new("Q", definition.label().to_lowercase(), Flow::from_si(total), FLOW);
            let basis = Basis::new("sum over the units that serve the room", "the home")
                .step(step.result(result))
                .assuming("averaged over run time; fans on demand are off");
            findings.fact(self.subject, definition, Flow::from_si(total), basis);
        }
        self.reached(fans, findings);
        door_pressure(&facts::DOOR_PRESSURE, self.delivery.dwelling, self.air, self.id, self.subject, findings);
        if let Some(lack) = self.no_flows(fans) {
            lack.write(self.subject, FLOWS, findings);
            return;
        }
        self.flows(ages, findings);
    }

    /// Why the room's flows cannot be told.
    fn no_flows(&self, fans: &Fans<'_>) -> Option<Lack> {
        let (zone, _) = self.delivery.dwelling.zone(self.id)?;
        if let Some(lack) = self.air.trouble(self.delivery.dwelling, zone) {
            return Some(lack);
        }
        match self.delivery.dwelling.ways.get(self.id) {
            Some(Way::None(why)) if fans.supply.is_empty() && fans.exhaust.is_empty() => {
                Some(Lack::at(format!("{why}, and no unit serves it"), self.subject.as_str()))
            }
            _ => None,
        }
    }

    fn reached(&self, fans: &Fans<'_>, findings: &mut Findings) {
        let Some((zone, of)) = self.delivery.dwelling.zone(self.id) else { return };
        let shared = of.spaces.iter().any(|id| self.air.fans.get(id).is_some_and(|fans| !fans.supply.is_empty()));
        let stuck = self.air.trouble(self.delivery.dwelling, zone);
        let transferred = at(&self.air.driven, zone) > SOME_AIR;
        let (reached, by) = match (&stuck, fans.spot) {
            (Some(lack), _) => (false, format!("nothing: {}", lack.because)),
            (None, true) => (true, "spot unit".to_owned()),
            _ if !fans.supply.is_empty() => (true, "supply".to_owned()),
            _ if shared => (true, format!("shared air of {}", of.name())),
            _ if transferred => (true, "transfer".to_owned()),
            _ => match self.delivery.dwelling.ways.get(self.id) {
                Some(Way::None(why)) => (false, format!("nothing: {why}")),
                _ => (false, "nothing: no unit supplies it and none draws air through it".to_owned()),
            },
        };
        let basis = Basis::new("air that fans bring or draw to the room", "mass balance along the doors")
            .step(
                Step::new("reached = Q_s > 0 or Q_t > 0")
                    .term(Term::new("Q_s", "supply to the room", Flow::from_si(fans.supplied()), FLOW))
                    .term(Term::new(
                        "Q_t",
                        "air that fans drive in from other rooms",
                        Flow::from_si(at(&self.air.driven, zone)),
                        FLOW,
                    ))
                    .result(Term::new("reached", by.clone(), mateline_model::Value::Flag(reached), Units::plain(0))),
            )
            .assuming("what only leaks in is not counted");
        let at = Pointer::noted(self.subject.as_str(), by.clone());
        findings.fact_at(self.subject, &facts::REACHED, mateline_model::Value::Flag(reached), basis.clone(), at);
        findings.text(self.subject, &facts::REACHED_BY, by, basis);
    }

    fn flows(&self, ages: &[Option<f64>], findings: &mut Findings) {
        let dwelling = self.delivery.dwelling;
        let Some((zone, of)) = dwelling.zone(self.id) else { return };
        let own = volume(self.space);
        let share = own / of.volume;
        let share_term = Term::new("v", "room's share of the air it shares", share, Units::PERCENT);
        let mut step = Step::new("Q_t = v Σ Q_j").term(share_term.clone());
        let mut total = 0.0;
        for (from, flow) in self.air.transfers_into(zone) {
            total += flow * share;
            step = step.term(Term::new("Q_j", format!("from {}", dwelling.name(from)), Flow::from_si(flow), FLOW));
        }
        let transfer = Flow::from_si(total);
        let basis = network_basis(self.air).step(step.result(Term::new("Q_t", "transfer air", transfer, FLOW)));
        findings.fact(self.subject, &facts::TRANSFER_AIR, transfer, basis);

        let leaked = self.air.leaked(dwelling, zone);
        let leakage = Flow::from_si(leaked * share);
        let step = Step::new("Q_l = v C (−p)^n")
            .term(share_term)
            .term(Term::new(
                "p",
                "pressure above the outdoors",
                Pressure::from_si(at(&self.air.field.pressures, zone)),
                PASCAL,
            ))
            .result(Term::new("Q_l", "air leaked in", leakage, FLOW));
        findings.fact(self.subject, &facts::LEAKAGE_AIR, leakage, network_basis(self.air).step(step));

        let Some(age) = ages.get(zone).copied().flatten() else {
            let because = format!("no outdoor air gets to {}", self.subject);
            let step = Step::new("Q_f = 0").result(Term::new("Q_f", because.clone(), Flow::from_si(0.0), FLOW));
            findings.fact(self.subject, &facts::FRESH_AIR, Flow::from_si(0.0), network_basis(self.air).step(step));
            return Lack::at(because, self.subject.as_str()).write(self.subject, &[&facts::AGE_OF_AIR], findings);
        };
        let fresh = Flow::from_si(own / age);
        let mut step = Step::new("Q τ = V + Σ Q_j τ_j")
            .term(Term::new("V", "volume of the air it shares", Volume::from_si(of.volume), Units::VOLUME))
            .term(Term::new("Q", "all air that enters it", Flow::from_si(at(&self.air.mixing.inflows(), zone)), FLOW));
        for (from, flow) in self.air.transfers_into(zone) {
            let older = Duration::from_si(ages.get(from).copied().flatten().unwrap_or_default());
            step = step
                .term(Term::new("Q_j", format!("from {}", dwelling.name(from)), Flow::from_si(flow), FLOW))
                .term(Term::new("τ_j", format!("age of the air of {}", dwelling.name(from)), older, HOURS));
        }
        let age = Duration::from_si(age);
        let step = step.result(Term::new("τ", "mean age of the air", age, HOURS));
        let basis =
            Basis::new("steady tracer balance over the air-flow network", "age of air, ASTM E2029 and ISO 16000-8")
                .provenance("from memory")
                .step(step);
        let basis = network_basis(self.air).assumptions.into_iter().fold(basis, Basis::assuming);
        findings.fact(self.subject, &facts::AGE_OF_AIR, age, basis.clone());
        let basis = basis.step(
            Step::new("Q_f = V_r/τ")
                .term(Term::new("V_r", "volume of the room", Volume::from_si(own), Units::VOLUME))
                .term(
                    Term::new("τ", "mean age of its air", age, HOURS)
                        .fact(self.subject, facts::AGE_OF_AIR.name.clone()),
                )
                .result(Term::new("Q_f", "effective outdoor air", fresh, FLOW)),
        );
        let basis =
            basis.assuming("every cubic metre of the home gives off alike; air passed on counts by its age alone");
        findings.fact(self.subject, &facts::FRESH_AIR, fresh, basis);
    }
}

/// The pressure across a room's shut door.
fn door_pressure(
    definition: &QuantityDef,
    dwelling: &Dwelling<'_>,
    air: &Air<'_>,
    id: &Id,
    subject: &Subject,
    findings: &mut Findings,
) {
    let trouble = |zone: usize| air.trouble(dwelling, zone);
    let found = match (dwelling.ways.get(id), dwelling.door(id)) {
        (Some(Way::Open), _) => {
            let basis = Basis::new("no door", "the home").step(Step::new("Δp = 0").result(Term::new(
                "Δp",
                "no door between",
                Pressure::from_si(0.0),
                PASCAL,
            )));
            Ok((Pressure::from_si(0.0), basis))
        }
        (_, Some(door)) if door.parts.is_some() => match trouble(door.room).or_else(|| trouble(door.other)) {
            Some(lack) => Err(lack),
            None => Ok(across(dwelling, air, door)),
        },
        (Some(Way::None(why)), _) => Err(Lack::at(why.clone(), subject.as_str())),
        _ => Err(Lack::at(format!("{subject} gives no door_undercut and no transfer_area"), subject.as_str())),
    };
    match found {
        Ok((pressure, basis)) => {
            findings.fact_at(subject, definition, pressure, basis, Pointer::new(subject.as_str()));
        }
        Err(lack) => lack.write(subject, &[definition], findings),
    }
}

fn across(dwelling: &Dwelling<'_>, air: &Air<'_>, door: &Door<'_>) -> (Pressure, Basis) {
    let (room, other) = (at(&air.field.pressures, door.room), at(&air.field.pressures, door.other));
    let pressure = Pressure::from_si((room - other).abs());
    let through = crate::network::flow(door.area * TRANSFER_COEFFICIENT, 0.5, room - other);
    let mut basis = network_basis(air);
    if let Some(parts) = door.parts {
        let path = format!("spaces.{}", door.space);
        if !parts.width_given && parts.undercut > 0.0 {
            basis = basis.assuming("the door is 30 in wide (common practice, no source)");
        }
        let given =
            |term: Term, given: bool, field: &str| if given { term.given(format!("{path}.{field}")) } else { term };
        let gap = Term::new("u", "gap under the door", Length::from_si(parts.undercut), Units::THICKNESS);
        let width = Term::new("w", "width of the door", Length::from_si(parts.width), Units::THICKNESS);
        let transfer = Term::new("A_t", "transfer area", Area::from_si(parts.transfer), SMALL_AREA);
        basis = basis.step(
            Step::new("A = u w + A_t")
                .term(given(gap, parts.undercut_given, "door_undercut"))
                .term(given(width, parts.width_given, "door_width"))
                .term(given(transfer, parts.transfer_given, "transfer_area"))
                .result(Term::new("A", "free area", Area::from_si(door.area), SMALL_AREA)),
        );
    }
    let words = format!("from {} to {}", dwelling.name(door.room), dwelling.name(door.other));
    let basis = basis.step(
        Step::new("Δp = (Q/(1.07 A))²")
            .term(Term::new("Q", words, Flow::from_si(through), FLOW))
            .term(Term::new("A", "free area", Area::from_si(door.area), SMALL_AREA))
            .result(Term::new("Δp", "pressure across the door", pressure, PASCAL)),
    );
    (pressure, basis)
}

/// A free area of a gap.
const SMALL_AREA: Units = Units::new("cm²", 1, "in²", 1);

/// The latest flow measured in a room.
fn measured(request: &Request<'_>, id: &Id, subject: &Subject, findings: &mut Findings) {
    let tests = request.home.measurements.iter().filter(|(_, test)| test.kind == MeasurementKind::VentilationFlows);
    let latest = tests.filter_map(|(name, test)| Some((test.date, name, *test.flows.get(id)?))).fold(
        None,
        |latest: Option<(_, &Id, Flow)>, next| match latest {
            Some(latest) if latest.0 > next.0 => Some(latest),
            _ => Some(next),
        },
    );
    if let Some((_, name, flow)) = latest {
        let path = format!("measurements.{name}.flows.{id}");
        let term = Term::new("Q", format!("measured in {name}"), flow, FLOW).given(path.clone());
        let basis = Basis::new("as measured", "the home").step(Step::new("Q").term(term));
        findings.fact_at(subject, &facts::MEASURED_FLOW, flow, basis, Pointer::new(path));
    }
}
