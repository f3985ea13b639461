//! Laws that every answer of the resolver keeps, whatever the catalogue.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "sums of a few small prices, and rows that must be there"
)]

use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::conflict::Demand;
use rungwright::domain::money::UnitPrice;
use rungwright::domain::resolver::Bill;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Limit;
use rungwright::domain::resolver::Resolution;
use rungwright::domain::resolver::resolve;
use rungwright::domain::resolver::resolve_within;

use crate::oracle::rounded;
use crate::random_catalogue::Case;
use crate::random_catalogue::Dice;
use crate::random_catalogue::compiled;
use crate::resolver_agrees::resolution;

/// Gross price of the first bill.
fn first_gross(case: &Case, demands: &Demands<'_>) -> Option<i64> {
    match resolve(&case.catalogue, case.list(), demands) {
        Resolution::Resolved(bills) => bills.first().map(|bill| bill.total.gross.value()),
        Resolution::Impossible(_) | Resolution::Unexplained => None,
        Resolution::Undecided { limit, .. } => panic!("{limit:?}"),
    }
}

/// The same catalogue, everything in it in another order.
fn shuffled(case: &Case, dice: &mut Dice) -> Case {
    let mut content = case.edition().content().clone();
    dice.shuffle(&mut content.bodies);
    dice.shuffle(&mut content.elements);
    dice.shuffle(&mut content.controls);
    dice.shuffle(&mut content.accessories);
    dice.shuffle(&mut content.rules);
    dice.shuffle(&mut content.listed_pairs);
    dice.shuffle(&mut content.thread_matings);
    dice.shuffle(&mut content.markets);
    dice.shuffle(&mut content.price_lists);
    Case { catalogue: compiled(content), question: case.question.clone() }
}

/// The catalogue without a part that no carton holds, chosen by the dice.
fn without_a_part(case: &Case, dice: &mut Dice) -> Option<Case> {
    let mut content = case.edition().content().clone();
    let parts: Vec<PartRef> = case.edition().parts().collect();
    let gone = dice.pick(&parts);
    let sku = case.edition().card(gone)?.sku.clone();
    let is_in_a_carton =
        content.bodies.iter().any(|body| body.included.iter().any(|row| row.sku == sku));
    remove(&mut content, gone.kind, &sku);
    let question = case.question.clone();
    (!is_in_a_carton).then(|| Case { catalogue: compiled(content), question })
}

fn remove(content: &mut EditionContent, kind: PartKind, sku: &Sku) {
    match kind {
        PartKind::Body => content.bodies.retain(|body| body.card.sku != *sku),
        PartKind::Element => content.elements.retain(|element| element.card.sku != *sku),
        PartKind::Control => content.controls.retain(|control| control.card.sku != *sku),
        PartKind::Accessory => content.accessories.retain(|found| found.card.sku != *sku),
    }
    for list in &mut content.price_lists {
        list.prices.remove(sku);
    }
}

/// Lines, tax and total by schoolbook arithmetic, and every line as it should stand.
fn check_sums(case: &Case, bill: &Bill) {
    let mut net = 0;
    for line in &bill.lines {
        let part = case.edition().find(&line.sku).unwrap();
        assert_eq!(line.kind, part.kind);
        let price = if line.included_with.is_some() {
            UnitPrice::default()
        } else {
            case.list().prices[&line.sku]
        };
        assert_eq!(line.unit_net, price, "{line:?}");
        assert_eq!(line.net.value(), rounded(price.value() * i64::from(line.quantity), 100));
        net += line.net.value();
    }
    let rate = i64::from(case.demands().surroundings.market.tax_rate.basis_points());
    let tax = rounded(net * rate, 10_000);
    let total = (bill.total.net.value(), bill.total.tax.value(), bill.total.gross.value());
    assert_eq!(total, (net, tax, net + tax), "{bill:?}");
    let lead = bill.lines.iter().map(|line| line.lead_days).max();
    assert_eq!(Some(bill.lead_days), lead);
}

