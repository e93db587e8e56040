//! Figures over the elements of a section, dates, texts and lists, against what is reckoned by hand.

use super::super::{Join, Within};
use super::*;

/// A room that is judged, or one of its windows. A window without a width is not known in that.
struct Room;
struct Window(&'static str, &'static str, Option<&'static str>);

const WINDOWS: [Window; 4] = [
    Window("w1", "study", Some("3 ft")),
    Window("w2", "study", Some("5 ft")),
    Window("w3", "attic", Some("2 ft")),
    Window("w4", "cellar", None),
];

fn kind(path: &str) -> Result<Kind, Vec<String>> {
    match path {
        "id" | "this.id" | "room" => Ok(Kind::Text(None)),
        "width" | "this.least" | "least" => Ok(Kind::Number(Dimension::LENGTH)),
        "numbers" => Ok(Kind::List(Box::new(Kind::Text(None)))),
        "listed" | "this.listed" => Ok(Kind::List(Box::new(Kind::Text(None)))),
        "issued" | "today" => Ok(Kind::Date),
        _ => Err(Vec::new()),
    }
}

impl Names for Room {
    fn kind(&self, path: &str, _: Option<&str>) -> Result<Kind, Vec<String>> {
        kind(path)
    }

    fn within(&self, section: &str) -> Result<Box<dyn Names + '_>, String> {
        if ["windows", "doors"].contains(&section) {
            Ok(Box::new(Room))
        } else {
            Err(format!("unknown section '{section}'"))
        }
    }

    fn is_section(&self, path: &str) -> bool {
        ["windows", "doors"].contains(&path)
    }
}

impl Scope for Room {
    fn look_up(&self, path: &str, _: Option<&str>) -> Lookup {
        let text = |text: &str| Lookup::Found(Item::Text(text.to_owned()));
        match path {
            "this.id" | "id" => text("study"),
            "least" | "this.least" => Lookup::Found(number("4 ft")),
            "listed" | "this.listed" => Lookup::Found(list(&["w1", "w3"])),
            "numbers" => Lookup::Found(list(&["A-502", "A-503", "A-502"])),
            "issued" => Lookup::Found(Item::Date("2026-02-27".to_owned())),
            "today" => Lookup::Found(Item::Date("2026-03-01".to_owned())),
            _ => Lookup::Absent,
        }
    }

    fn within(&self, section: &str, join: Option<&Join<'_>>) -> Within<'_> {
        if section == "doors" {
            return Within::Absent("doors is not given".to_owned());
        }
        let keeps = |window: &&Window| {
            let of = |join: &&Join<'_>| {
                join.words.iter().any(|word| *word == if join.field == "id" { window.0 } else { window.1 })
            };
            join.as_ref().is_none_or(of)
        };
        Within::Elements(WINDOWS.iter().filter(keeps).map(|window| -> Box<dyn Scope> { Box::new(window) }).collect())
    }

    fn is_section(&self, path: &str) -> bool {
        ["windows", "doors"].contains(&path)
    }
}

impl Scope for &Window {
    fn look_up(&self, path: &str, _: Option<&str>) -> Lookup {
        match (path, self.2) {
            ("id", _) => Lookup::Found(Item::Text(self.0.to_owned())),
            ("room", _) => Lookup::Found(Item::Text(self.1.to_owned())),
            ("width", Some(width)) => Lookup::Found(number(width)),
            ("width", None) => Lookup::Absent,
            _ => Room.look_up(path, None),
        }
    }

    fn name(&self) -> Option<&str> {
        Some(self.0)
    }
}

fn come_to(text: &str) -> Evaluation {
    let expression = read(text);
    expression.check(&Room).unwrap_or_else(|errors| panic!("{text}: {}", errors[0]));
    expression.evaluate(&Room)
}

fn is(text: &str, expected: bool) {
    assert_eq!(come_to(text), Evaluation::Known(Item::Flag(expected)), "{text}");
}

