//! Places and times as a person reads them.

use chrono::DateTime;
use haulout_reckoning::Micros;
use haulout_schemas::event_date::Moment;
use haulout_store::Configuration;
use haulout_store::clock::{instant_of, start_of_day};

/// The name of a centre, point or office; its id where the region has none for it.
pub fn called<'a>(configuration: &'a Configuration, id: &'a str) -> &'a str {
    let region = configuration.region.as_ref();
    let party = region.and_then(|region| region.parties.iter().find(|party| party.party_id.as_str() == id));
    let point = region.and_then(|region| region.points.iter().find(|point| point.point_id.as_str() == id));
    party.map(|party| party.name.as_str()).or(point.map(|point| point.name.as_str())).unwrap_or(id)
}

/// `2 Jul 2026, 01:40` in the region's zone.
pub fn at(configuration: &Configuration, instant: Micros) -> String {
    match DateTime::from_timestamp_micros(instant) {
        Some(utc) => utc.with_timezone(&configuration.zone()).format("%-d %b %Y, %H:%M").to_string(),
        None => "an instant outside the calendar".to_owned(),
    }
}

/// The same of an RFC 3339 text.
pub fn at_text(configuration: &Configuration, text: &str) -> String {
    instant_of(text).map_or_else(|| text.to_owned(), |instant| at(configuration, instant))
}

/// The instant of a moment; a day without a time begins at the region's midnight.
pub fn instant_of_moment(configuration: &Configuration, moment: Moment) -> Micros {
    if let Some(instant) = moment.instant {
        return instant.timestamp_micros();
    }
    start_of_day(moment.day, configuration.zone())
}
