//! One animal before its release, as far as records tell, and after it.

use crate::effective::Effective;
use crate::findings::coverage::Coverage;
use crate::findings::descent::{ancestors, same_animal};
use crate::findings::{Held, Records, World, forbidding_cases};
use crate::keys::{Key, place_of};
use crate::region::Role;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::records::authority::{Permit, PermitType};
use haulout_schemas::records::health::{Assessment, AssessmentEvent, QuarantineEvent, ResultOutcome};
use haulout_schemas::records::keeping::{Forbidden, MarkType, Marking, MarkingEvent};
use haulout_schemas::text::{OrganismId, PartyId};
use haulout_schemas::vocabulary::Known;
use haulout_schemas::{Body, EventDate, Record};
use haulout_welfare::release::gate::{
    Assessed, Candidates, CertificateSeen, MarkSeen, Marked, PermitSeen, SiteSeen, Validity,
};
use std::collections::BTreeSet;
use std::sync::Arc;

/// What no record has a field for: the asker says it, or it stays missing.
#[derive(Clone, Copy, Debug)]
pub struct Site {
    /// What is known of the site.
    pub seen: Option<SiteSeen>,
    /// Whether the day lies in the season for it.
    pub in_season: Known,
}

/// One animal whose release is asked about.
#[derive(Clone, Copy)]
pub struct Candidate<'a> {
    /// The animal.
    pub animal: &'a OrganismId,
    /// Where it is.
    pub place: &'a PartyId,
    /// Its name.
    pub scientific_name: &'a str,
    /// The planned day.
    pub on: NaiveDate,
    /// Records about it, its other numbers, the lots that it comes from, its cases and marks.
    pub records: &'a [Arc<Effective>],
    /// The same, by key.
    pub held: &'a Held,
    /// Release permits, and the releases that name them.
    pub permits: &'a [Arc<Effective>],
    /// The site and the season.
    pub site: Site,
    /// Names, profiles, who is who.
    pub world: &'a World<'a>,
}

/// Keys that what is held leads to: other numbers of the animal, lots that it comes from, cases, marks.
/// Read them too, until nothing new is named.
pub fn leads_to(animal: &OrganismId, held: &Held) -> BTreeSet<Key> {
    let subject = Subject::Animal(animal.clone());
    let mut keys: BTreeSet<Key> = ancestors(&subject, held).iter().map(Subject::key).collect();
    for one in keys.clone().iter().flat_map(|key| held.of(key)) {
        match &one.record.body {
            Some(Body::Custody(custody)) => drop(keys.insert(Key::case(custody.case_number.as_str()))),
            Some(Body::Marking(marking)) => {
                keys.extend(marking.mark_number.as_ref().map(|number| Key::mark(number.as_str())));
            }
            _ => {}
        }
    }
    keys
}

/// The animal's number and every other number that is the same animal.
pub fn own_numbers(animal: &OrganismId, held: &Held) -> BTreeSet<OrganismId> {
    same_animal(animal, held)
}

/// What the gate asks of a planned release of one animal.
pub fn candidates(asked: &Candidate<'_>) -> Candidates {
    let known = Papers::of(asked);
    Candidates {
        on: asked.on,
        animals: 1,
        region: asked.world.region.region.clone(),
        permits: permits(asked),
        certificates: known.certificates(),
        fitness: known.fitness(),
        disease: known.disease(),
        quarantine_ended: known.quarantine_ended(),
        marks: vec![known.marks(asked)],
        site: asked.site.seen,
        in_season: asked.site.in_season,
        bound_by_case: bound(asked),
        validity: Validity::default(),
    }
}

/// Records about the animal and the lots that it comes from, dated through the planned day, oldest first.
struct Papers {
    about: Vec<Arc<Effective>>,
    own: BTreeSet<OrganismId>,
}

impl Papers {
    fn of(asked: &Candidate<'_>) -> Self {
        let subjects = ancestors(&Subject::Animal(asked.animal.clone()), asked.held);
        let told = asked.records.iter().filter(|one| {
            let frame = &one.record.envelope;
            let own = Subject::of_frame(frame).is_some_and(|subject| subjects.contains(&subject));
            own && frame.event_date.day() <= asked.on
        });
        let mut about: Vec<Arc<Effective>> = told.cloned().collect();
        about.sort_by(|one, other| crate::findings::by_order(&one.record, &other.record));
        Self { about, own: same_animal(asked.animal, asked.held) }
    }

