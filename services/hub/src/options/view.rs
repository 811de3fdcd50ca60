//! The region as it stands, made from the records that count and the reservations that are open.
//!
//! What nobody stated stays unknown: the rules then answer "cannot be checked".

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime, Offset};
use haulout_placement::view::{Closure, Ferry, NightBan, Point, RegionView, Roads, Standstill, TravelLine};
use haulout_placement::{Index, Span};
use haulout_reckoning::region::{Party, Role};
use haulout_reckoning::{Effective, Region};
use haulout_schemas::envelope::Envelope;
use haulout_schemas::event_date::Moment;
use haulout_schemas::records::keeping::CustodyEvent;
use haulout_schemas::records::standing::{
    BiosecurityEvent, Readiness, ReadinessEvent, RouteStatus, StandstillScope,
};
use haulout_schemas::text::PartyId;
use haulout_schemas::vocabulary::{Direction, Known};
use haulout_schemas::{Body, Kind};
use haulout_store::clock::start_of_day;
use haulout_store::{Configuration, RoomState};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::centre::{Made, Part, Sources};
use super::coming::coming;

/// The region's view, centre by centre: where the region has moved on, the parts that nothing changed
/// stand, so that a night posted by one centre is one part to make.
#[derive(Debug, Default)]
pub struct Assembled {
    /// The day and the region file that the parts were made under.
    under: Option<(NaiveDate, i64)>,
    /// In the sequence of the region's centres.
    parts: Vec<Placed>,
    seen: Seen,
}

/// A view and its index. Whoever still reads one keeps it as it was.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    /// The region.
    pub view: Arc<RegionView>,
    /// What questions about it need.
    pub index: Arc<Index>,
}

/// A part, with how much of the view is its own.
#[derive(Debug)]
struct Placed {
    part: Part,
    centres: usize,
    units: usize,
}

impl Assembled {
    /// The region as it was last moved on to.
    pub fn seen(&self) -> Seen {
        self.seen.clone()
    }

    /// Moves on to the region as its records tell it at the moment of `state`.
    pub fn move_on(&mut self, state: &RoomState) {
        let Some(region) = &state.configuration.region else {
            *self = Self::default();
            return;
        };
        let under = Some((state.today, state.configuration.sequence));
        if self.under != under {
            *self = Self { under, seen: around(state, region), ..Self::default() };
        }
        let coming = coming(state);
        let authorities = authorities(region);
        let parties: Vec<&Party> = region.centres().collect();
        let made: Vec<(usize, Made)> = parties
            .into_par_iter()
            .enumerate()
            .filter_map(|(at, party)| {
                let coming = coming.get(party.party_id.as_str());
                let sources = Sources::of(state, party, &authorities, coming);
                let before = self.parts.get(at).map(|placed| &placed.part);
                let stands = before.is_some_and(|part| part.stands(&sources));
                (!stands).then(|| (at, Part::made(state, party, sources, before)))
            })
            .collect();
        let (night_bans, closures) = closed(state, region);
        let standstills = standstills(state);
        let Seen { view, index } = &mut self.seen;
        let roads = &view.roads;
        if made.is_empty()
            && (&roads.night_bans, &roads.closures, &view.standstills)
                == (&night_bans, &closures, &standstills)
        {
            return;
        }
        // Who still reads the last view keeps it; otherwise it is changed where it stands.
        let view = Arc::make_mut(view);
        (view.roads.night_bans, view.roads.closures, view.standstills) = (night_bans, closures, standstills);
        put(view, Arc::make_mut(index), &mut self.parts, made, &state.configuration);
    }
}

/// What of a region its file alone tells.
fn around(state: &RoomState, region: &Region) -> Seen {
    let view = RegionView { points: points(region), roads: roads(region), ..RegionView::default() };
    let index = Index::of(&view, &state.configuration.profiles, &state.configuration.names);
    Seen { view: Arc::new(view), index: Arc::new(index) }
}

