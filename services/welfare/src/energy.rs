//! Daily energy and the food that brings it, beside the rule of thumb.
//!
//! Figures to start from, under a veterinarian: growth, season and appetite
//! correct them. Food is told only with stage, diet and period, and never for
//! an animal that must not be fed.

use haulout_schemas::profile::Diet;
use haulout_schemas::vocabulary::LifeStage;
use serde::{Deserialize, Serialize};

use crate::grounds::Grounds;
use crate::refusal::Refusal;
use crate::units::{Celsius, Kilograms, KilojoulesPerDay, KilojoulesPerGram, MillilitresPerMinute};

/// Joules of a calorie (thermochemical, by definition).
const KJ_PER_KCAL: f64 = 4.184;

/// Energy that a free-ranging reptile of this mass uses: 0.196 m^0.889 kJ a day, m in grams
/// (Nagy, Girard and Brown 1999, 55 species).
#[must_use]
pub fn field_rate(mass: Kilograms) -> KilojoulesPerDay {
    KilojoulesPerDay::of(0.196 * mass.grams().powf(0.889))
}

/// The rule of maintenance at second hand: 10 W^0.75 kcal a day, W in kilograms (anapsid.org). Some
/// pages print it with grams and kilojoules, which is forty times too much.
#[must_use]
pub fn maintenance(mass: Kilograms) -> KilojoulesPerDay {
    KilojoulesPerDay::of(10.0 * mass.kg().powf(0.75) * KJ_PER_KCAL)
}

/// Oxygen a resting saltwater crocodile uses at 30 degrees C: 1.01 M^0.829 mL a minute, 0.19 to
/// 389 kg (Seymour and others 2013).
///
/// # Errors
/// A mass outside the animals that were measured.
pub fn resting_oxygen(mass: Kilograms) -> Result<MillilitresPerMinute, Refusal> {
    if (0.19..=389.0).contains(&mass.kg()) {
        return MillilitresPerMinute::new(1.01 * mass.kg().powf(0.829));
    }
    Err(Refusal::new(
        "beyond-source",
        format!("resting oxygen at {} kg", mass.kg()),
        "the source measured animals from 0.19 to 389 kg",
        "use another relation, and name it",
    ))
}

/// What must be known of an animal before kilograms of food are told.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Eater {
    /// Mass.
    #[serde(rename = "massKilogram")]
    pub mass: Kilograms,
    /// Stage; absent where nobody has said.
    pub stage: Option<LifeStage>,
    /// Diet of the species.
    pub diet: Diet,
    /// Body or water temperature.
    #[serde(rename = "celsius")]
    pub temperature: Celsius,
    /// Lower end of the species' keeping band: below it nothing is digested.
    #[serde(rename = "leastCelsius")]
    pub least: Celsius,
    /// Said to be dehydrated.
    pub dehydrated: bool,
    /// In its seasonal rest.
    pub resting: bool,
    /// To travel within days (CITES packers' guideline Rp/3: no feeding is needed on the way).
    pub travelling: bool,
}

/// Two figures side by side, and why they differ.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Ration {
    /// Energy a day the food is to bring.
    #[serde(rename = "energyKilojoulePerDay")]
    pub energy: KilojoulesPerDay,
    /// Fresh food for one day that brings it.
    #[serde(rename = "dailyKilogram")]
    pub daily: Kilograms,
    /// Energy of the food assumed.
    #[serde(rename = "foodKilojoulePerGram")]
    pub food_energy: KilojoulesPerGram,
    /// What the energy figure rests on.
    pub grounds: Grounds,
    /// What the energy of the food rests on.
    pub food_grounds: Grounds,
    /// The rule of thumb, 10 to 15 % of body mass, kilograms; it names no period, so it is never a
    /// day's food.
    #[serde(rename = "thumbKilogramOfNoStatedPeriod")]
    pub thumb: (Kilograms, Kilograms),
    /// What the rule of thumb rests on.
    pub thumb_grounds: Grounds,
    /// Why the two differ, and what the figure does not know.
    pub reason: String,
    /// Shown with every answer.
    pub caution: &'static str,
}

