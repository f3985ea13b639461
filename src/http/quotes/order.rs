//! A quote as it is asked for over the wire.

use serde::Deserialize;
use utoipa::ToSchema;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Array;
use utoipa::openapi::schema::ArrayBuilder;
use utoipa::openapi::schema::ObjectBuilder;
use utoipa::openapi::schema::Schema;
use utoipa::openapi::schema::Type;

use crate::http::electrical_supplies::NewCable;
use crate::http::electrical_supplies::NewWorkKind;
use crate::http::resolutions::NewPlace;
use crate::http::resolutions::NewResolution;
use crate::http::resolutions::NewTier;
use crate::http::resolutions::NewUsers;
use crate::http::schema;

/// A quote to be drafted: one or several rooms, each from an option of a resolution or from parts of the caller's own.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewQuote {
    /// Country, currency, tax and wiring rules of all rooms.
    #[schema(max_length = 20, example = "gb")]
    pub market: String,
    /// Whose prices; anybody's when left out. Options of a resolution are ranked by them.
    #[serde(default)]
    pub tier: Option<NewTier>,
    /// Who asks.
    #[serde(default)]
    pub customer: Option<NewCustomer>,
    /// The rooms.
    #[schema(min_items = 1, max_items = 50)]
    pub rooms: Vec<NewQuoteRoom>,
    /// Discount on the whole.
    #[serde(default)]
    pub discount: Option<NewDiscount>,
    /// Delivery; none when left out.
    #[serde(default)]
    pub delivery: Option<NewDelivery>,
    /// Tax category by UNCL 5305; `S`, the standard rate, when left out.
    #[serde(default)]
    pub tax_category: Option<NewTaxCategory>,
    /// Last day of the offer in the seller's time zone, as `2026-12-31`; by the market's terms when left out.
    #[serde(default)]
    #[schema(pattern = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
    pub valid_until: Option<String>,
}

/// A tax category (UNCL 5305).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
pub enum NewTaxCategory {
    /// Standard rate.
    S,
    /// Zero rated.
    Z,
    /// Supply to a business in another country of the European Union.
    K,
    /// Export.
    G,
    /// Reverse charge.
    #[serde(rename = "AE")]
    Ae,
}

/// Who asks.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct NewCustomer {
    /// The caller's own reference.
    #[schema(min_length = 1, max_length = 100)]
    pub reference: Option<String>,
    /// Name.
    #[schema(min_length = 1, max_length = 200)]
    pub name: Option<String>,
    /// Country by ISO 3166-1 alpha-2.
    #[schema(pattern = "^[A-Z]{2}$")]
    pub country: Option<String>,
    /// Address, line by line.
    #[schema(schema_with = address_lines, required = false)]
    pub address: Vec<String>,
    /// VAT number. Its form and, for gb, ie and de, its check digits are looked at, which proves nothing.
    #[schema(max_length = 30)]
    pub vat_number: Option<String>,
}

/// Most lines of an address.
const ADDRESS_LINES_MAX: usize = 6;
/// Longest line of an address, in letters.
const ADDRESS_LINE_LENGTH_MAX: usize = 100;

fn address_lines() -> Array {
    let line = ObjectBuilder::new()
        .schema_type(Type::String)
        .min_length(Some(1))
        .max_length(Some(ADDRESS_LINE_LENGTH_MAX));
    ArrayBuilder::new()
        .items(RefOr::T(Schema::Object(line.build())))
        .max_items(Some(ADDRESS_LINES_MAX))
        .build()
}

/// One room: either `resolution` or `parts`.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewQuoteRoom {
    /// Its name, unlike the other rooms' names.
    #[schema(min_length = 1, max_length = 100)]
    pub name: String,
    /// A request as for `/v1/resolutions`, of the same market; its chosen option is quoted.
    #[serde(default)]
    pub resolution: Option<NewResolution>,
    /// Rank of the option; 1, the best, when left out.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 20)]
    pub option: Option<u32>,
    /// Parts of the caller's own choice. They are checked; what comes in the body's carton is added.
    #[serde(default)]
    #[schema(max_items = 500)]
    pub parts: Vec<NewQuotePart>,
    /// Parts only: who uses the room.
    #[serde(default)]
    pub users: Option<NewUsers>,
    /// Parts only: where they are to hang.
    #[serde(default)]
    pub place: Option<NewPlace>,
    /// Parts only: temperature of the room; 20 °C when left out.
    #[serde(default)]
    #[schema(schema_with = schema::optional::room_c, required = false)]
    pub room_c: Option<f64>,
    /// Parts only: why parts that clash are quoted all the same. Needs a right; kept and printed.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 400)]
    pub override_reason: Option<String>,
    /// The fixed wiring, for the installation sheet. What is left out is printed as not stated.
    #[serde(default)]
    pub wiring: Option<NewQuoteWiring>,
    /// Discounts on lines of this room.
    #[serde(default)]
    #[schema(max_items = 500)]
    pub line_discounts: Vec<NewLineDiscount>,
}

/// The fixed wiring up to the connection point.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewQuoteWiring {
    /// The pieces of fixed cable from the origin to the connection point, one after the other.
    #[serde(default)]
    #[schema(max_items = 12, required = false)]
    pub cables: Vec<NewCable>,
    /// Rating of the circuit's own protective device, where it is known.
    #[serde(default)]
    #[schema(schema_with = schema::optional::device_a, required = false)]
    pub device_a: Option<f64>,
    /// What is done to the circuit; an addition when left out.
    #[serde(default)]
    pub work: Option<NewWorkKind>,
}

/// A part and how many.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewQuotePart {
    /// Part number.
    #[schema(max_length = 40)]
    pub sku: String,
    /// How many; 1 when left out.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 9999)]
    pub quantity: Option<u32>,
}

/// A discount: `percent` or `amount`, and why.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewDiscount {
    /// Percent as a decimal text with up to two decimals.
    #[serde(default)]
    #[schema(pattern = "^[0-9]{1,3}([.][0-9]{1,2})?$")]
    pub percent: Option<String>,
    /// Net amount as a decimal text in the market's currency.
    #[serde(default)]
    #[schema(pattern = "^[0-9]{1,9}([.][0-9]{1,4})?$")]
    pub amount: Option<String>,
    /// Why, as it is printed.
    #[schema(min_length = 1, max_length = 200)]
    pub reason: String,
}

/// A discount on the line of one part.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewLineDiscount {
    /// The part.
    #[schema(max_length = 40)]
    pub sku: String,
    /// Percent as a decimal text with up to two decimals.
    #[serde(default)]
    #[schema(pattern = "^[0-9]{1,3}([.][0-9]{1,2})?$")]
    pub percent: Option<String>,
    /// Net amount as a decimal text in the market's currency.
    #[serde(default)]
    #[schema(pattern = "^[0-9]{1,9}([.][0-9]{1,4})?$")]
    pub amount: Option<String>,
    /// Why, as it is printed.
    #[schema(min_length = 1, max_length = 200)]
    pub reason: String,
}

/// Where it is delivered.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewDelivery {
    /// Destination band of the market.
    #[schema(max_length = 40, example = "mainland")]
    pub band: String,
}

/// Who accepts.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewAcceptance {
    /// Name of the person.
    #[schema(min_length = 1, max_length = 200)]
    pub by: String,
}

/// Why a quote is taken back.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewWithdrawal {
    /// Why.
    #[schema(min_length = 1, max_length = 400)]
    pub reason: String,
}
