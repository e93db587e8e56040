//! Studies: every row is what a check of its variant from nothing says; interrupted, in parts and on any number of threads
//! the rows are the same bytes; what does not belong together is refused.

use mateline_engine::Options;
use mateline_engine::load::{Node, written};
use mateline_engine::study::{Kept, Plan, Shard, head, merged};
use mateline_model::quantity::{parse, unit};
use mateline_model::{Severity, StudyRow};
use mateline_tests::{check_file, engine, root};
use std::path::Path;

const WHOLE: Shard = Shard { number: 1, of: 1 };

fn plan(file: &Path) -> Plan<'static> {
    Plan::read(engine(), file, Options::default()).unwrap_or_else(|bad| panic!("{bad}"))
}

fn rows(plan: &Plan<'_>, shard: Shard) -> Vec<StudyRow> {
    let mut rows = Vec::new();
    let taken: Result<(), ()> = plan.run(plan.numbers(shard), |row| {
        rows.push(row);
        Ok(())
    });
    taken.unwrap();
    rows
}

fn text(plan: &Plan<'_>, shard: Shard) -> String {
    let rows = rows(plan, shard);
    std::iter::once(head(plan, shard, "1").line()).chain(rows.iter().map(StudyRow::line)).collect()
}

/// A study of the starter home beside it: two boards, three windows, two sites.
fn small() -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let home = std::fs::read_to_string(root().join("examples/starter/home.yaml")).unwrap();
    std::fs::write(folder.path().join("home.yaml"), home).unwrap();
    for site in ["here.yaml", "colder.yaml"] {
        std::fs::copy(root().join("examples/study").join(site), folder.path().join(site)).unwrap();
    }
    let study = "study: Small\nhomes: [home.yaml]\nvary:\n  foam:\n    lever: outside-insulation\n    to: [1 in, 3 in]\n    \
                 per: takeoff.net_area\n    prices: {1 in: 1 $/ft², 2 in: 2 $/ft², 3 in: 3 $/ft²}\n  \
                 windows: {field: openings.ID.u_factor, to: [\"0.32 Btu/(h·ft²·°F)\", \"0.24 Btu/(h·ft²·°F)\"]}\n\
                 climates: {here: here.yaml, colder: colder.yaml}\npacks: [energy-code-2021]\ncolumns:\n  \
                 wall: envelope.u_factor of assemblies.wall\n  loss: envelope.ua\nbetter: {loss: less}\n";
    let file = folder.path().join("study.yaml");
    std::fs::write(&file, study).unwrap();
    (folder, file)
}

/// Kinds of foundation cost what the comparison of foundations says of each, less what that of the home costs.
#[test]
fn foundations_are_priced_by_their_comparison() {
    let folder = tempfile::tempdir().unwrap();
    let home = mateline_tests::example("heron-lane");
    let study = format!(
        "study: Foundations\nhomes: [{}]\nvary: {{kind: {{lever: foundation-kind}}}}\ncolumns: {{loss: envelope.ua}}\n",
        home.display()
    );
    let file = folder.path().join("study.yaml");
    std::fs::write(&file, study).unwrap();
    let report = check_file(&home).unwrap_or_else(|bad| panic!("{bad}"));
    let cost = |kind: &str| {
        let fact = report.facts.get(&format!("alternatives.{kind}").as_str().into(), "foundation.cost");
        fact.unwrap().value.number().unwrap().si
    };
    let found = rows(&plan(&file), WHOLE);
    assert_eq!(found.len(), 4);
    for row in found {
        let kind = row.set[0].as_deref().unwrap();
        let expected = cost(kind) - cost("basement");
        assert!((row.cost.unwrap() - expected).abs() < 1e-6, "{kind}: {row:?}, {expected}");
    }
}

