//! The way itself: how long an animal bears it, roads closed at night, ferries.

use chrono::{DateTime, Days, FixedOffset, NaiveTime, TimeDelta, Timelike};

use super::{set, take_out};
use crate::answer::{Change, Verdict};
use crate::case::AtCentre;
use crate::journey::crossings;
use crate::view::{Ferry, NightBan};
use crate::word::{Word, say};

/// The journey is no longer than an animal of its triage colour bears.
pub(super) fn bearable(here: &AtCentre<'_>) -> Word {
    if here.asked.eggs() {
        return Word::pass("eggs have hours of their own");
    }
    let triage = here.asked.request.triage;
    let hours = here.asked.view.settings.bearable_hours.of(triage);
    let Ok(journey) = &here.journey else {
        return Word::cannot_check("nobody knows how long the animal would be on the road");
    };
    let limit = hours.saturating_mul(60);
    let minutes = journey.minutes;
    let of_these = || match (journey.waiting, journey.stops) {
        (0, 0) => String::new(),
        (waiting, 0) => format!(", {waiting} of them at ferries"),
        (0, stops) => format!(", {stops} of them at other drops"),
        (waiting, stops) => format!(", {waiting} of them at ferries and {stops} at other drops"),
    };
    let word = if minutes <= limit {
        Word::pass(say!(
            here,
            "{minutes} minutes on the road{}; a {triage} animal bears {hours} hours",
            of_these()
        ))
    } else {
        Word::fail(say!(
            here,
            "{minutes} minutes on the road{}; a {triage} animal bears {hours} hours",
            of_these()
        ))
    };
    word.comparing("minutes on the road", Some(f64::from(minutes)), Some(f64::from(limit)), "min")
}

pub(super) fn mend_bearable(here: &AtCentre<'_>) -> Vec<Change> {
    let request = here.asked.request;
    in_time(here, here.asked.view.settings.bearable_hours.of(request.triage).saturating_mul(60))
}

/// A journey of so many minutes; no earlier drops where these alone are too long.
pub(super) fn in_time(here: &AtCentre<'_>, limit: u32) -> Vec<Change> {
    let request = here.asked.request;
    let stops = here.journey.as_ref().map_or(0, |journey| journey.stops);
    let mut changes = Vec::new();
    if stops > 0 {
        changes.push(Change::Remove { path: "/requests/0/stops".to_owned() });
    }
    if here.journey.as_ref().map_or(0, |journey| journey.minutes).saturating_sub(stops) > limit {
        let mut minutes = request.minutes.clone();
        minutes.insert(here.centre.centre_id.clone(), limit);
        changes.extend(set("/requests/0/minutes".to_owned(), minutes));
    }
    changes
}

/// No road to the centre is closed by a night ban while the animal is on it.
pub(super) fn night_ban(here: &AtCentre<'_>) -> Word {
    if here.asked.view.roads.night_bans.is_empty() {
        return Word::pass("no road is known to be closed at night");
    }
    if here.journey.is_err() {
        return Word::cannot_check(
            "nobody knows when the animal would be on the road, and some roads close at night",
        );
    }
    match bans(here).next() {
        Some((_, ban, until)) => Word::fail(say!(
            here,
            "the road to {} is closed at night ({}) until {}",
            here.centre.called(),
            ban.reason.as_deref().unwrap_or("no reason reported"),
            until.format("%Y-%m-%d at %H:%M")
        )),
        None => Word::pass("no night ban meets the journey"),
    }
}

/// Bans on the road to the centre that meet the journey: their positions, and when they end.
fn bans<'a>(here: &'a AtCentre<'_>) -> impl Iterator<Item = (usize, &'a NightBan, DateTime<FixedOffset>)> {
    let centre = here.centre.centre_id.as_str();
    let origin = here.asked.request.from.place_id.as_deref();
    // What stands there already takes no road.
    let on_the_road = origin != Some(centre);
    let is_way = move |ban: &NightBan| match ban.other_place_id.as_deref() {
        None => ban.place_id == centre || Some(ban.place_id.as_str()) == origin,
        Some(other) => {
            (ban.place_id == centre && Some(other) == origin)
                || (other == centre && Some(ban.place_id.as_str()) == origin)
        }
    };
    let bans = here.asked.view.roads.night_bans.iter().enumerate();
    bans.filter(move |(_, ban)| on_the_road && is_way(ban))
        .filter_map(move |(at, ban)| Some((at, ban, met(here, ban)?)))
}

/// When the night of the ban that the journey meets first is over.
fn met(here: &AtCentre<'_>, ban: &NightBan) -> Option<DateTime<FixedOffset>> {
    let window = here.window;
    let (first, last) = (window.departure.date_naive(), window.arrival.date_naive());
    let offset = *window.departure.offset();
    // A night that began the evening before may still last.
    let mut day = first.pred_opt()?;
    while day <= last {
        let ends_on = if ban.ends <= ban.begins { day.checked_add_days(Days::new(1))? } else { day };
        let begins = day.and_time(ban.begins).and_local_timezone(offset).single()?;
        let ends = ends_on.and_time(ban.ends).and_local_timezone(offset).single()?;
        let begins = ban.from.map_or(begins, |from| from.with_timezone(&offset).max(begins));
        let ends = ban.until.map_or(ends, |until| until.with_timezone(&offset).min(ends));
        if begins < ends && window.meets(begins, Some(ends)) {
            return Some(ends);
        }
        day = day.succ_opt()?;
    }
    None
}