/// Puts parts in the place of those before them, in their sequence.
fn put(
    view: &mut RegionView,
    index: &mut Index,
    parts: &mut Vec<Placed>,
    made: Vec<(usize, Made)>,
    configuration: &Configuration,
) {
    let (mut centres, mut units, mut passed) = (0, 0, 0);
    for (at, Made { part, centre, units: own }) in made {
        for placed in parts.iter().take(at).skip(passed) {
            centres += placed.centres;
            units += placed.units;
        }
        passed = at;
        let placed = Placed { part, centres: centre.iter().count(), units: own.len() };
        let (old_centres, old_units) = parts.get(at).map_or((0, 0), |old| (old.centres, old.units));
        let span = Span { centres: centres..centres + old_centres, units: units..units + old_units };
        index.put(view, span, (centre, own), &configuration.profiles, &configuration.names);
        match parts.get_mut(at) {
            Some(old) => *old = placed,
            None => parts.push(placed),
        }
    }
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

/// Only the authority's own version of a licence counts.
fn authorities(region: &Region) -> Vec<&PartyId> {
    let parties = region.parties.iter().filter(|party| party.role == Role::Authority);
    let mut authorities: Vec<&PartyId> = parties.map(|party| &party.party_id).collect();
    authorities.sort();
    authorities
}

fn points(region: &Region) -> Vec<Point> {
    let points = region.points.iter().map(|point| Point {
        point_id: point.point_id.to_string(),
        latitude: point.latitude,
        longitude: point.longitude,
    });
    points.collect()
}

fn standstills(state: &RoomState) -> Vec<Standstill> {
    let steps = state.standing.of(Kind::Biosecurity);
    let mut newest = BTreeMap::new();
    for (frame, body) in today(state, &steps) {
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
                from: instant_of(state, step.effective_from.as_ref().unwrap_or(&frame.event_date).start()),
                until: None,
            }
        })
        .collect()
}

fn roads(region: &Region) -> Roads {
    let travel = region.travel_minutes.iter().map(|line| TravelLine {
        from: line.from_id.to_string(),
        to: line.to_id.to_string(),
        minutes: line.minutes,
        kilometres: None,
    });
    let ferries = region.ferries.iter().map(|ferry| Ferry {
        place_id: ferry.from_id.to_string(),
        other_place_id: ferry.to_id.as_ref().map(ToString::to_string),
        minutes_to_landing: ferry.minutes_to_landing,
        first_crossing: ferry.first_crossing,
        last_crossing: ferry.last_crossing,
        wait_minutes: ferry.wait_minutes,
    });
    Roads {
        travel: travel.collect(),
        road_factor: region.road_factor,
        speed_kmh: region.speed_kilometre_per_hour,
        ferries: ferries.collect(),
        ..Roads::default()
    }
}

/// Roads that are closed, at night or altogether, as the coordination told last.
fn closed(state: &RoomState, region: &Region) -> (Vec<NightBan>, Vec<Closure>) {
    let coordination = region.parties.iter().filter(|party| party.role == Role::Coordination);
    let told = state.standing.by_any(Kind::Readiness, coordination.map(|party| &party.party_id));
    let mut newest = BTreeMap::new();
    for (frame, body) in today(state, &told) {
        if let Body::Readiness(Readiness { event: ReadinessEvent::Route, route: Some(route), .. }) = body {
            newest.insert((route.from_id.as_str(), route.to_id.as_str()), (frame, route));
        }
    }
    let (mut at_night, mut altogether) = (Vec::new(), Vec::new());
    for ((from, to), (frame, route)) in newest {
        let (place_id, other_place_id) = (from.to_owned(), Some(to.to_owned()));
        let since = instant_of(state, frame.event_date.start());
        let until = route.until.as_ref().map(|until| instant_of(state, until.end()));
        let reason = route.reason.clone();
        match route.status {
            RouteStatus::ClosedAtNight => at_night.push(NightBan {
                place_id,
                other_place_id,
                // The record tells no hours: six to six (common practice).
                begins: EVENING,
                ends: MORNING,
                from: Some(since),
                until,
                reason,
            }),
            RouteStatus::Closed => {
                altogether.push(Closure { place_id, other_place_id, from: since, until, reason });
            }
            RouteStatus::Open => {}
        }
    }
    (at_night, altogether)
}

/// The instant of a moment; a day without a time begins at the region's midnight.
pub(super) fn instant_of(state: &RoomState, moment: Moment) -> DateTime<FixedOffset> {
    moment.instant.unwrap_or_else(|| {
        let zone = state.configuration.zone();
        let midnight = DateTime::from_timestamp_micros(start_of_day(moment.day, zone)).unwrap_or_default();
        let local = midnight.with_timezone(&zone);
        midnight.with_timezone(&local.offset().fix())
    })
}

/// Records of today in the order of their days: the last word on a thing comes last.
pub(super) fn today<'a>(
    state: &RoomState,
    records: &'a [Arc<Effective>],
) -> impl DoubleEndedIterator<Item = (&'a Envelope, &'a Body)> + use<'a> {
    let today = state.today;
    records.iter().filter_map(|one| told(one)).filter(move |(frame, _)| frame.event_date.day() <= today)
}

/// Whether an animal or lot is case property today, as its records say.
pub(super) fn bound(state: &RoomState, organism: Option<&str>, lot: Option<&str>) -> Known {
    let mut bound = Known::Unknown;
    if organism.is_none() && lot.is_none() {
        return bound;
    }
    for one in &state.standing.of(Kind::Custody) {
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