/// A row says what the check of a home says that has the variant's values in its files.
#[test]
fn a_row_is_what_a_check_from_nothing_says() {
    let (folder, file) = small();
    let plan = plan(&file);
    assert_eq!(plan.count(), 8);
    let home = folder.path().join("home.yaml");
    let text = std::fs::read_to_string(&home).unwrap();
    for row in rows(&plan, WHOLE).iter().filter(|row| row.climate.as_deref() == Some("here")) {
        let (_, edits) = plan.edits(u128::from(row.variant)).unwrap();
        let loaded = engine().load(&home).unwrap_or_else(|bad| panic!("{bad}"));
        let new = written(&loaded.tree, loaded.project.files(), &edits).unwrap_or_else(|why| panic!("{why}"));
        std::fs::write(&home, &new[0].1).unwrap();
        let report = check_file(&home).unwrap_or_else(|bad| panic!("{bad}"));
        std::fs::write(&home, &text).unwrap();
        for (value, (subject, name)) in
            std::iter::zip(&row.values, [("assemblies.wall", "envelope.u_factor"), ("home", "envelope.ua")])
        {
            let fact = report.facts.get(&subject.into(), name).unwrap();
            let (unit_name, _) = report.quantities[name].units.of(report.units);
            let expected = unit(unit_name).unwrap().of_si(fact.value.number().unwrap().si);
            assert!((value.as_f64().unwrap() - expected).abs() <= 1e-12 * expected.abs(), "{row:?} {name}");
        }
        let open = report.verdicts.iter().filter(|v| v.pack == "energy-code-2021" && v.is_open());
        let (advice, required): (Vec<_>, Vec<_>) = open.partition(|v| v.severity == Severity::Advice);
        assert_eq!(row.open, [(required.len(), advice.len())], "{row:?}");
        // A dollar for each inch of each square foot, in every assembly that has such a board.
        let boards = edits.iter().filter(|edit| edit.path[0] == "assemblies");
        let expected: f64 = boards
            .map(|edit| {
                let subject = edit.path[..2].join(".");
                let area =
                    report.facts.get(&subject.as_str().into(), "takeoff.net_area").unwrap().value.number().unwrap();
                let Node::Str(now) = &loaded.tree.at(&edit.path).unwrap().node else { panic!("{edit:?}") };
                let inches = |text: &str| parse(text).unwrap().si / 0.0254;
                area.si / 0.3048_f64.powi(2) * (inches(&edit.text) - inches(now))
            })
            .sum();
        assert!(row.cost.is_none(), "windows have no price: {row:?}");
        let foam = plan.price_of(u128::from(row.variant), 0).unwrap();
        assert!((foam - expected).abs() < 1e-6 * foam.abs(), "{row:?}: {foam}, {expected}");
    }
}

/// The same bytes on one thread and on several, in one piece and in parts; a colder site asks for more.
#[test]
fn parts_and_threads_change_no_byte() {
    let (_folder, file) = small();
    let plan = plan(&file);
    let whole = text(&plan, WHOLE);
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    assert_eq!(alone.install(|| text(&plan, WHOLE)), whole);
    let parts: Vec<(String, String)> =
        (1..=3).map(|number| (number.to_string(), text(&plan, Shard { number, of: 3 }))).collect();
    let put = merged(&parts).unwrap();
    let put: String = std::iter::once(put.head.line()).chain(put.rows.iter().map(StudyRow::line)).collect();
    assert_eq!(put, whole);
    let all = rows(&plan, WHOLE);
    let open = |site: &str| -> usize {
        all.iter().filter(|row| row.climate.as_deref() == Some(site)).map(|row| row.open[0].0).sum()
    };
    assert!(open("colder") >= open("here"));
    let loss = |row: &StudyRow| row.values[1].as_f64().unwrap();
    assert!(loss(&all[0]) > loss(&all[3]), "thin foam and poor windows lose more");

    let lacking = merged(&parts[..2]).unwrap_err().0;
    assert_eq!(lacking, "part 3 of 3 is not there");
    let twice = [parts[0].clone(), parts[0].clone()];
    assert!(merged(&twice).unwrap_err().0.contains("are the same part, 1 of 3"));
    let cut = parts[1].1.lines().take(2).map(|line| line.to_owned() + "\n").collect::<String>();
    assert!(merged(&[parts[0].clone(), ("cut".to_owned(), cut)]).unwrap_err().0.contains("cut is not whole"));
    let other = parts[1].1.replace("\"mateline\":\"1\"", "\"mateline\":\"2\"");
    assert!(merged(&[parts[0].clone(), ("b".to_owned(), other)]).unwrap_err().0.contains("another version"));
    let other = parts[1].1.replace(&plan.inputs, "0");
    assert!(merged(&[parts[0].clone(), ("b".to_owned(), other)]).unwrap_err().0.contains("other inputs"));
}

