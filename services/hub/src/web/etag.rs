//! Conditional answers: a strong `ETag` over the bytes, and 304 where the caller has them already.

use actix_web::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH, VARY};
use actix_web::{HttpRequest, HttpResponse};
use sha2::{Digest, Sha256};

/// How long an answer may be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keep {
    /// For ever: the address names an exact version.
    ForEver,
    /// Five minutes: the address is an alias.
    Minutes,
    /// By nobody but the caller, and only to be asked again.
    Private,
}

impl Keep {
    const fn header(self) -> &'static str {
        match self {
            Self::ForEver => "public, max-age=31536000, immutable",
            Self::Minutes => "public, max-age=300",
            Self::Private => "private, no-cache",
        }
    }
}

/// Answers with these bytes, or with 304 where the caller has them.
pub fn answer(request: &HttpRequest, media_type: &str, keep: Keep, bytes: Vec<u8>) -> HttpResponse {
    let tag = tag(&bytes);
    let known = request
        .headers()
        .get(IF_NONE_MATCH)
        .and_then(|value| value.to_str().ok())
        .is_some_and(|tags| matches(tags, &tag));
    let mut answer = if known { HttpResponse::NotModified() } else { HttpResponse::Ok() };
    answer
        .insert_header((ETAG, tag))
        .insert_header((CACHE_CONTROL, keep.header()))
        .insert_header((VARY, "Accept, Accept-Encoding"));
    if known {
        return answer.finish();
    }
    answer.insert_header((CONTENT_TYPE, media_type)).body(bytes)
}

/// The tag of some bytes.
pub fn tag(bytes: &[u8]) -> String {
    let digest = hex::encode(Sha256::digest(bytes));
    format!("\"{}\"", &digest[..32])
}

/// Whether a list of tags names this one. A suffix that compression added is passed over.
fn matches(tags: &str, tag: &str) -> bool {
    let bare = |tag: &str| {
        let tag = tag.trim().trim_start_matches("W/").trim_matches('"');
        tag.trim_end_matches("-gzip").trim_end_matches("-zstd").to_owned()
    };
    tags.trim() == "*" || tags.split(',').any(|one| bare(one) == bare(tag))
}
