//! The templates: embedded, escaping on, undefined names refused, work limited.

use crate::error::ReportError;
use crate::printable;
use minijinja::syntax::SyntaxConfig;
use minijinja::value::{Serde, Value};
use minijinja::{AutoEscape, Environment, UndefinedBehavior, escape_formatter};
use serde::Serialize;
use std::collections::BTreeMap;

pub(crate) const TEMPLATES: &[(&str, &str)] = &[
    ("page.html", include_str!("templates/page.html")),
    ("unusable.html", include_str!("templates/unusable.html")),
    ("style.css", include_str!("templates/style.css")),
    ("firm.css", include_str!("templates/firm.css")),
    ("firm.html", include_str!("templates/firm.html")),
    ("shapes.svg", include_str!("templates/shapes.svg")),
    ("summary.html", include_str!("templates/summary.html")),
    ("filter.js", include_str!("templates/filter.js")),
    ("find.js", include_str!("templates/find.js")),
    ("verdicts.html", include_str!("templates/verdicts.html")),
    ("figures.html", include_str!("templates/figures.html")),
    ("figure.html", include_str!("templates/figure.html")),
    ("plans.html", include_str!("templates/plans.html")),
    ("contents.html", include_str!("templates/contents.html")),
    ("calculation.html", include_str!("templates/calculation.html")),
    ("sheet.html", include_str!("templates/sheet.html")),
    ("facts.html", include_str!("templates/facts.html")),
    ("sources.html", include_str!("templates/sources.html")),
    ("cautions.html", include_str!("templates/cautions.html")),
    ("comparison.html", include_str!("templates/comparison.html")),
    ("comparison_verdicts.html", include_str!("templates/comparison_verdicts.html")),
    ("comparison_edits.html", include_str!("templates/comparison_edits.html")),
    ("comparison_facts.html", include_str!("templates/comparison_facts.html")),
    ("study.html", include_str!("templates/study.html")),
    ("table.html", include_str!("templates/table.html")),
    ("figure_head.svg", include_str!("templates/figure_head.svg")),
    ("bars.svg", include_str!("templates/bars.svg")),
    ("chart.svg", include_str!("templates/chart.svg")),
    ("elevation.svg", include_str!("templates/elevation.svg")),
    ("field.svg", include_str!("templates/field.svg")),
    ("marks.svg", include_str!("templates/marks.svg")),
    ("paths.svg", include_str!("templates/paths.svg")),
    ("plan_boxes.svg", include_str!("templates/plan_boxes.svg")),
    ("plan_north.svg", include_str!("templates/plan_north.svg")),
    ("plan_symbol.svg", include_str!("templates/plan_symbol.svg")),
    ("plan_scale.svg", include_str!("templates/plan_scale.svg")),
    ("seam_plan.svg", include_str!("templates/seam_plan.svg")),
    ("plan.svg", include_str!("templates/plan.svg")),
    ("section.svg", include_str!("templates/section.svg")),
];

/// Template steps allowed for a page with nothing on it.
const BASE_FUEL: u64 = 1_000_000;
/// Further steps for each fact, verdict, layer and the like.
const FUEL_PER_ITEM: u64 = 20_000;

/// Fills a template with a view that holds about `items` things to print.
pub(crate) fn fill(template: &str, view: &impl Serialize, items: usize) -> Result<String, ReportError> {
    fill_with(&[], &BTreeMap::new(), template, view, items)
}

/// How templates are written.
pub(crate) fn syntax() -> Result<SyntaxConfig, minijinja::Error> {
    SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).build()
}

/// The same with templates of another crate, name and text, which may include those of the reports, and with parts of a
/// firm's own, which take the place of those of their names.
///
/// # Errors
/// When the template cannot be filled.
pub fn fill_with(
    more: &[(&'static str, &'static str)],
    parts: &BTreeMap<String, String>,
    template: &str,
    view: &impl Serialize,
    items: usize,
) -> Result<String, ReportError> {
    let fail = |cause| ReportError::new(template, cause, |name| parts.contains_key(name));
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.set_syntax(syntax().map_err(fail)?);
    environment.set_fuel(Some(BASE_FUEL.saturating_add(FUEL_PER_ITEM.saturating_mul(items as u64))));
    environment.set_formatter(|out, state, value| match value.as_str() {
        Some(text) if !value.is_safe() => Ok(out.write_str(&escaped(text))?),
        _ => escape_formatter(out, state, value),
    });
    let own = TEMPLATES.iter().chain(more).map(|(name, text)| (*name, parts.get(*name).map_or(*text, String::as_str)));
    // What a part replaces is there under another name, so that a part may add to it.
    let replaced: Vec<(String, &str)> = TEMPLATES
        .iter()
        .chain(more)
        .filter(|(name, _)| parts.contains_key(*name))
        .map(|(name, text)| (format!("default/{name}"), *text))
        .collect();
    for (name, source) in own.chain(replaced.iter().map(|(name, text)| (name.as_str(), *text))) {
        environment.add_template(name, source).map_err(fail)?;
    }
    environment.get_template(template).and_then(|page| page.render(Value::from(Serde(view)))).map_err(fail)
}

/// Text made harmless in HTML and SVG, between tags and in quoted attributes. A slash stays, so that units and the names
/// of rules can be searched for.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in printable::block(text).chars() {
        match c {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            c => escaped.push(c),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn what_could_be_markup_is_escaped() {
        assert_eq!(escaped("<a href=\"x\" b='y'>&</a>"), "&lt;a href=&quot;x&quot; b=&#39;y&#39;&gt;&amp;&lt;/a&gt;");
        assert_eq!(escaped("W/(m²·K)\u{0}"), "W/(m²·K)\u{fffd}");
    }

    #[test]
    fn a_name_the_view_does_not_have_is_an_error() {
        let error = fill("page.html", &BTreeMap::from([("title", "x")]), 0).unwrap_err();
        assert!(error.to_string().starts_with("the template page.html cannot be filled: "), "{error}");
    }
}
