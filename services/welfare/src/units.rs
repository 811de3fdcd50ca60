//! Quantities as types: a number without its unit does not cross a public function.
//!
//! A quantity can only be made from a number that can be one: finite and within
//! what the unit may hold. The bounds catch slips (a mass of nothing, a
//! temperature in Fahrenheit), they are no limits of welfare.

use serde::{Deserialize, Deserializer, Serialize, de};

use crate::refusal::Refusal;

macro_rules! quantities {
    ($($(#[doc = $doc:literal])+ $name:ident, $get:ident, $unit:literal, $low:expr, $high:expr, $mend:literal;)+) => {$(
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            /// Checks and takes a number.
            ///
            /// # Errors
            /// A [`Refusal`] for a number that is not finite or cannot be such a quantity.
            pub fn new(number: f64) -> Result<Self, Refusal> {
                if ($low..=$high).contains(&number) {
                    return Ok(Self(number));
                }
                Err(Refusal::new(
                    "quantity-out-of-range",
                    format!("{number} {}", $unit),
                    format!("must be a number from {} to {}", $low, $high),
                    $mend,
                ))
            }

            /// A number known to be one; only figures of this crate's own making.
            #[allow(dead_code, reason = "not every quantity is also made in this crate")]
            pub(crate) const fn of(number: f64) -> Self {
                Self(number)
            }

            #[doc = concat!("The number of ", $unit, ".")]
            #[must_use]
            pub const fn $get(self) -> f64 {
                self.0
            }
        }

        impl<'de> Deserialize<'de> for $name {
            /// A number that cannot be such a quantity is refused here already.
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                Self::new(f64::deserialize(from)?).map_err(de::Error::custom)
            }
        }
    )+};
}

quantities! {
    /// Mass of an animal or of food, kilograms, above zero.
    Kilograms, kg, "kg", 1e-6, 1e6, "weigh again, or leave the mass out where it is not known";
    /// A length, metres, above zero; what it measures is said beside it.
    Metres, m, "m", 1e-4, 1e8, "measure again, or leave the length out where it is not known";
    /// A temperature, degrees Celsius; above 60 only Fahrenheit is meant.
    Celsius, degrees, "degrees C", -90.0, 60.0, "give degrees Celsius: from Fahrenheit, take 32 off and multiply by 5/9";
    /// A difference of temperatures, kelvin.
    Kelvin, kelvin, "K", -100.0, 100.0, "give a difference of degrees Celsius";
    /// A span of time, hours.
    Hours, hours, "h", 0.0, 1e6, "give hours as a number of zero or more";
    /// A span of time, days.
    Days, days, "days", 0.0, 1e5, "give days as a number of zero or more";
    /// Heat above a limit: kelvin times hours.
    KelvinHours, kelvin_hours, "K h", 0.0, 1e9, "give a number of zero or more";
    /// Energy a day, kilojoules.
    KilojoulesPerDay, kj, "kJ a day", 0.0, 1e9, "give kilojoules a day";
    /// Energy of fresh food, kilojoules a gram.
    KilojoulesPerGram, kj_per_g, "kJ/g", 0.05, 40.0, "give kilojoules a gram of the food as it is fed";
    /// Oxygen used, millilitres a minute.
    MillilitresPerMinute, ml, "mL/min", 0.0, 1e6, "give millilitres a minute";
    /// A share from nothing (0) to all (1).
    Share, share, "(share)", 0.0, 1.0, "give a share: 20 % is 0.2";
    /// A number of standard size that has no unit: a ratio, an index, an exponent.
    Ratio, value, "(ratio)", -1e12, 1e12, "give a finite number";
}

impl Kilograms {
    /// The same mass in grams.
    #[must_use]
    pub fn grams(self) -> f64 {
        self.0 * 1000.0
    }
}

impl Metres {
    /// The same length in centimetres.
    #[must_use]
    pub fn cm(self) -> f64 {
        self.0 * 100.0
    }
}

impl Celsius {
    /// Takes a temperature in degrees Fahrenheit, where a record says that it is one.
    ///
    /// # Errors
    /// As [`Celsius::new`], of the converted number.
    pub fn from_fahrenheit(number: f64) -> Result<Self, Refusal> {
        Self::new((number - 32.0) * 5.0 / 9.0)
    }
}

/// A figure with the bounds it is believed to lie in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Interval<T> {
    /// The figure.
    pub value: T,
    /// Lower bound.
    pub low: T,
    /// Upper bound.
    pub high: T,
    /// How often such bounds hold the truth, 0.95 for 95 %.
    pub level: Share,
}

/// The level of every interval that is not asked for otherwise: 95 %, by convention.
pub const LEVEL: Share = Share::of(0.95);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_a_quantity_is_refused() {
        for wrong in [0.0, -2.0, f64::NAN, f64::INFINITY] {
            assert!(Kilograms::new(wrong).is_err());
            assert!(Metres::new(wrong).is_err());
        }
        let hot = Celsius::new(95.0).unwrap_err();
        assert!(hot.to_string().contains("Fahrenheit"), "{hot}");
        assert!(Share::new(20.0).unwrap_err().mend.contains("20 % is 0.2"));
    }

    #[test]
    fn what_is_read_is_checked() {
        assert!(serde_json::from_str::<Kilograms>("2.5").is_ok());
        let hot = serde_json::from_str::<Celsius>("95.0").unwrap_err().to_string();
        assert!(hot.contains("Fahrenheit"), "{hot}");
    }

    /// 95 degrees Fahrenheit are 35 degrees Celsius, by definition of the scale.
    #[test]
    fn fahrenheit_is_converted_only_when_asked_for() {
        assert!((Celsius::from_fahrenheit(95.0).unwrap().degrees() - 35.0).abs() < 1e-12);
    }
}
