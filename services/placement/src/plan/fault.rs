//! What is wrong with a request file before anything is planned, and how a plan can fail.

use std::collections::BTreeMap;
use std::fmt;

use geographiclib_rs::{Geodesic, InverseGeodesic};
use haulout_schemas::envelope::Length;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::plan::feasible::Breach;
use crate::request::{Bound, RequestFile};
use crate::view::Occupant;

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanFault {
    /// The file contradicts itself or cannot be meant: every fault found.
    File(Vec<FileFault>),
    /// The solver failed; its own words.
    Solver(String),
    /// The plan found breaks a rule when it is checked against the file: it is not handed out.
    Unsound(Vec<Breach>),
}

impl fmt::Display for PlanFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File(faults) => {
                write!(out, "the request file has {} faults", faults.len())?;
                faults.iter().try_for_each(|fault| write!(out, "; {}: {}", fault.pointer, fault.what))
            }
            Self::Solver(words) => write!(out, "the solver failed: {words}"),
            Self::Unsound(breaches) => {
                write!(out, "the plan found breaks a rule and is not handed out")?;
                breaches.iter().try_for_each(|breach| write!(out, "; {}", breach.sentence))
            }
        }
    }
}

impl std::error::Error for PlanFault {}

/// One fault of a request file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct FileFault {
    /// Where, a pointer (RFC 6901) into the file.
    pub pointer: String,
    /// What is wrong.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

/// Most animals of one entry: more is a slip of the pen.
const MOST_ANIMALS: u32 = 1_000_000;
/// Most units of one row.
const MOST_UNITS: u32 = 10_000;
/// Longest length that is not a slip, metres: the largest crocodile ever taped had a little over six.
const LONGEST_M: f64 = 12.0;
/// A place further than this from every centre lies in the sea, or its latitude and longitude are
/// exchanged; no drive is as long.
const FARTHEST_M: f64 = 1_500_000.0;

/// Every fault of the file, in its own sequence; none means that it can be planned.
#[must_use]
pub fn faults(file: &RequestFile) -> Vec<FileFault> {
    let mut found = Found(Vec::new());
    found.identifiers(file);
    found.units(file);
    found.centres(file);
    found.requests(file);
    found.bounds(file);
    found.places(file);
    found.0
}

struct Found(Vec<FileFault>);

impl Found {
    fn add(&mut self, pointer: String, what: impl Into<String>, mend: &str) {
        self.0.push(FileFault { pointer, what: what.into(), mend: mend.to_owned() });
    }

    fn identifiers(&mut self, file: &RequestFile) {
        let view = &file.view;
        let centres = view.centres.iter().enumerate();
        self.twice(centres.map(|(at, one)| (format!("/centres/{at}/centreID"), one.centre_id.clone())));
        let units = view.units.iter().enumerate();
        self.twice(units.map(|(at, one)| {
            (format!("/units/{at}/unitID"), format!("{} of {}", one.unit_id, one.centre_id))
        }));
        let requests = file.requests.iter().enumerate();
        self.twice(requests.map(|(at, one)| (format!("/requests/{at}/requestID"), one.request_id.clone())));
        let emptied = file.evacuate.iter().enumerate();
        self.twice(emptied.map(|(at, one)| (format!("/evacuate/{at}/centreID"), one.centre_id.clone())));
    }

    fn twice(&mut self, named: impl Iterator<Item = (String, String)>) {
        let mut seen: BTreeMap<String, String> = BTreeMap::new();
        for (pointer, name) in named {
            if name.trim().is_empty() {
                self.add(pointer, "the identifier is empty", "give it an identifier of its own");
            } else if let Some(first) = seen.get(&name) {
                self.add(
                    pointer,
                    format!("{name} stands at {first} already"),
                    "give each an identifier of its own",
                );
            } else {
                seen.insert(name, pointer);
            }
        }
    }

