//! Who comes of which clutch, through splits and merges.
//!
//! Hatchlings of several clutches that share a tank can no longer be told apart.
//! A part taken out of them holds so many of each clutch on average, at least so
//! many and at most so many: all three are told, and nobody's guess.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::refusal::Refusal;
use crate::units::{Ratio, Share};

/// One step in the life of lots, in the order of time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", rename_all_fields = "camelCase", tag = "step", deny_unknown_fields)]
pub enum Step {
    /// Hatchlings of one clutch join a lot.
    Hatched {
        /// The lot.
        lot: String,
        /// The clutch.
        clutch: String,
        /// How many.
        count: u32,
    },
    /// So many go from one lot to another: a split, a merge, a part moved on.
    Moved {
        /// From here.
        from: String,
        /// To there; it need not have been before.
        to: String,
        /// How many.
        count: u32,
        /// Their clutch, where each is known (marked, or kept apart); else any of the lot.
        clutch: Option<String>,
    },
    /// So many leave the lot for good: dead, escaped.
    Left {
        /// From here.
        from: String,
        /// How many.
        count: u32,
        /// Their clutch, where known.
        clutch: Option<String>,
    },
}

/// Most animals that all steps together may tell of: no sum of them runs over.
const MOST_ANIMALS: u32 = 10_000_000;

impl Step {
    const fn count(&self) -> u32 {
        match self {
            Self::Hatched { count, .. } | Self::Moved { count, .. } | Self::Left { count, .. } => *count,
        }
    }
}

/// How many of a lot are of one clutch.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Part {
    /// The clutch.
    pub clutch: String,
    /// On average.
    pub expected: Ratio,
    /// At least.
    pub least: u32,
    /// At most.
    pub most: u32,
    /// Share of the lot on average.
    pub share: Share,
}

/// The clutches of a lot.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Clutches {
    /// Animals of the lot.
    pub animals: u32,
    /// By clutch.
    pub parts: Vec<Part>,
    /// True where every number is known and no clutch has more than one animal above another.
    pub equal_for_certain: bool,
}

#[derive(Debug, Clone, Copy, Default)]
struct Of {
    expected: f64,
    least: u32,
    most: u32,
}

type Lot = BTreeMap<String, Of>;

/// The clutches of `lot` after all steps.
///
/// # Errors
/// More than ten million animals in the steps, more taken than there are, of a lot or of a clutch in it, or a lot that nobody has told of.
pub fn clutches(steps: &[Step], lot: &str) -> Result<Clutches, Refusal> {
    let told: u64 = steps.iter().map(|step| u64::from(step.count())).sum();
    if told > u64::from(MOST_ANIMALS) {
        return Err(Refusal::new(
            "too-many-animals",
            format!("lot {lot}"),
            format!("the steps tell of {told} animals, more than {MOST_ANIMALS}"),
            "ask about the steps that lead to this lot alone",
        ));
    }
    let mut lots: BTreeMap<&str, (u32, Lot)> = BTreeMap::new();
    for step in steps {
        match step {
            Step::Hatched { lot, clutch, count } => {
                let (all, of) = lots.entry(lot).or_default();
                *all += count;
                let own = of.entry(clutch.clone()).or_default();
                own.expected += f64::from(*count);
                own.least += count;
                own.most += count;
            }
            Step::Moved { from, to, count, clutch } => {
                let taken = take(&mut lots, from, *count, clutch.as_deref())?;
                let (all, of) = lots.entry(to).or_default();
                *all += count;
                for (clutch, more) in taken {
                    let own = of.entry(clutch).or_default();
                    own.expected += more.expected;
                    own.least += more.least;
                    own.most += more.most;
                }
            }
            Step::Left { from, count, clutch } => {
                take(&mut lots, from, *count, clutch.as_deref())?;
            }
        }
    }
    let (animals, of) = lots.remove(lot).ok_or_else(|| unknown(lot))?;
    let parts = of.into_iter().filter(|(_, of)| of.most > 0).map(|(clutch, of)| {
        let share = if animals == 0 { 0.0 } else { (of.expected / f64::from(animals)).clamp(0.0, 1.0) };
        Ok(Part {
            clutch,
            expected: Ratio::new(of.expected)?,
            least: of.least.min(animals),
            most: of.most.min(animals),
            share: Share::new(share)?,
        })
    });
    let parts = parts.collect::<Result<Vec<Part>, Refusal>>()?;
    let certain = parts.iter().all(|part| part.least == part.most);
    let counts = || parts.iter().map(|part| part.most);
    let even = counts().max().unwrap_or(0).saturating_sub(counts().min().unwrap_or(0)) <= 1;
    Ok(Clutches { animals, equal_for_certain: certain && even && !parts.is_empty(), parts })
}

fn unknown(lot: &str) -> Refusal {
    Refusal::new(
        "lot-unknown",
        format!("lot {lot}"),
        "no step tells of it",
        "post where its animals came from",
    )
}

