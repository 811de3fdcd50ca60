//! Making a statement from the store: the same for a call and for the command line, byte for byte.

use haulout_reckoning::findings::rule_set_digest;
use haulout_reckoning::statement::{
    self, Basis, Beside, ChainHead, Completeness, InHand, NIGHT_LATE, Parts, Question, Statement,
    completeness,
};
use haulout_reckoning::{Key, Micros, POSTING_RULES, Period};
use haulout_schemas::Kind;
use haulout_schemas::names::Names;
use haulout_schemas::text::PartyId;
use haulout_store::clock::{close_of_day, day_of, instant_of, instant_text};
use haulout_store::ledger::SumFilter;
use haulout_store::{AsOf, Configuration, EffectiveFilter, FindingFilter, Scope, Store, StoreError};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::counted;
use super::word::Words;

/// Records that tell of deaths, of necropsies, and of what is not counted.
const DEATHS: [Kind; 6] =
    [Kind::Mortality, Kind::Rescue, Kind::Tally, Kind::Receipt, Kind::Settlement, Kind::Link];

/// What is asked.
#[derive(Debug, Clone)]
pub struct Asked {
    /// The period.
    pub period: Period,
    /// RFC 3339, or a bare date; `None`: the newest entry.
    pub as_known_at: Option<String>,
    /// Only this centre or point.
    pub centre_id: Option<String>,
    /// Only this name; counted under its accepted name.
    pub scientific_name: Option<String>,
}

