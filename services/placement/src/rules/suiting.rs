//! Whether there is a unit at all, what it is meant for, and for how long.

use haulout_schemas::profile::SpaceRule;
use haulout_schemas::records::standing::{Arrangement, UnitKind};

use super::licence::scope_wanted;
use super::set;
use crate::answer::Change;
use crate::case::{AtCentre, InUnit, Word};
use crate::room;
use crate::view::Unit;

/// The centre has units.
pub(super) fn has_unit(here: &AtCentre<'_>) -> Word {
    let called = here.centre.called();
    match here.units.len() {
        0 => Word::fail(format!("{called} has no unit")),
        1 => Word::pass(format!("{called} has one unit")),
        many => Word::pass(format!("{called} has {many} units")),
    }
}

/// A unit just large enough, and meant for the animal.
pub(super) fn mend_has_unit(here: &AtCentre<'_>) -> Vec<Change> {
    let asked = here.asked;
    let dry = asked
        .candidates
        .iter()
        .all(|candidate| matches!(candidate.profile.space.value, SpaceRule::Floor { .. }));
    let mut unit = Unit {
        unit_id: "to be built".to_owned(),
        centre_id: here.centre.centre_id.clone(),
        unit_kind: if dry { UnitKind::Pen } else { UnitKind::Pool },
        units: 1,
        arrangement: Arrangement::Isolating,
        land_square_metre: None,
        water_square_metre: None,
        depth_metre: None,
        length_limit: None,
        heads_limit: None,
        suits: scope_wanted(here),
        stays: Vec::new(),
        water_circuit: None,
        occupants: Vec::new(),
        expected: Vec::new(),
        reserved: Vec::new(),
        quarantine: None,
        free_units: None,
        free_size: None,
        capacity_as_of: None,
    };
    if let Ok(needed) = room::needed(&InUnit::new(here, 0, &unit)) {
        let some = |figure: f64| (figure > 0.0).then(|| room::up(figure));
        let need = needed.need;
        unit.land_square_metre = some(need.land_m2);
        unit.water_square_metre = some(need.water_m2);
        unit.depth_metre = some(need.depth_m);
    }
    set("/units/-".to_owned(), unit)
}

/// The unit is meant for every species the animal may be.
pub(super) fn suits(case: &InUnit<'_>) -> Word {
    let asked = case.asked();
    let unit = &case.unit.unit_id;
    if case.unit.suits.is_empty() {
        return Word::cannot_check(format!("nobody said what {unit} suits"));
    }
    let outside = asked
        .candidates
        .iter()
        .find(|candidate| !asked.species.is_within_any(candidate.profile, &case.unit.suits));
    match outside {
        Some(candidate) => Word::fail(format!(
            "{unit} is meant for {}, not for {}",
            case.unit.suits.join(", "),
            candidate.profile.scientific_name
        )),
        None => Word::pass(format!("{unit} is meant for such animals")),
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
        return Word::pass(format!("{unit} serves for this stay ({stay})"));
    }
    let meant: Vec<&str> = case.unit.stays.iter().map(|stay| stay.as_str()).collect();
    Word::fail(format!("{unit} serves for {} only, not for {stay}", meant.join(", ")))
}

pub(super) fn mend_stay(case: &InUnit<'_>) -> Vec<Change> {
    let mut stays = case.unit.stays.clone();
    stays.push(case.asked().request.stay);
    set(format!("/units/{}/stays", case.unit_at), stays)
}
