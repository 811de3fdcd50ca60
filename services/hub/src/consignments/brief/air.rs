//! The air on the way, as whoever asks for the page tells it: the day's minimum and maximum, and what
//! the vehicle makes of them.

use chrono::{Days, NaiveDate};
use haulout_welfare::transport::day::DayCurve;
use haulout_welfare::transport::departures::Extremes;
use haulout_welfare::transport::window::Vehicle;
use haulout_welfare::units::{Celsius, Hours, Kelvin};
use serde::Deserialize;
use utoipa::IntoParams;

use crate::web::{Problem, codes};

/// How much warmer a load without cooling is than the air outside, where nobody has measured it: a
/// choice of this programme.
pub const WARMER: f64 = 3.0;

/// Air and vehicle, as they are asked about.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
pub struct Asked {
    /// `json` or `html`; by `Accept` unless given.
    pub format: Option<String>,
    /// Day of the forecast; today unless given.
    pub day: Option<String>,
    /// Minimum of the day, degrees Celsius in the shade; of the days after it too, separated by commas.
    pub min: Option<String>,
    /// Maximum of the day, likewise.
    pub max: Option<String>,
    /// `passive` (no cooling, unless given) or `held` (holds a temperature, and is known to work).
    pub vehicle: Option<String>,
    /// Passive: how much warmer the load is than the air outside, kelvin.
    pub warmer_kelvin: Option<f64>,
    /// Held: temperature at the animals, degrees Celsius.
    pub at_celsius: Option<f64>,
}

/// Air and vehicle, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Air {
    /// Days with their extremes; empty where no forecast was given.
    pub days: Vec<Extremes>,
    /// The vehicle.
    pub vehicle: Vehicle,
    /// False where how warm the load gets was not told.
    pub warmth_told: bool,
}

impl Asked {
    /// Reads what was asked; `today` in the region's zone.
    ///
    /// # Errors
    /// A figure that is none, one that looks like Fahrenheit, a minimum without its maximum, a vehicle
    /// that is not told whole.
    pub fn air(&self, today: NaiveDate) -> Result<Air, Problem> {
        let (lows, highs) = (figures(self.min.as_deref(), "min")?, figures(self.max.as_deref(), "max")?);
        if lows.len() != highs.len() {
            return Err(wrong(
                if lows.len() < highs.len() { "min" } else { "max" },
                format!(
                    "{} minima and {} maxima are given: give both of each day, as in `min=24,25&max=36,38`",
                    lows.len(),
                    highs.len()
                ),
            ));
        }
        let first = self.day.as_deref().map_or(Ok(today), |text| crate::records::day("day", text))?;
        let mut days = Vec::new();
        for (nth, (low, high)) in (0_u64..).zip(lows.into_iter().zip(highs)) {
            let on = first.checked_add_days(Days::new(nth)).ok_or_else(|| wrong("day", "no such day"))?;
            // What no day can be is told at once, whatever else is known of the journey.
            DayCurve::new(Hours::new(12.0)?, Hours::new(12.0)?, low, high)?;
            days.push(Extremes { on, low_celsius: low, high_celsius: high });
        }
        let (vehicle, warmth_told) = self.vehicle()?;
        Ok(Air { days, vehicle, warmth_told })
    }

    fn vehicle(&self) -> Result<(Vehicle, bool), Problem> {
        match (self.vehicle.as_deref(), self.warmer_kelvin, self.at_celsius) {
            (None | Some("passive"), warmer, None) => {
                Ok((Vehicle::Passive { warmer: Kelvin::new(warmer.unwrap_or(WARMER))? }, warmer.is_some()))
            }
            (Some("held"), None, Some(at)) => Ok((Vehicle::Held { at: Celsius::new(at)? }, true)),
            (Some("held"), _, None) => Err(wrong("atCelsius", "say which temperature the vehicle holds")),
            (Some("held"), Some(_), _) => {
                Err(wrong("warmerKelvin", "a vehicle that holds a temperature is not warmer than itself"))
            }
            (None | Some("passive"), _, Some(_)) => {
                Err(wrong("atCelsius", "only a vehicle that holds a temperature has one: `vehicle=held`"))
            }
            (Some(other), ..) => Err(wrong("vehicle", format!("`{other}` is neither `passive` nor `held`"))),
        }
    }
}

fn figures(text: Option<&str>, parameter: &'static str) -> Result<Vec<Celsius>, Problem> {
    let Some(text) = text else { return Ok(Vec::new()) };
    let figure = |part: &str| {
        let number: f64 = part.trim().parse().map_err(|_| {
            wrong(parameter, format!("`{part}` is no number: give degrees Celsius, such as 26.5"))
        })?;
        Ok(Celsius::new(number)?)
    };
    text.split(',').map(figure).collect()
}

fn wrong(parameter: &'static str, why: impl Into<String>) -> Problem {
    let why = why.into();
    Problem::new(&codes::BAD_QUERY, format!("{parameter}: {why}")).at(parameter, why)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::*;

    fn today() -> NaiveDate {
        "2026-07-09".parse().unwrap()
    }

    fn asked(min: &str, max: &str) -> Asked {
        Asked { min: Some(min.to_owned()), max: Some(max.to_owned()), ..Asked::default() }
    }

    #[test]
    fn days_follow_each_other() {
        let air = asked("26, 25.5", "38,36").air(today()).unwrap();
        let days: Vec<String> = air.days.iter().map(|day| day.on.to_string()).collect();
        assert_eq!(days, ["2026-07-09", "2026-07-10"]);
        assert_eq!(air.days[1].low_celsius.degrees(), 25.5);
        assert_eq!(
            (air.vehicle, air.warmth_told),
            (Vehicle::Passive { warmer: Kelvin::new(3.0).unwrap() }, false)
        );
        assert_eq!(Asked::default().air(today()).unwrap().days, []);
    }

    /// 79 to 100 degrees Fahrenheit are 26 to 38 degrees Celsius; a cool night of 50 is caught too.
    #[test]
    fn fahrenheit_is_named_and_what_no_day_can_be() {
        for (min, max, word) in [
            ("79", "100", "Fahrenheit"),
            ("50", "56", "Fahrenheit"),
            ("38", "26", "maximum is below the minimum"),
            ("26", "38,39", "1 minima and 2 maxima"),
            ("26", "hot", "`hot` is no number"),
        ] {
            let problem = asked(min, max).air(today()).expect_err(min);
            assert!(problem.detail().contains(word), "{}", problem.detail());
        }
        let alone = Asked { min: Some("26".into()), ..Asked::default() };
        assert!(alone.air(today()).unwrap_err().detail().contains("give both"));
    }

    #[test]
    fn a_vehicle_is_told_whole() {
        let of = |vehicle: Option<&str>, warmer_kelvin, at_celsius| {
            Asked { vehicle: vehicle.map(str::to_owned), warmer_kelvin, at_celsius, ..Asked::default() }
                .air(today())
        };
        assert_eq!(
            of(Some("held"), None, Some(25.0)).unwrap().vehicle,
            Vehicle::Held { at: Celsius::new(25.0).unwrap() }
        );
        assert!(of(None, Some(0.0), None).unwrap().warmth_told);
        for (vehicle, warmer, at) in [
            (Some("held"), None, None),
            (Some("held"), Some(2.0), Some(25.0)),
            (Some("passive"), None, Some(25.0)),
            (Some("lorry"), None, None),
        ] {
            assert!(of(vehicle, warmer, at).is_err(), "{vehicle:?}");
        }
        assert!(of(Some("held"), None, Some(77.0)).unwrap_err().detail().contains("Fahrenheit"));
    }
}
