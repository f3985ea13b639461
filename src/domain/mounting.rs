//! Mechanical fit on the wall: head room, wall loading, height for children, surface for the vulnerable, flex route.
//!
//! Whole millimetres and grams. Absent here: whether parts fit each other, and electrical zones.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths and masses are bounded at the door, so sums stay far from the ends of the type"
)]

use crate::domain::emission::surface::VULNERABLE_SURFACE;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;

/// Least height of the lowest heated tube where very young children may be (IEC 60335-2-43 instruction text).
pub const LOWEST_HEATED_MM: i32 = 600;
/// Highest surface temperature for vulnerable people, in degrees Celsius (HSE).
pub const VULNERABLE_SURFACE_C: f64 = VULNERABLE_SURFACE.value();
/// What a flex needs beyond its route (derived).
pub const SLACK_MM: i32 = 100;
/// Most that one fixing carries in plasterboard without a stud: a third of the board's pull-out (a page of rules of thumb).
pub const BOARD_FIXING_MAX_G: i64 = 20_000;
/// Most that one cavity fixing carries in gypsum-fibre board (trade article).
pub const FIBRE_BOARD_FIXING_MAX_G: i64 = 50_000;
/// Above this an unknown wall is a question for a person (derived).
pub const UNKNOWN_WALL_MAX_G: i64 = 25_000;
/// A wet bath towel (common practice: 1 to 2 kg; the heavier is taken).
pub const WET_TOWEL_G: i64 = 2_000;
/// Fewest fixings of a rail.
pub const FIXINGS_MIN: i64 = 2;

/// What a check found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Finding {
    /// It holds.
    Holds,
    /// It holds, and somebody should know.
    Warns,
    /// Nothing can be said without a person.
    NotEstablished,
    /// It does not hold.
    Refused,
}

/// The result of one check.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Check {
    /// Kebab-case, stable.
    pub code: &'static str,
    /// What it found.
    pub finding: Finding,
    /// A sentence with the figures.
    pub text: String,
    /// Where the limit comes from.
    pub source: Source,
}

/// What the wall is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WallType {
    /// Brick, block or concrete, or fixings through to it.
    Masonry,
    /// Plasterboard with the fixings in studs, noggins or a plywood layer.
    BoardWithBacking,
    /// Plasterboard alone.
    Board,
    /// Gypsum-fibre board alone.
    FibreBoard,
    /// Nobody said.
    Unknown,
}

impl WallType {
    /// Every type.
    pub const ALL: [Self; 5] =
        [Self::Masonry, Self::BoardWithBacking, Self::Board, Self::FibreBoard, Self::Unknown];

    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Masonry => "masonry",
            Self::BoardWithBacking => "board-with-backing",
            Self::Board => "board",
            Self::FibreBoard => "fibre-board",
            Self::Unknown => "unknown",
        }
    }

    /// The type of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|wall| wall.code() == code)
    }
}

/// A rail as it hangs: what the wall carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Burden {
    /// The empty rail with its element.
    pub dry_g: i64,
    /// The fluid in it.
    pub fluid_g: i64,
    /// Wet towels on it.
    pub towels: i64,
    /// Fixings that share it.
    pub fixings: i64,
}

impl Burden {
    /// Everything the wall carries.
    pub const fn total_g(&self) -> i64 {
        self.dry_g + self.fluid_g + self.towels * WET_TOWEL_G
    }

    /// What one fixing carries, rounded up.
    ///
    /// ```
    /// use rungwright::domain::mounting::Burden;
    /// // Filled and with towels it is twice the mass that the carton says.
    /// let rail = Burden { dry_g: 10_000, fluid_g: 6_200, towels: 2, fixings: 4 };
    /// assert_eq!((rail.total_g(), rail.per_fixing_g()), (20_200, 5_050));
    /// ```
    pub fn per_fixing_g(&self) -> i64 {
        let fixings = self.fixings.max(1);
        self.total_g().div_euclid(fixings) + i64::from(self.total_g().rem_euclid(fixings) != 0)
    }
}

