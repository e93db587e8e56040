//! The facts that vapour-retarder tables are read by: permeance inside and outside of the insulation, insulation outside of
//! the framing, what a ventilated cladding stands off from, and layers that shut water in.

use crate::facts;
use crate::layers::{Layers, VapourLayer};
use crate::settings;
use mateline_equation::equation;
use mateline_model::home::MaterialKind;
use mateline_model::quantity::{Permeance, ThermalResistance, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

const SERIES: &str = "layers in series";
const SOURCE: &str = "diffusion through layers in series, ISO 13788:2012, 6.1";
const MARK: &str = "from memory";

equation! {
    /// Permeance of layers together. Source: diffusion through layers in series, ISO 13788:2012, 6.1 (from memory).
    pub(crate) SeriesPermeance = "1/W = Σ 1/W_j" {
        W: Permeance "together" [Units::PERMEANCE],
        W_j: [Permeance] "a layer" [Units::PERMEANCE],
    }

    /// Insulation of several layers. Source: ISO 6946:2017, 6.7.1.2 (from memory).
    pub(crate) Together = "R = Σ R_j" {
        R: ThermalResistance "together" [Units::RESISTANCE],
        R_j: [ThermalResistance] "a layer" [Units::RESISTANCE],
    }
}

/// Every fact that needs the assembly's layers and no climate.
pub(crate) const QUANTITIES: [&QuantityDef; 7] = [
    &facts::INTERIOR_PERMEANCE,
    &facts::RESPONSIVE_RETARDER,
    &facts::RETARDER_WET_PERMEANCE,
    &facts::EXTERIOR_PERMEANCE,
    &facts::VENTED_OVER,
    &facts::TIGHT_LAYERS,
    &facts::TRAPPED_BETWEEN,
];

/// Writes them down.
pub(crate) fn report(request: &Request<'_>, subject: &Subject, layers: &Layers<'_>, findings: &mut Findings) {
    let inner = layers.first_insulation();
    permeance(subject, layers, Side::Inner(inner), findings);
    permeance(subject, layers, Side::Outer(layers.framing_zone().map(|(_, last)| last)), findings);
    wet_cup(subject, layers, findings);
    responsive(request, subject, layers, findings);
    vented_over(subject, layers, findings);
    tight(request, subject, layers, findings);
}

enum Side {
    Inner(Option<usize>),
    Outer(Option<usize>),
}

/// Permeance of all layers on one side of the insulation together.
pub(crate) fn interior(layers: &Layers<'_>) -> Option<f64> {
    let count = layers.first_insulation()?;
    in_series(layers.layers.get(..count)?)
}

fn in_series(layers: &[VapourLayer<'_>]) -> Option<f64> {
    (!layers.is_empty()).then(|| SeriesPermeance { W_j: &permeances(layers) }.value().si())
}

fn permeances(layers: &[VapourLayer<'_>]) -> Vec<Permeance> {
    layers.iter().map(|layer| Permeance::from_si(layer.vapour.permeance)).collect()
}

fn permeance(subject: &Subject, layers: &Layers<'_>, side: Side, findings: &mut Findings) {
    let (definition, chosen, first, reason) = match side {
        Side::Inner(place) => (
            &facts::INTERIOR_PERMEANCE,
            place.and_then(|place| layers.layers.get(..place)),
            0,
            "inside of its insulation",
        ),
        Side::Outer(place) => {
            let first = place.map_or(0, |place| place + 1);
            (
                &facts::EXTERIOR_PERMEANCE,
                place.and_then(|_| layers.layers.get(first..)),
                first,
                "outside of its framing",
            )
        }
    };
    let Some(chosen) = chosen.filter(|chosen| !chosen.is_empty()) else {
        let because = format!("{subject} has no layer {reason}");
        findings.missing(subject, definition, because, Some(Pointer::new(subject.as_str())));
        return;
    };
    let (value, step) = SeriesPermeance { W_j: &permeances(chosen) }.step();
    let step = step.meaning(SeriesPermeance::W, reason).each(
        SeriesPermeance::W_j,
        chosen.iter().enumerate(),
        |term, (place, layer)| {
            let meaning = format!("{}: {}", layer.name, layer.vapour.from);
            Term { meaning, ..term }.given(layers.path(first + place))
        },
    );
    let basis = Basis::new(SERIES, SOURCE)
        .provenance(MARK)
        .step(step)
        .assuming("the layers together, dry cup; a code that asks for one layer of a class is met by less");
    let tightest = chosen.iter().enumerate().max_by(|(_, a), (_, b)| a.vapour.sd.total_cmp(&b.vapour.sd));
    let at = tightest.map_or_else(|| subject.to_string(), |(place, _)| layers.path(first + place));
    findings.fact_at(subject, definition, value, basis, Pointer::new(at));
}

/// The layers inside of the insulation, from inside; none where there is no insulation.
fn inside<'a, 'b>(layers: &'b Layers<'a>) -> &'b [VapourLayer<'a>] {
    layers.first_insulation().and_then(|count| layers.layers.get(..count)).unwrap_or_default()
}

/// What humid air makes of the tightest layer inside of the insulation.
fn wet_cup(subject: &Subject, layers: &Layers<'_>, findings: &mut Findings) {
    let tightest =
        inside(layers).iter().enumerate().min_by(|(_, a), (_, b)| a.vapour.permeance.total_cmp(&b.vapour.permeance));
    let found = match tightest {
        None => Err(Lack::at(format!("{subject} has no layer inside of its insulation"), subject.as_str())),
        Some((place, layer)) => layer.vapour.wet_permeance.map(|wet| (place, layer, wet)).ok_or_else(|| {
            let path = layers.path(place);
            let because = format!("wet_cup_permeance of {} is not given, in {path}", layer.material);
            Lack::at(because, format!("{path}.material"))
        }),
    };
    match found {
        Err(lack) => lack.write(subject, &[&facts::RETARDER_WET_PERMEANCE], findings),
        Ok((place, layer, wet)) => {
            let wet = Permeance::from_si(wet);
            let path = layers.path(place);
            let term = |symbol: &'static str, cup: &str, value: Permeance| {
                Term::new(symbol, format!("{}, {cup}", layer.name), value, Units::PERMEANCE)
            };
            let step = Step::procedure("W_wet of the layer with the least W")
                .term(term("W", "dry cup", Permeance::from_si(layer.vapour.permeance)).given(path.clone()))
                .result(term("W_wet", "wet cup", wet).given(path.clone()));
            let basis = Basis::new("wet cup of the tightest layer", "ASTM E96, procedures A and B").step(step);
            findings.fact_at(subject, &facts::RETARDER_WET_PERMEANCE, wet, basis, Pointer::new(path));
        }
    }
}

/// The retarder that opens in humid air: by the dry cup as tight as a pack says or tighter, by the wet cup more open. A
/// second layer as tight that does not open takes that away.
fn responsive(request: &Request<'_>, subject: &Subject, layers: &Layers<'_>, findings: &mut Findings) {
    let owed = [&facts::RESPONSIVE_RETARDER];
    let Some((pack, limit)) = settings::permeance(request, "responsive") else {
        let because = "no pack says from which permeance on a layer is a retarder".to_owned();
        Lack { because, at: None }.write(subject, &owed, findings);
        return;
    };
    let mut step = Step::procedure("every layer with W at most W_1 has W_wet above W_1").term(
        Term::new("W_1", "permeance of a retarder, at most", limit, Units::PERMEANCE)
            .published(format!("setting of {pack}")),
    );
    let mut assumption = "the dry cup says which layers are retarders";
    let retarders = inside(layers).iter().enumerate().filter(|(_, layer)| layer.vapour.permeance <= limit.si());
    let mut tightest: Option<(usize, &VapourLayer<'_>)> = None;
    let mut all_open = true;
    for (place, layer) in retarders {
        let path = layers.path(place);
        let term = Term::new(
            "W",
            format!("{}, dry cup", layer.name),
            Permeance::from_si(layer.vapour.permeance),
            Units::PERMEANCE,
        );
        step = step.term(term.given(path.clone()));
        match layer.vapour.wet_permeance {
            Some(wet) => {
                let term =
                    Term::new("W_wet", format!("{}, wet cup", layer.name), Permeance::from_si(wet), Units::PERMEANCE);
                step = step.term(term.given(path));
                all_open &= wet > limit.si();
            }
            None => {
                assumption =
                    "the dry cup says which layers are retarders; one without wet_cup_permeance is not responsive";
                all_open = false;
            }
        }
        if tightest.is_none_or(|(_, known)| layer.vapour.permeance < known.vapour.permeance) {
            tightest = Some((place, layer));
        }
    }
    let found = tightest.filter(|_| all_open);
    let word = found.map_or("none", |(_, layer)| layer.name);
    let basis = Basis::new("retarder by the dry cup, open by the wet cup", "IRC 2021 R702.7; ASTM E96")
        .provenance(MARK)
        .step(step)
        .assuming(assumption);
    findings.text(subject, &facts::RESPONSIVE_RETARDER, word, basis);
}

/// The resistance of some layers together with its step, and the last of them.
pub(crate) fn together<'b>(
    layers: &Layers<'_>,
    chosen: impl Iterator<Item = (usize, &'b VapourLayer<'b>)>,
    meaning: &str,
) -> (ThermalResistance, Step, Option<usize>) {
    let chosen: Vec<_> = chosen.collect();
    let resistances: Vec<_> = chosen.iter().map(|(_, layer)| ThermalResistance::from_si(layer.resistance)).collect();
    let (sum, step) = Together { R_j: &resistances }.step();
    let named = |term, (place, layer): &(usize, &VapourLayer<'_>)| {
        Term { meaning: layer.name.to_owned(), ..term }.given(layers.path(*place))
    };
    (
        sum,
        step.meaning(Together::R, meaning).each(Together::R_j, &chosen, named),
        chosen.last().map(|(place, _)| *place),
    )
}

/// What lies behind a ventilated cavity, membranes apart.
fn vented_over(subject: &Subject, layers: &Layers<'_>, findings: &mut Findings) {
    let behind = layers.layers.iter().enumerate().rfind(|(_, layer)| layer.kind != Some(MaterialKind::Membrane));
    let basis = Basis::new("the layer next inside of a ventilated cavity, membranes apart", "the home file");
    let (word, basis) = match behind {
        Some((place, layer)) if layers.vented => {
            let term = Term::new(
                "layer",
                "behind the cavity",
                mateline_model::Value::Text(layer.name.to_owned()),
                Units::COUNT,
            );
            (sheathing(layer), basis.step(Step::procedure("layer").term(term.given(layers.path(place)))))
        }
        _ => ("none", basis),
    };
    findings.text(subject, &facts::VENTED_OVER, word, basis);
}

/// The kind of sheathing that a material is, by its id.
fn sheathing(layer: &VapourLayer<'_>) -> &'static str {
    let id = layer.material;
    if layer.is_framed {
        "other"
    } else if id.contains("osb") || id.contains("plywood") {
        "wood-structural-panel"
    } else if id.contains("gypsum") {
        "gypsum"
    } else if id.contains("fibre-board") || id.contains("fibreboard") || id.contains("fiberboard") {
        "fibreboard"
    } else {
        "other"
    }
}

/// Layers as tight as a pack says, with something between the outermost two that can get wet.
fn tight(request: &Request<'_>, subject: &Subject, layers: &Layers<'_>, findings: &mut Findings) {
    let owed = [&facts::TIGHT_LAYERS, &facts::TRAPPED_BETWEEN];
    let Some((pack, limit)) = settings::permeance(request, "tight") else {
        let lack = Lack { because: "no pack says from which permeance on a layer is tight".to_owned(), at: None };
        lack.write(subject, &owed, findings);
        return;
    };
    let tight: Vec<usize> = layers
        .layers
        .iter()
        .enumerate()
        .filter(|(_, layer)| layer.vapour.permeance <= limit.si())
        .map(|(place, _)| place)
        .collect();
    let mut step = Step::procedure("count of layers, where something between them can get wet").term(
        Term::new("W", "permeance of a tight layer, at most", limit, Units::PERMEANCE)
            .published(format!("setting of {pack}")),
    );
    for place in &tight {
        if let Some(layer) = layers.layers.get(*place) {
            let term =
                Term::new("W_j", layer.name.to_owned(), Permeance::from_si(layer.vapour.permeance), Units::PERMEANCE);
            step = step.term(term.given(layers.path(*place)));
        }
    }
    let shut = match (tight.first(), tight.last()) {
        (Some(first), Some(last)) if first < last => {
            let between = layers.layers.get(first + 1..*last).unwrap_or_default();
            between.iter().any(VapourLayer::can_get_wet).then_some((*first, *last))
        }
        _ => None,
    };
    let called = |place: usize| layers.layers.get(place).map_or("", |layer| layer.name);
    let (count, words, at) = match shut {
        Some((first, last)) => (tight.len(), format!("{} and {}", called(first), called(last)), layers.path(last)),
        None => (0, "none".to_owned(), subject.to_string()),
    };
    let basis = Basis::new("tight layers on both sides of what can get wet", "common practice, no source")
        .step(step)
        .assuming("wood, boards, fibres and framing can get wet; foam, masonry, metal and sheets are not harmed");
    let quantity = mateline_model::Value::from(count as f64);
    findings.fact_at(subject, &facts::TIGHT_LAYERS, quantity, basis.clone(), Pointer::new(at));
    findings.text(subject, &facts::TRAPPED_BETWEEN, words, basis);
}
