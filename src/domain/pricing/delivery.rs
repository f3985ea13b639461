//! What a delivery costs: the cheapest row of a destination band that carries the shipment's mass and length.
//!
//! Only bodies state their mass, so a shipment weighs what its bodies weigh; a band's rows must leave room for the
//! small parts. Absent here: carriers and dates.
#![deny(clippy::float_arithmetic)]

use crate::domain::catalogue::DeliveryCharge;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Terms;

/// What is to be sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Shipment {
    /// Mass of all bodies, grams.
    pub mass_g: u32,
    /// Longest side of any body or element, millimetres.
    pub length_mm: u32,
}

/// Why there is no charge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoCharge {
    /// The market has no such band.
    UnknownBand,
    /// No row of the band carries this much or this long.
    TooLarge,
}

impl Shipment {
    /// This with some pieces of a part more.
    #[must_use]
    pub fn with(self, edition: &Edition, part: PartRef, quantity: u32) -> Self {
        let whole = |length: i32| u32::try_from(length).unwrap_or_default();
        let (mass_g, length_mm) = match part.kind {
            PartKind::Body => edition.bodies().get(part.index).map_or((0, 0), |body| {
                let longest = body.size.height.value().max(body.size.width.value());
                (grams(body.content.dry_mass.value()), whole(longest))
            }),
            PartKind::Element => edition.elements().get(part.index).map_or((0, 0), |element| {
                let shape = &element.shape;
                (0, whole(shape.immersed_length.value().saturating_add(shape.head_length.value())))
            }),
            PartKind::Control | PartKind::Accessory => (0, 0),
        };
        Self {
            mass_g: self.mass_g.saturating_add(mass_g.saturating_mul(quantity)),
            length_mm: self.length_mm.max(length_mm),
        }
    }
}

#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::float_arithmetic,
    reason = "a body's mass is bounded to 80 kg and counted in whole grams"
)]
fn grams(kilograms: f64) -> u32 {
    libm::round(kilograms * 1_000.0) as u32
}

/// The cheapest row that carries a shipment to a band of a market.
pub fn delivery_charge<'a>(
    terms: &'a Terms,
    market: &str,
    band: &str,
    shipment: Shipment,
) -> Result<&'a DeliveryCharge, NoCharge> {
    let of_band =
        || terms.deliveries.iter().filter(|row| &*row.market == market && &*row.band == band);
    if of_band().next().is_none() {
        return Err(NoCharge::UnknownBand);
    }
    let carries = |row: &&DeliveryCharge| {
        shipment.mass_g <= row.mass_g_max && shipment.length_mm <= row.length_mm_max
    };
    of_band().filter(carries).min_by_key(|row| row.net).ok_or(NoCharge::TooLarge)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::money::Minor;

    #[test]
    fn the_cheapest_row_that_carries_it_is_taken() {
        let row = |mass_g_max, length_mm_max, net| DeliveryCharge {
            market: "gb".into(),
            band: "mainland".into(),
            mass_g_max,
            length_mm_max,
            net: Minor::new(net),
        };
        let deliveries = vec![row(30_000, 2_000, 1_250), row(10_000, 1_200, 650)];
        let terms = Terms { deliveries, ..Terms::default() };
        let net = |mass_g, length_mm| {
            let shipment = Shipment { mass_g, length_mm };
            delivery_charge(&terms, "gb", "mainland", shipment).map(|found| found.net.value())
        };
        assert_eq!(net(10_000, 1_200), Ok(650));
        assert_eq!(net(10_000, 1_201), Ok(1_250));
        assert_eq!(net(30_001, 100), Err(NoCharge::TooLarge));
        let other = delivery_charge(&terms, "gb", "islands", Shipment::default());
        assert_eq!(other, Err(NoCharge::UnknownBand));
    }
}
