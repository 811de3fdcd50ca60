//! What a centre can do: `capacity`, `readiness`, `biosecurity`.

use super::body;
use crate::envelope::Length;
use crate::event_date::EventDate;
use crate::text::{LocalId, PartyId, ScientificName};
use crate::vocabulary::{Direction, Stay, vocabulary};

vocabulary! {
    /// What a unit is.
    pub enum UnitKind {
        /// A pool or pond with land.
        Pool = "pool",
        /// A dry pen.
        Pen = "pen",
        /// A tank.
        Tank = "tank",
        /// A ward or hall.
        Ward = "ward",
        /// An isolation room.
        Isolation = "isolation",
        /// An incubator, egg box or burrow.
        Incubator = "incubator",
    }

    /// Who shares a unit.
    pub enum Arrangement {
        /// One batch at a time.
        Isolating = "isolating",
        /// Several batches together.
        Communal = "communal",
    }

    /// The water of a unit.
    pub enum WaterType {
        /// Still water, changed by hand.
        Static = "static",
        /// Water runs through.
        FlowThrough = "flowThrough",
        /// An earthen pond.
        EarthenPond = "earthenPond",
        /// A pen in the river.
        RiverPen = "riverPen",
        /// No water body.
        None = "none",
    }

    /// A statement about a unit.
    pub enum CapacityEvent {
        /// The unit is as stated.
        Stated = "stated",
        /// The unit is closed.
        Closed = "closed",
    }

    /// What the readiness is about.
    pub enum ReadinessEvent {
        /// Crews, vets, vehicles, crates, places offered tonight.
        Tonight = "tonight",
        /// A road, ferry or bridge; written by the coordination.
        Route = "route",
    }

    /// What a crew is trained for.
    pub enum CrewSkill {
        /// Crocodilians above 2.5 m.
        LargeCrocodilian = "largeCrocodilian",
        /// Crocodilians.
        Crocodilian = "crocodilian",
        /// Chelonians.
        Chelonian = "chelonian",
        /// Nests and eggs.
        Eggs = "eggs",
    }

    /// How far a vet's hands reach here.
    pub enum VetLevel {
        /// Nobody.
        None = "none",
        /// First aid.
        FirstAid = "firstAid",
        /// A clinic.
        Clinic = "clinic",
        /// Surgery.
        Surgery = "surgery",
    }

    /// Whether a route is open.
    pub enum RouteStatus {
        /// Open.
        Open = "open",
        /// Closed.
        Closed = "closed",
        /// Closed at night.
        ClosedAtNight = "closedAtNight",
    }

    /// A step of a standstill.
    pub enum BiosecurityEvent {
        /// Declared.
        Declared = "declared",
        /// Changed in scope or direction.
        Changed = "changed",
        /// Lifted.
        Lifted = "lifted",
    }

    /// How far a standstill reaches.
    pub enum StandstillScope {
        /// The whole centre.
        Centre = "centre",
        /// One unit.
        Unit = "unit",
        /// All units of one water circuit.
        WaterCircuit = "waterCircuit",
    }
}

body! {
    /// One unit, or a row of identical ones.
    pub struct Capacity {
        /// Whether the unit is as stated here, or closed.
        pub event: CapacityEvent,
        /// The unit or row, by its number in the centre's books.
        #[serde(rename = "unitID")]
        pub unit_id: LocalId,
        /// What kind of unit it is.
        pub unit_kind: Option<UnitKind>,
        /// How many identical ones; 1 unless stated.
        #[schemars(range(min = 1, max = 10_000))]
        pub units: Option<u32>,
        /// Whether it takes one batch at a time or several together.
        pub arrangement: Option<Arrangement>,
        /// Land of one unit, square metre.
        #[schemars(range(min = 0.0, max = 1_000_000.0))]
        pub land_square_metre: Option<f64>,
        /// Water of one unit, square metre.
        #[schemars(range(min = 0.0, max = 1_000_000.0))]
        pub water_square_metre: Option<f64>,
        /// Depth of the water, metre.
        #[schemars(range(min = 0.0, max = 50.0))]
        pub depth_metre: Option<f64>,
        /// Longest animal that it may hold, in its own measure, metre.
        pub length_limit_metre: Option<Length>,
        /// Most heads in one unit, whatever the space.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub heads_limit: Option<u32>,
        /// Species or groups for which it is meant (a name of the name list, or of an order or family).
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 100))]
        pub suits: Vec<ScientificName>,
        /// Stays for which it is meant; every stay where none is named.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 4))]
        pub stays: Vec<Stay>,
        /// Whether heat is held.
        pub heated: Option<bool>,
        /// Lowest water temperature held, degree Celsius; of an incubator, of its air.
        #[schemars(range(min = -5.0, max = 60.0))]
        pub lowest_celsius: Option<f64>,
        /// Highest temperature held there, degree Celsius.
        #[schemars(range(min = -5.0, max = 60.0))]
        pub highest_celsius: Option<f64>,
        /// Longest straight side inside, metre: an animal must be able to lie in it and turn.
        #[schemars(range(min = 0.0, max = 1_000.0))]
        pub longest_side_metre: Option<f64>,
        /// Whether eggs keep position and direction in it: said of an incubator.
        pub keeps_orientation: Option<bool>,
        /// The water that it shares with other units.
        pub water_circuit: Option<LocalId>,
        /// What its water is.
        pub water_type: Option<WaterType>,
    }
}

