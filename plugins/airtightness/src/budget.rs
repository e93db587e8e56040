//! The leakage budget: every entry of the home, what is lacking, and sums over it.

use crate::item::{Item, Kind, Part, Place};
use crate::spread::{self, Drawn, Factors, Source};
use crate::{components, corners, envelope, openings, penetrations, seams, systems};
use mateline_model::Subject;
use mateline_model::home::{Id, Party, are_one_seam};
use mateline_model::quantity::Flow;
use mateline_sdk::{Lack, Request};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Every leak of the home.
#[derive(Clone, Debug)]
pub struct Budget {
    /// Entries whose leakage is known.
    pub items: Vec<Item>,
    /// Entries whose leakage is not.
    pub lacking: Vec<Lacking>,
    /// Share of the boxes' exposed area by box, or what is lacking.
    shares: Shares,
    /// What the draws of its sources come to, once somebody asks.
    factors: OnceLock<Factors>,
}

/// An entry that lacks something.
#[derive(Clone, Debug)]
pub struct Lacking {
    /// What its facts would be about.
    pub subject: Subject,
    /// Its kind.
    pub kind: Kind,
    /// What is missing.
    pub lack: Lack,
}

type Shares = Result<BTreeMap<Id, f64>, Lack>;

impl Budget {
    /// Draws up the budget of a home.
    pub fn of(request: &Request<'_>) -> Budget {
        let mut budget =
            Budget { items: Vec::new(), lacking: Vec::new(), shares: shares(request), factors: OnceLock::new() };
        for seam in seams::found(request) {
            budget.add(&seam, Kind::Seam, seams::item(request, &seam));
        }
        match corners::item(request) {
            Ok(item) => budget.items.extend(item),
            Err(lack) => budget.add(&corners::subject(), Kind::Seam, Err(lack)),
        }
        if request.home.openings.is_empty() {
            let lack = Lack::at("the home lists no openings", "openings");
            budget.add(&Subject::home(), Kind::Opening, Err(lack));
        }
        for (id, opening) in &request.home.openings {
            let item = openings::item(request, id, opening);
            budget.add(&Subject::element("openings", id), Kind::Opening, item);
        }
        for (id, hole) in &request.home.penetrations {
            let item = penetrations::item(request.home, id, hole);
            budget.add(&Subject::element("penetrations", id), Kind::Penetration, item);
        }
        for item in systems::items(request.home) {
            match item {
                Ok(item) => budget.items.push(item),
                Err((subject, lack)) => budget.add(&subject, Kind::Penetration, Err(lack)),
            }
        }
        for (subject, item) in envelope::lines(request) {
            budget.add(&subject, Kind::Line, item);
        }
        let is_surface = |subject: &&Subject| request.text(subject, "takeoff.kind").is_some();
        let surfaces: Vec<Subject> = request.subjects("surfaces").filter(is_surface).cloned().collect();
        if surfaces.is_empty() {
            let lack = Lack::new("no surface of the envelope is known");
            budget.add(&Subject::home(), Kind::Surface, Err(lack));
        }
        for surface in surfaces {
            budget.add(&surface, Kind::Surface, envelope::surface(request, &surface));
        }
        let rows = components::replaced(request);
        if !rows.is_empty() {
            budget.items.iter_mut().for_each(|item| item.replace(&rows));
        }
        budget
    }

    fn add(&mut self, subject: &Subject, kind: Kind, item: Result<Item, Lack>) {
        match item {
            Ok(item) => self.items.push(item),
            Err(lack) => self.lacking.push(Lacking { subject: subject.clone(), kind, lack }),
        }
    }

    /// The entries of one kind, if none lacks anything.
    pub fn of_kind(&self, kind: Kind) -> Result<Vec<&Item>, Lack> {
        match self.lacking.iter().find(|lacking| lacking.kind == kind) {
            Some(lacking) => Err(lacking.lack.clone()),
            None => Ok(self.items.iter().filter(|item| item.kind == kind).collect()),
        }
    }

