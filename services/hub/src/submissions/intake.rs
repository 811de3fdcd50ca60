//! Taking a submission in: its headers, its whole body, its size and digest.

use actix_web::{HttpRequest, web};
use haulout_schemas::text::PartyId;
use haulout_store::idempotency::Claim;
use haulout_store::submissions::NewSubmission;

use super::measure::{self, Measured};
use super::prefer::{self, Preferences};
use super::{LEASE, blocking};
use crate::hub::Hub;
use crate::web::body::{self, Layout, Spool};
use crate::web::caller::{PostRecords, Who};
use crate::web::{Caller, Problem, codes, limits};

/// A submission whose last byte has arrived.
pub struct Intake {
    /// Who submits.
    pub who: Who,
    /// The party whose records they may be.
    pub writer: PartyId,
    /// What the caller would like.
    pub preferences: Preferences,
    /// How the records are laid out.
    pub layout: Layout,
    /// The key that makes a repeat safe.
    pub key: Option<String>,
    /// The body as received.
    pub spool: Spool,
    /// Bytes received.
    pub received: u64,
    /// Size and digest after decompression.
    pub measured: Measured,
}

impl Intake {
    /// Takes it in.
    ///
    /// # Errors
    /// A problem with a header or the body; nothing was stored.
    pub async fn read(
        caller: Caller<PostRecords>,
        request: &HttpRequest,
        payload: web::Payload,
    ) -> Result<Self, Problem> {
        let layout = body::layout(request)?;
        let preferences = Preferences::of(request);
        let key = prefer::key(request)?;
        let writer = caller.who.party()?.clone();
        let body::Received { mut spool, bytes } = body::spool(request, payload, limits::RECORDS_BODY).await?;
        let (measured, spool) = blocking(move || {
            measure::measure(&mut spool, bytes, |_| Ok(())).map(|measured| (measured, spool))
        })
        .await??;
        Ok(Self { who: caller.who, writer, preferences, layout, key, spool, received: bytes, measured })
    }

    /// Whether the caller need not, or cannot, wait for the end.
    pub fn goes_to_background(&self) -> bool {
        self.preferences.in_background || self.measured.bytes > limits::IN_THE_FOREGROUND
    }

    /// Claims the key for this body. `Some` is the submission that the key stands for already.
    ///
    /// # Errors
    /// A problem where the key is in use, or was used for another body.
    pub async fn claim(&self, hub: &Hub) -> Result<Option<String>, Problem> {
        let Some(key) = &self.key else { return Ok(None) };
        match hub.store.claim(&self.who.id, key, &self.measured.digest, LEASE).await? {
            Claim::Taken => Ok(None),
            Claim::Answered(answer) => Ok(Some(String::from_utf8_lossy(&answer.body).into_owned())),
            Claim::Running => Err(Problem::new(
                &codes::IDEMPOTENCY_IN_USE,
                "the first request with this key is not finished",
            )),
            Claim::OtherBody => {
                Err(Problem::new(&codes::IDEMPOTENCY_REUSED, "the key stands for a body with other bytes")
                    .at("Idempotency-Key", "used for another body"))
            }
        }
    }

    /// As the store keeps it.
    pub fn new_submission(&self) -> NewSubmission {
        NewSubmission {
            caller: self.who.id.clone(),
            role: self.who.role,
            party: Some(self.writer.clone()),
            media_type: media_type(self.layout).to_owned(),
            strict: self.preferences.strict,
        }
    }
}

/// The media type of a layout.
pub fn media_type(layout: Layout) -> &'static str {
    match layout {
        Layout::Lines => "application/x-ndjson",
        Layout::Array => "application/json",
    }
}

/// The layout of a media type that [`media_type`] gave.
pub fn layout_of(media_type: &str) -> Layout {
    if media_type == "application/json" { Layout::Array } else { Layout::Lines }
}
