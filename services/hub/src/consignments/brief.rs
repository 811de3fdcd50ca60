//! The driver's page: what somebody must know who carries the animals, made from the journey's
//! records, the places kept for it, and the species profiles.
//!
//! Offices are named, never people. What nobody has worked out stands as a labelled line, and is
//! never made up.

mod bindings;
mod papers;

use haulout_placement::Request;
use haulout_placement::view::RegionView;
use haulout_reckoning::Region;
use haulout_schemas::profile::{Group, Profile};
use haulout_schemas::records::transfer::Crate;
use haulout_schemas::vocabulary::{Known, Stay, Triage};
use haulout_store::{JourneyNow, RoomState};
use schemars::JsonSchema;
use serde::Serialize;
use serde_with::skip_serializing_none;
use std::collections::{BTreeMap, BTreeSet};

use super::carrying::{self, Said};
use super::told::{Told, place};
use super::{Stage, stage};
use crate::hub::Hub;
use crate::options::room;
use crate::reservations::alarms::words;
use crate::reservations::{ReservationShown, shown};
use crate::web::Problem;
pub use bindings::Binding;
pub use papers::Paper;

/// What stands where no hour of departure has been worked out.
pub const NOT_COMPUTED: &str = "not computed yet: agree the hour with the vet";

/// The driver's page of a journey.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Brief {
    /// The consignment.
    #[serde(rename = "consignmentID")]
    pub consignment_id: String,
    /// The region.
    pub region: String,
    /// When it was made, in the region's time: what came later is not in it.
    pub made_at: String,
    /// True on a demonstration's calendar: nobody may drive by it.
    pub demonstration: bool,
    /// Where the journey stands.
    pub stage: Stage,
    /// What can hurt somebody, and what forbids the journey: first.
    pub hazards: Vec<Said>,
    /// Where from.
    pub from: End,
    /// Where to.
    pub to: End,
    /// When to leave.
    pub departure: Departure,
    /// What travels.
    pub travels: Vec<Travelling>,
    /// The crates that the dispatch lists.
    pub crates: Vec<Crate>,
    /// Jaws, limbs and eyes bound, and since when.
    pub bindings: Vec<Binding>,
    /// What to take along.
    pub carry: Vec<Said>,
    /// Papers that travel.
    pub papers: Vec<Paper>,
    /// What was settled by telephone.
    pub by_telephone: Vec<PhoneStep>,
    /// What else to know.
    pub cautions: Vec<Said>,
}

/// One end of a journey.
#[skip_serializing_none]
#[derive(Debug, Default, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct End {
    /// The centre or point.
    #[serde(rename = "placeID")]
    pub place_id: Option<String>,
    /// Its name.
    pub name: String,
    /// The office that keeps the point.
    pub kept_by: Option<String>,
    /// Degrees north, WGS 84.
    pub latitude: Option<f64>,
    /// Degrees east, WGS 84.
    pub longitude: Option<f64>,
    /// The units that are kept there.
    #[serde(rename = "unitIDs")]
    pub unit_ids: Vec<String>,
}

/// When to leave.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Departure {
    /// Whether hours were worked out from heat, cold and closed roads.
    pub computed: bool,
    /// The hours, or that there are none.
    pub words: String,
    /// When they did set out, where they have.
    pub set_out: Option<String>,
    /// When they are expected.
    pub expected: Option<String>,
    /// Minutes on the road by the region's table.
    pub minutes: Option<u32>,
}

/// A group that travels.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Travelling {
    /// How many.
    pub individual_count: u32,
    /// Species, or what is known of it.
    pub scientific_name: String,
    /// An everyday name.
    pub common_name: Option<String>,
    /// The animal or lot.
    pub subject: Option<String>,
    /// Its length in words.
    pub length: Option<String>,
    /// The crate.
    #[serde(rename = "crateID")]
    pub crate_id: Option<String>,
    /// The unit that is kept for it.
    #[serde(rename = "unitID")]
    pub unit_id: Option<String>,
    /// How urgently it needs a place.
    pub triage: Option<Triage>,
    /// How long it is to stay.
    pub stay: Option<Stay>,
}

