//! The day's air temperature from its minimum and maximum (Parton and Logan 1981, parameters for air
//! at 1.5 m as three public implementations cite them).
//!
//! Outside air in the shade, never the air in a parked vehicle. The curve jumps at the time of the
//! minimum, where the night does not quite reach it; that is the model's, and left.

use crate::refusal::Refusal;
use crate::units::{Celsius, Hours};

const LAG_H: f64 = 1.86;
const DECAY: f64 = 2.20;
const MINIMUM_AFTER_SUNRISE_H: f64 = -0.17;

/// A day's curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayCurve {
    noon: f64,
    length: f64,
    low: f64,
    high: f64,
}

impl DayCurve {
    /// A curve from solar noon (hours after midnight), the length of the day, and its two extremes.
    ///
    /// # Errors
    /// A maximum below the minimum, extremes that look like Fahrenheit, or a day without sunrise.
    pub fn new(noon: Hours, length: Hours, low: Celsius, high: Celsius) -> Result<Self, Refusal> {
        let what = || format!("temperatures of a day from {} to {} degrees C", low.degrees(), high.degrees());
        if high < low {
            return Err(Refusal::new(
                "extremes-swapped",
                what(),
                "the maximum is below the minimum",
                "give the minimum first",
            ));
        }
        // The highest air temperature ever accepted is below 57 degrees C, and no day's minimum reached 45
        // (from memory).
        if high.degrees() > 57.0 || low.degrees() > 45.0 {
            return Err(Refusal::new(
                "fahrenheit",
                what(),
                "no air in the shade has been that hot",
                "convert from Fahrenheit: take 32 off and multiply by 5/9",
            ));
        }
        if !(length.hours() > 0.0 && length.hours() < 24.0) {
            return Err(Refusal::new(
                "no-sunrise",
                what(),
                "the sun does not rise and set on the day",
                "give hourly temperatures",
            ));
        }
        Ok(Self { noon: noon.hours(), length: length.hours(), low: low.degrees(), high: high.degrees() })
    }

    /// Temperature at an hour of the day; hours before the minimum belong to the night before, which
    /// is taken to be like the night after.
    #[must_use]
    pub fn at(&self, hour: Hours) -> Celsius {
        let (sunrise, sunset) = (self.noon - self.length / 2.0, self.noon + self.length / 2.0);
        let start = sunrise + MINIMUM_AFTER_SUNRISE_H;
        // Turned so that the day begins with its minimum.
        let hour = (hour.hours() - start).rem_euclid(24.0) + start;
        if hour <= sunset {
            return Celsius::of(self.by_day(hour - start));
        }
        let at_sunset = self.by_day(sunset - start);
        let night = 24.0 - self.length;
        Celsius::of(self.low + (at_sunset - self.low) * (-DECAY * (hour - sunset) / night).exp())
    }

    /// Temperature after sunset where the next morning's minimum is known; hours after the curve's own
    /// midnight, so beyond 24 for the morning. It falls, or rises, from sunset towards that minimum.
    #[must_use]
    pub fn night(&self, hour: Hours, next_low: Celsius) -> Celsius {
        let sunset = self.sunset().hours();
        let at_sunset = self.by_day(self.length - MINIMUM_AFTER_SUNRISE_H);
        let since = (hour.hours() - sunset).max(0.0) / (24.0 - self.length);
        Celsius::of(next_low.degrees() + (at_sunset - next_low.degrees()) * (-DECAY * since).exp())
    }

    /// Hour of the minimum, a little before sunrise.
    #[must_use]
    pub fn minimum_at(&self) -> Hours {
        Hours::of((self.noon - self.length / 2.0 + MINIMUM_AFTER_SUNRISE_H).max(0.0))
    }

    /// Hour of the maximum.
    #[must_use]
    pub fn maximum_at(&self) -> Hours {
        Hours::of((self.noon + LAG_H + MINIMUM_AFTER_SUNRISE_H).max(0.0))
    }

    /// Hour of sunset.
    #[must_use]
    pub fn sunset(&self) -> Hours {
        Hours::of((self.noon + self.length / 2.0).max(0.0))
    }

