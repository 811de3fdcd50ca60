//! What a centre has to share out among requests: licence numbers, arrivals of a day, crews and
//! vehicles of a night, heads.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use chrono::NaiveDate;

use super::admit::{Admitted, Task};
use crate::case::{Asked, AtCentre};
use crate::rules::PlacementRule;
use crate::view::{Centre, LicenceLine};

/// So many animals more, in all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Quota {
    pub centre: usize,
    /// What it is, and which of them.
    pub of: QuotaOf,
    /// Animals still allowed; below zero where there are too many already.
    pub left: i64,
    /// Requests that count.
    pub counts: Vec<usize>,
    /// Requests among them that the rule binds: the others are let in by an order, or fall under no
    /// stay of it.
    pub binds: Vec<usize>,
}

/// What a quota is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum QuotaOf {
    /// Heads of a licence line, by its position.
    Licence(usize),
    /// Arrivals of a day.
    Arrivals(NaiveDate),
}

/// What pairs of request and centre use up in a night, whatever their number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Effort {
    pub centre: usize,
    pub of: EffortOf,
    pub left: u32,
    /// Request, what it uses up.
    pub uses: Vec<(usize, u32)>,
}

/// Crews or vehicles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum EffortOf {
    Crews,
    VehicleMinutes,
}

/// Heads of a centre, for its load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Load {
    pub centre: usize,
    pub heads: u64,
    pub present: u64,
}

/// Requests by centre, each once, in their sequence.
fn by_centre(admitted: &Admitted) -> BTreeMap<usize, BTreeSet<usize>> {
    let mut found: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for (request, centre) in admitted.pairs.keys() {
        found.entry(*centre).or_default().insert(*request);
    }
    found
}

/// Every quota that some request meets.
pub(crate) fn quotas(task: &Task<'_>, asked: &[Asked<'_>], admitted: &Admitted) -> Vec<Quota> {
    let mut quotas = Vec::new();
    for (centre_at, requests) in by_centre(admitted) {
        let centre = &task.file.view.centres[centre_at];
        for (line_at, line) in centre.licences.iter().enumerate() {
            quotas.extend(licence(task, asked, centre_at, (line_at, line), &requests));
        }
        if centre.arrivals_per_day.is_some() {
            quotas.extend(arrivals(asked, centre_at, centre, &requests));
        }
    }
    quotas
}

