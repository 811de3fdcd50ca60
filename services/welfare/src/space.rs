//! Least space: what a number of animals needs, and how many a unit may hold.
//!
//! The rule is data of the species profile (`SpaceRule`); the computation is
//! here. It is sized by the largest animal; the base serves the first, a share
//! comes on top for each further one. Animals of different species in one unit
//! are each measured by their own rule with all heads counted, and the greatest
//! need decides (the stricter reading; common practice).

use haulout_schemas::profile::SpaceRule;

/// What is asked for: square metres and metres. A zero means that the rule asks for none.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Need {
    /// Land, square metres.
    pub land_m2: f64,
    /// Water surface, square metres.
    pub water_m2: f64,
    /// Water depth, metres.
    pub depth_m: f64,
}

/// What a unit offers; an absent figure is not known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Room {
    /// Land, square metres.
    pub land_m2: Option<f64>,
    /// Water surface, square metres.
    pub water_m2: Option<f64>,
    /// Water depth, metres.
    pub depth_m: Option<f64>,
}

/// Animals of one species among those in a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kind<'a> {
    /// Space rule of the species.
    pub rule: &'a SpaceRule,
    /// Largest of them, metres of the species' space measure.
    pub largest_m: f64,
}

/// Why the space rule gives no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unchecked {
    /// The source gives no area for animals beyond this many.
    BeyondSource(u32),
    /// The unit's land is not known.
    Land,
    /// The unit's water surface is not known.
    Water,
    /// The unit's depth is not known.
    Depth,
}

/// No unit is said to hold more than this: a search needs an end.
const MOST_HEADS: u32 = 1_000_000;

/// Figures that differ by less than a square millimetre or a thousandth of a millimetre are equal:
/// 20 x 0.15 x 0.15 is 0.45 on paper and a hair less in binary.
const HAIR: f64 = 1e-6;

/// True when `needed` is no more than `available`.
#[must_use]
pub fn within(needed: f64, available: f64) -> bool {
    needed <= available + HAIR
}

/// What `animals` of one species need, the largest of them `largest_m` long.
///
/// # Errors
/// [`Unchecked::BeyondSource`] where the rule's source stops at fewer animals.
pub fn need(rule: &SpaceRule, largest_m: f64, animals: u32) -> Result<Need, Unchecked> {
    if animals == 0 {
        return Ok(Need::default());
    }
    let further = f64::from(animals - 1);
    match *rule {
        SpaceRule::Crocodilian {
            land_length,
            land_width,
            water_length,
            water_width,
            depth,
            land_per_further,
            water_per_further,
            height_limit_m,
        } => {
            let square = largest_m * largest_m;
            Ok(Need {
                land_m2: land_length * land_width * square * (1.0 + land_per_further * further),
                water_m2: water_length * water_width * square * (1.0 + water_per_further * further),
                depth_m: (depth * largest_m).min(height_limit_m),
            })
        }
        SpaceRule::Aquatic { water_length, water_width, depth, water_per_further, height_limit_m } => {
            Ok(Need {
                land_m2: 0.0,
                water_m2: water_length
                    * water_width
                    * largest_m
                    * largest_m
                    * (1.0 + water_per_further * further),
                depth_m: (depth * largest_m).min(height_limit_m),
            })
        }
        SpaceRule::Floor { base_animals, base_m2, further_m2, .. } => {
            let beyond = animals.saturating_sub(base_animals);
            let land_m2 = match (beyond, further_m2) {
                (0, _) => base_m2,
                (_, Some(each)) => base_m2 + each * f64::from(beyond),
                (_, None) => return Err(Unchecked::BeyondSource(base_animals)),
            };
            Ok(Need { land_m2, ..Need::default() })
        }
    }
}

