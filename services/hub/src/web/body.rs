//! Bodies: JSON into a type with clear problems, and records spooled to memory or disk.

use actix_web::dev::Payload;
use actix_web::http::header::{ACCEPT, CONTENT_ENCODING, CONTENT_TYPE, HeaderName};
use actix_web::{FromRequest, HttpRequest, web};
use futures_util::StreamExt;
use haulout_schemas::misfit::{Misfit, fitting};
use serde::de::DeserializeOwned;
use std::future::Future;
use std::io::{Read, Seek, SeekFrom, Write};
use std::pin::Pin;
use tempfile::SpooledTempFile;

use super::limits;
use super::problem::{Detail, Problem};
use super::{codes, framework};

/// The media types of records.
pub const RECORD_TYPES: &str =
    "application/x-ndjson, application/ndjson, application/jsonl, application/json";

/// A JSON body read into `T`.
#[derive(Debug)]
pub struct Json<T>(pub T);

impl<T: DeserializeOwned + 'static> FromRequest for Json<T> {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let media = media_type(request);
        if media != "application/json" && !media.ends_with("+json") {
            let problem = media_unsupported(&media, "application/json");
            return Box::pin(async move { Err(problem) });
        }
        let bytes = web::Bytes::from_request(request, payload);
        Box::pin(async move {
            let bytes = bytes.await.map_err(framework::payload_problem)?;
            parse(&bytes).map(Self)
        })
    }
}

/// Reads JSON into a type.
///
/// # Errors
/// A problem with the pointer to, and the line and column of, the place where it stops fitting.
pub fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let read = fitting(&mut reader).and_then(|read| match reader.end() {
        Ok(()) => Ok(read),
        Err(error) => Err(Misfit { pointer: String::new(), problem: error.to_string() }),
    });
    read.map_err(|Misfit { pointer, problem }| {
        let (said, place) = problem.split_once(" at line ").unwrap_or((&problem, ""));
        let line = place.split(' ').next().and_then(|line| line.parse().ok());
        Problem::new(&codes::BAD_JSON, problem.clone()).with_error(Detail {
            detail: said.to_owned(),
            pointer: (!pointer.is_empty()).then(|| format!("#{pointer}")),
            parameter: None,
            line: line.filter(|line| *line > 0),
        })
    })
}

/// The media type of the body, without parameters, lower case; empty where there is none.
pub fn media_type(request: &HttpRequest) -> String {
    request
        .headers()
        .get(CONTENT_TYPE)
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.split(';').next())
        .map(|value| value.trim().to_ascii_lowercase())
        .unwrap_or_default()
}

/// The body is of a type that is not taken.
pub fn media_unsupported(media: &str, taken: &str) -> Problem {
    let said = if media.is_empty() {
        "the request has no Content-Type".to_owned()
    } else {
        format!("`{media}` is not taken here")
    };
    Problem::new(&codes::MEDIA_TYPE_UNSUPPORTED, format!("{said}; send one of: {taken}"))
        .with_header(HeaderName::from_static("accept-post"), taken)
        .with_header(ACCEPT, taken)
}

/// How records are laid out in a body.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// One record a line.
    Lines,
    /// A JSON array.
    Array,
}

/// The layout that the Content-Type promises.
///
/// # Errors
/// A problem where the type, or the compression, is not taken.
pub fn layout(request: &HttpRequest) -> Result<Layout, Problem> {
    encoding(request)?;
    match media_type(request).as_str() {
        "application/x-ndjson" | "application/ndjson" | "application/jsonl" => Ok(Layout::Lines),
        "application/json" => Ok(Layout::Array),
        other => Err(media_unsupported(other, RECORD_TYPES)),
    }
}

/// The compression that a header announces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// None announced; what is compressed all the same is recognised by its first bytes.
    Plain,
    /// gzip.
    Gzip,
    /// zstd.
    Zstd,
}

