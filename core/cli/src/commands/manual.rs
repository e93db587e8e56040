//! `mateline manual`

use crate::arguments::{Arguments, Manual};
use crate::exit::Exit;
use crate::output;
use clap::CommandFactory;

/// Prints the manual page of mateline or of one of its commands.
pub fn run(manual: &Manual) -> Exit {
    let mut page = Arguments::command();
    page.build();
    for name in &manual.command {
        let found = page.get_subcommands().find(|command| command.get_name() == name && !command.is_hide_set());
        let Some(found) = found else {
            let known: Vec<&str> =
                page.get_subcommands().filter(|known| !known.is_hide_set()).map(clap::Command::get_name).collect();
            let there = if known.is_empty() { "it has none".to_owned() } else { known.join(", ") };
            return output::refuse(&format!("{} has no command '{name}'; there is {there}", page.get_name()));
        };
        page = found.clone();
    }
    let mut text = Vec::new();
    match clap_mangen::Man::new(page).render(&mut text) {
        Ok(()) => output::print(&String::from_utf8_lossy(&text)),
        Err(error) => output::error(&format!("cannot write the manual page: {error}")),
    }
}
