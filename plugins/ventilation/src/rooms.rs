//! How much air reaches each room, from where, and how fresh it is.

use crate::air::{Air, Fans};
use crate::dwelling::{Door, Dwelling, TRANSFER_COEFFICIENT, Way, volume};
use crate::facts::{self, HOURS, PASCAL};
use mateline_equation::equation;
use mateline_mixing::linear::at;
use mateline_model::home::{Id, MeasurementKind, Space};
use mateline_model::quantity::{Area, Duration, Flow, Length, Pressure, Units, Volume, number};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Air that units bring to a room or take from it. Source: addition.
    pub(crate) Fanned = "Q = Σ Q_u" {
        Q: Flow "air of all units" [Units::FLOW],
        Q_u: [Flow] "air of a unit" [Units::FLOW],
    }

    /// A room's part of what enters the air it shares with others from other rooms. Source: division by volume.
    pub(crate) Transfer = "Q_t = v Σ Q_j" {
        Q_t: Flow "transfer air" [Units::FLOW],
        v: f64 "room's share of the air it shares" [Units::PERCENT],
        Q_j: [Flow] "from another room" [Units::FLOW],
    }

    /// A room's part of what leaks into the air it shares with others. Source: division by volume.
    pub(crate) Leaked = "Q_l = v Q_z" {
        Q_l: Flow "air leaked in" [Units::FLOW],
        v: f64 "room's share of the air it shares" [Units::PERCENT],
        Q_z: Flow "outdoor air that leaks into the air it shares" [Units::FLOW],
    }

    /// Mean age of a room's air. Source: steady tracer balance; ASTM E2029 and ISO 16000-8 (from memory).
    pub(crate) Age = "Q τ = V + Σ Q_j τ_j" {
        τ: Duration "mean age of the air" [HOURS],
        Q: Flow "all air that enters it" [Units::FLOW],
        V: Volume "volume of the air it shares" [Units::VOLUME],
        Q_j: [Flow] "from another room" [Units::FLOW],
        τ_j: [Duration] "age of the air of that room" [HOURS],
    }

    /// Effective outdoor air of a room. Source: definition of the age of air; ISO 16000-8 (from memory).
    pub(crate) Fresh = "Q_f = V_r/τ" {
        Q_f: Flow "effective outdoor air" [Units::FLOW],
        V_r: Volume "volume of the room" [Units::VOLUME],
        τ: Duration "mean age of its air" [HOURS],
    }

    /// Free area around a shut door. Source: geometry.
    pub(crate) FreeArea = "A = u w + A_t" {
        A: Area "free area" [Units::SMALL_AREA],
        u: Length "gap under the door" [Units::THICKNESS],
        w: Length "width of the door" [Units::THICKNESS],
        A_t: Area "transfer area" [Units::SMALL_AREA],
    }

    /// Pressure across a shut door, as the network finds it. Source: air transfer estimate for gaps and grilles (from
    /// memory, high).
    pub(crate) Across = "Q = 1.07[cfm/in²] A √(Δp/1[Pa])" {
        Δp: Pressure "pressure across the door" [PASCAL],
        Q: Flow "through the door" [Units::FLOW],
        A: Area "free area" [Units::SMALL_AREA],
    }

    /// The same below 0.001 Pa, where the network goes on in a straight line. Source: none, a way to solve it.
    pub(crate) BarelyAcross = "Q = 1.07[cfm/in²] A Δp/√(0.001[Pa] · 1[Pa])" {
        Δp: Pressure "pressure across the door" [PASCAL],
        Q: Flow "through the door" [Units::FLOW],
        A: Area "free area" [Units::SMALL_AREA],
    }
}

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
        let fans = delivery.ordinary.as_ref().ok().and_then(|air| air.fans.get(id));
        let is_served = fans.is_some_and(|fans| !fans.supply.is_empty() || !fans.exhaust.is_empty());
        measured(request, id, &subject, is_served, findings);
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
            let step = Step::procedure("max |Σ Q_in − Σ Q_out|")
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
    match air.leakage {
        Some(leakage) => basis.assuming(format!(
            "leakage at 50 Pa as airtightness.best_q50, spread over the rooms by volume, Q = C Δp^{}",
            number(leakage.exponent, 3)
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
            let flows: Vec<Flow> = units.iter().map(|(_, flow)| Flow::from_si(*flow)).collect();
            let (total, step) = Fanned { Q_u: &flows }.step();
            let step =
                step.meaning(Fanned::Q, definition.label().to_lowercase()).each(Fanned::Q_u, units, |term, of| {
                    let (unit, meaning) = (of.0, format!("what {} {verb}", of.0));
                    Term { meaning, ..term }.given(format!("systems.ventilation.{unit}.{field}.{}", self.id))
                });
            let basis = Basis::new("sum over the units that serve the room", "the home")
                .step(step)
                .assuming("averaged over run time; fans on demand are off");
            findings.fact(self.subject, definition, total, basis);
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
                Step::procedure("reached = Q_s > 0 or Q_t > 0")
                    .term(Term::new("Q_s", "supply to the room", Flow::from_si(fans.supplied()), Units::FLOW))
                    .term(Term::new(
                        "Q_t",
                        "air that fans drive in from other rooms",
                        Flow::from_si(at(&self.air.driven, zone)),
                        Units::FLOW,
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
        let (mut flows, mut older, mut names) = (Vec::new(), Vec::new(), Vec::new());
        for (from, flow) in self.air.transfers_into(zone) {
            flows.push(Flow::from_si(flow));
            older.push(Duration::from_si(ages.get(from).copied().flatten().unwrap_or_default()));
            names.push(dwelling.name(from));
        }
        let named =
            |words: &'static str| move |term: Term, name: &String| Term { meaning: format!("{words}{name}"), ..term };
        let (transfer, step) = Transfer { v: share, Q_j: &flows }.step();
        let basis = network_basis(self.air).step(step.each(Transfer::Q_j, &names, named("from ")));
        findings.fact(self.subject, &facts::TRANSFER_AIR, transfer, basis);

        let leaked = Flow::from_si(self.air.leaked(dwelling, zone));
        let pressure = Pressure::from_si(at(&self.air.field.pressures, zone));
        let solved = Step::procedure("Q_z = C (−p)^n")
            .term(Term::new("p", "pressure above the outdoors", pressure, PASCAL))
            .result(Term::new("Q_z", "outdoor air that leaks into the air it shares", leaked, Units::FLOW));
        let (leakage, step) = Leaked { v: share, Q_z: leaked }.step();
        findings.fact(self.subject, &facts::LEAKAGE_AIR, leakage, network_basis(self.air).step(solved).step(step));

        let Some(age) = ages.get(zone).copied().flatten() else {
            let because = format!("no outdoor air gets to {}", self.subject);
            let step = Step::new("Q_f = 0").result(Term::new("Q_f", because.clone(), Flow::from_si(0.0), Units::FLOW));
            findings.fact(self.subject, &facts::FRESH_AIR, Flow::from_si(0.0), network_basis(self.air).step(step));
            return Lack::at(because, self.subject.as_str()).write(self.subject, &[&facts::AGE_OF_AIR], findings);
        };
        let inflow = Flow::from_si(at(&self.air.mixing.inflows(), zone));
        let air = Volume::from_si(of.volume);
        let (age, step) = Age { τ: Duration::from_si(age), Q: inflow, V: air, Q_j: &flows, τ_j: &older }.step();
        let step = step.each(Age::Q_j, &names, named("from ")).each(Age::τ_j, &names, named("age of the air of "));
        let basis =
            Basis::new("steady tracer balance over the air-flow network", "age of air, ASTM E2029 and ISO 16000-8")
                .provenance("from memory")
                .step(step);
        let basis = network_basis(self.air).assumptions.into_iter().fold(basis, Basis::assuming);
        findings.fact(self.subject, &facts::AGE_OF_AIR, age, basis.clone());
        let (fresh, step) = Fresh { V_r: Volume::from_si(own), τ: age }.step();
        let basis = basis.step(step.fact(Fresh::τ, self.subject, facts::AGE_OF_AIR.name.clone()));
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
        let free = FreeArea {
            u: Length::from_si(parts.undercut),
            w: Length::from_si(parts.width),
            A_t: Area::from_si(parts.transfer),
        };
        let fields = [
            (FreeArea::u, parts.undercut_given, "door_undercut"),
            (FreeArea::w, parts.width_given, "door_width"),
            (FreeArea::A_t, parts.transfer_given, "transfer_area"),
        ];
        let given = fields.into_iter().filter(|(_, given, _)| *given);
        let step = given.fold(free.step().1, |step, (symbol, _, field)| step.given(symbol, format!("{path}.{field}")));
        basis = basis.step(step);
    }
    let words = format!("from {} to {}", dwelling.name(door.room), dwelling.name(door.other));
    let (through, area) = (Flow::from_si(through.abs()), Area::from_si(door.area));
    let step = if pressure.si() < crate::network::LINEAR_BELOW {
        BarelyAcross { Δp: pressure, Q: through, A: area }.step().1
    } else {
        Across { Δp: pressure, Q: through, A: area }.step().1
    };
    let basis = basis.step(step.meaning(Across::Q, words));
    (pressure, basis)
}

/// The latest flow measured in a room; that there is none, where a unit serves it.
fn measured(request: &Request<'_>, id: &Id, subject: &Subject, is_served: bool, findings: &mut Findings) {
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
        let term = Term::new("Q", format!("measured in {name}"), flow, Units::FLOW).given(path.clone());
        let basis = Basis::new("as measured", "the home").step(Step::procedure("Q").term(term));
        findings.fact_at(subject, &facts::MEASURED_FLOW, flow, basis, Pointer::new(path));
    } else if is_served {
        let lack = Lack::at(format!("no record of measured flows names {subject}"), "measurements");
        lack.write(subject, &[&facts::MEASURED_FLOW], findings);
    }
}
