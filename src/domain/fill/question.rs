//! The question about a fill: body, element, fluid, temperatures, the maker's data; and what in it cannot be.
//!
//! Absent here: the answer.

use crate::domain::fault::Fault;
use crate::domain::fill::fluid::Fluid;
use crate::domain::units::BODY_VOLUME_L;
use crate::domain::units::Bounds;
use crate::domain::units::CONCENTRATE_KG_L;
use crate::domain::units::Celsius;
use crate::domain::units::ELEMENT_DISPLACEMENT_L;
use crate::domain::units::FILL_C;
use crate::domain::units::FILL_L;
use crate::domain::units::HEADSPACE_FRACTION;
use crate::domain::units::HOT_C;
use crate::domain::units::INHIBITOR_ML_L;
use crate::domain::units::Litres;
use crate::domain::units::PERMITTED_GAUGE_KPA;

/// Data of the products used, as their makers state them.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DoseProducts {
    /// Density of the undiluted glycol, kg/l.
    pub concentrate_kg_l: Option<f64>,
    /// Inhibitor in millilitres per litre of fill.
    pub inhibitor_ml_l: Option<f64>,
}

/// How much is filled in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FillAmount {
    /// Share of the free volume left to air.
    Headspace(f64),
    /// Fluid filled in, at the fill temperature.
    Volume(Litres),
}

/// When the maker wants the vent closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum VentClosing {
    /// After filling, before the first heating.
    Cold,
    /// Hot, at the end of the first heating.
    Hot,
    /// The body has no vent, or it is never opened.
    Never,
}

impl DoseProducts {
    /// Figures that cannot be.
    pub(super) fn faults(&self) -> Vec<Fault> {
        let concentrate = self.concentrate_kg_l.map(|density| (&CONCENTRATE_KG_L, density));
        let inhibitor = self.inhibitor_ml_l.map(|dose| (&INHIBITOR_ML_L, dose));
        concentrate
            .into_iter()
            .chain(inhibitor)
            .filter_map(|(bounds, value)| Fault::of_range("", bounds, value))
            .collect()
    }
}

impl VentClosing {
    /// Every way.
    pub const ALL: [Self; 3] = [Self::Cold, Self::Hot, Self::Never];

    /// Stable code, the name of the pressure case that it selects.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Cold => "sealed_cold",
            Self::Hot => "sealed_hot",
            Self::Never => "never_vented",
        }
    }

    /// The way of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.code() == code)
    }
}

/// What is known of a fill.
#[derive(Debug, Clone, PartialEq)]
pub struct FillQuestion {
    /// Fluid volume of the empty body.
    pub body_volume: Litres,
    /// Volume that the element takes up inside.
    pub element_displacement: Litres,
    /// How much is filled in.
    pub amount: FillAmount,
    /// What is filled in.
    pub fluid: Fluid,
    /// Temperature of fluid and air at filling.
    pub cold: Celsius,
    /// Hottest temperature of the fluid.
    pub hot: Celsius,
    /// The maker's permitted gauge pressure of the weakest part, kPa, where stated.
    pub permitted_gauge_kpa: Option<f64>,
    /// When the maker wants the vent closed, where stated.
    pub vent_closing: Option<VentClosing>,
    /// Glycol and inhibitor by their makers' data, where stated.
    pub products: DoseProducts,
}

impl FillQuestion {
    /// A body filled with water at 20 °C for a hottest fluid of 80 °C, with nothing stated by a maker.
    pub const fn new(body_volume: Litres, amount: FillAmount) -> Self {
        Self {
            body_volume,
            element_displacement: Litres::new(0.0),
            amount,
            fluid: Fluid::Water,
            cold: Celsius::new(20.0),
            hot: Celsius::new(80.0),
            permitted_gauge_kpa: None,
            vent_closing: None,
            products: DoseProducts { concentrate_kg_l: None, inhibitor_ml_l: None },
        }
    }

    /// Volume for fluid and air together.
    pub const fn free_volume(&self) -> Litres {
        Litres::new(self.body_volume.value() - self.element_displacement.value())
    }

    /// Share of the free volume left to air when cold.
    pub const fn headspace_fraction(&self) -> f64 {
        match self.amount {
            FillAmount::Headspace(fraction) => fraction,
            FillAmount::Volume(volume) => 1.0 - volume.value() / self.free_volume().value(),
        }
    }

    /// Fluid to fill in, never below nothing.
    pub const fn volume(&self) -> Litres {
        Litres::new(f64::max(self.free_volume().value() * (1.0 - self.headspace_fraction()), 0.0))
    }

    /// Everything that cannot be, in the order of the fields.
    pub fn faults(&self) -> Vec<Fault> {
        let amount = match self.amount {
            FillAmount::Headspace(fraction) => (&HEADSPACE_FRACTION, fraction),
            FillAmount::Volume(volume) => (&FILL_L, volume.value()),
        };
        let rows: [(&'static Bounds, f64); 5] = [
            (&BODY_VOLUME_L, self.body_volume.value()),
            (&ELEMENT_DISPLACEMENT_L, self.element_displacement.value()),
            amount,
            (&FILL_C, self.cold.value()),
            (&HOT_C, self.hot.value()),
        ];
        let permitted = self.permitted_gauge_kpa.map(|permitted| (&PERMITTED_GAUGE_KPA, permitted));
        let mut faults: Vec<Fault> = rows
            .into_iter()
            .chain(permitted)
            .filter_map(|(bounds, value)| Fault::of_range("", bounds, value))
            .collect();
        faults.extend(self.fluid.fault());
        faults.extend(self.temperature_fault());
        faults.extend(self.range_faults());
        faults.extend(self.volume_fault());
        faults.extend(self.products.faults());
        faults
    }

    fn temperature_fault(&self) -> Option<Fault> {
        (self.hot <= self.cold).then(|| {
            let text = format!(
                "hottest fluid is {}, filled at {}: it must get warmer",
                self.hot, self.cold
            );
            Fault::new("/hot_c", "hot-not-above-cold", text)
        })
    }

    /// Water beyond boiling is answered as such; a glycol table that ends is a fault, for nothing is known beyond.
    fn range_faults(&self) -> Vec<Fault> {
        let [coldest, hottest] = self.fluid.range();
        let beyond = |pointer: &str, value: Celsius| {
            let outside = value < coldest || hottest < value;
            outside.then(|| {
                let text = format!(
                    "{value} lies outside the glycol table, which holds {coldest} to {hottest}"
                );
                Fault::new(pointer, "glycol-outside-table", text)
            })
        };
        match self.fluid {
            Fluid::Water => Vec::new(),
            Fluid::PropyleneGlycol { .. } | Fluid::EthyleneGlycol { .. } => {
                beyond("/fill_c", self.cold).into_iter().chain(beyond("/hot_c", self.hot)).collect()
            }
        }
    }

    fn volume_fault(&self) -> Option<Fault> {
        if self.body_volume <= self.element_displacement {
            let text = format!(
                "the element takes up {}, the body holds {}",
                self.element_displacement, self.body_volume
            );
            return Some(Fault::new("/element_displacement_l", "element-larger-than-body", text));
        }
        let FillAmount::Volume(volume) = self.amount else { return None };
        (self.free_volume() < volume).then(|| {
            let text = format!("{volume} do not fit into the {} that are free", self.free_volume());
            Fault::new("/fill_l", "fill-above-volume", text)
        })
    }
}
