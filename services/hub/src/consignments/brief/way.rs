//! Where from, where to, and when.

use std::collections::BTreeSet;

use super::super::told::place;
use super::{Departure, End, Making, NOT_COMPUTED, moment};
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

    pub(super) fn departure(&self) -> Departure {
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
}
