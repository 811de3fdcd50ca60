//! The region as it stands, made from the records that count and the reservations that are open.
//!
//! What nobody stated stays unknown: the rules then answer "cannot be checked".

use chrono::{DateTime, FixedOffset, NaiveTime, Offset};
use haulout_placement::view::{
    Centre, Closure, Crew, Ferry, LengthLimit, LicenceLine, NightBan, Occupant, Point, RegionView, Roads,
    Settings, Standstill, TravelLine, Unit,
};
use haulout_reckoning::region::{Party, Role};
use haulout_reckoning::{Effective, Region};
use haulout_schemas::envelope::Envelope;
use haulout_schemas::event_date::Moment;
use haulout_schemas::records::authority::LicenceStatus;
use haulout_schemas::records::keeping::CustodyEvent;
use haulout_schemas::records::standing::{
    Arrangement, BiosecurityEvent, Capacity, CapacityEvent, Readiness, ReadinessEvent, RouteStatus,
    StandstillScope, UnitKind,
};
use haulout_schemas::text::PartyId;
use haulout_schemas::vocabulary::{Direction, Known};
use haulout_schemas::{Body, EventDate};
use haulout_store::clock::start_of_day;
use haulout_store::{RoomState, Weighs};
use std::collections::BTreeMap;
use std::sync::Arc;

use super::floor::{Floor, Floors};

/// The region as its records tell it at the moment of `state`.
pub fn region_view(state: &RoomState, floors: &mut Floors) -> RegionView {
    let Some(region) = state.configuration.region.clone() else { return RegionView::default() };
    let assembly = Assembly::of(state, &region);
    let floors: Vec<(&Party, Arc<Floor>)> =
        region.centres().map(|party| (party, floors.of(state, party))).collect();
    let mut view = RegionView {
        centres: floors.iter().filter_map(|(party, floor)| assembly.centre(party, floor)).collect(),
        units: floors.iter().flat_map(|(party, floor)| assembly.units(party, floor)).collect(),
        points: region
            .points
            .iter()
            .map(|point| Point {
                point_id: point.point_id.to_string(),
                latitude: point.latitude,
                longitude: point.longitude,
            })
            .collect(),
        roads: assembly.roads(),
        standstills: assembly.standstills(),
        settings: Settings::default(),
    };
    assembly.settle_coming(&mut view);
    view
}

/// When a road that is closed at night closes and opens (common practice).
const EVENING: NaiveTime = hour(18);
const MORNING: NaiveTime = hour(6);

const fn hour(hour: u32) -> NaiveTime {
    match NaiveTime::from_hms_opt(hour, 0, 0) {
        Some(time) => time,
        None => NaiveTime::MIN,
    }
}

struct Assembly<'a> {
    state: &'a RoomState,
    region: &'a Region,
    /// Standing records by author, each author's in the order of their days: the last word on a
    /// thing comes last.
    by_author: BTreeMap<&'a str, Vec<(&'a Envelope, &'a Body)>>,
}

impl<'a> Assembly<'a> {
    fn of(state: &'a RoomState, region: &'a Region) -> Self {
        let mut by_author: BTreeMap<&str, Vec<(&Envelope, &Body)>> = BTreeMap::new();
        for (frame, body) in standing(state) {
            by_author.entry(frame.author_id.as_str()).or_default().push((frame, body));
        }
        Self { state, region, by_author }
    }

    fn centre(&self, party: &Party, floor: &Floor) -> Option<Centre> {
        let (latitude, longitude) = (party.latitude?, party.longitude?);
        let ready = self.by(&party.party_id).rev().find_map(|(frame, body)| match body {
            Body::Readiness(ready) if ready.event == ReadinessEvent::Tonight && is_of(frame, party) => {
                Some((&frame.event_date, ready))
            }
            _ => None,
        });
        let (since, ready): (Option<&EventDate>, Option<&Readiness>) = ready.unzip();
        Some(Centre {
            centre_id: party.party_id.to_string(),
            name: Some(party.name.clone()),
            latitude,
            longitude,
            licences: self.licences(party),
            crews: ready
                .map(|ready| {
                    ready.crews.iter().map(|crew| Crew { skill: crew.skill, people: crew.people }).collect()
                })
                .unwrap_or_default(),
            crews_tonight: None,
            vehicle_minutes: None,
            vet_level: ready.and_then(|ready| ready.vet_level),
            arrivals_per_day: ready.and_then(|ready| ready.arrivals_per_day),
            arrived_today: floor.arrived_today,
            due_today: 0,
            unhoused: floor.unhoused.clone(),
            heads: None,
            basin: party.basin.clone(),
            status_as_of: since.map(|date| self.instant(date.end())),
        })
    }

