//! Files of every shape and of any size, most of which no home has: what reading them may cost.

/// A shape of file: its name, and the text of about so many bytes.
pub type Shape = (&'static str, fn(usize) -> String);

/// What every home needs, so that reading goes on to what follows.
const HEAD: &str = "home: Large\nrevision: {id: A, date: 2026-10-05}\nsite: {place: Nowhere, climate_zone: 6A}\n";

/// The head of a home and a section whose entries are made from their number.
fn section(name: &str, size: usize, entry: impl Fn(usize) -> String) -> String {
    let mut text = format!("{HEAD}{name}:\n");
    for number in 0.. {
        let next = entry(number);
        if text.len() + next.len() > size.max(text.len() + next.len() * usize::from(number == 0)) {
            break;
        }
        text += &next;
    }
    text
}

/// A piece as often as it fits, between a beginning and an end.
fn filled(beginning: &str, piece: &str, end: &str, size: usize) -> String {
    let times = size.saturating_sub(beginning.len() + end.len()) / piece.len();
    format!("{beginning}{}{end}", piece.repeat(times))
}

/// A box at a place of its own.
fn module(number: usize) -> String {
    let level = 1 + number % 2;
    let (x, y) = (number / 2 % 100 * 40, number / 200 * 14);
    format!("  M{number}: {{level: {level}, at: {{x: {x} ft, y: {y} ft}}, size: {{x: 40 ft, y: 14 ft, z: 9 ft}}}}\n")
}

/// All shapes.
pub const SHAPES: &[Shape] = &[
    ("a home of many boxes", |size| section("modules", size, module)),
    ("boxes with a mistake each", |size| {
        section("modules", size, |n| format!("  M{n}: {{level: one, at: {{x: 1 ft}}}}\n"))
    }),
    ("boxes with an unknown key each", |size| section("modules", size, |n| format!("  M{n}: {{levle: 1}}\n"))),
    ("openings in no box", |size| {
        let entry =
            |n| format!("  o{n}: {{kind: door, module: Q{n}, face: south, width: 3 ft, height: 7 ft, sill: 0 ft}}\n");
        section("modules", 400, module) + &section("openings", size, entry)[HEAD.len()..]
    }),
    ("negative figures", |size| {
        section("modules", size, |n| {
            format!("  M{n}: {{level: 1, at: {{x: 0 ft, y: 0 ft}}, size: {{x: -1 ft, y: -2 ft, z: -3 ft}}}}\n")
        })
    }),
    ("materials nobody uses", |size| {
        let entry = |n| format!("  m{n}: {{conductivity: 0.04 W/(m·K), source: invented}}\n");
        section("modules", 400, module) + &section("materials", size, entry)[HEAD.len()..]
    }),
    ("empty mappings in one line", |size| filled("x: [", "{}, ", "{}]\n", size)),
    ("empty lists in one line", |size| filled("x: [", "[], ", "[]]\n", size)),
    ("one key again and again", |size| filled("x: {", "a: 1, ", "a: 1}\n", size)),
    ("one key again and again, in lines", |size| filled("", "a: 1\n", "", size)),
    ("keys in one line", |size| {
        let keys: String = (0..size / 12).map(|n| format!("k{n}: {{}}, ")).collect();
        format!("x: {{{keys}}}\n")
    }),
    ("short lines", |size| filled("x:\n", "- a\n", "", size)),
    ("empty items", |size| filled("x:\n", "-\n", "", size)),
    ("mappings in lines", |size| filled("x:\n", "- {a: {b: [1]}}\n", "", size)),
    ("brackets that open", |size| filled("x: ", "[", "\n", size)),
    ("braces that open", |size| filled("x: ", "{a: ", "\n", size)),
    ("brackets that close", |size| filled("x: ", "]", "\n", size)),
    ("lists in lists in one line", |size| filled("", "- ", "a\n", size)),
    ("keys in keys in one line", |size| filled("", "? ", "a\n", size)),
    ("colons", |size| filled("", "a: ", "1\n", size)),
    ("commas", |size| filled("x: [", ",", "]\n", size)),
    ("a long plain text", |size| filled("x: ", "word ", "\n", size)),
    ("a plain text of many lines", |size| filled("x: a\n", "  word\n", "", size)),
    ("a long quoted text", |size| filled("x: \"", "word ", "\"\n", size)),
    ("a quoted text of many lines", |size| filled("x: \"", "word\n ", "\"\n", size)),
    ("a quote that never closes", |size| filled("x: \"", "word\n ", "\n", size)),
    ("escapes", |size| filled("x: \"", "\\u00e9", "\"\n", size)),
    ("a block of text", |size| filled("x: |\n", "  word\n", "", size)),
    ("a block of empty lines", |size| filled("x: |\n", "\n", "  word\n", size)),
    ("a folded text", |size| filled("x: >\n", "  word\n\n", "", size)),
    ("a long key", |size| filled("", "k", ": 1\n", size)),
    ("a long quoted key", |size| filled("\"", "k ", "\": 1\n", size)),
    ("comments", |size| filled("", "# comment\n", "", size)),
    ("a long comment", |size| filled("x: 1 # ", "comment ", "\n", size)),
    ("empty lines", |size| filled("", "\n", "x: 1\n", size)),
    ("blanks", |size| filled("x:", " ", "1\n", size)),
    ("tabs", |size| filled("x:", "\t", "1\n", size)),
    ("a deep indent", |size| filled("x:\n", " ", "y: 1\n", size)),
    ("anchors", |size| {
        let items: String = (0..size / 12).map(|n| format!("- &a{n} x\n")).collect();
        format!("x:\n{items}")
    }),
    ("aliases", |size| filled("x: &a [1, 2, 3]\ny:\n", "- *a\n", "", size)),
    ("aliases of aliases", |size| {
        let mut text = "a0: &a0 [x, x]\n".to_owned();
        let mut number = 0;
        while text.len() < size {
            text += &format!("a{}: &a{} [*a{number}, *a{number}]\n", number + 1, number + 1);
            number += 1;
        }
        text
    }),
    ("tags", |size| filled("x:\n", "- !!str a\n", "", size)),
    ("directives", |size| filled("", "%TAG ! tag:a,b:\n", "---\nx: 1\n", size)),
    ("documents", |size| filled("", "---\nx: 1\n", "", size)),
    ("ends of lines of old", |size| filled("x:\r", "- a\r", "", size)),
    ("characters of four bytes", |size| filled("x: [", "🏠, ", "🏠]\n", size)),
    ("numbers of many digits", |size| filled("x: ", "9", "\n", size)),
    ("files to include", |size| filled("include: [", "a.yaml, ", "a.yaml]\n", size)),
];
