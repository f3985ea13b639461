//! The fluids of a sealed body: water by closed form, glycol mixtures by table, with the range that each holds for.
//!
//! Glycol goes by **volume** fraction of the mixture; tables by mass fraction look alike and are wrong here by several
//! kg/m3. Between rows the table is interpolated, beyond its edges it is never read.
//! Absent here: brands of glycol, and how their inhibitor packages behave.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::fault::Fault;
use crate::domain::fill::water::WATER_RANGE;
use crate::domain::fill::water::water_density;
use crate::domain::units::Celsius;

/// What a body is filled with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fluid {
    /// Water.
    Water,
    /// Water with propylene glycol.
    PropyleneGlycol {
        /// Glycol's share of the mixture's volume.
        volume_fraction: f64,
    },
    /// Water with ethylene glycol.
    EthyleneGlycol {
        /// Glycol's share of the mixture's volume.
        volume_fraction: f64,
    },
}

/// Temperatures of the columns of the glycol tables, °C.
const COLUMNS: [f64; 9] = [10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0];

/// Properties of a mixture at one volume fraction.
#[derive(Debug)]
struct GlycolRow {
    volume_fraction: f64,
    freezes_c: f64,
    /// J/kgK at 50 °C.
    specific_heat: f64,
    /// kg/m3 at the temperatures of [`COLUMNS`].
    densities: [f64; 9],
}

const fn glycol(
    volume_fraction: f64,
    freezes_c: f64,
    specific_heat: f64,
    densities: [f64; 9],
) -> GlycolRow {
    GlycolRow { volume_fraction, freezes_c, specific_heat, densities }
}

const PROPYLENE: [GlycolRow; 7] = [
    glycol(
        0.20,
        -7.4,
        4_038.0,
        [1_022.7, 1_019.0, 1_014.8, 1_010.2, 1_005.0, 999.3, 993.1, 986.4, 979.3],
    ),
    glycol(
        0.25,
        -10.0,
        3_987.0,
        [1_027.8, 1_023.9, 1_019.4, 1_014.5, 1_009.0, 1_003.0, 996.6, 989.6, 982.1],
    ),
    glycol(
        0.30,
        -13.1,
        3_930.0,
        [1_032.5, 1_028.3, 1_023.6, 1_018.4, 1_012.7, 1_006.4, 999.7, 992.4, 984.7],
    ),
    glycol(
        0.35,
        -16.9,
        3_868.0,
        [1_036.9, 1_032.5, 1_027.5, 1_022.0, 1_016.0, 1_009.5, 1_002.5, 995.0, 986.9],
    ),
    glycol(
        0.40,
        -21.5,
        3_801.0,
        [1_040.9, 1_036.2, 1_031.0, 1_025.3, 1_019.1, 1_012.3, 1_005.0, 997.2, 988.9],
    ),
    glycol(
        0.45,
        -27.0,
        3_727.0,
        [1_044.6, 1_039.7, 1_034.3, 1_028.3, 1_021.8, 1_014.8, 1_007.3, 999.3, 990.7],
    ),
    glycol(
        0.50,
        -33.7,
        3_648.0,
        [1_048.0, 1_042.9, 1_037.2, 1_031.0, 1_024.3, 1_017.0, 1_009.3, 1_001.0, 992.3],
    ),
];

const ETHYLENE: [GlycolRow; 7] = [
    glycol(
        0.20,
        -9.0,
        3_884.0,
        [1_032.9, 1_029.7, 1_026.0, 1_021.8, 1_017.2, 1_012.0, 1_006.4, 1_000.2, 993.6],
    ),
    glycol(
        0.25,
        -12.1,
        3_808.0,
        [1_041.0, 1_037.6, 1_033.8, 1_029.5, 1_024.6, 1_019.3, 1_013.5, 1_007.3, 1_000.5],
    ),
    glycol(
        0.30,
        -15.7,
        3_730.0,
        [1_048.8, 1_045.2, 1_041.3, 1_036.8, 1_031.8, 1_026.4, 1_020.4, 1_014.0, 1_007.1],
    ),
    glycol(
        0.35,
        -19.9,
        3_651.0,
        [1_056.2, 1_052.6, 1_048.4, 1_043.8, 1_038.7, 1_033.1, 1_027.0, 1_020.4, 1_013.4],
    ),
    glycol(
        0.40,
        -24.8,
        3_569.0,
        [1_063.5, 1_059.7, 1_055.4, 1_050.6, 1_045.4, 1_039.6, 1_033.4, 1_026.6, 1_019.4],
    ),
    glycol(
        0.45,
        -30.5,
        3_484.0,
        [1_070.6, 1_066.6, 1_062.2, 1_057.2, 1_051.8, 1_045.9, 1_039.5, 1_032.6, 1_025.3],
    ),
    glycol(
        0.50,
        -37.1,
        3_396.0,
        [1_077.5, 1_073.3, 1_068.7, 1_063.7, 1_058.1, 1_052.0, 1_045.5, 1_038.5, 1_031.0],
    ),
];

const WATER_SOURCE: Source = Source::new(
    "IAPWS SR6-08 closed form at 100 kPa, checked against IAPWS-IF97",
    Evidence::Computed,
);
const GLYCOL_SOURCE: Source = Source::new(
    "glycol table by volume fraction, computed with CoolProp 8.0.0 (ASHRAE curves)",
    Evidence::Computed,
);