/// However a run was cut off, what is kept of it are whole rows that belong there, and the rest makes it whole.
#[test]
fn a_run_goes_on_from_any_byte() {
    let (_folder, file) = small();
    let plan = plan(&file);
    let (whole, first) = (text(&plan, WHOLE), head(&plan, WHOLE, "1"));
    let lines: Vec<&str> = whole.split_inclusive('\n').collect();
    for cut in (0..=whole.len()).filter(|cut| whole.is_char_boundary(*cut)) {
        let kept = Kept::of(&whole[..cut], &first).unwrap();
        let rest: String = if kept.bytes == 0 { whole.clone() } else { lines[1 + kept.rows..].concat() };
        assert_eq!(whole[..kept.bytes].to_owned() + &rest, whole, "cut at {cut}");
    }
    assert!(Kept::of("{\"study\":\"another\"}\n", &first).unwrap_err().0.contains("another study"));
}

/// A pack that the home does not name is counted as if it did: row by row what a check of the home with it says.
#[test]
fn a_study_names_packs_that_the_home_does_not() {
    let (folder, file) = small();
    let home = folder.path().join("home.yaml");
    let before = std::fs::read_to_string(&home).unwrap();
    assert!(!before.contains("zero-energy-ready") && before.contains("judge_by: ["));
    let good = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, good.replacen("[energy-code-2021]", "[energy-code-2021, zero-energy-ready]", 1)).unwrap();
    assert!(Plan::read(engine(), &file, Options::default()).is_err(), "an engine as it is does not know of it");
    let asking = mateline_engine::study::judging(engine(), &file);
    let plan = Plan::read(&asking, &file, Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!(plan.packs, ["energy-code-2021", "zero-energy-ready"]);
    let rows = |plan: &Plan<'_>| -> Vec<String> { text(plan, WHOLE).lines().skip(1).map(str::to_owned).collect() };
    let asked = rows(&plan);
    assert!(asked.len() == 8 && asked.iter().all(|row| row.contains("open")), "{asked:?}");
    std::fs::write(&home, before.replacen("judge_by: [", "judge_by: [zero-energy-ready, ", 1)).unwrap();
    let named = Plan::read(engine(), &file, Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!(asked, rows(&named));
}

/// What a study cannot be is told at its line, all at once.
#[test]
fn a_study_that_cannot_be_is_refused_at_its_line() {
    let (folder, file) = small();
    let good = std::fs::read_to_string(&file).unwrap();
    for (old, new, message, line) in [
        ("lever: outside-insulation", "lever: outside-insulaton", "there is no lever outside-insulaton", 5),
        ("openings.ID.u_factor", "openings.ID.u_facto", "a home has no field openings.ID.u_facto", 9),
        ("colder.yaml}", "nowhere.yaml}", "cannot read", 10),
        ("[energy-code-2021]", "[energy-code-2020]", "home.yaml is not judged by energy-code-2020", 11),
        ("envelope.ua\n", "envelope.uaa\n", "no plugin finds envelope.uaa", 14),
        ("better: {loss", "better: {lost", "the study has no column lost", 15),
        ("homes: [home.yaml]", "homes: []", "the study has no home", 2),
        ("study: Small", "studie: Small", "studie", 1),
    ] {
        let text = good.replacen(old, new, 1);
        assert_ne!(text, good, "{old}");
        std::fs::write(&file, text).unwrap();
        let bad = Plan::read(engine(), &file, Options::default()).err().expect(message);
        let told = bad.problems.iter().find(|problem| problem.message.contains(message));
        assert_eq!(told.map(|told| told.at.line), Some(line), "{message}: {bad}");
    }
    drop(folder);
}
