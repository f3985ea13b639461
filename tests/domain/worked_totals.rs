//! Rows 1 to 14 of the worked commercial sums, computed outside this program with exact decimals, by the calculation
//! rules of EN 16931 (invoicing-EN16931 release 1.3.16, read): BR-CO-10 to BR-CO-17 and BR-S-08.

#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "small figures, checked by the test itself"
)]

use rungwright::domain::money::Currency;
use rungwright::domain::money::Minor;
use rungwright::domain::money::TaxRate;
use rungwright::domain::money::UnitPrice;
use rungwright::domain::pricing::discount::Discount;
use rungwright::domain::pricing::discount::DiscountCeiling;
use rungwright::domain::pricing::discount::Reduction;
use rungwright::domain::pricing::document::Amounts;
use rungwright::domain::pricing::document::DocumentTotals;
use rungwright::domain::pricing::document::TaxCategory;
use rungwright::domain::pricing::document::TaxRounding;
use rungwright::domain::pricing::document::Taxation;
use rungwright::domain::pricing::document::Taxed;
use rungwright::domain::pricing::document::share_out;

fn taxation(percent: u32) -> Taxation {
    Taxation { category: TaxCategory::Standard, rate: TaxRate::new(percent * 100) }
}

/// Lines as `unit × quantity`, at a rate in percent.
fn amounts(lines: &[(&str, u32)], percent: u32) -> Amounts {
    let net = |(unit, quantity): &(&str, u32)| {
        UnitPrice::parse(unit).unwrap().times(*quantity, Currency::EUR).unwrap()
    };
    let taxed = |line| Taxed { net: net(line), taxation: taxation(percent) };
    Amounts { lines: lines.iter().map(taxed).collect(), ..Amounts::default() }
}

/// The rules of EN 16931 that every document keeps.
fn keeps_the_rules(amounts: &Amounts, totals: &DocumentTotals) {
    let sum = |all: &[Taxed]| all.iter().map(|amount| amount.net.value()).sum::<i64>();
    let value = |minor: Minor| minor.value();
    assert_eq!(value(totals.lines), sum(&amounts.lines), "BR-CO-10");
    assert_eq!(value(totals.allowances), sum(&amounts.allowances), "BR-CO-11");
    assert_eq!(value(totals.charges), sum(&amounts.charges), "BR-CO-12");
    let net = value(totals.lines) - value(totals.allowances) + value(totals.charges);
    assert_eq!(value(totals.net), net, "BR-CO-13");
    let taxes = totals.groups.iter().map(|group| value(group.tax)).sum::<i64>();
    assert_eq!(value(totals.tax), taxes, "BR-CO-14");
    assert_eq!(value(totals.gross), net + taxes, "BR-CO-15");
    let bases = totals.groups.iter().map(|group| value(group.base)).sum::<i64>();
    assert_eq!(bases, net, "BR-S-08");
}

/// `net`, tax once a rate, tax once a line, all in euro.
fn check(lines: &[(&str, u32)], percent: u32, wanted: [&str; 3]) {
    let amounts = amounts(lines, percent);
    let per_rate = amounts.totals(TaxRounding::PerRate).unwrap();
    let per_line = amounts.totals(TaxRounding::PerLine).unwrap();
    keeps_the_rules(&amounts, &per_rate);
    keeps_the_rules(&amounts, &per_line);
    let told = [per_rate.net, per_rate.tax, per_line.tax].map(|sum| Currency::EUR.format(sum));
    assert_eq!(told, wanted, "{lines:?}");
    let group = per_rate.groups[0];
    assert_eq!(group.tax, group.base.tax(group.taxation.rate).unwrap(), "BR-CO-17");
}

#[test]
fn the_worked_rows_of_lines_come_out() {
    check(&[("0.99", 1), ("0.99", 1), ("0.99", 1)], 20, ["2.97", "0.59", "0.60"]);
    check(&[("149.95", 1), ("39.95", 1), ("12.50", 3)], 23, ["227.40", "52.30", "52.31"]);
    check(&[("189.50", 2), ("24.95", 1), ("3.35", 4)], 19, ["417.35", "79.30", "79.30"]);
    check(&[("214.17", 1), ("35.83", 1)], 20, ["250.00", "50.00", "50.00"]);
    check(&[("1.50", 1)], 23, ["1.50", "0.35", "0.35"]);
    check(&[("1.50", 1)], 19, ["1.50", "0.29", "0.29"]);
    check(&[("0.125", 100)], 20, ["12.50", "2.50", "2.50"]);
    check(&[("2.125", 1)], 20, ["2.13", "0.43", "0.43"]);
    check(&[("-1.50", 1)], 23, ["-1.50", "-0.35", "-0.35"]);
}

#[test]
fn a_discount_on_the_document_lowers_the_base_before_tax() {
    // Row 8: 333.33 less ten percent.
    let mut amounts = amounts(&[("333.33", 1)], 23);
    let discount = Discount { reduction: Reduction::Percent(1_000), reason: "row 8".into() };
    let off = discount.of(Minor::new(33_333), DiscountCeiling::USUAL).unwrap();
    amounts.allowances.push(Taxed { net: off, taxation: taxation(23) });
    let totals = amounts.totals(TaxRounding::PerRate).unwrap();
    keeps_the_rules(&amounts, &totals);
    let told = [off, totals.net, totals.tax, totals.gross].map(|sum| Currency::EUR.format(sum));
    assert_eq!(told, ["33.33", "300.00", "69.00", "369.00"]);
}

#[test]
fn a_price_with_tax_in_it_gives_its_net_first() {
    // Rows 11 and 12: the gross may move by a cent, and then it is shown.
    for (gross, percent, net, tax, moved) in [
        ("299.00", 20, "249.17", "49.83", 0),
        ("299.00", 23, "243.09", "55.91", 0),
        ("299.00", 19, "251.26", "47.74", 0),
        ("99.99", 20, "83.33", "16.67", 1),
    ] {
        let stated = UnitPrice::parse(gross).unwrap();
        let unit = stated.net_of_tax(TaxRate::new(percent * 100), Currency::EUR).unwrap();
        let line = unit.times(1, Currency::EUR).unwrap();
        let taxed = line.tax(TaxRate::new(percent * 100)).unwrap();
        assert_eq!([line, taxed].map(|sum| Currency::EUR.format(sum)), [net, tax], "{gross}");
        let new_gross = line.plus(taxed).unwrap();
        let old_gross = Currency::EUR.parse_amount(gross).unwrap();
        assert_eq!(new_gross.value() - old_gross.value(), moved, "{gross} at {percent} %");
    }
}

#[test]
fn an_amount_is_shared_out_without_a_cent_lost() {
    let share = |amount, weights: &[i64]| {
        let weights: Vec<Minor> = weights.iter().copied().map(Minor::new).collect();
        let parts = share_out(Minor::new(amount), &weights).unwrap();
        parts.into_iter().map(Minor::value).collect::<Vec<_>>()
    };
    assert_eq!(share(1_000, &[1, 1, 1]), [334, 333, 333]);
    assert_eq!(share(3_333, &[29_900, 8_450, 1_299]), [2_514, 710, 109]);
}
