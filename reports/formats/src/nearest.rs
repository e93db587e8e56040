//! "Did you mean": the known name nearest to a misspelt one.

/// A remark such as ` (did you mean 'assemblies.wall'?)`, or nothing when no name is near.
pub(crate) fn remark<'a>(text: &str, known: impl Iterator<Item = &'a str>) -> String {
    let mut best: Option<(f64, &str)> = None;
    for name in known {
        let score = strsim::jaro_winkler(text, name);
        if score > 0.75 && best.is_none_or(|(highest, _)| score > highest) {
            best = Some((score, name));
        }
    }
    best.map_or_else(String::new, |(_, name)| format!(" (did you mean '{name}'?)"))
}