/// What comes in the body's carton is listed under the body, complete and free.
fn check_carton(case: &Case, bill: &Bill) {
    let body = case.edition().body(&bill.lines[0].sku).unwrap();
    let listed: Vec<_> = bill
        .lines
        .iter()
        .filter(|line| line.included_with.as_ref() == Some(&body.card.sku))
        .map(|line| (line.sku.clone(), line.quantity))
        .collect();
    let held: Vec<_> = body.included.iter().map(|row| (row.sku.clone(), row.quantity)).collect();
    assert_eq!(listed, held);
}

/// Where nobody said how far the flex runs, the bill says that its one cover is a guess.
fn check_cover(case: &Case, bill: &Bill) {
    let kind = |sku: &Sku| case.edition().accessory(sku).unwrap().kind;
    let mut bought = bill
        .lines
        .iter()
        .filter(|line| line.kind == PartKind::Accessory && line.included_with.is_none());
    let is_guess = bought.any(|line| kind(&line.sku) == AccessoryKind::FlexCover)
        && case.question.place.connection_distance.is_none();
    let says_so = bill.notices.iter().any(|notice| notice.code == "flex-route-not-known");
    assert_eq!(is_guess, says_so, "{bill:?}");
}

proptest! {
    #[test]
    fn a_question_gets_the_same_answer_twice_and_from_a_shuffled_catalogue(seed in any::<u64>()) {
        let case = Case::of(seed);
        let answer = resolution(&case, 5);
        assert_eq!(answer, resolution(&case, 5));
        assert_eq!(answer, resolution(&shuffled(&case, &mut Dice::new(seed)), 5));
    }

    #[test]
    fn dropping_a_demand_never_raises_the_price(seed in any::<u64>()) {
        let case = Case::of(seed);
        let demands = case.demands();
        let Some(full) = first_gross(&case, &demands) else { return Ok(()) };
        for dropped in demands.active() {
            let kept: Vec<Demand> =
                demands.active().into_iter().filter(|demand| *demand != dropped).collect();
            let less = first_gross(&case, &demands.keeping(&kept));
            assert!(less.is_some_and(|less| less <= full), "{dropped:?}: {less:?}, {full}");
        }
    }

    #[test]
    fn a_part_more_never_raises_the_price(seed in any::<u64>()) {
        let case = Case::of(seed);
        let Some(less) = without_a_part(&case, &mut Dice::new(!seed)) else { return Ok(()) };
        let Some(before) = first_gross(&less, &less.demands()) else { return Ok(()) };
        let after = first_gross(&case, &case.demands());
        assert!(after.is_some_and(|after| after <= before), "{after:?}, {before}");
    }

    #[test]
    fn every_total_adds_up(seed in any::<u64>()) {
        let case = Case::of(seed);
        if let Resolution::Resolved(bills) = resolution(&case, 20) {
            for bill in &bills {
                check_sums(&case, bill);
                check_carton(&case, bill);
                check_cover(&case, bill);
            }
        }
    }

    #[test]
    fn fewer_options_are_the_first_of_more(seed in any::<u64>()) {
        let case = Case::of(seed);
        if let Resolution::Resolved(many) = resolution(&case, 20) {
            for count in 1..=many.len() {
                let few = Resolution::Resolved(many[..count].to_vec());
                assert_eq!(resolution(&case, count), few);
            }
        }
    }

    #[test]
    fn a_search_cut_short_says_so(seed in any::<u64>()) {
        let case = Case::of(seed);
        let demands = case.demands();
        let whole = resolution(&case, 5);
        for nodes_max in 0..4 {
            let cut = resolve_within(&case.catalogue, case.list(), &demands, nodes_max);
            let is_undecided = matches!(cut, Resolution::Undecided { limit: Limit::Nodes, .. });
            assert!(is_undecided || cut == whole, "{nodes_max} nodes: {cut:?}");
        }
    }
}
