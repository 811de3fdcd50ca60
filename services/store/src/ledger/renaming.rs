//! Names that become known: what was posted under them is posted anew.

use crate::configuration::Configuration;
use crate::database::{row, rows};
use crate::effective::parse;
use crate::error::{Result, StoreError};
use crate::projection::{Projection, Staged};
use haulout_schemas::names::Names;
use sea_orm::ConnectionTrait;
use std::collections::BTreeSet;

/// Posts anew what stands under names that the configuration maps to others than before. An existing
/// mapping never changes, so this touches only names that were unknown until now.
pub(crate) async fn rename(
    on: &impl ConnectionTrait,
    before: &Names,
    configuration: &Configuration,
) -> Result<()> {
    let standing = rows(on, "SELECT DISTINCT scientific_name FROM balance", Vec::new()).await?;
    let mut projection = Projection::new();
    let mut feeds = BTreeSet::new();
    for standing in standing {
        let name: String = standing.try_get("", "scientific_name")?;
        if configuration.names.commodity(&name) == name {
            continue;
        }
        let sql = "SELECT DISTINCT e.feed AS feed FROM entry e JOIN record_version v ON v.feed = e.feed \
                   WHERE e.scientific_name = $1 AND v.effective_until IS NULL";
        for row in rows(on, sql, vec![name.into()]).await? {
            feeds.insert(row.try_get::<i64>("", "feed")?);
        }
    }
    for feed in feeds {
        let text = row(on, "SELECT canonical FROM journal WHERE feed = $1", [feed.into()])
            .await?
            .ok_or_else(|| StoreError::bug(format!("record {feed} is missing from the journal")))?;
        let record = parse(&text.try_get::<String>("", "canonical")?, feed)?;
        let (old, new) = (Staged::of(&record, before), Staged::of(&record, &configuration.names));
        if old.entries != new.entries {
            projection.reposts(feed, configuration.known_from, &old, &new)?;
        }
    }
    projection.write(on).await
}
