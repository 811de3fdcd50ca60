//! Marks that tell one animal from all others: transponders, notches, tags,
//! and what a number may have been misread for.
//!
//! Accept and flag: older and test-coded chips sit in real animals (common
//! practice). Only what cannot be a number of its kind is refused, and a number
//! is never mended silently.

pub mod layout;
pub mod likeness;
pub mod notches;

use std::fmt;

use serde::Serialize;

use crate::grounds::Grounds;
use crate::refusal::Refusal;

/// The largest national number: 38 bits (ISO 11784).
pub const LARGEST_NATIONAL: u64 = (1 << 38) - 1;
/// Code of the test range (ISO 11784).
pub const TEST_CODE: u16 = 999;
/// Code that several makers share, each with an allocated block (icar.org).
pub const SHARED_CODE: u16 = 900;

/// A number in the fifteen-digit form of ISO 11784: three digits of code, twelve of national number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Transponder {
    code: u16,
    national: u64,
}

impl Transponder {
    /// A transponder number from its two parts.
    ///
    /// # Errors
    /// A code of 000 or above 999, or a national number that does not fit 38 bits.
    pub fn new(code: u16, national: u64) -> Result<Self, Refusal> {
        if !(1..=TEST_CODE).contains(&code) {
            return Err(Refusal::new(
                "transponder-code",
                format!("transponder code {code:03}"),
                "is no country and no maker: ISO 11784 prints 001 to 999",
                "read the chip again",
            ));
        }
        if national > LARGEST_NATIONAL {
            return Err(Refusal::new(
                "transponder-national",
                format!("national number {national:012}"),
                format!("is above {LARGEST_NATIONAL}, the most that 38 bits hold (ISO 11784)"),
                "read the chip again; a digit is wrong",
            ));
        }
        Ok(Self { code, national })
    }

    /// Country (ISO 3166 numeric) or maker.
    #[must_use]
    pub const fn code(self) -> u16 {
        self.code
    }

    /// National number, at most [`LARGEST_NATIONAL`].
    #[must_use]
    pub const fn national(self) -> u64 {
        self.national
    }
}

impl fmt::Display for Transponder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:03}{:012}", self.code, self.national)
    }
}

/// What is remarkable about a number that was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Remark {
    /// Nine or ten digits: a chip from before ISO 11784. It identifies, but no check is known.
    OlderChip,
    /// Code 999: the test range, listed by icar.org as a misuse in live animals.
    TestCode,
    /// Code 900: shared by makers; unique only with its allocated block.
    SharedMaker,
    /// Code 901 to 998: a maker's code. The bounds of that range are from memory.
    Maker,
    /// Code below 900: a country's code, ISO 3166 numeric.
    Country,
}

impl Remark {
    /// What the remark rests on.
    #[must_use]
    pub fn grounds(self) -> Grounds {
        match self {
            Self::OlderChip => Grounds::common_practice(),
            Self::TestCode | Self::SharedMaker => Grounds::published("icar.org, misuse of ISO 11784 codes"),
            Self::Maker => Grounds::memory(),
            Self::Country => Grounds::published("ISO 11784 by the ICAR bit table; ISO 3166 numeric"),
        }
    }
}

/// A number as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// Digits without the groups that readers print.
    pub digits: String,
    /// The number, where it has the fifteen-digit form.
    pub transponder: Option<Transponder>,
    /// What is remarkable about it.
    pub remark: Remark,
}

/// Reads a transponder number as readers print it: blanks, hyphens and points between groups.
///
/// # Errors
/// Other characters than digits, a number of digits that no known chip has, or a number that
/// ISO 11784 cannot hold.
pub fn read_transponder(text: &str) -> Result<Reading, Refusal> {
    let digits: String = text.chars().filter(|c| !matches!(c, ' ' | '-' | '.')).collect();
    let what = || format!("transponder number \"{}\"", text.chars().take(40).collect::<String>());
    if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(Refusal::new(
            "transponder-characters",
            what(),
            "has other characters than digits",
            "give the digits the reader showed; a hexadecimal readout must be converted by its maker's rule",
        ));
    }
    match digits.len() {
        9 | 10 => Ok(Reading { digits, transponder: None, remark: Remark::OlderChip }),
        15 => {
            let (code, national) = digits.split_at(3);
            let parts = code.parse().ok().zip(national.parse().ok());
            let (code, national) = parts.ok_or_else(|| {
                Refusal::new("transponder-characters", what(), "cannot be read as a number", "read it again")
            })?;
            let transponder = Transponder::new(code, national)?;
            let remark = match code {
                TEST_CODE => Remark::TestCode,
                SHARED_CODE => Remark::SharedMaker,
                901.. => Remark::Maker,
                _ => Remark::Country,
            };
            Ok(Reading { digits, transponder: Some(transponder), remark })
        }
        count => Err(Refusal::new(
            "transponder-digits",
            what(),
            format!("has {count} digits; ISO 11784 prints 15, older chips 9 or 10"),
            "read it again: a digit was lost or added",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 11784: 38 bits hold up to 274877906943; the next number is invalid.
    #[test]
    fn the_largest_national_number() {
        assert_eq!(LARGEST_NATIONAL, 274_877_906_943);
        let most = read_transponder("900274877906943").unwrap();
        assert_eq!(most.transponder.unwrap().to_string(), "900274877906943");
        let beyond = read_transponder("900274877906944").unwrap_err();
        assert_eq!(beyond.code, "transponder-national");
    }

    #[test]
    fn groups_are_read_and_the_odd_is_flagged() {
        let remark = |text: &str| read_transponder(text).map(|reading| reading.remark);
        assert_eq!(remark("985-121 004.515.220"), Ok(Remark::Maker));
        assert_eq!(remark("356000000000001"), Ok(Remark::Country));
        assert_eq!(remark("999000000112233"), Ok(Remark::TestCode));
        assert_eq!(remark("123456789"), Ok(Remark::OlderChip));
        assert_eq!(remark("1234567890"), Ok(Remark::OlderChip));
        assert_eq!(remark("000000000000001").unwrap_err().code, "transponder-code");
        assert_eq!(remark("98512100451522").unwrap_err().code, "transponder-digits");
        assert_eq!(remark("98512100451522A").unwrap_err().code, "transponder-characters");
        assert!(Remark::Maker.grounds().is_from_memory());
    }
}
