//! Transmittance built up from layers after ISO 6946: surface resistances plus thickness over conductivity.
//!
//! Absent here: corrections for air gaps, fixings and inverted roofs (ISO 6946 annexes), and tapered layers.

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::fault::Fault;
use crate::domain::room::boundary::BoundaryKind;
use crate::domain::room::boundary::Transmittance;
use crate::domain::units::LAYER_CONDUCTIVITY;
use crate::domain::units::LAYER_RESISTANCE;
use crate::domain::units::LAYER_THICKNESS_MM;

/// Most layers of one surface.
pub const LAYERS_MAX: usize = 20;

/// Surface resistance inside, heat passing sideways, m2K/W (ISO 6946, read second-hand).
pub const INSIDE_SIDEWAYS: f64 = 0.13;
/// Surface resistance inside, heat passing up, m2K/W (ISO 6946, read second-hand).
pub const INSIDE_UPWARD: f64 = 0.10;
/// Surface resistance inside, heat passing down, m2K/W (ISO 6946, read second-hand).
pub const INSIDE_DOWNWARD: f64 = 0.17;
/// Surface resistance to the open air, m2K/W (ISO 6946, read second-hand).
pub const OUTSIDE: f64 = 0.04;

/// One layer of a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Layer {
    /// A homogeneous material.
    Solid {
        /// Thickness, mm.
        thickness_mm: f64,
        /// Conductivity, W/mK.
        conductivity_w_mk: f64,
    },
    /// A layer known by its resistance: an air gap, a bridged layer.
    Resistance {
        /// m2K/W.
        resistance_m2k_w: f64,
    },
}

/// Resistances of the air films on both sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Films {
    /// On the room's side, m2K/W.
    pub inner: f64,
    /// On the far side, m2K/W.
    pub outer: f64,
}

impl Films {
    /// The films of a kind of surface. An internal surface has room air on both sides; the ground has no film.
    pub const fn of(kind: BoundaryKind) -> Self {
        match kind {
            BoundaryKind::ExternalWall | BoundaryKind::Window | BoundaryKind::Door => {
                Self { inner: INSIDE_SIDEWAYS, outer: OUTSIDE }
            }
            BoundaryKind::Roof => Self { inner: INSIDE_UPWARD, outer: OUTSIDE },
            BoundaryKind::GroundFloor => Self { inner: INSIDE_DOWNWARD, outer: 0.0 },
            BoundaryKind::InternalWall | BoundaryKind::PartyWall | BoundaryKind::Unheated => {
                Self { inner: INSIDE_SIDEWAYS, outer: INSIDE_SIDEWAYS }
            }
            BoundaryKind::InternalFloor => Self { inner: INSIDE_DOWNWARD, outer: INSIDE_DOWNWARD },
            BoundaryKind::InternalCeiling => Self { inner: INSIDE_UPWARD, outer: INSIDE_UPWARD },
        }
    }
}

impl Layer {
    /// m2K/W.
    pub fn resistance(&self) -> f64 {
        match self {
            Self::Solid { thickness_mm, conductivity_w_mk } => {
                thickness_mm / 1_000.0 / conductivity_w_mk
            }
            Self::Resistance { resistance_m2k_w } => *resistance_m2k_w,
        }
    }

    /// A layer of parts side by side (studs and filling), each with its share of the area and its resistance.
    ///
    /// Proportional area, the upper bound of ISO 6946. `None` unless the shares add up to one.
    ///
    /// ```
    /// use rungwright::domain::room::layers::Layer;
    /// let studs = Layer::side_by_side(&[(0.9, 0.59), (0.1, 0.88)]).unwrap();
    /// assert!((studs.resistance() - 0.61).abs() < 0.005);
    /// assert_eq!(Layer::side_by_side(&[(0.9, 0.59)]), None);
    /// ```
    pub fn side_by_side(parts: &[(f64, f64)]) -> Option<Self> {
        let shares: f64 = parts.iter().map(|(share, _)| share).sum();
        let conductance: f64 = parts.iter().map(|(share, resistance)| share / resistance).sum();
        let whole = (shares - 1.0_f64).abs() < 1e-9_f64;
        whole.then(|| Self::Resistance { resistance_m2k_w: conductance.recip() })
    }

    fn faults(&self, pointer: &str) -> Vec<Fault> {
        let rows = match *self {
            Self::Solid { thickness_mm, conductivity_w_mk } => {
                vec![(&LAYER_THICKNESS_MM, thickness_mm), (&LAYER_CONDUCTIVITY, conductivity_w_mk)]
            }
            Self::Resistance { resistance_m2k_w } => vec![(&LAYER_RESISTANCE, resistance_m2k_w)],
        };
        rows.into_iter()
            .filter_map(|(bounds, value)| Fault::of_range(pointer, bounds, value))
            .collect()
    }
}

/// The transmittance of layers between two air films; every wrong layer is named.
///
/// ```
/// use rungwright::domain::room::boundary::BoundaryKind;
/// use rungwright::domain::room::layers::{Films, Layer, transmittance_of_layers};
/// let solid = |thickness_mm, conductivity_w_mk| Layer::Solid { thickness_mm, conductivity_w_mk };
/// let brick_and_plaster = [solid(13.0, 0.57), solid(215.0, 0.77)];
/// let wall = transmittance_of_layers(Films::of(BoundaryKind::ExternalWall), &brick_and_plaster).unwrap();
/// // The Scottish table's solid brick wall is 2.1.
/// assert!((wall.w_m2k - 2.12).abs() < 0.005);
/// ```
pub fn transmittance_of_layers(
    films: Films,
    layers: &[Layer],
) -> Result<Transmittance, Vec<Fault>> {
    if layers.is_empty() || LAYERS_MAX < layers.len() {
        let text = format!("{} layers, allowed are 1 to {LAYERS_MAX}", layers.len());
        return Err(vec![Fault::new("/layers", "layer-count", text)]);
    }
    let faults: Vec<Fault> = layers
        .iter()
        .enumerate()
        .flat_map(|(index, layer)| layer.faults(&format!("/layers/{index}")))
        .collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    let resistance: f64 =
        films.inner + films.outer + layers.iter().map(Layer::resistance).sum::<f64>();
    let source = Source::new("ISO 6946 from the layers given", Evidence::Computed);
    Ok(Transmittance { w_m2k: resistance.recip(), source })
}