#[test]
fn figures_name_the_element_at_hand_and_what_is_judged() {
    is("count(windows) == 4", true);
    is("count(windows where room == this.id) == 2", true);
    is("sum(width over windows where room == this.id) == 8 ft", true);
    is("max(width over windows where room == this.id) == 5 ft", true);
    is("mean(width over windows where room == this.id weighted_by width / 1 ft) == 4.25 ft", true);
    is("any(windows where room == this.id and width >= this.least)", true);
    is("all(width >= 3 ft over windows where this.id == room)", true);
    is("all(width >= this.least over windows where room == this.id)", false);
    is("none(windows where room == 'hall')", true);
    is("count(windows where id in this.listed) == 2", true);
    is("min(3, 2, max(5, 4)) == 2", true);
}

#[test]
fn what_is_not_known_of_an_element_leaves_open_what_rests_on_it() {
    assert_eq!(come_to("sum(width over windows) > 1 ft"), unknown(&["w4: width is not given"]));
    assert_eq!(come_to("none(windows where width > 9 ft)"), unknown(&["w4: width is not given"]));
    is("any(windows where width > 4 ft)", true);
    is("all(width > 4 ft over windows)", false);
    assert_eq!(come_to("all(width > 1 ft over windows)"), unknown(&["w4: width is not given"]));
    // A window of another room does not matter, whatever its width.
    is("none(windows where width > 9 ft and room == this.id)", true);
}

#[test]
fn a_section_of_which_nothing_is_said_is_empty_where_it_is_counted_and_nowhere_else() {
    is("count(doors) == 0", true);
    is("count(doors where width > 3 ft) == 0", true);
    for text in ["any(doors)", "none(doors)", "all(width > 1 ft over doors)", "sum(width over doors) > 1 ft"] {
        assert_eq!(come_to(text), unknown(&["doors is not given"]), "{text}");
    }
    assert_eq!(read("count(doors) + count(windows where room == 'x') > 1").counted(), ["doors", "windows"]);
}

#[test]
fn dates_texts_and_lists() {
    is("today - issued == 2 d", true);
    is("issued + 2 d == today", true);
    is("issued >= today - 1 d", false);
    is("begins(id, 'st') and ends(id, 'dy') and not begins(id, 'dy')", true);
    is("matches('A-512', 'A-5[0-9]{2}')", true);
    is("matches('A-5123', 'A-5[0-9]{2}')", false);
    is("matches('xA-512', 'A-5[0-9]{2}')", false);
    is("count(distinct(numbers)) == 2", true);
    is("count(common(listed, ['w3', 'w4'])) == 1", true);
}

#[test]
fn what_is_wrong_with_a_figure_is_told_where_it_stands() {
    let wrong = |text: &str| match Expression::parse(text).and_then(|read| read.check(&Room)) {
        Ok(kind) => panic!("{text} is {kind}"),
        Err(errors) => errors.iter().map(|error| error.message.clone()).collect::<Vec<_>>().join("; "),
    };
    for (text, expected) in [
        ("any(window)", "unknown section 'window'"),
        ("any(windows where any(windows))", "a figure over a section cannot stand within another"),
        ("sum(width)", "unexpected ')': it is written sum(VALUE over SECTION where CONDITION)"),
        ("sum(room over windows)", "'sum' needs numbers, not text"),
        ("all(width over windows)", "'all' needs true or false, not a length"),
        ("any(windows where width)", "'where' needs true or false, not a length"),
        ("any(windows where widht > 1 ft)", "unknown name 'widht'"),
        ("matches(id, 'A-[')", "'A-[' is no pattern: unclosed character class"),
        ("matches(id, 'a)(b')", "'a)(b' is no pattern: unopened group"),
        ("matches(id, room)", "the pattern of 'matches' stands in quotes"),
        ("begins(id)", "'begins' takes two arguments, not 1"),
        ("begins(id, 3)", "'begins' needs text, not a plain number"),
        ("distinct(id)", "'distinct' needs a list, not text"),
        ("issued - 3 ft", "'-' cannot take a length from a date"),
    ] {
        assert_eq!(wrong(text), expected, "{text}");
    }
}
