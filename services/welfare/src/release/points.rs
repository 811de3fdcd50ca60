//! The points of the gate, one function each.

use chrono::NaiveDate;
use haulout_schemas::profile::{Occurrence, Profile};
use haulout_schemas::vocabulary::Known;

use super::gate::{
    Asked, Assessed, Candidates, MarkSeen, Marked, PermitSeen, Point, SiteSeen, Stands, Supplier, holds,
    occurrence,
};
use crate::grounds::Grounds;

/// Every point, in the order in which it is asked.
pub(super) fn points(profile: &Profile, wanted: &Candidates) -> Vec<Point> {
    // What is to be seen only after the planned day is no assessment of it.
    let assessed_site = wanted.site.as_ref().filter(|site| site.assessed_on <= wanted.on);
    let site = |pick: fn(&SiteSeen) -> Known| assessed_site.map(pick);
    vec![
        species(profile, wanted),
        permit(wanted),
        case(wanted),
        certificate(wanted),
        assessed(Asked::Fitness, "fitness", wanted.fitness, wanted.validity.fitness_days, wanted.on),
        assessed(Asked::Disease, "disease", wanted.disease, wanted.validity.disease_days, wanted.on),
        known(
            Asked::Quarantine,
            Some(wanted.quarantine_ended),
            "quarantine ended by a veterinarian",
            Supplier::Veterinarian,
        ),
        marks(wanted),
        known(
            Asked::SiteHabitat,
            site(|site| site.habitat),
            "site assessed for habitat",
            Supplier::SiteAssessor,
        ),
        known(
            Asked::SiteHistory,
            site(|site| site.species_history),
            "the same or a related species at the site, now or before",
            Supplier::SiteAssessor,
        ),
        known(
            Asked::BasinOfOrigin,
            site(|site| site.basin_of_origin),
            "site in the basin of origin",
            Supplier::Centre,
        ),
        known(Asked::Season, Some(wanted.in_season), "day in the season for it", Supplier::Veterinarian),
    ]
}

fn met(asked: Asked, found: impl Into<String>) -> Point {
    let grounds = Grounds::common_practice();
    Point { asked, stands: Stands::Met, found: found.into(), supplier: None, grounds }
}

fn wants(asked: Asked, stands: Stands, found: impl Into<String>, supplier: Supplier) -> Point {
    let grounds = Grounds::common_practice();
    Point { asked, stands, found: found.into(), supplier: Some(supplier), grounds }
}

fn species(profile: &Profile, wanted: &Candidates) -> Point {
    let asked = Asked::Species;
    if profile.never_release.value {
        let found = "the profile says that it is never to be released, whatever a permit says";
        let grounds = Grounds::profile(&profile.never_release.source);
        return Point { grounds, ..wants(asked, Stands::Against, found, Supplier::Authority) };
    }
    let Some((is, grounds)) = occurrence(profile, &wanted.region) else {
        let found = format!("nobody has said whether it is native to {}", wanted.region);
        return wants(asked, Stands::Missing, found, Supplier::Authority);
    };
    let point = match is {
        Occurrence::Native => met(asked, format!("native to {}", wanted.region)),
        Occurrence::Introduced | Occurrence::Absent => {
            let found = format!("not native to {}: it is not set free there", wanted.region);
            wants(asked, Stands::Against, found, Supplier::Authority)
        }
    };
    Point { grounds, ..point }
}

fn permit(wanted: &Candidates) -> Point {
    let asked = Asked::Permit;
    let fault = |permit: &PermitSeen| -> Option<String> {
        let early = permit.valid_from.is_some_and(|from| wanted.on < from);
        let late = permit.valid_through.is_some_and(|through| wanted.on > through);
        let why = match () {
            () if !permit.by_authority => "is a claim: the authority has not written it".to_owned(),
            () if !permit.names_species => "is for another species".to_owned(),
            () if !permit.names_holder => "is another holder's".to_owned(),
            () if early || late => format!("is not valid on {}", wanted.on),
            () if permit.left < wanted.animals => {
                format!("allows {} more of {} animals", permit.left, wanted.animals)
            }
            () => return None,
        };
        Some(format!("{} {why}", permit.permit_number))
    };
    if let Some(good) = wanted.permits.iter().find(|permit| fault(permit).is_none()) {
        let left = good.left.saturating_sub(wanted.animals);
        return met(asked, format!("permit {}; it would allow {left} more after this", good.permit_number));
    }
    let faults: Vec<String> = wanted.permits.iter().filter_map(fault).collect();
    let found = if faults.is_empty() { "no release permit".to_owned() } else { faults.join("; ") };
    wants(asked, Stands::Missing, found, Supplier::Authority)
}

