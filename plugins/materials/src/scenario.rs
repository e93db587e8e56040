//! Each product by itself in the standard residence of the CDPH method.

use crate::amount::amount;
use crate::category::{self, Cover};
use crate::compound::Named;
use crate::facts;
use crate::levels::levels;
use crate::product::{Product, TEST_AGE};
use crate::standard_residence::{
    AIR_CHANGE, FLOOR_AREA, OneProduct, OneProductWhole, VENTILATED_SHARE, VOLUME, WALL_AREA, building_concentration,
    outdoor_air,
};
use mateline_model::home::Home;
use mateline_model::quantity::{Area, EmissionRate, Ratio, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

const SOURCE: &str = "CDPH Standard Method v1.2, standard residence; equation as in appendix F of Standard 189.1";
const MARK: &str = "looked up, second-hand; air change from memory, high";

/// Area of a product in the scenario.
struct Loading {
    word: &'static str,
    area: Area,
    term: Term,
}

/// Facts of every product and compound.
pub(crate) fn report(home: &Home, products: &[Product<'_>], findings: &mut Findings) {
    for product in products {
        for named in product.compounds() {
            one(home, product, named, findings);
        }
    }
}

fn one(home: &Home, product: &Product<'_>, named: &Named, findings: &mut Findings) {
    let subject = Subject::element("emissions", format_args!("{}-{}", product.id, named.id));
    let path = product.of(&named.id).next().map_or_else(|| product.subject.to_string(), |one| one.path.clone());
    let words = [
        (&facts::FINISH, product.id.to_string(), product.subject.to_string()),
        (&facts::COMPOUND, named.id.clone(), path.clone()),
    ];
    for (definition, word, origin) in words {
        let term = Term::new("name", "as given", Value::Text(word.clone()), Units::plain(0)).given(origin.clone());
        let basis = Basis::new("as given", "the home").step(Step::procedure("name").term(term));
        findings.fact_at(&subject, definition, Value::Text(word), basis, Pointer::new(origin));
    }
    levels(&named.compound, &subject, findings);
    let loading = loading(home, product);
    let factor = product.factor(&named.id, TEST_AGE, None);
    match &loading {
        Ok(loading) => {
            let basis = Basis::new("area by category", SOURCE)
                .provenance(MARK)
                .step(Step::procedure("A").term(loading.term.clone()));
            findings.text(&subject, &facts::SCENARIO_LOADING, loading.word, basis);
        }
        Err(lack) => lack.write(&subject, &[&facts::SCENARIO_LOADING], findings),
    }
    for (definition, share) in [
        (&facts::SCENARIO_CONCENTRATION, VENTILATED_SHARE),
        (&facts::SCENARIO_CONCENTRATION_WHOLE_FLOW, Ratio::from_si(1.0)),
    ] {
        let found = loading.as_ref().map_err(Lack::clone).and_then(|loading| {
            let factor = factor.clone()?;
            let value = building_concentration(factor, loading.area, VOLUME, AIR_CHANGE, share)
                .ok_or_else(|| Lack::new("the scenario has no finite result"))?;
            Ok((value, basis(product, named, factor, loading, share)))
        });
        match found {
            Ok((value, basis)) => {
                findings.fact_at(&subject, definition, value, basis, Pointer::new(path.clone()));
            }
            Err(lack) => lack.write(&subject, &[definition], findings),
        }
    }
}

fn loading(home: &Home, product: &Product<'_>) -> Result<Loading, Lack> {
    let covers = category::find(&product.finish.category).and_then(|(_, category)| category.covers);
    let term = |meaning: &str, area: Area, mark: &str| {
        Term::new("A", meaning, area, Units::AREA).published(format!("CDPH Standard Method v1.2 ({mark})"))
    };
    Ok(match covers {
        Some(Cover::Floor) => Loading {
            word: "floor",
            area: FLOOR_AREA,
            term: term("floor of the standard residence", FLOOR_AREA, "looked up, second-hand"),
        },
        Some(Cover::Ceiling) => Loading {
            word: "ceiling",
            area: FLOOR_AREA,
            term: term("ceiling of the standard residence", FLOOR_AREA, "looked up, second-hand"),
        },
        Some(Cover::Wall) => Loading {
            word: "wall",
            area: WALL_AREA,
            term: term("walls of the standard residence", WALL_AREA, "from memory, low"),
        },
        None => {
            let amount = amount(home, product.subject.as_str(), product.finish)?;
            let term = Term::new("A", "area in this home", amount.total, Units::AREA);
            Loading { word: "project", area: amount.total, term: term.fact(&product.subject, facts::AREA.name) }
        }
    })
}

fn basis(product: &Product<'_>, named: &Named, factor: EmissionRate, loading: &Loading, share: Ratio) -> Basis {
    let mut basis = Basis::new("one product in the standard residence", SOURCE)
        .provenance(MARK)
        .assuming("steady state, perfect mixing, no sinks, nothing in the outdoor air");
    if loading.word == "project" {
        basis = basis.assuming("the scenario's own area for this product is not known: the area in this home is used");
    }
    for assumption in product.assumptions(&named.id) {
        basis = basis.assuming(assumption);
    }
    let mut decayed = false;
    for entry in product.of(&named.id).filter(|entry| entry.emission.age != TEST_AGE) {
        let Ok(value) = entry.emission.at(TEST_AGE) else { continue };
        let steps = entry.emission.steps(&entry.path, TEST_AGE, None, value);
        decayed |= !steps.is_empty();
        basis.steps.extend(steps);
    }
    let given = product.of(&named.id).next().map(|one| one.path.clone()).filter(|_| !decayed);
    let (area, path) = (loading.area, loading.term.origin.clone());
    let step = if share.si() < 1.0 {
        let one = OneProduct { E: factor, A: area, V: VOLUME, a: AIR_CHANGE, φ: share };
        one.step()
            .1
            .published(OneProduct::V, "derived from floor area and height")
            .published(OneProduct::a, "CDPH Standard Method v1.2 (from memory, high)")
            .published(OneProduct::φ, "appendix F of Standard 189.1 (looked up)")
    } else {
        let one = OneProductWhole { E: factor, A: area, Q: outdoor_air() };
        one.step().1.published(OneProductWhole::Q, "derived: volume times air changes")
    };
    let step = step.meaning(OneProduct::A, loading.term.meaning.clone()).from(OneProduct::A, path);
    let step = step.meaning(OneProduct::C, named.compound.name.clone());
    basis.step(given.into_iter().fold(step, |step, path| step.given(OneProduct::E, path)))
}
