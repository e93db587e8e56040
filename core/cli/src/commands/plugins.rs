//! `mateline plugins list` and `approve`

use crate::arguments::{Plugins, PluginsCommand};
use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use mateline_engine::host::{Given, Host, LOCK_FILE, Listed, Lock, sha256};
use mateline_engine::load::{Fields, open_file};
use std::fmt::Write;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Bytes of a library that are read to tell whether it has changed; no longer one is ever approved.
const MOST_READ: u64 = 256 * 1024 * 1024 + 1;

/// Lists plugins, or approves one.
pub fn run(engine: &Engine, host: &Host, plugins: &Plugins) -> Exit {
    match &plugins.command {
        None => list(engine, host, None),
        Some(PluginsCommand::List { project }) => list(engine, host, project.as_deref()),
        Some(PluginsCommand::Approve { library, others, by, on, project }) => {
            let given = Given { by: by.clone(), on: *on };
            approve(engine, host, library, others, given, project.as_deref())
        }
    }
}

/// Lists the plugins that come with mateline, what they read and compute, then the approved ones.
fn list(engine: &Engine, host: &Host, project: Option<&Path>) -> Exit {
    let mut text = String::new();
    for plugin in engine.schedule().declarations() {
        let reads = reading(plugin.sections.as_deref(), &plugin.reads);
        let _ = writeln!(text, "{} {}: {}\n  reads {reads}", plugin.name, plugin.version, plugin.about);
        let width = plugin.quantities.iter().map(|quantity| quantity.name.chars().count()).max().unwrap_or(0);
        for quantity in &plugin.quantities {
            let unit = if quantity.units.si.is_empty() { String::new() } else { format!(" ({})", quantity.units.si) };
            let _ = writeln!(text, "  {:width$}  {}{unit}", quantity.name, quantity.meaning);
        }
        text.push('\n');
    }
    let here = (project.is_none() && host.firm.is_none()).then_some(Path::new("."));
    for folder in project.or(here).into_iter().chain(host.firm.as_deref()) {
        match approved(folder) {
            Ok(lines) => text.push_str(&lines),
            Err(why) => return output::refuse(&format!("'{}': {why}", folder.display())),
        }
    }
    output::print(&text)
}

/// What a plugin reads: sections of the home, or the whole of it, and facts of others.
fn reading(sections: Option<&[String]>, namespaces: &[String]) -> String {
    let home = match sections {
        None => "the whole home".to_owned(),
        Some([]) => "no section of the home".to_owned(),
        Some(sections) => sections.join(", "),
    };
    if namespaces.is_empty() { home } else { format!("{home}; the facts of {}", namespaces.join(", ")) }
}

/// The plugins approved in a folder, each with whether its library is still the same.
fn approved(folder: &Path) -> Result<String, String> {
    let mut text = String::new();
    for approval in Lock::of(folder)?.approvals {
        let said = &approval.handshake;
        let _ = writeln!(text, "{} {}: {}", said.name, said.version, said.about);
        for Listed { file, sha256: approved } in &approval.libraries {
            let mut bytes = Vec::new();
            let read = open_file(&folder.join(file)).and_then(|file| file.take(MOST_READ).read_to_end(&mut bytes));
            let state = match read.map(|_| bytes) {
                Ok(bytes) if sha256(&bytes) == *approved => "unchanged",
                Ok(_) => "changed since, refused",
                Err(_) => "not there",
            };
            let _ = writeln!(text, "  approved in {}: {file} ({state})", folder.join(LOCK_FILE).display());
            let _ = writeln!(text, "  SHA-256 {approved}");
        }
        let given = [approval.given.by.map(|by| format!("by {by}")), approval.given.on.map(|on| format!("on {on}"))];
        let given: Vec<String> = given.into_iter().flatten().collect();
        if !given.is_empty() {
            let _ = writeln!(text, "  approved {}", given.join(" "));
        }
        let names: Vec<&str> = said.writes.iter().map(|quantity| quantity.name.as_str()).collect();
        let reads = reading(said.sections.as_deref(), &said.reads);
        let _ = writeln!(text, "  reads {reads}; computes {}\n", names.join(", "));
    }
    Ok(text)
}

/// Records a library as approved.
fn approve(
    engine: &Engine,
    host: &Host,
    library: &Path,
    others: &[PathBuf],
    given: Given,
    project: Option<&Path>,
) -> Exit {
    let folder = project.or(host.firm.as_deref()).unwrap_or(Path::new("."));
    let sections = Fields::of_home().names([""; 0]);
    let built_in = engine.schedule().declarations().map(|plugin| plugin.name.as_str());
    let taken: Vec<&str> = built_in.chain(sections.iter().map(String::as_str)).chain(["home"]).collect();
    let approved = match host.approve(library, others, folder, &taken, given) {
        Ok(approved) => approved,
        Err(why) => return output::refuse(&format!("'{}' is not approved: {why}", library.display())),
    };
    let (approval, said) = (&approved.approval, &approved.approval.handshake);
    let record = folder.join(LOCK_FILE);
    let mut text = format!("approved {} {} in {}\n", said.name, said.version, record.display());
    for Listed { file, sha256 } in &approval.libraries {
        let _ = writeln!(text, "  {file}\n  SHA-256 {sha256}");
    }
    if !approved.lacking.is_empty() {
        let _ = writeln!(text, "  it was loaded without {}, which this system does not have", approved.lacking);
    }
    let pack = approval.libraries.first().map(|library| Path::new(&library.file).with_extension("yaml"));
    if let Some(pack) = pack.filter(|pack| folder.join(pack).is_file()) {
        let _ = writeln!(text, "  its pack is {}; name it under 'judge_by' to judge by it", pack.display());
    }
    output::print(&text)
}