/// What `heads` animals of several kinds need in one unit: by each kind's rule with all heads
/// counted, the greatest need.
///
/// # Errors
/// As [`need`], for the first kind whose rule gives no answer.
pub fn need_together(kinds: &[Kind<'_>], heads: u32) -> Result<Need, Unchecked> {
    let mut most = Need::default();
    for kind in kinds {
        let one = need(kind.rule, kind.largest_m, heads)?;
        most.land_m2 = most.land_m2.max(one.land_m2);
        most.water_m2 = most.water_m2.max(one.water_m2);
        most.depth_m = most.depth_m.max(one.depth_m);
    }
    Ok(most)
}

/// True when the room offers the need.
///
/// # Errors
/// The figure that is needed and not known.
pub fn offers(room: Room, need: Need) -> Result<bool, Unchecked> {
    let enough = |needed: f64, available: Option<f64>, unknown: Unchecked| {
        if needed <= 0.0 {
            return Ok(true);
        }
        available.map(|available| within(needed, available)).ok_or(unknown)
    };
    let land = enough(need.land_m2, room.land_m2, Unchecked::Land)?;
    let water = enough(need.water_m2, room.water_m2, Unchecked::Water)?;
    let depth = enough(need.depth_m, room.depth_m, Unchecked::Depth)?;
    Ok(land && water && depth)
}

/// Most further animals the room may hold beside `present` heads, when `kinds` are all that would
/// then be in it, newcomers included.
///
/// # Errors
/// [`Unchecked`] where not even one further animal can be checked.
pub fn capacity_of(room: Room, kinds: &[Kind<'_>], present: u32) -> Result<u32, Unchecked> {
    let fits = |further: u32| -> Result<bool, Unchecked> {
        offers(room, need_together(kinds, present.saturating_add(further))?)
    };
    if !fits(1)? {
        return Ok(0);
    }
    // The need never shrinks with a further head, so the last that fits is found by halving.
    // Beyond the source's numbers nothing is granted.
    let (mut fitting, mut beyond) = (1, MOST_HEADS);
    while beyond - fitting > 1 {
        let middle = fitting + (beyond - fitting) / 2;
        if fits(middle).unwrap_or(false) {
            fitting = middle;
        } else {
            beyond = middle;
        }
    }
    Ok(fitting)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use haulout_schemas::profile::FloorClass;

    const CROCODILIAN: SpaceRule = SpaceRule::Crocodilian {
        land_length: 4.0,
        land_width: 3.0,
        water_length: 5.0,
        water_width: 4.0,
        depth: 0.3,
        land_per_further: 0.10,
        water_per_further: 0.20,
        height_limit_m: 2.0,
    };

    fn floor(class: FloorClass, base_m2: f64, further_m2: Option<f64>) -> SpaceRule {
        SpaceRule::Floor { class, base_animals: 2, base_m2, further_m2, substrate_depth_m: 0.05 }
    }

    fn near(left: f64, right: f64) -> bool {
        (left - right).abs() < 1e-9
    }

    /// Federal expert opinion of 10 January 1997 (datz.de 2895): two published worked examples
    /// (the pair, the hatchling) and three rows computed by hand from the same formula;
    /// the last row is the mugger of 3.5 m total length at half its length.
    #[test]
    fn crocodilian_land_water_depth() {
        for (k, n, land, water, depth) in [
            (1.0, 2, 13.2, 24.0, 0.30),
            (0.15, 1, 0.27, 0.45, 0.045),
            (1.0, 1, 12.0, 20.0, 0.30),
            (1.0, 5, 16.8, 36.0, 0.30),
            (0.5, 3, 3.6, 7.0, 0.15),
            (1.75, 1, 36.75, 61.25, 0.525),
        ] {
            let need = need(&CROCODILIAN, k, n).unwrap();
            assert!(near(need.land_m2, land), "{k} {n}: {need:?}");
            assert!(near(need.water_m2, water), "{k} {n}: {need:?}");
            assert!(near(need.depth_m, depth), "{k} {n}: {need:?}");
        }
    }

    #[test]
    fn a_computed_depth_stops_at_its_limit() {
        assert!(near(need(&CROCODILIAN, 8.0, 1).unwrap().depth_m, 2.0));
    }

    /// Burgenland 2003, floor areas of land tortoises; check values computed by hand.
    #[test]
    fn tortoise_floor() {
        let small = floor(FloorClass::Small, 2.0, Some(0.5));
        let medium = floor(FloorClass::Medium, 3.0, Some(1.0));
        let large = floor(FloorClass::Large, 6.0, Some(2.0));
        let giant = floor(FloorClass::Giant, 40.0, None);
        for (rule, n, land) in
            [(small, 2, 2.0), (small, 5, 3.5), (medium, 4, 5.0), (large, 3, 8.0), (giant, 2, 40.0)]
        {
            assert!(near(need(&rule, 0.3, n).unwrap().land_m2, land));
        }
        assert_eq!(need(&giant, 1.0, 3), Err(Unchecked::BeyondSource(2)));
    }

    /// Five by two and a half shell lengths, two deep (from memory); a fifth more for each further.
    #[test]
    fn aquatic_water() {
        let rule = SpaceRule::Aquatic {
            water_length: 5.0,
            water_width: 2.5,
            depth: 2.0,
            water_per_further: 0.2,
            height_limit_m: 2.0,
        };
        let need = need(&rule, 0.2, 6).unwrap();
        assert!(near(need.water_m2, 1.0) && near(need.depth_m, 0.4) && need.land_m2 == 0.0);
    }

    fn room(land: f64, water: f64, depth: f64) -> Room {
        Room { land_m2: Some(land), water_m2: Some(water), depth_m: Some(depth) }
    }

    fn kind(largest_m: f64) -> Kind<'static> {
        Kind { rule: &CROCODILIAN, largest_m }
    }

    #[test]
    fn capacity_is_the_last_number_that_fits() {
        let one = [kind(1.0)];
        assert_eq!(capacity_of(room(16.8, 36.0, 0.3), &one, 0), Ok(5));
        assert_eq!(capacity_of(room(16.7, 36.0, 0.3), &one, 0), Ok(4));
        assert_eq!(capacity_of(room(16.8, 36.0, 0.29), &one, 0), Ok(0));
        // Three smaller ones present leave room for two; one of twice the length leaves none.
        let beside = |present| [kind(1.0), kind(present)];
        assert_eq!(capacity_of(room(16.8, 36.0, 0.3), &beside(0.8), 3), Ok(2));
        assert_eq!(capacity_of(room(16.8, 36.0, 0.3), &beside(2.0), 1), Ok(0));
    }

    #[test]
    fn what_is_not_known_is_not_granted() {
        let unknown = Room { depth_m: None, ..room(100.0, 100.0, 1.0) };
        assert_eq!(capacity_of(unknown, &[kind(1.0)], 0), Err(Unchecked::Depth));
        let giant = floor(FloorClass::Giant, 40.0, None);
        let kinds = [Kind { rule: &giant, largest_m: 1.0 }];
        assert_eq!(capacity_of(room(1000.0, 0.0, 0.0), &kinds, 0), Ok(2));
        assert_eq!(capacity_of(room(1000.0, 0.0, 0.0), &kinds, 2), Err(Unchecked::BeyondSource(2)));
    }

    #[test]
    fn a_mixed_unit_takes_the_greatest_need() {
        let tortoise = floor(FloorClass::Large, 6.0, Some(2.0));
        let other = Kind { rule: &tortoise, largest_m: 0.3 };
        let need = need_together(&[kind(1.0), other], 5).unwrap();
        // Five heads: 12 x 1.4 = 16.8 by the crocodilian rule, 6 + 3 x 2 = 12 by the other.
        assert!(near(need.land_m2, 16.8) && near(need.water_m2, 36.0));
    }
}
