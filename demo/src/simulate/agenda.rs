//! What is planned for a later day.

use haulout_schemas::RecordRef;
use haulout_schemas::records::ending::LostAs;
use haulout_schemas::vocabulary::LifeStage;

use crate::basin::PlaceIx;
use crate::desk::Subject;
use crate::stock::GroupIx;
use crate::world::World;

/// A carcass and its papers.
pub(crate) struct Carcass {
    pub place: PlaceIx,
    pub subject: Subject,
    pub name: &'static str,
    pub stage: LifeStage,
    pub count: u32,
    pub death_of: RecordRef,
}

/// A step planned ahead. Each is checked again on its day: the animal may have died.
pub(crate) enum Task {
    /// A consignment arrives.
    Arrive(usize),
    /// The vet ends a quarantine.
    EndQuarantine(GroupIx),
    /// The carcass is opened.
    Necropsy(Carcass),
    /// And disposed of.
    Disposal(Carcass),
    /// Eggs are looked through.
    Candle(GroupIx),
    /// Eggs hatch, or fail.
    Hatch(GroupIx),
    /// Animals are named out of a lot, to be released.
    NameForRelease(GroupIx),
    /// Certificate before a release.
    Certify(GroupIx),
    /// Release, by this certificate.
    Release(GroupIx, RecordRef),
    /// A lost animal is found by its own centre.
    Found(GroupIx, PlaceIx, LostAs),
    /// An escaped animal is brought to a centre.
    BroughtBack(GroupIx, PlaceIx),
    /// The laboratory answers.
    Answer(GroupIx, PlaceIx, String),
    /// The court lets the animals of a case go.
    CourtDay(usize),
    /// A unit is open again.
    Reopen(PlaceIx, usize),
    /// A placed animal comes back.
    BackFromPlacement(GroupIx, PlaceIx),
    /// The crates of a consignment go home, empty and clean.
    CratesHome(usize),
    /// A readmitted animal is known by its chip.
    SettleBack(GroupIx, PlaceIx),
    /// A standstill of a unit is lifted.
    Lift(PlaceIx, usize, String),
}

impl World {
    /// Does what was planned.
    pub(super) fn carry_out(&mut self, task: Task) {
        match task {
            Task::Arrive(consignment) => self.arrive(consignment),
            Task::EndQuarantine(group) => self.end_quarantine(group),
            Task::Necropsy(carcass) => self.necropsy(carcass),
            Task::Disposal(carcass) => self.disposal(carcass),
            Task::Candle(clutch) => self.candle(clutch),
            Task::Hatch(clutch) => self.hatch(clutch),
            Task::NameForRelease(lot) => self.name_for_release(lot),
            Task::Certify(group) => self.certify(group),
            Task::Release(group, certificate) => self.release(group, certificate),
            Task::Found(group, place, lost_as) => self.found(group, place, lost_as),
            Task::BroughtBack(group, place) => self.brought_back(group, place),
            Task::Answer(group, place, sample) => self.answer(group, place, &sample),
            Task::CourtDay(case) => self.court_day(case),
            Task::Reopen(place, unit) => self.state_capacity(place, unit),
            Task::BackFromPlacement(group, place) => self.back_from_placement(group, place),
            Task::CratesHome(consignment) => self.crates_home(consignment),
            Task::SettleBack(group, place) => self.settle_back(group, place),
            Task::Lift(place, unit, id) => self.lift(place, unit, &id),
        }
    }
}
