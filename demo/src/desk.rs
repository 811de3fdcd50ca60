//! Where records are written: the frame of each, its number, the night's file in which it stands.
//!
//! What is handed in is the truth. A party that writes in haste first puts down something slightly
//! wrong, and mends it in a later night's file.

use std::collections::BTreeMap;

use chrono::{FixedOffset, NaiveDate, NaiveTime, TimeDelta};
use haulout_schemas::envelope::{Envelope, RecordRef, RevisionReason};
use haulout_schemas::{Body, EventDate};
use serde::Serialize;

use crate::basin::{Basin, Habit, PartyIx, PlaceIx};
use crate::luck::Luck;
use crate::slips;
use crate::{Error, Summary};

/// Who a record is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Subject {
    Nobody,
    Animal(String),
    Lot(String),
}

/// A record to be written.
pub(crate) struct Draft {
    pub author: PartyIx,
    pub place: Option<PlaceIx>,
    pub when: EventDate,
    pub subject: Subject,
    pub name: Option<&'static str>,
    pub body: Body,
}

/// Frame and body side by side, as a line of NDJSON.
#[derive(Serialize)]
struct Line<'a> {
    #[serde(flatten)]
    envelope: &'a Envelope,
    #[serde(flatten)]
    body: Option<&'a Body>,
}

/// The desks of all parties.
pub(crate) struct Desk {
    first: NaiveDate,
    last_night: i32,
    offset: FixedOffset,
    /// The night being written; 0 is the day of the opening census.
    pub today: i32,
    sheets: BTreeMap<PartyIx, Vec<u8>>,
    later: BTreeMap<i32, Vec<(PartyIx, Vec<u8>)>>,
    numbers: BTreeMap<PartyIx, u32>,
    haste: Luck,
    dates: Option<(i32, EventDate)>,
    /// First failure to encode; told when the night is closed.
    fault: Option<serde_json::Error>,
    /// What was written so far.
    pub summary: Summary,
}

/// A record written, and what is needed to revise it.
pub(crate) struct Written {
    pub reference: RecordRef,
    author: PartyIx,
    envelope: Envelope,
}

impl Desk {
    pub(crate) fn new(first: NaiveDate, nights: i32, seed: u64) -> Result<Self, Error> {
        let offset = FixedOffset::east_opt(5 * 3600 + 1800)
            .ok_or_else(|| Error::Option("the offset of the region is out of range".to_owned()))?;
        Ok(Self {
            first,
            last_night: nights,
            offset,
            today: 0,
            sheets: BTreeMap::new(),
            later: BTreeMap::new(),
            numbers: BTreeMap::new(),
            haste: Luck::new(seed, 2),
            dates: None,
            fault: None,
            summary: Summary::default(),
        })
    }

    /// The date of a night; 0 is the day before the first.
    pub(crate) fn date(&self, night: i32) -> NaiveDate {
        self.first + TimeDelta::days(i64::from(night) - 1)
    }

    /// Last night of all.
    pub(crate) fn last_night(&self) -> i32 {
        self.last_night
    }

    /// A whole day.
    pub(crate) fn on(&mut self, night: i32) -> EventDate {
        match &self.dates {
            Some((of, date)) if *of == night => date.clone(),
            _ => {
                let date = EventDate::on(self.date(night));
                self.dates = Some((night, date.clone()));
                date
            }
        }
    }

    /// A moment of a day.
    pub(crate) fn at(&mut self, night: i32, hour: u32, minute: u32) -> EventDate {
        let moment = NaiveTime::from_hms_opt(hour % 24, minute % 60, 0)
            .and_then(|time| self.date(night).and_time(time).and_local_timezone(self.offset).single());
        match moment {
            Some(moment) => EventDate::at(moment),
            None => self.on(night),
        }
    }

    /// A moment in RFC 3339, to the second.
    pub(crate) fn rfc3339(&self, night: i32, hour: u32, minute: u32) -> String {
        format!("{}T{:02}:{:02}:00+05:30", self.date(night).format("%Y-%m-%d"), hour % 24, minute % 60)
    }

    fn next_id(&mut self, basin: &Basin, author: PartyIx) -> String {
        let day = self.date(self.today).format("%y%m%d");
        let number = self.numbers.entry(author).or_insert(0);
        *number += 1;
        format!("{}-{day}-{number:05}", basin.parties[author].mark)
    }

    /// Writes a record into tonight's file, by the habit of its author.
    pub(crate) fn write(&mut self, basin: &Basin, draft: Draft) -> RecordRef {
        let hasty = basin.parties[draft.author].habit == Habit::Corrects && self.today > 0;
        if hasty && self.today + 1 < self.last_night {
            if self.haste.chance(slips::likelihood(&draft.body))
                && let Some((wrong, reason)) = slips::of(&draft.body, &mut self.haste)
            {
                let right = draft.body;
                let written = self.write_plain(basin, Draft { body: wrong, ..draft });
                let night = self.mending_night();
                self.revise(&written, &right, reason, night);
                return written.reference;
            }
            if self.haste.chance(slips::doubled(&draft.body)) {
                return self.write_doubled(basin, draft);
            }
        }
        self.write_plain(basin, draft).reference
    }

