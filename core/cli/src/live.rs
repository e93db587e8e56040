//! The page that `watch --serve` shows: a small HTTP server on this machine's own address that nobody else reaches.
//!
//! It answers `GET` to four paths and nothing else. Requests must name this address as their host, so that a page from
//! elsewhere that has its own name point here learns nothing. The report itself carries no script; the frame around it
//! asks what its version is and loads it anew when that changes.

mod request;

use request::{Request, answer, read};
use std::io::{Error, ErrorKind, Read, Result, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// Connections answered at a time; more are closed at once.
const MAX_CONNECTIONS: usize = 32;
/// Questions for changes that wait for one; others are answered at once, so that connections are left.
const MAX_WAITING: usize = 16;
/// How long a request may take to come, and an answer to go, however small the pieces.
const DEADLINE: Duration = Duration::from_secs(3);
/// How long a question for changes may wait for one.
const PATIENCE: Duration = Duration::from_secs(20);

/// The frame around the report.
const FRAME: &str = "<!doctype html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\"><title>mateline</title>\n\
<style>html,body,iframe{margin:0;border:0;padding:0;width:100%;height:100%;display:block}</style></head>\n\
<body><iframe id=\"report\" title=\"report\" src=\"/report\" sandbox=\"allow-same-origin allow-popups\"></iframe>\n\
<script src=\"/live.js\"></script></body>\n</html>\n";

/// Loads the report anew when its version changes, at the height it was read at.
const SCRIPT: &str = "\
'use strict';
const frame = document.getElementById('report');
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
let version = '';
let height = 0;
frame.addEventListener('load', () => frame.contentWindow.scrollTo(0, height));
(async () => {
  for (;;) {
    try {
      const answer = await fetch('/changes?after=' + version, {cache: 'no-store'});
      const now = answer.ok ? await answer.text() : version;
      if (!answer.ok) await pause(1000);
      if (now !== version && version !== '') {
        height = frame.contentWindow.scrollY;
        frame.contentWindow.location.reload();
      }
      version = now;
    } catch (error) {
      await pause(1000);
    }
  }
})();
";

/// What is shown now.
#[derive(Default)]
struct Shown {
    version: u64,
    page: String,
}

#[derive(Default)]
struct State {
    shown: Mutex<Shown>,
    changed: Condvar,
    /// Connections that wait for a change.
    waiting: AtomicUsize,
}

impl State {
    fn lock(&self) -> MutexGuard<'_, Shown> {
        self.shown.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The version, once it is another than the given one or nobody wants to wait longer.
    fn after(&self, version: Option<u64>) -> u64 {
        let waiting = self.waiting.fetch_add(1, Ordering::SeqCst);
        let patience = if waiting < MAX_WAITING { PATIENCE } else { Duration::ZERO };
        let version = self.within(version, patience);
        self.waiting.fetch_sub(1, Ordering::SeqCst);
        version
    }

    fn within(&self, version: Option<u64>, patience: Duration) -> u64 {
        let shown = self.lock();
        let same = |shown: &mut Shown| Some(shown.version) == version;
        let waited = self.changed.wait_timeout_while(shown, patience, same);
        waited.unwrap_or_else(PoisonError::into_inner).0.version
    }
}

/// A running server.
pub struct Live {
    state: Arc<State>,
    port: u16,
}

impl Live {
    /// Listens on this machine's own address.
    ///
    /// # Errors
    /// When the port is taken.
    pub fn start(port: u16) -> std::result::Result<Live, String> {
        Live::within(port, DEADLINE)
    }

    fn within(port: u16, deadline: Duration) -> std::result::Result<Live, String> {
        let cannot = |error: Error| format!("cannot listen on 127.0.0.1:{port}: {error}");
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(cannot)?;
        let port = listener.local_addr().map_err(cannot)?.port();
        let state = Arc::new(State::default());
        let shared = Arc::clone(&state);
        std::thread::Builder::new()
            .name("live".to_owned())
            .spawn(move || serve(&listener, port, &shared, deadline))
            .map_err(cannot)?;
        Ok(Live { state, port })
    }

    /// Where a browser finds it.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/", self.port)
    }

    /// Shows another page.
    pub fn show(&self, page: String) {
        let mut shown = self.state.lock();
        shown.version += 1;
        shown.page = page;
        drop(shown);
        self.state.changed.notify_all();
    }
}

