//! Terms of sale of the made-up edition: one row in each of their tables.

use rungwright::domain::catalogue::DeliveryCharge;
use rungwright::domain::catalogue::ListTerms;
use rungwright::domain::catalogue::MarketTerms;
use rungwright::domain::catalogue::QuantityBreak;
use rungwright::domain::catalogue::SellerLine;
use rungwright::domain::catalogue::SellerLineKind;
use rungwright::domain::catalogue::TaxCategory;
use rungwright::domain::catalogue::TaxRounding;
use rungwright::domain::catalogue::TaxRow;
use rungwright::domain::catalogue::Terms;
use rungwright::domain::catalogue::Tier;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::money::Minor;
use rungwright::domain::money::TaxRate;
use rungwright::domain::money::UnitPrice;

use crate::synthetic::sku;

/// The terms.
pub(crate) fn terms() -> Terms {
    let tax = |category, rate| TaxRow {
        market: "gb".into(),
        category,
        rate: TaxRate::new(rate),
        valid_from: "2026-01-01".parse().unwrap(),
        valid_to: (rate == 0).then(|| "2026-12-31".parse().unwrap()),
        source: Source::new("made up rate", Evidence::Memory),
    };
    Terms {
        lists: vec![ListTerms { list: "gb-open".into(), tier: Tier::Trade, includes_tax: true }],
        breaks: vec![QuantityBreak {
            list: "gb-2026".into(),
            sku: sku('A', 0),
            quantity_min: 10,
            unit_price: UnitPrice::new(1_000_001),
        }],
        taxes: vec![tax(TaxCategory::Standard, 2_100), tax(TaxCategory::Export, 0)],
        deliveries: vec![DeliveryCharge {
            market: "gb".into(),
            band: "mainland".into(),
            mass_g_max: 30_000,
            length_mm_max: 2_000,
            net: Minor::new(1_250),
        }],
        markets: vec![MarketTerms {
            market: "gb".into(),
            seller_country: "GB".into(),
            time_zone: "Europe/London".into(),
            validity_days: 14,
            tax_rounding: TaxRounding::PerLine,
        }],
        seller_lines: vec![SellerLine {
            market: "gb".into(),
            kind: SellerLineKind::Name,
            position: 1,
            text: "A made-up seller".into(),
        }],
    }
}
