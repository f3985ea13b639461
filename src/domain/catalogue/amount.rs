//! How much of an accessory a job needs beyond what comes in the body's carton, and how many pieces make that up.

use crate::domain::units::Millimetres;

use super::accessory::Accessory;
use super::accessory::AccessoryKind;
use super::body::Body;
use super::edition::Edition;

/// Noise of binary fractions, far below a drop: a fill that takes just three packs gets no fourth.
const NOISE: f64 = 1e-9;

/// How much of an accessory a job needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// So many pieces.
    Pieces(u32),
    /// So much flex covered.
    Cover(Millimetres),
    /// A dose for so much fluid, litres.
    Dose(f64),
}

/// What a body's carton brings of one kind of accessory.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Carton {
    /// Whether it brings any.
    pub is_any: bool,
    /// Pieces.
    pub pieces: u32,
    /// Length of flex covered.
    pub covered: Millimetres,
    /// Fluid treated, litres.
    pub treated_litres: f64,
}

impl Carton {
    /// What a body's carton brings of each kind, in the order of [`AccessoryKind::ALL`].
    pub fn all_of(edition: &Edition, body: &Body) -> [Self; AccessoryKind::ALL.len()] {
        let mut cartons = [Self::default(); AccessoryKind::ALL.len()];
        for row in &body.included {
            let Some(accessory) = edition.accessory(&row.sku) else { continue };
            let mut kinds = AccessoryKind::ALL.into_iter().zip(&mut cartons);
            if let Some((_, carton)) = kinds.find(|(kind, _)| *kind == accessory.kind) {
                *carton = carton.with(accessory, row.quantity);
            }
        }
        cartons
    }

    fn with(self, accessory: &Accessory, quantity: u32) -> Self {
        let length = accessory.cover_length.unwrap_or_default().value();
        let count = i32::try_from(quantity).unwrap_or(i32::MAX);
        let covered = self.covered.value().saturating_add(length.saturating_mul(count));
        let treated = accessory
            .pack_ml
            .zip(accessory.dose_ml_per_litre)
            .map(|(pack, dose)| f64::from(pack) * f64::from(quantity) / f64::from(dose));
        Self {
            is_any: true,
            pieces: self.pieces.saturating_add(quantity),
            covered: Millimetres::new(covered),
            treated_litres: self.treated_litres + treated.unwrap_or_default(),
        }
    }

    /// The pieces still needed; nothing when the carton brings enough.
    pub fn pieces_left(&self, needed: u32) -> Option<Amount> {
        let missing = needed.saturating_sub(self.pieces);
        (0 < missing).then_some(Amount::Pieces(missing))
    }

    /// The cover still needed; nothing when the carton covers the route. A route of nought still takes one piece.
    pub fn cover_left(&self, route: Millimetres) -> Option<Amount> {
        let left = route.value().saturating_sub(self.covered.value());
        let is_covered = self.is_any && left <= 0_i32;
        (!is_covered).then(|| Amount::Cover(Millimetres::new(left)))
    }

    /// The dose still needed; nothing when the carton treats the fill.
    pub fn dose_left(&self, litres: f64) -> Option<Amount> {
        let left = litres - self.treated_litres;
        let is_treated = self.is_any && left <= NOISE;
        (!is_treated).then_some(Amount::Dose(left))
    }
}

impl Accessory {
    /// How many pieces make up an amount; nothing when the accessory does not say how far one goes.
    pub fn pieces_for(&self, amount: Amount) -> Option<u32> {
        match amount {
            Amount::Pieces(count) => Some(count),
            Amount::Cover(route) => {
                let length = self.cover_length?.value();
                let pieces =
                    route.value().checked_add(length)?.checked_sub(1)?.checked_div(length)?;
                u32::try_from(pieces.max(1)).ok()
            }
            Amount::Dose(litres) => {
                let millilitres = litres * f64::from(self.dose_ml_per_litre?);
                let packs = libm::ceil(millilitres / f64::from(self.pack_ml?) - NOISE);
                whole(packs.max(1.0))
            }
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
