//! The elements that fit a class of bodies, cheapest first.
//!
//! An element is left out of a menu when as many others as an answer holds options on it beat it in every answer: each fits the same bodies, is
//! no worse in all that a question can see, and comes before it by price or part number. Whatever the question, a bill
//! with the element then has that many better ones, so the best bills stay exact. Only elements of the same watts,
//! regulation and classes are compared: a rule row on another attribute splits classes and never misleads the pruning.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "places made here, fewer than u32 holds"
)]

use std::collections::BTreeMap;
use std::ops::Range;

use fixedbitset::FixedBitSet;

use super::lanes::Lanes;
use super::lanes::Ranks;
use super::lanes::ordered;
use super::rows::ElementRow;

/// How many better ones it takes to leave an element out of the menus for answers of up to so many options.
pub(crate) const BANDS: [usize; 3] = [1, 5, 20];

/// The most steps of wattage for which first elements and orders of bodies are laid out.
pub(crate) const STEPS_MAX: usize = 32;

/// The cuts of every lane of an element.
#[derive(Debug, Clone)]
pub(crate) struct ElementRanks {
    pub rating: Ranks,
    pub set_points: Ranks,
    /// The highest rank of a set point at which an element works at all.
    pub working: u8,
    pub flex: Ranks,
    pub head: Ranks,
}

/// All menus.
#[derive(Debug, Clone, Default)]
pub(crate) struct Menus {
    starts: Vec<u32>,
    slots: Vec<u32>,
    lanes: Vec<Lanes>,
    steps: usize,
    first: Vec<u32>,
    /// The highest rating on each menu, tenths of a watt.
    strongest: Vec<i64>,
}

impl ElementRanks {
    /// The cuts for these elements. All but the head are ranked negated: more is better.
    pub(crate) fn of(elements: &[ElementRow]) -> Self {
        let rank = |value: fn(&ElementRow) -> i64| Ranks::of(elements.iter().map(value).collect());
        let points = elements.iter().flat_map(|row| row.set_points);
        let set_points = Ranks::of(points.map(|point| ordered(-point)).collect());
        Self {
            rating: rank(|row| -row.rating),
            working: set_points.rank(ordered(-f64::MIN)),
            set_points,
            flex: rank(|row| -i64::from(row.flex)),
            head: rank(|row| i64::from(row.head)),
        }
    }

    /// The lanes of an element.
    pub(crate) fn lanes(&self, row: &ElementRow) -> Lanes {
        let [ordinary, lockable, cool] =
            row.set_points.map(|point| self.set_points.rank(ordered(-point)));
        Lanes::pack([
            self.rating.rank(-row.rating),
            ordinary,
            lockable,
            cool,
            self.flex.rank(-i64::from(row.flex)),
            self.head.rank(i64::from(row.head)),
            u8::from(!row.is_fixed),
            u8::from(row.is_fixed),
        ])
    }
}

impl Menus {
    /// Writes the menus of classes; elements are in order of price and part number.
    pub(crate) fn compile(
        (band, classes): (usize, &[FixedBitSet]),
        elements: &[ElementRow],
        lanes: &[Lanes],
        steps: &[i64],
    ) -> Self {
        let mut slot_of: BTreeMap<usize, u32> = BTreeMap::new();
        for (slot, row) in elements.iter().enumerate() {
            slot_of.insert(row.index, slot as u32);
        }
        let mut menus = Self { starts: vec![0], steps: steps.len(), ..Self::default() };
        for class in classes {
            let mut slots: Vec<u32> =
                class.ones().filter_map(|index| slot_of.get(&index).copied()).collect();
            slots.sort_unstable();
            let kept = prune(band, &slots, elements);
            menus.first.extend(steps.iter().map(|step| {
                let strong = |slot: &u32| *step <= elements[*slot as usize].rating;
                kept.iter().position(strong).map_or(u32::MAX, |place| place as u32)
            }));
            let ratings = kept.iter().map(|slot| elements[*slot as usize].rating);
            menus.strongest.push(ratings.max().unwrap_or_default());
            menus.lanes.extend(kept.iter().map(|slot| lanes[*slot as usize]));
            menus.slots.extend(kept);
            menus.starts.push(menus.slots.len() as u32);
        }
        menus
    }

    /// The entries of a menu from the first that has the watts of a step.
    pub(crate) fn entries(&self, menu: usize, step: usize) -> Range<usize> {
        let (start, end) = (self.starts[menu] as usize, self.starts[menu + 1] as usize);
        let first = self.first[menu * self.steps + step];
        let from = if first == u32::MAX { end } else { start + first as usize };
        from..end
    }

    /// All entries of a menu.
    pub(crate) fn all(&self, menu: usize) -> Range<usize> {
        self.starts[menu] as usize..self.end(menu)
    }

    /// Where the entries of a menu end.
    pub(crate) fn end(&self, menu: usize) -> usize {
        self.starts[menu + 1] as usize
    }

    /// The highest rating on a menu.
    pub(crate) fn strongest(&self, menu: usize) -> i64 {
        self.strongest[menu]
    }

    /// The lanes of an entry.
    pub(crate) fn lanes(&self, entry: usize) -> Lanes {
        self.lanes[entry]
    }

    /// The element of an entry.
    pub(crate) fn slot(&self, entry: usize) -> usize {
        self.slots[entry] as usize
    }

    /// How many entries there are in all.
    pub(crate) const fn len(&self) -> usize {
        self.slots.len()
    }

    /// Memory they take.
    pub(crate) fn heap_bytes(&self) -> usize {
        size_of_val(self.starts.as_slice())
            + size_of_val(self.slots.as_slice())
            + size_of_val(self.lanes.as_slice())
            + size_of_val(self.first.as_slice())
    }

    /// How many menus there are.
    pub(crate) const fn count(&self) -> usize {
        self.starts.len() - 1
    }
}

/// Elements that may be compared with each other.
type Bucket = (u64, bool, usize, usize);

fn prune(band: usize, slots: &[u32], elements: &[ElementRow]) -> Vec<u32> {
    let mut buckets: BTreeMap<Bucket, Vec<u32>> = BTreeMap::new();
    let mut kept = Vec::new();
    for slot in slots {
        let row = &elements[*slot as usize];
        let bucket =
            (row.watts.value().to_bits(), row.is_fixed, row.accessory_class, row.control_class);
        let others = buckets.entry(bucket).or_default();
        let better = others.iter().filter(|other| is_better(&elements[**other as usize], row));
        if better.take(band).count() < band {
            others.push(*slot);
            kept.push(*slot);
        }
    }
    kept
}

/// Whether an earlier element of the same bucket beats a later one in every answer.
fn is_better(earlier: &ElementRow, later: &ElementRow) -> bool {
    // At one price a warmer pair has the larger surplus and would come later: only the same heat decides by number.
    earlier.is_no_worse(later) && (earlier.net < later.net || earlier.is_same_heat(later))
}