impl Fluid {
    /// Stable code.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Water => "water",
            Self::PropyleneGlycol { .. } => "propylene_glycol",
            Self::EthyleneGlycol { .. } => "ethylene_glycol",
        }
    }

    /// The share of glycol in the volume, 0 for water.
    pub const fn volume_fraction(&self) -> f64 {
        match self {
            Self::Water => 0.0,
            Self::PropyleneGlycol { volume_fraction }
            | Self::EthyleneGlycol { volume_fraction } => *volume_fraction,
        }
    }

    /// Where the density comes from.
    pub const fn source(&self) -> Source {
        match self {
            Self::Water => WATER_SOURCE,
            Self::PropyleneGlycol { .. } | Self::EthyleneGlycol { .. } => GLYCOL_SOURCE,
        }
    }

    /// The coldest and hottest temperature that the density holds for.
    pub const fn range(&self) -> [Celsius; 2] {
        match self {
            Self::Water => WATER_RANGE,
            Self::PropyleneGlycol { .. } | Self::EthyleneGlycol { .. } => {
                [Celsius::new(10.0), Celsius::new(90.0)]
            }
        }
    }

    /// Density in kg/m3; `None` outside the table, which is never extrapolated.
    ///
    /// ```
    /// use rungwright::domain::fill::fluid::Fluid;
    /// use rungwright::domain::units::Celsius;
    /// let third = Fluid::PropyleneGlycol { volume_fraction: 0.3 };
    /// assert_eq!(third.density(Celsius::new(20.0)), Some(1028.3));
    /// assert_eq!(third.density(Celsius::new(95.0)), None);
    /// assert_eq!(Fluid::PropyleneGlycol { volume_fraction: 0.6 }.density(Celsius::new(20.0)), None);
    /// ```
    pub fn density(&self, temperature: Celsius) -> Option<f64> {
        let [coldest, hottest] = self.range();
        if temperature < coldest || hottest < temperature {
            return None;
        }
        self.table().map_or_else(
            || Some(water_density(temperature)),
            |table| self.between(table, |row| row.density(temperature.value())),
        )
    }

    /// Temperature at which the first ice forms, °C.
    pub fn freezes(&self) -> Option<Celsius> {
        let freezes =
            self.table().map_or(Some(0.0), |table| self.between(table, |row| Some(row.freezes_c)));
        freezes.map(Celsius::new)
    }

    /// Specific heat at 50 °C, J/kgK.
    pub fn specific_heat(&self) -> Option<f64> {
        let table = self.table();
        table.map_or(Some(4_181.0), |table| self.between(table, |row| Some(row.specific_heat)))
    }

    /// A volume fraction that the table does not hold.
    pub(super) fn fault(&self) -> Option<Fault> {
        let table = self.table()?;
        let (first, last) = (table.first()?.volume_fraction, table.last()?.volume_fraction);
        let fraction = self.volume_fraction();
        if first <= fraction && fraction <= last {
            return None;
        }
        let text = format!(
            "volume fraction of glycol is {fraction}, the table holds {first} to {last} and is not extrapolated"
        );
        Some(Fault::new("/fluid/volume_fraction", "glycol-outside-table", text))
    }

    const fn table(&self) -> Option<&'static [GlycolRow]> {
        match self {
            Self::Water => None,
            Self::PropyleneGlycol { .. } => Some(&PROPYLENE),
            Self::EthyleneGlycol { .. } => Some(&ETHYLENE),
        }
    }

    fn between<F>(&self, table: &[GlycolRow], property: F) -> Option<f64>
    where
        F: Fn(&GlycolRow) -> Option<f64>,
    {
        let fraction = self.volume_fraction();
        table.windows(2).find_map(|pair| {
            let [low, high] = pair else { return None };
            let ends =
                [(low.volume_fraction, property(low)?), (high.volume_fraction, property(high)?)];
            interpolate(ends, fraction)
        })
    }
}

impl GlycolRow {
    fn density(&self, celsius: f64) -> Option<f64> {
        let columns = COLUMNS.windows(2).zip(self.densities.windows(2));
        columns.into_iter().find_map(|(temperatures, densities)| {
            let ([cold, hot], [dense, light]) = (temperatures, densities) else { return None };
            interpolate([(*cold, *dense), (*hot, *light)], celsius)
        })
    }
}

/// The straight line between two points, inside them only; exact at both ends.
fn interpolate([low, high]: [(f64, f64); 2], at: f64) -> Option<f64> {
    if at < low.0 || high.0 < at {
        return None;
    }
    let share = (at - low.0) / (high.0 - low.0);
    Some(low.1 * (1.0 - share) + high.1 * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mixture_between_two_rows_lies_between_them() {
        let mixture = Fluid::EthyleneGlycol { volume_fraction: 0.225 };
        let density = mixture.density(Celsius::new(65.0)).unwrap();
        assert!((1_006.4..1_019.3).contains(&density), "{density}");
        let freezes = mixture.freezes().unwrap();
        assert!(Celsius::new(-12.1) < freezes && freezes < Celsius::new(-9.0), "{freezes}");
    }

    #[test]
    fn a_fraction_outside_the_table_is_a_fault() {
        assert!(Fluid::PropyleneGlycol { volume_fraction: 0.5 }.fault().is_none());
        let fault = Fluid::PropyleneGlycol { volume_fraction: 0.1 }.fault().unwrap();
        assert_eq!(fault.code, "glycol-outside-table");
    }
}
