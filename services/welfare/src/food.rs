//! What a centre needs of each food a day.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::energy::{CAUTION, Eater, ration};
use crate::refusal::Refusal;
use crate::units::{Kilograms, KilojoulesPerGram};

/// Animals that eat alike.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Fed {
    /// What the centre calls them.
    pub label: String,
    /// How many.
    pub animals: u32,
    /// One of them, with their mean mass.
    pub eater: Eater,
    /// What they are fed, as the centre calls it.
    pub food: String,
    /// Its energy as fed, kilojoules a gram; the diet's default where it is absent.
    pub kilojoule_per_gram: Option<KilojoulesPerGram>,
}

/// A day's food.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct FoodList {
    /// Kilograms a day of each food.
    pub kilogram_by_food: BTreeMap<String, Kilograms>,
    /// Animals it feeds.
    pub animals_fed: u64,
    /// Who is on no ration, and why; each names its animals.
    pub without: Vec<Refusal>,
    /// Shown with every list.
    pub caution: &'static str,
}

/// The daily food list. Energy grows less than mass, so many of one mean mass are reckoned a
/// little high where their masses differ.
///
/// # Errors
/// A food that adds up beyond what a mass may be.
pub fn food_list(fed: &[Fed]) -> Result<FoodList, Refusal> {
    let mut sums: BTreeMap<String, f64> = BTreeMap::new();
    let (mut animals_fed, mut without) = (0_u64, Vec::new());
    for group in fed.iter().filter(|group| group.animals > 0) {
        match ration(&group.eater, group.kilojoule_per_gram) {
            Ok(one) => {
                *sums.entry(group.food.clone()).or_default() += one.daily.kg() * f64::from(group.animals);
                animals_fed += u64::from(group.animals);
            }
            Err(refusal) => {
                let what = format!("{} ({} animals): {}", group.label, group.animals, refusal.what);
                without.push(Refusal { what, ..refusal });
            }
        }
    }
    let kilogram_by_food = sums
        .into_iter()
        .map(|(food, sum)| Ok((food, Kilograms::new(sum)?)))
        .collect::<Result<_, Refusal>>()?;
    Ok(FoodList { kilogram_by_food, animals_fed, without, caution: CAUTION })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Celsius;
    use haulout_schemas::profile::Diet;
    use haulout_schemas::vocabulary::LifeStage;

    fn fed(label: &str, animals: u32, food: &str, dehydrated: bool) -> Fed {
        let celsius = |number| Celsius::new(number).unwrap();
        Fed {
            label: label.into(),
            animals,
            eater: Eater {
                mass: Kilograms::new(10.0).unwrap(),
                stage: Some(LifeStage::Adult),
                diet: Diet::Carnivore,
                temperature: celsius(29.0),
                least: celsius(25.0),
                dehydrated,
                resting: false,
                travelling: false,
            },
            food: food.into(),
            kilojoule_per_gram: None,
        }
    }

    /// By hand: 705.1087 kJ / 6.75 kJ/g are 104.46 g a day at 10 kg; three eat 0.31338 kg.
    #[test]
    fn by_type_and_who_goes_without() {
        let list = food_list(&[
            fed("K1", 2, "fish", false),
            fed("K2", 1, "fish", false),
            fed("K3", 4, "fish", true),
            fed("K4", 1, "mice", false),
        ])
        .unwrap();
        assert!((list.kilogram_by_food["fish"].kg() - 0.313_38).abs() < 1e-5);
        assert!((list.kilogram_by_food["mice"].kg() - 0.104_46).abs() < 1e-5);
        assert_eq!((list.animals_fed, list.without.len(), list.without[0].code), (4, 1, "dehydrated"));
        assert!(list.without[0].what.starts_with("K3 (4 animals)"));
        assert!(food_list(&[]).unwrap().kilogram_by_food.is_empty());
    }
}