/// Why there is no statement.
#[derive(Debug, thiserror::Error)]
pub enum NoStatement {
    /// The instant cannot be read.
    #[error(
        "`{0}` is no instant; write 2026-10-01 (its last microsecond is meant) or 2026-10-01T00:00:00+05:30"
    )]
    NoInstant(String),
    /// The instant lies after the hub's time.
    #[error("{asked} lies after the hub's own time, {latest}")]
    NotYetKnown {
        /// The instant that was asked about.
        asked: String,
        /// The latest that can be.
        latest: String,
    },
    /// Nobody knows the place.
    #[error(
        "`{0}` is no centre or point of the region, and nothing was ever posted there; see `GET /v1/centres` for the centres"
    )]
    NoPlace(String),
    /// The store failed.
    #[error("{0}")]
    Store(#[from] StoreError),
    /// It cannot be written as JSON.
    #[error("the statement could not be written")]
    Json(#[from] serde_json::Error),
    /// It cannot be laid out.
    #[error("{0}")]
    Layout(#[from] haulout_documents::document::Unreadable),
    /// The workbook cannot be written.
    #[error("the workbook could not be written: {0}")]
    Workbook(#[from] haulout_documents::xlsx::XlsxError),
    /// The pages cannot be set.
    #[error("{0}")]
    Pages(#[from] haulout_documents::pdf::NoPdf),
}

/// Makes it.
///
/// # Errors
/// [`NoStatement`].
pub async fn make(store: &Store, scope: &Scope, asked: &Asked) -> Result<Statement, NoStatement> {
    let known_at = instant(store, asked.as_known_at.as_deref()).await?;
    let configuration = store.configuration_at(known_at).await?;
    let zone = configuration.zone();
    let name = asked.scientific_name.as_deref().map(|name| configuration.names.commodity(name).into_owned());
    let through = statement::evaluated_through(&asked.period, day_of(known_at, zone));
    let filter = SumFilter { place: asked.centre_id.clone(), scientific_name: name.clone() };
    let finding_filter = FindingFilter { place: asked.centre_id.clone(), ..FindingFilter::default() };
    let as_of = AsOf { known_at: Some(known_at), through: Some(through) };
    let findings = store.findings_at(scope, as_of, &finding_filter).await?;
    let sums = store.sums(scope, &asked.period, Some(known_at), &filter).await?;
    if let Some(place) = &asked.centre_id
        && sums.is_empty()
        && !is_known(&configuration, place)
    {
        return Err(NoStatement::NoPlace(place.chars().take(60).collect()));
    }
    let counted =
        counted::Counted::of(store, scope, asked, known_at, name.as_deref(), &configuration).await?;
    let question = Question {
        period: asked.period.to_string(),
        centre_id: asked.centre_id.clone(),
        scientific_name: name.clone(),
    };
    let parts = Parts {
        beside: beside(store, scope, asked, known_at, &question, &configuration).await?,
        question,
        sums,
        censuses: counted.censuses,
        evaluated_through: through,
        findings: findings
            .iter()
            .filter(|finding| {
                name.as_deref().is_none_or(|name| speaks_of(finding, name, &configuration.names))
            })
            .map(serde_json::to_value)
            .collect::<Result<Vec<Value>, _>>()?,
        relocations: counted.relocations,
        nests: counted.nests,
        completeness: nights(store, scope, asked, known_at, &configuration).await?,
        basis: basis(store, scope, known_at, &configuration).await?,
    };
    Ok(statement::statement(parts)?)
}

/// Whether the region file names the place; without one nobody can say.
fn is_known(configuration: &Configuration, place: &str) -> bool {
    let place = PartyId::from(place);
    configuration
        .region
        .as_ref()
        .is_none_or(|region| region.party(&place).is_some() || region.point(&place).is_some())
}

/// What the figures beside the account are made from.
async fn beside(
    store: &Store,
    scope: &Scope,
    asked: &Asked,
    known_at: Micros,
    question: &Question,
    configuration: &Configuration,
) -> Result<Beside, StoreError> {
    let as_of = AsOf { known_at: Some(known_at), through: Some(asked.period.last) };
    let papers = EffectiveFilter {
        kinds: vec![Kind::Permit, Kind::Licence, Kind::Release],
        ..EffectiveFilter::default()
    };
    let deaths = EffectiveFilter {
        places: asked.centre_id.iter().cloned().collect(),
        kinds: DEATHS.to_vec(),
        from: Some(asked.period.first),
        key: None,
    };
    let one_species = question.scientific_name.is_some();
    let words = Words::known_at(store, Some(known_at)).await?;
    let whole = scope.sees_region() && asked.centre_id.is_none() && !one_species;
    Ok(Beside {
        period: asked.period.clone(),
        papers: store.effective(scope, as_of, &papers).await?,
        deaths: if one_species { None } else { Some(store.effective(scope, as_of, &deaths).await?) },
        in_hand: if one_species {
            None
        } else {
            in_hand(store, scope, asked, known_at, configuration).await?
        },
        trial: if whole { Some(store.trial_balance(&asked.period, Some(known_at)).await?) } else { None },
        region: configuration.region.clone(),
        names: Arc::clone(&configuration.names),
        sign_offs: words.signed(question),
        acceptances: words.accepted(),
    })
}

/// What the routine and the title are reckoned from; `None` without a region file. The floors of the
/// whole region are read, since an animal may have come with another's title to another centre; only
/// the places that the caller sees and asks about are told of.
async fn in_hand(
    store: &Store,
    scope: &Scope,
    asked: &Asked,
    known_at: Micros,
    configuration: &Configuration,
) -> Result<Option<InHand>, StoreError> {
    let Some(region) = &configuration.region else { return Ok(None) };
    let centres = region.centres().map(|centre| &centre.party_id);
    let points = region.points.iter().map(|point| &point.point_id);
    let all: Vec<PartyId> = centres.chain(points).cloned().collect();
    let sees = |place: &PartyId| match region.point(place) {
        Some(point) => scope.sees_party(point.keeper_id.as_str()),
        None => scope.sees_party(place.as_str()),
    };
    let is_told = |place: &&PartyId| {
        sees(place) && asked.centre_id.as_ref().is_none_or(|only| only.as_str() == place.as_str())
    };
    let as_of = AsOf { known_at: Some(known_at), through: Some(asked.period.last) };
    let mut floors = BTreeMap::new();
    for place in &all {
        let key = Some(Key::units(place).as_str().to_owned());
        let filed = EffectiveFilter { key, ..EffectiveFilter::default() };
        floors.insert(place.clone(), store.effective(&Scope::Authority, as_of, &filed).await?);
    }
    let others = EffectiveFilter { kinds: vec![Kind::Outlook, Kind::Receipt], ..EffectiveFilter::default() };
    let care = EffectiveFilter {
        places: asked.centre_id.iter().cloned().collect(),
        kinds: vec![Kind::Care],
        from: Some(asked.period.first),
        key: None,
    };
    Ok(Some(InHand {
        places: all.iter().filter(is_told).cloned().collect(),
        floors,
        others: store.effective(&Scope::Authority, as_of, &others).await?,
        care: store.effective(scope, as_of, &care).await?,
        settings: Arc::clone(&configuration.settings),
        profiles: Arc::clone(&configuration.profiles),
    }))
}

/// Whether a finding names the species, where it names any.
fn speaks_of(finding: &haulout_reckoning::Finding, name: &str, names: &Names) -> bool {
    use haulout_reckoning::findings::Parameter;
    match finding.parameters.get("scientificName") {
        Some(Parameter::Text(of)) => names.commodity(of) == name,
        _ => true,
    }
}

/// The instant of knowledge that a text means.
///
/// # Errors
/// [`NoStatement::NoInstant`], [`NoStatement::NotYetKnown`], or the store's.
pub async fn instant(store: &Store, text: Option<&str>) -> Result<Micros, NoStatement> {
    let Some(text) = text else { return Ok(store.newest_stamp().await?) };
    let instant = match text.parse::<chrono::NaiveDate>() {
        Ok(day) if text.len() == 10 => close_of_day(day, store.configuration().await?.zone()),
        _ => instant_of(text).ok_or_else(|| NoStatement::NoInstant(text.chars().take(60).collect()))?,
    };
    let latest = store.latest_instant().await?;
    if instant > latest {
        return Err(NoStatement::NotYetKnown { asked: instant_text(instant), latest: instant_text(latest) });
    }
    Ok(instant)
}

async fn nights(
    store: &Store,
    scope: &Scope,
    asked: &Asked,
    known_at: Micros,
    configuration: &Configuration,
) -> Result<Completeness, StoreError> {
    let zone = configuration.zone();
    let centres = configuration.region.iter().flat_map(|region| region.centres());
    let places: Vec<String> = centres
        .map(|centre| centre.party_id.to_string())
        .filter(|place| scope.sees_party(place) && asked.centre_id.as_ref().is_none_or(|only| only == place))
        .collect();
    let mut nights = store.nights(scope, &asked.period, Some(known_at)).await?;
    nights.retain(|night| asked.centre_id.as_ref().is_none_or(|only| *only == night.place));
    let through = statement::evaluated_through(&asked.period, day_of(known_at, zone));
    let hours = configuration.settings.threshold(&NIGHT_LATE, "hours");
    Ok(completeness(&places, asked.period.first, through, &nights, zone, hours))
}

async fn basis(
    store: &Store,
    scope: &Scope,
    known_at: Micros,
    configuration: &Configuration,
) -> Result<Basis, NoStatement> {
    let heads = store.chain_heads(Some(known_at)).await?;
    let chain_heads: BTreeMap<String, ChainHead> = heads
        .into_iter()
        .filter(|(author, _)| scope.sees_party(author))
        .map(|(author, (sequence, link))| (author, ChainHead { sequence, link: hex::encode(link) }))
        .collect();
    Ok(Basis {
        as_known_at: instant_text(known_at),
        chain_heads,
        posting_rules: POSTING_RULES.to_owned(),
        rule_set: rule_set_digest(&configuration.settings),
        release: env!("CARGO_PKG_VERSION").to_owned(),
        demonstration: store.is_demonstration(),
    })
}

/// Canonical JSON and a line end: what a call answers and the command prints.
///
/// # Errors
/// [`NoStatement::Json`].
pub fn bytes(statement: &Statement) -> Result<Vec<u8>, NoStatement> {
    let mut bytes = serde_json_canonicalizer::to_vec(statement)?;
    bytes.push(b'\n');
    Ok(bytes)
}
