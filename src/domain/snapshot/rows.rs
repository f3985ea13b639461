//! Bodies and elements as rows of what a question can see, without the parts that cannot be sold.
//!
//! Three protections decide at which set point an element works: nobody special, a lock, at most 43 °C. Its set points
//! for the three are laid out here once; infinite is an element that nothing switches off, minus infinity one that
//! does not protect.
#![expect(clippy::float_cmp, reason = "equal bits are meant: figures of the same data")]

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Carton;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Regulation;
use crate::domain::catalogue::Side;
use crate::domain::catalogue::Stated;
use crate::domain::compatibility::Surroundings;
use crate::domain::compatibility::Users;
use crate::domain::compatibility::Working;
use crate::domain::compatibility::check_zone;
use crate::domain::compatibility::working_bare;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::Emitter;
use crate::domain::units::Celsius;
use crate::domain::units::Watts;
use crate::domain::zones::Zone;

/// Which users decide about set points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Protection {
    /// An ordinary household.
    Ordinary,
    /// A lock or a cool surface.
    Lockable,
    /// A cool surface.
    Cool,
}

impl Protection {
    pub(crate) const ALL: [Self; 3] = [Self::Ordinary, Self::Lockable, Self::Cool];

    /// The protection that users need.
    pub(crate) const fn of(users: Users) -> Self {
        if users.vulnerable {
            Self::Cool
        } else if users.need_protection() {
            Self::Lockable
        } else {
            Self::Ordinary
        }
    }

    /// Its place among the three.
    pub(crate) const fn place(self) -> usize {
        match self {
            Self::Ordinary => 0,
            Self::Lockable => 1,
            Self::Cool => 2,
        }
    }

    const fn users(self) -> Users {
        Users {
            children: matches!(self, Self::Lockable),
            vulnerable: matches!(self, Self::Cool),
            public_building: false,
        }
    }
}

/// A body.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BodyRow {
    /// Its place in the edition.
    pub index: usize,
    /// Net price.
    pub net: i64,
    pub width: i32,
    pub height: i32,
    /// From the top down to the lowest heated tube.
    pub hang: i32,
    pub side: Side,
    pub is_guarded: bool,
    pub emitter: Emitter,
    /// Number of its finish.
    pub finish: usize,
    /// Which menu of elements fits it.
    pub menu: usize,
    pub accessory_class: usize,
    pub control_class: usize,
    pub needs: BodyNeeds,
}

/// What a body needs and brings by itself.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BodyNeeds {
    pub open_ports: u32,
    pub brackets: u32,
    pub is_filled: bool,
    /// What is in the carton, by kind of accessory.
    pub cartons: [Carton; AccessoryKind::ALL.len()],
}

/// An element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ElementRow {
    /// Its place in the edition.
    pub index: usize,
    /// Net price.
    pub net: i64,
    pub watts: Watts,
    /// The rating in tenths of a watt: the most it ever delivers.
    pub rating: i64,
    /// Set points by protection.
    pub set_points: [f64; 3],
    pub is_fixed: bool,
    pub flex: i32,
    pub head: i32,
    /// Zones that the wiring rules allow it, one bit each, without and with water jets.
    pub zones: u16,
    pub has_cut_out: bool,
    pub fluid_limit: f64,
    pub displacement_ml: u16,
    pub accessory_class: usize,
    pub control_class: usize,
}

impl BodyRow {
    /// A body of the edition, its classes still to be found.
    pub(crate) fn new(edition: &Edition, index: usize, body: &Body, net: i64) -> Self {
        let (height, tube) = (body.size.height.value(), body.size.lowest_tube.value());
        Self {
            index,
            net,
            width: body.size.width.value(),
            height,
            hang: height.saturating_sub(tube),
            side: body.ports.element_side,
            is_guarded: body.is_guarded,
            emitter: Emitter {
                rated: body.heat.rated_output,
                exponent: body.heat.exponent,
                towels_factor: 1.0,
            },
            finish: 0,
            menu: 0,
            accessory_class: 0,
            control_class: 0,
            needs: BodyNeeds::new(edition, body),
        }
    }
}