    fn by_day(&self, since_minimum: f64) -> f64 {
        let turn = std::f64::consts::PI * since_minimum / (self.length + 2.0 * LAG_H);
        self.low + (self.high - self.low) * turn.sin()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn curve(length: f64, low: f64, high: f64) -> DayCurve {
        let celsius = |degrees| Celsius::new(degrees).unwrap();
        DayCurve::new(Hours::new(12.0).unwrap(), Hours::new(length).unwrap(), celsius(low), celsius(high))
            .unwrap()
    }

    fn at(curve: &DayCurve, hour: f64) -> f64 {
        curve.at(Hours::new(hour).unwrap()).degrees()
    }

    /// Computed independently from the published formula; the maximum falls at 13.69 h whatever the day.
    #[test]
    fn three_days() {
        let hours = [0.0, 5.0, 6.0, 8.0, 10.0, 12.0, 13.69, 15.0, 18.0, 21.0];
        for (length, low, high, expected) in [
            (
                12.0,
                20.0,
                32.0,
                [22.6021, 21.0404, 20.4076, 25.0424, 28.8823, 31.3221, 32.0, 31.5911, 27.8171, 24.5100],
            ),
            (
                13.805_278,
                28.0,
                44.0,
                [31.1651, 28.2083, 31.0576, 36.3739, 40.6254, 43.2714, 44.0, 43.5609, 39.4574, 34.0471],
            ),
            (
                10.4775,
                7.0,
                23.0,
                [10.7665, 8.6698, 8.4191, 11.9072, 17.9562, 21.8942, 23.0, 22.3325, 16.9972, 13.1363],
            ),
        ] {
            let curve = curve(length, low, high);
            for (hour, expected) in hours.iter().zip(expected) {
                assert!((at(&curve, *hour) - expected).abs() < 6e-5, "{length} {hour}");
            }
        }
    }

    /// The same day: 668 minutes at or below 35 degrees C.
    #[test]
    fn minutes_below_a_limit() {
        let curve = curve(13.805_278, 28.0, 44.0);
        let cool = (0..1440).filter(|minute| at(&curve, f64::from(*minute) / 60.0) <= 35.0).count();
        assert_eq!(cool, 668);
    }

    /// By the formula: where the next morning is like this one the night is that of the curve itself.
    #[test]
    fn the_night_before_a_morning() {
        let day = curve(12.0, 20.0, 32.0);
        let night =
            |hour: f64, low: f64| day.night(Hours::new(hour).unwrap(), Celsius::new(low).unwrap()).degrees();
        assert!((night(21.0, 20.0) - 24.5100).abs() < 6e-5);
        assert!((night(24.0, 20.0) - 22.6021).abs() < 6e-5);
        // At sunset it is where the day ended, whatever the morning.
        assert!((night(18.0, 10.0) - 27.8171).abs() < 6e-5);
        assert!(night(29.0, 24.0) > night(29.0, 20.0));
        assert!((day.maximum_at().hours() - 13.69).abs() < 1e-9 && day.sunset().hours() == 18.0);
    }

    #[test]
    fn senseless_days_are_refused() {
        let day = |length: f64, low: f64, high: f64| {
            let celsius = |degrees| Celsius::new(degrees).unwrap();
            DayCurve::new(Hours::of(12.0), Hours::of(length), celsius(low), celsius(high)).map_err(|r| r.code)
        };
        assert_eq!(day(12.0, 30.0, 20.0), Err("extremes-swapped"));
        assert_eq!(day(12.0, 40.0, 59.0), Err("fahrenheit"));
        // A cool day of 50 to 56 degrees Fahrenheit is 10 to 13 degrees C.
        assert_eq!(day(12.0, 50.0, 56.0), Err("fahrenheit"));
        assert_eq!(day(24.0, 10.0, 20.0), Err("no-sunrise"));
        assert_eq!(day(0.0, 10.0, 20.0), Err("no-sunrise"));
    }

    proptest! {
        #[test]
        fn it_stays_between_its_extremes_and_a_hotter_day_is_nowhere_cooler(
            length in 6.0_f64..18.0, low in -5.0_f64..30.0, spread in 0.0_f64..15.0, more in 0.0_f64..5.0,
            hour in 0.0_f64..24.0
        ) {
            let (day, hotter) = (curve(length, low, low + spread), curve(length, low, low + spread + more));
            prop_assert!(at(&day, hour) >= low - 1e-9 && at(&day, hour) <= low + spread + 1e-9);
            prop_assert!(at(&hotter, hour) >= at(&day, hour) - 1e-9);
        }
    }
}