/// Setting out when the road opens, where that is enough; else the ban lifted.
pub(super) fn mend_night_ban(here: &AtCentre<'_>) -> Vec<Change> {
    if here.journey.is_err() {
        return super::road::mend_road(here);
    }
    let Some(opens) = bans(here).map(|(_, _, until)| until).max() else {
        return Vec::new();
    };
    // Waiting for the road must not miss a ferry that would be met now.
    let misses_ferry = |later: &AtCentre<'_>| runs(here) && !runs(later);
    let is_clear = |later: &AtCentre<'_>| bans(later).next().is_none() && !misses_ferry(later);
    if here.departing(opens).as_ref().is_some_and(is_clear) {
        return set("/requests/0/earliestDeparture".to_owned(), opens);
    }
    take_out("/roads/nightBans", bans(here).map(|(at, _, _)| at).collect())
}

/// Every ferry on the way runs when the animal comes to its landing.
pub(super) fn ferry(here: &AtCentre<'_>) -> Word {
    let mut ferries = crossings(here.asked, here.centre).peekable();
    if ferries.peek().is_none() {
        return Word::pass("no ferry is known on the way");
    }
    let Ok(journey) = &here.journey else {
        return Word::cannot_check("nobody knows when the animal would come to the ferry");
    };
    let road = journey.minutes.saturating_sub(journey.waiting).saturating_sub(journey.stops);
    let words = ferries.map(|(_, ferry, outward)| ferry_at(here, ferry, landing(here, ferry, outward, road)));
    words.reduce(Word::or_worse).unwrap_or_else(|| Word::pass("no ferry is known on the way"))
}

/// True when no ferry is missed.
fn runs(here: &AtCentre<'_>) -> bool {
    ferry(here).verdict == Verdict::Pass
}

/// When the animal comes to the landing.
fn landing(here: &AtCentre<'_>, ferry: &Ferry, outward: bool, road: u32) -> DateTime<FixedOffset> {
    let minutes =
        if outward { ferry.minutes_to_landing } else { road.saturating_sub(ferry.minutes_to_landing) };
    let departure = here.window.departure;
    departure.checked_add_signed(TimeDelta::minutes(i64::from(minutes))).unwrap_or(departure)
}

fn ferry_at(here: &AtCentre<'_>, ferry: &Ferry, landing: DateTime<FixedOffset>) -> Word {
    let (first, last) = (ferry.first_crossing, ferry.last_crossing);
    let crosses = |time: NaiveTime| {
        if first <= last { first <= time && time <= last } else { first <= time || time <= last }
    };
    let time = landing.time();
    let hours = || format!("crosses from {} to {}", first.format("%H:%M"), last.format("%H:%M"));
    let at = || landing.format("%H:%M");
    if !crosses(time) {
        return Word::fail(say!(here, "the animal would come to the ferry at {}, which {}", at(), hours()));
    }
    let word = Word::pass(say!(here, "the animal comes to the ferry at {}, which {}", at(), hours()));
    if first > last {
        return word;
    }
    let minutes = |time: NaiveTime| f64::from(time.num_seconds_from_midnight()) / 60.0;
    word.comparing("minutes of the day at the landing", Some(minutes(time)), Some(minutes(last)), "min")
}

/// Setting out so as to meet the first crossing; where that is not enough, no ferry.
pub(super) fn mend_ferry(here: &AtCentre<'_>) -> Vec<Change> {
    let Ok(journey) = &here.journey else {
        return super::road::mend_road(here);
    };
    let road = journey.minutes.saturating_sub(journey.waiting).saturating_sub(journey.stops);
    let all: Vec<_> = crossings(here.asked, here.centre).collect();
    for (_, ferry, outward) in &all {
        let to_landing = landing(here, ferry, *outward, road).signed_duration_since(here.window.departure);
        let departure = here.window.departure;
        let days = [
            departure.date_naive().pred_opt(),
            Some(departure.date_naive()),
            departure.date_naive().succ_opt(),
        ];
        for day in days.into_iter().flatten() {
            let first = day.and_time(ferry.first_crossing).and_local_timezone(*departure.offset()).single();
            let Some(leave) = first.and_then(|first| first.checked_sub_signed(to_landing)) else {
                continue;
            };
            if leave > departure
                && here.departing(leave).is_some_and(|later| runs(&later) && bans(&later).next().is_none())
            {
                return set("/requests/0/earliestDeparture".to_owned(), leave);
            }
        }
    }
    take_out("/roads/ferries", all.into_iter().map(|(at, _, _)| at).collect())
}
