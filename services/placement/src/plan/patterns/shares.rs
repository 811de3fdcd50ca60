//! What a centre shares out among all that come to it: licence numbers, arrivals of a day, crews and
//! vehicles of a night.

use std::collections::{BTreeMap, HashMap};

use crate::plan::model::{Model, Part, Whole};

/// So much of it, and who takes how much.
pub(crate) struct Share {
    pub limit: u32,
    /// By what counts the animals of a pair.
    pub uses: HashMap<usize, Use>,
}

/// What a pair takes.
pub(crate) struct Use {
    /// For one of what it is counted in.
    pub each: u32,
    /// As soon as there is any.
    pub once: u32,
}

/// By centre, licence lines first: where there are more than are looked at together, those count.
pub(crate) fn shares(whole: &Whole<'_>, part: &Part, model: &Model) -> BTreeMap<usize, Vec<Share>> {
    let positions: HashMap<usize, usize> =
        part.requests.iter().enumerate().map(|(at, request)| (*request, at)).collect();
    let pairs = model.pairs.iter().enumerate();
    let pairs: HashMap<(usize, usize), usize> =
        pairs.map(|(at, pair)| (*pair, model.heads_of_pair(at))).collect();
    let heads = |request: &usize, centre: usize| pairs.get(&(*positions.get(request)?, centre)).copied();
    let mut shares: BTreeMap<usize, Vec<Share>> = BTreeMap::new();
    // Who is let in by an order counts for the others: those rows are no sums.
    for quota in whole.quotas.iter().filter(|quota| quota.binds.len() == quota.counts.len()) {
        let uses = quota.counts.iter().filter_map(|request| {
            let (_, each) = model.unplaced[*positions.get(request)?];
            Some((heads(request, quota.centre)?, Use { each, once: 0 }))
        });
        let limit = u32::try_from(quota.left.max(0)).unwrap_or(u32::MAX);
        shares.entry(quota.centre).or_default().push(Share { limit, uses: uses.collect() });
    }
    for effort in whole.efforts {
        let uses = effort.uses.iter();
        let uses = uses.filter_map(|(request, once)| {
            Some((heads(request, effort.centre)?, Use { each: 0, once: *once }))
        });
        shares.entry(effort.centre).or_default().push(Share { limit: effort.left, uses: uses.collect() });
    }
    for shares in shares.values_mut() {
        shares.retain(|share| !share.uses.is_empty());
    }
    shares
}
