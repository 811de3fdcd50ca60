//! The road from where the animal is to a centre.
//!
//! Minutes come from the request where it states them, else from the region's
//! table, else from the geodesic distance (WGS 84, Karney's algorithm) times the
//! region's road factor over its mean speed. Without any of them there is no
//! journey, and the rule that needs one cannot be checked.

use chrono::{DateTime, FixedOffset, TimeDelta};
use geographiclib_rs::{Geodesic, InverseGeodesic};

use crate::answer::JourneyBasis;
use crate::request::Request;
use crate::view::{Centre, RegionView};

/// One journey.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Journey {
    pub minutes: u32,
    pub kilometres: Option<f64>,
    pub basis: JourneyBasis,
}

/// Why no journey can be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NoJourney {
    /// Neither a known place nor a position.
    PlaceUnknown,
    /// A position, but the region states no road factor or speed.
    RoadsUnknown,
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
        }
    }
}

/// The journey of a request to a centre.
pub(crate) fn journey(view: &RegionView, request: &Request, centre: &Centre) -> Result<Journey, NoJourney> {
    if let Some(&minutes) = request.minutes.get(&centre.centre_id) {
        return Ok(Journey { minutes, kilometres: None, basis: JourneyBasis::Stated });
    }
    let place = request.from.place_id.as_deref();
    if place == Some(centre.centre_id.as_str()) {
        return Ok(Journey { minutes: 0, kilometres: Some(0.0), basis: JourneyBasis::Table });
    }
    if let Some(line) = place.and_then(|place| table_line(view, place, &centre.centre_id)) {
        return Ok(Journey { minutes: line.0, kilometres: line.1, basis: JourneyBasis::Table });
    }
    let (latitude, longitude) = position(view, request).ok_or(NoJourney::PlaceUnknown)?;
    let usable = |figure: Option<f64>| figure.filter(|figure| figure.is_finite() && *figure > 0.0);
    let factor = usable(view.roads.road_factor).ok_or(NoJourney::RoadsUnknown)?;
    let speed = usable(view.roads.speed_kmh).ok_or(NoJourney::RoadsUnknown)?;
    let metres: f64 = Geodesic::wgs84().inverse(latitude, longitude, centre.latitude, centre.longitude);
    if !metres.is_finite() {
        return Err(NoJourney::PlaceUnknown);
    }
    let kilometres = metres * factor / 1000.0;
    Ok(Journey {
        minutes: whole_minutes(kilometres / speed * 60.0),
        kilometres: Some((kilometres * 10.0).round() / 10.0),
        basis: JourneyBasis::Geodesic,
    })
}

/// The line of the table, its own way first.
fn table_line(view: &RegionView, from: &str, to: &str) -> Option<(u32, Option<f64>)> {
    let line = |from: &str, to: &str| {
        view.roads
            .travel
            .iter()
            .find(|line| line.from == from && line.to == to)
            .map(|line| (line.minutes, line.kilometres))
    };
    line(from, to).or_else(|| line(to, from))
}

fn position(view: &RegionView, request: &Request) -> Option<(f64, f64)> {
    if let (Some(latitude), Some(longitude)) = (request.from.latitude, request.from.longitude) {
        return Some((latitude, longitude));
    }
    let place = request.from.place_id.as_deref()?;
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

/// From setting out to arriving, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Window {
    pub departure: DateTime<FixedOffset>,
    pub arrival: DateTime<FixedOffset>,
}

impl Window {
    /// The window of a journey asked for at `at`; without a known journey, the departure alone.
    pub fn of(request: &Request, journey: Option<&Journey>, at: DateTime<FixedOffset>) -> Self {
        let departure =
            request.earliest_departure.map_or(at, |earliest| earliest.max(at)).with_timezone(at.offset());
        let minutes = journey.map_or(0, |journey| journey.minutes);
        let arrival =
            departure.checked_add_signed(TimeDelta::minutes(i64::from(minutes))).unwrap_or(departure);
        Self { departure, arrival }
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
