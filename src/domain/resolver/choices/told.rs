//! Counts as values: which of them lead to a bill, sorted, no more than an answer shows.

use std::collections::BTreeMap;

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Value;
use crate::domain::catalogue::typed_names;
use crate::domain::money::Minor;
use crate::domain::resolver::allowance::Limit;
use crate::domain::resolver::choices::AttributeChoices;
use crate::domain::resolver::choices::Choices;
use crate::domain::resolver::choices::ChosenValue;
use crate::domain::resolver::choices::NextValue;
use crate::domain::resolver::choices::VALUES_MAX;
use crate::domain::resolver::choices::Wish;
use crate::domain::resolver::choices::WishChoices;
use crate::domain::resolver::choices::WishValue;
use crate::domain::resolver::demands::RegulationWish;
use crate::domain::resolver::finding::gross;
use crate::domain::resolver::query::Query;

use super::count::Counted;
use super::count::Tally;
use super::otherwise::Otherwise;
use super::standing::Broken;
use super::standing::Sorting;
use super::standing::Standing;

/// What was asked and what was counted.
#[derive(Debug, Clone, Copy)]
pub(super) struct Telling<'a> {
    pub query: Query<'a>,
    pub chosen: &'a [ChosenValue],
    pub otherwise: &'a [Otherwise],
    pub standing: &'a Standing,
    pub counted: &'a Counted,
}

/// Parts with a bill, what each breaks and its bills.
type Counts = Vec<(PartRef, Broken, Tally)>;

