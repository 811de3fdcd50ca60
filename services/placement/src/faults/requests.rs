//! Faults of one request.

use std::collections::BTreeMap;

use haulout_schemas::pointer::token;

use super::{Found, LONGEST_JOURNEY, is_place, nearest_beyond};
use crate::request::Request;
use crate::rules::{PlacementRule, Standing};
use crate::view::RegionView;

pub(super) fn look_at(request: &Request, view: &RegionView, base: &str, found: &mut Found) {
    found.count(format!("{base}/individualCount"), request.individual_count);
    found.length(&format!("{base}/length"), request.length.as_ref());
    if request.scientific_name.trim().is_empty() {
        found.add(
            format!("{base}/scientificName"),
            "no name is written",
            "write the species, or the genus, family or order that is certain",
        );
    }
    origin(request, view, &format!("{base}/from"), found);
    look_at_minutes(&request.minutes, view, &format!("{base}/minutes"), found);
    if let Some(place) = request.team.as_ref().and_then(|team| team.place_id.as_ref())
        && !view.centres.iter().any(|centre| centre.centre_id == *place)
    {
        unknown(found, format!("{base}/team/placeID"), place);
    }
    for (at, stop) in request.stops.iter().enumerate() {
        if !is_place(view, &stop.place_id) {
            unknown(found, format!("{base}/stops/{at}/placeID"), &stop.place_id);
        }
    }
    found.dates(format!("{base}/stayUntil"), request.earliest_departure, request.stay_until);
    waivers(request, view, base, found);
}

fn origin(request: &Request, view: &RegionView, pointer: &str, found: &mut Found) {
    let from = &request.from;
    match (from.latitude, from.longitude) {
        (Some(latitude), Some(longitude)) => {
            if !found.position(pointer, latitude, longitude) {
                return;
            }
            let most = view.settings.farthest_kilometre;
            if let Some(nearest) = nearest_beyond(view, latitude, longitude, f64::from(most)) {
                found.add(
                    pointer,
                    format!(
                        "the position lies {} km from the nearest place of the region, {most} km may be: in the sea, \
                         or outside the region",
                        nearest.round()
                    ),
                    "look whether latitude and longitude, or their signs, changed places",
                );
            }
        }
        (None, None) => {
            // Whoever states the minutes need not say how they come about.
            let place = from.place_id.as_ref().filter(|_| request.minutes.is_empty());
            if let Some(place) = place.filter(|place| !is_place(view, place)) {
                unknown(found, format!("{pointer}/placeID"), place);
            }
        }
        _ => found.add(
            pointer,
            "of latitude and longitude one is missing",
            "state both, or name a place of the region",
        ),
    }
}

fn waivers(request: &Request, view: &RegionView, base: &str, found: &mut Found) {
    for (at, waiver) in request.waivers.iter().enumerate() {
        let pointer = format!("{base}/waivers/{at}");
        match PlacementRule::of(&waiver.rule) {
            None => found.add(
                format!("{pointer}/rule"),
                format!("no rule of placement is called {}", waiver.rule),
                "name the code of a rule, such as `room`",
            ),
            Some(rule) if rule.standing != Standing::Waivable => found.add(
                format!("{pointer}/rule"),
                format!("no order may set {} aside", waiver.rule),
                "leave the waiver out; change what the rule asks for",
            ),
            Some(_) => {}
        }
        for (party_at, party) in waiver.party_ids.iter().enumerate() {
            if !view.centres.iter().any(|centre| centre.centre_id == *party) {
                unknown(found, format!("{pointer}/partyIDs/{party_at}"), party);
            }
        }
    }
}

/// Minutes by centre.
pub(super) fn look_at_minutes(
    minutes: &BTreeMap<String, u32>,
    view: &RegionView,
    base: &str,
    found: &mut Found,
) {
    for (centre, minutes) in minutes {
        let pointer = format!("{base}/{}", token(centre));
        if !view.centres.iter().any(|one| one.centre_id == *centre) {
            unknown(found, pointer, centre);
        } else if *minutes > LONGEST_JOURNEY {
            found.add(
                pointer,
                format!("{minutes} minutes on the road are more than a week"),
                "state minutes, not seconds",
            );
        }
    }
}

pub(super) fn unknown(found: &mut Found, pointer: String, place: &str) {
    found.add(
        pointer,
        format!("{place} is no place that the file holds"),
        "write the identifier as in `centres`, `points` or `roads`, or add the place there",
    );
}
