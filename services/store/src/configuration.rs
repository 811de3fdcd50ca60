//! The region file in force: an act with its own stamp; a statement uses the one known at its instant.

use crate::acts::{Act, By, ConfigurationLoaded, StoredAct, stored};
use crate::database::{Locked, Store, row};
use crate::error::{Result, StoreError};
use chrono::NaiveDate;
use haulout_reckoning::{Micros, Region, RuleSettings, World};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use haulout_schemas::text::PartyId;
use sea_orm::ConnectionTrait;
use std::sync::Arc;

/// A region file and what follows from it.
#[derive(Clone, Debug)]
pub struct Configuration {
    /// The act that loaded it; 0 before any was loaded.
    pub sequence: i64,
    /// Since when it is in force.
    pub known_from: Micros,
    /// The region; `None` before any was loaded.
    pub region: Option<Arc<Region>>,
    /// Names in force.
    pub names: Arc<Names>,
    /// Species profiles in force, local code applied.
    pub profiles: Arc<Profiles>,
    /// Severities and thresholds of the findings, local code applied.
    pub settings: Arc<RuleSettings>,
}

impl Configuration {
    /// Before any region file was loaded: shipped names and profiles, UTC.
    pub fn none() -> Self {
        Self {
            sequence: 0,
            known_from: 0,
            region: None,
            names: Arc::new(Names::standard().clone()),
            profiles: Arc::new(Profiles::standard().clone()),
            settings: Arc::new(RuleSettings::standard()),
        }
    }

    fn of(act: &StoredAct) -> Result<Self> {
        let Act::ConfigurationLoaded(loaded) = &act.act else {
            return Err(StoreError::bug(format!("act {} is no configuration", act.sequence)));
        };
        let text = serde_json::to_string(&loaded.region_file)?;
        let (region, profiles, names, settings) = read(&text).map_err(|fault| {
            StoreError::bug(format!("the region file of act {} no longer reads: {fault}", act.sequence))
        })?;
        Ok(Self {
            sequence: act.sequence,
            known_from: act.known_from,
            region: Some(Arc::new(region)),
            names: Arc::new(names),
            profiles: Arc::new(profiles),
            settings: Arc::new(settings),
        })
    }

    /// The zone in which a bare date ends.
    pub fn zone(&self) -> chrono_tz::Tz {
        self.region.as_ref().map_or(chrono_tz::UTC, |region| region.zone())
    }

    /// What findings are judged with through a day, beside the records; `None` without a region.
    pub fn world(&self, evaluated_through: NaiveDate) -> Option<World<'_>> {
        let region = self.region.as_deref()?;
        let (settings, names, profiles) = (&self.settings, &self.names, &self.profiles);
        Some(World { evaluated_through, settings, names, profiles, region })
    }

    /// The points that a party keeps.
    pub fn points_kept_by(&self, party: &PartyId) -> Vec<String> {
        let points = self.region.iter().flat_map(|region| &region.points);
        points.filter(|point| point.keeper_id == *party).map(|point| point.point_id.to_string()).collect()
    }
}

fn read(text: &str) -> std::result::Result<(Region, Profiles, Names, RuleSettings), String> {
    let region = Region::parse(text).map_err(|error| error.to_string())?;
    let profiles = region.profiles().map_err(|error| error.to_string())?;
    let names = region.names(&profiles).map_err(|error| error.to_string())?;
    let settings = RuleSettings::of(&region.rule_overrides).map_err(|error| error.to_string())?;
    Ok((region, profiles, names, settings))
}

impl Store {
    /// Brings a region file into force: an act of the region's chain. A file equal to the one in
    /// force changes nothing and gives the act that loaded it. Names that become known make what
    /// was posted under them be posted anew under their accepted names, with this act's stamp.
    ///
    /// # Errors
    /// `Invalid`, naming every fault of the file.
    pub async fn load_configuration(&self, by: By, text: &str) -> Result<Arc<Configuration>> {
        read(text).map_err(StoreError::invalid)?;
        let region_file = serde_json::from_str(text)?;
        let mut locked = self.lock().await?;
        if let Some(in_force) = latest(&locked.tx, Micros::MAX).await?
            && matches!(&in_force.act, Act::ConfigurationLoaded(loaded) if loaded.region_file == region_file)
        {
            drop(locked);
            return self.configuration().await;
        }
        let before = self.in_force(&locked).await?;
        let sealed = locked.append(&[ConfigurationLoaded { by, region_file }.into()]).await?;
        let act = sealed.first().ok_or_else(|| StoreError::bug("the act was not sealed"))?;
        let configuration = Arc::new(Configuration::of(act)?);
        locked.state.configuration = act.sequence;
        crate::ledger::rename(&locked.tx, &before.names, &configuration).await?;
        locked.commit().await?;
        self.remember(&configuration);
        Ok(configuration)
    }

    /// The configuration in force.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn configuration(&self) -> Result<Arc<Configuration>> {
        let sequence = self.state().await?.configuration;
        self.configuration_of(self.db(), sequence).await
    }

    /// The configuration in force at an instant; `None` before the first.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn configuration_at(&self, as_known_at: Micros) -> Result<Arc<Configuration>> {
        match latest(self.db(), as_known_at).await? {
            Some(act) => self.configuration_of(self.db(), act.sequence).await,
            None => Ok(Arc::new(Configuration::none())),
        }
    }

    /// The configuration in force inside a write transaction; another hub may have loaded one.
    pub(crate) async fn in_force(&self, locked: &Locked) -> Result<Arc<Configuration>> {
        self.configuration_of(&locked.tx, locked.state.configuration).await
    }

    pub(crate) async fn configuration_of(
        &self,
        on: &impl ConnectionTrait,
        sequence: i64,
    ) -> Result<Arc<Configuration>> {
        let held = self.held_configuration();
        if held.sequence == sequence {
            return Ok(held);
        }
        if sequence == 0 {
            return Ok(Arc::new(Configuration::none()));
        }
        let row =
            row(on, "SELECT * FROM act WHERE sequence = $1", [sequence.into()]).await?.ok_or_else(|| {
                StoreError::bug(format!("act {sequence}, the configuration in force, is missing"))
            })?;
        let configuration = Arc::new(Configuration::of(&stored(&row)?)?);
        if sequence > held.sequence {
            self.remember(&configuration);
        }
        Ok(configuration)
    }

    /// The configuration that this process read last.
    pub(crate) fn held_configuration(&self) -> Arc<Configuration> {
        let held = self.inner.configuration.read().unwrap_or_else(|poisoned| poisoned.into_inner());
        Arc::clone(&held)
    }

    fn remember(&self, configuration: &Arc<Configuration>) {
        let mut held = self.inner.configuration.write().unwrap_or_else(|poisoned| poisoned.into_inner());
        if configuration.sequence >= held.sequence {
            *held = Arc::clone(configuration);
        }
    }
}

async fn latest(on: &impl ConnectionTrait, as_known_at: Micros) -> Result<Option<StoredAct>> {
    let sql = "SELECT * FROM act WHERE kind = 'configurationLoaded' AND known_from <= $1 ORDER BY sequence DESC LIMIT 1";
    row(on, sql, [as_known_at.into()]).await?.as_ref().map(stored).transpose()
}
