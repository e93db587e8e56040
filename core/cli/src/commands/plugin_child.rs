//! `mateline plugin-child`: what mateline starts itself as, to hold one plugin.

use crate::arguments::PluginChild;
use crate::exit::Exit;
use mateline_engine::host::{Limits, serve};

/// Serves one host until it closes the pipe. What went wrong is the host's to say.
pub fn run(child: &PluginChild) -> Exit {
    let &PluginChild { seconds, memory, answer } = child;
    match serve(&Limits { seconds, memory, answer, ..Limits::default() }) {
        Ok(()) => Exit::Done,
        Err(_) => Exit::Failed,
    }
}
