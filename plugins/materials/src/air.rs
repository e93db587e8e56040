//! Volumes of air that are judged: every room, and the whole dwelling.

use crate::amount::Amount;
use crate::mass_balance::{concentration, source};
use crate::product::{Knowledge, Product};
use crate::zones::{Zones, room_of_closet};
use indexmap::IndexMap;
use mateline_model::Subject;
use mateline_model::home::{Id, Space, SpaceUse};
use mateline_model::quantity::{Area, Density, EmissionRate, Flow};
use mateline_sdk::{Lack, Request};

/// The id of the dwelling among rooms.
pub(crate) const DWELLING: &str = "home";

/// A volume of air and the fresh air it gets.
pub(crate) struct Air<'z, 'a> {
    /// The room; none for the dwelling.
    pub room: Option<&'a Id>,
    /// Rooms and closets that share its air, itself first.
    pub spaces: Vec<&'a Id>,
    /// Rooms outside the dwelling's air.
    outside: Vec<&'a Id>,
    /// Its fresh air.
    pub flow: Result<Flow, Lack>,
    /// The fact that the flow is.
    pub flow_of: (Subject, &'static str),
    /// Its zone, where it is a room whose zone is known.
    pub zone: Option<usize>,
    /// All zones.
    pub zones: &'z Zones<'a>,
}

/// The dwelling and every room in whose air something is given off.
pub(crate) fn airs<'z, 'a>(request: &Request<'a>, zones: &'z Zones<'a>, products: &[Product<'a>]) -> Vec<Air<'z, 'a>> {
    let home = request.home;
    let garages = home.spaces.iter().filter(|(_, space)| space.used_as == SpaceUse::Garage);
    let outside: Vec<&Id> = garages.map(|(id, _)| id).collect();
    let flow_of = (Subject::home(), "ventilation.delivered_flow");
    let flow_there = flow(request, &flow_of);
    let mut airs = vec![Air { room: None, spaces: Vec::new(), outside, flow: flow_there, flow_of, zone: None, zones }];
    let rooms = home.spaces.iter().filter(|(_, space)| room_of_closet(home, space).is_none());
    for (id, _) in rooms {
        let zone = zones.zone(id);
        let sharing: Vec<&Id> = match zone.and_then(|zone| zones.all.get(zone)) {
            Some(zone) => zone.spaces.clone(),
            None => {
                let belongs = |space: &Space| room_of_closet(home, space) == Some(id);
                let closets = home.spaces.iter().filter(|(_, space)| belongs(space)).map(|(closet, _)| closet);
                closets.collect()
            }
        };
        let spaces = std::iter::once(id).chain(sharing.into_iter().filter(|other| *other != id)).collect();
        let flow_of = (Subject::element("spaces", id), "ventilation.fresh_air");
        let flow = flow(request, &flow_of);
        let air = Air { room: Some(id), spaces, outside: Vec::new(), flow, flow_of, zone, zones };
        if products.iter().any(|product| product.knowledge != Knowledge::Outside && air.receives(product)) {
            airs.push(air);
        }
    }
    airs
}

fn flow(request: &Request<'_>, (subject, quantity): &(Subject, &'static str)) -> Result<Flow, Lack> {
    let path = if subject.section() == "spaces" { subject.as_str() } else { "systems" };
    match request.number(subject, quantity) {
        Some(flow) if flow > 0.0 => Ok(Flow::from_si(flow)),
        Some(_) => {
            let place = if subject.section() == "spaces" { subject.as_str() } else { "the home" };
            Err(Lack::at(format!("no fresh air reaches {place}, so nothing carries emissions away"), path))
        }
        None => Err(Lack::at(format!("{quantity} of {subject} is not known"), path)),
    }
}

