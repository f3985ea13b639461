//! Sums of commercial documents against rows worked with exact decimals.
//!
//! The rule is EN 16931 BR-CO-17 (tax once per rate on the summed net, half away from zero); the rows were computed
//! with exact decimals beside the reference, and those of one rounding step are also the schoolbook's.
#![expect(clippy::arithmetic_side_effects, reason = "a hundred times a hundred")]

use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::money::CURRENCIES;
use rungwright::domain::money::Currency;
use rungwright::domain::money::Minor;
use rungwright::domain::money::TaxRate;
use rungwright::domain::money::UnitPrice;
use rungwright::domain::pricing::Total;
use rungwright::domain::pricing::document::Amounts;
use rungwright::domain::pricing::document::TaxCategory;
use rungwright::domain::pricing::document::TaxRounding;
use rungwright::domain::pricing::document::Taxation;
use rungwright::domain::pricing::document::Taxed;

const SOURCE: &str = "EN 16931 BR-CO-17; rows computed with exact decimals";

/// A row: unit price and quantity of each line, allowance on the document, percent, net, tax once a rate, tax a line
/// where the reference gives it, gross.
const ROWS: &[(&str, &str, u32, &str, &str, Option<&str>, &str)] = &[
    ("0.99x1 0.99x1 0.99x1", "0", 2_000, "2.97", "0.59", Some("0.60"), "3.56"),
    ("149.95x1 39.95x1 12.50x3", "0", 2_300, "227.40", "52.30", Some("52.31"), "279.70"),
    ("189.50x2 24.95x1 3.35x4", "0", 1_900, "417.35", "79.30", Some("79.30"), "496.65"),
    ("214.17x1 35.83x1", "0", 2_000, "250.00", "50.00", Some("50.00"), "300.00"),
    ("1.50x1", "0", 2_300, "1.50", "0.35", Some("0.35"), "1.85"),
    ("1.50x1", "0", 1_900, "1.50", "0.29", None, "1.79"),
    ("0.125x100", "0", 2_000, "12.50", "2.50", Some("2.50"), "15.00"),
    ("333.33x1", "33.33", 2_300, "300.00", "69.00", None, "369.00"),
    ("2.125x1", "0", 2_000, "2.13", "0.43", None, "2.56"),
    ("-1.50x1", "0", 2_300, "-1.50", "-0.35", None, "-1.85"),
];

fn amount(text: &str) -> Minor {
    Currency::EUR.parse_amount(text).unwrap()
}

fn line(text: &str) -> Minor {
    let (price, quantity) = text.split_once('x').unwrap();
    UnitPrice::parse(price).unwrap().times(quantity.parse().unwrap(), Currency::EUR).unwrap()
}

#[test]
fn every_worked_row_comes_out_to_the_penny() {
    for (lines, allowance, rate, net, tax, tax_per_line, gross) in ROWS {
        let taxation = Taxation { category: TaxCategory::Standard, rate: TaxRate::new(*rate) };
        let taxed = |minor| Taxed { net: minor, taxation };
        let amounts = Amounts {
            lines: lines.split(' ').map(line).map(taxed).collect(),
            allowances: vec![taxed(amount(allowance))],
            charges: Vec::new(),
        };
        let totals = amounts.totals(TaxRounding::PerRate).unwrap();
        let found = (totals.net, totals.tax, totals.gross);
        let expected = (amount(net), amount(tax), amount(gross));
        assert_eq!(found, expected, "{lines}: {SOURCE}");
        if let Some(tax_per_line) = tax_per_line {
            let by_line = amounts.totals(TaxRounding::PerLine).unwrap();
            assert_eq!(by_line.tax, amount(tax_per_line), "{lines}, tax a line: {SOURCE}");
        }
    }
}

#[test]
fn a_bill_of_materials_is_summed_as_a_document_is() {
    for (lines, _, rate, ..) in ROWS.iter().filter(|row| row.1 == "0") {
        let nets: Vec<Minor> = lines.split(' ').map(line).collect();
        let rate = TaxRate::new(*rate);
        let taxation = Taxation { category: TaxCategory::Standard, rate };
        let taxed = nets.iter().map(|net| Taxed { net: *net, taxation });
        let amounts = Amounts { lines: taxed.collect(), ..Amounts::default() };
        let document = amounts.totals(TaxRounding::PerRate).unwrap();
        let bill = Total::of(Minor::sum(nets).unwrap(), rate, Currency::EUR).unwrap();
        assert_eq!((bill.net, bill.tax, bill.gross), (document.net, document.tax, document.gross));
    }
}

proptest! {
    #[test]
    fn tax_is_the_nearest_penny_and_a_half_goes_away_from_zero(
        net in -1_000_000_000_000_i64..1_000_000_000_000,
        rate in 0_u32..=5_000,
    ) {
        let tax = i128::from(Minor::new(net).tax(TaxRate::new(rate)).unwrap().value());
        let exact = i128::from(net) * i128::from(rate);
        let miss = tax * 10_000 - exact;
        assert!(miss.abs() <= 5_000, "{net} at {rate}: {tax}");
        let is_half = miss.abs() == 5_000;
        assert!(!is_half || (miss < 0) == (exact < 0), "{net} at {rate}: {tax}");
    }

    #[test]
    fn rounding_a_line_and_rounding_a_rate_differ_by_half_a_penny_a_line_at_most(
        nets in proptest::collection::vec(-100_000_i64..100_000, 1..20),
        rate in 0_u32..=5_000,
    ) {
        let taxation = Taxation { category: TaxCategory::Standard, rate: TaxRate::new(rate) };
        let lines: Vec<Taxed> =
            nets.iter().map(|net| Taxed { net: Minor::new(*net), taxation }).collect();
        let amounts = Amounts { lines, ..Amounts::default() };
        let tax = |rounding| amounts.totals(rounding).unwrap().tax.value();
        let apart = (tax(TaxRounding::PerRate) - tax(TaxRounding::PerLine)).abs();
        assert!(2 * apart <= i64::try_from(nets.len()).unwrap() + 1, "{apart}");
    }

    #[test]
    fn printing_an_amount_and_reading_it_again_gives_the_amount(minor in any::<i64>()) {
        // The lowest number of all has no positive twin, so it is printed and not read.
        let minor = minor.max(-i64::MAX);
        for currency in CURRENCIES {
            let text = currency.format(Minor::new(minor));
            assert_eq!(currency.parse_amount(&text), Some(Minor::new(minor)), "{text}");
        }
    }

    #[test]
    fn printing_a_unit_price_and_reading_it_again_gives_the_price(price in -i64::MAX..=i64::MAX) {
        for currency in CURRENCIES {
            let text = UnitPrice::new(price).format(*currency);
            assert_eq!(UnitPrice::parse(&text), Some(UnitPrice::new(price)), "{text}");
        }
    }
}
