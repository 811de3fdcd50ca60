//! Whether the unit has the room: land, water, depth, heads.

use haulout_welfare::space::within;

use super::{set, size, take_out};
use crate::answer::{Change, Verdict};
use crate::case::{InUnit, Place, told};
use crate::room::{self, Needed, Obstacle};
use crate::word::{Saying, Word, say};

/// One figure of the space rule: its name, the member of the file, needed, available, its unit.
struct Line {
    name: &'static str,
    member: &'static str,
    needed: f64,
    available: Option<f64>,
    unit: &'static str,
}

impl Line {
    fn wants(&self) -> bool {
        self.needed > 0.0
    }

    fn enough(&self) -> bool {
        !self.wants() || self.available.is_some_and(|there| within(self.needed, there))
    }

    /// How much of what there is would be used; what is not known is used up beyond measure.
    fn strain(&self) -> f64 {
        self.available.map_or(f64::INFINITY, |there| self.needed / there)
    }

    fn told(&self) -> String {
        let there = self.available.map_or("not known".to_owned(), told);
        format!("{} {} of {} needed, {there} there", told(self.needed), self.unit, self.name)
    }
}

fn lines(case: &InUnit<'_>, needed: Needed) -> [Line; 3] {
    let there = room::offered(case.unit);
    let need = needed.need;
    let line = |name, member, needed, available, unit| Line { name, member, needed, available, unit };
    [
        line("land", "landSquareMetre", need.land_m2, there.land_m2, "m2"),
        line("water", "waterSquareMetre", need.water_m2, there.water_m2, "m2"),
        line("depth", "depthMetre", need.depth_m, there.depth_m, "m"),
    ]
}

/// Land, water and depth for all that would be in the unit, sized by the largest.
pub(super) fn room(case: &InUnit<'_>) -> Word {
    if case.asked().eggs() {
        return room_for_eggs(case);
    }
    let needed = match room::needed(case) {
        Ok(needed) => needed,
        Err(obstacle) => return Word::cannot_check(say!(case, "{}", obstacle.words())),
    };
    let lines = lines(case, needed);
    let mut short = lines.iter().filter(|line| !line.enough()).peekable();
    let verdict = if short.peek().is_none() {
        Verdict::Pass
    } else if needed.assumed || short.any(|line| line.available.is_none()) {
        Verdict::CannotCheck
    } else {
        Verdict::Fail
    };
    if !case.is_aloud() {
        return Word::of(verdict, Saying::default());
    }
    // The tightest first: the margin is its.
    let mut lines: Vec<Line> = lines.into_iter().filter(Line::wants).collect();
    lines.sort_by(|one, other| other.strain().total_cmp(&one.strain()));
    let short: Vec<&Line> = lines.iter().filter(|line| !line.enough()).collect();
    let unit = &case.unit.unit_id;
    let shown = if short.is_empty() { lines.iter().collect() } else { short };
    let told: Vec<String> = shown.into_iter().map(Line::told).collect();
    let size = if needed.assumed { " (a size is not stated, the largest is reckoned with)" } else { "" };
    let word = Word::of(verdict, format!("{unit}: {}{size}", told.join("; ")));
    lines
        .iter()
        .fold(word, |word, line| word.comparing(line.name, Some(line.needed), line.available, line.unit))
}

/// Eggs need no pool, and as many places as there are of them: which the limit of heads tells.
fn room_for_eggs(case: &InUnit<'_>) -> Word {
    match case.unit.heads_limit {
        Some(_) => Word::pass("eggs take places, no land and no water"),
        None => Word::cannot_check(say!(case, "nobody said how many eggs {} takes", case.unit.unit_id)),
    }
}

pub(super) fn mend_room(case: &InUnit<'_>) -> Vec<Change> {
    if case.asked().eggs() {
        return mend_heads(case);
    }
    let needed = match room::needed(case) {
        Ok(needed) => needed,
        Err(obstacle) => return mend_obstacle(case, obstacle),
    };
    if needed.assumed
        && let Some(change) = size::measured(case)
    {
        return vec![change];
    }
    lines(case, needed)
        .iter()
        .filter(|line| !line.enough())
        .flat_map(|line| {
            let path = format!("/units/{}/{}", case.unit_at, line.member);
            set(path, room::up(line.needed))
        })
        .collect()
}

fn mend_obstacle(case: &InUnit<'_>, obstacle: Obstacle) -> Vec<Change> {
    match obstacle {
        Obstacle::OwnLength(missing) => {
            let candidates = case.asked().candidates.iter();
            let mut named =
                candidates.filter(|candidate| candidate.profile.scientific_name == missing.scientific_name);
            named.next().map_or_else(Vec::new, |candidate| {
                size::measured_or_largest(case, candidate.profile, missing.to)
            })
        }
        Obstacle::CompanionLength(place, _) | Obstacle::CompanionUnknown(place, _) => {
            moved(case, vec![place])
        }
        Obstacle::BeyondSource(most) => {
            if case.companions.is_empty() {
                set("/requests/0/individualCount".to_owned(), most.max(1))
            } else {
                moved(case, case.companions.iter().map(|(place, _)| place).collect())
            }
        }
    }
}

/// Companions moved elsewhere.
pub(super) fn moved(case: &InUnit<'_>, places: Vec<Place>) -> Vec<Change> {
    ["expected", "occupants", "reserved"]
        .into_iter()
        .flat_map(|list| {
            let at = places.iter().filter(|place| place.list == list);
            take_out(&format!("/units/{}/{list}", case.unit_at), at.map(|place| place.at).collect())
        })
        .collect()
}

/// The unit's own limit of heads.
pub(super) fn heads(case: &InUnit<'_>) -> Word {
    let unit = &case.unit.unit_id;
    let after = case.present().saturating_add(case.heads);
    let Some(limit) = case.unit.heads_limit else {
        return Word::pass(say!(case, "{unit} states no limit of heads"));
    };
    let word = if after <= limit {
        Word::pass(say!(case, "{unit} would hold {after} of {limit} heads"))
    } else {
        Word::fail(say!(case, "{unit} would hold {after} heads, its limit is {limit}"))
    };
    word.comparing("heads", Some(f64::from(after)), Some(f64::from(limit)), "heads")
}

pub(super) fn mend_heads(case: &InUnit<'_>) -> Vec<Change> {
    let after = case.present().saturating_add(case.heads);
    set(format!("/units/{}/headsLimit", case.unit_at), after)
}
