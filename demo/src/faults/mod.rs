//! Planted faults: slips of the pen and of people, as they happen, each on animals that chance never
//! touches, of species that nobody else at that centre keeps. So every consequence is known.

mod clinic;
mod counting;
mod disease;
mod freed;
mod histories;
mod lengths;
mod lots;
mod outlooks;
mod papers;
mod plots;
mod roads;
mod stays;
mod twins;

use haulout_schemas::RecordRef;
use haulout_schemas::records::arrival::{CaptureMethod, RescueCause, RescueEvent};
use haulout_schemas::vocabulary::{LifeStage, Source, Stay};
use haulout_schemas::{Body, records::arrival::Rescue};

use plots::{PLOTS, Plot};

use crate::basin::PlaceIx;
use crate::luck::Luck;
use crate::simulate::arrivals::rescue;
use crate::species::{self, SpeciesIx};
use crate::stock::{Group, GroupIx, Where};
use crate::truth::{Commodity, Difference, PlantedFault};
use crate::world::World;

/// Species that a centre's licence may list by themselves, and how many: the fault of a licence
/// exceeded rests on it.
const NARROW_LINE: (&str, u32) = ("Manouria emys", 5);
/// Which centre of a reach has that line.
const NARROW_CENTRE: usize = 3;

/// The additional line of a centre's licence.
pub(crate) fn extra_licence_line(world: &World, place: PlaceIx) -> Option<(&'static str, u32)> {
    (world.options.faults && place % 6 == NARROW_CENTRE).then_some(NARROW_LINE)
}

/// One plot in one reach, as far as it has come.
struct Script {
    plot: Plot,
    /// First centre of the reach.
    base: PlaceIx,
    start: i32,
    animals: Vec<GroupIx>,
    records: Vec<RecordRef>,
    /// Index of a consignment of the plot.
    journey: Option<usize>,
    /// Number of a permit of the plot.
    permit: String,
    /// Number of a batch of the plot.
    batch: String,
    /// A unit of the plot.
    unit: usize,
}

impl Script {
    fn new(plot: Plot, base: PlaceIx, start: i32) -> Self {
        Self {
            plot,
            base,
            start,
            animals: Vec::new(),
            records: Vec::new(),
            journey: None,
            permit: String::new(),
            batch: String::new(),
            unit: 0,
        }
    }

    /// A centre of the reach.
    fn centre(&self, at: usize) -> PlaceIx {
        self.base + at
    }
}

/// A count that differs from the books, night after night: its censuses belong to the fault.
struct Watch {
    fault: usize,
    place: PlaceIx,
    from: i32,
}

/// All plots, and what came of them.
pub(crate) struct Faults {
    scripts: Vec<Script>,
    planted: Vec<PlantedFault>,
    differences: Vec<Difference>,
    watches: Vec<Watch>,
    /// Place, species, first night: one fewer is counted there from then on.
    overlooked: Vec<(PlaceIx, SpeciesIx, i32)>,
}

impl Faults {
    /// Casts the plots over the reaches, on nights drawn from a stream of their own.
    pub(crate) fn cast(world: &World) -> Self {
        let mut luck = Luck::new(world.options.seed, 3);
        let mut scripts = Vec::new();
        for reach in 0..world.basin.centres.div_ceil(6) {
            for (plot, highest, (from, to), needs) in PLOTS {
                let start = luck.days(*from, *to);
                let base = reach * 6;
                if base + highest < world.basin.centres && start + needs <= world.desk.last_night() {
                    scripts.push(Script::new(*plot, base, start));
                }
            }
        }
        Self {
            scripts,
            planted: Vec::new(),
            differences: Vec::new(),
            watches: Vec::new(),
            overlooked: Vec::new(),
        }
    }

    /// Plays what falls on this night.
    pub(crate) fn tonight(&mut self, world: &mut World) {
        let mut scripts = std::mem::take(&mut self.scripts);
        for script in &mut scripts {
            let step = world.night - script.start;
            if step >= 0 {
                self.play(script, step, world);
            }
        }
        self.scripts = scripts;
    }