fn case(wanted: &Candidates) -> Point {
    let asked = Asked::CaseProperty;
    match wanted.bound_by_case {
        Known::No => met(asked, "no case forbids it"),
        Known::Yes => wants(
            asked,
            Stands::Against,
            "case property: release is forbidden without leave",
            Supplier::CaseHolder,
        ),
        Known::Unknown => {
            wants(asked, Stands::Missing, "not known whether a case binds it", Supplier::Centre)
        }
    }
}

fn certificate(wanted: &Candidates) -> Point {
    let asked = Asked::HealthCertificate;
    let newest = wanted
        .certificates
        .iter()
        .filter(|paper| paper.by_veterinarian && paper.issued <= wanted.on)
        .max_by_key(|paper| (paper.valid_through, paper.issued));
    let Some(paper) = newest else {
        return wants(asked, Stands::Missing, "no veterinary health certificate", Supplier::Veterinarian);
    };
    let name = paper.certificate_number.as_deref().unwrap_or("without number");
    match paper.valid_through {
        Some(last) if last < wanted.on => wants(
            asked,
            Stands::Missing,
            format!("certificate {name} ended on {last}"),
            Supplier::Veterinarian,
        ),
        Some(last) => met(asked, format!("certificate {name}, valid through {last}")),
        None => wants(
            asked,
            Stands::Missing,
            format!("certificate {name} names no last day"),
            Supplier::Veterinarian,
        ),
    }
}

fn assessed(asked: Asked, what: &str, seen: Option<Assessed>, days: u16, on: NaiveDate) -> Point {
    let by = Supplier::Veterinarian;
    let Some(seen) = seen else {
        return wants(asked, Stands::Missing, format!("no assessment of {what}"), by);
    };
    if !holds(seen.on, days, on) {
        let found = format!("assessment of {what} of {} does not hold on {on} ({days} days)", seen.on);
        return wants(asked, Stands::Missing, found, by);
    }
    match seen.favourable {
        Known::No => wants(asked, Stands::Against, format!("{what}: unfavourable on {}", seen.on), by),
        Known::Yes if seen.by_veterinarian => met(asked, format!("{what}: favourable on {}", seen.on)),
        Known::Yes => wants(asked, Stands::Missing, format!("{what} was not assessed by a veterinarian"), by),
        Known::Unknown => wants(asked, Stands::Missing, format!("{what} left open on {}", seen.on), by),
    }
}

fn known(asked: Asked, answer: Option<Known>, what: &str, supplier: Supplier) -> Point {
    match answer {
        Some(Known::Yes) => met(asked, what),
        Some(Known::No) => wants(asked, Stands::Against, format!("not so: {what}"), supplier),
        Some(Known::Unknown) | None => wants(asked, Stands::Missing, format!("not known: {what}"), supplier),
    }
}

/// Names of animals told before the rest is counted.
const TOLD: usize = 3;

fn marks(wanted: &Candidates) -> Point {
    let asked = Asked::Marks;
    let mut faults: Vec<String> =
        wanted.marks.iter().filter_map(|animal| mark_fault(animal, wanted)).collect();
    let without = wanted.animals as usize - wanted.marks.len().min(wanted.animals as usize);
    if without > 0 {
        faults.push(format!("{without} of {} without a mark", wanted.animals));
    }
    if faults.is_empty() {
        return met(asked, format!("{} marked inside and outside, readable, unique", wanted.animals));
    }
    let more = faults.len().saturating_sub(TOLD);
    let mut found = faults.into_iter().take(TOLD).collect::<Vec<_>>().join("; ");
    if more > 0 {
        found.push_str(&format!("; and {more} more"));
    }
    wants(asked, Stands::Missing, found, Supplier::Centre)
}

fn mark_fault(animal: &Marked, wanted: &Candidates) -> Option<String> {
    let days = wanted.validity.mark_reading_days;
    let fault = |kind: &str, mark: &Option<MarkSeen>| match mark {
        None => Some(format!("no {kind}")),
        Some(mark) if mark.others_with_it > 0 => {
            Some(format!("{kind} {} is told of {} others", mark.mark_number, mark.others_with_it))
        }
        Some(mark) if !mark.last_read.is_some_and(|read| holds(read, days, wanted.on)) => {
            Some(format!("{kind} {} not read in the last {days} days", mark.mark_number))
        }
        Some(_) => None,
    };
    let found = fault("implant", &animal.implant).or_else(|| fault("visual mark", &animal.visual))?;
    Some(format!("{}: {found}", animal.animal))
}
