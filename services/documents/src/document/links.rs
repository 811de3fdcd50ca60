//! Where the records behind a figure are listed, as paths of the hub's interface. The lists show what
//! counts today, which may be later than the instant of the statement.

use haulout_reckoning::Period;
use serde::Serialize;
use std::fmt::Write;

/// Words that lead somewhere.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Link {
    /// The words.
    pub text: String,
    /// A path of the hub.
    pub to: String,
}

/// A record by its name.
pub fn record(author: &str, record: &str) -> Link {
    Link {
        text: format!("{author} {record}"),
        to: format!("/v1/records/{}/{}", encoded(author), encoded(record)),
    }
}

/// The records of a place in a period, of one kind if one kind alone can stand behind the figure.
pub fn records(place: &str, kind: Option<&str>, period: &Period) -> String {
    let kind = kind.map(|kind| format!("&kind={kind}")).unwrap_or_default();
    format!(
        "/v1/records?placeID={}{kind}&from={}&through={}&counting=true",
        encoded(place),
        period.first,
        period.last
    )
}

/// The census of a place and day.
pub fn census(place: &str, day: &str) -> String {
    format!("/v1/records?placeID={}&kind=census&from={day}&through={day}&counting=true", encoded(place))
}

/// The kind of record that alone posts against a counter-account, where there is only one.
pub fn kind_of_gain(counter: &str) -> Option<&'static str> {
    match counter {
        "transit" | "owner" | "placedOut" | "handedOver" => Some("receipt"),
        "laid" | "hatched" => Some("clutch"),
        "opening" => Some("census"),
        "unexplained" => Some("adjustment"),
        _ => None,
    }
}

/// As [`kind_of_gain`], for a loss.
pub fn kind_of_loss(counter: &str) -> Option<&'static str> {
    match counter {
        "transit" | "outside" | "owner" | "placedOut" | "handedOver" => Some("dispatch"),
        "released" => Some("release"),
        "hatched" => Some("clutch"),
        "escaped" | "stolen" | "missing" => Some("loss"),
        "unexplained" => Some("adjustment"),
        _ => None,
    }
}

/// A text as a segment or value of an address (RFC 3986: only unreserved characters stand as they are).
pub fn encoded(text: &str) -> String {
    let mut address = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~') {
            address.push(char::from(byte));
        } else {
            // Writing into a String cannot fail.
            let _ = write!(address, "%{byte:02X}");
        }
    }
    address
}