    /// Licences in force today; only the authority's own version counts.
    fn licences(&self, party: &Party) -> Vec<LicenceLine> {
        let mut newest: BTreeMap<&str, (&EventDate, &haulout_schemas::records::authority::Licence)> =
            BTreeMap::new();
        let authorities = self.by_author.keys().map(|author| PartyId::from(*author));
        let authorities = authorities.filter(|author| self.region.role(author) == Some(Role::Authority));
        for (frame, body) in authorities.flat_map(|author| self.by(&author)) {
            if let Body::Licence(licence) = body
                && licence.holder_id == party.party_id
                && licence.valid_from.is_none_or(|first| first.0 <= self.state.today)
            {
                newest.insert(licence.licence_number.as_str(), (&frame.event_date, licence));
            }
        }
        newest
            .into_values()
            .filter(|(_, licence)| {
                matches!(licence.status, LicenceStatus::InForce | LicenceStatus::UnderRenewal)
            })
            .flat_map(|(_, licence)| {
                licence.lines.iter().map(|line| LicenceLine {
                    licence_number: Some(licence.licence_number.to_string()),
                    scope: vec![line.scientific_name.to_string()],
                    activities: Vec::new(),
                    heads_limit: line.heads_limit,
                    valid_through: licence.valid_through.map(|day| day.0),
                    status: licence.status,
                })
            })
            .collect()
    }

    fn units(&self, party: &Party, floor: &Floor) -> Vec<Unit> {
        let mut newest: BTreeMap<&str, (&EventDate, &Capacity)> = BTreeMap::new();
        for (frame, body) in self.by(&party.party_id) {
            if let Body::Capacity(capacity) = body
                && is_of(frame, party)
            {
                newest.insert(capacity.unit_id.as_str(), (&frame.event_date, capacity));
            }
        }
        newest
            .into_iter()
            .filter(|(_, (_, capacity))| capacity.event == CapacityEvent::Stated)
            .map(|(id, (date, capacity))| Unit {
                unit_id: id.to_owned(),
                centre_id: party.party_id.to_string(),
                unit_kind: capacity.unit_kind.unwrap_or(UnitKind::Pen),
                units: capacity.units.unwrap_or(1),
                arrangement: capacity.arrangement.unwrap_or(Arrangement::Isolating),
                land_square_metre: capacity.land_square_metre,
                water_square_metre: capacity.water_square_metre,
                depth_metre: capacity.depth_metre,
                length_limit: capacity
                    .length_limit_metre
                    .as_ref()
                    .map(|limit| LengthLimit { metre: limit.value, measure: limit.measure }),
                heads_limit: capacity.heads_limit,
                suits: capacity.suits.iter().map(ToString::to_string).collect(),
                stays: capacity.stays.clone(),
                longest_side_metre: capacity.longest_side_metre,
                heated: capacity.heated,
                lowest_celsius: capacity.lowest_celsius,
                highest_celsius: capacity.highest_celsius,
                water_type: capacity.water_type,
                // An incubator that nobody vouches for is not offered to eggs.
                keeps_orientation: capacity.keeps_orientation,
                water_circuit: capacity.water_circuit.as_ref().map(ToString::to_string),
                occupants: floor.in_unit(id).to_vec(),
                expected: Vec::new(),
                reserved: Vec::new(),
                quarantine: floor.quarantine(id).cloned(),
                free_units: None,
                free_size: None,
                capacity_as_of: Some(self.instant(date.end())),
            })
            .collect()
    }

    fn standstills(&self) -> Vec<Standstill> {
        let mut newest = BTreeMap::new();
        for (frame, body) in standing(self.state) {
            if let (Body::Biosecurity(step), Some(centre)) = (body, &frame.centre_id) {
                newest.insert((centre.as_str(), step.standstill_id.as_str()), (frame, step));
            }
        }
        newest
            .into_iter()
            .filter(|(_, (_, step))| step.event != BiosecurityEvent::Lifted)
            .map(|((centre, _), (frame, step))| {
                let scope = step.scope.unwrap_or(StandstillScope::Centre);
                let unit = step.unit_id.as_ref().filter(|_| scope == StandstillScope::Unit);
                Standstill {
                    place_id: centre.to_owned(),
                    water_circuit: step
                        .water_circuit
                        .as_ref()
                        .filter(|_| scope == StandstillScope::WaterCircuit)
                        .map(ToString::to_string),
                    unit_ids: unit.map(ToString::to_string).into_iter().collect(),
                    taxa: Vec::new(),
                    direction: step.direction.unwrap_or(Direction::Both),
                    agent: step.agent.clone(),
                    from: self.instant(step.effective_from.as_ref().unwrap_or(&frame.event_date).start()),
                    until: None,
                }
            })
            .collect()
    }