/// One line, alone at its centre and with no number left, put to each request: the rule says itself
/// whom it binds, and how many it counts already.
fn licence(
    task: &Task<'_>,
    asked: &[Asked<'_>],
    centre_at: usize,
    (line_at, line): (usize, &LicenceLine),
    requests: &BTreeSet<usize>,
) -> Option<Quota> {
    let limit = line.heads_limit?;
    let rule = PlacementRule::of("licence-heads")?;
    let centre = &task.file.view.centres[centre_at];
    let alone =
        Centre { licences: vec![LicenceLine { heads_limit: Some(0), ..line.clone() }], ..centre.clone() };
    let elsewhere = Centre { centre_id: String::new(), unhoused: Vec::new(), ..alone.clone() };
    let mut kept: Option<i64> = None;
    let (mut counts, mut binds) = (Vec::new(), Vec::new());
    for &request in requests {
        let asked = &asked[request];
        let falls = asked.candidates.is_empty()
            || asked.candidates.iter().any(|candidate| {
                line.scope.iter().any(|taxon| task.species.is_within(candidate.profile, taxon))
            });
        if !falls {
            continue;
        }
        counts.push(request);
        // Whom it counts already is the same for all, and found once; an order names centres.
        let ordered = asked.request.waivers.iter().any(|waiver| waiver.rule == rule.rule.code);
        let there = if kept.is_none() || ordered { &alone } else { &elsewhere };
        let here = AtCentre::new(asked, centre_at, there);
        let Some(check) = rule.check(&here, None) else { continue };
        let Some(after) = check.figures.first().and_then(|figure| figure.needed) else { continue };
        if kept.is_none() {
            kept = Some(whole(after) - i64::from(asked.request.individual_count));
        }
        if check.waived_by.is_none() {
            binds.push(request);
        }
    }
    let left = i64::from(limit) - kept?;
    (!binds.is_empty()).then_some(Quota {
        centre: centre_at,
        of: QuotaOf::Licence(line_at),
        left,
        counts,
        binds,
    })
}

fn arrivals(
    asked: &[Asked<'_>],
    centre_at: usize,
    centre: &Centre,
    requests: &BTreeSet<usize>,
) -> Vec<Quota> {
    let Some(rule) = PlacementRule::of("arrivals") else { return Vec::new() };
    // No number left, so that the rule names whom an order lets in.
    let full = Centre { arrivals_per_day: Some(0), ..centre.clone() };
    let limit = i64::from(centre.arrivals_per_day.unwrap_or(0));
    let mut days: BTreeMap<NaiveDate, Quota> = BTreeMap::new();
    for &request in requests {
        let here = AtCentre::new(&asked[request], centre_at, &full);
        let Some(check) = rule.check(&here, None) else { continue };
        let Some(after) = check.figures.first().and_then(|figure| figure.needed) else { continue };
        let before = whole(after) - i64::from(asked[request].request.individual_count);
        let day = here.arrival_day();
        let quota = days.entry(day).or_insert_with(|| Quota {
            centre: centre_at,
            of: QuotaOf::Arrivals(day),
            left: limit - before,
            counts: Vec::new(),
            binds: Vec::new(),
        });
        quota.counts.push(request);
        if check.waived_by.is_none() {
            quota.binds.push(request);
        }
    }
    days.into_values().filter(|quota| !quota.binds.is_empty()).collect()
}

/// Crews and vehicles of every centre that states them, night by night.
pub(crate) fn efforts(task: &Task<'_>, admitted: &Admitted) -> Vec<Effort> {
    let mut efforts = Vec::new();
    for (centre_at, requests) in by_centre(admitted) {
        let centre = &task.file.view.centres[centre_at];
        let mut nights: BTreeMap<NaiveDate, Vec<usize>> = BTreeMap::new();
        for &request in &requests {
            if let Some(pair) = admitted.pairs.get(&(request, centre_at)) {
                nights.entry(pair.night).or_default().push(request);
            }
        }
        for requests in nights.into_values() {
            let stated =
                [(EffortOf::Crews, centre.crews_tonight), (EffortOf::VehicleMinutes, centre.vehicle_minutes)];
            for (of, left) in stated {
                let Some(left) = left else { continue };
                let used = |request: usize| match of {
                    EffortOf::Crews => task.requests[request].crew,
                    EffortOf::VehicleMinutes => {
                        admitted.pairs.get(&(request, centre_at)).map_or(0, |pair| pair.trip)
                    }
                };
                let uses: Vec<(usize, u32)> =
                    requests.iter().map(|one| (*one, used(*one))).filter(|(_, used)| *used > 0).collect();
                if !uses.is_empty() {
                    efforts.push(Effort { centre: centre_at, of, left, uses });
                }
            }
        }
    }
    efforts
}

/// Every centre that has heads, with those it has, expects or has promised a place.
pub(crate) fn loads(task: &Task<'_>) -> Vec<Load> {
    let view = &task.file.view;
    let mut there: HashMap<&str, (u64, u64)> = HashMap::new();
    for unit in &view.units {
        let of = there.entry(unit.centre_id.as_str()).or_default();
        of.0 += u64::from(unit.heads_limit.unwrap_or(0)) * u64::from(unit.units);
        of.1 += u64::from(unit.heads());
    }
    let centres = view.centres.iter().enumerate();
    centres
        .map(|(at, centre)| {
            let (limits, housed) = there.get(centre.centre_id.as_str()).copied().unwrap_or_default();
            let unhoused = centre.unhoused.iter().map(|one| u64::from(one.individual_count));
            Load {
                centre: at,
                heads: centre.heads.map_or(limits, u64::from),
                present: housed + unhoused.sum::<u64>(),
            }
        })
        .filter(|load| load.heads > 0)
        .collect()
}

/// A rule's figure as a count.
fn whole(figure: f64) -> i64 {
    // Counts are far below the whole numbers that a double holds exactly.
    #[allow(clippy::cast_possible_truncation)]
    let count = figure.round() as i64;
    count
}
