//! A small comparison made by hand, for the tests of every format. The home and its rules are invented.

#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

use mateline_model::quantity::{Dimension, Quantity, UnitSystem, Units};
use mateline_model::{
    Comparison, Corners, Edit, Ended, Moved, Outcome, Place, PluginFailure, Remark, RemarkAbout, RuleChange, RuleTurn,
    Severity, Shorter, Side, Subject, Thin, Turned,
};

fn place(line: u32, column: u32) -> Option<Place> {
    Some(Place { file: "home.yaml".to_owned(), line, column, length: 4 })
}

fn side(revision: &str, date: &str) -> Side {
    Side {
        home: "Heron Lane".to_owned(),
        revision: revision.to_owned(),
        date: date.parse().unwrap(),
        note: Some("invented".to_owned()),
    }
}

fn edit(element: &str, field: &str, old: Option<&str>, new: Option<&str>, at: Option<Place>) -> Edit {
    Edit {
        element: element.to_owned(),
        field: field.to_owned(),
        item: None,
        old: old.map(str::to_owned),
        new: new.map(str::to_owned),
        at,
    }
}

fn turned(rule: &str, subject: &str, old: Option<Outcome>, new: Option<Outcome>, message: &str) -> Turned {
    Turned {
        rule: format!("demo/{rule}"),
        title: format!("The rule {rule}"),
        subject: Subject::from(subject),
        severity: Severity::Required,
        old,
        new,
        message: message.to_owned(),
        by: None,
        at: None,
    }
}

fn moved(subject: &str, quantity: &str, units: Units, old: Option<Quantity>, new: Option<Quantity>) -> Moved {
    Moved {
        subject: Subject::from(subject),
        quantity: quantity.to_owned(),
        label: "What it is".to_owned(),
        units,
        old: old.map(Into::into),
        new: new.map(Into::into),
    }
}

/// Something of everything.
pub(super) fn comparison() -> Comparison {
    let ua = |si: f64| Some(Quantity::new(si, Dimension::CONDUCTANCE));
    let u = Some(Quantity::new(0.3, Dimension::TRANSMITTANCE));
    let width = |si: f64| Some(Quantity::new(si, Dimension::LENGTH));
    Comparison {
        old: side("B", "2026-07-01"),
        new: side("C", "2026-10-05"),
        units: UnitSystem::Si,
        edits: vec![
            Edit {
                item: Some("eps".to_owned()),
                ..edit("assemblies.wall", "layers.2.thickness", Some("2 in"), Some("3 in"), place(31, 20))
            },
            edit("assemblies.wall", "layers.4", Some("{vented-cavity: 3/4 in}"), None, None),
            edit("openings.w2", "", None, Some("{kind: window}"), place(40, 3)),
            edit("home", "", Some("Heron"), Some("Heron Lane"), place(1, 7)),
        ],
        moved: vec![
            moved("home", "envelope.ua", Units::CONDUCTANCE, ua(220.0), ua(210.0)),
            moved("assemblies.wall", "envelope.u_factor", Units::TRANSMITTANCE, None, u),
            moved("modules.A", "takeoff.width", Units::LENGTH, width(4.0), width(4.2)),
        ],
        turned: vec![
            Turned {
                at: place(31, 7),
                ..turned(
                    "wall-u-factor",
                    "assemblies.wall",
                    Some(Outcome::Met),
                    Some(Outcome::Short),
                    "U-factor 0.0520 is above 0.0450",
                )
            },
            turned("ua", "home", Some(Outcome::Short), Some(Outcome::Met), "UA 210.0 is at most 220.0"),
            Turned {
                severity: Severity::Advice,
                ..turned("label", "openings.w2", None, Some(Outcome::Unproven), "openings.w2 has no evidence")
            },
            turned("label", "openings.w3", Some(Outcome::Met), None, "evidence is given"),
        ],
        shorter: vec![Shorter {
            rule: "demo/hoist".to_owned(),
            subject: Subject::home(),
            severity: Severity::Required,
            message: "hoist 8.00 m is above 6.00 m".to_owned(),
            old: Quantity::new(1.0, Dimension::LENGTH),
            new: Quantity::new(2.0, Dimension::LENGTH),
            units: Units::LENGTH,
            at: None,
        }],
        rules: vec![RuleChange {
            rule: "demo/ua".to_owned(),
            title: "The rule ua".to_owned(),
            turn: RuleTurn::Looser,
            old: Some("at most 200 W/K".to_owned()),
            new: Some("at most 220 W/K".to_owned()),
            why: Some("220 W/K is above 200 W/K".to_owned()),
        }],
        corners: Some(Corners { old_by_old: 3, old_by_new: 1, new_by_old: 2, new_by_new: 1 }),
        thin: vec![Thin {
            rule: "demo/ua".to_owned(),
            subject: Subject::home(),
            message: "UA 210.0 is at most 220.0".to_owned(),
            old: 0.091,
            new: 0.02,
        }],
        threshold: 0.05,
        ended: vec![Ended {
            record: "label".to_owned(),
            expired: "2026-09-30".parse().unwrap(),
            backs: vec!["finishes.paint".to_owned()],
        }],
        remarks: vec![Remark {
            message: "the waiver of demo/hoist matches no verdict".to_owned(),
            at: place(9, 1),
            fails: false,
            about: RemarkAbout::Run,
        }],
        failures: Vec::new(),
        failing: 1,
    }
}

