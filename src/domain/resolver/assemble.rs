//! Bills of one to three rails from finished rails of one finish, in any order of merit.
//!
//! A rail may come in several ways, dear with few pieces or cheap with many; bills of the same rails are one, however those
//! come. A rail is left out when as many others as bills are wanted beat it: none costs more, delivers less or is wider,
//! and each comes before it in the order. Put in its place, each makes a better bill, so it can stand in none of the best.
//! Of what is left every combination is gone through that can still be among the best, in order of cost. Bounds are
//! compared strictly, so what is equal is all seen. Absent here: where the rails come from.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "sums of three bounded prices, outputs and widths; places within lists that were just made"
)]

use crate::domain::money::Minor;
use crate::domain::units::Deciwatts;

use super::allowance::Nodes;
use super::ranked::Choice;
use super::ranked::ChosenRail;
use super::ranked::Cut;
use super::ranked::Found;
use super::sought::RAILS_MAX;

/// A finished rail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Piece {
    pub rail: ChosenRail,
    /// What the order goes by before the price: less is better.
    pub cost: i64,
    pub net: i64,
    pub delivered: i64,
    pub width: i32,
}

impl Piece {
    const fn rank(&self) -> (i64, i64) {
        (self.cost, self.net)
    }
}

/// Rails of one finish by wall space; one list where all share a wall.
pub(super) type Finish = Vec<Vec<Piece>>;

/// A bill by rank: cost, net price, fewer rails, smaller surplus, part numbers of its rails in order.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Bundled {
    pub cost: i64,
    pub net: i64,
    pub count: usize,
    pub delivered: i64,
    pub rails: Vec<ChosenRail>,
}

/// What a bill must keep to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Terms {
    pub rails_max: usize,
    pub wanted: usize,
    pub required: i64,
    pub net_max: i64,
    /// Width and gap of the wall that all rails share; nothing where each has its own or none is stated.
    pub wall: Option<[i32; 2]>,
}

/// The best bills so far. The same rails on other walls are the same bill.
#[derive(Debug)]
pub(super) struct Kept {
    wanted: usize,
    bills: Vec<Bundled>,
}

impl Kept {
    /// None yet, so many wanted.
    pub(super) const fn new(wanted: usize) -> Self {
        Self { wanted, bills: Vec::new() }
    }

    /// The bills, best first, with what cut the search short.
    pub(super) fn found(self, cut: Option<Cut>) -> Found {
        let choice = |bill: Bundled| Choice {
            net: Minor::new(bill.net),
            delivered: Deciwatts::new(bill.delivered),
            rails: bill.rails,
        };
        Found { choices: self.bills.into_iter().map(choice).collect(), cut }
    }

    /// Cost and price beyond which nothing is looked for.
    pub(super) fn bound(&self) -> [i64; 2] {
        let last = self.bills.last().filter(|_| self.bills.len() == self.wanted);
        last.map_or([i64::MAX; 2], |last| [last.cost, last.net])
    }

    /// Keeps a bill if it is among the best.
    pub(super) fn offer(&mut self, bill: Bundled) {
        let same = self.bills.iter().position(|kept| is_same(kept, &bill));
        if let Some(place) = same {
            if self.bills[place] <= bill {
                return;
            }
            self.bills.remove(place);
        }
        let place = self.bills.partition_point(|kept| *kept < bill);
        if place < self.wanted {
            self.bills.insert(place, bill);
            self.bills.truncate(self.wanted);
        }
    }
}

fn is_same(one: &Bundled, other: &Bundled) -> bool {
    let parts = |rail: &ChosenRail| (rail.body, rail.element);
    one.count == other.count && one.rails.iter().map(parts).eq(other.rails.iter().map(parts))
}

/// Leaves out the rails of a wall that can stand in none of so many best bills, and sorts the others by cost and price.
pub(super) fn prune(pieces: &mut Vec<Piece>, terms: &Terms) {
    pieces.sort_unstable_by_key(|piece| (piece.cost, piece.net, piece.rail));
    let mut kept: Vec<Piece> = Vec::new();
    for piece in pieces.drain(..) {
        let beats = |other: &&Piece| {
            other.rank() < piece.rank()
                && other.net <= piece.net
                && piece.delivered <= other.delivered
                && (terms.wall.is_none() || other.width <= piece.width)
        };
        if different(kept.iter().filter(beats), terms.wanted) < terms.wanted {
            kept.push(piece);
        }
    }
    *pieces = kept;
}

/// How many different rails there are among pieces, counted no further than to a number.
fn different<'a, I: Iterator<Item = &'a Piece>>(pieces: I, most: usize) -> usize {
    let mut rails: Vec<ChosenRail> = Vec::new();
    for piece in pieces {
        if rails.len() == most {
            break;
        }
        if !rails.contains(&piece.rail) {
            rails.push(piece.rail);
        }
    }
    rails.len()
}

