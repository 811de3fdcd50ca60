//! The document on paper: A4, tagged for screen readers, page numbers, both digests at the foot of
//! every page. What records say reaches the typesetter as data and is never markup.

mod world;

use self::world::Desk;
use crate::document::Document;
use std::fmt::Write;
use typst::diag::{SourceDiagnostic, Warned};
use typst::ecow::EcoVec;
use typst::foundations::Smart;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

/// The typesetter refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the statement cannot be set as PDF: {why}; take --format html and print it")]
pub struct NoPdf {
    /// What it said.
    pub why: String,
}

/// The PDF's bytes: the same for the same document, since its date of making is the instant of
/// knowledge. PDF/UA-1 (ISO 14289-1); where a name has letters that no built-in font can show, which
/// that standard forbids, the same pages as merely tagged PDF 1.7.
///
/// # Errors
/// [`NoPdf`].
pub fn pdf(document: &Document) -> Result<Vec<u8>, NoPdf> {
    let json = serde_json::to_vec(document).map_err(|error| NoPdf { why: error.to_string() })?;
    let desk = Desk::new(json, document.made).map_err(|error| NoPdf { why: error.to_string() })?;
    let Warned { output, .. } = typst::compile(&desk);
    let pages = output.map_err(refused)?;
    let options = |standards| PdfOptions {
        ident: Smart::Custom(format!("{} {}", document.account_digest, document.findings_digest)),
        creator: Smart::Custom(Some("Haulout".to_owned())),
        timestamp: desk.made().map(Timestamp::new_utc),
        standards,
        ..PdfOptions::default()
    };
    let accessible = PdfStandards::new(&[PdfStandard::Ua_1])
        .map_err(|error| NoPdf { why: error.message().to_string() })?;
    let bytes = typst_pdf::pdf(&pages, &options(accessible))
        .or_else(|_| typst_pdf::pdf(&pages, &options(PdfStandards::default())))
        .map_err(refused);
    // What the typesetter remembers of this document is of no use to the next.
    typst::comemo::evict(0);
    bytes
}

fn refused(told: EcoVec<SourceDiagnostic>) -> NoPdf {
    let mut why = String::new();
    for one in &told {
        let comma = if why.is_empty() { "" } else { ", " };
        // Writing into a String cannot fail.
        let _ = write!(why, "{comma}{}", one.message);
    }
    NoPdf { why }
}
