//! Whether a record belongs to the product that rests on it: product, maker, model, lot and category, and the day of use.

use crate::category;
use crate::evidence::{Limits, State, lack, state};
use mateline_model::Subject;
use mateline_model::home::{Date, Evidence, EvidenceKind, Finish, Home, Id, Name, Opening};
use mateline_sdk::Lack;

/// What rests on records.
pub(crate) struct Claim<'a> {
    pub(crate) subject: Subject,
    product: Option<&'a Name>,
    maker: Option<&'a Name>,
    model: Option<&'a Name>,
    lot: Option<&'a Name>,
    category: Option<&'a Name>,
    used_on: Option<Date>,
    evidence: &'a [Id],
}

/// A field of a product against the same of a record.
pub(crate) struct Compared {
    pub(crate) field: &'static str,
    pub(crate) own: String,
    pub(crate) theirs: String,
    pub(crate) same: bool,
}

impl<'a> Claim<'a> {
    pub(crate) fn of_finish(id: &'a Id, finish: &'a Finish) -> Claim<'a> {
        Claim {
            subject: Subject::element("finishes", id),
            product: finish.product.as_ref(),
            maker: finish.maker.as_ref(),
            model: finish.model.as_ref(),
            lot: finish.lot.as_ref(),
            category: Some(&finish.category),
            used_on: finish.used_on,
            evidence: &finish.evidence,
        }
    }

    pub(crate) fn of_opening(id: &'a Id, opening: &'a Opening) -> Claim<'a> {
        Claim {
            subject: Subject::element("openings", id),
            product: opening.product.as_ref(),
            maker: opening.maker.as_ref(),
            model: opening.model.as_ref(),
            lot: None,
            category: None,
            used_on: None,
            evidence: &opening.evidence,
        }
    }

    /// The records it names, with their ids.
    pub(crate) fn records(&self, home: &'a Home) -> impl Iterator<Item = (&'a Id, &'a Evidence)> {
        self.evidence.iter().filter_map(|id| home.evidence.get_key_value(id))
    }

    /// Its fields against a record's, each with what it says.
    ///
    /// # Errors
    /// [`Lack`] where one side names what the other leaves out, so that nothing can be said.
    pub(crate) fn compare(&self, id: &Id, record: &Evidence) -> Result<Vec<Compared>, Lack> {
        let (subject, path) = (&self.subject, format!("evidence.{id}"));
        let silent = |who: &str, field: &str| Lack::at(format!("{who} names no {field}"), who);
        let mut found = Vec::new();
        let product = self.product.ok_or_else(|| silent(subject.as_str(), "product"))?;
        let theirs = record.product.as_ref().ok_or_else(|| silent(&path, "product"))?;
        found.push(compared("product", product, std::slice::from_ref(theirs), same));
        let models: Vec<Name> = record.model.iter().cloned().collect();
        let makers: Vec<Name> = record.maker.iter().cloned().collect();
        for (field, own, theirs) in [("maker", self.maker, makers), ("model", self.model, models)] {
            match (own, theirs.is_empty()) {
                (Some(own), false) => found.push(compared(field, own, &theirs, same)),
                (Some(_), true) => return Err(silent(&path, field)),
                (None, false) => return Err(silent(subject.as_str(), field)),
                (None, true) => {}
            }
        }
        let of_a_lot = matches!(record.kind, EvidenceKind::CompositeWoodLabel | EvidenceKind::ChainOfCustody);
        match (self.lot, &record.lot) {
            (Some(own), Some(theirs)) => found.push(compared("lot", own, std::slice::from_ref(theirs), same)),
            (Some(_), None) if of_a_lot => return Err(silent(&path, "lot")),
            (None, Some(_)) if of_a_lot => return Err(silent(subject.as_str(), "lot")),
            _ => {}
        }
        let categories: Vec<Name> = record.category.iter().cloned().collect();
        if let Some(own) = self.category.filter(|_| !categories.is_empty()) {
            found.push(compared("category", own, &categories, same_category));
        }
        Ok(found)
    }

    /// A photograph of the product that is older than a record: it was there before the record was.
    fn seen_before(&self, home: &'a Home, record: &Evidence) -> Option<&'a Id> {
        let issued = record.issued?;
        let mut records = self.records(home);
        let is_older =
            |one: &Evidence| one.kind == EvidenceKind::Photograph && one.issued.is_some_and(|day| day < issued);
        records.find(|(_, one)| is_older(one)).map(|(id, _)| id)
    }

    /// The state of a record for this product: on the day of judging, or on the day of use where that came before.
    ///
    /// # Errors
    /// [`Lack`] where the record does not belong to it or cannot show anything, with the reason.
    pub(crate) fn state(&self, home: &Home, limits: &Limits, id: &Id, record: &Evidence) -> Result<State, Lack> {
        let path = format!("evidence.{id}");
        if state(record, home.revision.date, limits) == State::Missing {
            return Err(lack(&Subject::element("evidence", id), State::Missing));
        }
        let differs = self.compare(id, record)?.into_iter().find(|compared| !compared.same);
        if let Some(Compared { field, own, theirs, .. }) = differs {
            let because = format!("{path} is for the {field} '{theirs}', not '{own}'");
            return Err(Lack::at(because, format!("{path}.{field}")));
        }
        if let (None, Some(photograph)) = (self.used_on, self.seen_before(home, record)) {
            let subject = self.subject.as_str();
            let because =
                format!("{subject} names no used_on, and evidence.{photograph} shows it before {path} is issued");
            return Err(Lack::at(because, format!("{subject}.used_on")));
        }
        let on = self.used_on.map_or(home.revision.date, |used| used.min(home.revision.date));
        match state(record, on, limits) {
            State::NotYetIssued => {
                let day = if on == home.revision.date { "judging" } else { "use" };
                let because = format!("{path} is issued after {on}, the day of {day}");
                Err(Lack::at(because, format!("{path}.issued")))
            }
            state if state.is_shown() => Ok(state),
            state => Err(lack(&Subject::element("evidence", id), state)),
        }
    }
}

fn compared(field: &'static str, own: &Name, theirs: &[Name], same: impl Fn(&Name, &Name) -> bool) -> Compared {
    let words = theirs.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    Compared { field, own: own.to_string(), theirs: words, same: theirs.iter().any(|other| same(own, other)) }
}

/// Names are the same but for case and the space around them.
fn same(a: &Name, b: &Name) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

/// Words for one category, or the same word.
fn same_category(a: &Name, b: &Name) -> bool {
    let id = |name: &Name| category::find(name).map(|(id, _)| id);
    same(a, b) || id(a).is_some() && id(a) == id(b)
}
