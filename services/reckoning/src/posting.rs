//! Double entry: what each record posts, from the record alone.

use crate::account::{Account, Commodity};
use chrono::NaiveDate;
use haulout_schemas::envelope::Envelope;
use haulout_schemas::names::Names;
use haulout_schemas::records::arrival::{Rescue, Tally};
use haulout_schemas::records::breeding::{Clutch, ClutchEvent};
use haulout_schemas::records::count::{Adjustment, Census};
use haulout_schemas::records::ending::{
    DeathEnd, Loss, LossEvent, LostAs, Mortality, MortalityEvent, TakenFrom,
};
use haulout_schemas::records::identity::{Determination, DeterminationEvent, Link, LinkEvent};
use haulout_schemas::records::transfer::{
    Arrived, Destination, Dispatch, Origin, Receipt, SettledAs, Settlement, SettlementEvent,
};
use haulout_schemas::text::ConsignmentId;
use haulout_schemas::vocabulary::{DeathWhen, LifeStage, Sex, Vitality};
use haulout_schemas::{Body, Record};

/// The version of the posting rules. A statement names it; a journal posted by other rules is rebuilt.
pub const POSTING_RULES: &str = "1";

/// A number of one commodity that leaves one account for another on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Posting {
    /// The day on which it counts.
    pub day: NaiveDate,
    /// Left.
    pub from: Account,
    /// Reached.
    pub to: Account,
    /// What.
    pub commodity: Commodity,
    /// How many, above zero.
    pub quantity: i64,
    /// Age class, shown and never balanced.
    pub life_stage: Option<LifeStage>,
    /// Sex, shown and never balanced.
    pub sex: Option<Sex>,
    /// For a death, when it fell.
    pub death_when: Option<DeathWhen>,
}

/// Whether an entry counts among the gains or the losses of its account.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Direction {
    /// A gain.
    In,
    /// A loss.
    Out,
}

/// One side of a posting. The two sides sum to zero.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The account.
    pub account: Account,
    /// The other side.
    pub counter: Account,
    /// Gain or loss; a reversal keeps the direction of what it reverses.
    pub direction: Direction,
    /// What.
    pub commodity: Commodity,
    /// More (positive) or fewer (negative) on the account.
    pub delta: i64,
    /// The day on which it counts.
    pub day: NaiveDate,
    /// Age class.
    pub life_stage: Option<LifeStage>,
    /// Sex.
    pub sex: Option<Sex>,
    /// For a death, when it fell.
    pub death_when: Option<DeathWhen>,
}

/// Both sides of each posting.
pub fn entries(postings: &[Posting]) -> Vec<Entry> {
    postings
        .iter()
        .flat_map(|posting| {
            let side = |account: &Account, counter: &Account, direction, delta| Entry {
                account: account.clone(),
                counter: counter.clone(),
                direction,
                commodity: posting.commodity.clone(),
                delta,
                day: posting.day,
                life_stage: posting.life_stage,
                sex: posting.sex,
                death_when: posting.death_when,
            };
            [
                side(&posting.to, &posting.from, Direction::In, posting.quantity),
                side(&posting.from, &posting.to, Direction::Out, -posting.quantity),
            ]
        })
        .collect()
}

/// What a record posts. Nothing is looked up beside the accepted name; a withdrawn record posts nothing.
pub fn postings(record: &Record, names: &Names) -> Vec<Posting> {
    let Some(body) = &record.body else { return Vec::new() };
    let mut book = Book { frame: &record.envelope, names, postings: Vec::new() };
    match body {
        Body::Rescue(rescue) => book.rescue(rescue),
        Body::Tally(tally) => book.tally(tally),
        Body::Clutch(clutch) => book.clutch(clutch),
        Body::Mortality(mortality) => book.mortality(mortality),
        Body::Loss(loss) => book.loss(loss),
        Body::Determination(determination) => book.determination(determination),
        Body::Dispatch(dispatch) => book.dispatch(dispatch),
        Body::Receipt(receipt) => book.receipt(receipt),
        Body::Settlement(settlement) => book.settlement(settlement),
        Body::Link(link) => book.link(link),
        Body::Release(release) => {
            let what = book.own(release.life_stage, release.sex);
            book.leave(&what, release.individual_count, Account::RELEASED);
        }
        Body::Census(census) => book.census(census),
        Body::Adjustment(adjustment) => book.adjustment(adjustment),
        _ => {}
    }
    book.postings
}

