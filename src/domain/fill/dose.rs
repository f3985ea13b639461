//! What goes into the fluid: water, glycol, inhibitor, by the data of the products used.
//!
//! No standard gives a dose (BS 9593 tests "at the manufacturer's recommended strength"), so without product data
//! there is none. Volumes are added up plainly: mixing shrinks a glycol fill by less than a hundredth.
//! Absent here: products.

use crate::domain::fill::question::FillQuestion;
use crate::domain::fill::water::water_density;
use crate::domain::units::Kilograms;
use crate::domain::units::Litres;

/// What to measure out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doses {
    /// Water.
    pub water: Litres,
    /// Its mass.
    pub water_mass: Kilograms,
    /// Undiluted glycol; none for a water fill.
    pub glycol: Litres,
    /// Its mass, where the product's density is known.
    pub glycol_mass: Option<Kilograms>,
    /// Inhibitor; `None` when no product is stated, which is not the same as none needed.
    pub inhibitor: Option<Litres>,
}

/// What goes into this volume of fill.
pub(super) fn doses(question: &FillQuestion, volume: Litres) -> Doses {
    let glycol = volume.value() * question.fluid.volume_fraction();
    let inhibitor = question.products.inhibitor_ml_l.map(|dose| volume.value() * dose / 1_000.0);
    let water = volume.value() - glycol - inhibitor.unwrap_or_default();
    let glycol_mass =
        question.products.concentrate_kg_l.map(|density| Kilograms::new(glycol * density));
    Doses {
        water: Litres::new(water),
        water_mass: Kilograms::new(water * water_density(question.cold) / 1_000.0),
        glycol: Litres::new(glycol),
        glycol_mass,
        inhibitor: inhibitor.map(Litres::new),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fill::DoseProducts;
    use crate::domain::fill::fluid::Fluid;
    use crate::domain::fill::question::FillAmount;

    #[test]
    fn the_parts_of_a_fill_add_up_to_it() {
        let mut question = FillQuestion::new(Litres::new(5.0), FillAmount::Headspace(0.1));
        question.fluid = Fluid::PropyleneGlycol { volume_fraction: 0.3 };
        question.products = DoseProducts { concentrate_kg_l: None, inhibitor_ml_l: Some(10.0) };
        let doses = doses(&question, Litres::new(4.5));
        let inhibitor = doses.inhibitor.unwrap();
        let sum = doses.water.value() + doses.glycol.value() + inhibitor.value();
        assert!((sum - 4.5).abs() < 1e-12, "{doses:?}");
        assert_eq!(inhibitor, Litres::new(0.045));
        assert_eq!(doses.glycol_mass, None, "no density stated, no mass given");
    }
}
