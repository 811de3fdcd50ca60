//! The answer to one request: every centre once.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use haulout_schemas::names::Names;
use haulout_schemas::profile::{HazardClass, Profile, Profiles};
use haulout_schemas::vocabulary::{LengthMeasure, LengthMethod};

use crate::answer::{Check, Conversion, Exclusion, Options, PlacementOption, Verdict};
use crate::case::{Asked, AtCentre, InUnit, shown};
use crate::mending;
use crate::request::Request;
use crate::room::{self, RoomLeft};
use crate::rules::{PlacementRule, RULES};
use crate::species::{Size, Species};
use crate::view::{RegionView, Unit};

/// Answers one request.
///
/// The view must not hold the animal's own place, when the request is about one that is housed
/// already or was promised a place: it would count twice. `at` is the instant asked about; days
/// are those of its offset. Among units that will do, the smallest is offered, so that scarce room
/// is kept.
#[must_use]
pub fn options(
    view: &RegionView,
    request: &Request,
    profiles: &Profiles,
    names: &Names,
    at: DateTime<FixedOffset>,
) -> Options {
    let asked = Asked::new(view, request, Species { profiles, names }, at);
    let mut answer = Options {
        request_id: request.request_id.clone(),
        at,
        species: asked.candidates.iter().map(|candidate| candidate.profile.scientific_name.clone()).collect(),
        options: Vec::new(),
        waived: Vec::new(),
        excluded: Vec::new(),
        cautions: cautions(&asked),
    };
    for (centre_at, centre) in view.centres.iter().enumerate() {
        let here = AtCentre::new(&asked, centre_at, centre);
        let judged = judge(&here);
        match (judged.outcome(), judged.unit) {
            (Outcome::Open, Some(unit)) => answer.options.push(offer(&here, unit, judged)),
            (Outcome::Waived, Some(unit)) => answer.waived.push(offer(&here, unit, judged)),
            _ => answer.excluded.push(exclude(&here, judged)),
        }
    }
    let sequence = |option: &PlacementOption| {
        let load = option.load_after_per_mille.unwrap_or(u32::MAX);
        (option.minutes, load, area(view, option), option.centre_id.clone())
    };
    answer.options.sort_by_cached_key(sequence);
    answer.waived.sort_by_cached_key(sequence);
    answer.excluded.sort_by_cached_key(|one| (one.failed.len(), one.centre_id.clone()));
    answer
}

/// How many more of the request's kind one unit may take, by space and heads (over the empty units
/// of a row): nothing beyond this is granted. `None` where the region has no such unit.
///
/// It asks nothing else: whether the unit is an option at all is for [`options`] to say.
#[must_use]
pub fn room_left(
    view: &RegionView,
    request: &Request,
    profiles: &Profiles,
    names: &Names,
    at: DateTime<FixedOffset>,
    place: (&str, &str),
) -> Option<RoomLeft> {
    let (centre_id, unit_id) = place;
    let asked = Asked::new(view, request, Species { profiles, names }, at);
    let mut centres = view.centres.iter().enumerate();
    let (centre_at, centre) = centres.find(|(_, centre)| centre.centre_id == centre_id)?;
    let here = AtCentre::new(&asked, centre_at, centre);
    let mut units = here.units.iter();
    let (unit_at, unit) = units.find(|(_, unit)| unit.unit_id == unit_id)?;
    Some(room::left(&InUnit::new(&here, *unit_at, unit)))
}

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
        let against = self.against().count();
        let unwaived = self.against().filter(|(_, check)| check.waived_by.is_none()).count();
        match (against, unwaived) {
            (0, _) => Outcome::Open,
            (_, 0) => Outcome::Waived,
            (against, _) => Outcome::Closed(against),
        }
    }
}

