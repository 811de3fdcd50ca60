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
            if reasons.counts(rule, here, unit) && reasons.against > most {
                break;
            }
        }
        reasons
    }

    /// Counts a rule where it stands against the place, and says so.
    fn counts(&mut self, rule: &PlacementRule, here: &AtCentre<'_>, unit: Option<&InUnit<'_>>) -> bool {
        let verdict = rule.word(here, unit).map_or(Verdict::Pass, |word| word.verdict);
        if verdict == Verdict::Pass {
            return false;
        }
        self.against += 1;
        // What cannot be checked is not waived.
        let waived = verdict == Verdict::Fail && rule.order(here).is_some();
        self.unwaived += usize::from(!waived);
        true
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

/// Rules in the order in which they are asked. What stood against one unit will stand against the next, so it
/// comes first: a unit with too many reasons against it is dropped after few questions. How many there are
/// does not depend on the order.
struct Questions(Vec<&'static PlacementRule>);

impl Questions {
    fn about(about: About) -> Self {
        Self(PlacementRule::that_exclude(about).to_vec())
    }

    /// As [`Reasons::up_to`].
    fn up_to(&mut self, here: &AtCentre<'_>, case: &InUnit<'_>, most: usize) -> Reasons {
        let mut reasons = Reasons::default();
        for at in 0..self.0.len() {
            if reasons.counts(self.0[at], here, Some(case)) {
                self.0[..=at].rotate_right(1);
                if reasons.against > most {
                    break;
                }
            }
        }
        reasons
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
    let (mut by_itself, mut company) = (Questions::about(About::Unit), Questions::about(About::Company));
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
        let alone = by_itself.up_to(here, &case, most);
        if alone.against > most {
            continue;
        }
        if of_centre.and(alone).against == 0 && company.up_to(here, &case, 0).against == 0 {
            return (Some(at), Outcome::Open);
        }
        if left == Some(None) {
            continue;
        }
        let emptied = company.up_to(here, &case.emptied(), most - alone.against);
        if alone.and(emptied).against > most {
            continue;
        }
        let whole = of_centre.and(alone);
        let when_empty = whole.and(emptied);
        let most = beaten.and_then(|least| least.most_as_it_stands(when_empty)).unwrap_or(usize::MAX);
        let full = whole.and(company.up_to(here, &case, most.saturating_sub(whole.against)));
        let rank = Rank::of(full, when_empty, other);
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

    /// Reasons that a unit may have as it stands and still come out better, where that decides: it has as many
    /// when empty.
    fn most_as_it_stands(&self, when_empty: Reasons) -> Option<usize> {
        match self.outcome {
            Outcome::Closed(against) if when_empty.against == self.left_when_empty => against.checked_sub(1),
            _ => None,
        }
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use haulout_schemas::names::Names;
    use haulout_schemas::profile::Profiles;
    use proptest::prelude::*;
    use serde_json::{Value, json};

    use super::*;
    use crate::case::Asked;
    use crate::request::RequestFile;
    use crate::species::Species;

    const KINDS: [&str; 3] = ["Lissemys punctata", "Nilssonia gangetica", "Pangshura tecta"];

    const SEXES: [&str; 3] = ["male", "female", "undetermined"];

    fn animal() -> impl Strategy<Value = Value> {
        (0..3_usize, 14..30_u32, 0..3_usize, prop::option::of(0..2_u32), 1..4_u32).prop_map(
            |(kind, centimetres, sex, batch, count)| {
                let mut animal = json!({
                    "scientificName": KINDS[kind], "sex": SEXES[sex],
                    "length": {
                        "value": f64::from(centimetres) / 100.0, "measure": "straightCarapaceLength",
                        "method": "taped",
                    },
                    "lifeStage": "adult", "individualCount": count,
                });
                if let Some(batch) = batch {
                    animal["batchID"] = json!(format!("b{batch}"));
                }
                animal
            },
        )
    }

    /// A centre with units in which this and that stands against a newcomer, and the newcomer.
    fn files() -> impl Strategy<Value = Value> {
        let occupants = prop::collection::vec(animal(), 0..4);
        let unit = (any::<bool>(), 0..3_usize, 1..12_u32, 1..8_u32, 1..3_u32, occupants, any::<bool>());
        let stay = prop::sample::select(vec!["quarantine", "long", "stabilise"]);
        let waived = prop::option::weighted(0.3, prop::sample::select(vec!["living-together", "room"]));
        (prop::collection::vec(unit, 1..12), animal(), stay, waived, any::<bool>()).prop_map(
            |(units, mut newcomer, stay, waived, licensed)| {
                let scope: &[&str] = if licensed { &["Testudines"] } else { &[] };
                let centre = json!({
                    "centreID": "A", "latitude": 22.0, "longitude": 78.0, "heads": 100, "vetLevel": "surgery",
                    "licences": [{ "scope": scope, "status": "inForce" }],
                });
                let units: Vec<Value> = units
                    .into_iter()
                    .enumerate()
                    .map(|(at, (communal, suits, water, depth, row, occupants, running))| {
                        let suits = [vec!["Testudines"], vec!["Geoemydidae"], vec![]][suits].clone();
                        let mut unit = json!({
                            "unitID": format!("U{at}"), "centreID": "A", "unitKind": "pool", "units": row,
                            "arrangement": if communal { "communal" } else { "isolating" }, "suits": suits,
                            "waterSquareMetre": f64::from(water) / 4.0, "depthMetre": f64::from(depth) / 10.0,
                            "headsLimit": 4, "occupants": occupants,
                        });
                        if running {
                            unit["quarantine"] = json!({ "batchID": "b0", "clearDay": "2026-08-01" });
                        }
                        unit
                    })
                    .collect();
                newcomer["requestID"] = json!("R");
                newcomer["stay"] = json!(stay);
                newcomer["triage"] = json!("green");
                newcomer["fitToTravel"] = json!({ "fit": "yes" });
                newcomer["from"] = json!({ "placeID": "yard" });
                newcomer["minutes"] = json!({ "A": 30 });
                if let Some(rule) = waived {
                    newcomer["waivers"] =
                        json!([{ "rule": rule, "orderNumber": "O-1", "endDate": "2026-12-31" }]);
                }
                json!({ "centres": [centre], "units": units, "roads": {}, "requests": [newcomer] })
            },
        )
    }

    /// The same with every rule asked of every unit.
    fn with_all_asked(here: &AtCentre<'_>) -> (Option<usize>, Outcome) {
        let of_centre = Reasons::of(here, None, About::Centre);
        let meant = meant_for_such(here);
        let mut ranks = Vec::new();
        for (sequence, &at) in here.smallest_first().iter().enumerate() {
            if meant[at] != Meant::Passed {
                let (unit_at, unit) = here.units[at];
                let case = InUnit::new(here, unit_at, unit);
                let alone = of_centre.and(Reasons::of(here, Some(&case), About::Unit));
                let full = alone.and(Reasons::of(here, Some(&case), About::Company));
                let emptied = alone.and(Reasons::of(here, Some(&case.emptied()), About::Company));
                ranks.push((Rank::of(full, emptied, meant[at] != Meant::Yes), sequence, at));
            }
        }
        let best = ranks.into_iter().min();
        best.map_or((None, of_centre.outcome()), |(rank, _, at)| (Some(at), rank.outcome))
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 4096, ..ProptestConfig::default() })]

        #[test]
        fn what_is_not_asked_does_not_matter(file in files()) {
            let file: RequestFile = serde_json::from_value(file).unwrap();
            let species = Species { profiles: Profiles::standard(), names: Names::standard() };
            let at = "2026-07-09T20:00:00+05:30".parse().unwrap();
            let asked = Asked::new(&file.view, &file.requests[0], species, at);
            let here = AtCentre::new(&asked, 0, &file.view.centres[0]).quietly();
            prop_assert_eq!(choose(&here), with_all_asked(&here));
        }
    }
}