    fn units(&mut self, file: &RequestFile) {
        for (at, unit) in file.view.units.iter().enumerate() {
            let base = format!("/units/{at}");
            if !file.view.centres.iter().any(|centre| centre.centre_id == unit.centre_id) {
                self.add(
                    format!("{base}/centreID"),
                    format!("{} belongs to {}, which is no centre of the file", unit.unit_id, unit.centre_id),
                    "add the centre, or correct its identifier",
                );
            }
            if unit.units == 0 || unit.units > MOST_UNITS {
                self.add(
                    format!("{base}/units"),
                    format!("a row of {} units", unit.units),
                    "state 1 to 10000 units; leave out a row that is gone",
                );
            }
            if unit.free_units.is_some_and(|free| free > unit.units) {
                self.add(
                    format!("{base}/freeUnits"),
                    format!("more units free than the {} there are", unit.units),
                    "state no more than `units`",
                );
            }
            let figures = [
                ("landSquareMetre", unit.land_square_metre),
                ("waterSquareMetre", unit.water_square_metre),
                ("depthMetre", unit.depth_metre),
                ("lengthLimit/metre", unit.length_limit.map(|limit| limit.metre)),
            ];
            for (member, figure) in figures {
                if figure.is_some_and(|figure| !figure.is_finite() || figure < 0.0) {
                    self.add(
                        format!("{base}/{member}"),
                        "a measure below zero",
                        "state it in metres or square metres, zero or more",
                    );
                }
            }
            for (list, members) in
                [("occupants", &unit.occupants), ("expected", &unit.expected), ("reserved", &unit.reserved)]
            {
                self.occupants(&format!("{base}/{list}"), members);
            }
        }
    }

    fn occupants(&mut self, base: &str, occupants: &[Occupant]) {
        for (at, one) in occupants.iter().enumerate() {
            self.count(format!("{base}/{at}/individualCount"), one.individual_count);
            self.length(&format!("{base}/{at}/length"), one.length.as_ref());
        }
    }

    fn count(&mut self, pointer: String, count: u32) {
        if count == 0 || count > MOST_ANIMALS {
            self.add(
                pointer,
                format!("{count} animals"),
                "state 1 to 1000000 animals; leave out what is not there",
            );
        }
    }

    fn length(&mut self, base: &str, length: Option<&Length>) {
        let Some(length) = length else { return };
        let stated = [("value", Some(length.value)), ("low", length.low), ("high", length.high)];
        for (member, metres) in stated {
            let Some(metres) = metres else { continue };
            if !metres.is_finite() || metres <= 0.0 || metres > LONGEST_M {
                self.add(
                    format!("{base}/{member}"),
                    format!("a length of {metres} m"),
                    "state metres, above 0 and up to 12; leave the length out where nobody knows it",
                );
            }
        }
        if let (Some(low), Some(high)) = (length.low, length.high)
            && low > high
        {
            self.add(
                format!("{base}/low"),
                "the lower end lies above the upper",
                "exchange `low` and `high`",
            );
        }
    }

    fn centres(&mut self, file: &RequestFile) {
        for (at, centre) in file.view.centres.iter().enumerate() {
            self.occupants(&format!("/centres/{at}/unhoused"), &centre.unhoused);
            let mut seen = BTreeMap::new();
            for (line_at, line) in centre.licences.iter().enumerate() {
                let pointer = format!("/centres/{at}/licences/{line_at}");
                if line.scope.is_empty() {
                    self.add(
                        format!("{pointer}/scope"),
                        "a licence line that covers nothing",
                        "name the species, genera, families or orders it covers, or take the line out",
                    );
                }
                let mut scope = line.scope.clone();
                scope.sort_unstable();
                let key = (line.licence_number.clone(), scope, line.activities.clone());
                let says = (line.heads_limit, line.valid_through, line.status);
                match seen.get(&key) {
                    Some((first, other)) if *other != says => self.add(
                        pointer,
                        format!("it says otherwise than /centres/{at}/licences/{first} of the same licence and scope"),
                        "keep the line that is in force and take the other out",
                    ),
                    Some(_) => {}
                    None => {
                        seen.insert(key, (line_at, says));
                    }
                }
            }
        }
    }

    fn requests(&mut self, file: &RequestFile) {
        for (at, request) in file.requests.iter().enumerate() {
            let base = format!("/requests/{at}");
            self.count(format!("{base}/individualCount"), request.individual_count);
            self.length(&format!("{base}/length"), request.length.as_ref());
            if request.scientific_name.trim().is_empty() {
                self.add(
                    format!("{base}/scientificName"),
                    "the name is empty",
                    "state the species, or its genus, family or order",
                );
            }
            let known = |centre: &str| file.view.centres.iter().any(|one| one.centre_id == centre);
            for member in ["minutes", "tripMinutes"] {
                let map = if member == "minutes" { &request.minutes } else { &request.trip_minutes };
                for centre in map.keys().filter(|centre| !known(centre)) {
                    let token = centre.replace('~', "~0").replace('/', "~1");
                    self.add(
                        format!("{base}/{member}/{token}"),
                        format!("{centre} is no centre of the file"),
                        "add the centre, or correct its identifier",
                    );
                }
            }
            let caps = request.caps.iter().map(|cap| (&cap.centre_id, &cap.unit_id));
            self.named_units(file, &format!("{base}/caps"), caps);
            let sizes = request.sizes.iter().map(|size| (&size.centre_id, &size.unit_id));
            self.named_units(file, &format!("{base}/sizes"), sizes);
        }
    }