/// A step that was told by telephone.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct PhoneStep {
    /// What was settled.
    pub what: String,
    /// For which centre.
    pub for_centre: String,
    /// On the word of which office.
    pub office: String,
    /// How it was told.
    pub channel: String,
    /// When it was recorded.
    pub recorded: String,
    /// Whether the centre has confirmed it since.
    pub confirmed: bool,
}

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
        cautions: making.cautions(profiles.len() > 1),
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
        let units: BTreeMap<&str, Option<String>> = self
            .kept
            .iter()
            .map(|one| &one.now.reservation)
            .map(|one| (one.scientific_name.as_str(), one.unit_id.as_ref().map(ToString::to_string)))
            .collect();
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
                    unit_id: units.get(line.scientific_name.as_str()).cloned().flatten(),
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
                unit_id: one.now.reservation.unit_id.as_ref().map(ToString::to_string),
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

    fn from(&self) -> End {
        let dispatched = self.told.dispatches().find_map(|(frame, _)| place(frame).map(ToString::to_string));
        let asked =
            self.kept.iter().find_map(|one| one.now.reservation.from_id.as_ref().map(ToString::to_string));
        if let Some(id) = dispatched.or(asked) {
            return self.end(&id);
        }
        let wild = self.requests.first().map(|request| &request.from);
        End {
            name: "from the wild".to_owned(),
            latitude: wild.and_then(|from| from.latitude),
            longitude: wild.and_then(|from| from.longitude),
            ..End::default()
        }
    }

    fn to(&self) -> End {
        let kept = self.kept.first().map(|one| one.now.reservation.centre_id.to_string());
        let dispatched = self
            .told
            .dispatches()
            .find_map(|(_, dispatch)| dispatch.destination_id.as_ref().map(ToString::to_string));
        let received = self.told.receipts().find_map(|(frame, _)| place(frame).map(ToString::to_string));
        let Some(id) = dispatched.or(kept).or(received) else {
            return End { name: "nobody has said where to".to_owned(), ..End::default() };
        };
        let units: BTreeSet<String> = self
            .kept
            .iter()
            .map(|one| &one.now.reservation)
            .filter(|one| one.centre_id.as_str() == id)
            .filter_map(|one| one.unit_id.as_ref().map(ToString::to_string))
            .collect();
        End { unit_ids: units.into_iter().collect(), ..self.end(&id) }
    }

    fn end(&self, id: &str) -> End {
        let name = words::called(&self.state.configuration, id).to_owned();
        let party =
            self.region().and_then(|region| region.parties.iter().find(|one| one.party_id.as_str() == id));
        let point =
            self.region().and_then(|region| region.points.iter().find(|one| one.point_id.as_str() == id));
        let keeper =
            point.map(|point| words::called(&self.state.configuration, point.keeper_id.as_str()).to_owned());
        End {
            place_id: Some(id.to_owned()),
            name,
            kept_by: keeper,
            latitude: point.map(|point| point.latitude).or(party.and_then(|party| party.latitude)),
            longitude: point.map(|point| point.longitude).or(party.and_then(|party| party.longitude)),
            unit_ids: Vec::new(),
        }
    }

    fn departure(&self) -> Departure {
        let configuration = &self.state.configuration;
        let departed = self
            .kept
            .iter()
            .find_map(|one| one.now.reservation.departed_at.as_deref())
            .map(|at| words::at_text(configuration, at));
        let dispatched =
            self.told.dispatches().next().map(|(frame, _)| moment(configuration, &frame.event_date));
        let expected = self
            .kept
            .iter()
            .find_map(|one| one.now.reservation.expected_at.as_deref())
            .map(|at| words::at_text(configuration, at));
        let by_dispatch = self.told.dispatches().find_map(|(_, dispatch)| dispatch.expected_arrival.as_ref());
        let (from, to) = (self.from().place_id, self.to().place_id);
        let line = |from: &str, to: &str| {
            let lines = &self.region()?.travel_minutes;
            lines
                .iter()
                .find(|line| line.from_id.as_str() == from && line.to_id.as_str() == to)
                .map(|line| line.minutes)
        };
        let minutes = match (from, to) {
            (Some(from), Some(to)) => line(&from, &to).or_else(|| line(&to, &from)),
            _ => None,
        };
        Departure {
            computed: false,
            words: NOT_COMPUTED.to_owned(),
            set_out: departed.or(dispatched),
            expected: expected.or_else(|| by_dispatch.map(|at| moment(configuration, at))),
            minutes,
        }
    }

    fn by_telephone(&self) -> Vec<PhoneStep> {
        let mut told = Vec::new();
        for one in self.kept {
            let reservation = &one.now.reservation;
            for (nth, step) in reservation.steps.iter().enumerate() {
                let Some(behalf) = &step.on_behalf_of else { continue };
                let what = match step.kind.as_str() {
                    "reservationPromised" => "promised",
                    "reservationRefused" => "refused",
                    "reservationDeparted" => "set out",
                    "reservationCancelled" => "given up",
                    other => other,
                };
                let since = reservation.steps.iter().skip(nth);
                told.push(PhoneStep {
                    what: format!("{what}: {} {}", reservation.individual_count, reservation.scientific_name),
                    for_centre: words::called(&self.state.configuration, reservation.centre_id.as_str())
                        .to_owned(),
                    office: behalf.office.clone(),
                    channel: behalf.channel.clone(),
                    recorded: words::at_text(&self.state.configuration, &step.known_from),
                    confirmed: since.into_iter().any(|step| step.kind == "reservationConfirmed"),
                });
            }
        }
        told
    }

    fn cautions(&self, several_species: bool) -> Vec<Said> {
        let mut cautions: Vec<Said> = self
            .kept
            .iter()
            .flat_map(|one| &one.alarms)
            .filter(|alarm| alarm.severity != "critical")
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
        cautions.extend(carrying::on_the_road(several_species));
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
