//! What can still be chosen, as it goes out.

use serde::Serialize;
use serde_json::Value as Json;
use utoipa::ToSchema;

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Market;
use crate::domain::money::Currency;
use crate::domain::resolver::AttributeChoices;
use crate::domain::resolver::Limit;
use crate::domain::resolver::NextValue;
use crate::domain::resolver::RegulationWish;
use crate::domain::resolver::Wish;
use crate::domain::resolver::WishChoices;
use crate::domain::resolver::WishValue;
use crate::http::bills::NoticeView;
use crate::http::resolutions::answer::RequirementView;
use crate::http::values::json;
use crate::operations::next_choices::ChoicesAnswer;

/// What can still be chosen.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ChoicesView {
    /// The edition that answered.
    pub edition: u32,
    /// The market.
    pub market: String,
    /// The price list that held.
    pub price_list: String,
    /// ISO 4217 code of all amounts.
    pub currency: String,
    /// The requirement, unless the rail only warms towels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_requirement: Option<RequirementView>,
    /// Pairs of a body and an element that make a valid bill of one rail with everything that is chosen. Nought where
    /// the choices together lead nowhere; then the values shown are the ways back.
    pub bills: usize,
    /// Gross price of the cheapest of these bills: of the first option of `/v1/resolutions` for one rail.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cheapest_gross: Option<String>,
    /// What can be wished for, wish by wish.
    pub wishes: Vec<WishChoicesView>,
    /// Attributes of body and element, with the values that lead to a bill. One without such a value is left out, unless
    /// it is chosen.
    pub attributes: Vec<AttributeChoicesView>,
    /// Whether everything was counted. If not, a value shown still leads to a bill, but counts are the least there is,
    /// prices the most, and values may be missing.
    pub complete: bool,
    /// The limit that was reached: `search_nodes` or `search_time`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<&'static str>,
    /// Cautions about the question as a whole.
    pub notices: Vec<NoticeView>,
}

/// A wish and the values of it that lead to a bill.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct WishChoicesView {
    /// Place of the wish in the body of this request.
    #[schema(example = "/request/preferences/finish")]
    pub field: &'static str,
    /// The kind of accessory, for the field of accessories.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accessory: Option<&'static str>,
    /// Values of the field; null is no wish. Of an accessory the number of pieces: none, and as many as are wished for, or
    /// one where none is.
    pub values: Vec<NextValueView>,
}

/// An attribute and the values of it that lead to a bill.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AttributeChoicesView {
    /// `body` or `element`, a dot, and the name.
    #[schema(example = "body.width_mm")]
    pub attribute: String,
    /// Unit of a keeper's own number; of all others the unit ends the name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Values in their order; of more than 200 the chosen one and the cheapest.
    pub values: Vec<NextValueView>,
    /// Whether there are more values than are shown.
    pub has_more: bool,
    /// Bills whose part does not state the attribute: no value leads to them.
    #[serde(skip_serializing_if = "is_nought")]
    #[schema(required = false)]
    pub bills_not_stated: usize,
}

/// A value that leads to a bill.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct NextValueView {
    /// The value, of the field's or the attribute's type.
    pub value: Json,
    /// Whether it is the one in force.
    pub is_chosen: bool,
    /// Pairs of body and element that make a bill with it, all other choices in force.
    #[schema(minimum = 1)]
    pub bills: usize,
    /// Gross price of the cheapest of these bills.
    pub cheapest_gross: String,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the form that serde asks for")]
const fn is_nought(count: &usize) -> bool {
    *count == 0
}

impl ChoicesView {
    /// The view of an answer from an edition in a market.
    pub fn new(answer: &ChoicesAnswer, market: &Market, edition: &Edition) -> Self {
        let choices = &answer.choices;
        let currency = market.currency;
        let attributes = choices.attributes.iter();
        Self {
            edition: answer.edition,
            market: market.code.to_string(),
            price_list: answer.price_list.to_string(),
            currency: currency.code().to_owned(),
            heat_requirement: answer.requirement.as_ref().map(RequirementView::from),
            bills: choices.bills,
            cheapest_gross: choices.cheapest.map(|gross| currency.format(gross)),
            wishes: choices
                .wishes
                .iter()
                .map(|wish| WishChoicesView::new(wish, currency))
                .collect(),
            attributes: attributes
                .map(|found| AttributeChoicesView::new(found, currency, edition))
                .collect(),
            complete: choices.limit.is_none(),
            limit: choices.limit.map(Limit::word),
            notices: answer.notices.iter().map(NoticeView::from).collect(),
        }
    }
}

impl WishChoicesView {
    fn new(choices: &WishChoices, currency: Currency) -> Self {
        let values = choices.values.iter();
        Self {
            field: field(choices.wish),
            accessory: accessory(choices.wish),
            values: values
                .map(|next| NextValueView::new(next, wished(&next.value), currency))
                .collect(),
        }
    }
}

const fn field(wish: Wish) -> &'static str {
    match wish {
        Wish::Finish => "/request/preferences/finish",
        Wish::Regulation => "/request/preferences/regulation",
        Wish::WallControl => "/request/preferences/wall_control",
        Wish::TimeControl => "/request/preferences/time_control",
        Wish::FlexCover => "/request/preferences/flex_cover",
        Wish::Accessory(_) => "/request/preferences/accessories",
    }
}

fn accessory(wish: Wish) -> Option<&'static str> {
    match wish {
        Wish::Accessory(kind) => Some(AccessoryKind::word(kind)),
        Wish::Finish
        | Wish::Regulation
        | Wish::WallControl
        | Wish::TimeControl
        | Wish::FlexCover => None,
    }
}

fn wished(value: &WishValue) -> Json {
    match value {
        WishValue::AnyFinish => Json::Null,
        WishValue::Finish(finish) => Json::String(finish.to_string()),
        WishValue::Regulation(wish) => Json::String(RegulationWish::word(*wish).to_owned()),
        WishValue::Flag(flag) => Json::Bool(*flag),
        WishValue::Pieces(pieces) => Json::Number((*pieces).into()),
    }
}

impl AttributeChoicesView {
    fn new(choices: &AttributeChoices, currency: Currency, edition: &Edition) -> Self {
        let declared = edition.content().attributes.iter();
        let mut own = declared.filter(|row| row.attribute == choices.attribute);
        let unit = own.next().map(|row| row.unit.to_string());
        let values = choices.values.iter();
        Self {
            attribute: choices.attribute.to_string(),
            unit: unit.filter(|unit| !unit.is_empty()),
            values: values
                .map(|next| NextValueView::new(next, json(&next.value), currency))
                .collect(),
            has_more: choices.has_more,
            bills_not_stated: choices.bills_not_stated,
        }
    }
}

impl NextValueView {
    fn new<V>(next: &NextValue<V>, value: Json, currency: Currency) -> Self {
        Self {
            value,
            is_chosen: next.is_chosen,
            bills: next.bills,
            cheapest_gross: currency.format(next.cheapest),
        }
    }
}
