//! What a pair needs before the job is finished: which accessories, and how much of each.
//!
//! What comes in the body's carton is taken off first, be it pieces, a length of cover or a dose.

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Amount;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Carton;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::compatibility::flex_route;
use crate::domain::compatibility::pair_fill;
use crate::domain::units::Millimetres;

use super::demands::Demands;

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
        .zip(Carton::all_of(edition, body))
        .filter_map(|(kind, carton)| {
            let wished = wished(demands, kind);
            let pieces = |needed, why: &str| Some((carton.pieces_left(needed)?, why.to_owned()));
            let (amount, why) = match kind {
                AccessoryKind::PlugCover => pieces(
                    wished.max(u32::from(body.ports.open_count)),
                    "closes the ports left open",
                ),
                AccessoryKind::Bracket => {
                    pieces(wished.max(body.bracket_count), "holds the body on the wall")
                }
                AccessoryKind::FlexCover => {
                    let route = flex_route(body, element, &demands.surroundings);
                    cover(demands, wished, (carton, route))
                }
                AccessoryKind::Inhibitor => {
                    dose(body.content.is_filled && wished == 0, fill_litres(body, element), carton)
                }
                AccessoryKind::Hook
                | AccessoryKind::Shelf
                | AccessoryKind::VentKey
                | AccessoryKind::WallPlate => pieces(wished, "wished for"),
            }?;
            Some(Need { kind, amount, why })
        })
        .collect()
}

fn wished(demands: &Demands<'_>, kind: AccessoryKind) -> u32 {
    let wishes = &demands.preferences.accessories;
    u32::try_from(wishes.iter().filter(|wish| **wish == kind).count()).unwrap_or(u32::MAX)
}

fn cover(
    demands: &Demands<'_>,
    wished: u32,
    (carton, route): (Carton, Option<Millimetres>),
) -> Option<(Amount, String)> {
    let users = demands.surroundings.users;
    let why = if users.need_protection() {
        "no loose flex where children, vulnerable people or the public come"
    } else if demands.preferences.flex_cover || 0 < wished {
        "wished for: covers the flex"
    } else {
        return None;
    };
    Some((carton.cover_left(route.unwrap_or_default())?, why.to_owned()))
}

fn dose(is_needless: bool, litres: f64, carton: Carton) -> Option<(Amount, String)> {
    if is_needless {
        return None;
    }
    Some((carton.dose_left(litres)?, format!("treats a fill of {litres:.1} l")))
}

/// Fluid that an empty body takes beside its element, with the usual room for expansion.
fn fill_litres(body: &Body, element: &Element) -> f64 {
    pair_fill(body, Some(element)).volume().value()
}
