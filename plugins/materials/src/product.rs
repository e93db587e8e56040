//! A finish made ready for the air of rooms: its compounds, their decay, its area, and whether its emissions are known.

use crate::amount::{self, Amount};
use crate::category;
use crate::compound::{self, Named};
use crate::decay::{self, Emission, Law};
use crate::facts;
use mateline_model::home::{Finish, FinishKind, Home, Id};
use mateline_model::quantity::{Duration, EmissionRate};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Lack};

/// Age that the CDPH method tests at: ten days of conditioning and four in the chamber (from memory, high).
pub(crate) const TEST_AGE: Duration = Duration::from_si(14.0 * 86_400.0);

/// One compound that a finish gives off.
#[derive(Clone, Debug)]
pub(crate) struct Emitted {
    /// The compound.
    pub named: Named,
    /// Emission factor and decay; isomers of one compound stand one by one.
    pub emission: Emission,
    /// Where the factor stands in the home.
    pub path: String,
}

/// Whether the emissions of a finish are known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Knowledge<'a> {
    /// By factors of its own.
    Own,
    /// By the test of another finish that took it in.
    Within(&'a Id),
    /// It is not in the air of the rooms.
    Outside,
    /// They are not.
    None,
}

/// A finish made ready.
#[derive(Clone, Debug)]
pub(crate) struct Product<'a> {
    pub id: &'a Id,
    pub finish: &'a Finish,
    pub subject: Subject,
    /// Rooms it is in.
    pub rooms: Vec<&'a Id>,
    pub amount: Result<Amount<'a>, Lack>,
    pub emitted: Vec<Emitted>,
    pub knowledge: Knowledge<'a>,
}

/// Every finish made ready, in the order of the home. Names that cannot be read are left out: they are problems.
pub(crate) fn products(home: &Home) -> Vec<Product<'_>> {
    home.finishes.iter().map(|(id, finish)| product(home, id, finish)).collect()
}

fn product<'a>(home: &'a Home, id: &'a Id, finish: &'a Finish) -> Product<'a> {
    let subject = Subject::element("finishes", id);
    let emitted = finish.emissions.iter().filter_map(|(name, factor)| {
        let named = compound::find(home, name).ok()?;
        let emission = emission(finish, &named, *factor);
        Some(Emitted { named, emission, path: format!("{subject}.emissions.{name}") })
    });
    let in_wall = finish.indoors.is_none() && is_pipe(finish) && finish.emissions.is_empty();
    let knowledge = if finish.indoors == Some(false) || in_wall {
        Knowledge::Outside
    } else if !finish.emissions.is_empty() {
        Knowledge::Own
    } else {
        let tested = |with: &&Id| home.finishes.get(*with).is_some_and(|other| !other.emissions.is_empty());
        finish.tested_with.as_ref().filter(tested).map_or(Knowledge::None, Knowledge::Within)
    };
    let emitted = if knowledge == Knowledge::Own { emitted.collect() } else { Vec::new() };
    let rooms = amount::rooms(home, finish).into_iter().map(|(id, _)| id).collect();
    let amount = amount::amount(home, subject.as_str(), finish);
    Product { id, finish, subject, rooms, amount, emitted, knowledge }
}

/// Pipes are taken to run inside walls and floors, where nothing else is said.
fn is_pipe(finish: &Finish) -> bool {
    category::kind("", finish) == Ok(FinishKind::Pipe)
}

/// The factor with the decay given, or the one that later tests show.
fn emission(finish: &Finish, named: &Named, factor: EmissionRate) -> Emission {
    let age = finish.tested_at.unwrap_or(TEST_AGE);
    if let Some(law) = finish.decay.as_ref().and_then(Emission::given_law) {
        return Emission { factor, age, law };
    }
    let same = |name: &str| compound::listed(name).is_ok_and(|other| other.substance == named.substance);
    let later = finish.later_emissions.iter().filter_map(|later| {
        let (_, factor) = later.emissions.iter().find(|(name, _)| same(name))?;
        Some((later.tested_at, *factor))
    });
    let points: Vec<(Duration, EmissionRate)> = std::iter::once((age, factor)).chain(later).collect();
    decay::fit(&points).unwrap_or(Emission { factor, age, law: Law::Held })
}

impl Product<'_> {
    /// Whether it is in the rooms and what it gives off is not known, for want of factors or of an area.
    pub(crate) fn is_unknown(&self) -> bool {
        match self.knowledge {
            Knowledge::Own => self.amount.is_err(),
            Knowledge::None => true,
            Knowledge::Within(_) | Knowledge::Outside => false,
        }
    }

    /// Compounds it gives off, each once.
    pub(crate) fn compounds(&self) -> Vec<&Named> {
        let mut found: Vec<&Named> = Vec::new();
        for emitted in &self.emitted {
            if !found.iter().any(|named| named.id == emitted.named.id) {
                found.push(&emitted.named);
            }
        }
        found
    }

    /// What it gives off of one compound, isomers added, at an age or on average to a later one.
    pub(crate) fn factor(&self, compound: &str, from: Duration, to: Option<Duration>) -> Result<EmissionRate, Lack> {
        let mut sum = EmissionRate::default();
        for emitted in self.of(compound) {
            let factor = match to {
                None => emitted.emission.at(from),
                Some(to) => emitted.emission.mean(from, to),
            };
            sum = sum + factor.map_err(|error| Lack::at(format!("{} {error}", emitted.path), &emitted.path))?;
        }
        Ok(sum)
    }

    /// Its entries of one compound.
    pub(crate) fn of<'s>(&'s self, compound: &'s str) -> impl Iterator<Item = &'s Emitted> {
        self.emitted.iter().filter(move |emitted| emitted.named.id == compound)
    }

    /// What has to be said of its ages.
    pub(crate) fn assumptions(&self, compound: &str) -> Vec<String> {
        let mut found = Vec::new();
        if self.finish.tested_at.is_none() {
            found.push(format!("{} gives no age at the test: it is taken to be 14 days", self.subject));
        }
        if self.of(compound).any(|emitted| emitted.emission.law == Law::Held) {
            found.push(format!("{} shows no decay: its emission is held at the tested factor", self.subject));
        }
        found
    }
}

/// Whether the emissions of each finish are known.
pub(crate) fn report(products: &[Product<'_>], findings: &mut Findings) {
    for product in products {
        let (subject, path) = (&product.subject, format!("{}.emissions", product.subject));
        let (what, origin) = match product.knowledge {
            Knowledge::Own => (format!("{} emission factors", product.finish.emissions.len()), path),
            Knowledge::Within(other) => (format!("measured with finishes.{other}"), format!("{subject}.tested_with")),
            Knowledge::Outside => {
                let field = if product.finish.indoors.is_some() { "indoors" } else { "category" };
                ("it is not in the air of the rooms".to_owned(), format!("{subject}.{field}"))
            }
            Knowledge::None => {
                let because = format!("{subject} has no emission factors");
                findings.missing(subject, &facts::EMISSIONS_KNOWN, because, Some(Pointer::new(subject.as_str())));
                continue;
            }
        };
        let term = Term::new("known", what, mateline_model::Value::Flag(true), facts::EMISSIONS_KNOWN.units);
        let basis = Basis::new("as given", "the home").step(Step::procedure("known").term(term.given(origin)));
        findings.flag(subject, &facts::EMISSIONS_KNOWN, true, basis);
    }
}
