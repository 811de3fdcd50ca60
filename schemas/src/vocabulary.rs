//! The words that records choose from, each with its meaning. Names follow Darwin Core where it has one.

macro_rules! vocabulary {
    ($($(#[doc = $doc:literal])+ pub enum $name:ident { $($(#[doc = $vdoc:literal])+ $variant:ident = $text:literal),+ $(,)? })+) => {$(
        $(#[doc = $doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        pub enum $name { $($(#[doc = $vdoc])+ #[serde(rename = $text)] $variant),+ }

        impl $name {
            /// Every word of the list, in order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word as records write it.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $text),+ }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.as_str())
            }
        }
    )+};
}
pub(crate) use vocabulary;

vocabulary! {
    /// Where animals or eggs come from, as an account of the ledger.
    pub enum Source {
        /// Taken from the wild: stranded, injured, in danger, or dangerous where it was.
        Wild = "wild",
        /// Found in trade: seized on a road, in a market, at a border.
        Trade = "trade",
        /// Kept by a private person: surrendered, or left at the gate.
        Private = "private",
        /// From a farm or a breeding establishment.
        Farm = "farm",
        /// Nobody can say.
        Unknown = "unknown",
        /// From a centre outside the region.
        Outside = "outside",
        /// Released earlier and back: a readmission, not a new rescue.
        Released = "released",
        /// Escaped earlier and brought to another party.
        Escaped = "escaped",
    }

    /// Age class. Darwin Core: `dwc:lifeStage`. `egg` is of commodity eggs, any other of animals.
    pub enum LifeStage {
        /// An egg, fertile or not.
        Egg = "egg",
        /// Hatched, in its first weeks.
        Hatchling = "hatchling",
        /// Before maturity, small.
        Juvenile = "juvenile",
        /// Near maturity.
        Subadult = "subadult",
        /// Mature.
        Adult = "adult",
    }

    /// Darwin Core: `dwc:sex`.
    pub enum Sex {
        /// Female.
        Female = "female",
        /// Male.
        Male = "male",
        /// Looked at and not decidable.
        Undetermined = "undetermined",
        /// A group of both.
        Mixed = "mixed",
    }

    /// How a number of individuals was arrived at.
    pub enum CountMethod {
        /// Counted one by one.
        Counted = "counted",
        /// Estimated; `low` and `high` say how well.
        Estimated = "estimated",
        /// Taken over from a paper.
        AsDocumented = "asDocumented",
    }

    /// Alive or dead when found. Darwin Core: `dwc:vitality`.
    pub enum Vitality {
        /// Alive.
        Alive = "alive",
        /// Dead.
        Dead = "dead",
    }

    /// What a length measures.
    pub enum LengthMeasure {
        /// Snout tip to tail tip (crocodilians).
        TotalLength = "totalLength",
        /// Snout tip to the vent (crocodilians).
        SnoutVentLength = "snoutVentLength",
        /// Carapace in a straight line (chelonians).
        StraightCarapaceLength = "straightCarapaceLength",
        /// Carapace over its curve (chelonians).
        CurvedCarapaceLength = "curvedCarapaceLength",
        /// Plastron along the midline (chelonians).
        PlastronLength = "plastronLength",
        /// Snout tip to the rear of the skull table (crocodilians).
        HeadLength = "headLength",
    }

    /// How a length was taken.
    pub enum LengthMethod {
        /// With tape or callipers on the animal.
        Taped = "taped",
        /// By eye from a distance.
        ByEye = "byEye",
        /// Derived from another measure by a stated ratio.
        Derived = "derived",
    }

    /// When a death fell, for the four figures that are never mixed.
    pub enum DeathWhen {
        /// Dead before anyone came.
        BeforeRescue = "beforeRescue",
        /// On the way.
        InTransit = "inTransit",
        /// Within 48 hours of arrival.
        Within48h = "within48h",
        /// Later, in care.
        InCare = "inCare",
    }

    /// Yes, no, or nobody knows.
    pub enum Known {
        /// Yes.
        Yes = "yes",
        /// No.
        No = "no",
        /// Nobody knows.
        Unknown = "unknown",
    }

    /// How urgently an animal needs a place.
    pub enum Triage {
        /// Life in danger: tonight.
        Red = "red",
        /// Will get worse: within a day or two.
        Yellow = "yellow",
        /// Stable.
        Green = "green",
    }

    /// How long an animal is to stay in a place.
    pub enum Stay {
        /// To stabilise, 72 hours at most.
        Stabilise = "stabilise",
        /// Through its quarantine.
        Quarantine = "quarantine",
        /// Months, until release.
        Long = "long",
        /// For life.
        Lifelong = "lifelong",
    }

    /// Which way a standstill works.
    pub enum Direction {
        /// Nothing in.
        In = "in",
        /// Nothing out.
        Out = "out",
        /// Nothing in or out.
        Both = "both",
    }
}
