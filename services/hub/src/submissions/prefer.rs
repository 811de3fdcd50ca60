//! What the caller would like (RFC 7240), and the key that makes a repeat safe.

use actix_web::HttpRequest;
use actix_web::http::header::HeaderName;

use crate::web::{Problem, codes, limits};

/// The preferences that are understood; unknown ones are passed over.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Preferences {
    /// `respond-async`.
    pub in_background: bool,
    /// `handling=strict`: all or nothing.
    pub strict: bool,
    /// `return=minimal`: only lines with problems are listed.
    pub minimal: bool,
}

impl Preferences {
    /// Reads `Prefer`.
    pub fn of(request: &HttpRequest) -> Self {
        let mut preferences = Self::default();
        for value in request.headers().get_all("prefer").filter_map(|value| value.to_str().ok()) {
            for preference in value.split([',', ';']) {
                let preference: String =
                    preference.chars().filter(|c| !c.is_whitespace() && *c != '"').collect();
                match preference.to_ascii_lowercase().as_str() {
                    "respond-async" => preferences.in_background = true,
                    "handling=strict" => preferences.strict = true,
                    "return=minimal" => preferences.minimal = true,
                    _ => {}
                }
            }
        }
        preferences
    }

    /// `Preference-Applied`, where one was.
    pub fn applied(self) -> Option<(HeaderName, String)> {
        let words: Vec<&str> = [
            (self.in_background, "respond-async"),
            (self.strict, "handling=strict"),
            (self.minimal, "return=minimal"),
        ]
        .into_iter()
        .filter_map(|(applied, word)| applied.then_some(word))
        .collect();
        (!words.is_empty()).then(|| (HeaderName::from_static("preference-applied"), words.join(", ")))
    }
}

/// The `Idempotency-Key`: a quoted string, or the same without quotes.
///
/// # Errors
/// A problem where it is empty, too long or holds other characters.
pub fn key(request: &HttpRequest) -> Result<Option<String>, Problem> {
    let Some(value) = request.headers().get("idempotency-key") else { return Ok(None) };
    let wrong = || {
        Problem::new(
            &codes::BAD_HEADER,
            format!(
                "`Idempotency-Key` is a quoted text of 1 to {} printable ASCII characters",
                limits::KEY_LENGTH
            ),
        )
        .at("Idempotency-Key", "not such a text")
    };
    let text = value.to_str().map_err(|_| wrong())?.trim();
    let inner = match text.strip_prefix('"') {
        Some(rest) => rest.strip_suffix('"').ok_or_else(wrong)?,
        None => text,
    };
    let printable = inner.bytes().all(|byte| (0x20..0x7F).contains(&byte) && byte != b'"');
    if inner.is_empty() || inner.len() > limits::KEY_LENGTH || !printable {
        return Err(wrong());
    }
    Ok(Some(inner.to_owned()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use actix_web::test::TestRequest;

    #[test]
    fn preferences_are_read_from_any_number_of_headers() {
        let request = TestRequest::default()
            .append_header(("Prefer", "respond-async, wait=5"))
            .append_header(("Prefer", "handling=\"strict\"; return=minimal; foo"))
            .to_http_request();
        let preferences = Preferences::of(&request);
        assert_eq!(preferences, Preferences { in_background: true, strict: true, minimal: true });
        assert_eq!(preferences.applied().unwrap().1, "respond-async, handling=strict, return=minimal");
    }

    #[test]
    fn a_key_is_the_same_with_and_without_quotes() {
        let of = |text: &str| {
            key(&TestRequest::default().insert_header(("Idempotency-Key", text)).to_http_request())
        };
        assert_eq!(of("\"night 2026-07-02\"").unwrap(), of("night 2026-07-02").unwrap());
        assert!(of("\"\"").is_err());
        assert!(of("\"half").is_err());
        assert!(of(&"k".repeat(256)).is_err());
    }
}
