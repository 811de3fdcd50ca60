//! Boxes with layers of sand, and dug burrows.

use serde::{Deserialize, Serialize};

use crate::grounds::{Advice, Grounds};
use crate::refusal::Refusal;
use crate::units::{Celsius, Metres};

/// Sand between two layers of eggs, metres (common practice: 3 cm).
pub const SAND_BETWEEN: Metres = Metres::of(0.03);
/// Fewest and most eggs of a dug burrow (common practice).
pub const BURROW: (u32, u32) = (20, 25);
/// Tiers at different temperatures, at most (common practice: two or three).
pub const MOST_TIERS: usize = 3;

/// Boxes that are to take a clutch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Boxes {
    /// Eggs.
    pub eggs: u32,
    /// Longest side of the largest egg, metres: an egg keeps its direction, so it takes that much each way.
    pub egg_metre: Metres,
    /// Inner length of a box, metres.
    pub length_metre: Metres,
    /// Inner width of a box, metres.
    pub width_metre: Metres,
    /// Inner height of a box, metres.
    pub height_metre: Metres,
    /// Temperatures of the tiers, degrees Celsius; empty where there is one.
    #[serde(default)]
    pub tiers_celsius: Vec<Celsius>,
}

/// How the boxes are laid.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Laid {
    /// Most eggs of a layer.
    pub eggs_per_layer: u32,
    /// Most layers of a box.
    pub layers_per_box: u32,
    /// Eggs of each box, in the order of the nest.
    pub boxes: Vec<u32>,
    /// For each tier its temperature and how many of the boxes stand there.
    pub tiers: Vec<Tier>,
    /// What is to be kept to.
    pub advice: Vec<Advice>,
}

/// Boxes of one temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Tier {
    /// Temperature, degrees Celsius.
    pub celsius: Celsius,
    /// Boxes.
    pub boxes: usize,
}

/// Lays a clutch in boxes: 3 cm of sand between layers, and as much below, above and at the sides
/// (a proposal; the source names the sand between layers only). Each egg lies a finger's breadth,
/// 1 cm, from the next (a proposal).
///
/// # Errors
/// No eggs or more than a million, a box that takes none, or more tiers than the trade uses.
pub fn boxes(asked: &Boxes) -> Result<Laid, Refusal> {
    let what = || format!("boxes for {} eggs", asked.eggs);
    let refuse = |code, why: String, mend: &str| Err(Refusal::new(code, what(), why, mend));
    counted(asked.eggs)?;
    if asked.tiers_celsius.len() > MOST_TIERS {
        return refuse(
            "tiers",
            format!("{} tiers; common practice is two or three", asked.tiers_celsius.len()),
            "use at most three temperatures",
        );
    }
    let (egg, sand) = (asked.egg_metre.m(), SAND_BETWEEN.m());
    let apart = 0.01;
    // n eggs in a row: n eggs, n - 1 gaps, sand at both ends.
    let row = |side: f64| whole((side - 2.0 * sand + apart) / (egg + apart));
    let per_layer = row(asked.length_metre.m()).saturating_mul(row(asked.width_metre.m()));
    // n layers: n eggs high, n - 1 layers of sand between, sand below and above.
    let layers = whole((asked.height_metre.m() - sand) / (egg + sand));
    let per_box = per_layer.saturating_mul(layers);
    if per_box == 0 {
        return refuse(
            "box-too-small",
            "with 3 cm of sand around it the box takes no egg of this size".into(),
            "use a larger box",
        );
    }
    let count = asked.eggs.div_ceil(per_box);
    let boxes = evenly(asked.eggs, count);
    Ok(Laid {
        eggs_per_layer: per_layer,
        layers_per_box: layers,
        tiers: tiers(&asked.tiers_celsius, boxes.len()),
        boxes,
        advice: advice(),
    })
}

/// As many eggs as a record may tell of, and not none.
fn counted(eggs: u32) -> Result<(), Refusal> {
    if (1..=1_000_000).contains(&eggs) {
        return Ok(());
    }
    Err(Refusal::new(
        "no-eggs",
        format!("{eggs} eggs"),
        "there must be from 1 to 1,000,000 eggs",
        "count the eggs of one clutch",
    ))
}

fn whole(number: f64) -> u32 {
    // A hair for what is exact on paper and a little less in binary.
    (number + 1e-9).floor().clamp(0.0, 1e6) as u32
}

/// Shares `all` in `parts`, each differing from another by at most one, the larger first.
fn evenly(all: u32, parts: u32) -> Vec<u32> {
    let (each, over) = (all / parts.max(1), all % parts.max(1));
    (0..parts).map(|part| each + u32::from(part < over)).collect()
}

fn tiers(temperatures: &[Celsius], boxes: usize) -> Vec<Tier> {
    let shares = evenly(boxes as u32, temperatures.len() as u32);
    let tier = |(celsius, boxes): (&Celsius, u32)| Tier { celsius: *celsius, boxes: boxes as usize };
    temperatures.iter().zip(shares).map(tier).collect()
}

/// How burrows are dug.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Burrows {
    /// Eggs of each burrow, in the order of the nest.
    pub burrows: Vec<u32>,
    /// Depth of the nest as found, metres; absent where nobody measured it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth_metre: Option<Metres>,
    /// What is to be kept to.
    pub advice: Vec<Advice>,
    /// What could not be done as the trade does it.
    pub unknown: Vec<Refusal>,
}

