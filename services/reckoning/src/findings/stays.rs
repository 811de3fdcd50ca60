//! How a subject leaves the care of the region.

use super::deaths::dies;
use crate::subject::Subject;
use haulout_schemas::records::ending::LossEvent;
use haulout_schemas::records::transfer::Destination;
use haulout_schemas::{Body, Record};

/// Whether by a record nothing of the subject is left in the care of a centre or point, under this
/// number: it died, went free or was lost, was handed on beyond the region, or became other lots.
/// What a record tells of a part of a lot ends nothing.
pub(super) fn leaves(record: &Record, subject: &Subject) -> bool {
    let own = || Subject::of_frame(&record.envelope).as_ref() == Some(subject);
    match (&record.body, subject) {
        (Some(Body::Release(_)), _) => own(),
        (Some(Body::Loss(loss)), Subject::Animal(_)) => own() && loss.event != LossEvent::Found,
        (Some(Body::Tally(_)), Subject::Lot(_)) => own(),
        (Some(Body::Dispatch(dispatch)), _) => {
            dispatch.destination != Destination::Region
                && dispatch.lines.iter().any(|line| Subject::taken(line).as_ref() == Some(subject))
        }
        (Some(Body::Regrouping(regrouping)), _) => {
            let named = |lines: &[haulout_schemas::envelope::SubjectLine]| {
                lines.iter().any(|line| Subject::of_line(line).as_ref() == Some(subject))
            };
            named(&regrouping.from) && !named(&regrouping.to)
        }
        (_, Subject::Animal(animal)) => dies(record, animal),
        _ => false,
    }
}