/// Takes `count` out of a lot: of one clutch, or of whichever.
fn take(
    lots: &mut BTreeMap<&str, (u32, Lot)>,
    from: &str,
    count: u32,
    clutch: Option<&str>,
) -> Result<Lot, Refusal> {
    let (all, of) = lots.get_mut(from).ok_or_else(|| unknown(from))?;
    let most = clutch.map_or(*all, |clutch| of.get(clutch).map_or(0, |own| own.most).min(*all));
    if count > most {
        return Err(Refusal::new(
            "more-than-there-are",
            format!("{count} taken out of lot {from}"),
            match clutch {
                Some(clutch) => format!("it holds at most {most} of clutch {clutch}"),
                None => format!("it holds {most}"),
            },
            "check the order of the steps and the counts",
        ));
    }
    let before = *all;
    *all -= count;
    let mut taken = Lot::new();
    if let Some(clutch) = clutch {
        if let Some(own) = of.get_mut(clutch) {
            own.expected = (own.expected - f64::from(count)).max(0.0);
            own.least = own.least.saturating_sub(count);
            own.most -= count;
        }
        taken.insert(clutch.to_owned(), Of { expected: f64::from(count), least: count, most: count });
        return Ok(taken);
    }
    let left = *all;
    for (clutch, own) in of.iter_mut() {
        let part = if before == 0 { 0.0 } else { own.expected * f64::from(count) / f64::from(before) };
        let out = Of {
            expected: part,
            // Of those taken, only as many can be of other clutches as the others leave behind.
            least: own.least.saturating_sub(left),
            most: own.most.min(count),
        };
        own.expected -= part;
        own.least = own.least.saturating_sub(count);
        own.most = own.most.min(left);
        taken.insert(clutch.clone(), out);
    }
    Ok(taken)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn hatched(lot: &str, clutch: &str, count: u32) -> Step {
        Step::Hatched { lot: lot.into(), clutch: clutch.into(), count }
    }

    fn moved(from: &str, to: &str, count: u32, clutch: Option<&str>) -> Step {
        Step::Moved { from: from.into(), to: to.into(), count, clutch: clutch.map(str::to_owned) }
    }

    fn parts(steps: &[Step], lot: &str) -> Vec<(String, f64, u32, u32)> {
        let told = clutches(steps, lot).unwrap();
        told.parts.into_iter().map(|p| (p.clutch, p.expected.value(), p.least, p.most)).collect()
    }

    /// 96 gharial hatchlings of three clutches kept apart; twelve of each go.
    #[test]
    fn twelve_of_each_of_three() {
        let mut steps = Vec::new();
        for (lot, clutch) in [("H1", "C1"), ("H2", "C2"), ("H3", "C3")] {
            steps.push(hatched(lot, clutch, 32));
            steps.push(moved(lot, "GONE", 12, None));
        }
        let told = clutches(&steps, "GONE").unwrap();
        assert!(told.equal_for_certain && told.animals == 36);
        assert!(told.parts.iter().all(|part| (part.share.share() - 1.0 / 3.0).abs() < 1e-12));
        assert_eq!(parts(&steps, "H1"), [("C1".to_owned(), 20.0, 20, 20)]);
    }

    /// By hand: 10 of A and 5 of B in one tank, 12 taken: A is 8 on average, 7 at least (only 5 are B)
    /// and 10 at most; B is 4 on average, 2 at least (only 10 are A), 5 at most.
    #[test]
    fn mixed_lots_have_bounds() {
        let steps = [hatched("T", "A", 10), hatched("T", "B", 5), moved("T", "R", 12, None)];
        assert_eq!(parts(&steps, "R"), [("A".to_owned(), 8.0, 7, 10), ("B".to_owned(), 4.0, 2, 5)]);
        assert_eq!(parts(&steps, "T"), [("A".to_owned(), 2.0, 0, 3), ("B".to_owned(), 1.0, 0, 3)]);
        assert!(!clutches(&steps, "R").unwrap().equal_for_certain);
        // Marked ones are known: five of A and five of B for certain.
        let known = [
            hatched("T", "A", 10),
            hatched("T", "B", 5),
            moved("T", "R", 5, Some("A")),
            moved("T", "R", 5, Some("B")),
        ];
        assert!(clutches(&known, "R").unwrap().equal_for_certain);
    }

    #[test]
    fn more_than_there_are_is_refused() {
        let code = |steps: &[Step], lot| clutches(steps, lot).unwrap_err().code;
        assert_eq!(code(&[hatched("T", "A", 3), moved("T", "R", 4, None)], "R"), "more-than-there-are");
        assert_eq!(code(&[hatched("T", "A", 3), moved("T", "R", 1, Some("B"))], "R"), "more-than-there-are");
        assert_eq!(code(&[moved("X", "R", 1, None)], "R"), "lot-unknown");
        assert_eq!(code(&[], "R"), "lot-unknown");
        assert_eq!(code(&[hatched("T", "A", u32::MAX), hatched("T", "A", 9)], "T"), "too-many-animals");
        let left = Step::Left { from: "T".into(), count: 1, clutch: None };
        assert_eq!(clutches(&[hatched("T", "A", 3), left], "T").unwrap().animals, 2);
    }

    proptest! {
        /// The averages add up to the animals, and lie within their bounds, whatever is moved.
        #[test]
        fn averages_add_up(a in 0_u32..50, b in 0_u32..50, first in 0_u32..50, second in 0_u32..50) {
            let first = first.min(a + b);
            let second = second.min(first);
            let steps = [
                hatched("T", "A", a), hatched("T", "B", b), moved("T", "R", first, None), moved("R", "T", second, None),
            ];
            for lot in ["T", "R"] {
                let told = clutches(&steps, lot).unwrap();
                let sum: f64 = told.parts.iter().map(|part| part.expected.value()).sum();
                prop_assert!((sum - f64::from(told.animals)).abs() < 1e-6);
                for part in told.parts {
                    let (least, most) = (f64::from(part.least), f64::from(part.most));
                    prop_assert!(least - 1e-6 <= part.expected.value() && part.expected.value() <= most + 1e-6);
                }
            }
        }
    }
}