/// Whether the wall carries a rail.
pub fn check_wall(burden: &Burden, wall: WallType) -> Check {
    let (total_g, each_g) = (burden.total_g(), burden.per_fixing_g());
    let text = format!(
        "filled and with towels it is {} kg, {} kg on each of {} fixings",
        kilograms(total_g),
        kilograms(each_g),
        burden.fixings
    );
    let (finding, source) = match wall {
        WallType::Masonry | WallType::BoardWithBacking => (
            Finding::Holds,
            Source::new("fixing to studs, backing or masonry [S83]", Evidence::ReadSecondary),
        ),
        WallType::Board => {
            let source =
                Source::new("a third of the pull-out of plasterboard [S82]", Evidence::Practice);
            (if each_g <= BOARD_FIXING_MAX_G { Finding::Holds } else { Finding::Warns }, source)
        }
        WallType::FibreBoard => {
            let source =
                Source::new("gypsum-fibre board, cavity fixing [S83]", Evidence::ReadSecondary);
            (
                if each_g <= FIBRE_BOARD_FIXING_MAX_G { Finding::Holds } else { Finding::Warns },
                source,
            )
        }
        WallType::Unknown => {
            let source =
                Source::new("unknown walls are a question for a person", Evidence::Inferred);
            (
                if total_g <= UNKNOWN_WALL_MAX_G {
                    Finding::Warns
                } else {
                    Finding::NotEstablished
                },
                source,
            )
        }
    };
    let too_few = burden.fixings < FIXINGS_MIN;
    Check {
        code: "wall-loading",
        finding: if too_few { Finding::Refused } else { finding },
        text,
        source,
    }
}

fn kilograms(grams: i64) -> String {
    format!("{}.{:01}", grams.div_euclid(1_000), grams.rem_euclid(1_000).div_euclid(100))
}

/// Whether the head of the element clears the floor.
pub fn check_head_room(body_bottom_mm: i32, head_length_mm: i32) -> Check {
    let left_mm = body_bottom_mm - head_length_mm;
    let (finding, text) = if 0_i32 <= left_mm {
        (Finding::Holds, format!("the head ends {left_mm} mm above the floor"))
    } else {
        (
            Finding::Refused,
            format!(
                "the head of {head_length_mm} mm does not fit below a body at {body_bottom_mm} mm"
            ),
        )
    };
    Check {
        code: "head-clears-floor",
        finding,
        text,
        source: Source::new("geometry", Evidence::Computed),
    }
}

/// Whether the lowest heated tube is high enough; `None` when nobody said whether young children may be there.
///
/// ```
/// use rungwright::domain::mounting::{Finding, check_lowest_tube};
/// assert_eq!(check_lowest_tube(600, Some(true)).finding, Finding::Holds);
/// // Not knowing is no permission: a dwelling of unknown people is warned as one with children.
/// assert_eq!(check_lowest_tube(599, None).finding, Finding::Warns);
/// ```
pub fn check_lowest_tube(lowest_heated_mm: i32, young_children: Option<bool>) -> Check {
    let text = format!(
        "the lowest heated tube is {lowest_heated_mm} mm up; {LOWEST_HEATED_MM} mm are asked where very young children may be"
    );
    let is_low = lowest_heated_mm < LOWEST_HEATED_MM;
    let finding = match young_children {
        Some(true) | None if is_low => Finding::Warns,
        Some(_) | None => Finding::Holds,
    };
    let source = Source::new(
        "IEC 60335-2-43 instruction text; the figure read in a sheet [S62]",
        Evidence::ReadSecondary,
    );
    Check { code: "lowest-tube-600", finding, text, source }
}

/// Whether a surface is cool enough where vulnerable people may lean on it.
pub fn check_surface(surface_c: Option<f64>, is_guarded: bool) -> Check {
    let (finding, text) = match surface_c {
        _ if is_guarded => (Finding::Holds, "the surface is guarded".to_owned()),
        None => (Finding::NotEstablished, "the surface temperature is not known".to_owned()),
        Some(surface) if surface <= VULNERABLE_SURFACE_C => {
            (Finding::Holds, format!("the surface is at most {surface} °C"))
        }
        Some(surface) => (
            Finding::Refused,
            format!(
                "the surface reaches {surface} °C, at most {VULNERABLE_SURFACE_C} °C are allowed unguarded"
            ),
        ),
    };
    let source = Source::new("HSE, scalding and burning [S70][S71]", Evidence::ReadSecondary);
    Check { code: "surface-43", finding, text, source }
}

