//! Whose the animals are, beside where they are: title beside custody, never counted twice.
//!
//! A place has in hand what its books close with. Of these, some came from an owner and were not given
//! back, some are on loan from another centre; the rest is its own. What it lent to others stands
//! elsewhere and is told beside, in no sum. Outside the digests.

use super::AccountRow;
use super::in_hand::InHand;
use super::lent::{Loan, loans, placed_out};
use super::reading::{self, Word, counted};
use crate::effective::Effective;
use crate::findings::descent::descendants_since;
use crate::findings::sequence::surely_before;
use crate::findings::{Held, World};
use crate::keys::place_of;
use crate::occupancy::{Floor, Who, in_order};
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::Body;
use haulout_schemas::envelope::Envelope;
use haulout_schemas::names::Names;
use haulout_schemas::records::transfer::{Arrived, Destination, Origin};
use haulout_schemas::text::PartyId;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Whose the animals or eggs of one name at one place are, at the close of the period.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct TitleLine {
    /// The centre or holding point.
    #[serde(rename = "placeID")]
    pub place_id: String,
    /// Accepted name.
    pub scientific_name: String,
    /// `animals` or `eggs`.
    #[serde(deserialize_with = "reading::commodity")]
    pub commodity: Word,
    /// In hand: the closing of the account. It is `own` and `ofOwner` and `onLoanIn` together.
    pub in_hand: i64,
    /// Its own.
    pub own: i64,
    /// Came from their owner, here or at a centre before, and were not given back. Of a lot that was
    /// mixed with others, as many as came.
    pub of_owner: i64,
    /// On loan from another centre of the region, by its last outlook.
    pub on_loan_in: i64,
    /// Its own, and in a placement or on loan to another centre: not in hand.
    pub on_loan_out: i64,
    /// Of those on loan out, past the day named for looking again and the days of `loan-overdue`.
    pub loan_overdue: i64,
}

/// A place, a name, and whether eggs are meant.
pub(super) type Line = (PartyId, String, bool);

/// Heads of every subject at every place that nobody has claimed yet.
#[derive(Default)]
pub(super) struct Heads(BTreeMap<(PartyId, Who, bool), (String, i64)>);

impl Heads {
    fn of(in_hand: &InHand, names: &Names, last: NaiveDate) -> Self {
        let mut heads = BTreeMap::new();
        for (place, records) in &in_hand.floors {
            let mut floor = Floor::new(place, names, records);
            for one in in_order(records) {
                if one.record.envelope.event_date.day() <= last {
                    floor.apply(&one.record);
                }
            }
            for (who, standing) in floor.standings() {
                for (eggs, count) in [(false, standing.animals), (true, standing.eggs)] {
                    if count > 0 {
                        heads.insert((place.clone(), who.clone(), eggs), (standing.name.clone(), count));
                    }
                }
            }
        }
        Self(heads)
    }

    /// Claims so many heads of those that `whose` lets pass, and says where they stand.
    pub(super) fn claim(
        &mut self,
        mut count: i64,
        whose: impl Fn(&PartyId, &Who) -> bool,
    ) -> Vec<(Line, i64)> {
        let mut claimed = Vec::new();
        for ((place, who, eggs), (name, left)) in &mut self.0 {
            let taken = count.min(*left);
            if taken > 0 && whose(place, who) {
                *left -= taken;
                count -= taken;
                claimed.push(((place.clone(), name.clone(), *eggs), taken));
            }
        }
        claimed
    }
}

/// A number that came with an owner's title, or went back to an owner.
struct Owned<'r> {
    frame: &'r Envelope,
    subject: Option<Subject>,
    name: String,
    count: i64,
}

