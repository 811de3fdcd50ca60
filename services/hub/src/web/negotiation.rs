//! Which format an answer takes: `?format=` wins over `Accept`, and what cannot be made is said.

use actix_web::HttpRequest;
use actix_web::http::header::ACCEPT;

use super::codes;
use super::problem::Problem;

/// A format of answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// `application/json`.
    Json,
    /// `text/csv`.
    Csv,
    /// `text/plain`.
    Text,
    /// `text/html`.
    Html,
    /// A workbook, Office Open XML.
    Xlsx,
    /// Typeset pages, A4.
    Pdf,
    /// What the columns of a CSV mean: `application/csvm+json`.
    Csvw,
    /// `application/x-ndjson`.
    Ndjson,
}

impl Format {
    const ALL: [Self; 8] =
        [Self::Json, Self::Csv, Self::Text, Self::Html, Self::Xlsx, Self::Pdf, Self::Csvw, Self::Ndjson];

    /// The word for `?format=`.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Json => "json",
            Self::Csv => "csv",
            Self::Text => "text",
            Self::Html => "html",
            Self::Xlsx => "xlsx",
            Self::Pdf => "pdf",
            Self::Csvw => "csvw",
            Self::Ndjson => "ndjson",
        }
    }

    /// The media type of an answer.
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Csv => "text/csv; charset=utf-8; header=present",
            Self::Text => "text/plain; charset=utf-8",
            Self::Html => "text/html; charset=utf-8",
            Self::Xlsx => "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            Self::Pdf => "application/pdf",
            Self::Csvw => haulout_documents::csvw::MEDIA_TYPE,
            Self::Ndjson => "application/x-ndjson",
        }
    }

    /// Whether a media range of `Accept` takes it.
    fn fits(self, range: &str) -> bool {
        let plain = self.media_type().split(';').next().unwrap_or_default();
        let family = plain.split('/').next().unwrap_or_default();
        range == plain
            || range == "*/*"
            || range.strip_suffix("/*") == Some(family)
            || (self == Self::Json && range == super::problem::MEDIA_TYPE)
    }
}

/// Chooses among what can be made; the first of `possible` is the usual one.
///
/// # Errors
/// A problem where nothing that can be made is accepted.
pub fn choose(request: &HttpRequest, asked: Option<&str>, possible: &[Format]) -> Result<Format, Problem> {
    let names = || possible.iter().map(|format| format.as_str()).collect::<Vec<_>>().join(", ");
    if let Some(asked) = asked {
        return Format::ALL
            .into_iter()
            .find(|format| format.as_str() == asked && possible.contains(format))
            .ok_or_else(|| {
                Problem::new(
                    &codes::NOT_ACCEPTABLE,
                    format!("format `{asked}` cannot be made here; possible: {}", names()),
                )
            });
    }
    let usual = possible.first().copied().unwrap_or(Format::Json);
    let Some(accept) = request.headers().get(ACCEPT).and_then(|value| value.to_str().ok()) else {
        return Ok(usual);
    };
    ranked(accept)
        .into_iter()
        .find_map(|range| possible.iter().copied().find(|format| format.fits(&range)))
        .ok_or_else(|| {
            Problem::new(
                &codes::NOT_ACCEPTABLE,
                format!("`Accept: {accept}` cannot be met; possible: {}", names()),
            )
        })
}

/// The media ranges of an `Accept` header, best first; those with weight zero are left out.
fn ranked(accept: &str) -> Vec<String> {
    let mut ranges: Vec<(u16, bool, String)> = accept
        .split(',')
        .filter_map(|part| {
            let mut pieces = part.split(';').map(str::trim);
            let range = pieces.next().filter(|range| !range.is_empty())?.to_ascii_lowercase();
            let weight = pieces
                .find_map(|piece| piece.strip_prefix("q="))
                .map_or(1.0, |weight| weight.parse::<f32>().unwrap_or(0.0));
            // Thousandths, as RFC 9110 allows three digits; the cast keeps them.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let weight = (weight.clamp(0.0, 1.0) * 1000.0) as u16;
            Some((weight, range.contains('*'), range))
        })
        .filter(|(weight, ..)| *weight > 0)
        .collect();
    ranges.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    ranges.into_iter().map(|(.., range)| range).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use actix_web::test::TestRequest;

    #[test]
    fn the_better_weight_wins_and_the_parameter_wins_over_all() {
        let possible = [Format::Json, Format::Csv, Format::Text];
        let of = |accept: &str, asked: Option<&str>| {
            let request = TestRequest::default().insert_header((ACCEPT, accept)).to_http_request();
            choose(&request, asked, &possible)
        };
        assert_eq!(of("*/*", None).unwrap(), Format::Json);
        assert_eq!(of("text/csv, application/json;q=0.9", None).unwrap(), Format::Csv);
        assert_eq!(of("text/html, */*;q=0.1", None).unwrap(), Format::Json);
        assert_eq!(of("text/*", None).unwrap(), Format::Csv);
        assert_eq!(of("text/csv", Some("text")).unwrap(), Format::Text);
        assert_eq!(of("image/png", None).unwrap_err().code(), &codes::NOT_ACCEPTABLE);
        assert_eq!(of("*/*", Some("html")).unwrap_err().code(), &codes::NOT_ACCEPTABLE);
    }
}
