//! Exhaust of kitchens and baths, continuous or on demand.

use crate::dwelling::{has_door, volume};
use crate::facts;
use crate::service::{Mode, Service, named};
use crate::settings::{Asked, LocalExhaust, Rates, Ways};
use mateline_equation::equation;
use mateline_model::home::{Home, Id, Space, SpaceUse};
use mateline_model::quantity::{Flow, UnitSystem, Units, Volume};
use mateline_model::{Basis, Pointer, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Air exhausted from a room. Source: addition.
    pub(crate) Exhausted = "Q = Σ Q_u" {
        Q: Flow "exhaust" [Units::FLOW],
        Q_u: [Flow] "exhaust of a unit" [Units::FLOW],
    }

    /// How much of what is asked that is. Source: division.
    pub(crate) ShareOfAsked = "s = Q/Q_r" {
        s: f64 "share of what is asked" [Units::PERCENT],
        Q: Flow "exhaust" [Units::FLOW],
        Q_r: Flow "asked" [Units::FLOW],
    }
}

/// One way a room may be exhausted: what it gets, and what is asked of that way.
#[derive(Clone, Debug)]
struct Manner {
    mode: &'static str,
    flow: f64,
    required: f64,
    from: Vec<(String, String, f64)>,
    provenance: String,
    note: Option<String>,
}

/// Facts of every kitchen and bath.
pub(crate) fn report(request: &Request<'_>, rates: &Rates, services: &[Service<'_>], findings: &mut Findings) {
    let standard = rates.standard.as_ref().map(|standard| &standard.local_exhaust).map_err(Clone::clone);
    let code = rates.code.as_ref().map(|code| &code.local_exhaust).map_err(Clone::clone);
    for (id, space) in &request.home.spaces {
        let kitchen = match space.used_as {
            SpaceUse::Kitchen => true,
            SpaceUse::Bathroom | SpaceUse::HalfBath => false,
            _ => continue,
        };
        let subject = Subject::element("spaces", id);
        let sources = Sources::of(request.home, services, id, kitchen);
        let closest = |asked: Result<&LocalExhaust, Lack>| -> Result<(Manner, Basis), Lack> {
            let (asked, sources) = (asked?, sources.clone()?);
            let option = best(options(request.home.units, &sources, space, asked))?;
            let basis = option.basis("local exhaust", &asked.source);
            Ok((option, basis))
        };
        match closest(standard.clone()) {
            Ok((option, basis)) => {
                let at = Pointer::new(subject.as_str());
                findings.fact_at(&subject, &facts::LOCAL_EXHAUST, Flow::from_si(option.flow), basis.clone(), at);
                findings.fact(&subject, &facts::LOCAL_EXHAUST_REQUIRED, Flow::from_si(option.required), basis.clone());
                findings.text(&subject, &facts::LOCAL_EXHAUST_MODE, option.mode, basis);
            }
            Err(lack) => {
                let owed = [&facts::LOCAL_EXHAUST, &facts::LOCAL_EXHAUST_REQUIRED, &facts::LOCAL_EXHAUST_MODE];
                lack.write(&subject, &owed, findings);
            }
        }
        match closest(code.clone()) {
            Ok((option, basis)) => {
                let at = Pointer::new(subject.as_str());
                findings.fact_at(&subject, &facts::LOCAL_EXHAUST_CODE, Flow::from_si(option.flow), basis.clone(), at);
                findings.fact(&subject, &facts::LOCAL_EXHAUST_REQUIRED_CODE, Flow::from_si(option.required), basis);
            }
            Err(lack) => {
                lack.write(&subject, &[&facts::LOCAL_EXHAUST_CODE, &facts::LOCAL_EXHAUST_REQUIRED_CODE], findings);
            }
        }
    }
}

/// What exhausts a room: (words, path, m³/s).
#[derive(Clone, Debug, Default)]
struct Sources {
    continuous: Vec<(String, String, f64)>,
    demand: Vec<(String, String, f64)>,
    hood: Option<(String, String, f64)>,
}

