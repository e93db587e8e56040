//! Every message, with the piece of the text it points at.

use super::super::LONGEST;
use super::*;

/// The text, then each message with what it points at.
const MESSAGES: &[(&str, &[(&str, &str)])] = &[
    // Characters and units.
    ("layer.thickness > 3 inn", &[("unknown unit 'inn' (did you mean 'in'?)", "inn")]),
    ("layer.thickness > 3 inn/x", &[("unknown unit 'inn' (did you mean 'in'?)", "inn")]),
    ("u < 3 W/(m²·Q)", &[("unknown unit 'W/(m²·Q)'", "W/(m²·Q)")]),
    ("u < 3 W·Q", &[("unknown unit 'W·Q'", "W·Q")]),
    ("2 x == 1", &[("unknown unit 'x'", "x")]),
    ("1/2 x == 1", &[("unknown unit 'x'", "x")]),
    ("1 inn + 2 furlong", &[("unknown unit 'inn' (did you mean 'in'?)", "inn"), ("unknown unit 'furlong'", "furlong")]),
    ("5 ft 2 == layer.thickness", &[("'5 ft 2' needs a unit", "5 ft 2")]),
    ("3 ft 2 lb > 1", &[("the terms measure different things", "3 ft 2 lb")]),
    (
        "3 ft -2 in < 1 m",
        &[("'3 ft -2 in' can be read in two ways; set a blank behind the minus, or leave it out", "3 ft -2 in")],
    ),
    ("9 17/16 in", &[("'17/16' is not a proper fraction", "9 17/16 in")]),
    ("1e999 m > 1 m", &[("'1e999 m' is not a finite number", "1e999 m")]),
    ("5.5.5 > 1", &[("'5.5.' is not a number", "5.5")]),
    ("5_000 > 1", &[("'5_' is not a number", "5")]),
    ("kind = 'wall'", &[("unexpected '=' (did you mean '=='?)", "=")]),
    ("inspected & true", &[("unexpected '&' (did you mean '&&'?)", "&")]),
    ("inspected | true", &[("unexpected '|' (did you mean '||'?)", "|")]),
    (
        "kind == \"wall\"",
        &[
            ("unexpected '\\\"' (a text stands in single quotes: 'wall')", "\""),
            ("unexpected '\\\"' (a text stands in single quotes: 'wall')", "\""),
        ],
    ),
    ("share ≤ 1", &[("unexpected '≤' (did you mean '<='?)", "≤")]),
    ("share ≥ 1", &[("unexpected '≥' (did you mean '>='?)", "≥")]),
    ("share ≠ 1", &[("unexpected '≠' (did you mean '!='?)", "≠")]),
    ("share − 1", &[("unexpected '−' (did you mean '-'?)", "−")]),
    ("share × 2", &[("unexpected '×' (did you mean '*'?)", "×")]),
    ("share ÷ 2", &[("unexpected '÷' (did you mean '/'?)", "÷")]),
    ("share @ 2", &[("unexpected '@'", "@")]),
    ("share \u{7} 2", &[("unexpected '\\u{7}'", "\u{7}")]),
    ("kind == 'wall", &[("the text is not closed with '", "'wall")]),
    ("Kind == 'wall'", &[("'Kind' is not a name (each part begins with a lower-case letter)", "Kind")]),
    ("R-value > 1", &[("'R-value' is not a name (each part begins with a lower-case letter)", "R-value")]),
    ("area of modules.A", &[("'modules.A' is not a name (each part begins with a lower-case letter)", "modules.A")]),
    ("layer. > 1", &[("'layer.' is not a name (each part begins with a lower-case letter)", "layer.")]),
    // Order of tokens.
    ("", &[("the expression is empty", "")]),
    ("  ", &[("the expression is empty", "  ")]),
    ("1 < 2 < 3", &[("comparisons do not chain (join two with 'and')", "<")]),
    ("share == 1 == inspected", &[("comparisons do not chain (join two with 'and')", "==")]),
    ("'vinyl' in contains == false", &[("comparisons do not chain (join two with 'and')", "==")]),
    ("share >", &[("a value is missing at the end", "")]),
    ("inspected and", &[("a value is missing at the end", "")]),
    ("(share > ) and inspected", &[("a value is missing before ')'", ")")]),
    ("or inspected", &[("a value is missing before 'or'", "or")]),
    ("1 + + 1", &[("a value is missing before '+'", "+")]),
    ("1 == not inspected", &[("a value is missing before 'not'", "not")]),
    ("(share > 1", &[("'(' is not closed", "(")]),
    ("kind in ['wall', 'floor'", &[("'[' is not closed", "[")]),
    ("min(1, 2", &[("'(' is not closed", "(")]),
    ("share > 1)", &[("unexpected ')'", ")")]),
    ("(share > 1]", &[("unexpected ']'", "]")]),
    ("kind 'wall'", &[("unexpected 'wall'", "'wall'")]),
    ("kind not in ['wall']", &[("unexpected 'not'", "not")]),
    ("min(1, )", &[("a value is missing before ')'", ")")]),
    ("area of", &[("'of' needs a subject after it, not the end", "")]),
    ("area of 3", &[("'of' needs a subject after it, not '3'", "3")]),
    ("area of assemblies.wall", &[("a subject with a dot stands in quotes: 'assemblies.wall'", "assemblies.wall")]),
    // Calls.
    ("mim(1, 2) > 0", &[("unknown function 'mim' (did you mean 'min'?); 'mateline rules language' lists them", "mim")]),
    ("sqrt(2) > 1", &[("unknown function 'sqrt'; 'mateline rules language' lists them", "sqrt")]),
    ("max(1) > 0", &[("'max' takes two arguments or more, not 1", "max(1)")]),
    ("min() > 0", &[("'min' takes two arguments or more, not 0", "min()")]),
    ("abs(1, 2) > 0", &[("'abs' takes one argument, not 2", "abs(1, 2)")]),
    (
        "given() or mim(1)",
        &[
            ("'given' takes one argument, not 0", "given()"),
            ("unknown function 'mim' (did you mean 'min'?); 'mateline rules language' lists them", "mim"),
        ],
    ),
    ("given(1 + 1)", &[("'given' takes a name", "given(1 + 1)")]),
    // Names.
    ("layer.thicknes > 1 in", &[("unknown name 'layer.thicknes' (did you mean 'layer.thickness'?)", "layer.thicknes")]),
    ("zzz > 1", &[("unknown name 'zzz'", "zzz")]),
    (
        "layer.thicknes of home > 1 in",
        &[("unknown name 'layer.thicknes' of 'home' (did you mean 'layer.thickness'?)", "layer.thicknes of home")],
    ),
    ("given(shar)", &[("unknown name 'shar' (did you mean 'share'?)", "shar")]),
    (
        "zzz > 1 and layer.thicknes > 1",
        &[
            ("unknown name 'zzz'", "zzz"),
            ("unknown name 'layer.thicknes' (did you mean 'layer.thickness'?)", "layer.thicknes"),
        ],
    ),
    // Kinds that do not meet.
    ("layer.thickness > 3", &[("'>' cannot compare a length with a plain number", "layer.thickness > 3")]),
    ("area == 3 m", &[("'==' cannot compare an area with a length", "area == 3 m")]),
    ("u <= R-13", &[("'<=' cannot compare a U-factor with a thermal resistance", "u <= R-13")]),
    ("price < 3", &[("'<' cannot compare money with a plain number", "price < 3")]),
    ("area * area * 1 m > 3", &[("'>' cannot compare a number in m^5 with a plain number", "area * area * 1 m > 3")]),
    ("indoor > warming", &[("'>' cannot compare a temperature with a temperature difference", "indoor > warming")]),
    ("kind == 3", &[("'==' cannot compare text with a plain number", "kind == 3")]),
    ("inspected == 'yes'", &[("'==' cannot compare true or false with text", "inspected == 'yes'")]),
    ("inspected < true", &[("'<' cannot put true and false in order (use '==' or '!=')", "inspected < true")]),
    ("label > 'a'", &[("'>' cannot put text in order (use '==', '!=' or 'in')", "label > 'a'")]),
    ("contains == ['vinyl']", &[("'==' cannot compare a list (use 'in')", "contains == ['vinyl']")]),
    ("3 in contains", &[("'in' cannot compare a plain number with text", "3 in contains")]),
    ("share in 3", &[("'in' needs a list after it, not a plain number", "share in 3")]),
    ("'w' in label", &[("'in' needs a list after it, not text", "'w' in label")]),
    ("[1] in [2]", &[("'in' cannot look for a list in a list", "[1] in [2]")]),
    ("issued < share", &[("'<' cannot compare a date with a plain number", "issued < share")]),
    ("issued < label", &[("'<' cannot compare a date with text", "issued < label")]),
    ("issued < '2026-13-01'", &[("'2026-13-01' is not a date such as 2026-10-05", "'2026-13-01'")]),
    ("issued in ['2026-02-01', 'soon']", &[("'soon' is not a date such as 2026-10-05", "'soon'")]),
    ("layer.thickness + 3 == 1 m", &[("'+' cannot add a plain number to a length", "layer.thickness + 3")]),
    ("3 - area == 1 m", &[("'-' cannot take an area from a plain number", "3 - area")]),
    ("9-1/2 in == 1 m", &[("'-' cannot take a length from a plain number", "9-1/2 in")]),
    ("indoor + outdoor == 1 K", &[("'+' cannot add a temperature to a temperature", "indoor + outdoor")]),
    ("warming - indoor == 1 K", &[("'-' cannot take a temperature from a temperature difference", "warming - indoor")]),
    ("2 * indoor > 1 K", &[("'*' cannot multiply a plain number by a temperature", "2 * indoor")]),
    ("indoor / 2 > 1 K", &[("'/' cannot divide a temperature by a plain number", "indoor / 2")]),
    ("kind + 1 > 1", &[("'+' cannot add a plain number to text", "kind + 1")]),
    ("-kind == 1", &[("'-' needs a number, not text", "-kind")]),
    ("-indoor == 1", &[("'-' needs a number, not a temperature", "-indoor")]),
    ("abs(outdoor) > 1", &[("'abs' needs a number, not a temperature", "abs(outdoor)")]),
    ("max(area, 3) > 1 m²", &[("'max' cannot hold both an area and a plain number", "3")]),
    ("min(kind, label) == 'a'", &[("'min' needs numbers, not text", "min(kind, label)")]),
    ("count(3) > 1", &[("'count' needs a list, not a plain number", "count(3)")]),
    ("leading_number(3) > 1", &[("'leading_number' needs text, not a plain number", "3")]),
    ("share in [1, 2 m]", &[("a list cannot hold both a plain number and a length", "2 m")]),
    ("not share", &[("'not' needs true or false, not a plain number", "share")]),
    ("inspected and share", &[("'and' needs true or false, not a plain number", "share")]),
    (
        "kind or issued",
        &[("'or' needs true or false, not text", "kind"), ("'or' needs true or false, not a date", "issued")],
    ),
    // Words that cannot occur.
    ("kind == 'wal'", &[("'wal' is never a value of kind (did you mean 'wall'?)", "'wal'")]),
    ("'wal' != kind of home", &[("'wal' is never a value of kind of home (did you mean 'wall'?)", "'wal'")]),
    ("kind == 'xyz'", &[("'xyz' is never a value of kind; it is one of wall, ceiling, floor", "'xyz'")]),
    ("kind in ['wall', 'flor']", &[("'flor' is never a value of kind (did you mean 'floor'?)", "'flor'")]),
    ("'vinil' in contains", &[("'vinil' is never a value of contains (did you mean 'vinyl'?)", "'vinil'")]),
    // All at once, in the order of the text.
    ("min('a', zzz) == 1", &[("'min' needs numbers, not text", "min('a', zzz)"), ("unknown name 'zzz'", "zzz")]),
    (
        "kind == 'wal' and layer.thickness > 3 or not zzz",
        &[
            ("'wal' is never a value of kind (did you mean 'wall'?)", "'wal'"),
            ("'>' cannot compare a length with a plain number", "layer.thickness > 3"),
            ("unknown name 'zzz'", "zzz"),
        ],
    ),
];