fn serve(listener: &TcpListener, port: u16, state: &Arc<State>, deadline: Duration) {
    let open = Arc::new(AtomicUsize::new(0));
    for stream in listener.incoming() {
        let Ok(stream) = stream else {
            // Out of file handles, say: give what is open time to end.
            std::thread::sleep(Duration::from_millis(50));
            continue;
        };
        if open.fetch_add(1, Ordering::SeqCst) >= MAX_CONNECTIONS {
            open.fetch_sub(1, Ordering::SeqCst);
            continue;
        }
        let (state, counted) = (Arc::clone(state), Arc::clone(&open));
        let started = std::thread::Builder::new().spawn(move || {
            // A browser that goes away in the middle of an answer needs none.
            let _ = connection(&stream, port, &state, deadline);
            counted.fetch_sub(1, Ordering::SeqCst);
        });
        if started.is_err() {
            open.fetch_sub(1, Ordering::SeqCst);
        }
    }
}

fn connection(stream: &TcpStream, port: u16, state: &State, deadline: Duration) -> Result<()> {
    let response = match read(&mut Timed::new(stream, deadline))? {
        Err(refused) => refused,
        Ok(request) => respond(&request, port, state),
    };
    Timed::new(stream, deadline).write_all(&response)
}

/// A connection on which all pieces together may take so long.
struct Timed<'a> {
    stream: &'a TcpStream,
    end: Instant,
}

impl<'a> Timed<'a> {
    fn new(stream: &'a TcpStream, deadline: Duration) -> Timed<'a> {
        Timed { stream, end: Instant::now() + deadline }
    }

    fn left(&self) -> Result<Option<Duration>> {
        let left = self.end.saturating_duration_since(Instant::now());
        if left.is_zero() { Err(Error::from(ErrorKind::TimedOut)) } else { Ok(Some(left)) }
    }
}

impl Read for Timed<'_> {
    fn read(&mut self, into: &mut [u8]) -> Result<usize> {
        self.stream.set_read_timeout(self.left()?)?;
        self.stream.read(into)
    }
}

impl Write for Timed<'_> {
    fn write(&mut self, bytes: &[u8]) -> Result<usize> {
        self.stream.set_write_timeout(self.left()?)?;
        self.stream.write(bytes)
    }

    fn flush(&mut self) -> Result<()> {
        self.stream.flush()
    }
}

