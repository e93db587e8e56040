//! As much of HTTP/1.1 as the page needs: the head of a request, and an answer that ends the connection.
//!
//! Source: RFC 9112, 2 to 6 (from memory, high).

use mateline_reports::html::SCRIPT_DIGEST;
use std::io::Read;

/// Bytes of a request's head; a browser sends less than a tenth of it.
const LONGEST_HEAD: usize = 8 * 1024;
/// Pieces a head may come in.
const MOST_PIECES: usize = 64;

/// The head of a request.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Request {
    pub method: String,
    pub target: String,
    /// Every host that is named.
    pub hosts: Vec<String>,
}

impl Request {
    /// Whether it names this address, once, as its host.
    pub fn is_for(&self, port: u16) -> bool {
        let [host] = self.hosts.as_slice() else { return false };
        ["127.0.0.1", "localhost"].iter().any(|own| {
            host.eq_ignore_ascii_case(&format!("{own}:{port}")) || (port == 80 && host.eq_ignore_ascii_case(own))
        })
    }
}

/// Reads the head of a request; the inner error is the answer to one that is none.
pub(super) fn read(stream: &mut impl Read) -> std::io::Result<Result<Request, Vec<u8>>> {
    let mut head = Vec::new();
    let mut piece = [0; 1024];
    for _ in 0..MOST_PIECES {
        let count = stream.read(&mut piece)?;
        head.extend_from_slice(piece.get(..count).unwrap_or_default());
        if let Some(end) = head.windows(4).position(|window| window == b"\r\n\r\n") {
            let text = head.get(..end).and_then(|head| std::str::from_utf8(head).ok());
            let request = text.and_then(parse);
            return Ok(request.ok_or_else(|| answer("400 Bad Request", "text/plain", "this is no request\n")));
        }
        if count == 0 || head.len() > LONGEST_HEAD {
            break;
        }
    }
    Ok(Err(answer("431 Request Header Fields Too Large", "text/plain", "the request is too long or has no end\n")))
}

fn parse(head: &str) -> Option<Request> {
    let mut lines = head.split("\r\n");
    let mut words = lines.next()?.split(' ');
    let (method, target, version) = (words.next()?, words.next()?, words.next()?);
    if words.next().is_some() || !matches!(version, "HTTP/1.1" | "HTTP/1.0") || method.is_empty() {
        return None;
    }
    let mut hosts = Vec::new();
    for line in lines {
        let (name, value) = line.split_once(':')?;
        if name.eq_ignore_ascii_case("host") {
            hosts.push(value.trim().to_owned());
        }
    }
    Some(Request { method: method.to_owned(), target: target.to_owned(), hosts })
}

/// An answer: the page may load its own script, frame and style, the report may run its one script, and nothing may be kept
/// or framed elsewhere.
pub(super) fn answer(status: &str, kind: &str, body: &str) -> Vec<u8> {
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {kind}; charset=utf-8\r\nContent-Length: {}\r\nConnection: close\r\n\
         Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nReferrer-Policy: no-referrer\r\n\
         X-Frame-Options: SAMEORIGIN\r\nCross-Origin-Resource-Policy: same-origin\r\n\
         Content-Security-Policy: default-src 'none'; script-src 'self' '{SCRIPT_DIGEST}'; connect-src 'self'; \
         frame-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'self'; form-action 'none'; base-uri 'none'\r\n\r\n",
        body.len()
    );
    (head + body).into_bytes()
}
