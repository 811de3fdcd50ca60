//! One centre judged by every rule, and the unit it comes out best by.

use crate::answer::{Check, Verdict};
use crate::case::{AtCentre, InUnit};
use crate::rules::{PlacementRule, RULES, Standing, is_of_other_kind};
use crate::view::Unit;

/// One unit of a centre judged by every rule; without a unit, the centre alone.
pub(crate) struct Judged<'a> {
    pub unit: Option<(usize, &'a Unit)>,
    pub checks: Vec<(&'static PlacementRule, Check)>,
}

/// How a centre comes out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Outcome {
    /// No reason was found against.
    Open,
    /// Every reason is waived by an order in force.
    Waived,
    /// So many reasons stand against it.
    Closed(usize),
}

impl Judged<'_> {
    pub fn against(&self) -> impl Iterator<Item = &(&'static PlacementRule, Check)> {
        let checks = self.checks.iter();
        checks.filter(|(rule, check)| rule.stands_against(check))
    }

    pub fn outcome(&self) -> Outcome {
        let unwaived = self.against().filter(|(_, check)| check.waived_by.is_none()).count();
        Reasons { against: self.against().count(), unwaived }.outcome()
    }
}

/// How many reasons stand against a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Reasons {
    against: usize,
    unwaived: usize,
}

impl Reasons {
    /// The reasons of the rules about units, or of the others.
    fn of(here: &AtCentre<'_>, unit: Option<&InUnit<'_>>, of_units: bool) -> Self {
        let mut reasons = Self::default();
        for rule in RULES.iter().filter(|rule| rule.is_of_units() == of_units) {
            if !stands_against(rule, here, unit) {
                continue;
            }
            reasons.against += 1;
            let waived = rule.word(here, unit).is_some_and(|word| word.verdict == Verdict::Fail)
                && rule.order(here).is_some();
            reasons.unwaived += usize::from(!waived);
        }
        reasons
    }

    fn and(self, other: Self) -> Self {
        Self { against: self.against + other.against, unwaived: self.unwaived + other.unwaived }
    }

    fn outcome(self) -> Outcome {
        match (self.against, self.unwaived) {
            (0, _) => Outcome::Open,
            (_, 0) => Outcome::Waived,
            (against, _) => Outcome::Closed(against),
        }
    }
}

fn stands_against(rule: &PlacementRule, here: &AtCentre<'_>, unit: Option<&InUnit<'_>>) -> bool {
    rule.standing != Standing::Advisory
        && rule.word(here, unit).is_some_and(|word| word.verdict != Verdict::Pass)
}

/// The centre by the unit that comes out best: open before waived before closed; then one meant for
/// such animals, the fewest reasons left were its animals moved (moving is sooner done than
/// building), the fewest reasons, the smallest, the identifier.
pub(crate) fn judge<'a>(here: &'a AtCentre<'a>) -> Judged<'a> {
    let (best, _) = choose(&here.quietly());
    let unit = best.and_then(|at| here.units.get(at)).copied();
    let case = unit.map(|(unit_at, unit)| InUnit::new(here, unit_at, unit));
    Judged { unit, checks: checks(here, case.as_ref()) }
}

/// The unit by which the centre comes out best, as a position in its units, and how it does; see
/// [`judge`].
pub(crate) fn choose(here: &AtCentre<'_>) -> (Option<usize>, Outcome) {
    let of_centre = Reasons::of(here, None, false);
    let meant = meant_for_such(here);
    let ranked =
        here.units.iter().enumerate().zip(&meant).filter_map(|((at, (unit_at, unit)), meant_for)| {
            // Beside one that is meant for such animals, another one cannot come out best.
            if *meant_for == Meant::Passed {
                return None;
            }
            let case = InUnit::new(here, *unit_at, unit);
            let reasons = of_centre.and(Reasons::of(here, Some(&case), true));
            let outcome = reasons.outcome();
            let left_when_empty = match outcome {
                Outcome::Closed(_) if !case.companions.is_empty() => {
                    of_centre.and(Reasons::of(here, Some(&case.emptied()), true)).against
                }
                Outcome::Closed(reasons) => reasons,
                Outcome::Open | Outcome::Waived => 0,
            };
            let open = outcome.min(Outcome::Closed(0));
            let rank =
                (open, *meant_for != Meant::Yes, left_when_empty, outcome, size_of(unit), &unit.unit_id);
            Some((rank, at))
        });
    match ranked.min() {
        Some((rank, at)) => (Some(at), rank.3),
        None => (None, of_centre.outcome()),
    }
}

/// Units of the centre that are open, the empty ones of a row each.
pub(crate) fn open_units(here: &AtCentre<'_>) -> u32 {
    let of_centre = Reasons::of(here, None, false);
    if of_centre.against > 0 {
        return 0;
    }
    let open = here.units.iter().filter(|(unit_at, unit)| {
        let case = InUnit::new(here, *unit_at, unit);
        RULES.iter().filter(|rule| rule.is_of_units()).all(|rule| !stands_against(rule, here, Some(&case)))
    });
    open.fold(0, |sum, (_, unit)| sum.saturating_add(unit.standing_empty().max(1)))
}

/// Whether a unit is meant for such animals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Meant {
    Yes,
    No,
    /// It is not, others are, and no order lets it take their place: it need not be judged.
    Passed,
}

fn meant_for_such(here: &AtCentre<'_>) -> Vec<Meant> {
    let suits = PlacementRule::of("unit-suits");
    let mut meant: Vec<Meant> = here
        .units
        .iter()
        .map(|(unit_at, unit)| {
            let case = InUnit::new(here, *unit_at, unit);
            let against = suits.is_some_and(|rule| stands_against(rule, here, Some(&case)));
            if against || is_of_other_kind(here.asked, unit) { Meant::No } else { Meant::Yes }
        })
        .collect();
    let waived = suits.is_some_and(|rule| rule.order(here).is_some());
    if meant.contains(&Meant::Yes) && !waived && !here.asked.candidates.is_empty() {
        meant.iter_mut().filter(|one| **one == Meant::No).for_each(|one| *one = Meant::Passed);
    }
    meant
}

pub(crate) fn checks(here: &AtCentre<'_>, unit: Option<&InUnit<'_>>) -> Vec<(&'static PlacementRule, Check)> {
    RULES.iter().filter_map(|rule| Some((rule, rule.check(here, unit)?))).collect()
}

/// The checks that stand against a place, and no others.
pub(crate) fn reasons_against(
    here: &AtCentre<'_>,
    unit: Option<&InUnit<'_>>,
) -> Vec<(&'static PlacementRule, Check)> {
    let rules = RULES.iter().filter(|rule| rule.standing != Standing::Advisory);
    let checks = rules.filter_map(|rule| Some((rule, rule.check(here, unit)?)));
    checks.filter(|(rule, check)| rule.stands_against(check)).collect()
}

/// Land and water of a unit in whole square decimetres: what choosing the smallest goes by.
pub(crate) fn size_of(unit: &Unit) -> u64 {
    let area = unit.land_square_metre.unwrap_or(0.0) + unit.water_square_metre.unwrap_or(0.0);
    // A float cast saturates and takes what is no number for zero, which is what is wanted here.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let whole = (area * 100.0).round() as u64;
    whole
}