/// The centre by the unit that comes out best: open before waived before closed; then one meant for
/// such animals, the fewest reasons left were its animals moved (moving is sooner done than
/// building), the fewest reasons, the smallest, the identifier.
pub(crate) fn judge<'a>(here: &'a AtCentre<'a>) -> Judged<'a> {
    let judged = here.units.iter().map(|(unit_at, unit)| {
        let case = InUnit::new(here, *unit_at, unit);
        let judged = Judged { unit: Some((*unit_at, *unit)), checks: checks(here, Some(&case)) };
        let left_when_empty = match judged.outcome() {
            Outcome::Closed(_) if !case.companions.is_empty() => {
                Judged { unit: None, checks: checks(here, Some(&case.emptied())) }.against().count()
            }
            Outcome::Closed(reasons) => reasons,
            Outcome::Open | Outcome::Waived => 0,
        };
        let open = judged.outcome().min(Outcome::Closed(0));
        let meant_for_others = judged.against().any(|(_, check)| check.code == "unit-suits");
        let rank = (open, meant_for_others, left_when_empty, judged.outcome(), size_of(unit));
        (rank, judged)
    });
    judged
        .min_by(|(one, left), (other, right)| {
            let name = |judged: &Judged<'a>| judged.unit.map(|(_, unit)| unit.unit_id.as_str());
            (one, name(left)).cmp(&(other, name(right)))
        })
        .map(|(_, judged)| judged)
        .unwrap_or_else(|| Judged { unit: None, checks: checks(here, None) })
}

pub(crate) fn checks(here: &AtCentre<'_>, unit: Option<&InUnit<'_>>) -> Vec<(&'static PlacementRule, Check)> {
    RULES.iter().filter_map(|rule| Some((rule, rule.check(here, unit)?))).collect()
}

/// Land and water of a unit in whole square decimetres: what choosing the smallest goes by.
fn size_of(unit: &Unit) -> u64 {
    let area = unit.land_square_metre.unwrap_or(0.0) + unit.water_square_metre.unwrap_or(0.0);
    // A float cast saturates and takes what is no number for zero, which is what is wanted here.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let whole = (area * 100.0).round() as u64;
    whole
}

fn area(view: &RegionView, option: &PlacementOption) -> u64 {
    let mut units = view.units.iter();
    units.find(|unit| unit.centre_id == option.centre_id && unit.unit_id == option.unit_id).map_or(0, size_of)
}

fn offer(here: &AtCentre<'_>, unit: (usize, &Unit), judged: Judged<'_>) -> PlacementOption {
    let (unit_at, unit) = unit;
    let case = InUnit::new(here, unit_at, unit);
    let conversions = conversions(&case);
    let notes = notes(&case, &judged, &conversions);
    // An option has a journey: the rule of the road is absolute.
    let journey = here.journey.as_ref().ok();
    PlacementOption {
        centre_id: here.centre.centre_id.clone(),
        unit_id: unit.unit_id.clone(),
        minutes: journey.map_or(u32::MAX, |journey| journey.minutes),
        kilometres: journey.and_then(|journey| journey.kilometres),
        journey_basis: journey.map_or(crate::answer::JourneyBasis::Stated, |journey| journey.basis),
        load_after_per_mille: load_after(here),
        room_left: room::left(&case).heads,
        vet_level: here.centre.vet_level,
        checks: judged.checks.into_iter().map(|(_, check)| check).collect(),
        conversions,
        notes,
    }
}

fn exclude(here: &AtCentre<'_>, judged: Judged<'_>) -> Exclusion {
    let changes = mending::changes(here, &judged);
    let failed: Vec<Check> = judged.against().map(|(_, check)| check.clone()).collect();
    Exclusion {
        centre_id: here.centre.centre_id.clone(),
        unit_id: judged.unit.map(|(_, unit)| unit.unit_id.clone()),
        reason: failed.first().map_or_else(String::new, |check| check.sentence.clone()),
        failed,
        changes,
    }
}

