//! The envelope against a pack's reference U-factors on the same areas.

use crate::assembly::all_missing;
use crate::construction::FramedMethod;
use crate::facts;
use crate::ua::{self, Constructions, HeatLoss, Loss, Part, Total};
use crate::windows::MOST_TERMS;
use indexmap::IndexMap;
use mateline_equation::equation;
use mateline_model::home::OpeningKind;
use mateline_model::quantity::{Conductance, ThermalTransmittance, Units};
use mateline_model::{Basis, Step, Subject};
use mateline_sdk::{Findings, Lack, Request};
use serde::Deserialize;
use serde_json::Value;

equation! {
    /// How far a design lies below its reference. Source: common practice, no source.
    pub(crate) Margin = "m = (UAref − UA)/UAref" {
        m: Ratio "margin" [Units::PERCENT],
        reference "UAref": Conductance "reference" [Units::CONDUCTANCE],
        UA: Conductance "proposed" [Units::CONDUCTANCE],
    }
}

/// What a pack asks of this plugin.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Settings {
    /// How framing enters the proposed UA.
    #[serde(default)]
    framed_method: FramedMethod,
    /// Reference U-factors by part. `none` leaves a part out of both sums; so does a table without `slab`, since codes
    /// set slabs an R-value and no U-factor. Any other part without an entry leaves the comparison unproven.
    #[serde(default)]
    reference: Option<IndexMap<String, Value>>,
}

/// The parts that a reference table may name.
const PARTS: &[&str] = &[
    "wall",
    "mass-wall",
    "ceiling",
    "roof",
    "floor",
    "exposed-floor",
    "basement-wall",
    "crawl-wall",
    "slab",
    "window",
    "skylight",
    "opaque-door",
];

/// Facts for every pack that gives a reference table.
pub(crate) fn report(request: &Request<'_>, constructions: &Constructions<'_>, findings: &mut Findings) {
    for (pack, value) in request.settings {
        let subject = Subject::element("references", pack);
        let settings = match serde_json::from_value::<Settings>(value.clone()) {
            Ok(settings) => settings,
            Err(error) => {
                let lack = Lack::new(format!("the settings of {pack} for envelope cannot be read: {error}"));
                all_missing(findings, &subject, ALL, &lack);
                continue;
            }
        };
        let Some(table) = settings.reference else { continue };
        let outcome = Table::read(&table)
            .and_then(|table| compare(request, constructions, pack, &table, settings.framed_method))
            .map(|comparison| comparison.write(pack, &subject, findings));
        if let Err(lack) = outcome {
            all_missing(findings, &subject, ALL, &lack);
        }
    }
}

const ALL: &[mateline_model::QuantityDef] = &[facts::REFERENCE_UA, facts::PROPOSED_UA, facts::UA_MARGIN];

/// A reference table: a U-factor, or `None` where a part has no requirement.
struct Table(IndexMap<String, Option<ThermalTransmittance>>);

impl Table {
    fn read(given: &IndexMap<String, Value>) -> Result<Table, Lack> {
        let mut table = IndexMap::new();
        for (part, value) in given {
            if !PARTS.contains(&part.as_str()) {
                return Err(Lack::new(format!("reference names {part}, which is none of {}", PARTS.join(", "))));
            }
            let u = match value {
                Value::Null => None,
                Value::String(word) if word == "none" => None,
                value => Some(
                    serde_json::from_value::<ThermalTransmittance>(value.clone())
                        .map_err(|error| Lack::new(format!("reference.{part} cannot be read: {error}")))?,
                ),
            };
            table.insert(part.clone(), u);
        }
        Ok(Table(table))
    }

