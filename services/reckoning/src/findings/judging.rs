//! One judgement: the key, what may be looked up, and what was found so far.

use super::finding::{Finding, Parameter, RecordName};
use super::milestone::{Carried, Milestone, Span};
use super::{Judged, Records, World};
use crate::effective::Effective;
use crate::keys::{Key, place_of};
use crate::region::Role;
use chrono::{Days, NaiveDate};
use haulout_schemas::Record;
use haulout_schemas::rule::Rule;
use haulout_schemas::text::PartyId;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// The parameters of a finding.
pub(super) type Parameters = BTreeMap<String, Parameter>;

/// Names and values side by side.
pub(super) fn parameters<const N: usize>(pairs: [(&str, Parameter); N]) -> Parameters {
    pairs.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
}

/// A judgement on one key.
pub(super) struct Judging<'w> {
    pub(super) key: &'w Key,
    pub(super) records: &'w dyn Records,
    pub(super) world: &'w World<'w>,
    found: BTreeSet<Finding>,
    next: Option<NaiveDate>,
    going_on: Option<GoingOn<'w>>,
}

/// A judgement that goes on from a milestone, or leaves one.
struct GoingOn<'w> {
    from: Option<&'w Milestone>,
    own: &'w [Arc<Effective>],
    keep: NaiveDate,
    kept: Option<Milestone>,
    anew: bool,
}

impl<'w> Judging<'w> {
    pub(super) fn new(key: &'w Key, records: &'w dyn Records, world: &'w World<'w>) -> Self {
        Self { key, records, world, found: BTreeSet::new(), next: None, going_on: None }
    }

    /// Goes on from a milestone, where there is one, over `own`, and leaves one at the close of `keep`.
    pub(super) fn going_on(
        mut self,
        from: Option<&'w Milestone>,
        own: &'w [Arc<Effective>],
        keep: NaiveDate,
    ) -> Self {
        self.going_on = Some(GoingOn { from, own, keep, kept: None, anew: false });
        self
    }

    pub(super) fn judged(self) -> Judged {
        Judged { findings: self.found.into_iter().collect(), next_change: self.next }
    }

    /// What was judged, and the milestone it left; `None` where the records since the milestone reach
    /// back beyond it.
    pub(super) fn went_on(mut self) -> Option<(Judged, Option<Milestone>)> {
        let going = self.going_on.take()?;
        (!going.anew).then(|| (self.judged(), going.kept))
    }

    /// The milestone gone on from.
    pub(super) fn milestone(&self) -> Option<&'w Milestone> {
        self.going_on.as_ref()?.from
    }

    /// Says that what is judged reaches back beyond the milestone.
    pub(super) fn begin_anew(&mut self) {
        if let Some(going) = &mut self.going_on {
            going.anew = true;
        }
    }

    /// The days to judge, parted where a milestone is to be left.
    pub(super) fn spans(&self) -> Vec<Span> {
        let after = self.milestone().map(|milestone| milestone.through);
        let keep = self.going_on.as_ref().map(|going| going.keep);
        let keep = keep.filter(|keep| *keep < self.today() && after.is_none_or(|after| after < *keep));
        let ends = keep.into_iter().chain([self.today()]);
        let mut spans = Vec::new();
        let mut after = after;
        for through in ends {
            spans.push(Span { after, through });
            after = Some(through);
        }
        spans
    }

    /// Leaves a milestone where one is to be left at the end of these days.
    pub(super) fn leave_milestone(&mut self, span: Span, carried: impl FnOnce() -> Carried) {
        if let Some(going) = self.going_on.as_mut().filter(|going| going.keep == span.through) {
            going.kept = Some(Milestone { through: span.through, carried: carried() });
        }
    }

    /// The evaluated day.
    pub(super) fn today(&self) -> NaiveDate {
        self.world.evaluated_through
    }

    /// The records of the key judged.
    pub(super) fn own(&self) -> Vec<Arc<Effective>> {
        match &self.going_on {
            Some(going) => going.own.to_vec(),
            None => self.records.of(self.key),
        }
    }

    pub(super) fn threshold(&self, rule: &Rule, name: &str) -> i64 {
        self.world.settings.threshold(rule, name)
    }

    /// Whether a deadline has passed without its thing: on the deadline's own evening it has. A
    /// deadline still to come is remembered.
    pub(super) fn passed(&mut self, deadline: NaiveDate) -> bool {
        let passed = self.today() >= deadline;
        if !passed {
            self.changes_on(deadline);
        }
        passed
    }

    /// Remembers that time alone may change the findings on a later day.
    pub(super) fn changes_on(&mut self, day: NaiveDate) {
        if day > self.today() {
            self.next = Some(self.next.map_or(day, |known| known.min(day)));
        }
    }

    /// A finding that concerns the places of the records it rests on.
    pub(super) fn find<'r>(
        &mut self,
        rule: &Rule,
        rests_on: impl IntoIterator<Item = &'r Record>,
        due_day: Option<NaiveDate>,
        parameters: Parameters,
    ) {
        let records: Vec<&Record> = rests_on.into_iter().collect();
        let places: Vec<PartyId> =
            records.iter().filter_map(|record| place_of(&record.envelope)).cloned().collect();
        self.find_at(rule, places, records, due_day, parameters);
    }

    /// A finding on records that are known by their names.
    pub(super) fn finding(
        &self,
        rule: &Rule,
        places: impl IntoIterator<Item = PartyId>,
        rests_on: impl IntoIterator<Item = RecordName>,
        due_day: Option<NaiveDate>,
        parameters: Parameters,
    ) -> Finding {
        let centre_ids: BTreeSet<PartyId> = places.into_iter().collect();
        let records: BTreeSet<RecordName> = rests_on.into_iter().collect();
        Finding {
            code: rule.code.to_owned(),
            severity: self.world.settings.severity(rule),
            centre_ids: centre_ids.into_iter().collect(),
            records: records.into_iter().collect(),
            due_day,
            parameters,
        }
    }

    /// Tells findings that were made before.
    pub(super) fn tell(&mut self, findings: impl IntoIterator<Item = Finding>) {
        self.found.extend(findings);
    }

    /// A finding that concerns the places named.
    pub(super) fn find_at<'r>(
        &mut self,
        rule: &Rule,
        places: impl IntoIterator<Item = PartyId>,
        rests_on: impl IntoIterator<Item = &'r Record>,
        due_day: Option<NaiveDate>,
        parameters: Parameters,
    ) {
        let names = rests_on.into_iter().map(RecordName::from);
        let finding = self.finding(rule, places, names, due_day, parameters);
        self.found.insert(finding);
    }

    /// Whether a record's author is the authority, whose licences, permits and orders count.
    pub(super) fn by_authority(&self, record: &Record) -> bool {
        self.world.region.role(&record.envelope.author_id) == Some(Role::Authority)
    }
}

/// A day so many days later; the last day of the calendar where there is none.
pub(super) fn days_after(day: NaiveDate, days: i64) -> NaiveDate {
    day.checked_add_days(Days::new(u64::try_from(days).unwrap_or_default())).unwrap_or(NaiveDate::MAX)
}
