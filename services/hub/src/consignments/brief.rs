//! The driver's page: what somebody must know who carries the animals, made from the journey's
//! records, the places kept for it, and the species profiles.
//!
//! Offices are named, never people. What nobody knows stands as a labelled line, and is never made up.

mod air;
mod bindings;
mod bodies;
mod cautions;
mod crating;
mod form;
mod handling;
mod hour;
mod papers;
mod way;

use chrono::{DateTime, FixedOffset};
use haulout_placement::Request;
use haulout_placement::view::RegionView;
use haulout_reckoning::Region;
use haulout_schemas::profile::{Group, Profile};
use haulout_schemas::records::transfer::Destination;
use haulout_store::{JourneyNow, RoomState};
use haulout_welfare::transport::papers::Reach;
use haulout_welfare::transport::window::Bar;
use std::collections::{BTreeMap, BTreeSet};

use super::carrying::{self, Said};
use super::stage;
use super::told::Told;
use crate::hub::Hub;
use crate::options::room;
use crate::reservations::alarms::words;
use crate::reservations::{ReservationShown, shown};
use crate::web::Problem;
pub use air::Asked;
pub use bindings::Binding;
use bodies::Traveller;
pub use form::{Brief, Crating, Departure, DepartureWindow, End, PhoneStep, Travelling};
pub use papers::Paper;

/// Makes the page of a journey.
///
/// # Errors
/// A problem where the database cannot be read, or the air was not told as it must be.
pub async fn make(hub: &Hub, journey: JourneyNow, asked: &Asked) -> Result<Brief, Problem> {
    let state = room(hub).await?;
    let air = asked.air(state.today)?;
    let view = hub.views.of(&state);
    let told = Told::read(&journey)?;
    let stage = stage(&journey, &told);
    let of_animals = bindings::of_animals(hub, &journey, &told).await?;
    let consignment_id = journey.consignment_id.to_string();
    let reservations = shown(hub, journey.reservations).await?;
    // Whoever refused or gave up is no part of the journey.
    let kept: Vec<&ReservationShown> = reservations.iter().filter(|one| travels(one)).collect();
    let requests: Vec<Request> = kept.iter().filter_map(|one| request_of(one)).collect();
    let making = Making { state: &state, view: &view, told: &told, kept: &kept, requests: &requests };
    let travelling = making.travelling();
    let profiles = making.profiles(&travelling);
    let groups: BTreeSet<Group> = profiles.iter().map(|profile| profile.group).collect();
    let groups: Vec<Group> = groups.into_iter().collect();
    let eggs = making.eggs();
    let seen = bindings::seen(&told, &of_animals);
    let travellers: Vec<Traveller<'_>> =
        travelling.iter().map(|line| making.traveller(line, &seen)).collect();
    let (crating, packing) = crating::crating(&state.configuration, &travellers);
    let minutes = making.minutes();
    let now = making.now();
    let bound = travellers.iter().filter_map(|one| one.bound_since).min();
    let bound_hours = bound.map(|since| ((now - since).num_minutes().max(0) as f64) / 60.0);
    let road = minutes.as_ref().ok().map(|(minutes, _)| *minutes);
    let (stops, mut bars, unknown) =
        crating::on_the_way(&state.configuration, &travellers, road, bound_hours);
    let (drugs, more) = handling::drugs(&state.configuration, &travellers, now);
    bars.extend(more);
    let (papers_to_ask_for, notes) = papers::to_ask_for(&state.configuration, &travellers, making.reach());
    let more_cautions = unknown.into_iter().chain(notes.into_iter().map(|note| format!("Papers: {note}.")));
    let mut cautions = making.cautions(&groups);
    let last = cautions.pop();
    cautions.extend(more_cautions.map(|line| Said::new(line, "not known here")));
    cautions.extend(last);
    Ok(Brief {
        consignment_id,
        region: state.configuration.region.as_ref().map_or_else(String::new, |region| region.name.clone()),
        made_at: words::at(&state.configuration, state.now),
        demonstration: hub.store.is_demonstration(),
        stage,
        hazards: making.hazards(&profiles, &travellers),
        handling: handling::first(&state.configuration, &travellers),
        from: making.from(),
        to: making.to(),
        departure: making.departure(&profiles, &bars, &air, minutes),
        crates: told.crates_out().into_iter().map(|(_, one)| one.clone()).collect(),
        crating,
        packing,
        stops,
        drugs,
        bindings: bindings::of(&state.configuration, &seen),
        carry: carrying::gear(&groups, eggs),
        papers: papers::of(&making, &of_animals),
        papers_to_ask_for,
        by_telephone: making.by_telephone(),
        cautions,
        travels: travelling,
    })
}