    fn assessments(&self) -> impl DoubleEndedIterator<Item = (&Record, &Assessment)> {
        self.about.iter().filter_map(|one| match &one.record.body {
            Some(Body::Assessment(assessment)) => Some((&one.record, assessment)),
            _ => None,
        })
    }

    fn certificates(&self) -> Vec<CertificateSeen> {
        let certificates = self.assessments().filter(|(_, one)| one.event == AssessmentEvent::Certificate);
        certificates
            .map(|(record, one)| CertificateSeen {
                certificate_number: one.certificate_number.as_ref().map(ToString::to_string),
                by_veterinarian: one.by_veterinarian == Some(true),
                issued: record.envelope.event_date.day(),
                valid_through: one.valid_through.map(|day| day.0),
            })
            .collect()
    }

    /// The newest assessment that says whether it may travel: records ask for no other fitness.
    fn fitness(&self) -> Option<Assessed> {
        let newest =
            self.assessments().rev().find_map(|(record, one)| Some((record, one, one.fit_to_travel?)));
        newest.map(|(record, one, fit)| Assessed {
            on: record.envelope.event_date.day(),
            favourable: fit,
            by_veterinarian: one.by_veterinarian == Some(true),
        })
    }

    /// The newest samples of each agent together; a veterinarian must have seen the animal since the
    /// last of them.
    fn disease(&self) -> Option<Assessed> {
        let mut newest: std::collections::BTreeMap<&str, (NaiveDate, ResultOutcome)> =
            std::collections::BTreeMap::new();
        for one in &self.about {
            let Some(Body::Result(result)) = &one.record.body else { continue };
            let sampled =
                result.collected.as_ref().map_or(one.record.envelope.event_date.day(), EventDate::day);
            let agent = result.agent.as_deref().unwrap_or(&result.test);
            if newest.get(agent).is_none_or(|(known, _)| *known <= sampled) {
                newest.insert(agent, (sampled, result.outcome));
            }
        }
        // What was sampled longest ago says how long all of it holds.
        let on = newest.values().map(|(day, _)| *day).min()?;
        let last = newest.values().map(|(day, _)| *day).max()?;
        let any = |outcome| newest.values().any(|(_, of)| *of == outcome);
        let all_negative = newest.values().all(|(_, of)| *of == ResultOutcome::Negative);
        let favourable = match (any(ResultOutcome::Positive), all_negative) {
            (true, _) => Known::No,
            (false, true) => Known::Yes,
            (false, false) => Known::Unknown,
        };
        let by_veterinarian = self.assessments().any(|(record, one)| {
            one.by_veterinarian == Some(true) && record.envelope.event_date.day() >= last
        });
        Some(Assessed { on, favourable, by_veterinarian })
    }

    /// By the last step of a quarantine that the animal or a lot that it comes from entered.
    fn quarantine_ended(&self) -> Known {
        let steps = self.about.iter().rev().filter_map(|one| match &one.record.body {
            Some(Body::Quarantine(step)) => Some(step),
            _ => None,
        });
        let mut steps = steps;
        match steps.next() {
            None => Known::Unknown,
            Some(step) if step.event == QuarantineEvent::Ended && step.by_veterinarian == Some(true) => {
                Known::Yes
            }
            Some(_) => Known::No,
        }
    }

    fn marks(&self, asked: &Candidate<'_>) -> Marked {
        let visual =
            [MarkType::MarginalNotch, MarkType::TailScuteNotch, MarkType::Tag, MarkType::NaturalPattern];
        Marked {
            animal: asked.animal.to_string(),
            implant: self.mark(asked, &[MarkType::Transponder]),
            visual: self.mark(asked, &visual),
        }
    }

    /// The mark of one of some types that it carries by the last word on each.
    fn mark(&self, asked: &Candidate<'_>, types: &[MarkType]) -> Option<MarkSeen> {
        let markings: Vec<(&Record, &Marking)> = self
            .about
            .iter()
            .filter_map(|one| match &one.record.body {
                Some(Body::Marking(marking)) if types.contains(&marking.mark_type) => {
                    Some((&one.record, marking))
                }
                _ => None,
            })
            .collect();
        let gone = |event: MarkingEvent, whole: Option<bool>| {
            event == MarkingEvent::Failed || (event == MarkingEvent::NoneFound && whole == Some(true))
        };
        let mut number: Option<&str> = None;
        let mut last_read = None;
        for (record, marking) in &markings {
            let named = marking.mark_number.as_ref().map(|number| number.as_str());
            if gone(marking.event, marking.full_body_scan) {
                // A scan that finds nothing says so of every mark; a mark that failed is one by its number.
                if named.is_none() || named == number {
                    (number, last_read) = (None, None);
                }
            } else if marking.event != MarkingEvent::NoneFound && named.is_some() {
                number = named;
                last_read = Some(record.envelope.event_date.day());
            }
        }
        let number = number?;
        Some(MarkSeen {
            mark_number: number.to_owned(),
            last_read,
            others_with_it: self.others_with(asked, number),
        })
    }

