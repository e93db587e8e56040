//! What is said of each finish's content: category, VOC, composite wood. As given; limits live in `rules/`.

use crate::category;
use crate::facts;
use mateline_model::home::{CompositeWoodClass, Finish, Home, Panel};
use mateline_model::quantity::Quantity;
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

/// Facts of every finish.
pub(crate) fn report(home: &Home, findings: &mut Findings) {
    for (id, finish) in &home.finishes {
        let mut one = One { subject: Subject::element("finishes", id), finish, findings };
        one.names();
        one.volatile();
        one.composite_wood();
    }
}

struct One<'a> {
    subject: Subject,
    finish: &'a Finish,
    findings: &'a mut Findings,
}

impl One<'_> {
    /// A value as it stands in the home.
    fn given(&mut self, definition: &QuantityDef, field: &str, value: Value) {
        let path = format!("{}.{field}", self.subject);
        let term = Term::new("x", field.replace('_', " "), value.clone(), definition.units.clone()).given(path.clone());
        let basis = Basis::new("as given", "the home").step(Step::procedure("x").term(term));
        self.findings.fact_at(&self.subject, definition, value, basis, Pointer::new(path));
    }

    fn missing(&mut self, definition: &QuantityDef, field: &str) {
        let because = format!("{} has no {field}", self.subject);
        Lack::at(because, self.subject.as_str()).write(&self.subject, &[definition], self.findings);
    }

    fn names(&mut self) {
        let known = category::find(&self.finish.category).map(|(id, _)| id);
        let word = known.map_or_else(|| self.finish.category.to_string(), str::to_owned);
        self.given(&facts::CATEGORY, "category", Value::Text(word));
        match category::kind(self.subject.as_str(), self.finish) {
            Ok(kind) => {
                let field = if self.finish.kind.is_some() { "kind" } else { "category" };
                self.given(&facts::KIND, field, Value::Text(category::word(kind).to_owned()));
            }
            Err(lack) => lack.write(&self.subject, &[&facts::KIND], self.findings),
        }
    }

    fn volatile(&mut self) {
        match self.finish.voc_content {
            Some(content) => self.given(&facts::VOC_CONTENT, "voc_content", content.into()),
            None => self.missing(&facts::VOC_CONTENT, "voc_content"),
        }
        match self.finish.colourant_voc {
            Some(content) => self.given(&facts::COLOURANT_VOC, "colourant_voc", content.into()),
            None => self.missing(&facts::COLOURANT_VOC, "colourant_voc"),
        }
    }

    fn composite_wood(&mut self) {
        match category::may_hold_composite_wood(self.subject.as_str(), self.finish) {
            Ok(may) => {
                let category = Value::Text(self.finish.category.to_string());
                let term = Term::new("category", "category", category, mateline_model::quantity::Units::plain(0));
                let step = Step::procedure("joinery, panels, wooden categories, and what names its composite wood")
                    .term(term.given(format!("{}.category", self.subject)));
                let basis =
                    Basis::new("kind and category of the finish, and what it says itself", "the home").step(step);
                self.findings.flag(&self.subject, &facts::MAY_HOLD_COMPOSITE_WOOD, may, basis);
            }
            Err(lack) => lack.write(&self.subject, &[&facts::MAY_HOLD_COMPOSITE_WOOD], self.findings),
        }
        match self.finish.composite_wood {
            Some(class) => {
                self.given(&facts::COMPOSITE_WOOD, "composite_wood", Value::Text(class_word(class).to_owned()));
            }
            None => self.missing(&facts::COMPOSITE_WOOD, "composite_wood"),
        }
        match self.finish.panel {
            Some(panel) => self.given(&facts::PANEL, "panel", Value::Text(panel_word(panel).to_owned())),
            None => self.missing(&facts::PANEL, "panel"),
        }
        match self.finish.panel_formaldehyde {
            Some(measured) => {
                self.given(&facts::PANEL_FORMALDEHYDE, "panel_formaldehyde", Quantity::from(measured).into());
            }
            None => self.missing(&facts::PANEL_FORMALDEHYDE, "panel_formaldehyde"),
        }
    }
}

/// Whether a finish holds composite wood: it says of which class or panel.
pub(crate) fn holds_composite_wood(finish: &Finish) -> bool {
    let class = finish.composite_wood.is_some_and(|class| class != CompositeWoodClass::NoCompositeWood);
    class || finish.panel.is_some()
}

/// The word for a class, as a home writes it.
fn class_word(class: CompositeWoodClass) -> &'static str {
    match class {
        CompositeWoodClass::Certified => "certified",
        CompositeWoodClass::UltraLowEmitting => "ultra-low-emitting",
        CompositeWoodClass::NoAddedFormaldehyde => "no-added-formaldehyde",
        CompositeWoodClass::Uncertified => "uncertified",
        CompositeWoodClass::NoCompositeWood => "no-composite-wood",
    }
}

/// The word for a panel, as a home writes it.
fn panel_word(panel: Panel) -> &'static str {
    match panel {
        Panel::HardwoodPlywood => "hardwood-plywood",
        Panel::Mdf => "mdf",
        Panel::ThinMdf => "thin-mdf",
        Panel::Particleboard => "particleboard",
    }
}
