//! The `mateline` program: commands, arguments, streams and exit codes. The only crate that prints.

mod arguments;
mod cache;
mod commands;
mod edits;
mod exit;
mod found;
mod homes;
mod live;
mod machine;
mod output;
mod outputs;
mod revision;
mod version;

use arguments::Arguments;
use clap::Parser;
use exit::Exit;
use std::process::ExitCode;

fn main() -> ExitCode {
    // A panic of a plugin is contained and reported in the result; the usual message on the error stream would only
    // repeat it. A panic of mateline itself ends up below.
    std::panic::set_hook(Box::new(|_| {}));
    let typed: Vec<_> = std::env::args_os().skip(1).collect();
    if version::is_asked(&typed) {
        return version::tell().into();
    }
    let arguments = Arguments::parse();
    let ended = std::panic::catch_unwind(|| commands::run(&arguments));
    let exit = ended.unwrap_or_else(|panic| {
        let words = panic.downcast_ref::<String>().map(String::as_str);
        let words = words.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("no message");
        output::error(&format!("mateline itself failed: {words}"));
        Exit::Failed
    });
    exit.into()
}
