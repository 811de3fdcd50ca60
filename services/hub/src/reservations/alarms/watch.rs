//! Every alarm of a reservation, and of what is on the road without one.

use chrono::{DateTime, Days, FixedOffset};
use haulout_placement::view::RegionView;
use haulout_reckoning::{Effective, Micros};
use haulout_schemas::envelope::{Envelope, RecordRef};
use haulout_schemas::records::transfer::Dispatch;
use haulout_schemas::rule::Rule;
use haulout_schemas::{Body, Kind};
use haulout_store::clock::{instant_of, instant_text};
use haulout_store::{AsOf, Configuration, EffectiveFilter, ReservationNow, RoomState, Scope, Standing};
use std::collections::BTreeSet;
use std::sync::Arc;

use super::standstill::{InForce, Move, Says};
use super::{Alarm, counted, rules, standstill, words};
use crate::hub::Hub;
use crate::options::{instant, room};
use crate::web::Problem;

/// What alarms are worked out from, as it is at one moment.
pub struct Watch(Option<Seen>);

struct Seen {
    state: RoomState,
    view: Arc<RegionView>,
    at: DateTime<FixedOffset>,
    standstills: Vec<InForce>,
    /// Censuses of the centres with promised places, oldest first.
    censuses: Vec<Arc<Effective>>,
}

impl Watch {
    /// What is needed for these reservations: nothing, where none is promised.
    ///
    /// # Errors
    /// A problem where the database cannot be read.
    pub async fn over(hub: &Hub, reservations: &[ReservationNow]) -> Result<Self, Problem> {
        let speaks = |one: &ReservationNow| is_coming(one) || one.reservation.unconfirmed;
        if reservations.iter().any(speaks) { Self::whole(hub, reservations).await } else { Ok(Self(None)) }
    }

    /// The same, whatever there is.
    pub(super) async fn whole(hub: &Hub, reservations: &[ReservationNow]) -> Result<Self, Problem> {
        let state = room(hub).await?;
        let view = hub.views.of(&state);
        let centres: BTreeSet<String> = reservations
            .iter()
            .filter(|one| is_coming(one))
            .map(|one| one.reservation.centre_id.to_string())
            .collect();
        let days = rules::COUNTED.thresholds.first().map_or(0, |days| days.value.unsigned_abs());
        let censuses = if centres.is_empty() {
            Vec::new()
        } else {
            let filter = EffectiveFilter {
                places: centres.into_iter().collect(),
                kinds: vec![Kind::Census],
                from: state.today.checked_sub_days(Days::new(days)),
                key: None,
            };
            hub.store.effective(&Scope::Region, AsOf::NOW, &filter).await?
        };
        let (at, standstills) = (instant(&state)?, standstill::in_force(&state));
        Ok(Self(Some(Seen { state, view, at, standstills, censuses })))
    }

    /// The alarms of one reservation, the gravest first.
    pub fn alarms_of(&self, one: &ReservationNow) -> Vec<Alarm> {
        let Some(seen) = &self.0 else { return Vec::new() };
        let mut alarms = Vec::new();
        if is_coming(one) {
            alarms.extend(seen.forbidden(one));
            alarms.extend(seen.full(one));
        }
        if one.overdue {
            alarms.push(seen.overdue(one));
        }
        alarms.extend(seen.unconfirmed(one));
        alarms
    }

    /// Journeys under way for which no place is kept: standstills speak to them too.
    pub(super) fn on_the_road_unkept(&self, scope: &Scope) -> Vec<Alarm> {
        let Some(seen) = &self.0 else { return Vec::new() };
        let kept: BTreeSet<&str> = seen
            .state
            .reservations
            .iter()
            .filter_map(|one| one.reservation.consignment_id.as_ref())
            .map(|id| id.as_str())
            .collect();
        let kept_points = match scope {
            Scope::Party(party) => seen.state.configuration.points_kept_by(party),
            _ => Vec::new(),
        };
        let mut alarms = Vec::new();
        for one in seen.state.journey_records.iter() {
            let frame = &one.record.envelope;
            let Some(Body::Dispatch(dispatch)) = &one.record.body else { continue };
            let left = frame.centre_id.as_ref().or(frame.point_id.as_ref());
            let (Some(to), Some(from)) = (&dispatch.destination_id, left) else { continue };
            let seen_by = |place: &str| scope.sees_party(place) || kept_points.iter().any(|p| p == place);
            if kept.contains(dispatch.consignment_id.as_str())
                || !(seen_by(to.as_str()) || seen_by(from.as_str()))
            {
                continue;
            }
            alarms.extend(seen.forbidden_dispatch(frame, dispatch, from.as_str(), to.as_str()));
        }
        alarms
    }
}

