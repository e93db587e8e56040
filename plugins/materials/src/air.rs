//! Volumes of air that are judged: every room, and the whole dwelling.

use crate::product::{Knowledge, Product};
use indexmap::IndexMap;
use mateline_model::Subject;
use mateline_model::home::{Home, Id, Space, SpaceUse};
use mateline_model::quantity::{Area, Flow};
use mateline_sdk::Lack;
use mateline_sdk::Request;

/// The id of the dwelling among rooms.
pub(crate) const DWELLING: &str = "home";

/// A volume of air and the fresh air it gets.
pub(crate) struct Air<'a> {
    /// The room; none for the dwelling.
    pub room: Option<&'a Id>,
    /// Closets that open to the room: their finishes are in its air.
    pub closets: Vec<&'a Id>,
    /// Rooms outside the dwelling's air.
    outside: Vec<&'a Id>,
    /// Its fresh air.
    pub flow: Result<Flow, Lack>,
    /// The fact that the flow is.
    pub flow_of: (Subject, &'static str),
}

/// The dwelling and every room in which something is finished.
pub(crate) fn airs<'a>(request: &Request<'a>, products: &[Product<'a>]) -> Vec<Air<'a>> {
    let home = request.home;
    let garages = home.spaces.iter().filter(|(_, space)| space.used_as == SpaceUse::Garage);
    let outside: Vec<&Id> = garages.map(|(id, _)| id).collect();
    let dwelling = (Subject::home(), "ventilation.delivered_flow");
    let closets = Vec::new();
    let mut airs = vec![Air { room: None, closets, outside, flow: flow(request, &dwelling), flow_of: dwelling }];
    let rooms = home.spaces.iter().filter(|(_, space)| room_of_closet(home, space).is_none());
    for (id, _) in rooms {
        let belongs = |space: &Space| room_of_closet(home, space) == Some(id);
        let closets = home.spaces.iter().filter(|(_, space)| belongs(space)).map(|(closet, _)| closet).collect();
        let flow_of = (Subject::element("spaces", id), "ventilation.fresh_air");
        let outside = Vec::new();
        let air = Air { room: Some(id), closets, outside, flow: flow(request, &flow_of), flow_of };
        if products.iter().any(|product| product.knowledge != Knowledge::Outside && air.holds(product)) {
            airs.push(air);
        }
    }
    airs
}

/// The room that a closet opens to, where it is no closet itself: nobody stays in a closet, and no unit brings it air.
fn room_of_closet<'a>(home: &'a Home, space: &'a Space) -> Option<&'a Id> {
    let room = space.opens_to.as_ref().filter(|_| space.used_as == SpaceUse::Closet)?;
    home.spaces.get(room).filter(|other| other.used_as != SpaceUse::Closet).map(|_| room)
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

impl Air<'_> {
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

    /// What taking its fresh air for a balance by itself means.
    pub(crate) fn assumption(&self) -> &'static str {
        match self.room {
            Some(_) => {
                "the fresh air counts what comes through other rooms by its age: as if they gave off as much per volume"
            }
            None => "all outdoor air that units bring serves the dwelling as one volume",
        }
    }

    /// Whether a finish is in it.
    pub(crate) fn holds(&self, product: &Product<'_>) -> bool {
        match self.room {
            Some(room) => product.rooms.iter().any(|id| *id == room || self.closets.contains(id)),
            None => product.rooms.is_empty() || product.rooms.iter().any(|room| !self.outside.contains(room)),
        }
    }

    /// The area of a finish in it.
    pub(crate) fn area(&self, product: &Product<'_>) -> Result<Area, Lack> {
        let amount = product.amount.as_ref().map_err(|lack| Lack {
            because: format!("{}, though it has emissions", lack.because),
            at: lack.at.clone(),
        })?;
        match self.room {
            Some(room) => {
                let rooms = std::iter::once(room).chain(self.closets.iter().copied());
                let shares: Vec<Area> = rooms.filter_map(|id| amount.in_room(id)).collect();
                if shares.is_empty() {
                    let because = format!("the rooms of {} have no floor area to divide its area by", product.subject);
                    return Err(Lack::at(because, product.subject.as_str()));
                }
                Ok(shares.into_iter().sum())
            }
            None => {
                let outside = self.outside.iter().filter_map(|room| amount.in_room(room)).sum();
                Ok(amount.total - outside)
            }
        }
    }

    /// Finishes in it of which it is not known what they give off.
    pub(crate) fn unknown<'p, 'a>(&self, products: &'p [Product<'a>]) -> Vec<&'p Product<'a>> {
        products.iter().filter(|product| product.is_unknown() && self.holds(product)).collect()
    }

    /// Compounds given off into it, each with its sources, in the order of the home.
    pub(crate) fn compounds<'p, 'a>(&self, products: &'p [Product<'a>]) -> IndexMap<&'p str, Vec<&'p Product<'a>>> {
        let mut found: IndexMap<&str, Vec<&Product<'a>>> = IndexMap::new();
        for product in products.iter().filter(|product| self.holds(product)) {
            for named in product.compounds() {
                found.entry(&named.id).or_default().push(product);
            }
        }
        found
    }
}