#[test]
fn every_mistake_is_told_and_pointed_at() {
    for (text, expected) in MESSAGES {
        let errors = mistakes(text);
        let found: Vec<(&str, &str)> =
            errors.iter().map(|error| (error.message.as_str(), &text[error.start..error.end])).collect();
        assert_eq!(found, *expected, "{text}");
        assert!(errors.iter().all(|error| error.to_string() == error.message));
    }
}

#[test]
fn one_mistake_is_told_once() {
    // An unknown name meets everything that holds it.
    assert_eq!(mistakes("-(zzz + 1 m) * 3 > 2 and abs(zzz2) in [1] or min(zzz3, 1 m) == 3 m").len(), 3);
    assert_eq!(mistakes("(layer.thickness + 3) * 2 == 'wall'").len(), 1);
}

#[test]
fn a_text_too_long_says_how_long() {
    let text = "1".repeat(LONGEST + 4);
    assert_eq!(mistakes(&text)[0].message, "the expression has 4100 bytes, more than 4096");
}

#[test]
fn a_unit_beyond_all_exponents_is_refused() {
    let text = vec!["area"; 64].join(" * ");
    let message = &mistakes(&text)[0].message;
    assert_eq!(message, "'*' cannot multiply a number in m^126 by an area");
    assert_eq!(evaluate(&text), Evaluation::Failed(message.clone()));
}