/// A port at the bottom of a body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PortSide {
    /// The left one, seen from the room.
    Left,
    /// The right one.
    Right,
}

/// The way of a flex along a wall, in the wall's own plane: along it from its left end, and up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FlexRoute {
    /// Where the body's left port is along the wall.
    pub left_port_mm: i32,
    /// Where the right port is along the wall.
    pub right_port_mm: i32,
    /// Height of the element's flex entry.
    pub entry_height_mm: i32,
    /// Where the connection point is, along this wall and unrolled round its corners.
    pub connection_mm: i32,
    /// Height of the connection point.
    pub connection_height_mm: i32,
}

impl FlexRoute {
    /// Length of the route from a port, along the wall and then upright, never slanting.
    pub const fn length_mm(&self, side: PortSide) -> i32 {
        let port_mm = match side {
            PortSide::Left => self.left_port_mm,
            PortSide::Right => self.right_port_mm,
        };
        let (along, up) =
            (self.connection_mm - port_mm, self.connection_height_mm - self.entry_height_mm);
        along.abs() + up.abs()
    }

    /// Length of flex that a port needs, slack included.
    pub const fn needed_mm(&self, side: PortSide) -> i32 {
        self.length_mm(side) + SLACK_MM
    }

    /// The ports from which a flex of a length reaches, the nearer first.
    ///
    /// ```
    /// use rungwright::domain::mounting::{FlexRoute, PortSide};
    /// let route = FlexRoute {
    ///     left_port_mm: 500, right_port_mm: 950, entry_height_mm: 500, connection_mm: 1_800, connection_height_mm: 400,
    /// };
    /// // 850 along, 100 down, 100 of slack: 1.05 m reaches from the right port only.
    /// assert_eq!(route.sides(1_050), [PortSide::Right]);
    /// assert!(route.sides(1_049).is_empty());
    /// ```
    pub fn sides(&self, flex_length_mm: i32) -> Vec<PortSide> {
        let mut sides = vec![PortSide::Left, PortSide::Right];
        sides.retain(|side| self.needed_mm(*side) <= flex_length_mm);
        sides.sort_by_key(|side| self.length_mm(*side));
        sides
    }
}

/// Whether and by whom the flex can be changed (IEC 60335-1 attachment types).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Attachment {
    /// Easily replaced with an ordinary tool.
    X,
    /// Replaced by the maker or a similarly qualified person only.
    Y,
    /// Not replaceable: a damaged flex means a new element.
    Z,
}

impl Attachment {
    /// The three types.
    pub const ALL: [Self; 3] = [Self::X, Self::Y, Self::Z];

    /// The letter.
    pub const fn word(self) -> &'static str {
        match self {
            Self::X => "X",
            Self::Y => "Y",
            Self::Z => "Z",
        }
    }

    /// The type of a letter.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|attachment| attachment.word() == word)
    }
}

/// What can be done about a flex that is too short.
pub fn short_flex_advice(attachment: Option<Attachment>) -> Check {
    let (finding, text) = match attachment {
        Some(Attachment::X) => (
            Finding::Warns,
            "a competent person may fit a longer flex of the same type, or move the connection point",
        ),
        Some(Attachment::Y) => (
            Finding::Refused,
            "order it with a longer flex or move the connection point; it is not for the fitter to change",
        ),
        Some(Attachment::Z) => (
            Finding::Refused,
            "the flex cannot be changed: move the connection point or choose another element",
        ),
        None => (
            Finding::NotEstablished,
            "how the flex is attached is not stated: move the connection point",
        ),
    };
    Check {
        code: "flex-too-short",
        finding,
        text: format!("{text}; never join a flex inside a zone"),
        source: Source::new(
            "IEC 60335-1 types X, Y, Z [S56]; joining from common practice",
            Evidence::ReadSecondary,
        ),
    }
}