body! {
    /// What a centre can do tonight, or a route that is closed.
    pub struct Readiness {
        /// Whether it tells of what can be done tonight, or of a route.
        pub event: ReadinessEvent,
        /// Crews on call.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 50))]
        pub crews: Vec<Crew>,
        /// How far a vet's hands reach.
        pub vet_level: Option<VetLevel>,
        /// Vehicle minutes that can be given tonight.
        #[schemars(range(min = 0, max = 100_000))]
        pub vehicle_minutes: Option<u32>,
        /// Crates that are free.
        #[schemars(range(min = 0, max = 100_000))]
        pub crates_free: Option<u32>,
        /// Most arrivals that it takes in a day.
        #[schemars(range(min = 0, max = 100_000))]
        pub arrivals_per_day: Option<u32>,
        /// Places offered tonight.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 200))]
        pub places_offered: Vec<PlacesOffered>,
        /// Until when this holds.
        pub until: Option<EventDate>,
        /// The road, ferry or bridge that it tells of.
        pub route: Option<Route>,
    }
}

body! {
    /// A number of places offered for a species, genus, family or order.
    pub struct PlacesOffered {
        /// Species, genus, family or order.
        pub scientific_name: ScientificName,
        /// How many animals can be taken.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// The unit, where it is known.
        #[serde(rename = "unitID")]
        pub unit_id: Option<LocalId>,
        /// For which stay; any unless stated.
        pub stay: Option<Stay>,
    }
}

body! {
    /// People who catch and handle together.
    pub struct Crew {
        /// What they are trained for.
        pub skill: CrewSkill,
        /// How many trained people.
        #[schemars(range(min = 1, max = 100))]
        pub people: u16,
    }
}

body! {
    /// A road, ferry or bridge between two places.
    pub struct Route {
        /// The place at one end.
        #[serde(rename = "fromID")]
        pub from_id: PartyId,
        /// The place at the other end.
        #[serde(rename = "toID")]
        pub to_id: PartyId,
        /// Whether it is open.
        pub status: RouteStatus,
        /// Until when, as far as known.
        pub until: Option<EventDate>,
        /// Why it is closed, as reported.
        #[schemars(length(min = 1, max = 500))]
        pub reason: Option<String>,
    }
}

body! {
    /// A standstill: scope, direction, agent, effective from.
    pub struct Biosecurity {
        /// Whether the standstill is declared, changed or lifted.
        pub event: BiosecurityEvent,
        /// The number of the standstill, the same from declaring to lifting.
        #[serde(rename = "standstillID")]
        pub standstill_id: LocalId,
        /// How far it reaches.
        pub scope: Option<StandstillScope>,
        /// The unit, where the scope is one unit.
        #[serde(rename = "unitID")]
        pub unit_id: Option<LocalId>,
        /// The water circuit, where the scope is one.
        pub water_circuit: Option<LocalId>,
        /// Species, genera, families or orders to which it is confined; every animal where none is named.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 100))]
        pub taxa: Vec<ScientificName>,
        /// Whether nothing may go in, out, or both.
        pub direction: Option<Direction>,
        /// The agent or sign that it is for.
        #[schemars(length(min = 1, max = 200))]
        pub agent: Option<String>,
        /// From when it holds; the event's own moment unless stated.
        pub effective_from: Option<EventDate>,
        /// Why it was declared, changed or lifted.
        #[schemars(length(min = 1, max = 1000))]
        pub reason: Option<String>,
    }
}
