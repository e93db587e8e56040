//! `mateline watch`

use crate::arguments::{Watch, When};
use crate::exit::Exit;
use crate::live::Live;
use crate::output;
use mateline_engine::{BadInput, Engine, Session};
use mateline_model::Report;
use mateline_reports::text::{Extent, Style};
use mateline_reports::{html, text};
use notify::{Event, EventKind, RecursiveMode, Watcher};
use std::ffi::OsStr;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;

/// How long files have to be quiet before they are checked: an editor saves in several steps.
const QUIET: Duration = Duration::from_millis(150);
/// Steps of a save that are waited for, so that files that never rest are checked too.
const MOST_STEPS: usize = 40;

/// Checks a home again and again: whenever a file of its folder or of the firm's is saved that it is read from.
pub fn run(engine: &Engine, watch: &Watch, firm: Option<&Path>, colour: When) -> Exit {
    let home = &watch.common.home;
    let folder = match home.canonicalize() {
        Ok(path) if path.is_file() => path.parent().map(Path::to_owned).unwrap_or_default(),
        Ok(_) => return output::refuse(&format!("'{}' is not a file; name the home file", home.display())),
        Err(error) => return output::refuse(&format!("cannot read '{}': {error}", home.display())),
    };
    let (sender, events) = channel();
    let watcher = notify::recommended_watcher(move |event| {
        // The receiver is gone only when the program ends.
        let _ = sender.send(event);
    });
    let watching = watcher.and_then(|mut watcher| {
        watcher.watch(&folder, RecursiveMode::Recursive)?;
        // One that cannot be read is told with everything else that is wrong with the input.
        if let Some(firm) = firm.filter(|firm| firm.is_dir()) {
            watcher.watch(firm, RecursiveMode::Recursive)?;
        }
        Ok(watcher)
    });
    let _watcher = match watching {
        Ok(watcher) => watcher,
        Err(error) => return output::error(&format!("cannot watch '{}': {error}", folder.display())),
    };
    let live = match watch.serve.map(Live::start).transpose() {
        Ok(live) => live,
        Err(error) => return output::error(&error),
    };
    // What a save does not touch is not done again.
    let session = Session::new(engine);
    loop {
        let checked = session.check(home, &super::options(&watch.common.judging));
        if let Some(live) = &live {
            live.show(page(&checked));
        }
        let mut listing = match &checked {
            Ok(report) => text::check(report, output::stdout_style(colour), Extent::Usual),
            Err(bad) => output::problems_text(bad, output::stdout_style(colour)),
        };
        let shown_at = live.as_ref().map(|live| format!("shown at {}; ", live.address())).unwrap_or_default();
        listing.push_str(&format!("── {shown_at}watching {}; interrupt to end\n\n", home.display()));
        match output::try_print(&listing) {
            Ok(()) => {}
            Err(error) if error.kind() == ErrorKind::BrokenPipe => return Exit::Done,
            Err(error) => return output::error(&format!("cannot write to standard output: {error}")),
        }
        if let Err(error) = saved(&events) {
            return output::error(&format!("cannot watch '{}' any longer: {error}", folder.display()));
        }
    }
}

/// Waits until a file that a home is read from has been saved.
fn saved(events: &Receiver<notify::Result<Event>>) -> Result<(), String> {
    loop {
        let event = events.recv().map_err(|error| error.to_string())?.map_err(|error| error.to_string())?;
        if matters(&event) {
            break;
        }
    }
    for _ in 0..MOST_STEPS {
        match events.recv_timeout(QUIET) {
            Ok(_) => {}
            Err(RecvTimeoutError::Timeout) => break,
            Err(RecvTimeoutError::Disconnected) => return Err("nothing is told any more".to_owned()),
        }
    }
    Ok(())
}

/// Whether something happened to a YAML file or to a part of the firm's pages, or so much that the details were lost.
/// Reading one is nothing; other files may be what mateline itself was told to write.
fn matters(event: &Event) -> bool {
    let is_input = |path: &PathBuf| {
        let is_part = path.parent().is_some_and(|folder| folder.ends_with("reports"));
        match path.extension().and_then(OsStr::to_str) {
            Some("yaml" | "yml") => true,
            Some("html" | "css" | "typ" | "txt") => is_part,
            _ => false,
        }
    };
    !matches!(event.kind, EventKind::Access(_)) && (event.need_rescan() || event.paths.iter().any(is_input))
}

/// What a browser shows.
fn page(checked: &Result<Report, BadInput>) -> String {
    let (title, words) = match checked.as_ref().map(html::report) {
        Ok(Ok(page)) => return page,
        Ok(Err(error)) => ("the report cannot be written", error.to_string()),
        Err(bad) => ("the home cannot be used", output::problems_text(bad, Style::PLAIN)),
    };
    let safe = words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\"><title>{title}</title></head>\n\
         <body><h1>{title}</h1>\n<pre>{safe}</pre></body>\n</html>\n"
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use notify::event::{AccessKind, CreateKind, ModifyKind};

    #[test]
    fn only_saves_of_what_is_read_matter() {
        let event = |kind, path: &str| Event::new(kind).add_path(PathBuf::from(path));
        assert!(matters(&event(EventKind::Modify(ModifyKind::Any), "a/home.yaml")));
        assert!(matters(&event(EventKind::Create(CreateKind::File), "a/firm.yml")));
        assert!(!matters(&event(EventKind::Access(AccessKind::Any), "a/home.yaml")));
        assert!(matters(&event(EventKind::Modify(ModifyKind::Any), "firm/reports/firm.css")));
        assert!(!matters(&event(EventKind::Modify(ModifyKind::Any), "a/report.html")));
    }

    #[test]
    fn a_burst_of_saves_is_one() {
        let (sender, events) = channel();
        for _ in 0..5 {
            sender.send(Ok(Event::new(EventKind::Any).add_path(PathBuf::from("home.yaml")))).unwrap();
        }
        saved(&events).unwrap();
        assert!(events.try_recv().is_err(), "the burst is used up");
        drop(sender);
        assert!(saved(&events).is_err());
    }
}
