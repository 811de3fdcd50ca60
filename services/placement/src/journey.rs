//! The road from where the animal is to a centre.
//!
//! Minutes come from the request where it states them, else from the region's
//! table, else from the geodesic distance (WGS 84, Karney's algorithm) times the
//! region's road factor over its mean speed. Without any of them there is no
//! journey, and the rule that needs one cannot be checked. Waiting at ferries
//! and earlier drops of the same vehicle come on top; the way of the team to the
//! animal and the catch come before.

use chrono::{DateTime, FixedOffset, TimeDelta};
use geographiclib_rs::{Geodesic, InverseGeodesic};

use crate::answer::JourneyBasis;
use crate::case::Asked;
use crate::request::{Origin, Team};
use crate::view::{Centre, Ferry, RegionView};

/// One journey.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Journey {
    /// From loading to unloading, whole minutes.
    pub minutes: u32,
    /// Of these, at the landings of ferries.
    pub waiting: u32,
    /// Of these, at earlier drops of the same vehicle.
    pub stops: u32,
    pub kilometres: Option<f64>,
    pub basis: JourneyBasis,
    /// Before loading: the team's way to the animal, and the catch.
    pub before: u32,
}

/// Why no journey can be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NoJourney {
    /// Neither a known place nor a position.
    PlaceUnknown,
    /// A position, but the region states no road factor or speed.
    RoadsUnknown,
    /// Nobody knows how long the team takes to the animal.
    NoWayOfTeam,
}

impl NoJourney {
    pub fn words(self) -> &'static str {
        match self {
            Self::PlaceUnknown => {
                "the place of the animal is neither a place with a known journey nor a position"
            }
            Self::RoadsUnknown => {
                "the table has no such journey, and the region states no road factor and speed"
            }
            Self::NoWayOfTeam => "nobody knows how long the team takes to the animal",
        }
    }
}

/// Minutes and kilometres of a way, and where they come from.
struct Way {
    minutes: u32,
    kilometres: Option<f64>,
    basis: JourneyBasis,
}

impl Journey {
    /// The journey of a request to a centre.
    pub fn of(asked: &Asked<'_>, centre: &Centre) -> Result<Self, NoJourney> {
        let request = asked.request;
        let way = match request.minutes.get(&centre.centre_id) {
            Some(&minutes) => Way { minutes, kilometres: None, basis: JourneyBasis::Stated },
            None => way(asked, centre)?,
        };
        // Minutes that somebody stated are from door to door.
        let waiting = if way.basis == JourneyBasis::Stated {
            0
        } else {
            crossings(asked, centre).fold(0, |sum: u32, (_, ferry, _)| sum.saturating_add(ferry.wait_minutes))
        };
        let stops = request
            .stops
            .iter()
            .take_while(|stop| stop.place_id != centre.centre_id)
            .fold(0, |sum: u32, stop| sum.saturating_add(stop.minutes));
        let before = match &request.team {
            Some(team) => minutes_out(asked, team, &way)?.saturating_add(team.capture_minutes),
            None => 0,
        };
        Ok(Self {
            minutes: way.minutes.saturating_add(waiting).saturating_add(stops),
            waiting,
            stops,
            kilometres: way.kilometres,
            basis: way.basis,
            before,
        })
    }
}

/// The team's way to the animal: stated, else from its place by the region's roads, else as long as
/// the way back to the centre that sends it.
fn minutes_out(asked: &Asked<'_>, team: &Team, back: &Way) -> Result<u32, NoJourney> {
    if let Some(minutes) = team.minutes_out {
        return Ok(minutes);
    }
    let Some(place) = &team.place_id else {
        return Ok(back.minutes);
    };
    if asked.request.from.place_id.as_ref() == Some(place) {
        return Ok(0);
    }
    let base = asked.view.centres.iter().find(|centre| centre.centre_id == *place);
    let base = base.ok_or(NoJourney::NoWayOfTeam)?;
    way(asked, base).map(|way| way.minutes).map_err(|_| NoJourney::NoWayOfTeam)
}

/// The way between the animal and a centre by the region's roads.
fn way(asked: &Asked<'_>, to: &Centre) -> Result<Way, NoJourney> {
    let view = asked.view;
    let place = asked.request.from.place_id.as_deref();
    if place == Some(to.centre_id.as_str()) {
        return Ok(Way { minutes: 0, kilometres: Some(0.0), basis: JourneyBasis::Table });
    }
    if let Some(line) = place.and_then(|place| table_line(asked, place, &to.centre_id)) {
        return Ok(Way { minutes: line.0, kilometres: line.1, basis: JourneyBasis::Table });
    }
    let (latitude, longitude) = asked.position.ok_or(NoJourney::PlaceUnknown)?;
    let usable = |figure: Option<f64>| figure.filter(|figure| figure.is_finite() && *figure > 0.0);
    let factor = usable(view.roads.road_factor).ok_or(NoJourney::RoadsUnknown)?;
    let speed = usable(view.roads.speed_kmh).ok_or(NoJourney::RoadsUnknown)?;
    let metres: f64 = Geodesic::wgs84().inverse(latitude, longitude, to.latitude, to.longitude);
    if !metres.is_finite() {
        return Err(NoJourney::PlaceUnknown);
    }
    let kilometres = metres * factor / 1000.0;
    Ok(Way {
        minutes: whole_minutes(kilometres / speed * 60.0),
        kilometres: Some((kilometres * 10.0).round() / 10.0),
        basis: JourneyBasis::Geodesic,
    })
}

