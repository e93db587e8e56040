//! The deck of a roof, where no outdoor air passes below it: what insulation keeps it warm, and how warm.
//!
//! The deck is the board or wood next outside of the framing; without framing, the outermost. A ventilated cavity inside
//! of it airs the roof; one above it, under the covering, does not.

use crate::conditions::outdoors;
use crate::facts;
use crate::layers::{Layers, VapourLayer};
use crate::retarder::{SeriesPermeance, together};
use mateline_equation::equation;
use mateline_model::home::MaterialKind;
use mateline_model::quantity::{Permeance, Temperature, ThermalResistance, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack, Request};

const CLAUSE: &str = "IRC 2021, R806.5";

equation! {
    /// Temperature of the underside of a roof deck, heat flow steady. Source: ISO 6946:2017, layers in series (from memory).
    pub(crate) DeckUnderside = "θ = θ_e + (θ_i − θ_e) R_o/R" {
        θ: Temperature "underside of the deck" [Units::TEMPERATURE],
        θ_e: Temperature "outdoors, mean of the coldest months" [Units::TEMPERATURE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        R_o: ThermalResistance "from the underside of the deck outwards" [Units::RESISTANCE],
        R: ThermalResistance "of the whole roof" [Units::RESISTANCE],
    }
}

/// Every fact that needs the layers of a roof.
pub(crate) const QUANTITIES: [&QuantityDef; 5] = [
    &facts::ROOF_VENTILATION,
    &facts::DECK_INSULATION,
    &facts::OTHER_ROOF_INSULATION,
    &facts::DECK_FOAM_PERMEANCE,
    &facts::DECK_TEMPERATURE,
];

/// Writes them down.
pub(crate) fn report(request: &Request<'_>, subject: &Subject, layers: &Layers<'_>, findings: &mut Findings) {
    let deck = deck(layers);
    let vented = layers.vented && deck.is_none();
    let word = if vented { "vented" } else { "unvented" };
    let named = deck.and_then(|place| layers.layers.get(place).map(|layer| (place, layer.name)));
    let mut step = Step::procedure("unvented, where no ventilated cavity lies below the deck");
    if let Some((place, name)) = named {
        step = step
            .term(Term::new("deck", "deck", Value::Text(name.to_owned()), Units::plain(0)).given(layers.path(place)));
    }
    let basis = Basis::new("where the ventilated cavity lies", CLAUSE).provenance("from memory, high").step(step);
    findings.text(subject, &facts::ROOF_VENTILATION, word, basis);
    if vented {
        return;
    }
    let parts = Parts::of(layers, deck);
    insulation(subject, layers, &parts, findings);
    permeance(subject, layers, &parts, findings);
    temperature(request, subject, layers, deck, &parts, findings);
}

/// The deck of a roof.
fn deck(layers: &Layers<'_>) -> Option<usize> {
    let is_deck = |layer: &VapourLayer<'_>| {
        let solid = matches!(layer.kind, Some(MaterialKind::Board | MaterialKind::Wood));
        solid && !layer.is_framed && !layer.insulates
    };
    let all = || layers.layers.iter().enumerate();
    match layers.framing_zone() {
        Some((_, last)) => all().skip(last + 1).find(|(_, layer)| is_deck(layer)).map(|(place, _)| place),
        None => all().rfind(|(_, layer)| is_deck(layer)).map(|(place, _)| place),
    }
}

/// Which layers insulate where.
struct Parts {
    /// Boards above the deck.
    above: Vec<usize>,
    /// Foam that touches the underside of the deck, from outside inwards.
    below: Vec<usize>,
    other: Vec<usize>,
}

impl Parts {
    fn of(layers: &Layers<'_>, deck: Option<usize>) -> Parts {
        let known = |place: usize| layers.layers.get(place);
        // Without a deck the roofing itself stands for it.
        let end =
            deck.unwrap_or_else(|| layers.layers.iter().rposition(|layer| layer.insulates).map_or(0, |last| last + 1));
        let above = (end..layers.layers.len())
            .filter(|place| known(*place).is_some_and(|layer| layer.insulates && !layer.is_framed));
        let above: Vec<usize> = above.collect();
        let below: Vec<usize> =
            (0..end).rev().take_while(|place| known(*place).is_some_and(VapourLayer::is_foam)).collect();
        let insulates = layers.layers.iter().enumerate().filter(|(_, layer)| layer.insulates).map(|(place, _)| place);
        let other = insulates.filter(|place| !above.contains(place) && !below.contains(place)).collect();
        Parts { above, below, other }
    }
}

fn chosen<'b>(
    layers: &'b Layers<'b>,
    places: impl Iterator<Item = usize>,
) -> impl Iterator<Item = (usize, &'b VapourLayer<'b>)> {
    places.filter_map(|place| Some((place, layers.layers.get(place)?)))
}

