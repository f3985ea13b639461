//! Who may do the work and who must be told, place by place.
//!
//! The English test measures a tray-less shower from the centre of its head; the wiring rules measure from the fixed
//! outlet: two different tests. Absent here: places whose duties nobody looked up, which are answered as not established.

use std::cmp::Ordering;

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::zones::length::Length;
use crate::domain::zones::scene::FixtureKind;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;

/// Height of the special location of the English rules.
pub const SPECIAL_HEIGHT_MM: i32 = 2_250;
/// Distance from the edge of a bath or tray that the special location reaches.
pub const SPECIAL_FROM_BASIN_MM: i64 = 600;
/// Distance from the centre of the shower head that it reaches where there is no tray.
pub const SPECIAL_FROM_HEAD_MM: i64 = 1_200;

/// A place with its own law on who may do electrical work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Region {
    /// England.
    England,
    /// Wales.
    Wales,
    /// Scotland.
    Scotland,
    /// Northern Ireland.
    NorthernIreland,
    /// Ireland.
    Ireland,
    /// Anywhere else.
    Elsewhere,
}

/// What kind of work it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Work {
    /// A new circuit from the board, or work on the board.
    NewCircuit,
    /// An addition or alteration to a circuit that is there.
    Addition,
    /// Like for like at the same connection point.
    Replacement,
}

/// Where in the room it is, for the English test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// Its height.
    pub z_mm: i32,
    /// Height of the fixed head, where there is one.
    pub head_mm: Option<i32>,
    /// Distance in plan from the edge of the nearest bath or tray.
    pub from_basin: Option<Length>,
    /// Distance in plan from the centre of the head of a tray-less shower.
    pub from_head: Option<Length>,
}

impl Site {
    /// Where a thing is in a drawn room, straight in plan whatever stands between.
    ///
    /// Nothing where the room has a shower without a tray: a drawing holds the outlet, and the English test goes by the
    /// centre of the head, which on an arm is somewhere else.
    pub fn in_scene(scene: &Scene, solid: &Solid) -> Option<Self> {
        let mut from_basin: Option<Length> = None;
        for fixture in &scene.fixtures {
            match fixture.kind {
                FixtureKind::Bath(basin) | FixtureKind::Tray(basin) => {
                    let apart = Length::straight(squared_gap(&basin.outline, &solid.plan));
                    from_basin = Some(from_basin.map_or(apart, |known| known.shorter(apart)));
                }
                FixtureKind::Trayless => return None,
                FixtureKind::Washbasin(_) => {}
            }
        }
        // Any outlet may carry a head; the highest one makes the special location no lower than it is.
        let head_mm = scene.outlets.iter().map(|outlet| outlet.z_mm).max();
        Some(Self { z_mm: solid.low_mm, head_mm, from_basin, from_head: None })
    }

    /// Whether it is in the space round a bath or shower; boundaries belong to it.
    pub fn is_special_location(&self) -> bool {
        let top_mm = self.head_mm.map_or(SPECIAL_HEIGHT_MM, |head| head.max(SPECIAL_HEIGHT_MM));
        let within = |length: Option<Length>, limit: i64| {
            length.is_some_and(|length| length.against(limit) != Ordering::Greater)
        };
        self.z_mm <= top_mm
            && (within(self.from_basin, SPECIAL_FROM_BASIN_MM)
                || within(self.from_head, SPECIAL_FROM_HEAD_MM))
    }
}

/// Square of the gap between two rectangles in plan; nought where they touch or overlap.
fn squared_gap(one: &Rect, other: &Rect) -> i64 {
    let along = |[low, high]: [i32; 2], [other_low, other_high]: [i32; 2]| {
        let gap = low.saturating_sub(other_high).max(other_low.saturating_sub(high)).max(0_i32);
        i64::from(gap)
    };
    let across = along([one.min.x_mm, one.max.x_mm], [other.min.x_mm, other.max.x_mm]);
    let down = along([one.min.y_mm, one.max.y_mm], [other.min.y_mm, other.max.y_mm]);
    across.saturating_mul(across).saturating_add(down.saturating_mul(down))
}

/// What the law asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Duty {
    /// Nobody need be told; the work must be right all the same.
    NotNotifiable,
    /// Building control or a registered person must be told.
    Notifiable,
    /// The law is not clear today: treat it as notifiable.
    TreatAsNotifiable,
    /// Only a registered contractor, with a completion certificate.
    RestrictedWithCertificate,
    /// Ask whether a building warrant is needed.
    CheckWarrant,
    /// Nobody looked it up.
    NotEstablished,
}

impl Duty {
    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::NotNotifiable => "not-notifiable",
            Self::Notifiable => "notifiable",
            Self::TreatAsNotifiable => "treat-as-notifiable",
            Self::RestrictedWithCertificate => "restricted-with-certificate",
            Self::CheckWarrant => "check-warrant",
            Self::NotEstablished => "not-established",
        }
    }
}

impl Region {
    /// Every region.
    pub const ALL: [Self; 6] = [
        Self::England,
        Self::Wales,
        Self::Scotland,
        Self::NorthernIreland,
        Self::Ireland,
        Self::Elsewhere,
    ];

    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::England => "england",
            Self::Wales => "wales",
            Self::Scotland => "scotland",
            Self::NorthernIreland => "northern-ireland",
            Self::Ireland => "ireland",
            Self::Elsewhere => "elsewhere",
        }
    }

    /// The region of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|region| region.code() == code)
    }
}

/// What the law asks of a piece of work; without a site, the stricter answer.
pub fn duty(region: Region, work: Work, site: Option<&Site>) -> (Duty, Source) {
    match region {
        Region::England => {
            let text = "Building Regulations 2010, regulation 12(6A), since 2013 [S73]";
            (in_england(work, site), Source::new(text, Evidence::ReadSecondary))
        }
        Region::Wales => {
            let text = "the relief of 2013 did not apply [S79]; today's list from memory";
            (Duty::TreatAsNotifiable, Source::new(text, Evidence::Memory))
        }
        Region::Scotland => {
            let text = "building warrant by type of building [S74][S75]";
            (Duty::CheckWarrant, Source::new(text, Evidence::ReadSecondary))
        }
        Region::NorthernIreland => {
            let text =
                "no such duty in its building regulations is remembered; BS 7671 as good practice";
            (Duty::NotEstablished, Source::new(text, Evidence::Memory))
        }
        Region::Ireland => in_ireland(work),
        Region::Elsewhere => {
            (Duty::NotEstablished, Source::new("nobody looked it up", Evidence::Fallback))
        }
    }
}

fn in_england(work: Work, site: Option<&Site>) -> Duty {
    let is_special = site.is_none_or(Site::is_special_location);
    match work {
        Work::NewCircuit => Duty::Notifiable,
        Work::Addition if is_special => Duty::Notifiable,
        Work::Addition | Work::Replacement => Duty::NotNotifiable,
    }
}

fn in_ireland(work: Work) -> (Duty, Source) {
    let text = "controlled and restricted works [S76][S77][S90]; that bathrooms are special locations from memory";
    let duty = match work {
        Work::NewCircuit | Work::Addition => Duty::RestrictedWithCertificate,
        Work::Replacement => Duty::NotNotifiable,
    };
    (duty, Source::new(text, Evidence::Memory))
}