/// The line of the table, its own way first.
fn table_line(asked: &Asked<'_>, from: &str, to: &str) -> Option<(u32, Option<f64>)> {
    let line = |from: &str, to: &str| {
        let line = match asked.lookup() {
            Some(lookup) => lookup.line(from, to),
            None => {
                let mut lines = asked.view.roads.travel.iter();
                lines.find(|line| line.from == from && line.to == to)
            }
        };
        line.map(|line| (line.minutes, line.kilometres))
    };
    line(from, to).or_else(|| line(to, from))
}

/// The ferries on the way to a centre: their positions, and whether the animal starts at the end
/// that the ferry's minutes are counted from.
pub(crate) fn crossings<'a>(
    asked: &'a Asked<'_>,
    centre: &'a Centre,
) -> impl Iterator<Item = (usize, &'a Ferry, bool)> {
    let origin = asked.request.from.place_id.as_deref();
    let here = centre.centre_id.as_str();
    asked.view.roads.ferries.iter().enumerate().filter_map(move |(at, ferry)| {
        if origin == Some(here) {
            return None;
        }
        let outward = Some(ferry.place_id.as_str()) == origin;
        let inward = ferry.place_id == here;
        let on_the_way = match ferry.other_place_id.as_deref() {
            None => outward || inward,
            Some(other) => (outward && other == here) || (inward && Some(other) == origin),
        };
        on_the_way.then_some((at, ferry, outward))
    })
}

/// Where an origin is, where it is a position or a place of the region.
pub(crate) fn position_of(view: &RegionView, from: &Origin) -> Option<(f64, f64)> {
    if let (Some(latitude), Some(longitude)) = (from.latitude, from.longitude) {
        return Some((latitude, longitude));
    }
    let place = from.place_id.as_deref()?;
    let centre = view.centres.iter().find(|centre| centre.centre_id == place);
    let point = view.points.iter().find(|point| point.point_id == place);
    centre
        .map(|centre| (centre.latitude, centre.longitude))
        .or_else(|| point.map(|point| (point.latitude, point.longitude)))
}

/// Whole minutes, rounded up: an animal is never on the road for less than was said.
fn whole_minutes(minutes: f64) -> u32 {
    let up = (minutes - 1e-9).ceil().clamp(0.0, f64::from(u32::MAX));
    // Clamped to the range just above, so the conversion keeps the value.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let whole = up as u32;
    whole
}

/// From loading to arriving, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Window {
    pub departure: DateTime<FixedOffset>,
    pub arrival: DateTime<FixedOffset>,
}

impl Window {
    /// The window of a journey asked for: the team goes out and catches first. Without a known
    /// journey, the departure alone.
    pub fn of(asked: &Asked<'_>, journey: Option<&Journey>) -> Self {
        let at = asked.at;
        let later = |from: DateTime<FixedOffset>, minutes: u32| {
            from.checked_add_signed(TimeDelta::minutes(i64::from(minutes))).unwrap_or(from)
        };
        let loaded = later(at, journey.map_or(0, |journey| journey.before));
        let departure = asked
            .request
            .earliest_departure
            .map_or(loaded, |earliest| earliest.max(loaded))
            .with_timezone(at.offset());
        Self { departure, arrival: later(departure, journey.map_or(0, |journey| journey.minutes)) }
    }

    /// True when something that holds from `from` until (not at) `until` touches the journey.
    pub fn meets(&self, from: DateTime<FixedOffset>, until: Option<DateTime<FixedOffset>>) -> bool {
        from <= self.arrival && until.is_none_or(|until| until > self.departure)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 267 529.3568 m between the two positions (GeographicLib), times 1.31.
    #[test]
    fn geodesic_times_factor_over_speed() {
        let metres: f64 = Geodesic::wgs84().inverse(26.5, 79.0, 27.9, 81.2);
        assert!((metres - 267_529.356_8).abs() < 1e-3, "{metres}");
        assert!((metres * 1.31 - 350_463.457).abs() < 1e-2);
    }

    #[test]
    fn minutes_round_up_and_stay_in_range() {
        assert_eq!(whole_minutes(59.0), 59);
        assert_eq!(whole_minutes(59.000_1), 60);
        assert_eq!(whole_minutes(f64::INFINITY), u32::MAX);
    }
}
