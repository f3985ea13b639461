//! Which parts a list shows, and page by page.

use serde::Deserialize;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Value;
use crate::http::Problem;
use crate::http::cursor::Listing;
use crate::http::problem::Code;
use crate::http::references::Unknown;
use crate::operations::Snapshot;

/// Parts on a page when nobody says.
const PAGE_USUAL: u32 = 50;

/// Filters and page of a list of parts. A filter on an attribute that a kind of part does not have finds nothing.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub struct PartFilters {
    /// Market whose prices are shown.
    #[param(max_length = 20, example = "gb")]
    pub market: Option<String>,
    /// Edition that answers, while it is kept; the one in force when left out.
    #[param(format = Int64, minimum = 1, maximum = 4_294_967_295_u32)]
    pub edition: Option<u32>,
    /// Finish.
    #[param(max_length = 40)]
    pub finish: Option<String>,
    /// Regulation of an element: `fixed` or `adjustable`.
    #[param(max_length = 40)]
    pub regulation: Option<String>,
    /// Kind of an accessory: `hook`, `bracket` …
    #[param(max_length = 40)]
    pub kind: Option<String>,
    /// Role of a control: `time_switch`, `wall_thermostat`, `fused_connection_unit`.
    #[param(max_length = 40)]
    pub role: Option<String>,
    /// Thread, such as `G 1/2 ext`.
    #[param(max_length = 40)]
    pub thread: Option<String>,
    /// Widest body.
    #[param(minimum = 100, maximum = 10_000)]
    pub width_mm_max: Option<i32>,
    /// Highest body.
    #[param(minimum = 100, maximum = 5_000)]
    pub height_mm_max: Option<i32>,
    /// Weakest element.
    #[param(minimum = 1, maximum = 10_000)]
    pub watts_min: Option<i32>,
    /// Strongest element.
    #[param(minimum = 1, maximum = 10_000)]
    pub watts_max: Option<i32>,
    /// Parts on a page, 50 when left out.
    #[param(minimum = 1, maximum = 200)]
    pub limit: Option<u32>,
    /// Where the page begins: the `next_cursor` of the page before.
    #[param(max_length = 256)]
    pub cursor: Option<String>,
}

/// Market of a single part.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub struct PartQuery {
    /// Market whose price is shown.
    #[param(max_length = 20, example = "gb")]
    pub market: Option<String>,
    /// Edition that answers, while it is kept; the one in force when left out.
    #[param(format = Int64, minimum = 1, maximum = 4_294_967_295_u32)]
    pub edition: Option<u32>,
}

/// One page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page {
    /// Its parts.
    pub parts: Vec<PartRef>,
    /// Cursor of the next page.
    pub next: Option<String>,
}

impl PartFilters {
    /// Refuses names that refer to nothing, all of them: a list that is empty for a slip of the pen tells nobody.
    pub fn check(&self, edition: &Edition) -> Result<(), Problem> {
        let unknown = [
            self.market.as_deref().and_then(|named| Unknown::market(edition, named)),
            self.finish.as_deref().and_then(|named| Unknown::finish(edition, named)),
            self.regulation.as_deref().and_then(Unknown::regulation),
            self.kind.as_deref().and_then(Unknown::accessory_kind),
            self.role.as_deref().and_then(Unknown::role),
        ];
        let errors: Vec<_> = unknown.iter().flatten().map(Unknown::of_parameter).collect();
        if errors.is_empty() { Ok(()) } else { Err(Problem::listing(Code::BadQuery, errors)) }
    }

    /// The page that the filters ask for.
    pub fn page(&self, snapshot: &Snapshot, kind: PartKind) -> Result<Page, Problem> {
        let edition = snapshot.catalogue().edition();
        let unpaged = Self { limit: None, cursor: None, ..self.clone() };
        let filters = format!("{} {unpaged:?}", kind.word());
        let listing = Listing { edition: edition.number().into(), filters: &filters };
        let after = self.cursor.as_deref().map(|cursor| listing.position(cursor)).transpose()?;
        let limit = usize::try_from(self.limit.unwrap_or(PAGE_USUAL)).unwrap_or(usize::MAX);
        let mut parts: Vec<PartRef> = (0..edition.count(kind))
            .map(|index| PartRef { kind, index })
            .filter(|part| {
                is_after(edition, *part, after.as_deref()) && self.admits(edition, *part)
            })
            .take(limit.saturating_add(1))
            .collect();
        let has_more = limit < parts.len();
        parts.truncate(limit);
        let last = parts.last().filter(|_| has_more).and_then(|part| edition.card(*part));
        Ok(Page { next: last.map(|card| listing.cursor_after(card.sku.as_str())), parts })
    }

    fn admits(&self, edition: &Edition, part: PartRef) -> bool {
        let equals = [
            ("finish", &self.finish),
            ("regulation", &self.regulation),
            ("kind", &self.kind),
            ("thread", &self.thread),
        ];
        let at_most = [
            ("width_mm", self.width_mm_max),
            ("height_mm", self.height_mm_max),
            ("watts", self.watts_max),
        ];
        let value = |name| edition.attribute(part, name);
        equals.iter().all(|(name, wanted)| {
            wanted.as_ref().is_none_or(|wanted| value(name) == Some(Value::text(wanted)))
        }) && at_most.iter().all(|(name, limit)| {
            limit.is_none_or(|limit| value(name).is_some_and(|found| found <= Value::whole(limit)))
        }) && self
            .watts_min
            .is_none_or(|limit| value("watts").is_some_and(|found| Value::whole(limit) <= found))
            && self.role.as_ref().is_none_or(|role| match value("roles") {
                Some(Value::Words(roles)) => roles.contains(&**role),
                Some(Value::Flag(_) | Value::Number(_) | Value::Text(_)) | None => false,
            })
    }
}

fn is_after(edition: &Edition, part: PartRef, after: Option<&str>) -> bool {
    let is_later = |sku| edition.card(part).is_some_and(|card| sku < card.sku.as_str());
    after.is_none_or(is_later)
}
