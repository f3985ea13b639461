//! Which accessories finish the job, how many of each, and every way to choose them.

use rungwright::domain::catalogue::Accessory;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::Element;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;

use super::Ask;
use super::parts_of;

/// An accessory and how many of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Chosen {
    pub part: PartRef,
    pub quantity: u32,
}

/// Every way to choose one accessory for each kind that the job needs; one empty choice when it needs none.
pub(super) fn choices(ask: Ask<'_>, body: PartRef, element: PartRef) -> Vec<Vec<Chosen>> {
    let body = &ask.edition.bodies()[body.index];
    let element = &ask.edition.elements()[element.index];
    let mut choices = vec![Vec::new()];
    for kind in AccessoryKind::ALL {
        if !is_missing(ask, body, element, kind) {
            continue;
        }
        let options: Vec<Chosen> = parts_of(ask.edition, PartKind::Accessory)
            .into_iter()
            .filter_map(|part| {
                let accessory = &ask.edition.accessories()[part.index];
                let quantity = quantity(ask, body, element, accessory);
                let quantity = quantity.filter(|_| accessory.kind == kind)?;
                Some(Chosen { part, quantity })
            })
            .collect();
        choices = choices
            .iter()
            .flat_map(|choice| {
                options.iter().map(|option| [choice.as_slice(), &[*option]].concat())
            })
            .collect();
    }
    choices
}

/// Accessories of a kind that come in the body's carton, and how many.
fn carton<'a>(ask: Ask<'a>, body: &Body, kind: AccessoryKind) -> Vec<(&'a Accessory, i64)> {
    let rows = body.included.iter();
    let found = rows.map(|row| (ask.edition.accessory(&row.sku).unwrap(), i64::from(row.quantity)));
    found.filter(|(accessory, _)| accessory.kind == kind).collect()
}

fn wished(ask: Ask<'_>, kind: AccessoryKind) -> i64 {
    let wishes = ask.demands.preferences.accessories.iter();
    i64::try_from(wishes.filter(|wish| **wish == kind).count()).unwrap()
}

fn is_missing(ask: Ask<'_>, body: &Body, element: &Element, kind: AccessoryKind) -> bool {
    match kind {
        AccessoryKind::FlexCover => {
            let users = ask.demands.surroundings.users;
            let asked = users.children || users.vulnerable || users.public_building;
            let asked = asked || ask.demands.preferences.flex_cover || 0 < wished(ask, kind);
            let in_carton = carton(ask, body, kind);
            let is_covered = !in_carton.is_empty() && route_left_mm(ask, body) <= 0;
            asked && !is_covered
        }
        AccessoryKind::Inhibitor => {
            let asked = !body.content.is_filled || 0 < wished(ask, kind);
            let in_carton = carton(ask, body, kind);
            let is_treated =
                !in_carton.is_empty() && fill_left_microlitres(ask, body, element) <= 0;
            asked && !is_treated
        }
        AccessoryKind::PlugCover
        | AccessoryKind::Bracket
        | AccessoryKind::Hook
        | AccessoryKind::Shelf
        | AccessoryKind::VentKey
        | AccessoryKind::WallPlate => 0 < pieces_left(ask, body, kind),
    }
}

/// What the job takes, or more if more is wished for, less what is in the carton.
fn pieces_left(ask: Ask<'_>, body: &Body, kind: AccessoryKind) -> i64 {
    let needed = match kind {
        AccessoryKind::PlugCover => i64::from(body.ports.open_count),
        AccessoryKind::Bracket => i64::from(body.bracket_count),
        AccessoryKind::FlexCover
        | AccessoryKind::Inhibitor
        | AccessoryKind::Hook
        | AccessoryKind::Shelf
        | AccessoryKind::VentKey
        | AccessoryKind::WallPlate => 0,
    };
    let supplied: i64 = carton(ask, body, kind).iter().map(|(_, count)| count).sum();
    needed.max(wished(ask, kind)) - supplied
}

fn route_left_mm(ask: Ask<'_>, body: &Body) -> i64 {
    let route = ask.demands.surroundings.place.connection_distance.unwrap_or_default();
    let in_carton = carton(ask, body, AccessoryKind::FlexCover);
    let covered = in_carton.iter().map(|(cover, count)| {
        count * cover.cover_length.map_or(0, |length| i64::from(length.value()))
    });
    i64::from(route.value()) - covered.sum::<i64>()
}

/// What the body holds beside the element, less a tenth for expansion (common practice, no source), less what the
/// carton's inhibitor treats. Whole microlitres, so that nothing is rounded.
fn fill_left_microlitres(ask: Ask<'_>, body: &Body, element: &Element) -> i64 {
    let volume_ml = millilitres(body.content.volume.value());
    let fill = (volume_ml - i64::from(element.shape.displacement_ml)) * 900;
    let in_carton = carton(ask, body, AccessoryKind::Inhibitor);
    let treated = in_carton.iter().map(|(inhibitor, count)| {
        let dose = inhibitor.dose_ml_per_litre.zip(inhibitor.pack_ml);
        dose.map_or(0, |(dose, pack)| {
            (count * i64::from(pack) * 1_000_000).div_euclid(i64::from(dose))
        })
    });
    fill.max(0) - treated.sum::<i64>()
}

#[expect(clippy::as_conversions, clippy::cast_possible_truncation, reason = "a few thousand")]
fn millilitres(litres: f64) -> i64 {
    (litres * 1_000.0).round() as i64
}

fn quantity(ask: Ask<'_>, body: &Body, element: &Element, accessory: &Accessory) -> Option<u32> {
    let pieces = match accessory.kind {
        AccessoryKind::FlexCover => {
            up(route_left_mm(ask, body), i64::from(accessory.cover_length?.value()))
        }
        AccessoryKind::Inhibitor => {
            let dose = i64::from(accessory.dose_ml_per_litre?);
            let pack = i64::from(accessory.pack_ml?);
            up(fill_left_microlitres(ask, body, element) * dose, pack * 1_000_000)
        }
        AccessoryKind::PlugCover
        | AccessoryKind::Bracket
        | AccessoryKind::Hook
        | AccessoryKind::Shelf
        | AccessoryKind::VentKey
        | AccessoryKind::WallPlate => pieces_left(ask, body, accessory.kind),
    };
    u32::try_from(pieces).ok()
}

/// How many times a piece is taken to make up an amount, at least once.
fn up(amount: i64, piece: i64) -> i64 {
    (amount + piece - 1).div_euclid(piece).max(1)
}
