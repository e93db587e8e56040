//! The grammar: what binds tighter, and the places with two possible readings.

use super::super::{DEEPEST, LONGEST};
use super::*;

fn close(text: &str, expected: f64) {
    let value = si(text);
    assert!((value - expected).abs() <= 1e-12 * expected.abs().max(1.0), "{text}: {value} against {expected}");
}

#[test]
fn products_bind_tighter_than_sums_and_both_go_left_to_right() {
    close("2 + 3 * 4", 14.0);
    close("(2 + 3) * 4", 20.0);
    close("10 - 4 - 3", 3.0);
    close("10 - (4 - 3)", 9.0);
    close("24 / 4 / 3", 2.0);
    close("24 / 4 * 3", 18.0);
    close("-2 * 3 + 1", -5.0);
    close("-(2 + 1) * 3", -9.0);
    close("2 - -3", 5.0);
    close("- -3", 3.0);
    close("--3", 3.0);
}

#[test]
fn or_below_and_below_not_below_comparison_below_sum() {
    assert!(holds("true or false and false"));
    assert!(!holds("(true or false) and false"));
    assert!(!holds("not true or false"));
    assert!(holds("not (true and false)"));
    assert!(holds("not false and true"));
    assert!(holds("not 1 > 2"));
    assert!(holds("! 1 > 2"));
    assert!(holds("not not true"));
    assert!(holds("1 + 1 == 2 and 2 * 2 > 3"));
    assert!(holds("true || false && false"));
    assert!(holds("not 'ceiling' == kind"));
    assert!(!holds("not kind in ['wall']"));
}

#[test]
fn a_fraction_needs_a_unit_and_no_spaces() {
    close("1/2 in", 0.0127);
    close("1/2in", 0.0127);
    close("1/2", 0.5);
    close("8/4/2", 1.0);
    close("layer.count/3/2", 0.5);
    close("6 / 2 * 1 in", 0.0762);
    close("9 1/2 in", 9.5 * 0.0254);
    close("9 ½ in", 9.5 * 0.0254);
    close("½ in", 0.0127);
    close("layer.thickness/1 in", 2.5);
    close("9 1/2", 9.5);
    assert!(holds("1/2 in [0.5]"));
}

#[test]
fn quantities_as_they_are_written_in_a_home() {
    close("13 ft 9 in", 165.0 * 0.0254);
    close("13 ft 9 1/2 in", 165.5 * 0.0254);
    close("13′ 9 1/2″", 165.5 * 0.0254);
    close("R-13", 13.0 * 0.176_110_183_682_305_8);
    close("R13 + R 0", si("R-13"));
    close("RSI 2.3", 2.3);
    close("RSI-2.3", 2.3);
    close("0.04 cfm/ft²", 0.04 * 0.005_08);
    close("2 W/(m²·K)", 2.0);
    close("50 %", 0.5);
    close("50%", 0.5);
    close("140mm", 0.14);
    close("1e-3 m", 1e-3);
    close(".5 m", 0.5);
    close("3 sq ft", 3.0 * 0.3048 * 0.3048);
    close("0.2 in w.g.", 0.2 * 249.088_91);
    close("2\n  ft", 0.6096);
}

#[test]
fn a_minus_belongs_to_a_number_where_a_value_begins() {
    close("-8 °F", -200.0 / 9.0);
    close("- 8 °F", -200.0 / 9.0);
    assert!(holds("outdoor == -8 °C"));
    assert!(holds("outdoor in [-8 °C, 20 °C]"));
    close("13 ft - 9 in", 147.0 * 0.0254);
    for either in ["13 ft -9 in", "13 ft-9 in"] {
        assert!(Expression::parse(either).is_err(), "{either} may mean 13 ft 9 in");
    }
    close("layer.count -1", 2.0);
    close("layer.count-1", 2.0);
    close("-R-2", -2.0 * si("R-1"));
}

#[test]
fn a_minus_between_letters_belongs_to_a_name() {
    let names = |text: &str| read(text).names().into_iter().map(|name| name.path.clone()).collect::<Vec<_>>();
    assert_eq!(names("a-b"), ["a-b"]);
    assert_eq!(names("a - b"), ["a", "b"]);
    assert_eq!(names("a -b"), ["a", "b"]);
    assert_eq!(names("a- b"), ["a", "b"]);
    assert_eq!(names("a-1"), ["a"]);
    assert_eq!(names("a_-b"), ["a_", "b"]);
    assert_eq!(names("x2-y.z-A"), ["x2-y.z-A"]);
    close("a-b", 7.0);
}