    fn play(&mut self, script: &mut Script, step: i32, world: &mut World) {
        match script.plot {
            Plot::Unreceived => self.unreceived(script, step, world),
            Plot::Miscounted => self.miscounted_journey(script, step, world),
            Plot::Misnamed => self.misnamed(script, step, world),
            Plot::NoLeave => self.no_leave(script, step, world),
            Plot::OneChipTwice => self.one_chip_twice(script, step, world),
            Plot::OneOverlooked => self.one_overlooked(script, step, world),
            Plot::ToldTwice => self.told_twice(script, step, world),
            Plot::LateNight => self.late_night(script, step, world),
            Plot::WrongNumber => self.wrong_number(script, step, world),
            Plot::NoPermit | Plot::NoCertificate | Plot::NoMark => self.freed_without(script, step, world),
            Plot::Overdrawn => self.overdrawn(script, step, world),
            Plot::OutTooEarly => self.out_too_early(script, step, world),
            Plot::NeverEnded => self.never_ended(script, step, world),
            Plot::NoNecropsy => self.no_necropsy(script, step, world),
            Plot::TreatedDead => self.treated_dead(script, step, world),
            Plot::Crowded => self.crowded(script, step, world),
            Plot::BeyondLicence => self.beyond_licence(script, step, world),
            Plot::WrongDrug => self.wrong_drug(script, step, world),
            Plot::LeftBound => self.left_bound(script, step, world),
            Plot::OnlySpoken => self.only_spoken(script, step, world),
            Plot::UnknownOrder => self.unknown_order(script, step, world),
            Plot::NoOrder => self.no_order(script, step, world),
            Plot::LiftedAlone => self.lifted_alone(script, step, world),
            Plot::FreedForEver => self.freed_for_ever(script, step, world),
            Plot::NotLookedAt => self.not_looked_at(script, step, world),
            Plot::NotBack => self.not_back(script, step, world),
            Plot::TreatedBefore => self.treated_before(script, step, world),
            Plot::BothSexes => self.both_sexes(script, step, world),
            Plot::ScannedHereOnly => self.scanned_here_only(script, step, world),
            Plot::SignedBefore | Plot::SignedElsewhere | Plot::NightsOnTheRoad => {
                self.strangely_sent(script, step, world);
            }
            Plot::NeverCounted => self.never_counted(script, step, world),
            Plot::MiscountedEggs => self.miscounted_eggs(script, step, world),
            Plot::ForgottenClutch => self.forgotten_clutch(script, step, world),
            Plot::AtLarge => self.at_large(script, step, world),
            Plot::NotFollowed => self.not_followed(script, step, world),
            Plot::LeftInYard => self.left_in_yard(script, step, world),
            Plot::DieTogether => self.die_together(script, step, world),
            Plot::SettledAlone => self.settled_alone(script, step, world),
            Plot::DirtyCrates => self.dirty_crates(script, step, world),
            Plot::SentUnfit => self.sent_unfit(script, step, world),
            Plot::Stabilising | Plot::BeyondOrder => self.stays_on(script, step, world),
            Plot::OneReportedByTwo => self.one_reported_by_two(script, step, world),
            Plot::IllInCompany => self.ill_in_company(script, step, world),
            Plot::Shorter => self.shorter(script, step, world),
            Plot::CratesKept => self.crates_kept(script, step, world),
        }
    }

    /// How many fewer than stand there are counted in a place tonight.
    pub(crate) fn miscounted(&self, place: PlaceIx, species: SpeciesIx, night: i32) -> u32 {
        let here =
            self.overlooked.iter().filter(|(at, of, from)| (*at, *of) == (place, species) && *from <= night);
        u32::try_from(here.count()).unwrap_or(0)
    }

    /// After the censuses of a night: those of a running difference belong to its fault.
    pub(crate) fn watch(&mut self, world: &World) {
        for watch in &self.watches {
            if watch.from <= world.night
                && let Some(Some(census)) = world.last_census.get(watch.place)
            {
                self.planted[watch.fault].records.push(census.clone());
            }
        }
    }

    /// Puts everything on the answer sheet.
    pub(crate) fn tell(self, world: &mut World) {
        world.truth.faults = self.planted;
        world.truth.differences = self.differences;
    }

    /// Notes a fault that comes to be tonight; its index.
    fn plant(
        &mut self,
        world: &World,
        code: &'static str,
        places: &[PlaceIx],
        species: Option<SpeciesIx>,
        records: Vec<RecordRef>,
        because: Option<usize>,
    ) -> usize {
        let day = world.desk.date(world.night).to_string();
        let mut parties: Vec<String> =
            places.iter().map(|place| world.basin.places[*place].id.clone()).collect();
        parties.sort();
        parties.dedup();
        let scientific_name = species.map(|species| species::ALL[species].name);
        self.planted.push(PlantedFault { code, parties, records, day, because, scientific_name });
        self.planted.len() - 1
    }