/// Animals afterwards over heads, per mille, rounded up. Heads are the centre's own figure, else
/// the sum of its units' limits.
fn load_after(here: &AtCentre<'_>) -> Option<u32> {
    let heads = here.centre.heads.map_or_else(
        || {
            here.units.iter().fold(0_u64, |sum, (_, unit)| {
                sum + u64::from(unit.heads_limit.unwrap_or(0)) * u64::from(unit.units)
            })
        },
        u64::from,
    );
    if heads == 0 {
        return None;
    }
    let present = here.everyone().fold(0_u64, |sum, one| sum + u64::from(one.individual_count));
    let after = present + u64::from(here.asked.request.individual_count);
    u32::try_from((after * 1000).div_ceil(heads)).ok()
}

/// Every conversion the answer rests on, each once: the animal's own to the unit's limit, to the
/// measure of space and of the crew; its companions' to the measure of space.
fn conversions(case: &InUnit<'_>) -> Vec<Conversion> {
    let asked = case.asked();
    let mut found = BTreeMap::new();
    let limit = case.unit.length_limit.map(|limit| limit.measure);
    for candidate in &asked.candidates {
        let profile = candidate.profile;
        let wanted = [limit, Some(profile.space_measure.value), Some(profile.hazard.value.measure)];
        for to in wanted.into_iter().flatten() {
            note_conversion(&mut found, profile, candidate.size, to);
        }
    }
    for (_, companion) in &case.companions {
        for profile in asked.species.meant_by(&companion.scientific_name) {
            let size = Size::of(profile, companion.length.as_ref());
            note_conversion(&mut found, profile, size, profile.space_measure.value);
        }
    }
    found.into_values().collect()
}

fn note_conversion(
    found: &mut BTreeMap<(String, LengthMeasure, LengthMeasure, u64), Conversion>,
    profile: &Profile,
    size: Size,
    to: LengthMeasure,
) {
    let Ok(converted) = size.in_measure(profile, to) else {
        return;
    };
    let Some(basis) = converted.basis else {
        return;
    };
    let name = profile.scientific_name.clone();
    let had = size.length.high_m;
    let key = (name.clone(), basis.from, basis.to, had.to_bits());
    found.entry(key).or_insert(Conversion {
        scientific_name: name,
        from: size.length.measure,
        to,
        from_metre: shown(had),
        to_metre: shown(converted.length.high_m),
        slope: basis.slope,
        intercept_metre: basis.intercept_m,
        kind: basis.kind,
        source: basis.source,
        note: basis.note,
        beyond_fit: basis.beyond_fit,
    });
}

fn notes(case: &InUnit<'_>, judged: &Judged<'_>, conversions: &[Conversion]) -> Vec<String> {
    let mut notes = Vec::new();
    let request = case.asked().request;
    for (rule, check) in &judged.checks {
        if check.verdict != Verdict::Pass && !rule.stands_against(check) {
            notes.push(check.sentence.clone());
        }
        notes.extend(check.note.clone());
    }
    match &request.length {
        None => notes.push(
            "the size is not stated: the largest grown animal was reckoned with; measure it".to_owned(),
        ),
        Some(length) if length.method == LengthMethod::ByEye && length.high.is_none() => {
            notes.push("the length is by eye, without an upper end: measure it at the catch".to_owned())
        }
        Some(_) => {}
    }
    if conversions.iter().any(|one| one.beyond_fit) {
        notes.push("a length lies outside those its relation was fitted on: measure instead".to_owned());
    }
    notes
}

/// What holds whatever is chosen, the gravest first.
fn cautions(asked: &Asked<'_>) -> Vec<String> {
    let mut cautions = Vec::new();
    let classes = asked.candidates.iter();
    let worst = classes.map(|candidate| candidate.profile.hazard.value.class).max();
    if worst >= Some(HazardClass::Severe) {
        cautions.push(
            "Danger to people: keep everybody back; only a trained crew goes near it (common practice)."
                .to_owned(),
        );
    }
    for candidate in &asked.candidates {
        let zoonosis = &candidate.profile.zoonosis.value;
        if !cautions.contains(zoonosis) {
            cautions.push(zoonosis.clone());
        }
    }
    cautions.push(
        "No reason was found against the options by the rules named; local codes and licensed practice decide."
            .to_owned(),
    );
    cautions
}
