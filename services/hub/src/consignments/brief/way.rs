//! Where from, where to, and when.

use std::collections::BTreeSet;

use haulout_placement::{JourneyBasis, journey_minutes};
use haulout_schemas::profile::Profile;
use haulout_welfare::transport::distance::Position;

use super::super::told::place;
use super::air::Air;
use super::hour::{Question, timed};
use super::{Bar, Departure, End, Making, moment};
use crate::reservations::alarms::words;

impl Making<'_> {
    pub(super) fn from(&self) -> End {
        let dispatched = self.told.dispatches().find_map(|(frame, _)| place(frame).map(ToString::to_string));
        let asked =
            self.kept.iter().find_map(|one| one.now.reservation.from_id.as_ref().map(ToString::to_string));
        if let Some(id) = dispatched.or(asked) {
            return self.end(&id);
        }
        let wild = self.requests.first().map(|request| &request.from);
        End {
            name: "The wild".to_owned(),
            latitude: wild.and_then(|from| from.latitude),
            longitude: wild.and_then(|from| from.longitude),
            ..End::default()
        }
    }

    pub(super) fn to(&self) -> End {
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

    /// Minutes from loading to unloading and where they come from, or why they are not known.
    pub(super) fn minutes(&self) -> Result<(u32, &'static str), &'static str> {
        let (from, to) = (self.from().place_id, self.to().place_id);
        let to = to.ok_or("nobody has said where to")?;
        let known = self.requests.first().map(|request| {
            let configuration = &self.state.configuration;
            journey_minutes(
                self.view,
                request,
                &configuration.profiles,
                &configuration.names,
                self.now(),
                &to,
            )
        });
        if let Some(Ok((minutes, basis))) = known {
            return Ok((
                minutes,
                match basis {
                    JourneyBasis::Stated => "as stated with the place",
                    JourneyBasis::Table => "by the region's table",
                    JourneyBasis::Geodesic => "by the straight line, the region's road factor and mean speed",
                },
            ));
        }
        let line = |from: &str, to: &str| {
            let lines = &self.region()?.travel_minutes;
            lines
                .iter()
                .find(|line| line.from_id.as_str() == from && line.to_id.as_str() == to)
                .map(|line| line.minutes)
        };
        let table = from.and_then(|from| line(&from, &to).or_else(|| line(&to, &from)));
        match (table, known) {
            (Some(minutes), _) => Ok((minutes, "by the region's table")),
            (None, Some(Err(why))) => Err(why),
            (None, _) => Err("the region's table has no such journey"),
        }
    }

    pub(super) fn departure(
        &self,
        load: &[&Profile],
        bars: &[Bar],
        air: &Air,
        minutes: Result<(u32, &'static str), &'static str>,
    ) -> Departure {
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
        let set_out = departed.or(dispatched);
        let here = position(&self.from());
        Departure {
            timed: timed(&Question {
                configuration,
                now: self.now(),
                today: self.state.today,
                place: here.or_else(|| position(&self.to())),
                place_is_arrival: here.is_none(),
                minutes: minutes.map(|(minutes, _)| minutes),
                load,
                bars,
                air,
                set_out: set_out.is_some(),
            }),
            set_out,
            expected: expected.or_else(|| by_dispatch.map(|at| moment(configuration, at))),
            minutes: minutes.ok().map(|(minutes, _)| minutes),
            minutes_from: minutes.ok().map(|(_, basis)| basis),
        }
    }
}

fn position(end: &End) -> Option<Position> {
    Position::new(end.latitude?, end.longitude?).ok()
}