    fn mending_night(&mut self) -> i32 {
        (self.today + self.haste.days(1, 4)).min(self.last_night)
    }

    /// Writes a record as it is.
    pub(crate) fn write_plain(&mut self, basin: &Basin, draft: Draft) -> Written {
        let record_id = self.next_id(basin, draft.author);
        let author = &basin.parties[draft.author];
        let (organism_id, lot_id) = match draft.subject {
            Subject::Nobody => (None, None),
            Subject::Animal(id) => (Some(id.into()), None),
            Subject::Lot(id) => (None, Some(id.into())),
        };
        let (centre_id, point_id) = match draft.place.map(|place| &basin.places[place]) {
            None => (None, None),
            Some(place) if place.point => (None, Some(place.id.as_str().into())),
            Some(place) => (Some(place.id.as_str().into()), None),
        };
        let envelope = Envelope {
            record_id: record_id.as_str().into(),
            revision: 1,
            kind: draft.body.kind(),
            schema_version: "1.0".into(),
            author_id: author.id.as_str().into(),
            centre_id,
            point_id,
            event_date: draft.when,
            recorded_by: Some(format!("{}.desk", author.mark.to_lowercase()).into()),
            organism_id,
            lot_id,
            scientific_name: draft.name.map(Into::into),
            identification_qualifier: None,
            withdrawn: None,
            withdrawn_reason: None,
            revision_reason: None,
            evidence: Vec::new(),
            notes: None,
            extensions: None,
        };
        let line = self.encode(&envelope, Some(&draft.body));
        self.put(self.today, draft.author, line);
        let reference =
            RecordRef { author_id: envelope.author_id.clone(), record_id: envelope.record_id.clone() };
        Written { reference, author: draft.author, envelope }
    }

    /// Revision 2 of a record, in the file of a later night (or of this one).
    pub(crate) fn revise(&mut self, written: &Written, right: &Body, reason: RevisionReason, night: i32) {
        self.revise_framed(written, right, reason, night, |_| ());
    }

    /// As [`Desk::revise`], where the frame changes too.
    pub(crate) fn revise_framed(
        &mut self,
        written: &Written,
        right: &Body,
        reason: RevisionReason,
        night: i32,
        change: impl FnOnce(&mut Envelope),
    ) {
        let mut envelope = written.envelope.clone();
        envelope.revision = 2;
        envelope.revision_reason = Some(reason);
        change(&mut envelope);
        let line = self.encode(&envelope, Some(right));
        self.put(night, written.author, line);
    }

    fn write_doubled(&mut self, basin: &Basin, draft: Draft) -> RecordRef {
        let twice = Draft {
            subject: draft.subject.clone(),
            body: draft.body.clone(),
            when: draft.when.clone(),
            ..draft
        };
        let first = self.write_plain(basin, draft);
        let second = self.write_plain(basin, twice);
        let mut envelope = second.envelope.clone();
        envelope.revision = 2;
        envelope.withdrawn = Some(true);
        envelope.withdrawn_reason = Some(format!("entered twice, see {}", first.reference.record_id));
        let night = self.mending_night();
        let line = self.encode(&envelope, None);
        self.put(night, second.author, line);
        first.reference
    }

    fn encode(&mut self, envelope: &Envelope, body: Option<&Body>) -> Vec<u8> {
        let mut line = Vec::with_capacity(512);
        if let Err(error) = serde_json::to_writer(&mut line, &Line { envelope, body }) {
            self.fault.get_or_insert(error);
        }
        line.push(b'\n');
        self.summary.count(envelope.kind);
        line
    }

    fn put(&mut self, night: i32, author: PartyIx, line: Vec<u8>) {
        if night <= self.today {
            self.sheets.entry(author).or_default().extend_from_slice(&line);
        } else {
            self.later.entry(night).or_default().push((author, line));
        }
    }

    /// Begins the next night: what was to be mended in it goes in first.
    pub(crate) fn begin(&mut self, night: i32) {
        self.today = night;
        self.numbers.clear();
        for (author, line) in self.later.remove(&night).unwrap_or_default() {
            self.put(night, author, line);
        }
    }

    /// The night's files, one for each party that wrote.
    pub(crate) fn close(&mut self) -> Result<BTreeMap<PartyIx, Vec<u8>>, Error> {
        match self.fault.take() {
            Some(error) => Err(Error::Encode(error)),
            None => Ok(std::mem::take(&mut self.sheets)),
        }
    }
}
