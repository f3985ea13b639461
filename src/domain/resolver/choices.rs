//! Next choices: of a partial choice, the values of each wish and attribute that still lead to a valid bill.
//!
//! One pass over the pairs of body and element answers for all of them. What is counted is pairs: a bill of one rail is a
//! pair with the cheapest controls and accessories that complete it, and a pair counts once. A value is counted with all
//! other choices in force and its own taken back, so whoever takes a value that is shown has a bill, and whoever chose
//! one sees what the others would cost. Absent here: bills of several rails, the bills themselves, and the clock.

mod otherwise;
mod standing;
mod pricing;
mod laid_out;
mod one_by_one;
mod count;
mod told;

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::Value;
use crate::domain::money::Minor;
use crate::domain::snapshot::Index;

use super::Source;
use super::allowance::Allowance;
use super::allowance::Limit;
use super::allowance::Nodes;
use super::demands::Demands;
use super::demands::Preferences;
use super::demands::RegulationWish;
use super::query::Query;
use super::sought::Order;
use super::sought::Variety;

use count::Counted;
use count::count;
use laid_out::LaidOut;
use laid_out::Supplies;
use one_by_one::OneByOne;
use otherwise::Otherwise;
use otherwise::otherwise;
use standing::Standing;
use told::Telling;

/// The most attributes that a partial choice may name.
pub const CHOSEN_MAX: usize = 20;

/// The most values of one attribute that an answer shows.
pub const VALUES_MAX: usize = 200;

/// A value of an attribute of the body or the element that is chosen already. A part that does not state the attribute
/// does not have the value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChosenValue {
    /// Whose attribute, and which.
    pub attribute: AttributeName,
    /// The value.
    pub value: Value,
}

/// A wish that can be chosen otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// Finish of the body.
    Finish,
    /// Regulation of the element.
    Regulation,
    /// A thermostat on the wall.
    WallControl,
    /// Control by the clock.
    TimeControl,
    /// A covered flex.
    FlexCover,
    /// Accessories of a kind.
    Accessory(AccessoryKind),
}

/// A value of a wish.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WishValue {
    /// Whatever finish is cheapest.
    AnyFinish,
    /// One finish.
    Finish(Box<str>),
    /// A regulation, or either.
    Regulation(RegulationWish),
    /// Wished for or not.
    Flag(bool),
    /// So many pieces.
    Pieces(u32),
}

/// A value that leads to at least one bill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NextValue<V> {
    /// The value.
    pub value: V,
    /// Whether it is the one in force.
    pub is_chosen: bool,
    /// Pairs of body and element that make a bill with it.
    pub bills: usize,
    /// Gross price of the cheapest of these bills.
    pub cheapest: Minor,
}

/// The values of a wish.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WishChoices {
    /// The wish.
    pub wish: Wish,
    /// The ways back first.
    pub values: Vec<NextValue<WishValue>>,
}

/// The values of an attribute.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AttributeChoices {
    /// The attribute.
    pub attribute: AttributeName,
    /// In order of value; the chosen one and the cheapest, [`VALUES_MAX`] together, where there are more.
    pub values: Vec<NextValue<Value>>,
    /// Whether there are more values than are shown.
    pub has_more: bool,
    /// Bills whose part does not state the attribute. No value leads to them.
    pub bills_not_stated: usize,
}

/// What can still be chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choices {
    /// Pairs that make a bill with everything that is chosen.
    pub bills: usize,
    /// Gross price of the cheapest of these bills.
    pub cheapest: Option<Minor>,
    /// Every wish.
    pub wishes: Vec<WishChoices>,
    /// Every attribute of body and element with a value that leads to a bill, and those that are chosen.
    pub attributes: Vec<AttributeChoices>,
    /// The limit that was reached, if one was. Then every value shown leads to a bill still, but counts are the least
    /// there is, prices the most, and values may be missing.
    pub limit: Option<Limit>,
}

/// What can still be chosen beside demands and some values of attributes of body and element.
///
/// Bills of one rail count, on the wall space of the place or on any of the listed walls; how many rails the demands
/// allow, and their order, do not matter. Uses the compiled catalogue when it serves.
pub fn choices(
    source: &Source<'_>,
    demands: &Demands<'_>,
    chosen: &[ChosenValue],
    allowance: &Allowance<'_>,
) -> Choices {
    let mut demands = demands.clone();
    demands.sought.order = Order::Price;
    demands.sought.variety = Variety::Rails;
    let otherwise = otherwise(&demands.preferences);
    let spots: Vec<Spot<'_>> = spots(&demands, &otherwise);
    let query = source.query(&demands, allowance);
    let standing = Standing::of(source.catalogue.edition(), &demands, chosen);
    let mut nodes = Nodes::new(allowance);
    let counted = counted(&query, &spots, &standing, &mut nodes);
    let limit = nodes.limit();
    Telling { query, chosen, otherwise: &otherwise, standing: &standing, counted: &counted }
        .told(limit)
}

/// What is asked of a rail on one wall space: without finish and regulation, which parts are sorted by.
struct Spot<'a> {
    /// Without any wish: whether a pair works there at all.
    bare: Demands<'a>,
    /// With the wishes as they stand, then with one of them otherwise.
    ways: Vec<Demands<'a>>,
}

fn spots<'a>(demands: &Demands<'a>, otherwise: &[Otherwise]) -> Vec<Spot<'a>> {
    let at = |spot: Demands<'a>| {
        let with = |wished: &Preferences| {
            let preferences = Preferences {
                finish: None,
                regulation: RegulationWish::Either,
                budget: None,
                ..wished.clone()
            };
            Demands { preferences, required: demands.required, ..spot.clone() }
        };
        let standing = std::iter::once(&demands.preferences);
        let ways = standing.chain(otherwise.iter().map(|other| &other.preferences));
        Spot { bare: with(&Preferences::default()), ways: ways.map(with).collect() }
    };
    demands.spots().into_iter().map(at).collect()
}

fn counted(
    query: &Query<'_>,
    spots: &[Spot<'_>],
    standing: &Standing,
    nodes: &mut Nodes<'_>,
) -> Counted {
    let Some(index) = index_of(query, spots) else {
        let spots = spots.iter();
        let mut pricing: Vec<OneByOne<'_>> =
            spots.map(|Spot { bare, ways }| OneByOne::new(query, bare, ways)).collect();
        return count(query, standing, &mut pricing, nodes);
    };
    let supplies = Supplies::of(index);
    let laid_out = spots.iter().filter_map(|Spot { bare, ways }| {
        LaidOut::new(&Query { demands: bare, ..*query }, ways, (index, &supplies))
    });
    count(query, standing, &mut laid_out.collect::<Vec<_>>(), nodes)
}

/// The compiled catalogue, if it serves every wall space.
fn index_of<'a>(query: &Query<'a>, spots: &[Spot<'_>]) -> Option<&'a Index> {
    let served = |spot: &Spot<'_>| {
        query.compiled.is_some_and(|held| held.serves(query.list, &spot.bare.surroundings))
    };
    query.served().filter(|_index| spots.iter().all(served))
}
