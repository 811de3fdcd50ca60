//! What the records tell of each group that travels: length, mass, injuries, drugs, fitness, bindings.
//!
//! The newest word counts. What no record tells stays unknown, and the page says so.

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_placement::Request;
use haulout_schemas::Body;
use haulout_schemas::envelope::{Envelope, Length};
use haulout_schemas::event_date::EventDate;
use haulout_schemas::profile::Profile;
use haulout_schemas::records::health::{Assessment, BindingSite, Treatment, TreatmentEvent};
use haulout_schemas::vocabulary::{Known, LengthMethod};
use haulout_store::Configuration;
use haulout_store::clock::close_of_day;
use haulout_welfare::transport::drugs::Given;

use super::Travelling;

/// What is known of one group.
pub(super) struct Traveller<'a> {
    /// The line of the page.
    pub line: &'a Travelling,
    /// Species that it may be; empty where no profile is known.
    pub profiles: Vec<&'a Profile>,
    /// Its length: taped before guessed, the newest of each.
    pub length: Option<Length>,
    /// Its mass, kilograms, and the day on which it was weighed; of single animals only.
    pub mass: Option<(f64, NaiveDate)>,
    /// Injuries as told, each once.
    pub injuries: Vec<String>,
    /// Drugs given.
    pub given: Vec<Given>,
    /// The last recovery, or word of a veterinarian that it is fit to travel.
    pub cleared: Option<DateTime<FixedOffset>>,
    /// Whether it may travel, by the newest word.
    pub fit: Fit,
    /// Since when the binding that has been on it longest is on.
    pub bound_since: Option<DateTime<FixedOffset>>,
    /// Whether it is case property.
    pub case_property: Known,
}

/// Whether an animal may travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Fit {
    /// It was said to be, or travels on a veterinarian's word.
    Said,
    /// Nobody has said anything.
    NotSaid,
    /// It was said not to be, or that nobody knows, and no veterinarian has spoken since.
    No,
}

impl<'a> Traveller<'a> {
    /// What is known of a line: by its request, then by the records of its animal or lot; where it has
    /// neither, by those of its species.
    pub fn of(
        line: &'a Travelling,
        profiles: Vec<&'a Profile>,
        request: Option<&Request>,
        seen: &[(&Envelope, &Body)],
        configuration: &Configuration,
    ) -> Self {
        let mut known = Self {
            line,
            profiles,
            length: request.and_then(|request| request.length.clone()),
            mass: None,
            injuries: Vec::new(),
            given: Vec::new(),
            cleared: None,
            fit: request.map_or(Fit::NotSaid, fit_of),
            bound_since: None,
            case_property: request
                .and_then(|request| request.custody.as_ref())
                .map_or(Known::Unknown, |custody| custody.case_property),
        };
        let mut bound: Vec<(Option<BindingSite>, DateTime<FixedOffset>)> = Vec::new();
        for (frame, body) in seen.iter().filter(|(frame, _)| is_about(frame, line)) {
            let at = ended(configuration, &frame.event_date);
            match body {
                Body::Rescue(rescue) => {
                    known.lengths(&rescue.lengths_metre);
                    known.hurt(&rescue.injuries);
                }
                Body::Assessment(assessment) => known.assessed(assessment, at, &frame.event_date),
                Body::Treatment(treatment) => known.treated(treatment, at, &mut bound),
                _ => {}
            }
        }
        known.bound_since = bound.into_iter().map(|(_, since)| since).min();
        known
    }

    fn lengths(&mut self, lengths: &[Length]) {
        let taped = |length: &Length| length.method == LengthMethod::Taped;
        for length in lengths {
            if self.length.as_ref().is_none_or(|known| taped(length) || !taped(known)) {
                self.length = Some(length.clone());
            }
        }
    }

    fn hurt(&mut self, injuries: &[String]) {
        for injury in injuries {
            if !self.injuries.contains(injury) {
                self.injuries.push(injury.clone());
            }
        }
    }

    fn assessed(&mut self, assessment: &Assessment, at: DateTime<FixedOffset>, on: &EventDate) {
        self.lengths(&assessment.lengths_metre);
        self.hurt(&assessment.injuries);
        if let Some(mass) = assessment.mass_kilogram.filter(|_| self.line.individual_count == 1) {
            self.mass = Some((mass, on.day()));
        }
        match (assessment.fit_to_travel, assessment.by_veterinarian) {
            (Some(Known::Yes), by_veterinarian) => {
                self.fit = Fit::Said;
                if by_veterinarian == Some(true) {
                    self.cleared = Some(at);
                }
            }
            (Some(Known::No | Known::Unknown), _) => self.fit = Fit::No,
            (None, _) => {}
        }
    }

    fn treated(
        &mut self,
        treatment: &Treatment,
        at: DateTime<FixedOffset>,
        bound: &mut Vec<(Option<BindingSite>, DateTime<FixedOffset>)>,
    ) {
        match treatment.event {
            TreatmentEvent::Drug => {
                if let Some(drug) = &treatment.drug {
                    self.given.push(Given { drug: drug.clone(), at });
                }
            }
            TreatmentEvent::Recovery => self.cleared = Some(at),
            TreatmentEvent::BindingOn => bound.push((treatment.binding_site, at)),
            TreatmentEvent::BindingOff => bound.retain(|(site, _)| *site != treatment.binding_site),
            TreatmentEvent::Procedure => {}
        }
    }
}

fn fit_of(request: &Request) -> Fit {
    match (request.fit_to_travel.fit, &request.fit_to_travel.vets_word) {
        (Known::Yes, _) | (_, Some(_)) => Fit::Said,
        _ => Fit::No,
    }
}

/// Whether a record is about the animals of a line.
fn is_about(frame: &Envelope, line: &Travelling) -> bool {
    match &line.subject {
        Some(subject) => {
            frame.organism_id.as_ref().is_some_and(|id| id.as_str() == subject)
                || frame.lot_id.as_ref().is_some_and(|id| id.as_str() == subject)
        }
        None => frame.scientific_name.as_ref().is_some_and(|name| name.as_str() == line.scientific_name),
    }
}

/// When an event was over; the close of the day in the region's zone where no time was told.
fn ended(configuration: &Configuration, date: &EventDate) -> DateTime<FixedOffset> {
    let end = date.end();
    end.instant.unwrap_or_else(|| {
        let close = close_of_day(end.day, configuration.zone());
        DateTime::from_timestamp_micros(close).unwrap_or_default().fixed_offset()
    })
}
