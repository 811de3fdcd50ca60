//! Records that a link takes back.

use super::judging::Judging;
use crate::keys::Key;
use haulout_schemas::records::identity::LinkEvent;
use haulout_schemas::{Body, Kind, Record};

/// Whether a link says that a rescue tells the same as another record and is not counted.
pub(super) fn not_counted(judging: &Judging<'_>, record: &Record) -> bool {
    if record.kind() != Kind::Rescue {
        return false;
    }
    let frame = &record.envelope;
    let filed = judging.records.of(&Key::record(&frame.author_id, frame.record_id.as_str()));
    filed.iter().any(|one| match &one.record.body {
        Some(Body::Link(link)) if link.event == LinkEvent::Same => link
            .not_counted
            .as_ref()
            .is_some_and(|other| other.author_id == frame.author_id && other.record_id == frame.record_id),
        _ => false,
    })
}