/// Shares a clutch over burrows of 20 to 25 eggs at the depth and in the order of the nest.
///
/// A clutch of 26 to 39 makes two burrows of fewer than 20: no burrow is overfull, and no eggs of
/// another clutch are added.
///
/// # Errors
/// No eggs, or more than a million.
pub fn burrows(eggs: u32, nest_depth: Option<Metres>) -> Result<Burrows, Refusal> {
    counted(eggs)?;
    let burrows = evenly(eggs, eggs.div_ceil(BURROW.1));
    let mut unknown = Vec::new();
    if burrows.iter().any(|count| *count < BURROW.0) {
        unknown.push(Refusal::new(
            "burrow-small",
            format!("{eggs} eggs"),
            format!("do not share out in burrows of {} to {}", BURROW.0, BURROW.1),
            "leave the burrows small rather than mix clutches",
        ));
    }
    if nest_depth.is_none() {
        unknown.push(Refusal::new(
            "nest-depth",
            "depth of the burrow",
            "nobody measured the depth of the nest",
            "measure the depth to the top egg before lifting the first",
        ));
    }
    Ok(Burrows { burrows, depth_metre: nest_depth, advice: advice(), unknown })
}

fn advice() -> Vec<Advice> {
    let common = |text| Advice::new(text, Grounds::common_practice());
    vec![
        common("Never turn an egg: mark its top before it is lifted, and keep top and direction."),
        common("Keep the order of the nest: what lay at the bottom lies at the bottom."),
        common("River sand and sand of the nest; moisture and temperature held and written down."),
        Advice::new("One clutch to a box or burrow, with its number on it.", Grounds::proposal("lineage")),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn metres(number: f64) -> Metres {
        Metres::new(number).unwrap()
    }

    fn celsius(number: f64) -> Celsius {
        Celsius::new(number).unwrap()
    }

    /// By hand: eggs of 8.6 cm (gharial) in 60 x 40 x 30 cm. Along 60: (60 - 6 + 1) / 9.6 = 5.7, five;
    /// along 40: (40 - 6 + 1) / 9.6 = 3.6, three; in height (30 - 3) / 11.6 = 2.3, two layers. 30 a box:
    /// 60 eggs fill two boxes, 61 need three.
    #[test]
    fn layers_with_three_centimetres_of_sand() {
        let asked = Boxes {
            eggs: 60,
            egg_metre: metres(0.086),
            length_metre: metres(0.6),
            width_metre: metres(0.4),
            height_metre: metres(0.3),
            tiers_celsius: vec![celsius(30.0), celsius(32.0)],
        };
        let laid = boxes(&asked).unwrap();
        assert_eq!((laid.eggs_per_layer, laid.layers_per_box), (15, 2));
        assert_eq!(laid.boxes, [30, 30]);
        assert_eq!(laid.tiers.iter().map(|tier| tier.boxes).collect::<Vec<_>>(), [1, 1]);
        let three = boxes(&Boxes { eggs: 61, ..asked.clone() }).unwrap();
        assert_eq!(three.boxes, [21, 20, 20]);
        assert_eq!(three.tiers.iter().map(|tier| tier.boxes).collect::<Vec<_>>(), [2, 1]);
        let code = |asked: Boxes| boxes(&asked).unwrap_err().code;
        assert_eq!(code(Boxes { eggs: 0, ..asked.clone() }), "no-eggs");
        assert_eq!(code(Boxes { height_metre: metres(0.14), ..asked.clone() }), "box-too-small");
        assert_eq!(code(Boxes { tiers_celsius: vec![celsius(30.0); 4], ..asked }), "tiers");
    }

    /// 8.6 cm and 3 cm below and above fit 14.6 cm exactly, whatever the binary says.
    #[test]
    fn what_fits_to_a_hair_fits() {
        let asked = Boxes {
            eggs: 1,
            egg_metre: metres(0.086),
            length_metre: metres(0.146),
            width_metre: metres(0.146),
            height_metre: metres(0.146),
            tiers_celsius: Vec::new(),
        };
        assert_eq!(boxes(&asked).unwrap().boxes, [1]);
    }

    /// Common practice: 20 to 25 eggs a burrow; 38 (17 and 21 of two clutches) are never mixed.
    #[test]
    fn burrows_of_twenty_to_twenty_five() {
        let dug = |eggs| burrows(eggs, Some(metres(0.4))).unwrap();
        assert_eq!(dug(25).burrows, [25]);
        assert_eq!(dug(40).burrows, [20, 20]);
        assert_eq!(dug(67).burrows, [23, 22, 22]);
        assert!(dug(67).unknown.is_empty() && dug(67).advice[0].text.contains("Never turn"));
        assert_eq!((dug(30).burrows, dug(30).unknown[0].code), (vec![15, 15], "burrow-small"));
        assert_eq!(burrows(21, None).unwrap().unknown[0].code, "nest-depth");
        assert_eq!(burrows(0, None).unwrap_err().code, "no-eggs");
    }

    proptest! {
        #[test]
        fn no_egg_is_lost_and_no_burrow_overfull(eggs in 1_u32..2000) {
            let dug = burrows(eggs, None).unwrap();
            prop_assert_eq!(dug.burrows.iter().sum::<u32>(), eggs);
            prop_assert!(dug.burrows.iter().all(|count| *count <= 25));
        }
    }
}