impl<'a> Air<'_, 'a> {
    /// Its id: the room's, or `home`.
    pub(crate) fn id(&self) -> &str {
        self.room.map_or(DWELLING, AsRef::as_ref)
    }

    /// The subject of facts on all compounds.
    pub(crate) fn subject(&self) -> Subject {
        Subject::element("air", self.id())
    }

    /// The subject of facts on one compound.
    pub(crate) fn of_compound(&self, compound: &str) -> Subject {
        Subject::element("air", format_args!("{}-{compound}", self.id()))
    }

    /// How its air is taken.
    pub(crate) fn assumption(&self) -> &'static str {
        match self.room {
            Some(_) => "air passes from room to room as the network of fans, doors and leaks has it",
            None => "all outdoor air that units bring serves the dwelling as one volume",
        }
    }

    /// The zone, and that the flows to it are known.
    pub(crate) fn known_zone(&self) -> Result<usize, Lack> {
        self.flow.clone()?;
        let zone = self.zone.ok_or_else(|| {
            let (subject, _) = &self.flow_of;
            Lack::at(format!("ventilation.zone of {subject} is not known"), subject.as_str())
        })?;
        self.zones.lack(zone).map_or(Ok(zone), Err)
    }

    /// The zones whose air gets to it, its own among them.
    fn upstream(&self) -> &[usize] {
        self.zone.map_or(&[], |zone| self.zones.upstream(zone))
    }

    /// Whether a finish is in its own air.
    pub(crate) fn holds(&self, product: &Product<'_>) -> bool {
        match self.room {
            Some(_) => product.rooms.iter().any(|id| self.spaces.contains(id)),
            None => product.rooms.is_empty() || product.rooms.iter().any(|room| !self.outside.contains(room)),
        }
    }

    /// Whether it gets what a finish gives off, from its own air or from other rooms.
    pub(crate) fn receives(&self, product: &Product<'_>) -> bool {
        let there = |zone: &usize| {
            let zone = self.zones.all.get(*zone);
            zone.is_some_and(|zone| product.rooms.iter().any(|id| zone.spaces.contains(id)))
        };
        self.holds(product) || self.room.is_some() && self.upstream().iter().any(there)
    }

    /// The area of a finish in its own air.
    pub(crate) fn area(&self, product: &Product<'_>) -> Result<Area, Lack> {
        match self.room {
            Some(_) => within(product, &self.spaces),
            None => {
                let amount = amount(product)?;
                let outside = self.outside.iter().filter_map(|room| amount.in_room(room)).sum();
                Ok(amount.total - outside)
            }
        }
    }

    /// What one unit of a finish's emission factor comes to in a zone, from wherever its air comes (s/m³ · m²).
    fn reach(&self, product: &Product<'_>, zone: usize) -> Result<f64, Lack> {
        let mut sum = 0.0;
        for from in self.zones.upstream(zone) {
            let Some(spaces) = self.zones.all.get(*from).map(|zone| &zone.spaces) else { continue };
            if !product.rooms.iter().any(|id| spaces.contains(id)) {
                continue;
            }
            let response = self
                .zones
                .response(*from, zone)
                .ok_or_else(|| Lack::at("no outdoor air gets to a room where something is given off", "systems"))?;
            sum += response * within(product, spaces)?.si();
        }
        Ok(sum)
    }

    /// What a finish with an emission factor brings about in a zone.
    pub(crate) fn brought_to(&self, product: &Product<'_>, factor: EmissionRate, zone: usize) -> Result<Density, Lack> {
        Ok(Density::from_si(factor.si() * self.reach(product, zone)?))
    }

    /// What a finish with an emission factor brings about here.
    pub(crate) fn brought(&self, product: &Product<'_>, factor: EmissionRate) -> Result<Density, Lack> {
        match self.room {
            Some(_) => self.brought_to(product, factor, self.known_zone()?),
            None => {
                let strength = source([(factor, self.area(product)?)]);
                let lack = || Lack::at(format!("the air of {} has no finite balance", self.id()), "systems");
                concentration(strength, self.flow.clone()?).ok_or_else(lack)
            }
        }
    }

    /// Finishes in it, or in rooms whose air gets to it, of which it is not known what they give off.
    pub(crate) fn unknown<'p>(&self, products: &'p [Product<'a>]) -> Vec<&'p Product<'a>> {
        products.iter().filter(|product| product.is_unknown() && self.receives(product)).collect()
    }

    /// Compounds in it, each with its sources, in the order of the home.
    pub(crate) fn compounds<'p>(&self, products: &'p [Product<'a>]) -> IndexMap<&'p str, Vec<&'p Product<'a>>> {
        let mut found: IndexMap<&str, Vec<&Product<'a>>> = IndexMap::new();
        for product in products.iter().filter(|product| self.receives(product)) {
            for named in product.compounds() {
                found.entry(&named.id).or_default().push(product);
            }
        }
        found
    }
}

fn amount<'p, 'a>(product: &'p Product<'a>) -> Result<&'p Amount<'a>, Lack> {
    product
        .amount
        .as_ref()
        .map_err(|lack| Lack { because: format!("{}, though it has emissions", lack.because), at: lack.at.clone() })
}

/// The area of a finish in some rooms.
fn within(product: &Product<'_>, spaces: &[&Id]) -> Result<Area, Lack> {
    let amount = amount(product)?;
    let shares: Vec<Area> = spaces.iter().filter_map(|id| amount.in_room(id)).collect();
    if shares.is_empty() {
        let because = format!("the rooms of {} have no floor area to divide its area by", product.subject);
        return Err(Lack::at(because, product.subject.as_str()));
    }
    Ok(shares.into_iter().sum())
}