#[test]
fn a_unit_never_begins_with_a_slash_and_never_holds_a_star() {
    close("1/r_value", 0.4);
    close("1 / r_value", 0.4);
    close("2 m*3", 6.0);
    close("6 m/layer.count", 2.0);
    close("area*u/2", 1.5);
    close("5 min", 300.0);
    close("(5 ft)", 1.524);
    close("(5 W/(m²·K))*(2 K)", 10.0);
    // A unit reaches as far as it can be read; a space ends it.
    assert_eq!(read("5 ft/h").names().len(), 0);
    assert_eq!(read("5 ft / h").names().len(), 1);
}

#[test]
fn in_is_an_inch_unless_a_list_a_parenthesis_or_a_name_follows() {
    close("5 in", 0.127);
    close("5in+1 in", 0.1524);
    assert!(holds("5 in == 127 mm or false"));
    assert!(holds("5 in in [5 in, 6 in]"));
    assert!(holds("5 in [4, 5]"));
    assert!(holds("5 in[4, 5]"));
    assert!(!holds("5 in nothing"));
    assert!(holds("13 ft 9 in in [165 in]"));
    assert!(holds("'vinyl' in contains"));
    assert!(!holds("'flame-retardant' in contains"));
}

#[test]
fn words_are_names_with_a_dot_and_functions_only_before_a_parenthesis() {
    let path = |text: &str| read(text).names().first().map(|name| name.path.clone());
    assert_eq!(path("framed.in").as_deref(), Some("framed.in"));
    assert_eq!(path("not.x").as_deref(), Some("not.x"));
    assert_eq!(path("min == 3").as_deref(), Some("min"));
    assert_eq!(path("order").as_deref(), Some("order"));
    assert_eq!(path("min(3, 4)"), None);
    assert_eq!(path("true"), None);
}

#[test]
fn names_come_in_order_with_their_places() {
    let text = "given(x) and envelope.u_factor of 'assemblies.wall' <= min(y, 2) or -z of home in [w]";
    let expression = read(text);
    let names: Vec<(&str, Option<&str>, &str)> = expression
        .names()
        .into_iter()
        .map(|name| (name.path.as_str(), name.of.as_deref(), &text[name.start..name.end]))
        .collect();
    assert_eq!(
        names,
        [
            ("x", None, "x"),
            ("envelope.u_factor", Some("assemblies.wall"), "envelope.u_factor of 'assemblies.wall'"),
            ("y", None, "y"),
            ("z", Some("home"), "z of home"),
            ("w", None, "w"),
        ]
    );
    assert_eq!(expression.text(), text);
}

#[test]
fn a_subject_is_a_word_or_a_text() {
    assert_eq!(evaluate("share of home"), Evaluation::Known(number("0.25")));
    assert_eq!(evaluate("share of 'home'"), Evaluation::Known(number("0.25")));
    assert_eq!(evaluate("share of 'modules.A'"), unknown(&["there is no modules.A"]));
}

#[test]
fn the_longest_and_the_deepest_are_read_and_no_more() {
    let sum = vec!["1"; LONGEST / 2].join("+");
    close(&sum, (LONGEST / 2) as f64);
    let flags = vec!["true"; 450].join(" and ");
    assert!(holds(&flags));
    assert!(Expression::parse(&"1".repeat(LONGEST + 1)).is_err());

    let nested = |open: &str, inner: &str, close: &str, times: usize| {
        format!("{}{inner}{}", open.repeat(times), close.repeat(times))
    };
    for (open, inner, close) in [
        ("(", "1", ")"),
        ("[", "1", "]"),
        ("abs(", "1", ")"),
        ("-", "share", ""),
        ("not ", "inspected", ""),
        ("!", "inspected", ""),
    ] {
        assert!(Expression::parse(&nested(open, inner, close, DEEPEST)).is_ok(), "{open}");
        let errors = Expression::parse(&nested(open, inner, close, DEEPEST + 1)).err().unwrap();
        assert_eq!(errors[0].message, "the expression nests more than 64 deep", "{open}");
        assert!(Expression::parse(&open.repeat(LONGEST / open.len())).is_err(), "{open}");
    }
}

/// `or`, `and` and `==` between every two parentheses, on half a thread's usual stack.
#[test]
fn the_deepest_expression_fits_a_small_stack() {
    let conditions = format!("{}true{}", "false or true and true == (".repeat(DEEPEST), ")".repeat(DEEPEST));
    let sums = format!("{}1{}", "0 + 1 * abs(".repeat(DEEPEST), ")".repeat(DEEPEST));
    let run = move || {
        assert!(holds(&conditions));
        assert_eq!(si(&sums), 1.0);
    };
    std::thread::Builder::new().stack_size(1024 * 1024).spawn(run).unwrap().join().unwrap();
}