impl BodyNeeds {
    fn new(edition: &Edition, body: &Body) -> Self {
        Self {
            open_ports: u32::from(body.ports.open_count),
            brackets: body.bracket_count,
            is_filled: body.content.is_filled,
            cartons: Carton::all_of(edition, body),
        }
    }
}

impl ElementRow {
    /// An element of the edition, its classes still to be found.
    pub(crate) fn new(index: usize, element: &Element, net: i64, zones: u16) -> Self {
        Self {
            index,
            net,
            watts: element.watts,
            rating: element.watts.delivered().value(),
            set_points: Protection::ALL.map(|protection| set_point(element, protection)),
            is_fixed: matches!(element.regulation, Regulation::Fixed { .. }),
            flex: element.flex.length.value(),
            head: element.shape.head_length.value(),
            zones,
            has_cut_out: element.safety.thermal_cut_out == Stated::Yes,
            fluid_limit: element.safety.fluid_limit.value(),
            displacement_ml: element.shape.displacement_ml,
            accessory_class: 0,
            control_class: 0,
        }
    }

    /// What drives a body at a set point of this row.
    pub(crate) fn drive(&self, set_point: f64) -> ElementDrive {
        let set_point = set_point.is_finite().then(|| Celsius::new(set_point));
        ElementDrive { watts: self.watts, set_point }
    }

    /// Whether the element serves every body that both fit at least as well as another, in everything that a question
    /// can see but the price; [`ElementRow::is_same_heat`] tells the ties apart.
    ///
    /// Every attribute that a question reads has its direction here. A new one that is missing here would make
    /// pruning wrong, so it is one more line here or one more equality in the key of the menus.
    pub(crate) fn is_no_worse(&self, other: &Self) -> bool {
        let mut set_points = self.set_points.iter().zip(&other.set_points);
        self.flex >= other.flex
            && self.head <= other.head
            && other.zones & !self.zones == 0
            && self.displacement_ml >= other.displacement_ml
            && (self.has_cut_out || !other.has_cut_out && self.fluid_limit >= other.fluid_limit)
            && set_points.all(|(mine, theirs)| theirs == mine || theirs + STEP < *mine)
    }

    /// Whether both heat every body alike.
    pub(crate) fn is_same_heat(&self, other: &Self) -> bool {
        self.rating == other.rating
            && self.watts == other.watts
            && self.set_points == other.set_points
    }
}

/// Set points nearer than this are neither better nor worse: rounding could turn them round. Kelvins.
const STEP: f64 = 1e-3;

fn set_point(element: &Element, protection: Protection) -> f64 {
    match working_bare(element, protection.users()) {
        Working::AsMade(None) => f64::INFINITY,
        Working::AsMade(Some(set_point)) | Working::Held(set_point) => set_point.value(),
        Working::NotProtected => f64::NEG_INFINITY,
    }
}

/// Bit of a zone, without or with water jets.
pub(crate) fn zone_bit(zone: Zone, water_jets: bool) -> u16 {
    let place = Zone::ALL.iter().position(|known| *known == zone).unwrap_or_default();
    let place = u32::try_from(place).unwrap_or_default();
    let jets = if water_jets { ZONES } else { 0 };
    1_u16.checked_shl(place.saturating_add(jets)).unwrap_or_default()
}

/// How many zones there are: two rows of bits fit sixteen.
const ZONES: u32 = 8;
const _: () = assert!(Zone::ALL.len() == 8, "the zones' bits must be widened");

/// The zones that the wiring rules allow an element, one bit each.
pub(crate) fn zones(element: &Element, surroundings: &Surroundings<'_>) -> u16 {
    let mut asked = surroundings.clone();
    let mut bits = 0;
    for zone in Zone::ALL {
        for water_jets in [false, true] {
            asked.place.zone = Some(zone);
            asked.place.water_jets = water_jets;
            if !check_zone(element, &asked).refuses() {
                bits |= zone_bit(zone, water_jets);
            }
        }
    }
    bits
}

/// The number of every finish that a body has.
pub(crate) fn finishes(edition: &Edition) -> Vec<Box<str>> {
    edition.body_finishes().into_iter().map(Into::into).collect()
}
