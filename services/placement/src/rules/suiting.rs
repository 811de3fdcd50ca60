//! Whether there is a unit at all, what it is meant for, and for how long.

use chrono::TimeDelta;
use haulout_schemas::profile::SpaceRule;
use haulout_schemas::records::standing::{Arrangement, UnitKind};
use haulout_schemas::vocabulary::Stay;

use super::licence::scope_wanted;
use super::{eggs, set};
use crate::answer::Change;
use crate::case::{Asked, AtCentre, Candidate, InUnit, told};
use crate::room;
use crate::view::Unit;
use crate::word::{Saying, Word, say};

/// The centre has units.
pub(super) fn has_unit(here: &AtCentre<'_>) -> Word {
    let called = here.centre.called();
    match here.units.len() {
        0 => Word::fail(say!(here, "{called} has no unit")),
        1 => Word::pass(say!(here, "{called} has one unit")),
        many => Word::pass(say!(here, "{called} has {many} units")),
    }
}

/// A unit just large enough, and meant for the animal.
pub(super) fn mend_has_unit(here: &AtCentre<'_>) -> Vec<Change> {
    let asked = here.asked;
    let mut unit = Unit {
        unit_id: "to be built".to_owned(),
        centre_id: here.centre.centre_id.clone(),
        unit_kind: kind_wanted(asked),
        units: 1,
        arrangement: Arrangement::Isolating,
        land_square_metre: None,
        water_square_metre: None,
        depth_metre: None,
        length_limit: None,
        heads_limit: None,
        suits: scope_wanted(here),
        stays: Vec::new(),
        longest_side_metre: None,
        heated: None,
        lowest_celsius: None,
        highest_celsius: None,
        water_type: None,
        keeps_orientation: None,
        water_circuit: None,
        occupants: Vec::new(),
        expected: Vec::new(),
        reserved: Vec::new(),
        quarantine: None,
        free_units: None,
        free_size: None,
        capacity_as_of: None,
    };
    if asked.eggs() {
        unit.unit_kind = UnitKind::Incubator;
        unit.arrangement = Arrangement::Communal;
        unit.heads_limit = Some(asked.request.individual_count);
        unit.keeps_orientation = Some(true);
        unit.lowest_celsius = Some(eggs::band(asked).low);
    } else if let Ok(needed) = room::needed(&InUnit::new(here, 0, &unit)) {
        let some = |figure: f64| (figure > 0.0).then(|| room::up(figure));
        let need = needed.need;
        unit.land_square_metre = some(need.land_m2);
        unit.water_square_metre = some(need.water_m2);
        unit.depth_metre = some(need.depth_m);
    }
    set("/units/-".to_owned(), unit)
}

/// A dry pen for animals on land, a pool for others.
pub(super) fn kind_wanted(asked: &Asked<'_>) -> UnitKind {
    let dry = |candidate: &Candidate<'_>| matches!(candidate.profile.space.value, SpaceRule::Floor { .. });
    if asked.candidates.iter().all(dry) { UnitKind::Pen } else { UnitKind::Pool }
}

/// The unit is meant for every species the animal may be.
pub(super) fn suits(case: &InUnit<'_>) -> Word {
    let asked = case.asked();
    let unit = &case.unit.unit_id;
    let known = case.known.and_then(|known| asked.is_known_to_suit(known));
    match known.filter(|_| !case.is_aloud() && !case.unit.suits.is_empty()) {
        Some(true) => return Word::pass(Saying::default()),
        Some(false) => return Word::fail(Saying::default()),
        None => {}
    }
    if asked.eggs() && case.unit.suits.is_empty() && case.unit.unit_kind == UnitKind::Incubator {
        return Word::pass(say!(case, "{unit} is meant for eggs"));
    }
    if case.unit.suits.is_empty() {
        return Word::cannot_check(say!(case, "nobody said what {unit} suits"));
    }
    let outside =
        asked.candidates.iter().find(|candidate| !asked.is_within_any(candidate.profile, &case.unit.suits));
    match outside {
        Some(candidate) => Word::fail(say!(
            case,
            "{unit} is meant for {}, not for {}",
            case.unit.suits.join(", "),
            candidate.profile.scientific_name
        )),
        None => Word::pass(say!(case, "{unit} is meant for such animals")),
    }
}

pub(super) fn mend_suits(case: &InUnit<'_>) -> Vec<Change> {
    let mut suits = case.unit.suits.clone();
    suits.extend(scope_wanted(case.here));
    set(format!("/units/{}/suits", case.unit_at), suits)
}

/// The unit is meant for such a stay.
pub(super) fn stay(case: &InUnit<'_>) -> Word {
    let stay = case.asked().request.stay;
    let unit = &case.unit.unit_id;
    if case.unit.stays.is_empty() || case.unit.stays.contains(&stay) {
        return Word::pass(say!(case, "{unit} serves for this stay ({stay})"));
    }
    let meant: Vec<&str> = case.unit.stays.iter().map(|stay| stay.as_str()).collect();
    Word::fail(say!(case, "{unit} serves for {} only, not for {stay}", meant.join(", ")))
}

/// A stay to stabilise ends in time.
pub(super) fn stabilise_hours(here: &AtCentre<'_>) -> Word {
    let asked = here.asked;
    if asked.request.stay != Stay::Stabilise {
        return Word::pass("not a stay to stabilise");
    }
    let most = asked.view.settings.stabilise_hours;
    let arrival = here.window.arrival;
    let Some(until) = asked.request.stay_until else {
        let last = arrival.checked_add_signed(TimeDelta::hours(i64::from(most))).unwrap_or(arrival);
        return Word::pass(say!(here, "{most} hours at most")).noting(say!(
            here,
            "a stay to stabilise ends by {}: ask for its next place now",
            last.format("%Y-%m-%d at %H:%M")
        ));
    };
    if until < arrival {
        return Word::cannot_check(say!(
            here,
            "the stay is to end on {}, before the animal arrives",
            until.with_timezone(arrival.offset()).format("%Y-%m-%d at %H:%M")
        ));
    }
    let minutes = until.signed_duration_since(arrival).num_minutes().clamp(0, i64::from(u32::MAX));
    // Clamped to the range of u32 just above.
    let hours = f64::from(u32::try_from(minutes).unwrap_or(u32::MAX)) / 60.0;
    let word = if hours <= f64::from(most) {
        Word::pass(say!(here, "{} of {most} hours to stabilise", told(hours)))
    } else {
        Word::fail(say!(here, "a stay to stabilise of {} hours, {most} at most", told(hours)))
    };
    word.comparing("hours of the stay", Some(hours), Some(f64::from(most)), "h")
}

pub(super) fn mend_stabilise_hours(here: &AtCentre<'_>) -> Vec<Change> {
    let most = TimeDelta::hours(i64::from(here.asked.view.settings.stabilise_hours));
    let last = here.window.arrival.checked_add_signed(most).unwrap_or(here.window.arrival);
    set("/requests/0/stayUntil".to_owned(), last)
}

pub(super) fn mend_stay(case: &InUnit<'_>) -> Vec<Change> {
    let mut stays = case.unit.stays.clone();
    stays.push(case.asked().request.stay);
    set(format!("/units/{}/stays", case.unit_at), stays)
}