/// The lines of the places that are told of, through the last day of the period.
pub(super) fn title(
    in_hand: &InHand,
    rows: &[AccountRow],
    world: &World<'_>,
    last: NaiveDate,
) -> Vec<TitleLine> {
    let all = in_hand.all();
    let held = Held::through(&all, world.names, last);
    let mut heads = Heads::of(in_hand, world.names, last);
    let mut lines: BTreeMap<Line, TitleLine> = BTreeMap::new();
    for row in rows {
        let place = PartyId::from(super::place(row));
        let eggs = row.commodity == counted(true);
        line(&mut lines, (place, row.scientific_name.clone(), eggs)).in_hand = row.closing;
    }
    for (at, count) in of_owners(&all, &held, &mut heads, world.names, last) {
        line(&mut lines, at).of_owner += count;
    }
    let (lent, placed) = (loans(&all, &held, &mut heads, world, last), placed_out(&all, &held, world, last));
    for Loan { from, to, count, overdue } in lent.into_iter().chain(placed) {
        if let Some(to) = to {
            line(&mut lines, to).on_loan_in += count;
        }
        let from = line(&mut lines, from);
        from.on_loan_out += count;
        from.loan_overdue += if overdue { count } else { 0 };
    }
    let told = lines.into_iter().filter(|((place, ..), _)| in_hand.places.contains(place));
    told.map(|(_, line)| settled(line)).filter(|line| line.in_hand != 0 || line.on_loan_out != 0).collect()
}

fn line(lines: &mut BTreeMap<Line, TitleLine>, at: Line) -> &mut TitleLine {
    let (place, name, eggs) = &at;
    let none = TitleLine {
        place_id: place.to_string(),
        scientific_name: name.clone(),
        commodity: counted(*eggs),
        in_hand: 0,
        own: 0,
        of_owner: 0,
        on_loan_in: 0,
        on_loan_out: 0,
        loan_overdue: 0,
    };
    lines.entry(at).or_insert(none)
}

/// Parts of what is in hand never come to more than it; below zero all of it is the place's own.
fn settled(mut line: TitleLine) -> TitleLine {
    line.of_owner = line.of_owner.min(line.in_hand.max(0));
    line.on_loan_in = line.on_loan_in.min(line.in_hand.max(0) - line.of_owner);
    line.own = line.in_hand - line.of_owner - line.on_loan_in;
    line
}

/// Where those stand that came from their owners and were not given back.
fn of_owners(
    all: &[Arc<Effective>],
    held: &Held,
    heads: &mut Heads,
    names: &Names,
    last: NaiveDate,
) -> Vec<(Line, i64)> {
    let dated =
        || all.iter().map(|one| &one.record).filter(|record| record.envelope.event_date.day() <= last);
    let accepted = |name: &str| names.commodity(name).into_owned();
    let mut came: Vec<Owned<'_>> = Vec::new();
    let mut went: Vec<Owned<'_>> = Vec::new();
    for record in dated() {
        let frame = &record.envelope;
        let owned = |subject, name: &str, count: u32| Owned {
            frame,
            subject,
            name: accepted(name),
            count: i64::from(count),
        };
        match &record.body {
            Some(Body::Receipt(receipt)) if receipt.origin == Origin::Owner => {
                let alive = receipt.lines.iter().filter(|line| {
                    matches!(line.arrived, Arrived::Alive | Arrived::Extra | Arrived::TurnedBack)
                });
                came.extend(alive.map(|line| {
                    owned(Subject::received(line), line.scientific_name.as_str(), line.individual_count)
                }));
            }
            Some(Body::Dispatch(dispatch)) if dispatch.destination == Destination::Owner => {
                went.extend(dispatch.lines.iter().map(|line| {
                    owned(Subject::travelling(line), line.scientific_name.as_str(), line.individual_count)
                }));
            }
            _ => {}
        }
    }
    let mut claimed = Vec::new();
    for one in came {
        let date = &one.frame.event_date;
        let family: Option<BTreeSet<Subject>> =
            one.subject.as_ref().map(|subject| descendants_since(subject, held, date));
        let mut left = one.count;
        for back in went.iter_mut().filter(|back| !surely_before(&back.frame.event_date, date)) {
            let same = match (&family, &back.subject) {
                (Some(family), Some(subject)) => family.contains(subject),
                (None, None) => back.name == one.name && place_of(back.frame) == place_of(one.frame),
                _ => false,
            };
            let returned = if same { back.count.min(left) } else { 0 };
            back.count -= returned;
            left -= returned;
        }
        claimed.extend(heads.claim(left, |place, who| match (&family, who) {
            (Some(family), Who::Named(subject)) => family.contains(subject),
            (None, Who::Unnamed(name)) => *name == one.name && Some(place) == place_of(one.frame),
            _ => false,
        }));
    }
    claimed
}
