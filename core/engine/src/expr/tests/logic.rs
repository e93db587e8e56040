//! Truth with missing data: the strong three-valued logic of S. C. Kleene, *Introduction to Metamathematics* (1952),
//! section 64 (from memory).

use super::*;

/// `t`, `f`, or `u` for a flag whose value is missing.
fn truth(text: &str) -> char {
    match evaluate(text) {
        Evaluation::Known(Item::Flag(true)) => 't',
        Evaluation::Known(Item::Flag(false)) => 'f',
        Evaluation::Unknown(_) => 'u',
        other => panic!("{text}: {other:?}"),
    }
}

fn written(truth: char) -> &'static str {
    match truth {
        't' => "inspected",
        'f' => "(not inspected)",
        _ => "unseen",
    }
}

/// Rows: the left side t, u, f. Columns: the right side t, u, f.
#[test]
fn tables_of_the_strong_connectives() {
    let values = ['t', 'u', 'f'];
    let and = ["tuf", "uuf", "fff"];
    let or = ["ttt", "tuu", "tuf"];
    for (row, left) in values.into_iter().enumerate() {
        for (column, right) in values.into_iter().enumerate() {
            let (a, b) = (written(left), written(right));
            assert_eq!(truth(&format!("{a} and {b}")), and[row].chars().nth(column).unwrap(), "{left} and {right}");
            assert_eq!(truth(&format!("{a} && {b}")), and[row].chars().nth(column).unwrap(), "{left} and {right}");
            assert_eq!(truth(&format!("{a} or {b}")), or[row].chars().nth(column).unwrap(), "{left} or {right}");
            assert_eq!(truth(&format!("{a} || {b}")), or[row].chars().nth(column).unwrap(), "{left} or {right}");
        }
    }
    assert_eq!(truth("not inspected"), 'f');
    assert_eq!(truth("not unseen"), 'u');
    assert_eq!(truth("not not inspected"), 't');
}

#[test]
fn a_comparison_with_something_missing_is_unknown_even_with_itself() {
    for text in ["lost > 3", "3 == lost", "lost == lost", "lost != lost", "lost in [1]", "lost in []", "1 in [2, lost]"]
    {
        assert_eq!(evaluate(text), unknown(&["no certificate"]), "{text}");
    }
    // A member that is there settles the matter.
    assert!(holds("1 in [lost, 1]"));
}

#[test]
fn everything_missing_is_listed_once_in_order() {
    assert_eq!(evaluate("gone + lost > gone * 2"), unknown(&["no test", "no certificate"]));
    assert_eq!(evaluate("unseen and lost > 1 and unsaid"), unknown(&["not inspected", "no certificate", "not stated"]));
    assert_eq!(evaluate("max(lost, 1, gone)"), unknown(&["no certificate", "no test"]));
    assert_eq!(evaluate("lost in [gone, 1]"), unknown(&["no certificate", "no test"]));
    assert_eq!(evaluate("[lost, gone]"), unknown(&["no certificate", "no test"]));
    assert_eq!(evaluate("-abs(lost)"), unknown(&["no certificate"]));
    assert_eq!(evaluate("elsewhere of home == 1"), unknown(&["elsewhere has no value"]));
}

#[test]
fn what_is_absent_is_missing_unless_asked_for() {
    assert_eq!(evaluate("optional > 1"), unknown(&["optional is not given"]));
    assert_eq!(evaluate("optional of home > 1"), unknown(&["optional of home is not given"]));
    assert!(!holds("given(optional)"));
    assert!(!holds("given(lost)"));
    assert!(holds("given(share)"));
    assert!(holds("given(share of home)"));
    assert_eq!(evaluate("given(share of nobody)"), Evaluation::Known(Item::Flag(false)));
    assert!(!holds("given(optional) and optional > 1"));
    assert!(holds("not given(optional) or optional > 1"));
}

#[test]
fn a_failure_outweighs_what_is_missing_and_a_settled_side_outweighs_both() {
    assert!(matches!(evaluate("unseen and 1 / 0 > 1"), Evaluation::Failed(_)));
    assert!(matches!(evaluate("1 / 0 > 1 or unseen"), Evaluation::Failed(_)));
    assert!(!holds("1 / 0 > 1 and not inspected"));
    assert!(holds("inspected or 1 / 0 > 1"));
    assert!(!holds("share == 0 and 1 / (share - 0.25) > 1"));
}