/// What a value can still run into when the kinds were not known, or the data are odd.
#[test]
fn what_cannot_be_worked_out_says_why() {
    let cases = [
        ("1 / 0", "division by zero"),
        ("1 / (share - 0.25)", "division by zero"),
        ("broken + 1", "broken is not a finite number"),
        ("broken of home > 1", "broken of home is not a finite number"),
        ("huge * huge", "the result is too large to reckon with"),
        ("huge * 1e9 - huge * -1e9 > 1 and huge * huge > 1", "the result is too large to reckon with"),
        ("anything > 3", "'>' cannot compare text with a plain number"),
        ("anything + 3", "'+' cannot add a plain number to text"),
        ("not anything", "'not' needs true or false, not text"),
        ("anything and true", "'and' needs true or false, not text"),
        ("-anything", "'-' needs a number, not text"),
        ("abs(anything)", "'abs' needs a number, not text"),
        ("min(1, anything)", "'min' needs numbers, not text"),
        ("max(anything, 1)", "'max' needs numbers, not text"),
        ("max(1, area)", "'max' cannot hold both a plain number and an area"),
        ("count(anything)", "'count' needs a list, not text"),
        ("leading_number(share)", "'leading_number' needs text, not a plain number"),
        ("leading_number(note)", "'none yet' does not begin with a number"),
        ("leading_number('.5')", "'.5' does not begin with a number"),
        ("leading_number('')", "'' does not begin with a number"),
        ("3 in anything", "'in' needs a list after it, not text"),
        ("3 in contains", "'==' cannot compare a plain number with text"),
        ("[1] in [2]", "'in' cannot look for a list in a list"),
        ("issued < 'soon'", "'<' cannot compare a date with text"),
        ("lost + 1 / 0", "division by zero"),
    ];
    for (text, why) in cases {
        assert_eq!(evaluate(text), Evaluation::Failed(why.to_owned()), "{text}");
    }
}