/// Two revisions that say the same.
pub(super) fn quiet() -> Comparison {
    Comparison {
        edits: Vec::new(),
        moved: Vec::new(),
        turned: Vec::new(),
        shorter: Vec::new(),
        rules: Vec::new(),
        corners: None,
        thin: Vec::new(),
        ended: Vec::new(),
        remarks: Vec::new(),
        failing: 0,
        ..comparison()
    }
}

/// A comparison in which a plugin failed on the earlier side.
pub(super) fn broken() -> Comparison {
    let failure = PluginFailure {
        plugin: "envelope".to_owned(),
        revision: "B".to_owned(),
        on_later: false,
        message: "no λ".to_owned(),
    };
    Comparison { failures: vec![failure], ..comparison() }
}

/// The same text wherever a file, a pack or a plugin may have put one.
pub(super) fn hostile(evil: &str) -> Comparison {
    let text = || evil.to_owned();
    let mut all = comparison();
    all.failures = broken().failures;
    for side in [&mut all.old, &mut all.new] {
        (side.home, side.revision, side.note) = (text(), text(), Some(text()));
    }
    for edit in &mut all.edits {
        let (old, new) = (edit.old.as_ref().map(|_| text()), edit.new.as_ref().map(|_| text()));
        *edit = Edit { element: text(), field: text(), item: Some(text()), old, new, at: edit.at.clone() };
    }
    for moved in &mut all.moved {
        (moved.label, moved.quantity) = (text(), text());
        moved.subject = Subject::from(format!("{}.{evil}", moved.subject.section()).as_str());
        moved.old = Some(mateline_model::Value::Text(text()));
    }
    for turned in &mut all.turned {
        (turned.rule, turned.title, turned.message) = (text(), text(), text());
        turned.subject = Subject::from(evil);
        turned.at.iter_mut().for_each(|at| at.file = text());
    }
    for one in &mut all.shorter {
        (one.rule, one.message, one.subject) = (text(), text(), Subject::from(evil));
    }
    for change in &mut all.rules {
        (change.rule, change.title, change.why) = (text(), text(), Some(text()));
        (change.old, change.new) = (Some(text()), Some(text()));
    }
    for thin in &mut all.thin {
        (thin.rule, thin.message, thin.subject) = (text(), text(), Subject::from(evil));
    }
    for ended in &mut all.ended {
        (ended.record, ended.backs) = (text(), vec![text()]);
    }
    all.remarks.iter_mut().for_each(|remark| remark.message = text());
    all.failures.iter_mut().for_each(|failure| (failure.plugin, failure.message) = (text(), text()));
    all
}