/// What is posted: commodity and the attributes shown beside it.
#[derive(Clone)]
struct What {
    commodity: Commodity,
    life_stage: Option<LifeStage>,
    sex: Option<Sex>,
    death_when: Option<DeathWhen>,
}

impl What {
    fn died(&self, when: DeathWhen) -> Self {
        Self { death_when: Some(when), ..self.clone() }
    }
}

struct Book<'a> {
    frame: &'a Envelope,
    names: &'a Names,
    postings: Vec<Posting>,
}

impl Book<'_> {
    fn rescue(&mut self, rescue: &Rescue) {
        let what = self.own(rescue.life_stage, rescue.sex);
        let source = Account::word(rescue.source.as_str());
        if rescue.vitality == Some(Vitality::Dead) {
            self.post(&what.died(DeathWhen::BeforeRescue), rescue.individual_count, source, Account::DEAD);
        } else {
            self.enter(&what, rescue.individual_count, source);
        }
    }

    fn tally(&mut self, tally: &Tally) {
        let Some(stock) = self.stock() else { return };
        let lot = self.own(tally.life_stage, None);
        let counted: i64 = tally.lines.iter().map(|line| i64::from(line.alive) + i64::from(line.dead)).sum();
        self.signed(&lot, i64::from(tally.lot_count) - counted, stock.clone(), Account::RECOUNT);
        self.signed(&lot, counted, stock.clone(), Account::REDETERMINED);
        for line in &tally.lines {
            let what = self.what(line.scientific_name.as_str(), line.life_stage, line.sex);
            self.signed(
                &what,
                i64::from(line.alive) + i64::from(line.dead),
                Account::REDETERMINED,
                stock.clone(),
            );
            let when = line.when.unwrap_or(DeathWhen::BeforeRescue);
            self.post(&what.died(when), line.dead, stock.clone(), Account::DEAD);
        }
    }

    fn clutch(&mut self, clutch: &Clutch) {
        let (Some(stock), Some(count)) =
            (self.stock_or_transit(clutch.consignment_id.as_ref()), clutch.individual_count)
        else {
            return;
        };
        let eggs = self.own(Some(LifeStage::Egg), None);
        let animals = self.own(Some(LifeStage::Hatchling), None);
        match clutch.event {
            // Here the consignment is the promise that the clutch fills: the crew brings it to its own centre.
            ClutchEvent::Collected => self.enter(&eggs, count, Account::WILD),
            ClutchEvent::Laid => self.post(&eggs, count, Account::LAID, stock),
            ClutchEvent::Candled => {}
            ClutchEvent::Hatched => {
                self.post(&eggs, count, stock.clone(), Account::HATCHED);
                self.post(&animals, count, Account::HATCHED, stock);
            }
            ClutchEvent::Failed => self.post(&eggs, count, stock, Account::DEAD),
            ClutchEvent::FoundHatched => self.post(&animals, count, Account::HATCHED, stock),
        }
    }

    fn mortality(&mut self, mortality: &Mortality) {
        if mortality.event != MortalityEvent::Death {
            return;
        }
        let from = match mortality.taken_from {
            Some(TakenFrom::Released) => Some(Account::RELEASED),
            Some(TakenFrom::Stock) => self.stock(),
            Some(TakenFrom::Transit) | None => self.stock_or_transit(mortality.consignment_id.as_ref()),
        };
        let Some(from) = from else { return };
        let end = match mortality.end {
            Some(DeathEnd::DestroyedByOrder) => Account::DESTROYED_BY_ORDER,
            Some(DeathEnd::Dead) | None => Account::DEAD,
        };
        let mut what = self.own(mortality.life_stage, mortality.sex);
        what.death_when = mortality.when;
        self.post(&what, mortality.individual_count, from, end);
    }

    fn loss(&mut self, loss: &Loss) {
        let Some(stock) = self.stock_or_transit(loss.consignment_id.as_ref()) else { return };
        let what = self.own(loss.life_stage, None);
        let count = loss.individual_count;
        match loss.event {
            LossEvent::Escaped => self.post(&what, count, stock, Account::ESCAPED),
            LossEvent::Stolen => self.post(&what, count, stock, Account::STOLEN),
            LossEvent::Missing => self.post(&what, count, stock, Account::MISSING),
            LossEvent::Found => {
                let account = match loss.lost_as {
                    Some(LostAs::Escaped) => Account::ESCAPED,
                    Some(LostAs::Stolen) => Account::STOLEN,
                    Some(LostAs::Missing) | None => Account::MISSING,
                };
                self.post(&what, count, account, stock);
            }
        }
    }

    fn determination(&mut self, determination: &Determination) {
        let (DeterminationEvent::Species, Some(old), Some(new), Some(stock)) = (
            determination.event,
            &determination.from_scientific_name,
            &determination.to_scientific_name,
            self.stock_or_transit(determination.consignment_id.as_ref()),
        ) else {
            return;
        };
        let (stage, sex) = (determination.life_stage, determination.sex);
        let (old, new) = (self.what(old.as_str(), stage, sex), self.what(new.as_str(), stage, sex));
        self.post(&old, determination.individual_count, stock.clone(), Account::REDETERMINED);
        self.post(&new, determination.individual_count, Account::REDETERMINED, stock);
    }

    fn dispatch(&mut self, dispatch: &Dispatch) {
        let to = match dispatch.destination {
            Destination::Region => Account::transit(&dispatch.consignment_id),
            Destination::Outside => Account::OUTSIDE,
            Destination::Owner => Account::OWNER,
            Destination::Placement => Account::PLACED_OUT,
            Destination::Authority => Account::HANDED_OVER,
        };
        for line in &dispatch.lines {
            let what = self.what(line.scientific_name.as_str(), line.life_stage, line.sex);
            self.leave(&what, line.individual_count, to.clone());
        }
    }

    fn receipt(&mut self, receipt: &Receipt) {
        let Some(stock) = self.stock() else { return };
        let from = match receipt.origin {
            Origin::Transit => Account::transit(&receipt.consignment_id),
            Origin::Outside => Account::OUTSIDE,
            Origin::Owner => Account::OWNER,
            Origin::Placement => Account::PLACED_OUT,
            Origin::Authority => Account::HANDED_OVER,
        };
        for line in &receipt.lines {
            let what = self.what(line.scientific_name.as_str(), line.life_stage, line.sex);
            match line.arrived {
                Arrived::Alive | Arrived::Extra | Arrived::TurnedBack => {
                    self.post(&what, line.individual_count, from.clone(), stock.clone());
                }
                Arrived::Dead => {
                    let what = what.died(DeathWhen::InTransit);
                    self.post(&what, line.individual_count, from.clone(), Account::DEAD);
                }
                Arrived::NotInCrate => {}
            }
        }
    }

    fn settlement(&mut self, settlement: &Settlement) {
        if settlement.event != SettlementEvent::Settled {
            return;
        }
        let transit = Account::transit(&settlement.consignment_id);
        for line in &settlement.lines {
            let mut what = self.what(line.scientific_name.as_str(), line.life_stage, None);
            let account = match line.settled_as {
                SettledAs::Dead => {
                    what = what.died(DeathWhen::InTransit);
                    Account::DEAD
                }
                SettledAs::Missing => Account::MISSING,
                SettledAs::Recount => Account::RECOUNT,
                SettledAs::Redetermined => Account::REDETERMINED,
            };
            self.signed(&what, i64::from(line.individual_count), transit.clone(), account);
        }
    }

    /// What the record that is not counted posted goes back to its source, on the day it was posted.
    fn link(&mut self, link: &Link) {
        let (LinkEvent::Same, Some(back)) = (link.event, &link.not_counted) else { return };
        let stock = match (&back.centre_id, &back.point_id) {
            (Some(centre), _) => Account::centre(centre),
            (None, Some(point)) => Account::point(point),
            (None, None) => return,
        };
        let mut what = self.what(back.scientific_name.as_str(), back.life_stage, None);
        // A carcass never entered the stock: it goes back from the dead.
        let stock = if back.vitality == Some(Vitality::Dead) {
            what = what.died(DeathWhen::BeforeRescue);
            Account::DEAD
        } else {
            stock
        };
        self.post_on(
            back.day.0,
            &what,
            i64::from(back.individual_count),
            stock,
            Account::word(back.source.as_str()),
        );
    }

    fn census(&mut self, census: &Census) {
        let (Some(true), Some(stock)) = (census.opening, self.stock()) else { return };
        for line in census.lines.iter().filter(|line| line.not_countable != Some(true)) {
            let what = self.what(line.scientific_name.as_str(), line.life_stage, line.sex);
            self.post(&what, line.individual_count, Account::OPENING, stock.clone());
        }
    }

    fn adjustment(&mut self, adjustment: &Adjustment) {
        let Some(stock) = self.stock() else { return };
        let what = self.own(adjustment.life_stage, None);
        self.signed(&what, i64::from(adjustment.individual_count), Account::UNEXPLAINED, stock);
    }

    fn stock(&self) -> Option<Account> {
        let centre = self.frame.centre_id.as_ref().map(Account::centre);
        centre.or_else(|| self.frame.point_id.as_ref().map(Account::point))
    }

    fn stock_or_transit(&self, consignment: Option<&ConsignmentId>) -> Option<Account> {
        consignment.map(Account::transit).or_else(|| self.stock())
    }

    /// The commodity of the frame's own name.
    fn own(&self, stage: Option<LifeStage>, sex: Option<Sex>) -> What {
        let name = self.frame.scientific_name.as_ref().map(|name| name.as_str()).unwrap_or_default();
        self.what(name, stage, sex)
    }

    fn what(&self, name: &str, life_stage: Option<LifeStage>, sex: Option<Sex>) -> What {
        let commodity = Commodity::of(&self.names.commodity(name), life_stage);
        What { commodity, life_stage, sex, death_when: None }
    }

    fn enter(&mut self, what: &What, count: u32, from: Account) {
        if let Some(stock) = self.stock() {
            self.post(what, count, from, stock);
        }
    }

    fn leave(&mut self, what: &What, count: u32, to: Account) {
        if let Some(stock) = self.stock() {
            self.post(what, count, stock, to);
        }
    }

    fn post(&mut self, what: &What, count: u32, from: Account, to: Account) {
        self.signed(what, i64::from(count), from, to);
    }

    /// Posts a number of either sign: a negative one goes the other way, zero posts nothing.
    fn signed(&mut self, what: &What, count: i64, from: Account, to: Account) {
        self.post_on(self.frame.event_date.day(), what, count, from, to);
    }

    fn post_on(&mut self, day: NaiveDate, what: &What, count: i64, from: Account, to: Account) {
        let (from, to) = if count < 0 { (to, from) } else { (from, to) };
        if count != 0 {
            self.postings.push(Posting {
                day,
                from,
                to,
                commodity: what.commodity.clone(),
                quantity: count.abs(),
                life_stage: what.life_stage,
                sex: what.sex,
                death_when: what.death_when,
            });
        }
    }
}
