//! Standstills against what is promised and what is on the road, all of it at once.

use haulout_placement::view::RegionView;
use haulout_reckoning::Micros;
use haulout_schemas::envelope::{Envelope, RecordRef};
use haulout_schemas::records::standing::{Biosecurity, BiosecurityEvent, StandstillScope};
use haulout_schemas::text::PartyId;
use haulout_schemas::vocabulary::Direction;
use haulout_schemas::{Body, Kind};
use haulout_store::{Configuration, RoomState};
use std::collections::BTreeMap;

use super::words;

/// A standstill that was declared and not lifted.
#[derive(Debug)]
pub struct InForce {
    /// The centre or point that it binds.
    pub place_id: PartyId,
    /// Its last step.
    pub step: Biosecurity,
    /// The record of it.
    pub record: RecordRef,
    /// From when it binds.
    pub from: Micros,
}

/// Animals that are to move, or are moving.
#[derive(Debug)]
pub struct Move<'a> {
    /// Where from; `None` from the wild.
    pub from: Option<&'a str>,
    /// Where to.
    pub to: &'a str,
    /// Into which unit, where it was named.
    pub unit: Option<&'a str>,
    /// Species, or what is known of it.
    pub scientific_name: &'a str,
    /// The animal or lot, where it is known.
    pub subject: Option<&'a str>,
    /// When they set out, where they have.
    pub set_out: Option<Micros>,
    /// When they arrive, or the hub's time where that is later or nobody said.
    pub until: Micros,
}

/// What a standstill says to a move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Says {
    /// Nothing may go in there.
    NotIn,
    /// Nothing may leave there.
    NotOut,
    /// They had left before it began.
    Behind,
}

/// Standstills in force or announced: the last step of each, unless that lifted it.
pub fn in_force(state: &RoomState) -> Vec<InForce> {
    let mut last: BTreeMap<(&str, &str), (&Envelope, &Biosecurity)> = BTreeMap::new();
    let steps = state.standing.of(Kind::Biosecurity);
    for one in &steps {
        let frame = &one.record.envelope;
        let place = frame.centre_id.as_ref().or(frame.point_id.as_ref());
        if let (Some(Body::Biosecurity(step)), Some(place)) = (&one.record.body, place)
            && frame.event_date.day() <= state.today
        {
            last.insert((place.as_str(), step.standstill_id.as_str()), (frame, step));
        }
    }
    last.into_iter()
        .filter(|(_, (_, step))| step.event != BiosecurityEvent::Lifted)
        .map(|((place, _), (frame, step))| InForce {
            place_id: PartyId::from(place),
            step: step.clone(),
            record: RecordRef { author_id: frame.author_id.clone(), record_id: frame.record_id.clone() },
            from: words::instant_of_moment(
                &state.configuration,
                step.effective_from.as_ref().unwrap_or(&frame.event_date).start(),
            ),
        })
        .collect()
}

impl InForce {
    /// What it says to a move; `None` where it does not concern it. What cannot be told apart is
    /// taken to be concerned.
    pub fn says(&self, moving: &Move<'_>, view: &RegionView, configuration: &Configuration) -> Option<Says> {
        if self.from > moving.until || !self.concerns(moving.scientific_name, configuration) {
            return None;
        }
        let direction = self.step.direction.unwrap_or(Direction::Both);
        if self.place_id.as_str() == moving.to
            && direction != Direction::Out
            && self.reaches(moving.unit.into_iter(), view)
        {
            return Some(Says::NotIn);
        }
        let origin = moving.from.filter(|from| *from == self.place_id.as_str())?;
        if direction == Direction::In || !self.reaches(stands_in(view, origin, moving.subject), view) {
            return None;
        }
        match moving.set_out {
            Some(set_out) if set_out < self.from => Some(Says::Behind),
            _ => Some(Says::NotOut),
        }
    }

    /// Whether it reaches one of these units, or nobody knows which unit it is.
    fn reaches<'u>(&self, units: impl Iterator<Item = &'u str>, view: &RegionView) -> bool {
        let mut units = units.peekable();
        if units.peek().is_none() {
            return true;
        }
        match self.step.scope.unwrap_or(StandstillScope::Centre) {
            StandstillScope::Centre => true,
            StandstillScope::Unit => match &self.step.unit_id {
                Some(bound) => units.any(|unit| unit == bound.as_str()),
                None => true,
            },
            StandstillScope::WaterCircuit => match &self.step.water_circuit {
                Some(bound) => units.any(|unit| {
                    let known = view
                        .units
                        .iter()
                        .find(|one| one.centre_id == self.place_id.as_str() && one.unit_id == unit);
                    known.is_none_or(|known| known.water_circuit.as_deref() == Some(bound.as_str()))
                }),
                None => true,
            },
        }
    }

    /// Whether it is for such animals. A name that nobody knows may be any of them.
    fn concerns(&self, name: &str, configuration: &Configuration) -> bool {
        if self.step.taxa.is_empty() {
            return true;
        }
        let meant = configuration.names.members(name);
        meant.is_empty()
            || self.step.taxa.iter().any(|taxon| {
                taxon.as_str() == name
                    || configuration
                        .names
                        .members(taxon.as_str())
                        .iter()
                        .any(|member| meant.iter().any(|one| one.scientific_name == member.scientific_name))
            })
    }
}

/// The units of a place in which the animal or lot stands; none where nobody knows.
fn stands_in<'v>(
    view: &'v RegionView,
    place: &'v str,
    subject: Option<&'v str>,
) -> impl Iterator<Item = &'v str> {
    view.units
        .iter()
        .filter(move |unit| {
            unit.centre_id == place
                && subject.is_some()
                && unit
                    .occupants
                    .iter()
                    .any(|one| one.organism_id.as_deref() == subject || one.lot_id.as_deref() == subject)
        })
        .map(|unit| unit.unit_id.as_str())
}
