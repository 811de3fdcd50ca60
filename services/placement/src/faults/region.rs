//! Faults of the region: values that cannot be, and statements that contradict each other.

use std::collections::HashMap;

use super::{DEEPEST_M, Found, LARGEST_M2, LONGEST_JOURNEY, LONGEST_TOTAL_M, is_place};
use crate::view::{Occupant, RegionView, Unit};

pub(super) fn look_at(view: &RegionView, found: &mut Found) {
    centres(view, found);
    units(view, found);
    in_two_places(view, found);
    for (at, point) in view.points.iter().enumerate() {
        found.position(&format!("/points/{at}"), point.latitude, point.longitude);
    }
    let places = view.centres.iter().map(|centre| centre.centre_id.as_str());
    let points = view.points.iter().map(|point| point.point_id.as_str());
    let centres = view.centres.len();
    found.twice(places.chain(points), |at| {
        if at < centres {
            format!("/centres/{at}/centreID")
        } else {
            format!("/points/{}/pointID", at - centres)
        }
    });
    roads(view, found);
    for (at, standstill) in view.standstills.iter().enumerate() {
        place(view, found, format!("/standstills/{at}/placeID"), &standstill.place_id);
        found.dates(format!("/standstills/{at}/until"), Some(standstill.from), standstill.until);
    }
    settings(view, found);
}

fn centres(view: &RegionView, found: &mut Found) {
    for (at, centre) in view.centres.iter().enumerate() {
        let base = format!("/centres/{at}");
        found.position(&base, centre.latitude, centre.longitude);
        for (line_at, line) in centre.licences.iter().enumerate() {
            if line.scope.is_empty() {
                found.add(
                    format!("{base}/licences/{line_at}/scope"),
                    "a licence line that covers nothing",
                    "name the species, genera, families or orders that may be kept",
                );
            }
        }
        occupants(found, &format!("{base}/unhoused"), &centre.unhoused);
    }
}

fn units(view: &RegionView, found: &mut Found) {
    let mut named = HashMap::new();
    for (at, unit) in view.units.iter().enumerate() {
        let base = format!("/units/{at}");
        if !view.centres.iter().any(|centre| centre.centre_id == unit.centre_id) {
            found.add(
                format!("{base}/centreID"),
                format!("{} is no centre of the file", unit.centre_id),
                "write the centre as in `centres`, or add it there",
            );
        }
        if let Some(first) = named.insert((&unit.centre_id, &unit.unit_id), at) {
            found.add(
                format!("{base}/unitID"),
                format!("{} of {} is written twice, first at /units/{first}", unit.unit_id, unit.centre_id),
                "give each unit its own identifier, or write a row of identical ones once with `units`",
            );
        }
        figures(unit, &base, found);
        for (list, occupied) in
            [("occupants", &unit.occupants), ("expected", &unit.expected), ("reserved", &unit.reserved)]
        {
            occupants(found, &format!("{base}/{list}"), occupied);
        }
    }
}

fn figures(unit: &Unit, base: &str, found: &mut Found) {
    if unit.units == 0 {
        found.add(
            format!("{base}/units"),
            "a row of no unit",
            "state how many there are, or leave the row out",
        );
    }
    if let Some(free) = unit.free_units.filter(|free| *free > unit.units) {
        found.add(
            format!("{base}/freeUnits"),
            format!("{free} of {} units stand empty", unit.units),
            "state at most as many as the row has",
        );
    }
    found.within(format!("{base}/landSquareMetre"), unit.land_square_metre, 0.0, LARGEST_M2, "land");
    found.within(format!("{base}/waterSquareMetre"), unit.water_square_metre, 0.0, LARGEST_M2, "water");
    found.within(format!("{base}/depthMetre"), unit.depth_metre, 0.0, DEEPEST_M, "depth");
    found.within(
        format!("{base}/longestSideMetre"),
        unit.longest_side_metre,
        0.01,
        LARGEST_M2,
        "longest side",
    );
    found.within(format!("{base}/lowestCelsius"), unit.lowest_celsius, -5.0, 60.0, "the lowest temperature");
    found.within(
        format!("{base}/highestCelsius"),
        unit.highest_celsius,
        -5.0,
        60.0,
        "the highest temperature",
    );
    let limit = unit.length_limit.map(|limit| limit.metre);
    found.within(format!("{base}/lengthLimit/metre"), limit, 0.01, LONGEST_TOTAL_M, "a limit of length");
    if let (Some(lowest), Some(highest)) = (unit.lowest_celsius, unit.highest_celsius)
        && lowest > highest
    {
        found.add(
            format!("{base}/lowestCelsius"),
            format!("the lowest temperature, {lowest}, is above the highest, {highest}"),
            "state the lower one as the lowest",
        );
    }
}

