//! What the law or the species itself forbids: custody, setting free, an unknown name.

use haulout_schemas::vocabulary::Known;

use super::set;
use crate::answer::Change;
use crate::case::AtCentre;
use crate::request::{Custody, Leave};
use crate::word::{Word, say};

/// The name means a species that is known.
pub(super) fn species(here: &AtCentre<'_>) -> Word {
    let request = here.asked.request;
    let name = &request.scientific_name;
    if here.asked.candidates.is_empty() {
        return Word::cannot_check(say!(
            here,
            "no profile is known for {name}: determine it to genus, family or order at least"
        ));
    }
    Word::pass(say!(here, "{name} is known"))
}

/// An unknown name can only be mended by looking at the animal.
pub(super) fn mend_species(_: &AtCentre<'_>) -> Vec<Change> {
    Vec::new()
}

/// Case property has leave to go to this centre.
pub(super) fn custody(here: &AtCentre<'_>) -> Word {
    let Some(custody) = &here.asked.request.custody else {
        return Word::pass("not reported as case property");
    };
    match (custody.case_property, &custody.leave) {
        (Known::No, _) => Word::pass("not case property"),
        (Known::Unknown, None) => {
            Word::cannot_check("nobody knows whether it is case property: ask whoever seized it")
        }
        (Known::Yes, None) => Word::fail("case property, and no leave to move it"),
        (_, Some(leave)) => leave_covers(here, leave),
    }
}

fn leave_covers(here: &AtCentre<'_>, leave: &Leave) -> Word {
    let number = &leave.order_number;
    if let Some(last) = leave.end_date.filter(|last| *last < here.arrival_day()) {
        return Word::fail(say!(here, "case property, and its leave {number} ended on {last}"));
    }
    if !leave.party_ids.is_empty() && !leave.party_ids.contains(&here.centre.centre_id) {
        return Word::fail(say!(
            here,
            "case property, and its leave {number} does not name {}",
            here.centre.called()
        ));
    }
    Word::pass(say!(here, "leave to move it by order {number}"))
}

pub(super) fn mend_custody(here: &AtCentre<'_>) -> Vec<Change> {
    let Some(custody) = &here.asked.request.custody else {
        return Vec::new();
    };
    let Some(leave) = &custody.leave else {
        if custody.case_property == Known::Unknown {
            let free = Custody { case_property: Known::No, leave: None };
            return set("/requests/0/custody".to_owned(), free);
        }
        let leave = Leave {
            order_number: "to be given".to_owned(),
            end_date: Some(here.arrival_day()),
            party_ids: vec![here.centre.centre_id.clone()],
        };
        return set("/requests/0/custody/leave".to_owned(), leave);
    };
    let mut leave = leave.clone();
    leave.end_date = leave.end_date.map(|last| last.max(here.arrival_day()));
    if !leave.party_ids.is_empty() && !leave.party_ids.contains(&here.centre.centre_id) {
        leave.party_ids.push(here.centre.centre_id.clone());
    }
    set("/requests/0/custody/leave".to_owned(), leave)
}

/// A species that is never set free takes no place in a programme that sets animals free.
pub(super) fn never_release(here: &AtCentre<'_>) -> Word {
    if !here.asked.request.release_programme {
        return Word::pass("not meant for a release programme");
    }
    let mut candidates = here.asked.candidates.iter();
    match candidates.find(|candidate| candidate.profile.never_release.value) {
        Some(candidate) => {
            Word::fail(say!(here, "{} is never to be set free", candidate.profile.scientific_name))
        }
        None => Word::pass("no profile forbids setting it free"),
    }
}

pub(super) fn mend_never_release(_: &AtCentre<'_>) -> Vec<Change> {
    set("/requests/0/releaseProgramme".to_owned(), false)
}

/// An animal stays in its basin of origin; for a programme that sets animals free, that must be known.
pub(super) fn origin_basin(here: &AtCentre<'_>) -> Word {
    let request = here.asked.request;
    let called = here.centre.called();
    match (&request.basin, &here.centre.basin) {
        (None, _) if request.release_programme => {
            Word::cannot_check("nobody knows from which basin it comes, and it is to be set free")
        }
        (None, _) => Word::pass("no basin of origin is stated to be kept to"),
        (Some(own), Some(there)) if own == there => {
            Word::pass(say!(here, "{called} lies in its basin, {own}"))
        }
        (Some(own), Some(there)) => {
            Word::fail(say!(here, "it comes from the basin {own}, and {called} lies in {there}"))
        }
        (Some(own), None) => Word::cannot_check(say!(
            here,
            "it comes from the basin {own}, and nobody said in which {called} lies"
        )),
    }
}

pub(super) fn mend_origin_basin(here: &AtCentre<'_>) -> Vec<Change> {
    match (&here.asked.request.basin, &here.centre.basin) {
        (Some(own), _) => set(format!("/centres/{}/basin", here.centre_at), own),
        (None, Some(there)) => set("/requests/0/basin".to_owned(), there),
        (None, None) => set("/requests/0/releaseProgramme".to_owned(), false),
    }
}