    fn roads(&self) -> Roads {
        let mut newest = BTreeMap::new();
        for (frame, body) in standing(self.state) {
            if let Body::Readiness(Readiness { event: ReadinessEvent::Route, route: Some(route), .. }) = body
                && self.region.role(&frame.author_id) == Some(Role::Coordination)
            {
                newest.insert((route.from_id.as_str(), route.to_id.as_str()), (frame, route));
            }
        }
        Roads {
            travel: self
                .region
                .travel_minutes
                .iter()
                .map(|line| TravelLine {
                    from: line.from_id.to_string(),
                    to: line.to_id.to_string(),
                    minutes: line.minutes,
                    kilometres: None,
                })
                .collect(),
            road_factor: self.region.road_factor,
            speed_kmh: self.region.speed_kilometre_per_hour,
            night_bans: newest
                .iter()
                .filter(|(_, (_, route))| route.status == RouteStatus::ClosedAtNight)
                .map(|((from, to), (frame, route))| NightBan {
                    place_id: (*from).to_owned(),
                    other_place_id: Some((*to).to_owned()),
                    // The record tells no hours: six to six (common practice).
                    begins: EVENING,
                    ends: MORNING,
                    from: Some(self.instant(frame.event_date.start())),
                    until: route.until.as_ref().map(|until| self.instant(until.end())),
                    reason: route.reason.clone(),
                })
                .collect(),
            ferries: self
                .region
                .ferries
                .iter()
                .map(|ferry| Ferry {
                    place_id: ferry.from_id.to_string(),
                    other_place_id: ferry.to_id.as_ref().map(ToString::to_string),
                    minutes_to_landing: ferry.minutes_to_landing,
                    first_crossing: ferry.first_crossing,
                    last_crossing: ferry.last_crossing,
                    wait_minutes: ferry.wait_minutes,
                })
                .collect(),
            closures: newest
                .into_iter()
                .filter(|(_, (_, route))| route.status == RouteStatus::Closed)
                .map(|((from, to), (frame, route))| Closure {
                    place_id: from.to_owned(),
                    other_place_id: Some(to.to_owned()),
                    from: self.instant(frame.event_date.start()),
                    until: route.until.as_ref().map(|until| self.instant(until.end())),
                    reason: route.reason.clone(),
                })
                .collect(),
        }
    }

    /// Kept places and animals on the road count in the unit that was named for them, or else as
    /// unhoused of the centre; each animal once.
    fn settle_coming(&self, view: &mut RegionView) {
        for one in &self.state.reservations {
            let reservation = &one.reservation;
            if one.weighs() != Weighs::Reserved {
                continue;
            }
            let request: Option<haulout_placement::Request> =
                serde_json::from_value(reservation.request.clone()).ok();
            let mut occupant = coming(reservation.scientific_name.as_str(), reservation.individual_count);
            occupant.reservation_id = Some(reservation.reservation_id.clone());
            if let Some(request) = request {
                occupant.length = request.length;
                occupant.sex = request.sex;
                occupant.life_stage = request.life_stage;
                occupant.batch_id = request.batch_id;
            }
            if self.is_due_today(reservation.expected_at.as_deref()) {
                due(view, reservation.centre_id.as_str(), reservation.individual_count);
            }
            put(
                view,
                reservation.centre_id.as_str(),
                reservation.unit_id.as_ref().map(|unit| unit.as_str()),
                occupant,
                true,
            );
        }
        for journey in self.state.journeys.iter().filter(|journey| journey.count > 0) {
            let Some(centre) = self.destination(&journey.consignment_id) else { continue };
            let mut left = u32::try_from(journey.count).unwrap_or(u32::MAX);
            due(view, &centre, left);
            let kept = self.state.reservations.iter().filter(|one| {
                let reservation = &one.reservation;
                let consignment = reservation.consignment_id.as_ref();
                one.weighs() == Weighs::Expected
                    && consignment.is_some_and(|id| id.as_str() == journey.consignment_id)
                    && reservation.scientific_name.as_str() == journey.scientific_name
            });
            for one in kept {
                let count = left.min(one.reservation.individual_count);
                left -= count;
                let unit = one.reservation.unit_id.as_ref().map(|unit| unit.as_str());
                put(view, &centre, unit, coming(&journey.scientific_name, count), false);
            }
            // More set out than a place was kept for.
            put(view, &centre, None, coming(&journey.scientific_name, left), false);
        }
    }

