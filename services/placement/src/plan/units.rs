//! From the model's counts back to units.

use super::admit::Admitted;
use super::slots::Kind;
use crate::request::RequestFile;

/// Animals of one request in one unit or row, by positions in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Laid {
    /// Position among the file's requests and those of centres that are emptied.
    pub request: usize,
    pub centre: usize,
    pub unit_at: usize,
    pub count: u32,
    pub units: u32,
    /// Which of a row's empty units, from one; empty for a unit that stands alone.
    pub numbers: Vec<u32>,
}

/// Lays the animals of each arc into units: whole rows before a request is divided over several.
pub(crate) fn laid(file: &RequestFile, admitted: &Admitted, amounts: &[u32]) -> Vec<Laid> {
    let mut used: Vec<Vec<u32>> = admitted.slots.iter().map(|slot| vec![0; slot.entries.len()]).collect();
    let mut laid = Vec::new();
    for (arc, amount) in admitted.arcs.iter().zip(amounts).filter(|(_, amount)| **amount > 0) {
        let slot = &admitted.slots[arc.slot];
        let row = |unit_at: usize| file.view.units[unit_at].units > 1;
        if let Kind::Shared { number } = slot.kind {
            let unit_at = slot.unit_at();
            let empties = file.view.units[unit_at].standing_empty() > 0;
            laid.push(Laid {
                request: arc.request,
                centre: slot.centre,
                unit_at,
                count: *amount,
                units: 1,
                numbers: if row(unit_at) && empties { vec![number] } else { Vec::new() },
            });
            continue;
        }
        let needed = amount.div_ceil(arc.cap);
        let used = &mut used[arc.slot];
        let left = |at: usize, used: &[u32]| slot.entries[at].1.max(1) - used[at];
        let whole = (0..slot.entries.len()).find(|at| left(*at, used) >= needed);
        let order: Vec<usize> = whole.map_or_else(|| (0..slot.entries.len()).collect(), |at| vec![at]);
        let (each, more) = (amount / needed, amount % needed);
        let mut done = 0;
        for at in order {
            let here = left(at, used).min(needed - done);
            if here == 0 {
                continue;
            }
            let (unit_at, empty) = slot.entries[at];
            // The first units take one more where the animals do not divide.
            let count = each * here + (done + here).min(more).saturating_sub(done);
            let numbers = (used[at] + 1..=used[at] + here).collect();
            laid.push(Laid {
                request: arc.request,
                centre: slot.centre,
                unit_at,
                count,
                units: here,
                numbers: if row(unit_at) && empty > 0 { numbers } else { Vec::new() },
            });
            used[at] += here;
            done += here;
        }
    }
    laid.sort_by(|one, other| {
        (one.request, one.unit_at, &one.numbers).cmp(&(other.request, other.unit_at, &other.numbers))
    });
    laid
}