    /// The entry for a part, or for the more general part it falls under.
    fn of(&self, part: Part) -> Result<(&'static str, Option<ThermalTransmittance>), &'static str> {
        let names: &[&'static str] = match part {
            Part::Opening(OpeningKind::Window | OpeningKind::GlazedDoor, _) => &["window"],
            Part::Opening(OpeningKind::Skylight, _) => &["skylight"],
            Part::Opening(OpeningKind::OpaqueDoor, _) => &["opaque-door"],
            Part::Opening(OpeningKind::Hatch, kind) | Part::Surface(kind) => kind.in_tables(),
        };
        names
            .iter()
            .find_map(|name| self.0.get(*name).map(|u| (*name, *u)))
            .or((names == ["slab"]).then_some(("slab", None)))
            .ok_or_else(|| names.first().copied().unwrap_or("part"))
    }
}

/// Both sums over the parts that have a reference.
struct Comparison {
    method: FramedMethod,
    losses: Vec<Loss>,
    reference: Vec<(&'static str, ThermalTransmittance)>,
    left_out: Vec<String>,
}

fn compare(
    request: &Request<'_>,
    constructions: &Constructions<'_>,
    pack: &str,
    table: &Table,
    method: FramedMethod,
) -> Result<Comparison, Lack> {
    let mut comparison = Comparison { method, losses: Vec::new(), reference: Vec::new(), left_out: Vec::new() };
    for loss in ua::losses(request, constructions, method)? {
        match table.of(loss.part) {
            Ok((name, Some(u))) => {
                comparison.reference.push((name, u));
                comparison.losses.push(loss);
            }
            Ok((_, None)) => comparison.left_out.push(loss.subject.to_string()),
            Err(part) => {
                return Err(Lack::new(format!("{pack} gives no reference U-factor for {part} ({})", loss.subject)));
            }
        }
    }
    if comparison.losses.is_empty() {
        return Err(Lack::new(format!("{pack} gives no reference U-factor for any part of this envelope")));
    }
    Ok(comparison)
}

impl Comparison {
    fn write(self, pack: &str, subject: &Subject, findings: &mut Findings) {
        let proposed = ua::sum(&self.losses);
        let (reference, sum) = self.reference_sum();
        let with_note = |basis: Basis| {
            if self.left_out.is_empty() {
                return basis;
            }
            basis.assuming(format!("left out of both sums, as the pack sets no U-factor: {}", self.left_out.join(", ")))
        };
        let basis = with_note(self.reference_basis(pack, sum));
        findings.fact(subject, &facts::REFERENCE_UA, reference, basis);
        let basis = with_note(ua::basis(&self.losses, self.method));
        match ua::greatest(&self.losses, proposed) {
            Some(at) => findings.fact_at(subject, &facts::PROPOSED_UA, proposed, basis, at),
            None => findings.fact(subject, &facts::PROPOSED_UA, proposed, basis),
        }
        let (margin, step) = Margin { reference, UA: proposed }.step();
        let step = step.fact(Margin::reference, subject, facts::REFERENCE_UA.name).fact(
            Margin::UA,
            subject,
            facts::PROPOSED_UA.name,
        );
        let basis = Basis::new("share of the reference", "common practice, no source").step(step);
        findings.fact(subject, &facts::UA_MARGIN, margin, basis);
    }

    /// The same areas with the pack's U-factors, part by part.
    fn reference_losses(&self) -> impl Iterator<Item = HeatLoss> {
        self.losses.iter().zip(&self.reference).map(|(loss, (_, u))| HeatLoss { U: *u, A: loss.area })
    }

    fn reference_sum(&self) -> (Conductance, Step) {
        let (sum, step) = ua::total(&self.losses, self.reference_losses().map(|heat| heat.value()));
        (sum, step.meaning(Total::UA, "reference heat loss coefficient").named(Total::UA, "UAref"))
    }

    fn reference_basis(&self, pack: &str, sum: Step) -> Basis {
        let mut basis = Basis::new("reference U-factor times the same areas", format!("U-factors of {pack}"));
        let parts = self.losses.iter().zip(&self.reference).zip(self.reference_losses());
        for (number, ((loss, (part, _)), heat)) in parts.enumerate().take(MOST_TERMS) {
            let step = heat.step().1.meaning(HeatLoss::H, loss.subject.to_string());
            basis = basis.step(
                step.meaning(HeatLoss::U, format!("reference for {part}"))
                    .published(HeatLoss::U, pack)
                    .fact(HeatLoss::A, &loss.subject, loss.area_fact())
                    .named(HeatLoss::H, format!("H{}", number + 1)),
            );
        }
        if self.losses.len() > MOST_TERMS {
            basis = basis.assuming(format!("{} more parts are in the sum", self.losses.len() - MOST_TERMS));
        }
        basis.step(sum)
    }
}