    fn named_units<'a>(
        &mut self,
        file: &RequestFile,
        base: &str,
        named: impl Iterator<Item = (&'a String, &'a String)>,
    ) {
        let mut seen = Vec::new();
        for (at, (centre, unit)) in named.enumerate() {
            let known = |one: &crate::view::Unit| one.centre_id == *centre && one.unit_id == *unit;
            if !file.view.units.iter().any(known) {
                self.add(
                    format!("{base}/{at}"),
                    format!("{centre} has no unit {unit} in the file"),
                    "add the unit, or correct the identifiers",
                );
            }
            if seen.contains(&(centre, unit)) {
                self.add(
                    format!("{base}/{at}"),
                    format!("{unit} of {centre} is named twice"),
                    "keep one of them",
                );
            }
            seen.push((centre, unit));
        }
    }

    fn bounds(&mut self, file: &RequestFile) {
        for (list, bounds) in [("pins", &file.pins), ("forbids", &file.forbids)] {
            for (at, bound) in bounds.iter().enumerate() {
                self.bound(file, &format!("/{list}/{at}"), bound);
            }
        }
        for (at, emptied) in file.evacuate.iter().enumerate() {
            if !file.view.centres.iter().any(|one| one.centre_id == emptied.centre_id) {
                self.add(
                    format!("/evacuate/{at}/centreID"),
                    format!("{} is no centre of the file", emptied.centre_id),
                    "add the centre, or correct its identifier",
                );
            }
        }
    }

    fn bound(&mut self, file: &RequestFile, base: &str, bound: &Bound) {
        let evacuee = bound.request_id.starts_with(super::evacuation::PREFIX);
        if !evacuee && !file.requests.iter().any(|one| one.request_id == bound.request_id) {
            self.add(
                format!("{base}/requestID"),
                format!("{} is no request of the file", bound.request_id),
                "add the request, or correct its identifier",
            );
        }
        if !file.view.centres.iter().any(|one| one.centre_id == bound.centre_id) {
            self.add(
                format!("{base}/centreID"),
                format!("{} is no centre of the file", bound.centre_id),
                "add the centre, or correct its identifier",
            );
        } else if let Some(unit) = &bound.unit_id
            && !file.view.units.iter().any(|one| one.centre_id == bound.centre_id && one.unit_id == *unit)
        {
            self.add(
                format!("{base}/unitID"),
                format!("{} has no unit {unit} in the file", bound.centre_id),
                "add the unit, or correct its identifier",
            );
        }
    }

    fn places(&mut self, file: &RequestFile) {
        let view = &file.view;
        let centres: Vec<(f64, f64)> =
            view.centres.iter().map(|centre| (centre.latitude, centre.longitude)).collect();
        for (at, place) in centres.iter().enumerate() {
            self.place(&format!("/centres/{at}"), *place, &[]);
        }
        for (at, point) in view.points.iter().enumerate() {
            self.place(&format!("/points/{at}"), (point.latitude, point.longitude), &centres);
        }
        for (at, request) in file.requests.iter().enumerate() {
            let base = format!("/requests/{at}/from");
            match (request.from.latitude, request.from.longitude) {
                (Some(latitude), Some(longitude)) => self.place(&base, (latitude, longitude), &centres),
                (None, None) => {}
                (latitude, _) => self.add(
                    format!("{base}/{}", if latitude.is_none() { "latitude" } else { "longitude" }),
                    "half a position",
                    "state latitude and longitude together",
                ),
            }
        }
    }

    fn place(&mut self, base: &str, (latitude, longitude): (f64, f64), centres: &[(f64, f64)]) {
        let before = self.0.len();
        for (member, degrees, most) in [("latitude", latitude, 90.0), ("longitude", longitude, 180.0)] {
            if !degrees.is_finite() || degrees.abs() > most {
                self.add(
                    format!("{base}/{member}"),
                    format!("{degrees} degrees"),
                    "state decimal degrees (WGS 84): latitude -90 to 90, longitude -180 to 180",
                );
            }
        }
        if self.0.len() > before {
            return;
        }
        let earth = Geodesic::wgs84();
        let metres = |one: &(f64, f64)| -> f64 { earth.inverse(latitude, longitude, one.0, one.1) };
        let nearest = centres.iter().map(metres).reduce(f64::min);
        let lost = nearest.is_some_and(|nearest| nearest > FARTHEST_M);
        if lost || (latitude == 0.0 && longitude == 0.0) {
            self.add(
                base.to_owned(),
                format!("{latitude}, {longitude} lies in the sea, or more than 1500 km from every centre"),
                "correct the position; latitude and longitude may be exchanged",
            );
        }
    }
}
