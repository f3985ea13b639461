//! `keys`: makes, lists, rotates and revokes keys in a database, also one that a running service has open.
//!
//! Absent here: what a key opens.

use clap::Subcommand;
use clap::ValueEnum;
use jiff::Timestamp;
use jiff::ToSpan;
use std::path::Path;
use std::path::PathBuf;

use crate::domain::access::Account;
use crate::domain::access::Actor;
use crate::domain::access::Grant;
use crate::domain::access::Markets;
use crate::domain::access::Origin;
use crate::domain::access::PerMinute;
use crate::domain::access::Scope;
use crate::domain::access::Scopes;
use crate::domain::catalogue::Tier;
use crate::domain::pricing::discount::DiscountCeiling;
use crate::http::keys::view::KeyView;
use crate::operations::access::Access;
use crate::operations::access::KEYS_MAX;
use crate::operations::access::KeyChange;
use crate::operations::access::KeyId;
use crate::operations::access::KeySecret;
use crate::operations::access::KeyWrite;
use crate::operations::access::NewKey;
use crate::operations::access::OVERLAP_HOURS_MAX;
use crate::operations::access::OVERLAP_HOURS_USUAL;
use crate::operations::clock::Clock;
use crate::store::Database;

use super::Failure;
use super::print;

/// Which database, and what to do to its keys.
#[derive(Debug, clap::Args)]
pub(super) struct Keys {
    /// Database file.
    #[arg(long, env = "RUNGWRIGHT_DATABASE", default_value = "rungwright.sqlite", global = true)]
    database: String,
    /// File with the secret that keys are hashed with; beside the database when left out, made when there is none.
    #[arg(long, env = "RUNGWRIGHT_KEY_SECRET_FILE", global = true)]
    key_secret_file: Option<PathBuf>,
    #[command(subcommand)]
    deed: Deed,
}

#[derive(Debug, Subcommand)]
enum Deed {
    /// Makes a key and prints it, this once.
    Create(Create),
    /// Lists keys, one JSON object a line, without their secrets.
    List,
    /// Makes a key that grants the same; the old one holds on for a while.
    Rotate {
        /// Id of the key.
        id: String,
        /// Hours for which the old key still holds.
        #[arg(long, default_value_t = OVERLAP_HOURS_USUAL, value_parser = clap::value_parser!(u32).range(0..=i64::from(OVERLAP_HOURS_MAX)))]
        overlap_hours: u32,
    },
    /// Ends a key at once.
    Revoke {
        /// Id of the key.
        id: String,
    },
}

