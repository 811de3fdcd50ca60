//! Notch codes: numbers written on shells and tails with a file or a blade.
//!
//! The schemes are this programme's own plain ones (a proposal; a region that
//! already notches keeps its own and gives the notches instead of the number).
//!
//! **Shell.** Marginal scutes are counted from the head backwards on each side,
//! 1 to 12. Scutes 4 to 7 lie over the bridge and 12 over the tail: none is cut
//! there. A digit is the sum of at most two of the four rear scutes 8, 9, 10,
//! 11, worth 1, 2, 4, 7: right side ones, left side tens. Hundreds, 0 to 7, are
//! the sum of the right front scutes 1, 2, 3, worth 1, 2, 4. The left front
//! stays free. Numbers run from 1 to 799.
//!
//! **Tail.** The digit is the place of the one scute that is cut, counted from
//! the body, 1 to 9, none for 0: left double row hundreds, right double row
//! tens, single row ones. Numbers run from 1 to 999.
//!
//! Cutting is for licensed practice, which decides whether it is done at all.

use serde::Serialize;

use crate::grounds::Grounds;
use crate::refusal::Refusal;

/// What the schemes rest on.
pub const GROUNDS: Grounds = Grounds::proposal("this programme's plain notch scheme");

/// Worth of the four rear marginal scutes, 8 to 11.
const REAR: [(u8, u16); 4] = [(8, 1), (9, 2), (10, 4), (11, 7)];
/// Worth of the three front marginal scutes.
const FRONT: [(u8, u16); 3] = [(1, 1), (2, 2), (3, 4)];

/// Notches of a shell, scutes counted from the head backwards.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct ShellNotches {
    /// Left side, ascending.
    pub left: Vec<u8>,
    /// Right side, ascending.
    pub right: Vec<u8>,
}

/// The scutes to cut for a number.
///
/// # Errors
/// A number outside 1 to 799.
pub fn shell_of(number: u16) -> Result<ShellNotches, Refusal> {
    if !(1..=799).contains(&number) {
        return Err(beyond("shell", number, 799));
    }
    let mut right = parts(&FRONT, number / 100);
    right.extend(parts(&REAR, number % 10));
    Ok(ShellNotches { left: parts(&REAR, number / 10 % 10), right })
}

/// The number that notches of a shell mean.
///
/// # Errors
/// A scute that the scheme never cuts, a scute named twice, or a sum that is no digit.
pub fn shell_number(notches: &ShellNotches) -> Result<u16, Refusal> {
    let outside = |side: &str, scute: u8| {
        Refusal::new(
            "notch-scute",
            format!("notch on {side} scute {scute}"),
            "is not cut in this scheme (right 1 to 3 and 8 to 11, left 8 to 11)",
            "count again from the head, look for old injuries, or give the notches without a number",
        )
    };
    let (mut hundreds, mut tens, mut ones) = (Vec::new(), Vec::new(), Vec::new());
    for &scute in &notches.right {
        match scute {
            1..=3 => hundreds.push(scute),
            8..=11 => ones.push(scute),
            _ => return Err(outside("right", scute)),
        }
    }
    for &scute in &notches.left {
        match scute {
            8..=11 => tens.push(scute),
            _ => return Err(outside("left", scute)),
        }
    }
    let number = 100 * digit(&FRONT, &hundreds, 7)? + 10 * digit(&REAR, &tens, 9)? + digit(&REAR, &ones, 9)?;
    if number == 0 {
        return Err(beyond("shell", 0, 799));
    }
    Ok(number)
}

/// Other numbers whose notches differ from these by one notch more or less: a notch that healed,
/// or an injury taken for one.
#[must_use]
pub fn shell_near(notches: &ShellNotches) -> Vec<u16> {
    let mut near = Vec::new();
    let turned = |scutes: &[u8], scute: u8| {
        let mut other: Vec<u8> = scutes.iter().copied().filter(|other| *other != scute).collect();
        if other.len() == scutes.len() {
            other.push(scute);
            other.sort_unstable();
        }
        other
    };
    for scute in [8, 9, 10, 11] {
        near.push(ShellNotches { left: turned(&notches.left, scute), right: notches.right.clone() });
    }
    for scute in [1, 2, 3, 8, 9, 10, 11] {
        near.push(ShellNotches { left: notches.left.clone(), right: turned(&notches.right, scute) });
    }
    let mut numbers: Vec<u16> = near.iter().filter_map(|notches| shell_number(notches).ok()).collect();
    numbers.sort_unstable();
    numbers
}

/// Scutes cut on a tail, counted from the body; `None` where none is cut in a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct TailNotches {
    /// Left double row: hundreds.
    pub left: Option<u8>,
    /// Right double row: tens.
    pub right: Option<u8>,
    /// Single row: ones.
    pub single: Option<u8>,
}

/// The scutes to cut for a number.
///
/// # Errors
/// A number outside 1 to 999.
pub fn tail_of(number: u16) -> Result<TailNotches, Refusal> {
    if !(1..=999).contains(&number) {
        return Err(beyond("tail", number, 999));
    }
    let place = |digit: u16| u8::try_from(digit).ok().filter(|digit| *digit > 0);
    Ok(TailNotches { left: place(number / 100), right: place(number / 10 % 10), single: place(number % 10) })
}

