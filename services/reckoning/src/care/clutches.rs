//! What became of the clutches of one centre.

use crate::effective::Effective;
use crate::keys::place_of;
use chrono::NaiveDate;
use haulout_schemas::Body;
use haulout_schemas::names::Names;
use haulout_schemas::records::breeding::ClutchEvent;
use haulout_schemas::records::transfer::Arrived;
use haulout_schemas::text::{LotId, PartyId};
use haulout_schemas::vocabulary::LifeStage;
use haulout_welfare::eggs::success::Outcome;
use std::collections::BTreeMap;
use std::sync::Arc;

/// One clutch, or what was carried on under its number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clutch {
    /// Its lot.
    pub lot_id: LotId,
    /// Accepted name.
    pub scientific_name: String,
    /// First day on which the centre tells of it.
    pub since: NaiveDate,
    /// The female that laid it, where it was told.
    pub mother_id: Option<String>,
    /// Eggs that came to the centre under the number and did not go on, and what became of them.
    pub outcome: Outcome,
}

/// The clutches of a centre, by lot; eggs that went on to another centre are that centre's.
pub fn clutches(
    centre: &PartyId,
    records: &[Arc<Effective>],
    names: &Names,
    through: NaiveDate,
) -> Vec<Clutch> {
    let mut found: BTreeMap<LotId, Clutch> = BTreeMap::new();
    let own = records.iter().map(|one| &one.record);
    let own = own.filter(|record| {
        place_of(&record.envelope) == Some(centre) && record.envelope.event_date.day() <= through
    });
    for record in own {
        let day = record.envelope.event_date.day();
        let mut of = |lot: &LotId, name: &str| -> Clutch {
            found.remove(lot).unwrap_or_else(|| Clutch {
                lot_id: lot.clone(),
                scientific_name: names.commodity(name).into_owned(),
                since: day,
                mother_id: None,
                outcome: Outcome { eggs: 0, hatched: 0, failed: 0 },
            })
        };
        let mut changed: Vec<Clutch> = Vec::new();
        match &record.body {
            Some(Body::Clutch(step))
                if step.consignment_id.is_none() || step.event == ClutchEvent::Collected =>
            {
                let frame = &record.envelope;
                let (Some(lot), Some(name)) = (&frame.lot_id, &frame.scientific_name) else { continue };
                let mut clutch = of(lot, name.as_str());
                let count = step.individual_count.unwrap_or_default();
                let outcome = &mut clutch.outcome;
                match step.event {
                    ClutchEvent::Collected | ClutchEvent::Laid => {
                        outcome.eggs = outcome.eggs.saturating_add(count)
                    }
                    ClutchEvent::Hatched => outcome.hatched = outcome.hatched.saturating_add(count),
                    ClutchEvent::Failed => outcome.failed = outcome.failed.saturating_add(count),
                    // Hatchlings whose eggs nobody counted are no success of a known clutch.
                    ClutchEvent::Candled | ClutchEvent::FoundHatched => {}
                }
                clutch.mother_id = step.mother_id.as_ref().map(ToString::to_string).or(clutch.mother_id);
                changed.push(clutch);
            }
            Some(Body::Receipt(receipt)) => {
                let eggs = receipt.lines.iter().filter(|line| line.life_stage == Some(LifeStage::Egg));
                for line in eggs.filter(|line| {
                    matches!(line.arrived, Arrived::Alive | Arrived::Extra | Arrived::TurnedBack)
                }) {
                    let Some(lot) = &line.lot_id else { continue };
                    let mut clutch = of(lot, line.scientific_name.as_str());
                    clutch.outcome.eggs = clutch.outcome.eggs.saturating_add(line.individual_count);
                    changed.push(clutch);
                }
            }
            Some(Body::Dispatch(dispatch)) => {
                for line in dispatch.lines.iter().filter(|line| line.life_stage == Some(LifeStage::Egg)) {
                    let Some(lot) = line.from_lot.as_ref().or(line.lot_id.as_ref()) else { continue };
                    let mut clutch = of(lot, line.scientific_name.as_str());
                    clutch.outcome.eggs = clutch.outcome.eggs.saturating_sub(line.individual_count);
                    changed.push(clutch);
                }
            }
            _ => {}
        }
        found.extend(changed.into_iter().map(|clutch| (clutch.lot_id.clone(), clutch)));
    }
    // A lot that was only found hatched, or whose eggs all went on, is no clutch of this centre's.
    let told = |clutch: &Clutch| clutch.outcome.eggs + clutch.outcome.hatched + clutch.outcome.failed > 0;
    found.into_values().filter(told).collect()
}
