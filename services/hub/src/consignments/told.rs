//! What the records of a journey tell, read once.

use haulout_schemas::envelope::{Envelope, RecordRef};
use haulout_schemas::records::transfer::{Crate, Dispatch, Receipt};
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Record};
use haulout_store::JourneyNow;

use super::unread;
use crate::web::Problem;

/// The records of a journey, by day.
pub struct Told(Vec<Record>);

impl Told {
    /// Reads them.
    ///
    /// # Errors
    /// A problem where the journal's text is no record: the hub's own fault.
    pub fn read(journey: &JourneyNow) -> Result<Self, Problem> {
        let records = journey.records.iter().map(|one| Record::parse(&one.canonical).map_err(unread));
        Ok(Self(records.collect::<Result<_, _>>()?))
    }

    /// Those that tell something.
    pub fn records(&self) -> impl Iterator<Item = (&Envelope, &Body)> {
        self.0.iter().filter_map(|record| Some((&record.envelope, record.body.as_ref()?)))
    }

    /// What left.
    pub fn dispatches(&self) -> impl Iterator<Item = (&Envelope, &Dispatch)> {
        self.records().filter_map(|(frame, body)| match body {
            Body::Dispatch(dispatch) => Some((frame, dispatch)),
            _ => None,
        })
    }

    /// What arrived.
    pub fn receipts(&self) -> impl Iterator<Item = (&Envelope, &Receipt)> {
        self.records().filter_map(|(frame, body)| match body {
            Body::Receipt(receipt) => Some((frame, receipt)),
            _ => None,
        })
    }

    /// The crates that left, each once, in the order of the list.
    pub fn crates_out(&self) -> Vec<(&Envelope, &Crate)> {
        let mut out: Vec<(&Envelope, &Crate)> = Vec::new();
        for (frame, dispatch) in self.dispatches() {
            for one in &dispatch.crates {
                if out.iter().all(|(_, listed)| listed.crate_id != one.crate_id) {
                    out.push((frame, one));
                }
            }
        }
        out
    }
}

/// The centre or point of a record.
pub fn place(frame: &Envelope) -> Option<&PartyId> {
    frame.centre_id.as_ref().or(frame.point_id.as_ref())
}

/// The name of a record.
pub fn name(frame: &Envelope) -> RecordRef {
    RecordRef { author_id: frame.author_id.clone(), record_id: frame.record_id.clone() }
}
