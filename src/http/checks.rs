//! `POST /v1/checks`: do these parts fit together, here, in this country? One question or a batch.

use axum::extract::State;
use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Sku;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Substitute;
use crate::domain::compatibility::Swap;
use crate::domain::compatibility::swaps;
use crate::domain::units::Celsius;
use crate::domain::units::Deciwatts;
use crate::http::Json;
use crate::http::Problem;
use crate::http::bills::CheckView;
use crate::http::bills::NoticeView;
use crate::http::bills::notices;
use crate::http::fields::Fields;
use crate::http::json::Draft;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::query::NoQuery;
use crate::http::references::Unknown;
use crate::http::resolutions::NewPlace;
use crate::http::resolutions::NewUsers;
use crate::http::resolutions::Putting;
use crate::http::resolutions::surroundings;
use crate::http::schema;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;
use crate::operations::check_parts::Checked;
use crate::operations::check_parts::check;

/// Checks by index.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewChecks {
    /// Country, currency, tax and wiring rules of every check.
    #[schema(max_length = 20, example = "gb")]
    pub market: String,
    /// Edition that answers, while it is kept; the one in force when left out.
    #[serde(default)]
    #[schema(format = Int64, minimum = 1, maximum = 4_294_967_295_u32, required = false)]
    pub edition: Option<u32>,
    /// The checks, at most 200.
    #[schema(min_items = 1, max_items = 200)]
    pub checks: Vec<NewCheck>,
}

/// Parts, and where they are to live.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewCheck {
    /// Part numbers, each once: one body, one element at the most, any controls and accessories.
    #[schema(min_items = 1, max_items = 40)]
    pub parts: Vec<String>,
    /// Who uses the room.
    #[serde(default)]
    pub users: Option<NewUsers>,
    /// Where they are to hang.
    #[serde(default)]
    pub place: Option<NewPlace>,
    /// Temperature of the room; 20 °C when left out.
    #[serde(default)]
    #[schema(schema_with = schema::optional::indoor_c, required = false)]
    pub room_c: Option<f64>,
    /// Share of the output left with towels on; 1 when left out.
    #[serde(default)]
    #[schema(schema_with = schema::optional::towels_factor, required = false)]
    pub towels_factor: Option<f64>,
}

/// Answers, by the index of their question.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ChecksView {
    /// The edition that answered.
    pub edition: u32,
    /// The market.
    pub market: String,
    /// One answer a question, in the same order.
    pub answers: Vec<AnswerView>,
}

/// The answer to one check.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct AnswerView {
    /// `fits`, `clashes`, or `invalid` when this question was wrongly put; the others are answered all the same.
    pub outcome: &'static str,
    /// What body and element give the room, when there is one of each.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub delivered_w: Option<f64>,
    /// What speaks against the parts.
    pub clashes: Vec<CheckView<'static>>,
    /// Rules that hold, warn, or are not established.
    pub checks: Vec<CheckView<'static>>,
    /// Which single part to swap so that everything fits, where parts clash and one swap is enough.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub swaps: Vec<SwapView>,
    /// What is wrong with the question.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub errors: Vec<FieldError>,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
}

/// A part that may go, and what may come in its place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SwapView {
    /// The part that clashes.
    pub replaced: String,
    /// Parts of the same kind with which everything fits, at most 3, cheapest first.
    pub by: Vec<SubstituteView>,
}

/// A part to put in another's place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SubstituteView {
    /// Part number.
    pub sku: String,
    /// Its name.
    pub name: String,
    /// Net price of one on the day of the question, where the market has a price list for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit_net: Option<String>,
    /// ISO 4217 code of the price.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub currency: Option<String>,
}

/// Do these parts fit together?
///
/// A question that is wrongly put (an unknown part number) is answered by `invalid` at its index and does not fail the
/// batch. A rule that is not established counts as a clash when it would refuse. Where one part stands in the way,
/// `swaps` names it and the cheapest parts that would do; two parts to be swapped at once are not looked for.
#[utoipa::path(
    post,
    path = "/v1/checks",
    tag = "checks",
    request_body = NewChecks,
    responses((status = 200, description = "One answer a question", body = ChecksView))
)]
pub async fn post_checks(
    _: NoQuery,
    State(app): State<App>,
    checks: Draft<NewChecks>,
) -> Result<Json<ChecksView>, Problem> {
    let edition = checks.readable().and_then(|checks| checks.edition);
    let snapshot = work::snapshot_for(&app, edition).await?;
    work::off_thread(move || answer(&snapshot, checks)).await.map(Json)
}

