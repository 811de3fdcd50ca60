//! Distance over the ellipsoid WGS 84 (Karney 2013, by geographiclib): never the length of a road.

use geographiclib_rs::{Geodesic, InverseGeodesic};
use serde::{Deserialize, Serialize};

use crate::refusal::Refusal;
use crate::units::Metres;

/// A place on the earth, decimal degrees of WGS 84.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", try_from = "Degrees")]
pub struct Position {
    latitude: f64,
    longitude: f64,
}

/// Two numbers as they are read, before they are known to be a position.
#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Degrees {
    latitude: f64,
    longitude: f64,
}

impl TryFrom<Degrees> for Position {
    type Error = Refusal;

    fn try_from(read: Degrees) -> Result<Self, Refusal> {
        Self::new(read.latitude, read.longitude)
    }
}

impl Position {
    /// A position from degrees.
    ///
    /// # Errors
    /// A latitude beyond 90 or a longitude beyond 180 degrees.
    pub fn new(latitude: f64, longitude: f64) -> Result<Self, Refusal> {
        if (-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude) {
            return Ok(Self { latitude, longitude });
        }
        Err(Refusal::new(
            "position",
            format!("position {latitude}, {longitude}"),
            "latitude runs from -90 to 90, longitude from -180 to 180 degrees",
            "give latitude first, in decimal degrees",
        ))
    }

    /// Degrees north.
    #[must_use]
    pub const fn latitude(self) -> f64 {
        self.latitude
    }

    /// Degrees east.
    #[must_use]
    pub const fn longitude(self) -> f64 {
        self.longitude
    }
}

/// A straight line over the ellipsoid.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Line {
    /// Its length, metres.
    pub metre: Metres,
    /// Direction in which it leaves, degrees from north through east, 0 to below 360.
    pub leaves_at_degree: f64,
    /// Direction from the other end back to this one, likewise; not the opposite of the former, since
    /// meridians draw together.
    pub back_at_degree: f64,
}

/// Shortest way over the ellipsoid; `None` for the same place.
#[must_use]
pub fn line(from: Position, to: Position) -> Option<Line> {
    let (metres, leaves, arrives, _): (f64, f64, f64, f64) =
        Geodesic::wgs84().inverse(from.latitude, from.longitude, to.latitude, to.longitude);
    Some(Line {
        metre: Metres::new(metres).ok()?,
        leaves_at_degree: leaves.rem_euclid(360.0),
        back_at_degree: (arrives + 180.0).rem_euclid(360.0),
    })
}

/// Length of the shortest way over the ellipsoid; `None` for the same place.
#[must_use]
pub fn geodesic(from: Position, to: Position) -> Option<Metres> {
    line(from, to).map(|line| line.metre)
}

/// Length of a road from the straight line and the region's road factor: an estimate, and said so.
///
/// # Errors
/// A factor below 1: no road is shorter than the straight line.
pub fn by_road(line: Metres, factor: f64) -> Result<Metres, Refusal> {
    if factor.is_finite() && factor >= 1.0 {
        return Metres::new(line.m() * factor);
    }
    Err(Refusal::new(
        "road-factor",
        format!("road factor {factor}"),
        "a road is never shorter than the straight line",
        "give the length of the region's roads over the straight line, such as 1.3",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published: two places of the Australian datum manual's worked example (GRS 80, which differs
    /// by less than a millimetre here), two ends of Britain, a nearly antipodal pair; the first two
    /// rows of the table of geographiclib 2.1; degrees along the equator and the meridian.
    #[test]
    fn published_geodesics() {
        let dms = |d: f64, m: f64, s: f64| d + m / 60.0 + s / 3600.0;
        for (a, b, expected) in [
            (
                (-dms(37., 57., 3.72030), dms(144., 25., 29.52440)),
                (-dms(37., 39., 10.15610), dms(143., 55., 35.38390)),
                54_972.271,
            ),
            ((50.06632, -5.71475), (58.64402, -3.07009), 969_954.166),
            ((0.0, 0.0), (0.5, 179.5), 19_936_288.579),
            ((0.0, 0.0), (0.5, 179.7), 19_944_127.421),
            ((35.60777, -139.44815), (-11.17491, -69.95921), 8_935_244.560_482),
            // The table writes this longitude as 197.18234.
            ((55.52454, 106.05087), (77.03196, 197.18234 - 360.0), 4_105_086.171_392),
            ((0.0, 0.0), (0.0, 1.0), 111_319.490_8),
            ((0.0, 0.0), (1.0, 0.0), 110_574.388_6),
            ((26.5, 79.0), (27.9, 81.2), 267_529.357),
        ] {
            let place = |(latitude, longitude)| Position::new(latitude, longitude).unwrap();
            let metres = geodesic(place(a), place(b)).unwrap().m();
            assert!((metres - expected).abs() < 1e-3, "{metres} {expected}");
        }
    }

    /// Datum manual's worked example (306 deg 52' 05.37", back 127 deg 10' 25.07"; GRS 80, which differs by
    /// less than a thousandth of a second here) and the first two rows of the table of geographiclib 2.1.
    #[test]
    fn published_directions() {
        let dms = |d: f64, m: f64, s: f64| d + m / 60.0 + s / 3600.0;
        let place = |(latitude, longitude)| Position::new(latitude, longitude).unwrap();
        let second = 1.0 / 3600.0;
        for (a, b, leaves, back, off) in [
            (
                (-dms(37., 57., 3.72030), dms(144., 25., 29.52440)),
                (-dms(37., 39., 10.15610), dms(143., 55., 35.38390)),
                dms(306., 52., 5.37),
                dms(127., 10., 25.07),
                0.01 * second,
            ),
            (
                (35.60777, -139.44815),
                (-11.17491, -69.95921),
                111.098_748_429_560_33,
                129.289_270_889_708_76 + 180.0,
                1e-9,
            ),
            (
                (55.52454, 106.05087),
                (77.03196, 197.18234 - 360.0),
                22.020_059_880_982_8,
                109.112_041_110_671_52 + 180.0,
                1e-9,
            ),
        ] {
            let line = line(place(a), place(b)).unwrap();
            assert!((line.leaves_at_degree - leaves).abs() < off, "{line:?} {leaves}");
            assert!((line.back_at_degree - back).abs() < off, "{line:?} {back}");
        }
        assert_eq!(line(place((1.0, 1.0)), place((1.0, 1.0))), None);
    }

    /// 267 529.3568 m (geographiclib 2.1) times 1.31, a factor from memory: 350 463.457 m by hand.
    #[test]
    fn a_road_is_never_shorter_than_the_line() {
        let line = Metres::new(267_529.356_8).unwrap();
        assert!((by_road(line, 1.31).unwrap().m() - 350_463.457).abs() < 1e-2);
        for wrong in [0.9, 0.0, -1.3, f64::NAN, f64::INFINITY] {
            assert_eq!(by_road(line, wrong).unwrap_err().code, "road-factor");
        }
    }

    #[test]
    fn a_position_is_checked_when_read() {
        let read = |text| serde_json::from_str::<Position>(text);
        assert!(read(r#"{"latitude":26.5,"longitude":79.0}"#).is_ok());
        assert!(read(r#"{"latitude":91.0,"longitude":79.0}"#).unwrap_err().to_string().contains("-90 to 90"));
        assert!(Position::new(91.0, 0.0).is_err() && Position::new(f64::NAN, 0.0).is_err());
    }
}