fn respond(request: &Request, port: u16, state: &State) -> Vec<u8> {
    if !request.is_for(port) {
        return answer("403 Forbidden", "text/plain", "this server answers only to 127.0.0.1 and localhost\n");
    }
    if request.method != "GET" {
        return answer("405 Method Not Allowed", "text/plain", "this server answers only to GET\n");
    }
    let (path, query) = request.target.split_once('?').unwrap_or((&request.target, ""));
    match path {
        "/" => answer("200 OK", "text/html", FRAME),
        "/live.js" => answer("200 OK", "text/javascript", SCRIPT),
        "/report" => answer("200 OK", "text/html", &state.lock().page.clone()),
        "/changes" => {
            let after = query.strip_prefix("after=").and_then(|version| version.parse().ok());
            answer("200 OK", "text/plain", &state.after(after).to_string())
        }
        _ => answer("404 Not Found", "text/plain", "there is nothing here\n"),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn ask(live: &Live, request: &str) -> String {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, live.port)).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut text = String::new();
        stream.read_to_string(&mut text).unwrap();
        text
    }

    fn get(live: &Live, path: &str) -> String {
        ask(live, &format!("GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", live.port))
    }

    #[test]
    fn the_report_is_shown_and_changes_are_told() {
        let live = Live::start(0).unwrap();
        live.show("<p>first".to_owned());
        assert!(get(&live, "/report").ends_with("\r\n\r\n<p>first"));
        assert!(get(&live, "/").contains("<iframe"));
        assert!(get(&live, "/changes?after=").ends_with("\r\n\r\n1"));
        std::thread::scope(|scope| {
            let waiting = scope.spawn(|| get(&live, "/changes?after=1"));
            std::thread::sleep(Duration::from_millis(50));
            assert!(!waiting.is_finished(), "nothing has changed yet");
            live.show("<p>second".to_owned());
            assert!(waiting.join().unwrap().ends_with("\r\n\r\n2"));
        });
        assert!(get(&live, "/report").ends_with("second"));
    }

    /// More slow clients than connections, each of which sends a byte and goes on holding its own.
    #[test]
    fn slow_clients_keep_nobody_out_for_long() {
        let live = Live::within(0, Duration::from_millis(50)).unwrap();
        live.show("<p>page".to_owned());
        let slow: Vec<TcpStream> = (0..2 * MAX_CONNECTIONS)
            .map(|_| {
                let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, live.port)).unwrap();
                let _ = stream.write_all(b"G");
                stream
            })
            .collect();
        let request = format!("GET /report HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", live.port);
        let answered = (0..300).any(|_| {
            std::thread::sleep(Duration::from_millis(10));
            let Ok(mut stream) = TcpStream::connect((Ipv4Addr::LOCALHOST, live.port)) else { return false };
            let mut text = String::new();
            let asked = stream.write_all(request.as_bytes()).and_then(|()| stream.read_to_string(&mut text));
            asked.is_ok() && text.ends_with("<p>page")
        });
        assert!(answered, "{} slow clients still hold every connection", slow.len());
    }

    #[test]
    fn a_deadline_holds_for_all_pieces_together() {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let mut client = TcpStream::connect(listener.local_addr().unwrap()).unwrap();
        let (stream, _) = listener.accept().unwrap();
        client.write_all(b"GET").unwrap();
        let mut timed = Timed::new(&stream, Duration::from_secs(60));
        assert_eq!(timed.read(&mut [0; 1]).unwrap(), 1);
        timed.end = Instant::now();
        // Two bytes have come, and are too late.
        assert_eq!(timed.read(&mut [0; 1]).unwrap_err().kind(), ErrorKind::TimedOut);
        assert_eq!(timed.write(b"late").unwrap_err().kind(), ErrorKind::TimedOut);
    }

    #[test]
    fn only_this_address_and_only_get_are_answered() {
        let live = Live::start(0).unwrap();
        live.show("secret".to_owned());
        let port = live.port;
        for head in [
            "GET /report HTTP/1.1\r\nHost: evil.example\r\n\r\n".to_owned(),
            format!("GET /report HTTP/1.1\r\nHost: evil.example:{port}\r\n\r\n"),
            format!("GET /report HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", port.wrapping_add(1)),
            format!("GET /report HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nHost: evil.example\r\n\r\n"),
            "GET /report HTTP/1.1\r\n\r\n".to_owned(),
            "GET /report HTTP/1.0\r\n\r\n".to_owned(),
            format!("GET http://evil.example/report HTTP/1.1\r\nHost: 127.0.0.1:{port}.evil.example\r\n\r\n"),
        ] {
            let told = ask(&live, &head);
            assert!(told.starts_with("HTTP/1.1 403 ") && !told.contains("secret"), "{head}: {told}");
        }
        let here = format!("Host: LOCALHOST:{port}\r\n\r\n");
        assert!(ask(&live, &format!("GET /report HTTP/1.1\r\n{here}")).ends_with("secret"));
        assert!(ask(&live, &format!("POST /report HTTP/1.1\r\n{here}")).starts_with("HTTP/1.1 405 "));
        assert!(ask(&live, &format!("GET /../etc/passwd HTTP/1.1\r\n{here}")).starts_with("HTTP/1.1 404 "));
        for nonsense in ["\r\n\r\n", "GET\r\n\r\n", "GET / HTTP/9\r\n\r\n", "\u{0}\u{1}\r\n\r\n"] {
            assert!(ask(&live, nonsense).starts_with("HTTP/1.1 400 "), "{nonsense:?}");
        }
        let long = format!("GET /{} HTTP/1.1\r\n", "a".repeat(20_000));
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).unwrap();
        // The server stops reading and answers before all of it is sent.
        let _ = stream.write_all(long.as_bytes());
        let mut told = Vec::new();
        let _ = stream.read_to_end(&mut told);
        assert!(told.is_empty() || told.starts_with(b"HTTP/1.1 431 "), "{}", String::from_utf8_lossy(&told));
    }

    #[test]
    fn every_answer_forbids_what_it_does_not_need() {
        let live = Live::start(0).unwrap();
        for path in ["/", "/report", "/live.js", "/changes?after=9", "/nosuch"] {
            let told = get(&live, path);
            for header in [
                "Cache-Control: no-store",
                "X-Content-Type-Options: nosniff",
                "Content-Security-Policy: default-src 'none'",
            ] {
                assert!(told.contains(header), "{path}: {header}");
            }
        }
    }
}