/// The number that scutes cut on a tail mean.
///
/// # Errors
/// A place outside 1 to 9, or no cut scute at all.
pub fn tail_number(notches: TailNotches) -> Result<u16, Refusal> {
    let digit = |place: Option<u8>| match place {
        None => Ok(0),
        Some(place @ 1..=9) => Ok(u16::from(place)),
        Some(place) => Err(Refusal::new(
            "notch-scute",
            format!("cut scute {place} of a row of the tail"),
            "is not between 1 and 9",
            "count again from the body",
        )),
    };
    let number = 100 * digit(notches.left)? + 10 * digit(notches.right)? + digit(notches.single)?;
    if number == 0 { Err(beyond("tail", 0, 999)) } else { Ok(number) }
}

/// Other numbers one scute away in one row: a count that began one scute too early or too late.
#[must_use]
pub fn tail_near(notches: TailNotches) -> Vec<u16> {
    let beside = |place: Option<u8>| -> Vec<Option<u8>> {
        place.map_or_else(Vec::new, |place| vec![Some(place.saturating_sub(1)), Some(place + 1)])
    };
    let mut near: Vec<TailNotches> = Vec::new();
    near.extend(beside(notches.left).into_iter().map(|left| TailNotches { left, ..notches }));
    near.extend(beside(notches.right).into_iter().map(|right| TailNotches { right, ..notches }));
    near.extend(beside(notches.single).into_iter().map(|single| TailNotches { single, ..notches }));
    let mut numbers: Vec<u16> = near.into_iter().filter_map(|notches| tail_number(notches).ok()).collect();
    numbers.sort_unstable();
    numbers
}

/// The fewest scutes whose worth adds up to the digit.
fn parts(row: &[(u8, u16)], digit: u16) -> Vec<u8> {
    let subsets = 0..1_u32 << row.len();
    let chosen = |set: u32| row.iter().enumerate().filter(move |(at, _)| set >> at & 1 == 1);
    let fits = |set: &u32| chosen(*set).map(|(_, (_, worth))| worth).sum::<u16>() == digit;
    let fewest = subsets.filter(fits).min_by_key(|set| set.count_ones());
    fewest.map_or_else(Vec::new, |set| chosen(set).map(|(_, (scute, _))| *scute).collect())
}

fn digit(row: &[(u8, u16)], scutes: &[u8], most: u16) -> Result<u16, Refusal> {
    let mut sorted = scutes.to_vec();
    sorted.sort_unstable();
    let sum = row.iter().filter(|(scute, _)| sorted.contains(scute)).map(|(_, worth)| worth).sum();
    // Only one way to write each digit: anything else is a notch too many.
    if sum <= most && parts(row, sum) == sorted {
        return Ok(sum);
    }
    Err(Refusal::new(
        "notch-sum",
        format!("notches on scutes {sorted:?}"),
        "are no digit of the scheme",
        "look again: one of them may be an injury, or a scute is named twice",
    ))
}

fn beyond(where_: &str, number: u16, most: u16) -> Refusal {
    Refusal::new(
        "notch-number",
        format!("{where_} notch number {number}"),
        format!("is not between 1 and {most}"),
        "use a transponder or a tag beside the notches",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    /// By hand: 357 = hundreds 3 (1 + 2), tens 5 (1 + 4), ones 7 (the scute worth seven).
    #[test]
    fn a_number_on_a_shell() {
        let notches = shell_of(357).unwrap();
        assert_eq!(notches, ShellNotches { left: vec![8, 10], right: vec![1, 2, 11] });
        assert_eq!(shell_number(&notches), Ok(357));
        // One notch healed on the left: 4 (10 alone) or 1 (8 alone) in the tens.
        let near = shell_near(&notches);
        assert!(near.contains(&347) && near.contains(&317), "{near:?}");
    }

    #[test]
    fn every_number_has_one_code() {
        let codes: HashSet<_> = (1..=799).map(|n| format!("{:?}", shell_of(n).unwrap())).collect();
        assert_eq!(codes.len(), 799);
        assert!((1..=799).all(|n| shell_number(&shell_of(n).unwrap()) == Ok(n)));
        assert!((1..=999).all(|n| tail_number(tail_of(n).unwrap()) == Ok(n)));
        assert!((1..=799).all(|n| shell_of(n).unwrap().right.iter().all(|s| !(4..=7).contains(s))));
    }

    #[test]
    fn what_is_no_code_is_refused() {
        let notches = |left: &[u8], right: &[u8]| ShellNotches { left: left.into(), right: right.into() };
        assert_eq!(shell_number(&notches(&[], &[5])).unwrap_err().code, "notch-scute");
        assert_eq!(shell_number(&notches(&[2], &[])).unwrap_err().code, "notch-scute");
        assert_eq!(shell_number(&notches(&[8, 9, 10], &[])).unwrap_err().code, "notch-sum");
        assert_eq!(shell_number(&notches(&[8, 8], &[])).unwrap_err().code, "notch-sum");
        assert_eq!(shell_number(&notches(&[], &[])).unwrap_err().code, "notch-number");
        assert!(shell_of(800).is_err() && tail_of(0).is_err());
        let tail = TailNotches { left: Some(10), right: None, single: None };
        assert_eq!(tail_number(tail).unwrap_err().code, "notch-scute");
    }

    #[test]
    fn a_count_that_began_one_scute_off() {
        // No scute lies before the first, so the hundreds can only have been a 2.
        let near = tail_near(tail_of(105).unwrap());
        assert_eq!(near, [104, 106, 205]);
    }
}
