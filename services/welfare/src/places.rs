//! Places of sensitive species, told no finer than they may be (Chapman 2020, Current Best Practices for
//! Generalizing Sensitive Species Occurrence Data, doi 10.15468/doc-5jp4-5g10, table 7).
//!
//! A position is rounded to a grid of degrees, never moved at random: that would
//! falsify it. Step and radius are told with it, so that nobody takes a rounded
//! position for an exact one. A place alone may betray: locality texts, notes and
//! tag frequencies are withheld beside it, which is not done here.

use serde::{Deserialize, Serialize};

use crate::grounds::Grounds;
use crate::refusal::Refusal;
use crate::transport::distance::{Position, geodesic};
use crate::units::{Metres, Ratio};

/// How sensitive a species' places are; the categories 1 to 4 of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Sensitivity {
    /// Category 1: told by county or basin at most; a whole degree where a figure must be given.
    Extreme,
    /// Category 2: a tenth of a degree.
    High,
    /// Category 3: a hundredth of a degree.
    Medium,
    /// Category 4: a thousandth of a degree.
    Low,
}

impl Sensitivity {
    /// Decimals of a degree that may be told.
    const fn decimals(self) -> u8 {
        match self {
            Self::Extreme => 0,
            Self::High => 1,
            Self::Medium => 2,
            Self::Low => 3,
        }
    }
}

/// A position that may be told.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Coarse {
    /// Degrees north, rounded.
    pub latitude: f64,
    /// Degrees east, rounded.
    pub longitude: f64,
    /// Width of the grid, degrees: `coordinatePrecision`.
    pub step_degree: f64,
    /// The guide's code of the precision: 0 a degree, 1 a tenth, and so on.
    pub precision_code: u8,
    /// Radius that surely holds the true place: to the farthest corner of the cell, and the radius that
    /// was known before; metres. `coordinateUncertaintyInMeters`, rounded up by whoever writes it.
    pub radius_metre: Metres,
    /// What was done: `dataGeneralizations`.
    pub words: String,
    /// What it rests on.
    pub grounds: Grounds,
}

/// Rounds a position to the grid of its sensitivity. `known_to`: the radius known before.
///
/// # Errors
/// A cell without extent, which only the pole itself has.
pub fn coarse(
    place: Position,
    sensitivity: Sensitivity,
    known_to: Option<Metres>,
) -> Result<Coarse, Refusal> {
    let decimals = sensitivity.decimals();
    let per_degree = 10_f64.powi(i32::from(decimals));
    let step = 1.0 / per_degree;
    let rounded = |degrees: f64| (degrees * per_degree).round() / per_degree;
    let centre = Position::new(rounded(place.latitude()), rounded(place.longitude()))?;
    let mut radius: f64 = 0.0;
    for (north, east) in [(-0.5, -0.5), (-0.5, 0.5), (0.5, -0.5), (0.5, 0.5)] {
        let latitude = (centre.latitude() + north * step).clamp(-90.0, 90.0);
        let longitude = centre.longitude() + east * step;
        // A cell on the antimeridian reaches to its other side.
        let longitude =
            if longitude.abs() > 180.0 { longitude - 360.0 * longitude.signum() } else { longitude };
        let corner = geodesic(centre, Position::new(latitude, longitude)?);
        radius = radius.max(corner.map_or(0.0, Metres::m));
    }
    Ok(Coarse {
        latitude: centre.latitude(),
        longitude: centre.longitude(),
        step_degree: step,
        precision_code: decimals,
        radius_metre: Metres::new(radius + known_to.map_or(0.0, Metres::m))?,
        words: format!("position rounded to {step} degree, nearest point of the grid"),
        grounds: Grounds::published("Chapman 2020, doi 10.15468/doc-5jp4-5g10, table 7"),
    })
}

/// How much of a square grid cell a circle of uncertainty leaves over: area of the cell over the area of
/// the circle (the guide's spatial fit); 1 fits best, above it the cell is wider than need be.
///
/// # Errors
/// A figure too large for a ratio.
pub fn spatial_fit(cell_side: Metres, radius: Metres) -> Result<Ratio, Refusal> {
    Ratio::new(cell_side.m().powi(2) / (std::f64::consts::PI * radius.m().powi(2)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn place(latitude: f64, longitude: f64) -> Position {
        Position::new(latitude, longitude).unwrap()
    }

    /// Radii to the farthest corner and the ways moved, computed with geographiclib 2.1 on WGS 84.
    #[test]
    fn four_categories() {
        for (sensitivity, latitude, longitude, radius, moved) in [
            (Sensitivity::Extreme, 27.0, 79.0, 74_450.31, 52_080.18),
            (Sensitivity::High, 26.5, 79.1, 7_452.85, 5_327.58),
            (Sensitivity::Medium, 26.54, 79.12, 745.11, 494.67),
            (Sensitivity::Low, 26.543, 79.123, 74.51, 50.52),
        ] {
            let exact = place(26.543_21, 79.123_45);
            let told = coarse(exact, sensitivity, None).unwrap();
            assert!((told.latitude - latitude).abs() < 1e-12 && (told.longitude - longitude).abs() < 1e-12);
            assert!((told.radius_metre.m() - radius).abs() < 0.005, "{told:?}");
            let way = geodesic(exact, place(told.latitude, told.longitude)).unwrap().m();
            assert!((way - moved).abs() < 0.005, "{way} {moved}");
            // What was known to 30 m before is known no better after.
            let before = coarse(exact, sensitivity, Some(Metres::new(30.0).unwrap())).unwrap();
            assert!((before.radius_metre.m() - told.radius_metre.m() - 30.0).abs() < 1e-9);
        }
    }

    /// By hand: to the nearest south of the equator too, where rounding down would give -12.5 for both.
    #[test]
    fn nearest_in_the_south() {
        let latitude = |latitude| coarse(place(latitude, 130.0), Sensitivity::High, None).unwrap().latitude;
        assert!((latitude(-12.4561) + 12.5).abs() < 1e-12);
        assert!((latitude(-12.44) + 12.4).abs() < 1e-12);
    }

    /// Chapman 2020, figure 2: a radius of 1 km in a cell of 10 km by 10 km is 31.8 (100 over pi).
    #[test]
    fn published_fit() {
        let metres = |number| Metres::new(number).unwrap();
        let fit = spatial_fit(metres(10_000.0), metres(1000.0)).unwrap().value();
        assert!((fit - 31.830_988_6).abs() < 1e-6, "{fit}");
    }

    proptest! {
        /// The true place is never outside the radius, nor does a finer category tell less.
        #[test]
        fn the_radius_holds_the_place(latitude in -89.9_f64..89.9, longitude in -180.0_f64..180.0) {
            let exact = place(latitude, longitude);
            let mut last = f64::INFINITY;
            for sensitivity in [Sensitivity::Extreme, Sensitivity::High, Sensitivity::Medium, Sensitivity::Low] {
                let told = coarse(exact, sensitivity, None).unwrap();
                let moved = geodesic(exact, place(told.latitude, told.longitude)).map_or(0.0, Metres::m);
                prop_assert!(moved <= told.radius_metre.m() * (1.0 + 1e-9), "{moved} {told:?}");
                prop_assert!(told.radius_metre.m() < last);
                last = told.radius_metre.m();
            }
        }
    }
}