impl Sources {
    fn of(home: &Home, services: &[Service<'_>], room: &Id, kitchen: bool) -> Result<Sources, Lack> {
        if !kitchen || home.systems.kitchen_hood.is_none() {
            named(home)?;
        }
        let mut sources = Sources::default();
        for service in services {
            let Some(flow) = service.unit.exhausts.get(room) else { continue };
            let path = format!("{}.exhausts.{room}", service.subject);
            if !service.on_demand() && service.run_share() >= 1.0 {
                let flow = flow.si() * service.throttle(home)?;
                sources.continuous.push((service.id.to_string(), path.clone(), flow));
            }
            let highest = flow.si() * service.share(home, Mode::Boost)?;
            sources.demand.push((service.id.to_string(), path, highest));
        }
        if let Some(hood) = home.systems.kitchen_hood.as_ref().filter(|hood| kitchen && hood.vented) {
            let path = "systems.kitchen_hood.flow".to_owned();
            match hood.flow {
                Some(flow) => sources.hood = Some(("kitchen hood".to_owned(), path, flow.si())),
                None => return Err(Lack::at("systems.kitchen_hood has no flow", "systems.kitchen_hood")),
            }
        }
        Ok(sources)
    }
}

fn option(mode: &'static str, from: Vec<(String, String, f64)>, required: f64, provenance: &str) -> Manner {
    let flow = from.iter().map(|(_, _, flow)| flow).sum();
    Manner { mode, flow, required, from, provenance: provenance.to_owned(), note: None }
}

/// The ways in which a room may be exhausted, with what is asked of each.
fn options(units: UnitSystem, sources: &Sources, space: &Space, asked: &LocalExhaust) -> Vec<Manner> {
    let Some(ways) = asked.of(space.used_as) else { return Vec::new() };
    if *ways == Ways::default() {
        let mut none = option("on demand", sources.demand.clone(), 0.0, "from memory, med");
        none.note = Some("a room without bath or shower needs no exhaust of its own by the standard".to_owned());
        return vec![none];
    }
    let hood = || sources.hood.iter().cloned();
    let demand = || sources.demand.iter().cloned().chain(hood().filter(|_| ways.hood.is_none()));
    let mut options = Vec::new();
    if let Some(Asked { rate, provenance }) = &ways.hood {
        options.push(option("on demand", hood().collect(), rate.si(), provenance));
    }
    if let Some(Asked { rate, provenance }) = &ways.continuous {
        options.push(option("continuous", sources.continuous.clone(), rate.si(), provenance));
    }
    if let Some(Asked { rate, provenance }) = &ways.on_demand {
        options.push(option("on demand", demand().collect(), rate.si(), provenance));
    }
    let by_volume = [
        (&ways.air_changes, "continuous", sources.continuous.clone()),
        (&ways.air_changes_on_demand, "on demand", demand().collect()),
    ];
    for (asked, mode, from) in by_volume {
        if let Some(Asked { rate, provenance }) = asked.as_ref().filter(|_| has_door(space)) {
            let volume = Volume::from_si(volume(space));
            let mut enclosed = option(mode, from, (*rate * volume).si(), provenance);
            let (changes, shown) = ((rate.si() * 360_000.0).round() / 100.0, Units::VOLUME.show(volume.into(), units));
            let kind = if space.used_as == SpaceUse::Kitchen { "kitchen" } else { "room" };
            enclosed.note = Some(format!("an enclosed {kind}: {changes} air changes of its {shown} each hour"));
            options.push(enclosed);
        }
    }
    options
}

/// The way in which the room comes closest to, or furthest beyond, what is asked; the first of equals.
fn best(options: Vec<Manner>) -> Result<Manner, Lack> {
    let mut best: Option<Manner> = None;
    for option in options {
        if best.as_ref().is_none_or(|best| option.share() > best.share()) {
            best = Some(option);
        }
    }
    best.ok_or_else(|| Lack::new("nothing is asked of this room"))
}

impl Manner {
    fn share(&self) -> f64 {
        if self.required > 0.0 { self.flow / self.required } else { f64::INFINITY }
    }

    fn basis(&self, method: &'static str, source: &str) -> Basis {
        let flows: Vec<Flow> = self.from.iter().map(|(.., flow)| Flow::from_si(*flow)).collect();
        let (exhaust, sum) = Exhausted { Q_u: &flows }.step();
        let sum = sum.each(Exhausted::Q_u, &self.from, |term, (name, path, _)| {
            Term { meaning: name.clone(), ..term }.given(path.clone())
        });
        let mut basis = Basis::new(method, source.to_owned()).provenance(self.provenance.clone()).step(sum);
        if self.required > 0.0 {
            let asked = ShareOfAsked { Q: exhaust, Q_r: Flow::from_si(self.required) };
            let step = asked.step().1.meaning(ShareOfAsked::Q_r, format!("asked, {}", self.mode));
            basis = basis.step(step.published(ShareOfAsked::Q_r, format!("{source}, {}", self.provenance)));
        }
        let basis =
            basis.assuming("on demand counts every unit at its highest flow; continuous only what runs all the time");
        self.note.iter().cloned().fold(basis, Basis::assuming)
    }
}
