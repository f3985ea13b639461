//! `POST /v1/quotes` and `POST /v1/quotes/{number}/revisions`: what creates.

use axum::extract::Path;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use jiff::Timestamp;
use jiff::civil::Date;
use serde_json::Value;

use crate::domain::catalogue::TaxCategory;
use crate::domain::catalogue::Tier;
use crate::domain::money::Currency;
use crate::domain::pricing::vat_number::VatNumber;
use crate::domain::quote::AskedRoom;
use crate::domain::quote::Customer;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteState;
use crate::http::Problem;
use crate::http::access::Called;
use crate::http::conditional::EntityTag;
use crate::http::conditional::EntityTags;
use crate::http::conditional::if_match;
use crate::http::fields::Fields;
use crate::http::json::HashedJson;
use crate::http::problem::Code;
use crate::http::problem::Document;
use crate::http::problem::FieldCode;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;
use crate::operations::access::Caller;
use crate::operations::desk::Desk;
use crate::operations::desk::Rights;
use crate::operations::quote_parts::Composed;
use crate::operations::quote_parts::NoQuote;
use crate::operations::quote_parts::Wish;
use crate::operations::quote_parts::quote_parts;
use crate::operations::quote_parts::seller_day;
use crate::operations::quotes::KeyedRequest;
use crate::operations::quotes::NewQuote as NewRow;
use crate::operations::quotes::Precondition;
use crate::operations::quotes::Predecessor;
use crate::operations::quotes::QuoteWrite;
use crate::operations::quotes::SavedAnswer;
use crate::operations::quotes::Written;
use crate::operations::quotes::saved_answer;

use super::absent;
use super::desk;
use super::heads::Heads;
use super::key::IdempotencyKey;
use super::key::keyed;
use super::number;
use super::order::NewCustomer;
use super::order::NewQuote;
use super::order::NewTaxCategory;
use super::refused;
use super::rooms::Asking;
use super::stale;
use super::text::StatedDiscount;
use super::text::discount;
use super::text::plain;
use super::unread;
use super::unwritten;
use super::view::QuoteView;

/// Drafts a quote and gives it its number.
///
/// A draft is no offer yet: issue it. Repeating the request with the same key gives the same answer and creates nothing.
#[utoipa::path(
    post,
    path = "/v1/quotes",
    tag = "quotes",
    request_body = NewQuote,
    params(("Idempotency-Key" = inline(IdempotencyKey), Header, description = "1 to 200 visible ASCII characters; kept for 31 days")),
    responses(
        (status = 201, description = "The draft", body = QuoteView),
        (status = 409, description = "The first request with this key is still being answered, or no price list holds", body = Document, content_type = "application/problem+json"),
    )
)]
pub(super) async fn post_quote(
    Called { app, caller }: Called,
    Heads(headers): Heads,
    body: HashedJson<NewQuote>,
) -> Result<Response, Problem> {
    let request = keyed(&headers, (&caller, "POST /v1/quotes"), &body.hash)?;
    create((&app, &caller), request, body, None).await
}

/// Drafts a revision of a quote, with a list of what differs.
///
/// The offer of before stands until the revision is issued; a draft of before is replaced at once.
#[utoipa::path(
    post,
    path = "/v1/quotes/{number}/revisions",
    tag = "quotes",
    request_body = NewQuote,
    params(
        ("number" = String, Path, description = "Number of the quote"),
        ("Idempotency-Key" = inline(IdempotencyKey), Header, description = "1 to 200 visible ASCII characters; kept for 31 days"),
        ("If-Match" = inline(EntityTags), Header, description = "Entity tag of the revision that is followed"),
    ),
    responses(
        (status = 201, description = "The draft", body = QuoteView),
        (status = 409, description = "What was accepted, withdrawn or superseded has no revision", body = Document, content_type = "application/problem+json"),
        (status = 412, description = "No revision is in a state that If-Match names", body = Document, content_type = "application/problem+json"),
        (status = 428, description = "If-Match is missing", body = Document, content_type = "application/problem+json"),
    )
)]
pub(super) async fn post_revision(
    Called { app, caller }: Called,
    Path(text): Path<String>,
    Heads(headers): Heads,
    body: HashedJson<NewQuote>,
) -> Result<Response, Problem> {
    let number = number(&text)?;
    let scope = format!("POST /v1/quotes/{number}/revisions");
    let request = keyed(&headers, (&caller, &scope), &body.hash)?;
    let precondition = if_match(&headers)?.map_or(Precondition::Latest, Precondition::Tags);
    create((&app, &caller), request, body, Some(Predecessor { number, precondition })).await
}

