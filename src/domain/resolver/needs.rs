//! What a pair needs before the job is finished: which accessories, and how much of each.
//!
//! What comes in the body's carton is taken off first, be it pieces, a length of cover or a dose.

use crate::domain::catalogue::Accessory;
use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::compatibility::flex_route;
use crate::domain::compatibility::pair_fill;
use crate::domain::units::Millimetres;

use super::demands::Demands;

/// Noise of binary fractions, far below a drop: a fill that takes just three packs gets no fourth.
const NOISE: f64 = 1e-9;

/// How much of an accessory a job needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Amount {
    /// So many pieces.
    Pieces(u32),
    /// So much flex covered.
    Cover(Millimetres),
    /// A dose for so much fluid, litres.
    Dose(f64),
}

/// A kind of accessory that a job needs, and why.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Need {
    pub kind: AccessoryKind,
    pub amount: Amount,
    pub why: String,
}

/// The accessories without which a pair is not a finished job, and those wished for, in order of the bill.
pub(super) fn needs(
    edition: &Edition,
    demands: &Demands<'_>,
    body: &Body,
    element: &Element,
) -> Vec<Need> {
    AccessoryKind::ALL
        .into_iter()
        .filter_map(|kind| {
            let wished = wished(demands, kind);
            let carton = carton(edition, body, kind);
            let supplied = carton.iter().fold(0_u32, |sum, (_, count)| sum.saturating_add(*count));
            let (amount, why) = match kind {
                AccessoryKind::PlugCover => pieces(
                    wished.max(u32::from(body.ports.open_count)),
                    supplied,
                    "closes the ports left open",
                ),
                AccessoryKind::Bracket => {
                    pieces(wished.max(body.bracket_count), supplied, "holds the body on the wall")
                }
                AccessoryKind::FlexCover => {
                    let route = flex_route(body, element, &demands.surroundings);
                    cover(demands, wished, (&carton, route))
                }
                AccessoryKind::Inhibitor => {
                    dose(body.content.is_filled && wished == 0, fill_litres(body, element), &carton)
                }
                AccessoryKind::Hook
                | AccessoryKind::Shelf
                | AccessoryKind::VentKey
                | AccessoryKind::WallPlate => pieces(wished, supplied, "wished for"),
            }?;
            Some(Need { kind, amount, why })
        })
        .collect()
}

fn wished(demands: &Demands<'_>, kind: AccessoryKind) -> u32 {
    let wishes = &demands.preferences.accessories;
    u32::try_from(wishes.iter().filter(|wish| **wish == kind).count()).unwrap_or(u32::MAX)
}

/// Accessories of a kind that come in the body's carton, and how many of each.
type Carton<'a> = Vec<(&'a Accessory, u32)>;

fn carton<'a>(edition: &'a Edition, body: &Body, kind: AccessoryKind) -> Carton<'a> {
    let rows = body.included.iter();
    let found = rows.filter_map(|row| Some((edition.accessory(&row.sku)?, row.quantity)));
    found.filter(|(accessory, _)| accessory.kind == kind).collect()
}

fn pieces(needed: u32, supplied: u32, why: &str) -> Option<(Amount, String)> {
    let missing = needed.saturating_sub(supplied);
    (0 < missing).then(|| (Amount::Pieces(missing), why.to_owned()))
}

fn cover(
    demands: &Demands<'_>,
    wished: u32,
    (carton, route): (&Carton<'_>, Option<Millimetres>),
) -> Option<(Amount, String)> {
    let users = demands.surroundings.users;
    let why = if users.need_protection() {
        "no loose flex where children, vulnerable people or the public come"
    } else if demands.preferences.flex_cover || 0 < wished {
        "wished for: covers the flex"
    } else {
        return None;
    };
    let route = route.unwrap_or_default();
    let left = carton.iter().fold(route.value(), |left, (cover, count)| {
        let length = cover.cover_length.unwrap_or_default().value();
        let count = i32::try_from(*count).unwrap_or(i32::MAX);
        left.saturating_sub(length.saturating_mul(count))
    });
    let is_covered = !carton.is_empty() && left <= 0_i32;
    (!is_covered).then(|| (Amount::Cover(Millimetres::new(left)), why.to_owned()))
}

fn dose(is_needless: bool, litres: f64, carton: &Carton<'_>) -> Option<(Amount, String)> {
    let treated = carton.iter().filter_map(|(inhibitor, count)| {
        let millilitres = f64::from(inhibitor.pack_ml?) * f64::from(*count);
        Some(millilitres / f64::from(inhibitor.dose_ml_per_litre?))
    });
    let left = litres - treated.sum::<f64>();
    let is_treated = !carton.is_empty() && left <= NOISE;
    let why = || format!("treats a fill of {litres:.1} l");
    (!is_needless && !is_treated).then(|| (Amount::Dose(left), why()))
}

/// Fluid that an empty body takes beside its element, with the usual room for expansion.
fn fill_litres(body: &Body, element: &Element) -> f64 {
    pair_fill(body, Some(element)).volume().value()
}

/// How many pieces of an accessory make up an amount; nothing when it does not say how far it goes.
pub(super) fn quantity(amount: Amount, accessory: &Accessory) -> Option<u32> {
    match amount {
        Amount::Pieces(count) => Some(count),
        Amount::Cover(route) => {
            let length = accessory.cover_length?.value();
            let pieces = route.value().checked_add(length)?.checked_sub(1)?.checked_div(length)?;
            u32::try_from(pieces.max(1)).ok()
        }
        Amount::Dose(litres) => {
            let millilitres = litres * f64::from(accessory.dose_ml_per_litre?);
            let packs = libm::ceil(millilitres / f64::from(accessory.pack_ml?) - NOISE);
            whole(packs.max(1.0))
        }
    }
}

#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a whole number checked to lie within the range of pieces"
)]
fn whole(count: f64) -> Option<u32> {
    (1.0..1_000_000.0).contains(&count).then_some(count as u32)
}