fn insulation(subject: &Subject, layers: &Layers<'_>, parts: &Parts, findings: &mut Findings) {
    let near = parts.below.iter().rev().chain(&parts.above).copied();
    let (sum, step, _) = together(layers, chosen(layers, near), "insulation against or above the deck");
    let basis = Basis::new("sum of the layers", CLAUSE).provenance("from memory, high").step(step).assuming(
        "foam counts where it touches the underside of the deck; above the deck every board does, foam or not",
    );
    findings.fact(subject, &facts::DECK_INSULATION, sum, basis);
    let (sum, step, _) = together(layers, chosen(layers, parts.other.iter().copied()), "other insulation");
    let basis = Basis::new("sum of the other layers that insulate", "the layers' values").step(step);
    findings.fact(subject, &facts::OTHER_ROOF_INSULATION, sum, basis);
}

fn permeance(subject: &Subject, layers: &Layers<'_>, parts: &Parts, findings: &mut Findings) {
    let Some(innermost) = parts.below.last().copied() else {
        let because = format!("{subject} has no foam against the underside of its deck");
        return Lack::at(because, subject.as_str()).write(subject, &[&facts::DECK_FOAM_PERMEANCE], findings);
    };
    let coat = innermost.checked_sub(1).filter(|place| {
        let kind = layers.layers.get(*place).and_then(|layer| layer.kind);
        matches!(kind, Some(MaterialKind::Finish | MaterialKind::Membrane))
    });
    let series: Vec<_> = chosen(layers, coat.into_iter().chain(parts.below.iter().rev().copied())).collect();
    let permeances: Vec<_> = series.iter().map(|(_, layer)| Permeance::from_si(layer.vapour.permeance)).collect();
    let (value, step) = SeriesPermeance { W_j: &permeances }.step();
    let step = step.meaning(SeriesPermeance::W, "foam against the deck").each(
        SeriesPermeance::W_j,
        &series,
        |term, (place, layer)| Term { meaning: layer.name.to_owned(), ..term }.given(layers.path(*place)),
    );
    let basis = Basis::new("layers in series", CLAUSE).provenance("from memory").step(step);
    findings.fact(subject, &facts::DECK_FOAM_PERMEANCE, value, basis);
}

/// What the code's way by temperature reads: indoors, and how many of the coldest months.
struct Asked<'a> {
    pack: &'a str,
    indoor: Temperature,
    months: usize,
}

impl<'a> Asked<'a> {
    fn of(request: &'a Request<'_>) -> Option<Asked<'a>> {
        request.settings.iter().find_map(|(pack, settings)| {
            let deck = settings.get("deck")?;
            let indoor = deck.get("indoor")?.as_str()?.parse().ok()?;
            let months = usize::try_from(deck.get("coldest_months")?.as_u64()?).ok()?;
            Some(Asked { pack, indoor, months: months.clamp(1, 12) })
        })
    }
}

fn temperature(
    request: &Request<'_>,
    subject: &Subject,
    layers: &Layers<'_>,
    deck: Option<usize>,
    parts: &Parts,
    findings: &mut Findings,
) {
    let owed = [&facts::DECK_TEMPERATURE];
    let Some(place) = deck.filter(|_| !parts.above.is_empty()) else {
        let because = format!("{subject} has no insulation above its deck");
        return Lack::at(because, subject.as_str()).write(subject, &owed, findings);
    };
    let Some(asked) = Asked::of(request) else {
        let because = "no pack says by which months a deck is judged".to_owned();
        return Lack { because, at: None }.write(subject, &owed, findings);
    };
    let mut months = match outdoors(request.home) {
        Ok(months) => months.map(|air| air.temperature),
        Err(lack) => return lack.write(subject, &owed, findings),
    };
    months.sort_by(|a, b| a.si().total_cmp(&b.si()));
    let coldest = months.get(..asked.months).unwrap_or(&months);
    let outside = Temperature::from_si(coldest.iter().map(|month| month.si()).sum::<f64>() / coldest.len() as f64);
    let mut mean = Step::procedure("θ_e = mean of θ_m");
    for month in coldest {
        mean =
            mean.term(Term::new("θ_m", "one of the coldest months", *month, Units::TEMPERATURE).given("site.months"));
    }
    let mean = mean.result(Term::new("θ_e", "outdoors", outside, Units::TEMPERATURE));
    let films = layers.films();
    let sum = |from: usize| layers.layers.iter().skip(from).map(|layer| layer.resistance).sum::<f64>();
    let outwards = ThermalResistance::from_si(sum(place) + films.outer.si());
    let whole = ThermalResistance::from_si(sum(0) + films.inner.si() + films.outer.si());
    let (value, step) = DeckUnderside { θ_e: outside, θ_i: asked.indoor, R_o: outwards, R: whole }.step();
    let step = step
        .published(DeckUnderside::θ_i, format!("setting of {}", asked.pack))
        .given(DeckUnderside::R, subject.as_str());
    let basis = Basis::new("steady heat flow through the clear field", CLAUSE)
        .provenance("from memory, high")
        .step(mean)
        .step(step)
        .assuming("heat through the rafters is not counted");
    findings.fact(subject, &facts::DECK_TEMPERATURE, value, basis);
}
