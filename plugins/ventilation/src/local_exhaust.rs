//! Exhaust of kitchens and baths, continuous or on demand.

use crate::dwelling::{has_door, volume};
use crate::facts::{self, FLOW};
use crate::lack::Lack;
use crate::rates::CFM;
use crate::service::{Mode, Service};
use mateline_model::home::{Home, Id, Space, SpaceUse};
use mateline_model::quantity::{Flow, Rate, UnitSystem, Units, Volume};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

const STANDARD: &str = "ASHRAE 62.2, 5.2 and 5.3";
const CODE: &str = "IRC 2021, Table M1505.4.4";

/// One way a room may be exhausted: what it gets, and what is asked of that way.
#[derive(Clone, Debug)]
struct Manner {
    mode: &'static str,
    flow: f64,
    required: f64,
    from: Vec<(String, String, f64)>,
    provenance: &'static str,
    note: Option<String>,
}

/// Facts of every kitchen and bath.
pub(crate) fn report(request: &Request<'_>, services: &[Service<'_>], findings: &mut Findings) {
    for (id, space) in &request.home.spaces {
        let kitchen = match space.used_as {
            SpaceUse::Kitchen => true,
            SpaceUse::Bathroom | SpaceUse::HalfBath => false,
            _ => continue,
        };
        let subject = Subject::element("spaces", id);
        let sources = Sources::of(request.home, services, id, kitchen);
        let standard =
            sources.clone().and_then(|sources| best(standard_options(request.home.units, &sources, space, kitchen)));
        match standard {
            Ok(option) => {
                let basis = option.basis("local exhaust", STANDARD);
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
        match sources.and_then(|sources| best(code_options(&sources, kitchen))) {
            Ok(option) => {
                let basis = option.basis("local exhaust", CODE);
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

fn option(mode: &'static str, from: Vec<(String, String, f64)>, required: f64, provenance: &'static str) -> Manner {
    let flow = from.iter().map(|(_, _, flow)| flow).sum();
    Manner { mode, flow, required, from, provenance, note: None }
}

/// The ventilation standard's ways.
fn standard_options(units: UnitSystem, sources: &Sources, space: &Space, kitchen: bool) -> Vec<Manner> {
    if space.used_as == SpaceUse::HalfBath {
        let mut none = option("on demand", sources.demand.clone(), 0.0, "from memory, med");
        none.note = Some("a room without bath or shower needs no exhaust of its own by the standard".to_owned());
        return vec![none];
    }
    if !kitchen {
        return vec![
            option("continuous", sources.continuous.clone(), 20.0 * CFM, "looked up in a secondary source"),
            option("on demand", sources.demand.clone(), 50.0 * CFM, "looked up in a secondary source"),
        ];
    }
    let hood = sources.hood.iter().cloned().collect();
    let mut options = vec![
        option("on demand", hood, 100.0 * CFM, "looked up in a secondary source"),
        option("on demand", sources.demand.clone(), 300.0 * CFM, "from memory, high"),
    ];
    if has_door(space) {
        let five = Rate::from_si(5.0 / 3600.0) * Volume::from_si(volume(space));
        let mut continuous =
            option("continuous", sources.continuous.clone(), five.si(), "looked up in a secondary source");
        let shown = Units::VOLUME.show(Volume::from_si(volume(space)).into(), units);
        continuous.note = Some(format!("an enclosed kitchen: five air changes of its {shown} each hour"));
        options.push(continuous);
    }
    options
}

/// The residential code's ways.
fn code_options(sources: &Sources, kitchen: bool) -> Vec<Manner> {
    let (continuous, demand) = if kitchen { (25.0, 100.0) } else { (20.0, 50.0) };
    let all = sources.demand.iter().chain(&sources.hood).cloned().collect();
    vec![
        option("continuous", sources.continuous.clone(), continuous * CFM, "from memory, high"),
        option("on demand", all, demand * CFM, "from memory, high"),
    ]
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

    fn basis(&self, method: &'static str, source: &'static str) -> Basis {
        let mut step = Step::new("Q = Σ Q_u");
        for (name, path, flow) in &self.from {
            step = step.term(Term::new("Q_u", name.clone(), Flow::from_si(*flow), FLOW).given(path.clone()));
        }
        let step = step
            .term(
                Term::new("Q_r", format!("asked, {}", self.mode), Flow::from_si(self.required), FLOW)
                    .published(format!("{source}, {}", self.provenance)),
            )
            .term(Term::new("Q/Q_r", "share of what is asked", self.share(), Units::PERCENT))
            .result(Term::new("Q", "exhaust", Flow::from_si(self.flow), FLOW));
        let basis = Basis::new(method, source).provenance(self.provenance).step(step);
        let basis =
            basis.assuming("on demand counts every unit at its highest flow; continuous only what runs all the time");
        self.note.iter().cloned().fold(basis, Basis::assuming)
    }
}