async fn create(
    (app, caller): (&App, &Caller),
    request: KeyedRequest,
    body: HashedJson<NewQuote>,
    predecessor: Option<Predecessor>,
) -> Result<Response, Problem> {
    let desk = desk(app)?;
    let Some(held) = desk.hold_key(&request) else {
        let detail = "the first request with this key is still being answered; try again";
        return Err(Problem::new(Code::IdempotencyKeyRunning, detail));
    };
    let saved =
        saved_answer(desk.database(), &request, app.now()).await.map_err(|error| unread(&error))?;
    let answer = match saved {
        Some(answer) if answer.request_hash == request.request_hash => Ok(answer),
        Some(_) => Err(reused()),
        None => draft((app, caller), desk, (request, body), predecessor).await,
    };
    drop(held);
    answer.and_then(|answer| created(&answer))
}

async fn draft(
    (app, caller): (&App, &Caller),
    desk: &Desk,
    (request, body): (KeyedRequest, HashedJson<NewQuote>),
    predecessor: Option<Predecessor>,
) -> Result<SavedAnswer, Problem> {
    let snapshot = work::snapshot(app)?;
    let (now, rights) = (app.now(), Rights::from(caller.grant()));
    let composing = move || composed(&snapshot, &body, (now, rights));
    let Composed { content, valid_until, expires_at, year } = work::off_thread(composing).await?;
    let named = predecessor.as_ref().map(|earlier| earlier.number.to_string());
    let new = NewRow {
        request,
        content,
        valid_until,
        expires_at,
        year,
        now,
        by: caller.actor().clone(),
        predecessor,
        render: render_draft,
    };
    let written = desk.writer().write(QuoteWrite::Create(Box::new(new))).await;
    match written.map_err(|failure| unwritten(&failure))? {
        Written::Created(answer) | Written::Replayed(answer) => Ok(answer),
        Written::KeyReused => Err(reused()),
        Written::Refused(refusal) => Err(refused(&refusal)),
        Written::Stale => Err(stale()),
        Written::Absent => Err(absent(&named.unwrap_or_default())),
        Written::Changed(_) => Err(Problem::failed()),
    }
}

fn reused() -> Problem {
    let detail = "the key was used for another body; take a new key for a new request";
    Problem::new(Code::IdempotencyKeyReused, detail)
}

fn render_draft(quote: &Quote) -> String {
    let view = QuoteView::new(quote, QuoteState::Draft);
    // Texts and numbers only, which always can be written.
    serde_json::to_string(&view).unwrap_or_default()
}

fn created(answer: &SavedAnswer) -> Result<Response, Problem> {
    let location = HeaderValue::from_str(&answer.location)
        .map_err(|error| Problem::internal("writing a location", &error))?;
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static("application/json")),
        (header::LOCATION, location),
        (header::ETAG, EntityTag::named(&answer.entity_tag).header()),
        (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
    ];
    Ok((StatusCode::CREATED, headers, answer.body.to_string()).into_response())
}

fn composed(
    snapshot: &Snapshot,
    body: &HashedJson<NewQuote>,
    (now, rights): (Timestamp, Rights),
) -> Result<Composed, Problem> {
    let order = &body.value;
    let mut fields = Fields::default();
    let catalogue = snapshot.catalogue();
    let Some(market) = catalogue.edition().market(&order.market) else {
        let detail = format!("there is no market {:?} in this catalogue", order.market);
        fields.push("market", FieldCode::Unknown, detail);
        return Err(fields.finish(()).err().unwrap_or_else(Problem::failed));
    };
    let day = seller_day(catalogue, &market.code, now);
    let tier = order.tier.map_or(Tier::Retail, Into::into);
    let asking = Asking { snapshot, market, day, tier, rights };
    let wish = order.wish((market.currency, rights), &mut fields);
    let rooms = order.rooms(asking, &body.document, &mut fields);
    let (rooms, wish) = fields.finish((rooms, wish))?;
    quote_parts(catalogue, market, (rooms, wish), (now, rights)).map_err(no_quote)
}