fn answer(snapshot: &Snapshot, checks: Draft<NewChecks>) -> Result<ChecksView, Problem> {
    let edition = snapshot.catalogue().edition();
    let checks = checks.read(|checks| {
        work::check_edition(checks.edition, snapshot)?;
        let unknown = Unknown::market(edition, &checks.market).map(|market| market.of_field());
        unknown.map_or(Ok(checks), |error| Err(Problem::invalid(vec![error])))
    })?;
    let answers = checks.checks.iter().enumerate();
    Ok(ChecksView {
        edition: edition.number(),
        market: checks.market.clone(),
        answers: answers
            .map(|(index, check)| one(snapshot, &checks.market, index, check))
            .collect(),
    })
}

fn one(snapshot: &Snapshot, market: &str, index: usize, asked: &NewCheck) -> AnswerView {
    let catalogue = snapshot.catalogue();
    let putting = Putting::of(snapshot);
    let mut fields = Fields::default();
    let question = fields.within("checks", |list| {
        list.within(&index.to_string(), |at| {
            let parts = parts(catalogue.edition(), &asked.parts, at);
            let market = catalogue.edition().market(market)?;
            let mut around = surroundings(putting, market, asked.place.as_ref(), at);
            around.users = asked.users.unwrap_or_default().into();
            around.room = asked.room_c.map_or(around.room, Celsius::new);
            around.towels_factor = asked.towels_factor.unwrap_or(around.towels_factor);
            Some((parts, around))
        })
    });
    match fields.finish(question) {
        Ok(Some((parts, around))) => {
            let checked = check(snapshot, &parts, &around);
            let list = catalogue.edition().price_list(market, snapshot.today());
            let swaps =
                if checked.fits() { Vec::new() } else { swaps(catalogue, list, &parts, &around) };
            let swaps =
                swaps.iter().filter_map(|swap| SwapView::new(catalogue.edition(), list, swap));
            AnswerView { swaps: swaps.collect(), ..AnswerView::new(&checked) }
        }
        Ok(None) => AnswerView::invalid(Vec::new()),
        Err(problem) => AnswerView::invalid(problem.errors().to_vec()),
    }
}

fn parts(edition: &Edition, skus: &[String], fields: &mut Fields) -> Vec<PartRef> {
    let mut found = Vec::new();
    fields.each("parts", skus, |at, text| {
        let part = Sku::parse(text).map_err(|error| error.to_string()).and_then(|sku| {
            edition.find(&sku).ok_or_else(|| format!("there is no part {sku} in this catalogue"))
        });
        let Some(part) = at.keep("", FieldCode::Unknown, part) else { return };
        let is_heart = part.kind == PartKind::Body || part.kind == PartKind::Element;
        let doubled = |other: &PartRef| is_heart && other.kind == part.kind;
        if found.contains(&part) {
            at.push("", FieldCode::Repeated, format!("{text} is named twice"));
        } else if found.iter().any(doubled) {
            at.push("", FieldCode::TooMany, format!("one {} at the most", part.kind.word()));
        }
        found.push(part);
    });
    found
}

impl AnswerView {
    fn new(checked: &Checked) -> Self {
        let (clashes, checks): (Vec<&Finding>, Vec<&Finding>) =
            checked.findings.iter().partition(|finding| finding.refuses());
        Self {
            outcome: if checked.fits() { "fits" } else { "clashes" },
            delivered_w: checked.delivered.map(Deciwatts::watts),
            clashes: clashes.into_iter().cloned().map(CheckView::from).collect(),
            checks: checks.into_iter().cloned().map(CheckView::from).collect(),
            swaps: Vec::new(),
            errors: Vec::new(),
            notices: notices(&checked.notices, &checked.findings),
        }
    }

    const fn invalid(errors: Vec<FieldError>) -> Self {
        Self {
            outcome: "invalid",
            delivered_w: None,
            clashes: Vec::new(),
            checks: Vec::new(),
            swaps: Vec::new(),
            errors,
            notices: Vec::new(),
        }
    }
}

impl SwapView {
    fn new(edition: &Edition, list: Option<&PriceList>, swap: &Swap) -> Option<Self> {
        let substitute = |(part, price): &Substitute| {
            let card = edition.card(*part)?;
            Some(SubstituteView {
                sku: card.sku.to_string(),
                name: card.name.to_string(),
                unit_net: price.zip(list).map(|(net, priced)| net.format(priced.currency)),
                currency: price.and(list).map(|priced| priced.currency.code().to_owned()),
            })
        };
        Some(Self {
            replaced: edition.card(swap.replaced)?.sku.to_string(),
            by: swap.by.iter().filter_map(substitute).collect(),
        })
    }
}