    /// Every entry, if none lacks anything.
    pub fn all(&self) -> Result<Vec<&Item>, Lack> {
        match self.lacking.first() {
            Some(lacking) => Err(lacking.lack.clone()),
            None => Ok(self.items.iter().collect()),
        }
    }

    /// The entries that one party closes.
    pub fn by(&self, party: Party) -> Result<Vec<&Item>, Lack> {
        Ok(self.all()?.into_iter().filter(|item| item.party == party).collect())
    }

    /// The entries that lie in one box, each with its share there.
    pub fn within(&self, module: &Id) -> Result<Vec<(&Item, f64)>, Lack> {
        let exposed = *self.shares.as_ref().map_err(Clone::clone)?.get(module).unwrap_or(&0.0);
        let share = |item: &Item| match &item.place {
            Place::Boxes(boxes) if boxes.contains(module) => Some(1.0 / boxes.len() as f64),
            Place::Envelope => Some(exposed),
            Place::Boxes(_) | Place::Foundation => None,
        };
        Ok(self.all()?.into_iter().filter_map(|item| Some((item, share(item)?))).collect())
    }

    /// The entry of a name: its subject, or the id alone. A seam goes by either order of its boxes.
    pub fn named(&self, name: &str) -> Vec<&Item> {
        self.items.iter().filter(|item| is_named(&item.subject, name)).collect()
    }

    /// The budget's uncertain parts by row of the table.
    pub fn sources(&self) -> Result<Vec<Source>, Lack> {
        Ok(spread::sources(self.all()?.into_iter().flat_map(|item| &item.parts)))
    }

    /// The finished home's leakage at 50 Pa, drawn many times.
    pub fn drawn(&self) -> Result<Drawn, Lack> {
        Ok(self.drawn_of(&self.sources()?))
    }

    /// A sum of some of its sources, drawn many times.
    pub fn drawn_of(&self, sources: &[Source]) -> Drawn {
        let parts = || self.items.iter().flat_map(|item| &item.parts);
        let factors = self.factors.get_or_init(|| Factors::of(&spread::sources(parts())));
        Drawn::new(factors.draws(sources))
    }
}

/// Whether a name means a subject.
pub(crate) fn is_named(subject: &Subject, name: &str) -> bool {
    let is_seam =
        || subject.section() == "seams" && are_one_seam(subject.id(), name.strip_prefix("seams.").unwrap_or(name));
    subject.as_str() == name || subject.id() == name || is_seam()
}

/// Flow at 50 Pa of entries together.
pub fn total<'a>(items: impl IntoIterator<Item = &'a Item>) -> Flow {
    items.into_iter().map(Item::q50).sum()
}

/// An entry's share of the variance of the whole.
///
/// `s_j = Σ_p q_jp q_c (e^(σ_c²) − 1) / Σ_c q_c² (e^(σ_c²) − 1)`: the covariance of the entry with the whole over the
/// variance of the whole, with `q_jp` its part in row `c` and `q_c` all parts of that row. The shares add up to one.
pub fn variance_share(parts: &[Part], sources: &[Source]) -> Option<f64> {
    let variance: f64 = sources.iter().map(Source::variance).sum();
    if variance <= 0.0 {
        return None;
    }
    let covariance: f64 = parts
        .iter()
        .filter_map(|part| {
            let row = sources.iter().find(|source| source.name == part.component)?;
            Some(part.q50().si() * row.mean * row.relative_variance())
        })
        .sum();
    Some(covariance / variance)
}

fn shares(request: &Request<'_>) -> Shares {
    let mut areas = BTreeMap::new();
    for id in request.home.modules.keys() {
        let subject = Subject::element("modules", id);
        let area = request.number(&subject, "takeoff.exposed_area");
        let lack = || Lack::new(format!("takeoff.exposed_area of {subject} is not known"));
        areas.insert(id.clone(), area.ok_or_else(lack)?);
    }
    let all: f64 = areas.values().sum();
    if all <= 0.0 {
        return Err(Lack::new("no box has an exposed face"));
    }
    areas.values_mut().for_each(|area| *area /= all);
    Ok(areas)
}