/// Reads Content-Encoding.
///
/// # Errors
/// A problem where it is another.
pub fn encoding(request: &HttpRequest) -> Result<Encoding, Problem> {
    let Some(value) = request.headers().get(CONTENT_ENCODING) else { return Ok(Encoding::Plain) };
    match value.to_str().unwrap_or_default().trim().to_ascii_lowercase().as_str() {
        "" | "identity" => Ok(Encoding::Plain),
        "gzip" | "x-gzip" => Ok(Encoding::Gzip),
        "zstd" => Ok(Encoding::Zstd),
        other => Err(Problem::new(
            &codes::ENCODING_UNSUPPORTED,
            format!("Content-Encoding `{other}` is not taken; gzip and zstd are"),
        )
        .with_header(HeaderName::from_static("accept-encoding"), "gzip, zstd")),
    }
}

/// A body as received, in memory or in a temporary file without a name.
pub type Spool = SpooledTempFile;

/// A whole body.
#[derive(Debug)]
pub struct Received {
    /// Its bytes, from the first on.
    pub spool: Spool,
    /// How many there are.
    pub bytes: u64,
}

/// Takes the whole body in, without holding more than a little of it in memory. Nothing is worked
/// on before its last byte is there, so a broken line stores nothing.
///
/// # Errors
/// A problem where the body is too long, too slow, cut, or not compressed as announced.
pub async fn spool(request: &HttpRequest, mut payload: web::Payload, most: u64) -> Result<Received, Problem> {
    let announced = encoding(request)?;
    let too_large =
        || Problem::new(&codes::BODY_TOO_LARGE, format!("the body has more than {} MiB", most >> 20));
    if framework::content_length(request).is_some_and(|length| length > most) {
        return Err(too_large());
    }
    let mut spool = SpooledTempFile::new(limits::IN_MEMORY);
    let mut length = 0_u64;
    loop {
        let next = tokio::time::timeout(limits::BODY_SILENCE, payload.next()).await.map_err(|_| {
            let seconds = limits::BODY_SILENCE.as_secs();
            Problem::new(&codes::REQUEST_TIMEOUT, format!("no byte of the body came for {seconds} seconds"))
        })?;
        let Some(piece) = next else { break };
        let piece = piece.map_err(|error| framework::payload_problem(error.into()))?;
        length += piece.len() as u64;
        if length > most {
            return Err(too_large());
        }
        spool.write_all(&piece).map_err(storage)?;
    }
    rewind(&mut spool)?;
    as_announced(&mut spool, announced, length)?;
    Ok(Received { spool, bytes: length })
}

/// Goes back to the first byte.
///
/// # Errors
/// A problem where the temporary file fails.
pub fn rewind(spool: &mut Spool) -> Result<(), Problem> {
    spool.seek(SeekFrom::Start(0)).map(drop).map_err(storage)
}

fn as_announced(spool: &mut Spool, announced: Encoding, length: u64) -> Result<(), Problem> {
    let mut start = [0; 4];
    let have = spool.read(&mut start).map_err(storage)?;
    rewind(spool)?;
    let fits = match announced {
        Encoding::Plain => true,
        _ if length == 0 => true,
        Encoding::Gzip => start[..have].starts_with(&[0x1F, 0x8B]),
        // A zstd frame, or a skippable frame before one (RFC 8878, section 3.1).
        Encoding::Zstd => start[..have] == [0x28, 0xB5, 0x2F, 0xFD] || start[1..] == [0x2A, 0x4D, 0x18],
    };
    if fits {
        Ok(())
    } else {
        Err(Problem::new(
            &codes::ENCODING_MISMATCH,
            "the first bytes of the body are not of the announced Content-Encoding",
        ))
    }
}

/// A temporary file failed.
pub fn storage(error: std::io::Error) -> Problem {
    let full = error.kind() == std::io::ErrorKind::StorageFull;
    let code = if full { &codes::STORAGE_FULL } else { &codes::INTERNAL };
    Problem::new(code, "the body could not be kept").because(error)
}

/// The bytes of a file, piece by piece.
pub fn stream(file: std::fs::File) -> impl futures_util::Stream<Item = Result<web::Bytes, std::io::Error>> {
    use tokio::io::AsyncReadExt;
    futures_util::stream::try_unfold(tokio::fs::File::from_std(file), |mut file| async move {
        let mut piece = Vec::with_capacity(64 << 10);
        let read = (&mut file).take(64 << 10).read_to_end(&mut piece).await?;
        Ok((read > 0).then(|| (web::Bytes::from(piece), file)))
    })
}