/// Promised, or on the road.
fn is_coming(one: &ReservationNow) -> bool {
    matches!(one.standing, Standing::Promised | Standing::UnderWay)
}

impl Seen {
    fn configuration(&self) -> &Configuration {
        &self.state.configuration
    }

    fn alarm(&self, rule: &'static Rule, one: &ReservationNow, sentence: String) -> Alarm {
        let reservation = &one.reservation;
        let places = reservation.from_id.iter().chain([&reservation.centre_id]);
        Alarm {
            code: rule.code,
            severity: rule.severity.as_str(),
            sentence,
            reservation_id: Some(reservation.reservation_id.clone()),
            consignment_id: reservation.consignment_id.as_ref().map(ToString::to_string),
            place_ids: places.map(ToString::to_string).collect(),
            since: None,
            records: Vec::new(),
        }
    }

    /// When a dispatch of the consignment says that it set out.
    fn dispatched(&self, consignment: &str) -> Option<Micros> {
        self.state.journey_records.iter().find_map(|one| match &one.record.body {
            Some(Body::Dispatch(dispatch)) if dispatch.consignment_id.as_str() == consignment => {
                let frame = &one.record.envelope;
                Some(words::instant_of_moment(self.configuration(), frame.event_date.start()))
            }
            _ => None,
        })
    }

    fn forbidden(&self, one: &ReservationNow) -> Vec<Alarm> {
        let reservation = &one.reservation;
        let member = |name: &str| reservation.request.get(name).and_then(serde_json::Value::as_str);
        let consignment = reservation.consignment_id.as_ref().map(|id| id.as_str());
        let departed = reservation.departed_at.as_deref().and_then(instant_of);
        let expected = reservation.expected_at.as_deref().and_then(instant_of);
        let moving = Move {
            from: reservation.from_id.as_ref().map(|from| from.as_str()),
            to: reservation.centre_id.as_str(),
            unit: reservation.unit_id.as_ref().map(|unit| unit.as_str()),
            scientific_name: reservation.scientific_name.as_str(),
            subject: member("organismID").or(member("lotID")),
            set_out: departed.or_else(|| consignment.and_then(|id| self.dispatched(id))),
            until: expected.map_or(self.state.now, |expected| expected.max(self.state.now)),
        };
        let what = format!("{} {}", reservation.individual_count, reservation.scientific_name);
        let stands = if one.standing == Standing::UnderWay { "are on the road" } else { "have a promise" };
        self.standstills
            .iter()
            .filter_map(|standstill| {
                let says = standstill.says(&moving, &self.view, self.configuration())?;
                let (rule, sentence) = self.said(standstill, says, &what, stands, &moving);
                let alarm = self.alarm(rule, one, sentence);
                Some(Alarm {
                    since: Some(instant_text(standstill.from)),
                    records: vec![standstill.record.clone()],
                    ..alarm
                })
            })
            .collect()
    }

    fn forbidden_dispatch(&self, frame: &Envelope, dispatch: &Dispatch, from: &str, to: &str) -> Vec<Alarm> {
        let set_out = words::instant_of_moment(self.configuration(), frame.event_date.start());
        let arrives = dispatch
            .expected_arrival
            .as_ref()
            .map_or(self.state.now, |at| words::instant_of_moment(self.configuration(), at.end()));
        let mut alarms: Vec<Alarm> = Vec::new();
        for line in &dispatch.lines {
            let animal = line.organism_id.as_ref().map(|id| id.as_str());
            let moving = Move {
                from: Some(from),
                to,
                unit: None,
                scientific_name: line.scientific_name.as_str(),
                subject: animal
                    .or(line.from_lot.as_ref().map(|id| id.as_str()))
                    .or(line.lot_id.as_ref().map(|id| id.as_str())),
                set_out: Some(set_out),
                until: arrives.max(self.state.now),
            };
            let what = format!("{} {}", line.individual_count, line.scientific_name);
            for standstill in &self.standstills {
                let Some(says) = standstill.says(&moving, &self.view, self.configuration()) else { continue };
                let (rule, sentence) = self.said(standstill, says, &what, "are on the road", &moving);
                alarms.push(Alarm {
                    code: rule.code,
                    severity: rule.severity.as_str(),
                    sentence,
                    reservation_id: None,
                    consignment_id: Some(dispatch.consignment_id.to_string()),
                    place_ids: vec![from.to_owned(), to.to_owned()],
                    since: Some(instant_text(standstill.from)),
                    records: vec![
                        standstill.record.clone(),
                        RecordRef { author_id: frame.author_id.clone(), record_id: frame.record_id.clone() },
                    ],
                });
            }
        }
        alarms
    }

