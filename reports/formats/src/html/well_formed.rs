//! Whether a page or figure is well formed: every tag closed in order, attributes quoted, no stray `<`, `>` or `&`.
//! Only for tests.

/// Elements of HTML that have no end tag.
const VOID: &[&str] = &["meta", "link", "br", "hr", "img", "input", "col"];

/// Looks through a text; says what is wrong where.
pub(crate) fn check(text: &str) -> Result<(), String> {
    let mut open: Vec<&str> = Vec::new();
    let mut rest = text;
    let near = |rest: &str| rest.chars().take(60).collect::<String>();
    while let Some(start) = rest.find(['<', '&', '>']) {
        let tail = rest.get(start..).unwrap_or_default();
        if tail.starts_with('>') {
            return Err(format!("a stray '>' at {}", near(tail)));
        }
        if let Some(entity) = tail.strip_prefix('&') {
            let end = entity.find(';').ok_or_else(|| format!("an open '&' at {}", near(tail)))?;
            let name = entity.get(..end).unwrap_or_default();
            if name.is_empty() || !name.chars().all(|c| c.is_ascii_alphanumeric() || c == '#') {
                return Err(format!("a stray '&' at {}", near(tail)));
            }
            rest = entity.get(end + 1..).unwrap_or_default();
            continue;
        }
        let end = tag_end(tail).ok_or_else(|| format!("an open tag at {}", near(tail)))?;
        let tag = tail.get(1..end).unwrap_or_default();
        rest = tail.get(end + 1..).unwrap_or_default();
        if tag.starts_with('!') {
            continue;
        }
        if let Some(name) = tag.strip_prefix('/') {
            match open.pop() {
                Some(last) if last == name => {}
                last => return Err(format!("</{name}> closes {last:?} before {}", near(rest))),
            }
            continue;
        }
        let name = tag.split([' ', '/', '\n']).next().unwrap_or_default();
        if !name.starts_with(|c: char| c.is_ascii_alphabetic()) || !name.chars().all(|c| c.is_ascii_alphanumeric()) {
            return Err(format!("no element is called '{name}' before {}", near(rest)));
        }
        attributes(tag.strip_prefix(name).unwrap_or_default().trim_end_matches('/'))?;
        if !tag.ends_with('/') && !VOID.contains(&name) {
            open.push(name);
        }
        if matches!(name, "style" | "script") {
            let close = rest.find(&format!("</{name}>")).ok_or_else(|| format!("an open <{name}>"))?;
            rest = rest.get(close..).unwrap_or_default();
        }
    }
    if open.is_empty() { Ok(()) } else { Err(format!("never closed: {open:?}")) }
}

/// Where a tag ends, looking past quoted attributes.
fn tag_end(tag: &str) -> Option<usize> {
    let mut quoted = false;
    for (at, c) in tag.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '>' if !quoted => return Some(at),
            '<' if at > 0 => return None,
            _ => {}
        }
    }
    None
}

/// `name="value"` pairs, or names alone, each name once.
fn attributes(text: &str) -> Result<(), String> {
    let mut names: Vec<&str> = Vec::new();
    let mut rest = text.trim_start();
    while !rest.is_empty() {
        let length = rest.find(['=', ' ', '\n']).unwrap_or(rest.len());
        let name = rest.get(..length).unwrap_or_default();
        if !name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | ':')) || names.contains(&name) {
            return Err(format!("the attribute '{name}' in {text}"));
        }
        names.push(name);
        rest = rest.get(length..).unwrap_or_default();
        if let Some(value) = rest.strip_prefix("=\"") {
            let end = value.find('"').ok_or_else(|| format!("an open quote in {text}"))?;
            rest = value.get(end + 1..).unwrap_or_default();
        } else if rest.starts_with('=') {
            return Err(format!("an attribute without quotes in {text}"));
        }
        rest = rest.trim_start();
    }
    Ok(())
}

#[test]
fn faults_are_found() {
    assert_eq!(check("<!doctype html><p class=\"a\">x &amp; y<br></p>"), Ok(()));
    for wrong in ["<p>", "<p></b>", "a > b", "a & b", "<p class=a></p>", "<p a=\"1\" a=\"2\"></p>", "<p", "<1></1>"] {
        assert!(check(wrong).is_err(), "{wrong}");
    }
}
