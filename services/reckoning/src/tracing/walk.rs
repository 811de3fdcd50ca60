//! Chains of contacts, forward in time.

use super::carrier::Carrier;
use super::contact::Contact;
use super::lookup::Lookup;
use chrono::NaiveDate;
use std::collections::BTreeMap;
use std::sync::Arc;

/// One link of a chain and what came before it.
#[derive(Debug)]
struct Link {
    contact: Contact,
    before: Option<Arc<Link>>,
}

/// How a carrier was reached.
#[derive(Clone, Debug)]
pub(super) struct Reached {
    /// The first day from which it may carry.
    pub(super) day: NaiveDate,
    /// The fewest removes by which it may have been reached; 0 for a source.
    pub(super) remove: u32,
    last: Option<Arc<Link>>,
}

impl Reached {
    /// The chain that leads to it on its first day, from a source on.
    pub(super) fn chain(&self) -> Vec<Contact> {
        let mut chain = Vec::new();
        let mut at = self.last.as_ref();
        while let Some(link) = at {
            chain.push(link.contact.clone());
            at = link.before.as_ref();
        }
        chain.reverse();
        chain
    }
}

/// Whoever may have been reached from the sources by at most `depth` removes. A remove leads from one
/// animal, lot or number to another; the crate between two that were never together is part of it.
/// What a source shares counts from the day on which it may have carried, and so on along the chain.
///
/// Of several chains the earliest counts, of those the one with fewest contacts, then the first in
/// the order of [`Contact`]; so the answer depends on no order.
pub(super) fn walk(
    lookup: &mut Lookup<'_>,
    sources: &BTreeMap<Carrier, NaiveDate>,
    depth: u32,
) -> BTreeMap<Carrier, Reached> {
    let mut reached: BTreeMap<Carrier, Reached> = sources
        .iter()
        .map(|(carrier, day)| (carrier.clone(), Reached { day: *day, remove: 0, last: None }))
        .collect();
    let mut fresh: Vec<Carrier> = reached.keys().cloned().collect();
    for remove in 0..=depth {
        // Whoever was reached dirties its crates at once.
        let dirtied = spread(lookup, &mut reached, &fresh, remove, true);
        if remove == depth {
            break;
        }
        let passing: Vec<Carrier> = fresh.into_iter().chain(dirtied).collect();
        fresh = spread(lookup, &mut reached, &passing, remove + 1, false);
    }
    reached
}

/// Follows the contacts of some carriers, to crates or to all others. Whoever is reached, or reached
/// earlier than before.
fn spread(
    lookup: &mut Lookup<'_>,
    reached: &mut BTreeMap<Carrier, Reached>,
    from: &[Carrier],
    remove: u32,
    to_crates: bool,
) -> Vec<Carrier> {
    let mut best: BTreeMap<Carrier, (Contact, usize, Option<Arc<Link>>)> = BTreeMap::new();
    for carrier in from {
        let Some(known) = reached.get(carrier).cloned() else { continue };
        let length = known.chain().len() + 1;
        for meeting in lookup.meetings(carrier).iter().filter(|one| one.other.is_crate() == to_crates) {
            let Some(contact) = meeting.since(carrier, known.day) else { continue };
            if reached.get(&contact.to).is_some_and(|other| other.day <= contact.day) {
                continue;
            }
            let better = best.get(&contact.to).is_none_or(|(other, longer, _)| {
                (contact.day, length, &contact) < (other.day, *longer, other)
            });
            if better {
                best.insert(contact.to.clone(), (contact, length, known.last.clone()));
            }
        }
    }
    for (carrier, (contact, _, before)) in &best {
        let remove = reached.get(carrier).map_or(remove, |known| known.remove);
        let day = contact.day;
        let last = Some(Arc::new(Link { contact: contact.clone(), before: before.clone() }));
        reached.insert(carrier.clone(), Reached { day, remove, last });
    }
    best.into_keys().collect()
}
