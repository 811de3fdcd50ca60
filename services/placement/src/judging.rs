//! One centre judged by every rule, and the unit it comes out best by.

use crate::answer::{Check, Verdict};
use crate::case::{AtCentre, InUnit};
use crate::rules::{About, PlacementRule, RULES, Standing, is_of_other_kind};
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
    /// The reasons of the rules about something.
    fn of(here: &AtCentre<'_>, unit: Option<&InUnit<'_>>, about: About) -> Self {
        Self::up_to(here, unit, about, usize::MAX)
    }

    /// The same, given up at the first reason beyond so many.
    fn up_to(here: &AtCentre<'_>, unit: Option<&InUnit<'_>>, about: About, most: usize) -> Self {
        let mut reasons = Self::default();
        for rule in PlacementRule::that_exclude(about) {
            let verdict = rule.word(here, unit).map_or(Verdict::Pass, |word| word.verdict);
            if verdict != Verdict::Pass {
                reasons.against += 1;
                // What cannot be checked is not waived.
                let waived = verdict == Verdict::Fail && rule.order(here).is_some();
                reasons.unwaived += usize::from(!waived);
                if reasons.against > most {
                    break;
                }
            }
        }
        reasons
    }

    /// All of a unit.
    fn of_unit(here: &AtCentre<'_>, case: &InUnit<'_>) -> Self {
        Self::of(here, Some(case), About::Unit).and(Self::of(here, Some(case), About::Company))
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
///
/// Thousands of units are asked for every question, so nothing is asked that cannot matter: the
/// smallest that is open ends the search, and a unit is dropped at the first reason too many.
pub(crate) fn choose(here: &AtCentre<'_>) -> (Option<usize>, Outcome) {
    let of_centre = Reasons::of(here, None, About::Centre);
    let meant = meant_for_such(here);
    // Without an order nothing is waived: a centre with a reason against it is closed.
    let ordered = !here.asked.request.waivers.is_empty();
    let mut best: Option<(Rank, usize)> = None;
    for &at in here.smallest_first().iter() {
        let (Some((unit_at, unit)), Some(meant)) = (here.units.get(at), meant.get(at)) else { continue };
        if *meant == Meant::Passed {
            continue;
        }
        let other = *meant != Meant::Yes;
        // In a row an empty unit may be worse off than a full one: on its water its own batch counts.
        let beaten = best
            .as_ref()
            .map(|(least, _)| least)
            .filter(|least| !ordered && unit.units <= 1 && other == least.meant_for_others);
        let left = beaten.map(|least| least.left_to_beat(of_centre));
        // It could come out better only by being open, and no unit of the centre is.
        if left == Some(None) && of_centre.against > 0 {
            continue;
        }
        // Where it can come out better only by being open, not a single reason.
        let most = left.map_or(usize::MAX, Option::unwrap_or_default);
        let case = InUnit::new(here, *unit_at, unit);
        let alone = Reasons::up_to(here, Some(&case), About::Unit, most);
        if alone.against > most {
            continue;
        }
        let company = |case: &InUnit<'_>, most| Reasons::up_to(here, Some(case), About::Company, most);
        if of_centre.and(alone).against == 0 && company(&case, 0).against == 0 {
            return (Some(at), Outcome::Open);
        }
        if left == Some(None) {
            continue;
        }
        let emptied = company(&case.emptied(), most - alone.against);
        if alone.and(emptied).against > most {
            continue;
        }
        let whole = of_centre.and(alone);
        let rank = Rank::of(whole.and(company(&case, usize::MAX)), whole.and(emptied), other);
        if best.as_ref().is_none_or(|(least, _)| rank < *least) {
            best = Some((rank, at));
        }
    }
    match best {
        Some((rank, at)) => (Some(at), rank.outcome),
        None => (None, of_centre.outcome()),
    }
}

/// Whether the centre is an option, by order or without: as [`judge`] has it, sooner.
pub(crate) fn is_option(here: &AtCentre<'_>) -> bool {
    let of_centre = Reasons::of(here, None, About::Centre);
    if of_centre.unwaived > 0 {
        return false;
    }
    if here.units.is_empty() {
        return Judged { unit: None, checks: checks(here, None) }.outcome() < Outcome::Closed(0);
    }
    let ordered = !here.asked.request.waivers.is_empty();
    let mut units = here.units.iter().zip(meant_for_such(here)).filter(|(_, meant)| *meant != Meant::Passed);
    units.any(|((unit_at, unit), _)| {
        let case = InUnit::new(here, *unit_at, unit);
        if ordered { Reasons::of_unit(here, &case).unwaived == 0 } else { is_open(here, &case) }
    })
}

/// How well a unit comes out, the best first; among equals the smaller one was asked before.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Rank {
    open: Outcome,
    meant_for_others: bool,
    left_when_empty: usize,
    outcome: Outcome,
}

