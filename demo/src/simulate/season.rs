//! The year of the basin: monsoon from June to September, nesting by species. From memory.

/// How much busier than the year's mean a month is with animals in need.
pub(super) fn need(month: u32) -> f64 {
    match month {
        6 => 1.2,
        7 | 8 => 1.6,
        9 => 1.3,
        10 | 5 => 0.9,
        _ => 0.6,
    }
}

/// Whether a flood may close roads and strand animals.
pub(super) fn monsoon(month: u32) -> bool {
    (6..=9).contains(&month)
}

/// Water of the basin, degree Celsius.
pub(super) fn water_celsius(month: u32) -> f64 {
    match month {
        12 | 1 => 19.0,
        2 | 11 => 23.0,
        3 | 10 => 26.0,
        _ => 29.0,
    }
}