    /// True when a kept place is for today; one without a day may be.
    fn is_due_today(&self, expected_at: Option<&str>) -> bool {
        let expected = expected_at.and_then(|text| DateTime::parse_from_rfc3339(text).ok());
        expected.is_none_or(|at| {
            at.with_timezone(&self.state.configuration.zone()).date_naive() <= self.state.today
        })
    }

    fn destination(&self, consignment: &str) -> Option<String> {
        self.state.journey_records.iter().find_map(|one| match &one.record.body {
            Some(Body::Dispatch(dispatch)) if dispatch.consignment_id.as_str() == consignment => {
                dispatch.destination_id.as_ref().map(ToString::to_string)
            }
            _ => None,
        })
    }

    /// Standing records of an author, by day.
    fn by(
        &self,
        author: &PartyId,
    ) -> impl DoubleEndedIterator<Item = (&'a Envelope, &'a Body)> + use<'_, 'a> {
        self.by_author.get(author.as_str()).map(Vec::as_slice).unwrap_or_default().iter().copied()
    }

    /// The instant of a moment; a day without a time begins at the region's midnight.
    fn instant(&self, moment: Moment) -> DateTime<FixedOffset> {
        moment.instant.unwrap_or_else(|| {
            let zone = self.state.configuration.zone();
            let midnight =
                DateTime::from_timestamp_micros(start_of_day(moment.day, zone)).unwrap_or_default();
            let local = midnight.with_timezone(&zone);
            midnight.with_timezone(&local.offset().fix())
        })
    }
}

/// Standing records of today in the order of their days: the last word on a thing comes last.
fn standing(state: &RoomState) -> impl Iterator<Item = (&Envelope, &Body)> {
    state
        .standing
        .iter()
        .filter_map(|one| told(one))
        .filter(|(frame, _)| frame.event_date.day() <= state.today)
}

fn is_of(frame: &Envelope, party: &Party) -> bool {
    frame.author_id == party.party_id
        && frame.centre_id.as_ref().is_none_or(|centre| *centre == party.party_id)
}

/// Whether an animal or lot is case property today, as its records say.
pub(super) fn bound(state: &RoomState, organism: Option<&str>, lot: Option<&str>) -> Known {
    let mut bound = Known::Unknown;
    for one in state.standing.iter() {
        let Some((frame, Body::Custody(custody))) = told(one) else { continue };
        let same = |id: Option<&str>, of: Option<&str>| id.is_some() && id == of;
        if same(organism, frame.organism_id.as_ref().map(|id| id.as_str()))
            || same(lot, frame.lot_id.as_ref().map(|id| id.as_str()))
        {
            bound = if custody.event == CustodyEvent::Lifted { Known::No } else { Known::Yes };
        }
    }
    bound
}

pub(super) fn told(one: &Effective) -> Option<(&Envelope, &Body)> {
    Some((&one.record.envelope, one.record.body.as_ref()?))
}

fn coming(name: &str, count: u32) -> Occupant {
    Occupant {
        organism_id: None,
        lot_id: None,
        reservation_id: None,
        scientific_name: name.to_owned(),
        individual_count: count,
        length: None,
        sex: None,
        life_stage: None,
        batch_id: None,
    }
}

/// Counts animals among the arrivals of the day that are still to come.
fn due(view: &mut RegionView, centre: &str, count: u32) {
    if let Some(centre) = view.centres.iter_mut().find(|one| one.centre_id == centre) {
        centre.due_today = centre.due_today.saturating_add(count);
    }
}

fn put(view: &mut RegionView, centre: &str, unit: Option<&str>, occupant: Occupant, reserved: bool) {
    if occupant.individual_count == 0 {
        return;
    }
    let named =
        view.units.iter_mut().find(|one| one.centre_id == centre && Some(one.unit_id.as_str()) == unit);
    match (named, reserved) {
        (Some(unit), true) => unit.reserved.push(occupant),
        (Some(unit), false) => unit.expected.push(occupant),
        (None, _) => {
            if let Some(centre) = view.centres.iter_mut().find(|one| one.centre_id == centre) {
                centre.unhoused.push(occupant);
            }
        }
    }
}
