//! Contradictions within a region file that has the right shape.

use super::{Region, RegionFault, Role};
use crate::findings::RuleSettings;
use haulout_schemas::text::PartyId;
use std::collections::{BTreeMap, BTreeSet};

/// Every contradiction, in the order of the file's members.
pub(super) fn faults(region: &Region) -> Vec<RegionFault> {
    let mut found = Faults(Vec::new());
    found.frame(region);
    found.ids(region);
    found.parties(region);
    found.points(region);
    found.roads(region);
    if let Err(error) = region.profiles().and_then(|profiles| region.names(&profiles)) {
        found.0.extend(error.faults);
    }
    if let Err(error) = RuleSettings::of(&region.rule_overrides) {
        found.0.extend(error.faults);
    }
    found.0
}

struct Faults(Vec<RegionFault>);

impl Faults {
    fn add(&mut self, pointer: impl Into<String>, problem: impl Into<String>) {
        self.0.push(RegionFault { pointer: pointer.into(), problem: problem.into() });
    }

    fn frame(&mut self, region: &Region) {
        let mut letters = region.region.bytes();
        let starts = letters.next().is_some_and(|letter| letter.is_ascii_lowercase());
        if !starts || !letters.all(|letter| letter.is_ascii_lowercase() || letter.is_ascii_digit()) {
            self.add("/region", "must be lower-case letters and digits, such as `meruva`");
        }
        if region.name.trim().is_empty() {
            self.add("/name", "must not be empty");
        }
        if region.time_zone.parse::<chrono_tz::Tz>().is_err() {
            let problem =
                format!("`{}` is no IANA time zone; write one such as `Asia/Kolkata`", region.time_zone);
            self.add("/timeZone", problem);
        }
    }

    /// Parties and points share one space of ids.
    fn ids(&mut self, region: &Region) {
        let parties = region
            .parties
            .iter()
            .enumerate()
            .map(|(at, party)| (format!("/parties/{at}/partyID"), &party.party_id));
        let points = region
            .points
            .iter()
            .enumerate()
            .map(|(at, point)| (format!("/points/{at}/pointID"), &point.point_id));
        let mut first: BTreeMap<&PartyId, String> = BTreeMap::new();
        for (pointer, id) in parties.chain(points) {
            if !is_party_id(id.as_str()) || !id.as_str().starts_with(&format!("{}.", region.region)) {
                let problem = format!(
                    "`{id}` must be dotted lower case and begin with the region, such as `{}.kolvani`",
                    region.region
                );
                self.add(pointer.clone(), problem);
            }
            if let Some(before) = first.get(id) {
                self.add(pointer, format!("`{id}` is given twice, first at {before}"));
            } else {
                first.insert(id, pointer);
            }
        }
    }

    fn parties(&mut self, region: &Region) {
        for (at, party) in region.parties.iter().enumerate() {
            match (party.latitude, party.longitude) {
                (Some(latitude), Some(longitude)) => {
                    self.position(&format!("/parties/{at}"), latitude, longitude)
                }
                (None, None) if party.role == Role::Centre => {
                    self.add(
                        format!("/parties/{at}"),
                        "a centre needs `latitude` and `longitude`: roads are reckoned from them",
                    );
                }
                (None, None) => {}
                _ => self
                    .add(format!("/parties/{at}"), "`latitude` and `longitude` stand together or not at all"),
            }
            if party.name.trim().is_empty() {
                self.add(format!("/parties/{at}/name"), "must not be empty");
            }
            if party.basin.as_ref().is_some_and(|basin| basin.trim().is_empty()) {
                self.add(
                    format!("/parties/{at}/basin"),
                    "must not be empty; leave it out where nobody knows",
                );
            }
        }
    }

    fn points(&mut self, region: &Region) {
        for (at, point) in region.points.iter().enumerate() {
            self.position(&format!("/points/{at}"), point.latitude, point.longitude);
            match region.role(&point.keeper_id) {
                None => {
                    let problem = format!(
                        "the keeper `{}` is not among `parties`; add it, or name another keeper",
                        point.keeper_id
                    );
                    self.add(format!("/points/{at}/keeperID"), problem);
                }
                Some(role @ (Role::Laboratory | Role::Partner)) => {
                    let problem = format!(
                        "`{}` is a {}; a point is kept by a centre, an agency, the coordination or the authority",
                        point.keeper_id,
                        role.as_str()
                    );
                    self.add(format!("/points/{at}/keeperID"), problem);
                }
                Some(_) => {}
            }
            if point.longest_hours == 0 {
                self.add(format!("/points/{at}/longestHours"), "must be one hour or more");
            }
        }
    }

    fn position(&mut self, pointer: &str, latitude: f64, longitude: f64) {
        if !(-90.0..=90.0).contains(&latitude) {
            self.add(format!("{pointer}/latitude"), format!("{latitude} is not between -90 and 90 degrees"));
        }
        if !(-180.0..=180.0).contains(&longitude) {
            self.add(
                format!("{pointer}/longitude"),
                format!("{longitude} is not between -180 and 180 degrees"),
            );
        }
    }

    fn roads(&mut self, region: &Region) {
        if region.road_factor.is_some_and(|factor| !(1.0..=10.0).contains(&factor)) {
            self.add("/roadFactor", "must be between 1 and 10: no road is shorter than the straight line");
        }
        if region.speed_kilometre_per_hour.is_some_and(|speed| !(1.0..=150.0).contains(&speed)) {
            self.add("/speedKilometrePerHour", "must be between 1 and 150 kilometre per hour");
        }
        let known = |id: &PartyId| region.party(id).is_some() || region.point(id).is_some();
        let mut seen = BTreeSet::new();
        for (at, road) in region.travel_minutes.iter().enumerate() {
            for (member, id) in [("fromID", &road.from_id), ("toID", &road.to_id)] {
                if !known(id) {
                    self.add(
                        format!("/travelMinutes/{at}/{member}"),
                        format!("`{id}` is neither a party nor a point of the region"),
                    );
                }
            }
            if road.from_id == road.to_id {
                self.add(format!("/travelMinutes/{at}"), "a road needs two different ends");
            }
            if road.minutes == 0 {
                self.add(format!("/travelMinutes/{at}/minutes"), "must be one minute or more");
            }
            if !seen.insert((&road.from_id, &road.to_id)) {
                self.add(
                    format!("/travelMinutes/{at}"),
                    format!("the way from `{}` to `{}` is given twice", road.from_id, road.to_id),
                );
            }
        }
        for (at, ferry) in region.ferries.iter().enumerate() {
            for (member, id) in [("fromID", Some(&ferry.from_id)), ("toID", ferry.to_id.as_ref())] {
                if let Some(id) = id.filter(|id| !known(id)) {
                    self.add(
                        format!("/ferries/{at}/{member}"),
                        format!("`{id}` is neither a party nor a point of the region"),
                    );
                }
            }
            if ferry.to_id.as_ref() == Some(&ferry.from_id) {
                self.add(format!("/ferries/{at}"), "a ferry lies on a road between two different ends");
            }
        }
    }
}

/// The form of a party's id in the open schema: two to four parts.
fn is_party_id(text: &str) -> bool {
    let part = |(at, part): (usize, &str)| {
        part.len() <= 32
            && part.starts_with(|first: char| first.is_ascii_lowercase())
            && part.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || (at > 0 && b == b'-'))
    };
    text.len() <= 64 && (2..=4).contains(&text.split('.').count()) && text.split('.').enumerate().all(part)
}