fn occupants(found: &mut Found, base: &str, occupants: &[Occupant]) {
    for (at, one) in occupants.iter().enumerate() {
        let pointer = format!("{base}/{at}");
        found.count(format!("{pointer}/individualCount"), one.individual_count);
        found.length(&format!("{pointer}/length"), one.length.as_ref());
        if one.organism_id.is_some() && one.individual_count > 1 {
            found.add(
                format!("{pointer}/individualCount"),
                format!("one animal that counts as {}", one.individual_count),
                "write a lot with `lotID`, or the animal alone",
            );
        }
    }
}

/// One animal stands in one place only.
fn in_two_places(view: &RegionView, found: &mut Found) {
    let mut seen = HashMap::new();
    let housed = view.units.iter().enumerate().flat_map(|(unit, one)| {
        one.occupants
            .iter()
            .enumerate()
            .map(move |(at, occupant)| (format!("/units/{unit}/occupants/{at}"), occupant))
    });
    let unhoused = view.centres.iter().enumerate().flat_map(|(centre, one)| {
        one.unhoused
            .iter()
            .enumerate()
            .map(move |(at, occupant)| (format!("/centres/{centre}/unhoused/{at}"), occupant))
    });
    for (pointer, occupant) in housed.chain(unhoused) {
        let Some(id) = &occupant.organism_id else { continue };
        if let Some(first) = seen.get(id) {
            found.add(
                format!("{pointer}/organismID"),
                format!("{id} stands at {first} too"),
                "leave it where it was counted last",
            );
        } else {
            seen.insert(id, pointer);
        }
    }
}

fn roads(view: &RegionView, found: &mut Found) {
    found.within("/roads/roadFactor".to_owned(), view.roads.road_factor, 1.0, 10.0, "the road factor");
    found.within("/roads/speedKmh".to_owned(), view.roads.speed_kmh, 1.0, 150.0, "the mean speed");
    let mut lines = HashMap::new();
    for (at, line) in view.roads.travel.iter().enumerate() {
        let base = format!("/roads/travel/{at}");
        if line.from == line.to {
            found.add(&base, format!("a journey from {} to itself", line.from), "leave the line out");
        }
        if line.minutes > LONGEST_JOURNEY {
            found.add(
                format!("{base}/minutes"),
                format!("{} minutes on the road are more than a week", line.minutes),
                "state minutes, not seconds",
            );
        }
        if let Some((first, minutes)) = lines.get(&(&line.from, &line.to)) {
            if *minutes != line.minutes {
                found.add(
                    format!("{base}/minutes"),
                    format!(
                        "{} minutes here and {minutes} at /roads/travel/{first} for the same way",
                        line.minutes
                    ),
                    "keep one of the lines",
                );
            }
        } else {
            lines.insert((&line.from, &line.to), (at, line.minutes));
        }
    }
    for (at, closure) in view.roads.closures.iter().enumerate() {
        let base = format!("/roads/closures/{at}");
        ends(view, found, &base, &closure.place_id, closure.other_place_id.as_ref());
        found.dates(format!("{base}/until"), Some(closure.from), closure.until);
    }
    for (at, ban) in view.roads.night_bans.iter().enumerate() {
        let base = format!("/roads/nightBans/{at}");
        ends(view, found, &base, &ban.place_id, ban.other_place_id.as_ref());
        found.dates(format!("{base}/until"), ban.from, ban.until);
    }
    for (at, ferry) in view.roads.ferries.iter().enumerate() {
        ends(view, found, &format!("/roads/ferries/{at}"), &ferry.place_id, ferry.other_place_id.as_ref());
    }
}

fn ends(view: &RegionView, found: &mut Found, base: &str, one: &str, other: Option<&String>) {
    place(view, found, format!("{base}/placeID"), one);
    if let Some(other) = other {
        place(view, found, format!("{base}/otherPlaceID"), other);
    }
}

fn place(view: &RegionView, found: &mut Found, pointer: String, id: &str) {
    if !is_place(view, id) {
        found.add(
            pointer,
            format!("{id} is no place that the file holds"),
            "write the identifier as in `centres`, `points` or `roads`, or add the place there",
        );
    }
}

fn settings(view: &RegionView, found: &mut Found) {
    let settings = &view.settings;
    for (list, months) in [("coolMonths", &settings.cool_months), ("dryMonths", &settings.dry_months)] {
        for (at, month) in months.iter().enumerate().filter(|(_, month)| !(1..=12).contains(*month)) {
            found.add(
                format!("/settings/{list}/{at}"),
                format!("month {month}"),
                "write months from 1 to 12",
            );
        }
    }
    let shares = settings.space_shares;
    for (stay, share) in [
        ("stabilise", shares.stabilise),
        ("quarantine", shares.quarantine),
        ("long", shares.long),
        ("lifelong", shares.lifelong),
    ] {
        found.within(
            format!("/settings/spaceShares/{stay}"),
            Some(share),
            0.01,
            10.0,
            "a share of the space",
        );
    }
    if settings.egg_celsius.low > settings.egg_celsius.high {
        found.add(
            "/settings/eggCelsius",
            "the lower end is above the upper one",
            "state the lower one as `low`",
        );
    }
}