/// Goes through the bills of one finish: rails by wall, in order, as [`prune`] leaves them.
pub(super) fn assemble(
    walls: &[Vec<Piece>],
    terms: &Terms,
    kept: &mut Kept,
    nodes: &mut Nodes<'_>,
) {
    let all = || walls.iter().flatten();
    let Some(net_least) = all().map(|piece| piece.net).min() else { return };
    let mut search = Search {
        walls,
        terms,
        kept,
        nodes,
        cost_least: all().map(|piece| piece.cost).min().unwrap_or_default(),
        net_least,
        most: all().map(|piece| piece.delivered).max().unwrap_or_default(),
        narrowest: all().map(|piece| piece.width).min().unwrap_or_default(),
        tops: walls.iter().map(|pieces| tops(pieces)).collect(),
    };
    for count in 1..=terms.rails_max {
        let gaps = i32::try_from(count - 1).unwrap_or(i32::MAX);
        let width = terms.wall.map(|[width, gap]| width.saturating_sub(gap.saturating_mul(gaps)));
        let need = terms.required;
        search.extend(&Open { left: count, need, width, ..Open::default() });
    }
}

/// The most that any rail up to each place delivers.
fn tops(pieces: &[Piece]) -> Vec<i64> {
    let mut top = i64::MIN;
    let rising = pieces.iter().map(|piece| {
        top = top.max(piece.delivered);
        top
    });
    rising.collect()
}

/// A bill that lacks some rails.
#[derive(Debug, Clone, Copy, Default)]
struct Open {
    chosen: [Option<Piece>; RAILS_MAX],
    /// Rails still to be chosen.
    left: usize,
    /// The first wall, and the first place on it, from which they may come.
    from: [usize; 2],
    cost: i64,
    net: i64,
    /// What the others must deliver.
    need: i64,
    /// What the others may take of the wall, gaps taken off.
    width: Option<i32>,
}

struct Search<'a, 'n> {
    walls: &'a [Vec<Piece>],
    terms: &'a Terms,
    kept: &'a mut Kept,
    nodes: &'a mut Nodes<'n>,
    cost_least: i64,
    net_least: i64,
    most: i64,
    narrowest: i32,
    tops: Vec<Vec<i64>>,
}

impl Search<'_, '_> {
    fn extend(&mut self, open: &Open) {
        let is_own = 1 < self.walls.len();
        let [first, place] = open.from;
        let last = if is_own { self.walls.len() } else { first + 1 };
        for wall in first..last {
            let from = if wall == first { place } else { 0 };
            self.extend_on(open, [wall, from]);
        }
    }

    fn extend_on(&mut self, open: &Open, [wall, from]: [usize; 2]) {
        let walls = self.walls;
        let others = i64::try_from(open.left).unwrap_or(i64::MAX) - 1;
        let from = if others == 0 {
            from.max(self.tops[wall].partition_point(|top| *top < open.need))
        } else {
            from
        };
        for (place, piece) in walls[wall].iter().enumerate().skip(from) {
            let least = [
                open.cost + piece.cost + self.cost_least * others,
                open.net + piece.net + self.net_least * others,
            ];
            if self.kept.bound() < least || self.nodes.is_spent() {
                return;
            }
            self.nodes.spend(1);
            if self.terms.net_max < least[1] || self.misses(open, piece) {
                continue;
            }
            let next = if 1 < walls.len() { [wall + 1, 0] } else { [wall, place] };
            let grown = open.with(piece, next);
            if others == 0 {
                self.kept.offer(grown.bundled(self.terms.required));
            } else {
                self.extend(&grown);
            }
        }
    }

    /// Whether a bill with this rail cannot deliver enough, or finds no room.
    fn misses(&self, open: &Open, piece: &Piece) -> bool {
        let others = open.left - 1;
        let heat = self.most.saturating_mul(i64::try_from(others).unwrap_or(i64::MAX));
        let width = self.narrowest.saturating_mul(i32::try_from(others).unwrap_or(i32::MAX));
        open.need - piece.delivered > heat
            || open.width.is_some_and(|left| left < piece.width.saturating_add(width))
    }
}

impl Open {
    fn with(&self, piece: &Piece, from: [usize; 2]) -> Self {
        let mut grown = *self;
        let free = grown.chosen.iter_mut().find(|chosen| chosen.is_none());
        if let Some(free) = free {
            *free = Some(*piece);
        }
        grown.left -= 1;
        grown.from = from;
        grown.cost += piece.cost;
        grown.net += piece.net;
        grown.need -= piece.delivered;
        grown.width = self.width.map(|width| width.saturating_sub(piece.width));
        grown
    }

    fn bundled(&self, required: i64) -> Bundled {
        let mut rails: Vec<ChosenRail> =
            self.chosen.iter().flatten().map(|piece| piece.rail).collect();
        rails.sort_unstable();
        Bundled {
            cost: self.cost,
            net: self.net,
            count: rails.len(),
            delivered: required - self.need,
            rails,
        }
    }
}
