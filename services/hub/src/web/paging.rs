//! Pages of a list: an opaque cursor, the address of the next page in `Link` (RFC 8288) and in the
//! body. A page never skips or repeats, because the cursor names the last entry seen.

use actix_web::HttpRequest;
use actix_web::http::header::{HeaderName, HeaderValue, LINK};
use schemars::JsonSchema;
use serde::Serialize;

use super::codes;
use super::problem::Problem;

/// Entries of a page where the caller does not say.
pub const USUAL: u32 = 100;
/// Most entries of a page.
pub const MOST: u32 = 1000;

/// One page of a list.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
#[schemars(rename = "{T}Page")]
pub struct Page<T> {
    /// The entries.
    pub items: Vec<T>,
    /// Address of the next page; absent on the last.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
}

/// How many entries a page should have.
///
/// # Errors
/// A problem where the number is not within 1 to [`MOST`].
pub fn limit(asked: Option<u32>) -> Result<u32, Problem> {
    match asked {
        None => Ok(USUAL),
        Some(limit) if (1..=MOST).contains(&limit) => Ok(limit),
        Some(limit) => {
            Err(Problem::new(&codes::BAD_QUERY, format!("limit is {limit}; 1 to {MOST} are possible"))
                .at("limit", format!("not within 1 to {MOST}")))
        }
    }
}

/// Makes a cursor of the last entry's key. The prefix names the list, so that a cursor of one
/// list is not taken for another's.
pub fn cursor(list: &str, key: &str) -> String {
    hex::encode(format!("{list}\u{1f}{key}"))
}

/// Reads a cursor back.
///
/// # Errors
/// A problem where it is no cursor of this list.
pub fn key(list: &str, cursor: &str) -> Result<String, Problem> {
    let wrong = || {
        Problem::new(&codes::BAD_CURSOR, "the cursor cannot be read").at("after", "not a cursor of this list")
    };
    let bytes = hex::decode(cursor).map_err(|_| wrong())?;
    let text = String::from_utf8(bytes).map_err(|_| wrong())?;
    match text.split_once('\u{1f}') {
        Some((of, key)) if of == list => Ok(key.to_owned()),
        _ => Err(wrong()),
    }
}

/// Reads a cursor that holds a number.
///
/// # Errors
/// A problem where it is no cursor of this list.
pub fn number(list: &str, cursor: Option<&str>) -> Result<i64, Problem> {
    match cursor {
        None => Ok(0),
        Some(cursor) => key(list, cursor)?
            .parse()
            .map_err(|_| Problem::new(&codes::BAD_CURSOR, "the cursor cannot be read")),
    }
}

/// The address of the next page: this request's, with another `after`.
pub fn next(request: &HttpRequest, cursor: &str) -> String {
    let kept: Vec<&str> = request
        .query_string()
        .split('&')
        .filter(|pair| !pair.is_empty() && !pair.starts_with("after="))
        .collect();
    let mut query = kept.join("&");
    if !query.is_empty() {
        query.push('&');
    }
    format!("{}?{query}after={cursor}", request.path())
}

/// The `Link` header of a next page.
pub fn link(next: &str) -> Option<(HeaderName, HeaderValue)> {
    HeaderValue::from_str(&format!("<{next}>; rel=\"next\"")).ok().map(|value| (LINK, value))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use actix_web::test::TestRequest;

    #[test]
    fn a_cursor_is_taken_by_its_own_list_only() {
        let given = cursor("changes", "42");
        assert_eq!(number("changes", Some(&given)).unwrap(), 42);
        assert!(number("records", Some(&given)).is_err());
        for wrong in ["", "zz", "00", "6368616e676573"] {
            assert!(number("changes", Some(wrong)).is_err(), "{wrong}");
        }
    }

    #[test]
    fn the_next_address_keeps_the_question() {
        let request = TestRequest::with_uri("/v1/records?kind=rescue&after=aa&limit=5").to_http_request();
        assert_eq!(next(&request, "bb"), "/v1/records?kind=rescue&limit=5&after=bb");
        let bare = TestRequest::with_uri("/v1/changes").to_http_request();
        assert_eq!(next(&bare, "bb"), "/v1/changes?after=bb");
    }
}
