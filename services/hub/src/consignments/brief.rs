//! The driver's page: what somebody must know who carries the animals, made from the journey's
//! records, the places kept for it, and the species profiles.
//!
//! Offices are named, never people. What nobody has worked out stands as a labelled line, and is
//! never made up.

mod bindings;
mod form;
mod papers;
mod way;

use haulout_placement::Request;
use haulout_placement::view::RegionView;
use haulout_reckoning::Region;
use haulout_schemas::profile::{Group, Profile};
use haulout_schemas::vocabulary::Known;
use haulout_store::{JourneyNow, RoomState};
use std::collections::{BTreeMap, BTreeSet};

use super::carrying::{self, Said};
use super::stage;
use super::told::Told;
use crate::hub::Hub;
use crate::options::room;
use crate::reservations::alarms::{UNCONFIRMED, words};
use crate::reservations::{ReservationShown, shown};
use crate::web::Problem;
pub use bindings::Binding;
pub use form::{Brief, Departure, End, PhoneStep, Travelling};
pub use papers::Paper;

/// What stands where no hour of departure has been worked out.
pub const NOT_COMPUTED: &str = "not computed yet: agree the hour with the vet";

/// Makes the page of a journey.
///
/// # Errors
/// A problem where the database cannot be read.
pub async fn make(hub: &Hub, journey: JourneyNow) -> Result<Brief, Problem> {
    let state = room(hub).await?;
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
    Ok(Brief {
        consignment_id,
        region: state.configuration.region.as_ref().map_or_else(String::new, |region| region.name.clone()),
        made_at: words::at(&state.configuration, state.now),
        demonstration: hub.store.is_demonstration(),
        stage,
        hazards: making.hazards(&profiles),
        from: making.from(),
        to: making.to(),
        departure: making.departure(),
        crates: told.crates_out().into_iter().map(|(_, one)| one.clone()).collect(),
        bindings: bindings::of(&state.configuration, &told, &of_animals),
        carry: carrying::gear(&groups, eggs),
        papers: papers::of(&making, &of_animals),
        by_telephone: making.by_telephone(),
        cautions: making.cautions(&groups, profiles.len() > 1),
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

    /// What forbids the journey, then what can hurt people.
    fn hazards(&self, profiles: &[&Profile]) -> Vec<Said> {
        let alarms = self.kept.iter().flat_map(|one| &one.alarms);
        let mut hazards: Vec<Said> = alarms
            .filter(|alarm| alarm.severity == "critical")
            .map(|alarm| Said::new(format!("STOP. {}", alarm.sentence), format!("alarm {}", alarm.code)))
            .collect();
        // A name above the species may mean any of them: the worst stands for all.
        let listed: Vec<&&Profile> = match profiles {
            [worst, .., _] if profiles.len() > 8 => vec![worst],
            all => all.iter().collect(),
        };
        for profile in listed {
            let request = self.requests.iter().find(|one| {
                self.state.configuration.names.commodity(&one.scientific_name) == profile.scientific_name
            });
            for said in carrying::hazards(profile, &self.state.configuration.profiles, request) {
                if !hazards.contains(&said) {
                    hazards.push(said);
                }
            }
        }
        if profiles.is_empty() {
            hazards.push(Said::new(
                "No profile is known for what travels: treat it as able to maim, and ask the vet.",
                "common practice",
            ));
        }
        hazards
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

    fn cautions(&self, groups: &[Group], several_species: bool) -> Vec<Said> {
        let mut cautions: Vec<Said> = self
            .kept
            .iter()
            .flat_map(|one| &one.alarms)
            // Grave ones stand among the hazards, and what was not confirmed beside its telephone call.
            .filter(|alarm| alarm.severity != "critical" && alarm.code != UNCONFIRMED.code)
            .map(|alarm| Said::new(alarm.sentence.clone(), format!("alarm {}", alarm.code)))
            .collect();
        let unclean: Vec<&str> = self
            .told
            .crates_out()
            .into_iter()
            .filter(|(_, one)| one.disinfected != Known::Yes)
            .map(|(_, one)| one.crate_id.as_str())
            .collect();
        if !unclean.is_empty() {
            cautions.push(Said::new(
                format!("Not known to be disinfected: {}. Disinfect before loading.", unclean.join(", ")),
                "dispatch",
            ));
        }
        if self.requests.iter().any(|one| one.custody.as_ref().is_some_and(|c| c.case_property != Known::No))
        {
            cautions.push(Said::new(
                "Case property, or it may be: nothing is handed over to anybody but the office at the other end.",
                "common practice",
            ));
        }
        if self.from().place_id.is_none() {
            cautions.push(Said::new(
                "Where wild animals live is not told to others: keep this page with you.",
                "common practice",
            ));
        }
        cautions.extend(carrying::on_the_road(groups, several_species));
        cautions.push(Said::new(
            "No reason was found against this journey by the rules that were checked. That is all it means: local \
             codes, the vet and the crew on the spot decide.",
            "Haulout",
        ));
        cautions
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
