//! How alike two values are: 1 is equal, 0 has nothing in common.

use geographiclib_rs::{Geodesic, InverseGeodesic};

/// Two texts after Jaro and Winkler: a common beginning counts more, since it is spelled right more often.
pub fn text(one: &str, other: &str) -> f64 {
    strsim::jaro_winkler(one, other)
}

/// Two numbers: 1 up to `offset` apart, falling in a straight line, a half at `scale` beyond it, 0 at
/// twice that. `scale` above zero.
pub fn numeric(one: f64, other: f64, offset: f64, scale: f64) -> f64 {
    let beyond = ((one - other).abs() - offset).max(0.0);
    (1.0 - beyond / (2.0 * scale)).max(0.0)
}

/// Two days, by the days between them, as [`numeric`].
pub fn days(one: chrono::NaiveDate, other: chrono::NaiveDate, offset: f64, scale: f64) -> f64 {
    let apart = u32::try_from((one - other).num_days().unsigned_abs()).unwrap_or(u32::MAX);
    numeric(f64::from(apart), 0.0, offset, scale)
}

/// Kilometres between two places in degrees, on the ellipsoid WGS 84.
pub fn kilometres(one: (f64, f64), other: (f64, f64)) -> f64 {
    let metres: f64 = Geodesic::wgs84().inverse(one.0, one.1, other.0, other.1);
    metres / 1000.0
}
