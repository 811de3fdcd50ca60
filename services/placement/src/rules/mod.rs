//! The rules of placement, one table of all and one small function for each.
//!
//! A rule looks at one request, one centre and, where it must, one unit, and
//! gives a word: pass, fail, or cannot be checked. Beside its judgement stands
//! its mending: the operations on the request file after which it would pass.

mod company;
mod eggs;
mod least;
mod leave;
mod licence;
mod quarantine;
mod readiness;
mod road;
mod season;
mod size;
mod space;
mod suiting;
mod table;
mod way;

use std::sync::LazyLock;

use haulout_schemas::rule::Rule;

use crate::answer::{Change, Check, Verdict, WaivedBy};
use crate::case::{AtCentre, InUnit};
use crate::word::Word;

pub(crate) use eggs::is_of_other_kind;
pub use table::RULES;

/// Whether an order may set a rule aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Never: danger to people, cannot fit, standstill, unfit to travel, custody without leave.
    Absolute,
    /// Only by a named order with an end date; what cannot be checked is not waived.
    Waivable,
    /// It excludes nothing: an option says it in a note.
    Advisory,
}

/// One rule of placement.
#[derive(Debug, Clone, Copy)]
pub struct PlacementRule {
    /// Its entry in the catalogue.
    pub rule: Rule,
    /// Whether an order may set it aside.
    pub standing: Standing,
    pub(crate) judge: Judge,
}

/// What a rule looks at, how it judges and how it is mended.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Judge {
    /// The request at a centre, whatever its species.
    Centre(fn(&AtCentre<'_>) -> Word, fn(&AtCentre<'_>) -> Vec<Change>),
    /// The request at a centre; has a word only where the species is known.
    Species(fn(&AtCentre<'_>) -> Word, fn(&AtCentre<'_>) -> Vec<Change>),
    /// The request in a unit; has a word only where the species is known.
    Unit(fn(&InUnit<'_>) -> Word, fn(&InUnit<'_>) -> Vec<Change>),
    /// The same; its word depends on who is in the unit, too.
    Company(fn(&InUnit<'_>) -> Word, fn(&InUnit<'_>) -> Vec<Change>),
}

/// What a rule is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum About {
    /// The animal and the centre.
    Centre,
    /// A unit, whoever is in it.
    Unit,
    /// Who is in the unit.
    Company,
}

impl PlacementRule {
    /// The rule of a code.
    #[must_use]
    pub fn of(code: &str) -> Option<&'static Self> {
        RULES.iter().find(|rule| rule.rule.code == code)
    }

    /// The rules that can exclude, by what they are about.
    pub(crate) fn that_exclude(about: About) -> &'static [&'static Self] {
        static EXCLUDING: LazyLock<[Vec<&PlacementRule>; 3]> = LazyLock::new(|| {
            [About::Centre, About::Unit, About::Company].map(|about| {
                let rules = RULES.iter().filter(|rule| rule.standing != Standing::Advisory);
                rules.filter(|rule| rule.about() == about).collect()
            })
        });
        let [centre, unit, company] = &*EXCLUDING;
        match about {
            About::Centre => centre,
            About::Unit => unit,
            About::Company => company,
        }
    }

    /// What the rule says, or none where it has no word.
    pub(crate) fn word(&self, here: &AtCentre<'_>, unit: Option<&InUnit<'_>>) -> Option<Word> {
        let known = !here.asked.candidates.is_empty();
        match (self.judge, unit) {
            (Judge::Centre(word, _), _) => Some(word(here)),
            (Judge::Species(word, _), _) if known => Some(word(here)),
            (Judge::Unit(word, _) | Judge::Company(word, _), Some(unit)) if known => Some(word(unit)),
            _ => None,
        }
    }

    /// The check of this rule, or none where it has no word.
    pub(crate) fn check(&self, here: &AtCentre<'_>, unit: Option<&InUnit<'_>>) -> Option<Check> {
        let mut check = self.word(here, unit)?.into_check(self.rule.code);
        // What cannot be checked is not waived.
        if check.verdict == Verdict::Fail {
            check.waived_by = self.order(here);
        }
        Some(check)
    }

    /// True when the rule has a word only where the species is known.
    pub(crate) fn needs_species(&self) -> bool {
        !matches!(self.judge, Judge::Centre(..))
    }

    /// True when the rule looks at a unit.
    pub(crate) fn is_of_units(&self) -> bool {
        self.about() != About::Centre
    }

    /// True when the rule looks at who is in a unit.
    pub(crate) fn is_of_company(&self) -> bool {
        self.about() == About::Company
    }

    fn about(&self) -> About {
        match self.judge {
            Judge::Centre(..) | Judge::Species(..) => About::Centre,
            Judge::Unit(..) => About::Unit,
            Judge::Company(..) => About::Company,
        }
    }

    /// What would have to change for it to pass.
    pub(crate) fn mend(&self, here: &AtCentre<'_>, unit: Option<&InUnit<'_>>) -> Vec<Change> {
        match (self.judge, unit) {
            (Judge::Centre(_, mend) | Judge::Species(_, mend), _) => mend(here),
            (Judge::Unit(_, mend) | Judge::Company(_, mend), Some(unit)) => mend(unit),
            (Judge::Unit(..) | Judge::Company(..), None) => Vec::new(),
        }
    }

    /// True when the check keeps a centre from being an option without an order.
    pub(crate) fn stands_against(&self, check: &Check) -> bool {
        check.verdict != Verdict::Pass && self.standing != Standing::Advisory
    }

    /// The order in force that waives it here, the one that lasts longest. An absolute rule has none.
    pub(crate) fn order(&self, here: &AtCentre<'_>) -> Option<WaivedBy> {
        if self.standing != Standing::Waivable {
            return None;
        }
        let day = here.arrival_day();
        let waivers = here.asked.request.waivers.iter();
        waivers
            .filter(|waiver| waiver.rule == self.rule.code && waiver.end_date >= day)
            .filter(|waiver| waiver.party_ids.is_empty() || waiver.party_ids.contains(&here.centre.centre_id))
            .max_by(|one, other| {
                (one.end_date, &other.order_number).cmp(&(other.end_date, &one.order_number))
            })
            .map(|waiver| WaivedBy { order_number: waiver.order_number.clone(), end_date: waiver.end_date })
    }
}

/// Sets a member of the request file.
fn set(path: String, value: impl serde::Serialize) -> Vec<Change> {
    // The values are the file's own types, which always have a JSON form; were one to have none,
    // no change is offered, and the exclusion says so.
    serde_json::to_value(value).map(|value| vec![Change::Add { path, value }]).unwrap_or_default()
}

/// Takes elements out of a list, the last first, so that no pointer moves.
fn take_out(list: &str, mut at: Vec<usize>) -> Vec<Change> {
    at.sort_unstable_by(|one, other| other.cmp(one));
    at.dedup();
    at.into_iter().map(|at| Change::Remove { path: format!("{list}/{at}") }).collect()
}
