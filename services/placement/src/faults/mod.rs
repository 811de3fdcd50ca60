//! What is wrong with a request file before any rule looks at it: values that cannot be, and
//! statements that contradict each other. Each says where, why, and how to mend it.
//!
//! The rules answer a faulty file too, and fail closed; but who sees nothing but "cannot be
//! checked" searches long for a slip of the pen.

mod planning;
mod region;
mod requests;

use geographiclib_rs::{Geodesic, InverseGeodesic};
use haulout_schemas::envelope::Length;
use haulout_schemas::vocabulary::LengthMeasure;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::request::{Request, RequestFile};
use crate::view::RegionView;

/// Something in a request file that cannot be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Fault {
    /// Pointer (RFC 6901) into the file.
    pub pointer: String,
    /// Why it cannot be.
    pub why: String,
    /// How to mend it.
    pub mend: String,
}

impl RequestFile {
    /// What cannot be in the file, in the order of its parts; empty where nothing was found.
    #[must_use]
    pub fn faults(&self) -> Vec<Fault> {
        let mut found = Found::default();
        region::look_at(&self.view, &mut found);
        for (at, request) in self.requests.iter().enumerate() {
            requests::look_at(request, &self.view, &format!("/requests/{at}"), &mut found);
        }
        found.twice(self.requests.iter().map(|one| one.request_id.as_str()), |at| {
            format!("/requests/{at}/requestID")
        });
        planning::look_at(self, &mut found);
        found.0
    }
}

impl Request {
    /// What cannot be in the request, with pointers into the request itself.
    #[must_use]
    pub fn faults(&self, view: &RegionView) -> Vec<Fault> {
        let mut found = Found::default();
        requests::look_at(self, view, "", &mut found);
        found.0
    }
}

/// What was found so far.
#[derive(Debug, Default)]
struct Found(Vec<Fault>);

/// Longest total length that is believed, metres: no living crocodilian was measured longer (from
/// memory).
const LONGEST_TOTAL_M: f64 = 8.0;
/// Longest shell that is believed, metres (from memory).
const LONGEST_SHELL_M: f64 = 2.5;
/// Largest area that a unit may have, square metres: a hundred hectares, as the record of it allows.
const LARGEST_M2: f64 = 1_000_000.0;
/// Deepest water of a unit, metres, as the record of it allows.
const DEEPEST_M: f64 = 50.0;
/// Most animals in one entry, as records allow.
const MOST_ANIMALS: u32 = 1_000_000;
/// Longest journey that is believed, minutes: a week.
const LONGEST_JOURNEY: u32 = 7 * 24 * 60;

impl Found {
    fn add(&mut self, pointer: impl Into<String>, why: impl Into<String>, mend: impl Into<String>) {
        self.0.push(Fault { pointer: pointer.into(), why: why.into(), mend: mend.into() });
    }

    /// A figure outside what may be, if it is stated.
    fn within(&mut self, pointer: String, figure: Option<f64>, least: f64, most: f64, what: &str) {
        if let Some(figure) = figure
            && !(least..=most).contains(&figure)
        {
            self.add(
                pointer,
                format!("{what} is {figure}, and must lie between {least} and {most}"),
                "state the figure as measured, or leave it out where nobody knows",
            );
        }
    }

    fn count(&mut self, pointer: String, count: u32) {
        if count == 0 || count > MOST_ANIMALS {
            self.add(
                pointer,
                format!("{count} animals are asked for or stand there; 1 to {MOST_ANIMALS} may"),
                "state how many there are; leave the entry out where there is none",
            );
        }
    }

    fn length(&mut self, pointer: &str, length: Option<&Length>) {
        let Some(length) = length else { return };
        let most = match length.measure {
            LengthMeasure::TotalLength | LengthMeasure::SnoutVentLength | LengthMeasure::HeadLength => {
                LONGEST_TOTAL_M
            }
            LengthMeasure::StraightCarapaceLength
            | LengthMeasure::CurvedCarapaceLength
            | LengthMeasure::PlastronLength => LONGEST_SHELL_M,
        };
        for (member, figure) in [("value", Some(length.value)), ("low", length.low), ("high", length.high)] {
            if let Some(figure) = figure
                && !(figure > 0.0 && figure <= most)
            {
                self.add(
                    format!("{pointer}/{member}"),
                    format!("a {} of {figure} m: more than 0 and at most {most} m may be", length.measure),
                    "state metres, not centimetres or feet, or leave the length out where nobody knows",
                );
            }
        }
        let (low, high) = (length.low.unwrap_or(length.value), length.high.unwrap_or(length.value));
        if low > length.value || high < length.value {
            self.add(
                pointer,
                format!("the length {} lies outside its own bounds, {low} to {high}", length.value),
                "state low, value and high in ascending order",
            );
        }
    }

    fn position(&mut self, pointer: &str, latitude: f64, longitude: f64) -> bool {
        let mut possible = true;
        for (member, figure, most) in [("latitude", latitude, 90.0), ("longitude", longitude, 180.0)] {
            if !(-most..=most).contains(&figure) {
                possible = false;
                self.add(
                    format!("{pointer}/{member}"),
                    format!("a {member} of {figure}: -{most} to {most} degrees may be"),
                    "state decimal degrees, WGS 84, latitude first",
                );
            }
        }
        possible
    }

    /// Identifiers written more than once.
    fn twice<'a>(&mut self, ids: impl Iterator<Item = &'a str>, pointer: impl Fn(usize) -> String) {
        let mut seen = std::collections::HashMap::new();
        for (at, id) in ids.enumerate() {
            if id.trim().is_empty() {
                self.add(pointer(at), "the identifier is empty", "give it an identifier of its own");
            } else if let Some(first) = seen.get(id) {
                self.add(
                    pointer(at),
                    format!("{id} is written twice, first at {}", pointer(*first)),
                    "give each its own identifier, or leave one of the entries out",
                );
            } else {
                seen.insert(id, at);
            }
        }
    }

    /// An end that does not come after its beginning.
    fn dates<T: PartialOrd + std::fmt::Display>(
        &mut self,
        pointer: String,
        from: Option<T>,
        until: Option<T>,
    ) {
        if let (Some(from), Some(until)) = (from, until)
            && until <= from
        {
            self.add(
                pointer,
                format!("it ends on {until}, not after it begins on {from}"),
                "state an end after the beginning, or leave the end out",
            );
        }
    }
}

/// Places that the region names: its centres, points, and the ends of its travel table.
fn is_place(view: &RegionView, id: &str) -> bool {
    view.centres.iter().any(|centre| centre.centre_id == id)
        || view.points.iter().any(|point| point.point_id == id)
        || view.roads.travel.iter().any(|line| line.from == id || line.to == id)
}

/// Kilometres to the nearest centre or point, straight over the ground, where none lies within so many.
fn nearest_beyond(view: &RegionView, latitude: f64, longitude: f64, most: f64) -> Option<f64> {
    let centres = view.centres.iter().map(|centre| (centre.latitude, centre.longitude));
    let points = view.points.iter().map(|point| (point.latitude, point.longitude));
    let mut nearest = None;
    for there in centres.chain(points) {
        let metres: f64 = Geodesic::wgs84().inverse(latitude, longitude, there.0, there.1);
        let kilometres = metres / 1000.0;
        if kilometres <= most {
            return None;
        }
        if kilometres.is_finite() {
            nearest = Some(nearest.map_or(kilometres, |nearest: f64| nearest.min(kilometres)));
        }
    }
    nearest
}
