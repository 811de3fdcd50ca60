//! What each kind needs beside its frame: a place, a subject, a name, and fields that depend on the
//! event. One table; the published schema's conditions are made from it.

use crate::records::Kind;

/// Whether a record needs something.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Need {
    /// It must be there.
    Yes,
    /// It may be there.
    May,
    /// The kind has no such field.
    No,
}

/// Where a record's stock stands.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Place {
    /// A centre or a holding point.
    CentreOrPoint,
    /// A centre.
    Centre,
    /// A centre or point may be named, or neither.
    Optional,
}

/// The subject of a record.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Subject {
    /// Exactly one of `organismID` and `lotID`.
    One,
    /// A lot (or clutch).
    Lot,
    /// One of them may be named.
    Optional,
    /// None: the record speaks of lines, units or papers.
    None,
}

/// `then` fields are required where `field` is one of `values`.
pub(crate) struct When {
    pub field: &'static str,
    pub values: &'static [&'static str],
    pub then: &'static [&'static str],
}

fn when(field: &'static str, values: &'static [&'static str], then: &'static [&'static str]) -> When {
    When { field, values, then }
}

pub(crate) struct Requirements {
    pub place: Place,
    pub subject: Subject,
    pub name: Need,
    pub whens: Vec<When>,
}

fn needs(place: Place, subject: Subject, name: Need, whens: Vec<When>) -> Requirements {
    Requirements { place, subject, name, whens }
}

/// The table.
pub(crate) fn of(kind: Kind) -> Requirements {
    use Place::{Centre, CentreOrPoint, Optional as Anywhere};
    use Subject::{Lot, None as NoSubject, One, Optional as MaySubject};
    match kind {
        Kind::Rescue => {
            needs(CentreOrPoint, One, Need::Yes, vec![when("countMethod", &["estimated"], &["low", "high"])])
        }
        Kind::Tally => needs(CentreOrPoint, Lot, Need::Yes, vec![]),
        Kind::Assessment => needs(
            CentreOrPoint,
            One,
            Need::Yes,
            vec![
                when("event", &["triage"], &["triage"]),
                when("event", &["beforeTransport"], &["fitToTravel"]),
                when("event", &["certificate"], &["certificateNumber", "byVeterinarian", "validThrough"]),
            ],
        ),
        Kind::Result => needs(Anywhere, MaySubject, Need::May, vec![]),
        Kind::Treatment => needs(
            CentreOrPoint,
            One,
            Need::Yes,
            vec![
                when("event", &["drug"], &["drug", "route"]),
                when("event", &["procedure"], &["procedure"]),
                when("event", &["bindingOn", "bindingOff"], &["bindingSite"]),
            ],
        ),
        Kind::Quarantine => needs(CentreOrPoint, One, Need::Yes, vec![]),
        Kind::Housing => needs(CentreOrPoint, One, Need::Yes, vec![when("event", &["housed"], &["units"])]),
        Kind::Marking => needs(
            CentreOrPoint,
            One,
            Need::Yes,
            vec![
                when("event", &["applied", "read", "moved", "failed"], &["markNumber"]),
                when("event", &["replaced"], &["markNumber", "replacedNumber"]),
            ],
        ),
        Kind::Care => {
            needs(CentreOrPoint, MaySubject, Need::May, vec![when("event", &["feeding"], &["food"])])
        }
        Kind::Clutch => needs(
            CentreOrPoint,
            Lot,
            Need::Yes,
            vec![when(
                "event",
                &["collected", "laid", "hatched", "failed", "foundHatched"],
                &["individualCount"],
            )],
        ),
        Kind::Nest => needs(Centre, MaySubject, Need::Yes, vec![]),
        Kind::Determination => needs(
            CentreOrPoint,
            One,
            Need::May,
            vec![
                when("event", &["species"], &["fromScientificName", "toScientificName"]),
                when("event", &["sex"], &["sex"]),
                when("event", &["lifeStage"], &["lifeStage"]),
            ],
        ),
        Kind::Regrouping => needs(CentreOrPoint, NoSubject, Need::No, vec![]),
        Kind::Custody => needs(CentreOrPoint, One, Need::Yes, vec![when("event", &["bound"], &["forbids"])]),
        Kind::Outlook => needs(CentreOrPoint, One, Need::Yes, vec![]),
        Kind::Mortality => needs(
            CentreOrPoint,
            One,
            Need::Yes,
            vec![
                when("event", &["death"], &["when"]),
                when("takenFrom", &["transit"], &["consignmentID"]),
                when("event", &["necropsy"], &["deathOf", "necropsyDone"]),
                when("event", &["disposal"], &["deathOf", "disposalMethod"]),
            ],
        ),
        Kind::Loss => needs(CentreOrPoint, One, Need::Yes, vec![when("event", &["found"], &["lostAs"])]),
        Kind::Incident => needs(CentreOrPoint, MaySubject, Need::May, vec![]),
        Kind::Dispatch => needs(
            CentreOrPoint,
            NoSubject,
            Need::No,
            vec![when("destination", &["region"], &["destinationID"])],
        ),
        Kind::Receipt => needs(CentreOrPoint, NoSubject, Need::No, vec![]),
        Kind::Settlement => needs(
            CentreOrPoint,
            NoSubject,
            Need::No,
            vec![when("event", &["settled"], &["lines"]), when("event", &["agreed"], &["agreesTo"])],
        ),
        Kind::Refusal => needs(CentreOrPoint, NoSubject, Need::No, vec![]),
        Kind::Release => needs(CentreOrPoint, One, Need::Yes, vec![]),
        Kind::Relocation => needs(Centre, MaySubject, Need::Yes, vec![]),
        Kind::Sighting => needs(Centre, MaySubject, Need::Yes, vec![]),
        Kind::Capacity => {
            needs(Centre, NoSubject, Need::No, vec![when("event", &["stated"], &["unitKind", "arrangement"])])
        }
        Kind::Readiness => needs(
            Anywhere,
            NoSubject,
            Need::No,
            vec![when("event", &["tonight"], &["centreID"]), when("event", &["route"], &["route"])],
        ),
        Kind::Biosecurity => needs(
            CentreOrPoint,
            NoSubject,
            Need::No,
            vec![
                when("event", &["declared"], &["scope", "direction"]),
                when("scope", &["unit"], &["unitID"]),
                when("scope", &["waterCircuit"], &["waterCircuit"]),
            ],
        ),
        Kind::Licence | Kind::Permit | Kind::Order => needs(Anywhere, NoSubject, Need::No, vec![]),
        Kind::Census => needs(CentreOrPoint, NoSubject, Need::No, vec![]),
        Kind::Adjustment => needs(CentreOrPoint, MaySubject, Need::Yes, vec![]),
        Kind::Link => needs(Anywhere, NoSubject, Need::No, vec![]),
    }
}
