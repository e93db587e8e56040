//! What the tests of the whole share: the engine as the program ships it, and homes made from text.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test may stop here")]

pub mod random;
pub mod shapes;

use mateline_engine::check::Checked;
use mateline_engine::compare::compare;
use mateline_engine::load::Loaded;
use mateline_engine::{BadInput, Engine, Options};
use mateline_model::{Comparison, Outcome, Report};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock};

/// The folder of the project.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the tests lie in a folder of the project").to_owned()
}

/// The engine with all built-in plugins, packs and materials.
pub fn engine() -> &'static Engine {
    static ENGINE: OnceLock<Engine> = OnceLock::new();
    ENGINE.get_or_init(|| {
        let plugins = mateline_plugins::built_in_with(shelf());
        Engine::new(plugins, mateline_rules::PACKS, mateline_plugins::materials().clone())
            .expect("the built-in plugins fit together")
            .asking(mateline_rules::ASKING)
            .with_levers(mateline_rules::LEVERS)
            .trying_with(mateline_plugins::roughly(shelf()))
    })
}

/// The solved sections of this test run, for plugins beside those of the engine.
pub fn shelf() -> Arc<dyn mateline_plugins::Store> {
    static SHELF: OnceLock<Arc<Shelf>> = OnceLock::new();
    SHELF.get_or_init(Arc::default).clone()
}

/// Solved sections in memory: many homes of a test differ in something else.
#[derive(Default)]
pub struct Shelf(Mutex<BTreeMap<String, Vec<u8>>>);

impl mateline_plugins::Store for Shelf {
    fn fetch(&self, name: &str) -> Option<Vec<u8>> {
        self.0.lock().expect("nobody panics over it").get(name).cloned()
    }

    fn keep(&self, name: &str, bytes: &[u8]) {
        self.0.lock().expect("nobody panics over it").insert(name.to_owned(), bytes.to_vec());
    }
}

/// Checks a file. One of the examples is checked once in a run, whichever tests ask for it.
pub fn check_file(path: &Path) -> Result<Report, BadInput> {
    whole(path).map(|checked| checked.report.clone())
}

/// Compares two homes, as `Engine::compare` does. Margins below 5 % are thin.
pub fn compared(old: &Path, new: &Path) -> Comparison {
    let of = |path| whole(path).unwrap_or_else(|bad| panic!("{bad}"));
    compare(&of(old), &of(new), 0.05)
}

fn whole(path: &Path) -> Result<Arc<Checked>, BadInput> {
    type Slot = Arc<Mutex<Option<Arc<Checked>>>>;
    static EXAMPLES: Mutex<BTreeMap<PathBuf, Slot>> = Mutex::new(BTreeMap::new());
    let check = || Ok(Arc::new(engine().check_loaded(engine().load(path)?, &Options::default())?));
    if !path.starts_with(root().join("examples")) {
        return check();
    }
    let slot = Arc::clone(EXAMPLES.lock().expect("nobody panics over it").entry(path.to_owned()).or_default());
    let mut slot = slot.lock().expect("an example can be checked");
    match &*slot {
        Some(kept) => Ok(Arc::clone(kept)),
        None => Ok(Arc::clone(slot.insert(check()?))),
    }
}

/// Does something with a home given as text, in a folder of its own.
fn with_home<T>(text: &str, action: impl FnOnce(&Path) -> T) -> T {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("home.yaml");
    std::fs::write(&path, text).expect("the folder is writable");
    action(&path)
}

/// Checks a home given as text.
pub fn check_home(text: &str) -> Result<Report, BadInput> {
    with_home(text, check_file)
}

/// Loads a home given as text.
pub fn loaded(text: &str) -> Loaded {
    with_home(text, |path| engine().load(path)).unwrap_or_else(|bad| panic!("{bad}"))
}

/// A home that is known to load.
pub fn checked(text: &str) -> Report {
    check_home(text).unwrap_or_else(|bad| panic!("{bad}"))
}

/// The text of an example.
pub fn example(name: &str) -> PathBuf {
    root().join("examples").join(name).join("home.yaml")
}

/// Short and unproven verdicts, `short energy-code-2021/wall-u-factor assemblies.wall`, in the order of the report.
pub fn open_points(report: &Report) -> Vec<String> {
    let open = report.verdicts.iter().filter(|v| matches!(v.outcome, Outcome::Short | Outcome::Unproven));
    open.map(|v| format!("{} {} {}", v.outcome, v.full_name(), v.subject)).collect()
}

/// A number among a report's facts, in SI.
pub fn number(report: &Report, subject: &str, quantity: &str) -> f64 {
    let fact = report.facts.get(&subject.into(), quantity);
    let value = fact.and_then(|fact| fact.value.number());
    value.unwrap_or_else(|| panic!("{subject} has no number {quantity}")).si
}

/// An example in a folder of its own, to be edited.
pub struct Copy {
    folder: tempfile::TempDir,
}

impl Copy {
    /// The example of this name.
    pub fn of(example: &str) -> Copy {
        let copy = Copy { folder: tempfile::tempdir().expect("a temporary folder") };
        copy_files(&root().join("examples").join(example), copy.folder.path());
        copy
    }

    /// Heron Lane with texts replaced.
    pub fn with(replacements: &[(&str, &str)]) -> Copy {
        Copy::edited("heron-lane", replacements)
    }

    /// An example; each old text is replaced with its new one, in every YAML file that has it.
    pub fn edited(example: &str, replacements: &[(&str, &str)]) -> Copy {
        let copy = Copy::of(example);
        let mut found = vec![false; replacements.len()];
        for entry in std::fs::read_dir(copy.folder.path()).expect("just written") {
            let path = entry.expect("just written").path();
            if path.extension().is_none_or(|extension| extension != "yaml") {
                continue;
            }
            let mut text = std::fs::read_to_string(&path).expect("just written");
            for ((old, new), found) in replacements.iter().zip(&mut found) {
                *found |= text.contains(old);
                text = text.replace(old, new);
            }
            std::fs::write(&path, text).expect("the folder is writable");
        }
        for ((old, _), found) in replacements.iter().zip(found) {
            assert!(found, "'{old}' is not in {example}");
        }
        copy
    }

    /// Takes an element out of a file: the lines from its key to the next key that is indented as little.
    pub fn without(file: &str, element: &str) -> Copy {
        let copy = Copy::with(&[]);
        let path = copy.folder.path().join(file);
        let text = std::fs::read_to_string(&path).expect("a file of Heron Lane");
        let indent = |line: &str| line.len() - line.trim_start().len();
        let lines: Vec<&str> = text.lines().collect();
        let first = lines.iter().position(|line| line.trim() == format!("{element}:")).expect("the element's key");
        let after = lines[first + 1..].iter().position(|line| indent(line) <= indent(lines[first]));
        let last = after.map_or(lines.len(), |after| first + 1 + after);
        std::fs::write(path, [&lines[..first], &lines[last..]].concat().join("\n")).expect("the folder is writable");
        copy
    }

    /// Its home file.
    pub fn home(&self) -> PathBuf {
        self.folder.path().join("home.yaml")
    }
}

/// Copies the files of a folder, and of the folders in it.
fn copy_files(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("the folder is writable");
    for entry in std::fs::read_dir(from).expect("a folder of the project") {
        let path = entry.expect("a folder of the project").path();
        let target = to.join(path.file_name().expect("an entry has a name"));
        if path.is_dir() {
            copy_files(&path, &target);
        } else {
            std::fs::copy(&path, target).expect("the folder is writable");
        }
    }
}
