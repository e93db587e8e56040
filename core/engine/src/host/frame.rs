//! Frames on a pipe: one byte that says what follows, the length in eight bytes, and the content.

use std::io::{Error, ErrorKind, Read, Result, Write};

/// What a frame holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Tag {
    /// To the child: the bytes of the library.
    Library = b'l',
    /// To the child: answer the handshake.
    Handshake = b'h',
    /// To the child: run, with the request.
    Run = b'r',
    /// From the child: how it is confined; empty where as far as it goes.
    Confined = b'c',
    /// From the child: the answer of the plugin.
    Done = b'd',
    /// From the child: why the plugin could not do its work, in its own words.
    Failed = b'f',
    /// From the child: how the plugin broke the boundary.
    Broken = b'b',
}

impl Tag {
    fn of(byte: u8) -> Option<Tag> {
        use Tag::{Broken, Confined, Done, Failed, Handshake, Library, Run};
        [Library, Handshake, Run, Confined, Done, Failed, Broken].into_iter().find(|tag| *tag as u8 == byte)
    }
}

/// Writes a frame.
///
/// # Errors
/// When the other side has gone.
pub fn write(to: &mut impl Write, tag: Tag, content: &[u8]) -> Result<()> {
    to.write_all(&[tag as u8])?;
    to.write_all(&(content.len() as u64).to_le_bytes())?;
    to.write_all(content)?;
    to.flush()
}

/// Reads a frame of at most `limit` bytes; none at the end of the stream.
///
/// # Errors
/// When the stream ends inside a frame, or what comes is no frame.
pub fn read(from: &mut impl Read, limit: u64) -> Result<Option<(Tag, Vec<u8>)>> {
    let mut first = [0];
    if from.read(&mut first)? == 0 {
        return Ok(None);
    }
    let tag = Tag::of(first[0]).ok_or_else(|| Error::new(ErrorKind::InvalidData, "what came is no frame"))?;
    let mut length = [0; 8];
    from.read_exact(&mut length)?;
    let length = u64::from_le_bytes(length);
    if length > limit {
        return Err(Error::new(ErrorKind::InvalidData, format!("{length} bytes are more than {limit}")));
    }
    let mut content = Vec::new();
    let read = from.take(length).read_to_end(&mut content)?;
    if read as u64 == length { Ok(Some((tag, content))) } else { Err(ErrorKind::UnexpectedEof.into()) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn frames_come_back_as_they_went() {
        let mut pipe = Vec::new();
        write(&mut pipe, Tag::Handshake, b"").unwrap();
        write(&mut pipe, Tag::Done, "ψ".as_bytes()).unwrap();
        let mut from = pipe.as_slice();
        assert_eq!(read(&mut from, 10).unwrap(), Some((Tag::Handshake, Vec::new())));
        assert_eq!(read(&mut from, 10).unwrap(), Some((Tag::Done, "ψ".as_bytes().to_vec())));
        assert_eq!(read(&mut from, 10).unwrap(), None);
    }

    #[test]
    fn what_is_no_frame_is_refused_before_it_is_kept() {
        let mut long = vec![b'd'];
        long.extend(u64::MAX.to_le_bytes());
        for wrong in [b"x".to_vec(), b"d\x01".to_vec(), b"d\x02\0\0\0\0\0\0\0a".to_vec(), long] {
            assert!(read(&mut wrong.as_slice(), 1_000).is_err(), "{wrong:?}");
        }
    }
}