/// What a figure of food cannot say; shown with every answer.
pub const CAUTION: &str = "figures to start from, by the energy of free-ranging reptiles; the veterinarian, growth and season correct them";

/// Daily food by the field rate of reptiles.
///
/// # Errors
/// The cold, the dehydrated, the resting, the travelling; eggs; a stage or an energy of food that is
/// not known.
pub fn ration(eater: &Eater, food: Option<KilojoulesPerGram>) -> Result<Ration, Refusal> {
    let refuse = |code, why: &str, mend: &str| {
        Err(Refusal::new(code, format!("ration of an animal of {} kg", eater.mass.kg()), why, mend))
    };
    if eater.dehydrated {
        return refuse(
            "dehydrated",
            "it is dehydrated",
            "fluids first, by a veterinarian; food when it is told to be safe",
        );
    }
    if eater.temperature < eater.least {
        return refuse(
            "cold",
            "it is below its keeping temperature and does not digest",
            "warm it slowly first",
        );
    }
    if eater.resting {
        return refuse("resting", "it is in its seasonal rest", "offer nothing until it wakes of itself");
    }
    if eater.travelling {
        return refuse("travelling", "it is about to travel", "feed after arrival, once it has settled");
    }
    let stage = match eater.stage {
        None => {
            return refuse(
                "stage-unknown",
                "its stage is not known",
                "state the stage: the young eat many times the share of a grown animal",
            );
        }
        Some(LifeStage::Egg) => return refuse("egg", "eggs are not fed", "check the stage"),
        Some(stage) => stage,
    };
    let energy = field_rate(eater.mass);
    let (food_energy, food_grounds) = match (food, eater.diet) {
        (Some(stated), _) => (stated, Grounds::records("stated with the food")),
        // Middle of 6 to 7.5 kJ/g for whole prey, and lettuce.
        (None, Diet::Carnivore) => (
            KilojoulesPerGram::of(6.75),
            Grounds::second_hand("veteriankey.com quoting Donoghue 1998, whole prey"),
        ),
        (None, Diet::Herbivore) => (
            KilojoulesPerGram::of(0.75),
            Grounds::second_hand("veteriankey.com quoting Donoghue 1998, lettuce"),
        ),
        (None, Diet::Omnivore) => {
            return refuse(
                "food-unknown",
                "an omnivore's food lies anywhere between leaves and fish",
                "state the energy of the food, kJ/g as fed",
            );
        }
    };
    let daily = energy.kj() / food_energy.kj_per_g() / 1000.0;
    let share = 100.0 * daily / eater.mass.kg();
    Ok(Ration {
        energy,
        daily: Kilograms::new(daily)?,
        food_energy,
        grounds: Grounds::published(
            "Nagy, Girard and Brown 1999, Annu. Rev. Nutr. 19:247-277 (slope; intercept at second hand)",
        ),
        food_grounds,
        thumb: (Kilograms::of(0.10 * eater.mass.kg()), Kilograms::of(0.15 * eater.mass.kg())),
        thumb_grounds: Grounds::common_practice(),
        reason: format!(
            "by energy one of this stage ({stage}) and mass uses up {share:.1} % of its mass a day; 10 to 15 % names neither period nor diet and fits leafy food and small growing animals. The energy is that of free-ranging reptiles; captive animals use less, and growth and season are not in it"
        ),
        caution: CAUTION,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn kg(number: f64) -> Kilograms {
        Kilograms::new(number).unwrap()
    }

    fn eater(mass: f64, diet: Diet) -> Eater {
        let celsius = |number| Celsius::new(number).unwrap();
        Eater {
            mass: kg(mass),
            stage: Some(LifeStage::Adult),
            diet,
            temperature: celsius(29.0),
            least: celsius(25.0),
            dehydrated: false,
            resting: false,
            travelling: false,
        }
    }

    /// Computed by hand from the published formulas: kJ a day, kJ a day, mL a minute.
    #[test]
    fn the_three_relations() {
        for (mass, field, rule, oxygen) in [
            (0.19, 20.80, 12.041, 0.25492),
            (1.0, 91.0450, 41.84, 1.01),
            (10.0, 705.1087, 235.284, 6.81273),
            (100.0, 5460.7975, 1323.097, 45.95379),
            (389.0, 18269.27, 3664.83, 141.70644),
        ] {
            assert!((field_rate(kg(mass)).kj() - field).abs() < 6e-3);
            assert!((maintenance(kg(mass)).kj() - rule).abs() < 6e-3);
            assert!((resting_oxygen(kg(mass)).unwrap().ml() - oxygen).abs() < 6e-6);
        }
        assert!((field_rate(kg(0.01)).kj() - 1.5179).abs() < 6e-5);
        // The unit error 10 x grams^0.75 kJ would be 1778 kJ a day at 1 kg.
        assert!(maintenance(kg(1.0)).kj() < 50.0);
        assert!(resting_oxygen(kg(0.1)).is_err() && resting_oxygen(kg(390.0)).is_err());
    }

    /// Captive gharials (Khadka and Bashyal 2019): 2103.9 kg of fish for 20 in 30 months are 3.5065 kg
    /// each a month, 0.115 kg a day. Free-ranging reptiles of 10 kg use 0.104 kg of whole prey a day, so
    /// the two are of one size; 10 to 15 % of 10 kg are nine to thirteen times what the gharials ate.
    #[test]
    fn what_captive_gharials_ate() {
        let month = 2103.9 / 20.0 / 30.0;
        assert!((month - 3.5065_f64).abs() < 1e-9);
        let ration = ration(&eater(10.0, Diet::Carnivore), None).unwrap();
        let daily = month * 12.0 / 365.25;
        assert!((0.5..2.0).contains(&(ration.daily.kg() / daily)));
        assert!(ration.thumb.0.kg() / daily > 8.0 && ration.thumb.1.kg() / daily < 14.0);
    }

    /// By hand: 705.1087 / 6.75 = 104.46 g, 1.04 % of 10 kg; ten to fifteen times as much by the thumb.
    #[test]
    fn side_by_side() {
        let ration = ration(&eater(10.0, Diet::Carnivore), None).unwrap();
        assert!((ration.daily.kg() - 0.104_46).abs() < 1e-5);
        assert_eq!((ration.thumb.0.kg(), ration.thumb.1.kg()), (1.0, 1.5));
        assert!(ration.reason.contains("1.0 %"), "{}", ration.reason);
    }

    #[test]
    fn who_must_not_be_fed_is_not() {
        let fine = eater(10.0, Diet::Carnivore);
        let refused = |eater: Eater| ration(&eater, None).unwrap_err().code;
        assert_eq!(refused(Eater { dehydrated: true, ..fine }), "dehydrated");
        assert_eq!(refused(Eater { temperature: Celsius::new(18.0).unwrap(), ..fine }), "cold");
        assert_eq!(refused(Eater { resting: true, ..fine }), "resting");
        assert_eq!(refused(Eater { travelling: true, ..fine }), "travelling");
        assert_eq!(refused(Eater { stage: None, ..fine }), "stage-unknown");
        assert_eq!(refused(Eater { stage: Some(LifeStage::Egg), ..fine }), "egg");
        assert_eq!(refused(eater(1.0, Diet::Omnivore)), "food-unknown");
    }

    proptest! {
        /// Twice the mass never needs less food.
        #[test]
        fn more_mass_more_food(mass in 0.01_f64..500.0, more in 1.0_f64..3.0) {
            let food = |mass| ration(&eater(mass, Diet::Carnivore), None).unwrap().daily.kg();
            prop_assert!(food(mass * more) >= food(mass));
            prop_assert!(food(mass * more) / (mass * more) <= food(mass) / mass * (1.0 + 1e-12), "a smaller share");
        }
    }
}
