//! Several species on one vehicle: the air must suit every one of them.

use haulout_schemas::profile::{Profile, TemperatureBand};
use serde::Serialize;

use crate::grounds::Grounds;
use crate::refusal::Refusal;

/// The band that all species of a load have in common, and who sets its ends.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct LoadBand {
    /// The band, degrees Celsius.
    pub band: TemperatureBand,
    /// Species that sets the lower end.
    pub low_by: String,
    /// Species that sets the upper end.
    pub high_by: String,
    /// What the two ends rest on; the weaker of the two where they differ.
    pub grounds: Grounds,
}

/// The band in which every species of a load may travel.
///
/// # Errors
/// No species, or bands that have nothing in common.
pub fn band_of(load: &[&Profile]) -> Result<LoadBand, Refusal> {
    let band = |profile: &Profile| profile.transport_temperature.value;
    let low = load.iter().max_by(|one, two| band(one).low_c.total_cmp(&band(two).low_c));
    let high = load.iter().min_by(|one, two| band(one).high_c.total_cmp(&band(two).high_c));
    let (Some(low), Some(high)) = (low, high) else {
        return Err(Refusal::new(
            "no-species",
            "air for the load",
            "no species with a profile travels",
            "name the species, or add its profile to the region file",
        ));
    };
    let shared = TemperatureBand { low_c: band(low).low_c, high_c: band(high).high_c };
    if shared.low_c >= shared.high_c {
        return Err(Refusal::new(
            "no-common-band",
            "air for the load",
            format!(
                "{} needs {} degrees C or more, {} no more than {}",
                low.scientific_name, shared.low_c, high.scientific_name, shared.high_c
            ),
            "send them apart, or in a vehicle with two compartments that each hold a temperature",
        ));
    }
    let grounds = |profile: &Profile| Grounds::profile(&profile.transport_temperature.source);
    let (one, two) = (grounds(low), grounds(high));
    Ok(LoadBand {
        band: shared,
        low_by: low.scientific_name.clone(),
        high_by: high.scientific_name.clone(),
        grounds: if one.standing > two.standing { one } else { two },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use haulout_schemas::profile::Profiles;

    fn with_band(name: &str, low_c: f64, high_c: f64) -> Profile {
        let mut profile = Profiles::standard().get(name).unwrap().clone();
        profile.transport_temperature.value = TemperatureBand { low_c, high_c };
        profile
    }

    /// By hand: 20 to 28 and 22 to 30 have 22 to 28 in common; 20 to 24 and 25 to 30 nothing.
    #[test]
    fn the_strictest_end_of_each() {
        let mugger = with_band("Crocodylus palustris", 20.0, 28.0);
        let turtle = with_band("Lissemys punctata", 22.0, 30.0);
        let shared = band_of(&[&mugger, &turtle]).unwrap();
        assert_eq!((shared.band.low_c, shared.band.high_c), (22.0, 28.0));
        assert_eq!(
            (shared.low_by.as_str(), shared.high_by.as_str()),
            ("Lissemys punctata", "Crocodylus palustris")
        );
        assert!(shared.grounds.is_from_memory(), "the shipped bands are from memory");
        let cool = with_band("Crocodylus palustris", 20.0, 24.0);
        let warm = with_band("Lissemys punctata", 25.0, 30.0);
        assert_eq!(band_of(&[&cool, &warm]).unwrap_err().code, "no-common-band");
        assert_eq!(band_of(&[]).unwrap_err().code, "no-species");
    }

    /// Another species on the vehicle never widens the band.
    #[test]
    fn company_only_narrows() {
        let all: Vec<&Profile> = Profiles::standard().iter().collect();
        for pair in all.windows(2) {
            let (alone, both) = (band_of(&pair[..1]).unwrap(), band_of(pair));
            let Ok(both) = both else { continue };
            assert!(both.band.low_c >= alone.band.low_c && both.band.high_c <= alone.band.high_c);
        }
    }
}