    /// From tonight on the census of a place differs from its books.
    fn plant_difference(
        &mut self,
        world: &World,
        place: PlaceIx,
        species: SpeciesIx,
        because: Option<usize>,
    ) -> usize {
        let fault = self.plant(world, "census-difference", &[place], Some(species), Vec::new(), because);
        self.watches.push(Watch { fault, place, from: world.night });
        fault
    }

    /// From tonight on books and truth part by this much at a place.
    fn part_at_place(
        &mut self,
        world: &World,
        place: PlaceIx,
        species: SpeciesIx,
        difference: i64,
        because: usize,
    ) {
        let place_id = Some(world.basin.places[place].id.clone());
        self.part(world, place_id, None, (species, Commodity::Animals), difference, because);
    }

    /// As [`Faults::part_at_place`], of eggs.
    fn part_in_eggs(
        &mut self,
        world: &World,
        place: PlaceIx,
        species: SpeciesIx,
        difference: i64,
        because: usize,
    ) {
        let place_id = Some(world.basin.places[place].id.clone());
        self.part(world, place_id, None, (species, Commodity::Eggs), difference, because);
    }

    /// From tonight on the books of a journey are not empty.
    fn part_on_the_road(
        &mut self,
        world: &World,
        journey: usize,
        species: SpeciesIx,
        difference: i64,
        because: usize,
    ) {
        let consignment_id = Some(world.consignments[journey].id.clone());
        self.part(world, None, consignment_id, (species, Commodity::Animals), difference, because);
    }

    fn part(
        &mut self,
        world: &World,
        place_id: Option<String>,
        consignment_id: Option<String>,
        (species, commodity): (SpeciesIx, Commodity),
        difference: i64,
        because: usize,
    ) {
        self.differences.push(Difference {
            place_id,
            consignment_id,
            scientific_name: species::ALL[species].name,
            commodity,
            from: world.desk.date(world.night).to_string(),
            difference,
            because,
        });
    }
}

/// A species of a plot; the first of all where the name is unknown, which a test excludes.
fn kind(name: &str) -> SpeciesIx {
    species::named(name).unwrap_or_default()
}

impl World {
    /// Animals of a plot come in and are housed; chance leaves them alone for ever.
    fn reserved_arrival(
        &mut self,
        place: PlaceIx,
        species: SpeciesIx,
        count: u32,
        single: bool,
        change: impl FnOnce(&mut Rescue),
    ) -> (GroupIx, RecordRef) {
        let group = self.reserved_group(place, species, count, single);
        let record = self.tell_arrival(group, place, change);
        self.stock.groups[group].arrival = Some(record.clone());
        let pond = self.pond_for(place, species, LifeStage::Adult, count);
        self.house(group, place, pond, Stay::Long, 12);
        (group, record)
    }

    /// Animals of a plot stand in a place, and nobody has written of it.
    fn reserved_group(&mut self, place: PlaceIx, species: SpeciesIx, count: u32, single: bool) -> GroupIx {
        let keeper = self.keeper(place);
        let id = self.coin(keeper, if single { 'A' } else { 'L' });
        let mut group = Group::new(id, single, species, LifeStage::Adult, count);
        group.reserved = true;
        self.stock.add(group, Where::Place(place), self.night)
    }

    /// The rescue of a group of a plot.
    fn tell_arrival(
        &mut self,
        group: GroupIx,
        place: PlaceIx,
        change: impl FnOnce(&mut Rescue),
    ) -> RecordRef {
        let mut body = rescue(RescueEvent::FromWild, Source::Wild, self.stock.groups[group].count);
        body.cause = Some(RescueCause::Stranded);
        body.capture_method = Some(CaptureMethod::Hand);
        body.life_stage = Some(LifeStage::Adult);
        change(&mut body);
        let when = self.when(place, 10, 5);
        self.tell(group, place, when, Body::Rescue(body))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_plots_speak_of_known_species_only() {
        let all = [
            roads::SPECIES,
            counting::SPECIES,
            freed::SPECIES,
            stays::SPECIES,
            clinic::SPECIES,
            papers::SPECIES,
            outlooks::SPECIES,
            histories::SPECIES,
            lots::SPECIES,
            lengths::SPECIES,
            twins::SPECIES,
            disease::SPECIES,
        ];
        for name in all.concat() {
            assert!(species::named(name).is_some(), "{name}");
        }
        assert!(species::named(NARROW_LINE.0).is_some());
    }
}