fn no_quote(refusal: NoQuote) -> Problem {
    match refusal {
        NoQuote::NoPriceList(tier, day) => {
            let detail = format!("no {} price list of the market holds on {day}", tier.word());
            Problem::new(Code::NoPriceList, detail)
        }
        NoQuote::Faults(faults) => {
            let mut fields = Fields::default();
            for fault in &faults {
                fields.push_fault(fault);
            }
            fields.finish(()).err().unwrap_or_else(Problem::failed)
        }
    }
}

/// Reads one room at its place in the request.
fn in_room<T, R: FnOnce(&mut Fields) -> T>(index: usize, fields: &mut Fields, read: R) -> T {
    fields.within("rooms", |list| list.within(&index.to_string(), read))
}

fn note_repeated(is_repeated: bool, at: &mut Fields) {
    if is_repeated {
        at.push("name", FieldCode::Repeated, "another room has this name");
    }
}

impl NewQuote {
    fn rooms(&self, asking: Asking<'_>, document: &Value, fields: &mut Fields) -> Vec<AskedRoom> {
        let mut rooms = Vec::new();
        for (index, room) in self.rooms.iter().enumerate() {
            let place = format!("/rooms/{index}");
            let text = document.pointer(&place).unwrap_or(&Value::Null);
            let mut earlier = self.rooms.iter().take(index);
            let is_repeated = earlier.any(|other| other.name == room.name);
            let asked = in_room(index, fields, |at| {
                note_repeated(is_repeated, at);
                asking.room((index, room), text, at)
            });
            rooms.extend(asked);
        }
        rooms
    }

    fn wish(&self, (currency, rights): (Currency, Rights), fields: &mut Fields) -> Wish {
        let wished = self.discount.as_ref();
        let discount = wished.and_then(|wished| {
            let stated = StatedDiscount {
                percent: wished.percent.as_deref(),
                amount: wished.amount.as_deref(),
                reason: &wished.reason,
            };
            fields.within("discount", |at| discount(stated, currency, at))
        });
        let customer = self.customer.as_ref();
        Wish {
            tier: self.tier.map_or(rights.tier, Into::into),
            customer: customer.map_or_else(Customer::default, |customer| {
                fields.within("customer", |at| customer.customer(at))
            }),
            category: self.tax_category.map_or(TaxCategory::Standard, Into::into),
            discount,
            band: self.delivery.as_ref().map(|delivery| delivery.band.as_str().into()),
            valid_until: self.valid_until.as_deref().and_then(|text| {
                let day = text.parse::<Date>();
                let day = day.map_err(|_no_day| format!("{text} is no day of the calendar"));
                fields.keep("valid_until", FieldCode::BadForm, day)
            }),
        }
    }
}

impl NewCustomer {
    fn customer(&self, at: &mut Fields) -> Customer {
        for (field, text) in [("reference", &self.reference), ("name", &self.name)] {
            if let Some(text) = text {
                plain(text, field, at);
            }
        }
        at.each("address", &self.address, |place, line| plain(line, "", place));
        let number = self.vat_number.as_deref();
        let number = number
            .and_then(|text| at.keep("vat_number", FieldCode::BadForm, VatNumber::parse(text)));
        Customer {
            reference: self.reference.as_deref().map(Into::into),
            name: self.name.as_deref().map(Into::into),
            country: self.country.as_deref().map(Into::into),
            vat_number: number.map(|number| number.as_str().into()),
            address: Some(self.address.iter().map(|line| line.as_str().into()).collect()),
        }
    }
}

impl From<NewTaxCategory> for TaxCategory {
    fn from(category: NewTaxCategory) -> Self {
        match category {
            NewTaxCategory::S => Self::Standard,
            NewTaxCategory::Z => Self::ZeroRated,
            NewTaxCategory::K => Self::IntraCommunity,
            NewTaxCategory::G => Self::Export,
            NewTaxCategory::Ae => Self::ReverseCharge,
        }
    }
}