fn travels(one: &ReservationShown) -> bool {
    use haulout_store::Standing::{Cancelled, Lapsed, Refused};
    !matches!(one.now.standing, Refused | Cancelled | Lapsed)
}

fn request_of(one: &ReservationShown) -> Option<Request> {
    serde_json::from_value(one.now.reservation.request.clone()).ok()
}

/// What a page is made from.
struct Making<'a> {
    state: &'a RoomState,
    view: &'a RegionView,
    told: &'a Told,
    kept: &'a [&'a ReservationShown],
    requests: &'a [Request],
}

impl Making<'_> {
    fn region(&self) -> Option<&Region> {
        self.state.configuration.region.as_deref()
    }

    fn travelling(&self) -> Vec<Travelling> {
        let mut units: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for kept in self.kept.iter().map(|one| &one.now.reservation) {
            let unit = kept.unit_id.as_ref().map(ToString::to_string);
            units.entry(kept.scientific_name.as_str()).or_default().extend(unit);
        }
        units.values_mut().for_each(|units| units.sort());
        let lines: Vec<Travelling> = self
            .told
            .dispatches()
            .flat_map(|(_, dispatch)| &dispatch.lines)
            .map(|line| {
                let request =
                    self.requests.iter().find(|one| one.scientific_name == line.scientific_name.as_str());
                let animal = line.organism_id.as_ref().map(ToString::to_string);
                Travelling {
                    individual_count: line.individual_count,
                    scientific_name: line.scientific_name.to_string(),
                    common_name: self.common_name(line.scientific_name.as_str()),
                    subject: animal.or_else(|| line.lot_id.as_ref().map(ToString::to_string)),
                    length: request.and_then(length),
                    crate_id: line.crate_id.as_ref().map(ToString::to_string),
                    unit_ids: units.get(line.scientific_name.as_str()).cloned().unwrap_or_default(),
                    triage: request.map(|one| one.triage),
                    stay: request.map(|one| one.stay),
                }
            })
            .collect();
        if !lines.is_empty() {
            return lines;
        }
        self.kept
            .iter()
            .filter_map(|one| Some((one, request_of(one)?)))
            .map(|(one, request)| Travelling {
                individual_count: request.individual_count,
                scientific_name: request.scientific_name.clone(),
                common_name: self.common_name(&request.scientific_name),
                subject: request.organism_id.clone().or_else(|| request.lot_id.clone()),
                length: length(&request),
                crate_id: None,
                unit_ids: one.now.reservation.unit_id.iter().map(ToString::to_string).collect(),
                triage: Some(request.triage),
                stay: Some(request.stay),
            })
            .collect()
    }

    /// What is known of a line: by its request, its records, its species.
    fn traveller<'l>(
        &'l self,
        line: &'l Travelling,
        seen: &[(&haulout_schemas::envelope::Envelope, &haulout_schemas::Body)],
    ) -> Traveller<'l> {
        let request = self.requests.iter().find(|one| {
            let named = one.organism_id.as_ref().or(one.lot_id.as_ref());
            one.scientific_name == line.scientific_name && (named.is_none() || named == line.subject.as_ref())
        });
        let profiles = self.state.configuration.names.members(&line.scientific_name);
        Traveller::of(line, profiles, request, seen, &self.state.configuration)
    }

    /// The hub's time, in the region's zone.
    fn now(&self) -> DateTime<FixedOffset> {
        let utc = DateTime::from_timestamp_micros(self.state.now).unwrap_or_default();
        utc.with_timezone(&self.state.configuration.zone()).fixed_offset()
    }

    /// How far it goes, as far as the records tell.
    fn reach(&self) -> Reach {
        let leaves = |(_, dispatch): (_, &haulout_schemas::records::transfer::Dispatch)| {
            dispatch.destination == Destination::Outside
        };
        if self.told.dispatches().any(leaves) { Reach::BetweenStates } else { Reach::InsideState }
    }

    fn common_name(&self, name: &str) -> Option<String> {
        self.state.configuration.names.profile(name)?.common_names.value.first().cloned()
    }

    /// The profiles of what travels, the most dangerous first.
    fn profiles(&self, travelling: &[Travelling]) -> Vec<&Profile> {
        let mut profiles: Vec<&Profile> = Vec::new();
        for one in travelling {
            for profile in self.state.configuration.names.members(&one.scientific_name) {
                if profiles.iter().all(|known| known.scientific_name != profile.scientific_name) {
                    profiles.push(profile);
                }
            }
        }
        profiles.sort_by(|a, b| {
            let class = |profile: &Profile| std::cmp::Reverse(profile.hazard.value.class);
            (class(a), &a.scientific_name).cmp(&(class(b), &b.scientific_name))
        });
        profiles
    }

    fn eggs(&self) -> bool {
        self.told
            .dispatches()
            .flat_map(|(_, dispatch)| &dispatch.lines)
            .any(|line| carrying::is_egg(line.life_stage))
            || self.requests.iter().any(|request| carrying::is_egg(request.life_stage))
    }

    fn by_telephone(&self) -> Vec<PhoneStep> {
        let mut told = Vec::new();
        for one in self.kept {
            let reservation = &one.now.reservation;
            for (nth, step) in reservation.steps.iter().enumerate() {
                let Some(behalf) = &step.on_behalf_of else { continue };
                let what = match step.kind.as_str() {
                    "reservationPromised" => "Promised",
                    "reservationRefused" => "Refused",
                    "reservationDeparted" => "Set out",
                    "reservationCancelled" => "Given up",
                    other => other,
                };
                let since = reservation.steps.iter().skip(nth);
                let centre = words::called(&self.state.configuration, reservation.centre_id.as_str());
                told.push(PhoneStep {
                    what: format!(
                        "{what} for {centre}: {} {}",
                        reservation.individual_count, reservation.scientific_name
                    ),
                    for_centre: centre.to_owned(),
                    office: behalf.office.clone(),
                    channel: behalf.channel.clone(),
                    recorded: words::at_text(&self.state.configuration, &step.known_from),
                    confirmed: matches!(step.kind.as_str(), "reservationPromised" | "reservationRefused")
                        .then(|| since.into_iter().any(|step| step.kind == "reservationConfirmed")),
                });
            }
        }
        told
    }
}

fn length(request: &Request) -> Option<String> {
    let length = request.length.as_ref()?;
    let measure = haulout_welfare::measures::words(length.measure);
    Some(match (length.low, length.high) {
        (Some(low), Some(high)) => format!("{low} to {high} m {measure}"),
        (None, Some(high)) if high > length.value => {
            format!("{} m, at most {high} m {measure}", length.value)
        }
        _ => format!("{} m {measure}", length.value),
    })
}

/// A date as a person reads it: with its hour where it has one, in the region's time.
fn moment(configuration: &haulout_store::Configuration, date: &haulout_schemas::EventDate) -> String {
    match date.start().instant {
        Some(instant) => words::at(configuration, instant.timestamp_micros()),
        None => date.day().format("%-d %b %Y").to_string(),
    }
}