#[derive(Debug, clap::Args)]
struct Create {
    /// What it is for, in words.
    #[arg(long)]
    label: String,
    /// Whose quotes it reads and writes: lower-case letters, digits and hyphens.
    #[arg(long)]
    account: String,
    /// What it is good for: browse alone for web pages, or any of the others; may be repeated.
    #[arg(long = "scope", required = true, value_name = "SCOPE")]
    scopes: Vec<ScopeWord>,
    /// Origin of a web page that a browse key is bound to, such as <https://shop.example>; may be repeated.
    #[arg(long = "origin", value_name = "ORIGIN")]
    origins: Vec<String>,
    /// Market in which it may be used; all when left out; may be repeated.
    #[arg(long = "market", value_name = "CODE")]
    markets: Vec<String>,
    /// Price tier taken when a request names none.
    #[arg(long, default_value = "retail")]
    price_tier: TierWord,
    /// Best price tier that a request may name; the one above when left out.
    #[arg(long)]
    price_tier_best: Option<TierWord>,
    /// Most that a discount may take off, in whole percent.
    #[arg(long, default_value_t = 15, value_parser = clap::value_parser!(u32).range(0..=100))]
    discount_percent_max: u32,
    /// Lets clashing parts be quoted with a written reason.
    #[arg(long)]
    allow_overrides: bool,
    /// Requests a minute.
    #[arg(long, default_value_t = PerMinute::USUAL.count())]
    requests_per_minute: u32,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum ScopeWord {
    /// Reading the catalogue and asking what fits, from web pages.
    Browse,
    /// Quotes.
    Quote,
    /// Editions.
    Catalogue,
    /// Keys, audit trail, figures.
    Operate,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum TierWord {
    /// Anybody.
    Retail,
    /// Fitters and electricians.
    Trade,
    /// Those who sell on.
    Merchant,
}

/// Does what is asked to the keys.
pub(super) async fn run(options: &Keys) -> Result<(), Failure> {
    let database = Database::open(&options.database).await?;
    let secret = secret(&options.database, options.key_secret_file.as_deref())?;
    let access = Access::open(database.clone(), secret).await?;
    let now = Clock::System.now();
    let done = match &options.deed {
        Deed::Create(create) => change(&access, KeyChange::Make(create.key()?), now).await,
        Deed::List => list(&access, now),
        Deed::Rotate { id, overlap_hours } => {
            let end = now.checked_add(i64::from(*overlap_hours).hours()).unwrap_or(now);
            change(&access, KeyChange::Rotate(id_of(id)?, end), now).await
        }
        Deed::Revoke { id } => change(&access, KeyChange::Revoke(id_of(id)?), now).await,
    };
    database.close().await;
    done
}

/// The secret that keys are hashed with: in the file that is named, else beside the database; a database in memory has
/// one that ends with it.
pub(super) fn secret(database: &str, file: Option<&Path>) -> Result<KeySecret, Failure> {
    if let Some(file) = file {
        return Ok(KeySecret::load_or_make(file)?);
    }
    let named = database.strip_prefix("sqlite:").unwrap_or(database);
    let path = named.strip_prefix("//").unwrap_or(named).split('?').next().unwrap_or_default();
    if path == ":memory:" {
        return Ok(KeySecret::random()?);
    }
    Ok(KeySecret::load_or_make(Path::new(&format!("{path}.key-secret")))?)
}

fn id_of(text: &str) -> Result<KeyId, Failure> {
    KeyId::parse(text).ok_or_else(|| Failure::NoKey(text.to_owned()))
}

fn list(access: &Access, now: Timestamp) -> Result<(), Failure> {
    let mut text = String::new();
    for record in access.records() {
        let line = serde_json::to_string(&KeyView::new(&record, now)).map_err(Failure::Answer)?;
        text.push_str(&line);
        text.push('\n');
    }
    print(&text)
}

async fn change(access: &Access, change: KeyChange, now: Timestamp) -> Result<(), Failure> {
    let written = access.change(&change, (&Actor::command_line(), now)).await?;
    match written {
        // The key alone on its line, so that a script can take it; the rest is known to whoever asked.
        Some(KeyWrite::Made(_, token)) => print(&format!("{}\n", token.reveal())),
        Some(KeyWrite::Revoked(record)) => print(&format!("{} is revoked\n", record.id)),
        Some(KeyWrite::Absent) | None => Err(Failure::NoKey("of this id".to_owned())),
        Some(KeyWrite::Ended) => {
            Err(Failure::KeyStands("the key has ended; make a new one".to_owned()))
        }
        Some(KeyWrite::Rotated(successor)) => Err(Failure::KeyStands(format!(
            "the key was rotated already: {successor} has taken its place"
        ))),
        Some(KeyWrite::TooMany) => Err(Failure::KeyStands(format!(
            "there are {KEYS_MAX} keys, and no more than that are kept"
        ))),
    }
}

impl Create {
    fn key(&self) -> Result<NewKey, Failure> {
        let refuse = |why: &str| Failure::Grant(why.to_owned());
        let origin = |text: &String| {
            Origin::parse(text)
                .ok_or_else(|| refuse(&format!("{text} is no origin as browsers state it")))
        };
        let scopes = Scopes::new(self.scopes.iter().map(|word| Scope::from(*word)));
        let ceiling = DiscountCeiling::new(self.discount_percent_max.saturating_mul(100));
        let tier = self.price_tier.into();
        let grant = Grant {
            account: Account::parse(&self.account).ok_or_else(|| {
                refuse("an account is 1 to 40 lower-case letters, digits and hyphens")
            })?,
            scopes: scopes.map_err(|why| refuse(&why.to_string()))?,
            origins: self.origins.iter().map(origin).collect::<Result<_, _>>()?,
            markets: match self.markets.as_slice() {
                [] => Markets::All,
                codes => Markets::Only(codes.iter().map(|code| code.as_str().into()).collect()),
            },
            tier,
            tier_best: self.price_tier_best.map_or(tier, Into::into),
            discount_ceiling: ceiling.unwrap_or(DiscountCeiling::USUAL),
            overrides: self.allow_overrides,
            per_minute: PerMinute::new(self.requests_per_minute)
                .ok_or_else(|| refuse("a key may ask 1 to 6000000 times a minute"))?,
        };
        let faults: Vec<String> = grant.check().iter().map(ToString::to_string).collect();
        if !faults.is_empty() {
            return Err(Failure::Grant(faults.join("; ")));
        }
        Ok(NewKey { label: self.label.as_str().into(), grant })
    }
}

impl From<ScopeWord> for Scope {
    fn from(word: ScopeWord) -> Self {
        match word {
            ScopeWord::Browse => Self::Browse,
            ScopeWord::Quote => Self::Quote,
            ScopeWord::Catalogue => Self::Catalogue,
            ScopeWord::Operate => Self::Operate,
        }
    }
}

impl From<TierWord> for Tier {
    fn from(word: TierWord) -> Self {
        match word {
            TierWord::Retail => Self::Retail,
            TierWord::Trade => Self::Trade,
            TierWord::Merchant => Self::Merchant,
        }
    }
}
