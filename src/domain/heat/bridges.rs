//! Thermal bridges: an allowance on the exposed area, a supplement to each transmittance, or single lengths.
//!
//! Absent here: catalogues of bridge details.

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::fault::Fault;
use crate::domain::units::BRIDGE_ADDED_U;
use crate::domain::units::BRIDGE_LENGTH_M;
use crate::domain::units::BRIDGE_PSI;
use crate::domain::units::BRIDGE_SHARE;

/// Most single bridges of a room.
pub(super) const LENGTHS_MAX: usize = 64;

/// How thermal bridges are counted.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Bridges {
    /// Not at all; the answer says so.
    #[default]
    Uncounted,
    /// `y` times the exposed area, the ground floor included (British and Irish methods).
    Share {
        /// W/m2K.
        y_w_m2k: f64,
    },
    /// A supplement to the transmittance of every surface to the open air (EN 12831).
    AddedTransmittance {
        /// W/m2K.
        delta_u_w_m2k: f64,
    },
    /// Each bridge by its length.
    Lengths(Vec<LinearBridge>),
}

/// A bridge along an edge, to the open air.
#[derive(Debug, Clone, PartialEq)]
pub struct LinearBridge {
    /// Which edge, in words.
    pub what: String,
    /// Linear transmittance, W/mK; a well insulated inner corner can be below zero.
    pub psi_w_mk: f64,
    /// Length, m.
    pub length_m: f64,
}

impl Bridges {
    /// `y` where the details are accredited, W/m2K (British and Irish methods, read second-hand).
    pub const ACCREDITED: Self = Self::Share { y_w_m2k: 0.08 };
    /// `y` where nothing is known of the details, W/m2K (the same).
    pub const UNKNOWN_DETAILS: Self = Self::Share { y_w_m2k: 0.15 };

    /// Figures that cannot be.
    pub(super) fn faults(&self) -> Vec<Fault> {
        match self {
            Self::Uncounted => Vec::new(),
            Self::Share { y_w_m2k } => {
                Fault::of_range("/bridges", &BRIDGE_SHARE, *y_w_m2k).into_iter().collect()
            }
            Self::AddedTransmittance { delta_u_w_m2k } => {
                Fault::of_range("/bridges", &BRIDGE_ADDED_U, *delta_u_w_m2k).into_iter().collect()
            }
            Self::Lengths(lengths) => lengths_faults(lengths),
        }
    }

    /// Where the allowance comes from.
    pub(super) const fn source(&self) -> Source {
        match self {
            Self::Uncounted => Source::new("thermal bridges not counted", Evidence::Fallback),
            Self::Share { .. } => Source::new(
                "H_TB = y times exposed area: 0.08 accredited details, 0.15 default (SAP, DEAP)",
                Evidence::ReadSecondary,
            ),
            Self::AddedTransmittance { .. } => Source::new(
                "supplement to the transmittance, EN 12831-1 form as coded in research software",
                Evidence::ReadSecondary,
            ),
            Self::Lengths(_) => {
                Source::new("linear transmittance times length, as given", Evidence::Computed)
            }
        }
    }
}

fn lengths_faults(lengths: &[LinearBridge]) -> Vec<Fault> {
    if LENGTHS_MAX < lengths.len() {
        let text = format!("{} single bridges, allowed are {LENGTHS_MAX}", lengths.len());
        return vec![Fault::new("/bridges", "too-many-bridges", text)];
    }
    let of_one = |(index, bridge): (usize, &LinearBridge)| {
        let pointer = format!("/bridges/{index}");
        [(&BRIDGE_PSI, bridge.psi_w_mk), (&BRIDGE_LENGTH_M, bridge.length_m)]
            .into_iter()
            .filter_map(move |(bounds, value)| Fault::of_range(&pointer, bounds, value))
    };
    lengths.iter().enumerate().flat_map(of_one).collect()
}