    fn said(
        &self,
        standstill: &InForce,
        says: Says,
        what: &str,
        stands: &str,
        moving: &Move<'_>,
    ) -> (&'static Rule, String) {
        let configuration = self.configuration();
        let place = words::called(configuration, standstill.place_id.as_str());
        let from = words::at(configuration, standstill.from);
        let agent = standstill.step.agent.as_deref().unwrap_or("no agent stated");
        let number = &standstill.step.standstill_id;
        let unit = moving.unit.map_or_else(String::new, |unit| format!(", unit {unit}"));
        match says {
            Says::NotIn => (
                &rules::STANDSTILL,
                format!(
                    "Standstill {number} ({agent}), from {from}: nothing may go into {place}{unit}, and \
                     {what} {stands} there."
                ),
            ),
            Says::NotOut => (
                &rules::STANDSTILL,
                format!(
                    "Standstill {number} ({agent}), from {from}: nothing may leave {place}, and {what} {stands} from there."
                ),
            ),
            Says::Behind => (
                &rules::BEHIND,
                format!(
                    "{what} left {place} before standstill {number} ({agent}) began there, {from}: ask the \
                     vets of both ends before anything is unloaded."
                ),
            ),
        }
    }

    fn full(&self, one: &ReservationNow) -> Option<Alarm> {
        let full = counted::full(&self.view, &self.state, self.at, &self.censuses, one)?;
        let reservation = &one.reservation;
        let unit = reservation.unit_id.as_ref().map(|unit| unit.as_str()).unwrap_or_default();
        let centre = words::called(self.configuration(), reservation.centre_id.as_str());
        let promised =
            format!("{} {} are promised a place", reservation.individual_count, reservation.scientific_name);
        let left = format!("room for {} is left ({})", full.left, full.because);
        Some(match full.counted {
            Some((record, day, more)) => Alarm {
                records: vec![record],
                ..self.alarm(
                    &rules::COUNTED,
                    one,
                    format!("{centre} counted {more} more in {unit} on {day} than its books have: {left}, and {promised} there."),
                )
            },
            None => self.alarm(
                &rules::HOUSED,
                one,
                format!("{unit} of {centre} has filled meanwhile: {left}, and {promised} there."),
            ),
        })
    }

    fn overdue(&self, one: &ReservationNow) -> Alarm {
        let reservation = &one.reservation;
        let centre = words::called(self.configuration(), reservation.centre_id.as_str());
        let expected = reservation.expected_at.as_deref().unwrap_or_default();
        let dispatches = self.state.journey_records.iter().filter(|record| {
            matches!(&record.record.body, Some(Body::Dispatch(dispatch))
                if reservation.consignment_id.as_ref() == Some(&dispatch.consignment_id))
        });
        let records = dispatches
            .map(|one| &one.record.envelope)
            .map(|frame| RecordRef { author_id: frame.author_id.clone(), record_id: frame.record_id.clone() })
            .collect();
        let sentence = format!(
            "{} {} were expected at {centre} {}, and nobody has received them.",
            reservation.individual_count,
            reservation.scientific_name,
            words::at_text(self.configuration(), expected)
        );
        Alarm {
            since: reservation.expected_at.clone(),
            records,
            ..self.alarm(&rules::OVERDUE, one, sentence)
        }
    }

    /// The steps since the last confirmation that were recorded for the centre.
    fn unconfirmed(&self, one: &ReservationNow) -> Option<Alarm> {
        let reservation = &one.reservation;
        if !reservation.unconfirmed {
            return None;
        }
        let open = reservation.steps.iter().rev().take_while(|step| step.kind != "reservationConfirmed");
        let recorded: Vec<_> = open
            .filter(|step| matches!(step.kind.as_str(), "reservationPromised" | "reservationRefused"))
            .filter_map(|step| Some((step, step.on_behalf_of.as_ref()?)))
            .collect();
        let (first, told) = recorded.last()?;
        let centre = words::called(self.configuration(), reservation.centre_id.as_str());
        let did = if first.kind == "reservationRefused" { "Refused" } else { "Promised" };
        let sentence = format!(
            "{did} for {centre} on the word of {} ({}), recorded {}; {centre} has not confirmed it.",
            told.office,
            told.channel,
            words::at_text(self.configuration(), &first.known_from)
        );
        Some(Alarm {
            since: Some(first.known_from.clone()),
            ..self.alarm(&rules::UNCONFIRMED, one, sentence)
        })
    }
}
