//! `watch`: checking again on save, and the page in a browser.

use super::{SMALL, code, home, mateline, program, stderr};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// A running `watch` that is ended with the test.
struct Running {
    child: Child,
    lines: Receiver<String>,
}

impl Running {
    fn start(arguments: &[&str]) -> Running {
        let mut child =
            program().arg("watch").args(arguments).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let stdout = BufReader::new(child.stdout.take().unwrap());
        let (sender, lines) = channel();
        std::thread::spawn(move || stdout.lines().map_while(Result::ok).try_for_each(|line| sender.send(line)));
        Running { child, lines }
    }

    /// The lines up to one with these words.
    fn until(&self, words: &str) -> String {
        let mut seen = String::new();
        while !seen.contains(words) {
            let line = self.lines.recv_timeout(Duration::from_secs(60));
            seen.push_str(&line.unwrap_or_else(|_| panic!("'{words}' does not come; so far:\n{seen}")));
            seen.push('\n');
        }
        seen
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn get(address: &str, path: &str, host: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\n\r\n").unwrap();
    let mut text = String::new();
    stream.read_to_string(&mut text).unwrap();
    text
}

#[test]
fn a_save_is_checked_and_shown() {
    let (_folder, path) = home(SMALL);
    let running = Running::start(&[&path, "--serve", "0"]);
    let first = running.until("interrupt to end");
    assert!(first.contains("Small, revision A: no requirement open; 0 met"), "{first}");
    let address = first.split("http://").nth(1).unwrap().split('/').next().unwrap();
    assert!(address.starts_with("127.0.0.1:"), "{address}");
    assert!(get(address, "/report", address).contains("Small"));
    assert!(get(address, "/report", "evil.example").starts_with("HTTP/1.1 403 "));
    let version = get(address, "/changes?after=", address).rsplit("\r\n").next().unwrap().to_owned();

    std::fs::write(&path, SMALL.replace("home: Small", "home: Smaller").replace("9 ft", "9")).unwrap();
    let broken = running.until("interrupt to end");
    assert!(broken.contains("9 needs a unit"), "{broken}");
    let now = get(address, &format!("/changes?after={version}"), address).rsplit("\r\n").next().unwrap().to_owned();
    assert_ne!(now, version);
    assert!(get(address, "/report", address).contains("9 needs a unit"));

    std::fs::write(&path, SMALL.replace("home: Small", "home: <b>Smaller</b>")).unwrap();
    let mended = running.until("interrupt to end");
    assert!(mended.contains("Smaller"), "{mended}");
    assert!(!get(address, "/report", address).contains("<b>Smaller"));
}

#[test]
fn nothing_is_served_unless_asked() {
    let (_folder, path) = home(SMALL);
    let running = Running::start(&[&path]);
    assert!(!running.until("interrupt to end").contains("http"));
}

#[test]
fn a_home_that_is_not_there_cannot_be_watched() {
    let output = mateline(&["watch", "nosuch/home.yaml"]);
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("cannot read 'nosuch/home.yaml'"), "{}", stderr(&output));
}
