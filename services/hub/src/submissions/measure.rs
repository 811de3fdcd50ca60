//! The size and digest of a body after decompression, before a line of it is worked on.

use flate2::read::MultiGzDecoder;
use sha2::{Digest, Sha256};
use std::io::{self, Read};

use crate::web::body::{self, Spool};
use crate::web::{Problem, codes, limits};

/// What was measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measured {
    /// Bytes after decompression; where it is damaged, those before the damage.
    pub bytes: u64,
    /// SHA-256 of them: two bodies are the same when this agrees, however they were compressed.
    pub digest: [u8; 32],
}

/// zstd window accepted, as a power of two: 8 MiB, the most for transfers (RFC 9659).
const WINDOW_LOG: u32 = 23;
/// One compressed byte may become so many; judged from [`JUDGED_FROM`] bytes on.
const RATIO: u64 = 250;
const JUDGED_FROM: u64 = 16 << 20;

/// Measures a body, and hands every decompressed piece on. Damage ends it quietly: the reading that
/// follows meets the same damage and tells of it with its place.
///
/// # Errors
/// A problem where the body grows beyond measure.
pub fn measure(
    spool: &mut Spool,
    received: u64,
    mut piece: impl FnMut(&[u8]) -> io::Result<()>,
) -> Result<Measured, Problem> {
    body::rewind(spool)?;
    let mut start = [0; 4];
    let have = spool.read(&mut start).map_err(body::storage)?;
    body::rewind(spool)?;
    let mut reader: Box<dyn Read + '_> = match &start[..have] {
        [0x1F, 0x8B, ..] => Box::new(MultiGzDecoder::new(&mut *spool)),
        [0x28, 0xB5, 0x2F, 0xFD] | [_, 0x2A, 0x4D, 0x18] => {
            let mut decoder = zstd::stream::read::Decoder::new(&mut *spool).map_err(body::storage)?;
            decoder.window_log_max(WINDOW_LOG).map_err(body::storage)?;
            Box::new(decoder)
        }
        _ => Box::new(&mut *spool),
    };
    let mut digest = Sha256::new();
    let mut bytes = 0_u64;
    let mut buffer = vec![0; 256 << 10];
    loop {
        let read = match reader.read(&mut buffer) {
            Ok(0) => break,
            Ok(read) => read,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(_) => break,
        };
        bytes += read as u64;
        if bytes > JUDGED_FROM && bytes / RATIO > received {
            return Err(Problem::new(
                &codes::COMPRESSION_BOMB,
                format!("more than {RATIO} bytes come out of one"),
            ));
        }
        if bytes > limits::RECORDS_DECOMPRESSED {
            let most = limits::RECORDS_DECOMPRESSED >> 30;
            return Err(Problem::new(
                &codes::BODY_TOO_LARGE,
                format!("the body has more than {most} GiB after decompression"),
            ));
        }
        digest.update(&buffer[..read]);
        piece(&buffer[..read]).map_err(body::storage)?;
    }
    drop(reader);
    body::rewind(spool)?;
    Ok(Measured { bytes, digest: digest.finalize().into() })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::io::Write;

    fn of(bytes: &[u8]) -> Result<Measured, Problem> {
        let mut spool = Spool::new(1 << 20);
        spool.write_all(bytes).unwrap();
        measure(&mut spool, bytes.len() as u64, |_| Ok(()))
    }

    fn gzip(bytes: &[u8]) -> Vec<u8> {
        let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
        encoder.write_all(bytes).unwrap();
        encoder.finish().unwrap()
    }

    #[test]
    fn the_digest_is_of_what_was_compressed() {
        let plain = of(b"{}\n{}\n").unwrap();
        assert_eq!(of(&gzip(b"{}\n{}\n")).unwrap(), plain);
        assert_eq!(of(&zstd::encode_all(&b"{}\n{}\n"[..], 3).unwrap()).unwrap(), plain);
        assert_eq!(plain.bytes, 6);
    }

    #[test]
    fn a_bomb_is_met_before_it_is_kept() {
        let bomb = gzip(&vec![b' '; 64 << 20]);
        assert_eq!(of(&bomb).unwrap_err().code(), &codes::COMPRESSION_BOMB);
    }
}
