//! Crates, out and back: tracing after an outbreak begins with them.

use haulout_schemas::envelope::{Envelope, RecordRef};
use haulout_schemas::records::transfer::Crate;
use haulout_schemas::text::LocalId;
use haulout_schemas::vocabulary::Known;
use haulout_schemas::{Body, Kind};
use haulout_store::{AsOf, EffectiveFilter, Scope};
use schemars::JsonSchema;
use serde::Serialize;

use super::told::{Told, name, place};
use crate::hub::Hub;
use crate::web::Problem;

/// One crate of a journey.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct CrateOnItsWay {
    /// The crate's number.
    #[serde(rename = "crateID")]
    crate_id: LocalId,
    /// As it left.
    #[serde(skip_serializing_if = "Option::is_none")]
    out: Option<CrateSeen>,
    /// As it arrived.
    #[serde(skip_serializing_if = "Option::is_none")]
    received: Option<CrateSeen>,
    /// As it was sent back empty, where that was told.
    #[serde(skip_serializing_if = "Option::is_none")]
    back: Option<CrateSeen>,
    /// As it came home.
    #[serde(skip_serializing_if = "Option::is_none")]
    home: Option<CrateSeen>,
}

/// A crate as one record lists it.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct CrateSeen {
    /// The journey.
    #[serde(rename = "consignmentID")]
    consignment_id: String,
    /// The day, `YYYY-MM-DD`.
    day: String,
    /// Whether it was disinfected before.
    disinfected: Known,
    /// The record.
    record: RecordRef,
}

fn seen(frame: &Envelope, consignment: &str, one: &Crate) -> CrateSeen {
    CrateSeen {
        consignment_id: consignment.to_owned(),
        day: frame.event_date.day().to_string(),
        disinfected: one.disinfected,
        record: name(frame),
    }
}

/// The crates of a journey. A return is a dispatch without animals, from the place that received
/// them to the one that sent them, on the same day or later.
///
/// # Errors
/// A problem where the database cannot be read.
pub async fn of(hub: &Hub, told: &Told) -> Result<Vec<CrateOnItsWay>, Problem> {
    let mut crates: Vec<CrateOnItsWay> = Vec::new();
    let mut of_id = |id: &LocalId, put: &mut dyn FnMut(&mut CrateOnItsWay)| {
        let at = crates.iter().position(|one| one.crate_id == *id).unwrap_or_else(|| {
            let (out, received, back, home) = (None, None, None, None);
            crates.push(CrateOnItsWay { crate_id: id.clone(), out, received, back, home });
            crates.len() - 1
        });
        put(&mut crates[at]);
    };
    for (frame, dispatch) in told.dispatches() {
        for one in &dispatch.crates {
            let left = seen(frame, dispatch.consignment_id.as_str(), one);
            of_id(&one.crate_id, &mut |entry| entry.out = Some(left.clone()));
        }
    }
    for (frame, receipt) in told.receipts() {
        for one in &receipt.crates {
            let arrived = seen(frame, receipt.consignment_id.as_str(), one);
            of_id(&one.crate_id, &mut |entry| entry.received = Some(arrived.clone()));
        }
    }
    for way in ways(told) {
        returns(hub, &way, &mut crates).await?;
    }
    Ok(crates)
}

/// From where to where crates went out with animals, and when.
struct Way {
    from: String,
    to: String,
    day: chrono::NaiveDate,
}

fn ways(told: &Told) -> Vec<Way> {
    told.dispatches()
        .filter(|(_, dispatch)| !dispatch.lines.is_empty() && !dispatch.crates.is_empty())
        .filter_map(|(frame, dispatch)| {
            Some(Way {
                from: place(frame)?.to_string(),
                to: dispatch.destination_id.as_ref()?.to_string(),
                day: frame.event_date.day(),
            })
        })
        .collect()
}

async fn returns(hub: &Hub, way: &Way, crates: &mut [CrateOnItsWay]) -> Result<(), Problem> {
    let filter = EffectiveFilter {
        places: vec![way.from.clone(), way.to.clone()],
        kinds: vec![Kind::Dispatch, Kind::Receipt],
        from: Some(way.day),
        key: None,
    };
    // Both ends of the journey may know where their crates are; who sees the one sees the other.
    let records = hub.store.effective(&Scope::Region, AsOf::NOW, &filter).await?;
    let told = || records.iter().filter_map(|one| Some((&one.record.envelope, one.record.body.as_ref()?)));
    for entry in crates.iter_mut().filter(|entry| entry.out.is_some() && entry.back.is_none()) {
        let sent = told().find_map(|(frame, body)| match body {
            Body::Dispatch(dispatch)
                if dispatch.lines.is_empty()
                    && place(frame).is_some_and(|place| place.as_str() == way.to)
                    && dispatch.destination_id.as_ref().is_some_and(|to| to.as_str() == way.from) =>
            {
                let listed = dispatch.crates.iter().find(|one| one.crate_id == entry.crate_id)?;
                Some(seen(frame, dispatch.consignment_id.as_str(), listed))
            }
            _ => None,
        });
        let Some(sent) = sent else { continue };
        entry.home = told().find_map(|(frame, body)| match body {
            Body::Receipt(receipt) if receipt.consignment_id.as_str() == sent.consignment_id => {
                let listed = receipt.crates.iter().find(|one| one.crate_id == entry.crate_id)?;
                Some(seen(frame, receipt.consignment_id.as_str(), listed))
            }
            _ => None,
        });
        entry.back = Some(sent);
    }
    Ok(())
}