    /// Animals under other numbers that are told to carry a mark.
    fn others_with(&self, asked: &Candidate<'_>, number: &str) -> u32 {
        let bearers = asked.held.of(&Key::mark(number));
        let others: BTreeSet<&OrganismId> = bearers
            .iter()
            .filter(|one| matches!(one.record.body, Some(Body::Marking(_))))
            .filter_map(|one| one.record.envelope.organism_id.as_ref())
            .filter(|other| !self.own.contains(*other))
            .collect();
        u32::try_from(others.len()).unwrap_or(u32::MAX)
    }
}

/// Release permits that name the centre or the species, with what is left of each.
fn permits(asked: &Candidate<'_>) -> Vec<PermitSeen> {
    let mut coverage = Coverage::new(asked.world.names);
    let all = asked.permits.iter().filter_map(|one| match &one.record.body {
        Some(Body::Permit(permit)) if permit.permit_type == PermitType::Release => {
            Some((&one.record, permit))
        }
        _ => None,
    });
    let mut seen: Vec<PermitSeen> = all
        .map(|(record, permit)| {
            let from = permit.valid_from.map_or(record.envelope.event_date.start().day, |day| day.0);
            PermitSeen {
                permit_number: permit.permit_number.to_string(),
                by_authority: asked.world.region.role(&record.envelope.author_id) == Some(Role::Authority),
                names_species: permit
                    .species
                    .iter()
                    .any(|name| coverage.covers(name.as_str(), asked.scientific_name)),
                names_holder: permit.holder_ids.contains(asked.place),
                valid_from: Some(from),
                valid_through: permit.valid_through.map(|day| day.0),
                left: left(asked, permit),
            }
        })
        .collect();
    // Others' permits for other species are nobody's business here.
    seen.retain(|permit| permit.names_holder);
    seen.sort_by(|one, other| one.permit_number.cmp(&other.permit_number));
    seen
}

fn left(asked: &Candidate<'_>, permit: &Permit) -> u32 {
    let used = asked.permits.iter().filter_map(|one| match &one.record.body {
        Some(Body::Release(release)) if release.permit_number.as_ref() == Some(&permit.permit_number) => {
            Some(release.individual_count)
        }
        _ => None,
    });
    let used = used.fold(permit.used_before.unwrap_or_default(), u32::saturating_add);
    permit.quantity.saturating_sub(used)
}

/// Whether a case forbids it, by a release of the planned day as it would be judged.
fn bound(asked: &Candidate<'_>) -> Known {
    let planned = serde_json::json!({
        "recordID": "planned", "revision": 1, "kind": "release", "schemaVersion": "1.0",
        "authorID": asked.place, "centreID": asked.place, "eventDate": asked.on.to_string(),
        "organismID": asked.animal, "scientificName": asked.scientific_name, "individualCount": 1,
    });
    match Record::parse(&planned.to_string()) {
        Ok(planned) if forbidding_cases(&planned, Forbidden::Release, asked.held, asked.world).is_empty() => {
            Known::No
        }
        Ok(_) => Known::Yes,
        Err(_) => Known::Unknown,
    }
}

/// Where the animal is, by the last record of it that names a centre or point; a sighting is no stay.
pub fn last_place(animal: &OrganismId, records: &[Arc<Effective>]) -> Option<PartyId> {
    let stays = records.iter().rev().map(|one| &one.record).filter(|record| match &record.body {
        Some(Body::Sighting(_)) => false,
        Some(Body::Receipt(receipt)) => {
            receipt.lines.iter().any(|line| line.organism_id.as_ref() == Some(animal))
        }
        _ => record.envelope.organism_id.as_ref() == Some(animal),
    });
    stays.filter_map(|record| place_of(&record.envelope).cloned()).next()
}