impl Rank {
    fn of(reasons: Reasons, when_empty: Reasons, meant_for_others: bool) -> Self {
        let outcome = reasons.outcome();
        let left_when_empty = match outcome {
            Outcome::Closed(_) => when_empty.against,
            Outcome::Open | Outcome::Waived => 0,
        };
        Self { open: outcome.min(Outcome::Closed(0)), meant_for_others, left_when_empty, outcome }
    }

    /// Reasons about units that an emptied unit may have and still come out better; `None` where none
    /// can.
    fn left_to_beat(&self, of_centre: Reasons) -> Option<usize> {
        // With as few reasons full as empty, only fewer when empty are better.
        let beaten_by_fewer = self.outcome == Outcome::Closed(self.left_when_empty);
        let most = self.left_when_empty.checked_sub(usize::from(beaten_by_fewer))?;
        most.checked_sub(of_centre.against)
    }
}

/// True when no rule about units stands against the place.
fn is_open(here: &AtCentre<'_>, case: &InUnit<'_>) -> bool {
    [About::Unit, About::Company]
        .into_iter()
        .all(|about| Reasons::up_to(here, Some(case), about, 0).against == 0)
}

/// Units of the centre that are open, the empty ones of a row each.
pub(crate) fn open_units(here: &AtCentre<'_>) -> u32 {
    let of_centre = Reasons::of(here, None, About::Centre);
    if of_centre.against > 0 {
        return 0;
    }
    let open = here.units.iter().filter(|(unit_at, unit)| is_open(here, &InUnit::new(here, *unit_at, unit)));
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
            let against = || {
                let case = InUnit::new(here, *unit_at, unit);
                suits.is_some_and(|rule| stands_against(rule, here, Some(&case)))
            };
            let known = here.asked.known_unit(*unit_at, unit);
            let suits = known.and_then(|known| here.asked.is_known_to_suit(known));
            let kind = known.map_or_else(|| unit.unit_kind, |known| known.kind);
            if suits.unwrap_or_else(|| !against()) && !is_of_other_kind(here.asked, kind) {
                Meant::Yes
            } else {
                Meant::No
            }
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

/// The first rule that stands against a place without an order that sets it aside.
pub(crate) fn first_unwaived(
    here: &AtCentre<'_>,
    unit: Option<&InUnit<'_>>,
) -> Option<&'static PlacementRule> {
    let excluding = RULES.iter().filter(|rule| rule.standing != Standing::Advisory);
    excluding.into_iter().find(|rule| {
        let verdict = rule.word(here, unit).map_or(Verdict::Pass, |word| word.verdict);
        match verdict {
            Verdict::Pass => false,
            // What cannot be checked is not waived.
            Verdict::CannotCheck => true,
            Verdict::Fail => rule.order(here).is_none(),
        }
    })
}

/// The rules that stand against a place.
pub(crate) fn rules_against(
    here: &AtCentre<'_>,
    unit: Option<&InUnit<'_>>,
) -> impl Iterator<Item = &'static PlacementRule> {
    RULES.iter().filter(move |rule| stands_against(rule, here, unit))
}

/// Land and water of a unit in whole square decimetres: what choosing the smallest goes by.
pub(crate) fn size_of(unit: &Unit) -> u64 {
    let area = unit.land_square_metre.unwrap_or(0.0) + unit.water_square_metre.unwrap_or(0.0);
    // A float cast saturates and takes what is no number for zero, which is what is wanted here.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let whole = (area * 100.0).round() as u64;
    whole
}