impl Telling<'_> {
    /// The answer.
    pub(super) fn told(&self, limit: Option<Limit>) -> Choices {
        let [all, ..] = self.counted.ways;
        let bodies = counts(PartKind::Body, &self.standing.bodies, &self.counted.bodies);
        let elements = counts(PartKind::Element, &self.standing.elements, &self.counted.elements);
        let mut wishes = vec![self.finishes(&bodies), self.regulations(&elements)];
        let others = self.otherwise.iter().zip(self.counted.ways.iter().skip(1));
        wishes.extend(others.map(|(other, tally)| self.turned(other, *tally)));
        let of_bodies = self.attributes(PartKind::Body, &bodies);
        let of_elements = self.attributes(PartKind::Element, &elements);
        Choices {
            bills: all.bills,
            cheapest: gross(&self.query, Minor::new(all.least)).filter(|_| 0 < all.bills),
            wishes,
            attributes: of_bodies.into_iter().chain(of_elements).collect(),
            limit,
        }
    }

    /// A value, unless it leads to nothing.
    fn value<V>(&self, value: V, is_chosen: bool, tally: Tally) -> Option<NextValue<V>> {
        let Tally { bills, least } = tally;
        let cheapest = gross(&self.query, Minor::new(least)).filter(|_| 0 < bills)?;
        Some(NextValue { value, is_chosen, bills, cheapest })
    }

    fn finishes(&self, bodies: &Counts) -> WishChoices {
        let parts = self.query.catalogue.edition().bodies();
        let wished = self.query.demands.preferences.finish.as_deref();
        let mut any = Tally::NONE;
        let mut known: BTreeMap<&str, Tally> = BTreeMap::new();
        for (part, _, tally) in without(bodies, Sorting::Finish) {
            any.join(*tally);
            if let Some(body) = parts.get(part.index) {
                known.entry(&*body.finish).or_insert(Tally::NONE).join(*tally);
            }
        }
        let any = self.value(WishValue::AnyFinish, wished.is_none(), any);
        let each = known.into_iter().filter_map(|(finish, tally)| {
            self.value(WishValue::Finish(finish.into()), wished == Some(finish), tally)
        });
        WishChoices { wish: Wish::Finish, values: any.into_iter().chain(each).collect() }
    }

    fn regulations(&self, elements: &Counts) -> WishChoices {
        let parts = self.query.catalogue.edition().elements();
        let wished = self.query.demands.preferences.regulation;
        let all = [RegulationWish::Either, RegulationWish::Fixed, RegulationWish::Adjustable];
        let has = |part: &PartRef, regulation: RegulationWish| {
            let own = parts.get(part.index).map(|element| element.regulation.word());
            regulation == RegulationWish::Either || own == Some(regulation.word())
        };
        let values = all.into_iter().filter_map(|regulation| {
            let mut sum = Tally::NONE;
            let counting = without(elements, Sorting::Regulation);
            for (_, _, tally) in counting.filter(|(part, ..)| has(part, regulation)) {
                sum.join(*tally);
            }
            self.value(WishValue::Regulation(regulation), regulation == wished, sum)
        });
        WishChoices { wish: Wish::Regulation, values: values.collect() }
    }

    fn turned(&self, other: &Otherwise, tally: Tally) -> WishChoices {
        let [all, ..] = self.counted.ways;
        let standing = self.value(other.standing.clone(), true, all);
        let turned = self.value(other.value.clone(), false, tally).filter(|_| other.is_askable);
        let is_first = matches!(other.standing, WishValue::Flag(false) | WishValue::Pieces(0));
        let both = if is_first { [standing, turned] } else { [turned, standing] };
        WishChoices { wish: other.wish, values: both.into_iter().flatten().collect() }
    }

    fn attributes(&self, kind: PartKind, parts: &Counts) -> Vec<AttributeChoices> {
        let declared = &self.query.catalogue.edition().content().attributes;
        let own = declared.iter().map(|row| &row.attribute).filter(|name| name.kind == kind);
        let names = typed_names(kind).iter().copied().chain(own.map(AttributeName::name));
        names
            .filter_map(|name| {
                let attribute = AttributeName { kind, name: name.into() };
                let place = self.chosen.iter().position(|chosen| chosen.attribute == attribute);
                let found = self.attribute(attribute, place, parts);
                (place.is_some() || !found.values.is_empty()).then_some(found)
            })
            .collect()
    }

    fn attribute(
        &self,
        attribute: AttributeName,
        place: Option<usize>,
        parts: &Counts,
    ) -> AttributeChoices {
        let edition = self.query.catalogue.edition();
        let mut known: BTreeMap<Value, Tally> = BTreeMap::new();
        let mut bills_not_stated: usize = 0;
        // What no chosen value sorts is counted among parts that break nothing.
        for (part, broken, tally) in parts {
            let counts = place.map_or(*broken == Broken::Nothing, |place| {
                broken.counts_without(Sorting::Chosen(place))
            });
            if !counts {
                continue;
            }
            match edition.attribute(*part, attribute.name()) {
                Some(value) => known.entry(value).or_insert(Tally::NONE).join(*tally),
                None => bills_not_stated = bills_not_stated.saturating_add(tally.bills),
            }
        }
        let chosen = place.and_then(|place| self.chosen.get(place)).map(|chosen| &chosen.value);
        let values = known.into_iter().filter_map(|(value, tally)| {
            let is_chosen = chosen == Some(&value);
            self.value(value, is_chosen, tally)
        });
        let (values, has_more) = shown(values.collect());
        AttributeChoices { attribute, values, has_more, bills_not_stated }
    }
}

/// The values that an answer shows, in order of value, and whether there are more.
fn shown(mut values: Vec<NextValue<Value>>) -> (Vec<NextValue<Value>>, bool) {
    if values.len() <= VALUES_MAX {
        return (values, false);
    }
    // Sorting keeps the order of value among equal prices.
    values.sort_by_key(|value| (!value.is_chosen, value.cheapest));
    values.truncate(VALUES_MAX);
    values.sort_by(|one, other| one.value.cmp(&other.value));
    (values, true)
}

fn counts(kind: PartKind, standing: &[Broken], tallies: &[Tally]) -> Counts {
    let both = standing.iter().zip(tallies).enumerate();
    let with_bills = both.filter(|(_, (_, tally))| 0 < tally.bills);
    with_bills.map(|(index, (broken, tally))| (PartRef { kind, index }, *broken, *tally)).collect()
}

/// The parts that count where a choice is taken back.
fn without(parts: &Counts, sorting: Sorting) -> impl Iterator<Item = &(PartRef, Broken, Tally)> {
    parts.iter().filter(move |(_, broken, _)| broken.counts_without(sorting))
}
