//! The engine as this program ships it: built-in plugins, packs and materials, and a host for third-party plugins.

use crate::arguments::Hosting;
use mateline_engine::Engine;
use mateline_engine::host::{Host, Limits, MIB, Start};
use mateline_engine::load::PartFault;
use mateline_plugins::Store;
use mateline_reports::overrides;
use std::path::PathBuf;
use std::sync::Arc;

/// The engine with everything that comes with mateline.
///
/// # Errors
/// When the built-in plugins do not fit together, which a test excludes.
pub fn engine(hosting: &Hosting, store: Option<Arc<dyn Store>>) -> Result<Engine, String> {
    let materials = mateline_plugins::materials().clone();
    let store = store.unwrap_or_else(|| Arc::new(mateline_plugins::Nothing));
    let plugins = mateline_plugins::built_in_with(Arc::clone(&store));
    let engine = Engine::new(plugins, mateline_rules::PACKS, materials)?.trying_with(mateline_plugins::roughly(store));
    let engine = engine.asking(mateline_rules::ASKING).tracing(mateline_plugins::TABLES).judging_parts(part);
    let engine = engine.with_levers(mateline_rules::LEVERS);
    Ok(match firm(hosting) {
        Some(folder) => engine.for_firm(&folder),
        None => engine,
    })
}

/// Whether a part of a page that a firm replaces can stand in for the one of its name.
fn part(name: &str, text: &str) -> Result<(), PartFault> {
    overrides::check(name, text, mateline_packets::parts()).map_err(|fault| PartFault {
        line: fault.line,
        message: fault.message,
        help: fault.help,
    })
}

/// The firm's folder: as it is typed, else as the environment names it.
pub fn firm(hosting: &Hosting) -> Option<PathBuf> {
    let variable = || std::env::var_os("MATELINE_FIRM").filter(|name| !name.is_empty()).map(PathBuf::from);
    hosting.firm.clone().or_else(|| if hosting.strict { None } else { variable() })
}

/// Where third-party plugins run: in a child process, which is this very program started again.
///
/// # Errors
/// When the program does not know where it is.
pub fn host(hosting: &Hosting) -> Result<Host, String> {
    // On Linux the running program itself, even where its file has been replaced meanwhile.
    let program = if cfg!(target_os = "linux") { Ok(PathBuf::from("/proc/self/exe")) } else { std::env::current_exe() };
    let program = program.map_err(|error| format!("cannot find the program itself: {error}"))?;
    Ok(Host {
        start: Start { program, command: "plugin-child".into() },
        limits: Limits {
            seconds: hosting.plugin_time,
            memory: hosting.plugin_memory.saturating_mul(MIB),
            ..Limits::default()
        },
        firm: firm(hosting),
        strict: hosting.strict,
        approved: hosting.approve_plugin.clone(),
        in_process: hosting.in_process,
    })
}
