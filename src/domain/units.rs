//! Units of measure and the one table of quantities with their bounds.
//!
//! A unit type says *what* a number counts ([`Millimetres`], [`Watts`]); a [`Bounds`] row says which values a
//! named field may take. Constructors, error sentences, the published description and the database's CHECKs
//! all quote the rows of [`QUANTITIES`], so a bound is written once.
//! Absent here: conversions between measurement systems, and money (see [`super::money`]).

use std::fmt;

/// A quantity that crosses the door: its name, unit and the closed range of values it may take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Field name as it stands in JSON and SQL, unit included: `length_mm`.
    pub field: &'static str,
    /// What a person calls it: `length of the room`.
    pub phrase: &'static str,
    /// Symbol of the unit, empty for a plain number.
    pub unit: &'static str,
    /// Smallest value allowed.
    pub minimum: f64,
    /// Largest value allowed.
    pub maximum: f64,
}

/// A value outside its [`Bounds`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutOfRange {
    /// The row that refused it.
    pub bounds: &'static Bounds,
    /// The value that came.
    pub value: f64,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Bounds { phrase, unit, minimum, maximum, .. } = self.bounds;
        let space = if unit.is_empty() { "" } else { " " };
        write!(
            f,
            "{phrase} is {}{space}{unit}, allowed are {minimum} to {maximum}{space}{unit}",
            self.value
        )
    }
}

impl std::error::Error for OutOfRange {}

impl Bounds {
    /// The value again when it lies inside the range, ends included.
    ///
    /// ```
    /// use rungwright::domain::units::ROOM_LENGTH_MM;
    /// assert!(ROOM_LENGTH_MM.check(300.0).is_ok());
    /// // Not-a-number compares with nothing, so it is outside every range.
    /// assert!(ROOM_LENGTH_MM.check(f64::NAN).is_err());
    /// ```
    pub fn check(&'static self, value: f64) -> Result<f64, OutOfRange> {
        if self.minimum <= value && value <= self.maximum {
            Ok(value)
        } else {
            Err(OutOfRange { bounds: self, value })
        }
    }
}

macro_rules! units {
    ($($(#[$attribute:meta])* $name:ident($repr:ty) $symbol:literal;)+) => {$(
        $(#[$attribute])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name($repr);

        impl $name {
            /// Symbol of the unit.
            pub const SYMBOL: &'static str = $symbol;

            /// The number with its unit attached. Ranges are the business of [`Bounds`].
            pub const fn new(value: $repr) -> Self {
                Self(value)
            }

            /// The bare number.
            pub const fn value(self) -> $repr {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", self.0, $symbol)
            }
        }
    )+};
}

units! {
    /// A temperature on the Celsius scale.
    Celsius(f64) "°C";
    /// A difference of temperatures.
    Kelvins(f64) "K";
    /// Heat or electric power, as computed.
    Watts(f64) "W";
    /// A volume.
    Litres(f64) "l";
    /// A mass.
    Kilograms(f64) "kg";
    /// A time span.
    Seconds(f64) "s";
    /// A length, whole millimetres.
    #[derive(Eq, Ord)]
    Millimetres(i32) "mm";
    /// Power in tenths of a watt: what is compared, ranked and printed, so that the printed
    /// figures and the decision taken on them can never disagree.
    #[derive(Eq, Ord)]
    Deciwatts(i64) "dW";
}

impl Watts {
    /// Tenths of a watt, rounded down: what a pair delivers is never overstated.
    pub fn delivered(self) -> Deciwatts {
        Deciwatts(tenths(libm::floor(self.0 * 10.0 + STEADY)))
    }

    /// Tenths of a watt, rounded up: what a room needs is never understated.
    ///
    /// ```
    /// use rungwright::domain::units::{Deciwatts, Watts};
    /// assert_eq!(Watts::new(313.21).required(), Deciwatts::new(3133));
    /// // A sum that misses a whole tenth by rounding noise alone counts as that tenth.
    /// assert_eq!(Watts::new(0.1 + 0.2).required(), Deciwatts::new(3));
    /// ```
    pub fn required(self) -> Deciwatts {
        Deciwatts(tenths(libm::ceil(self.0 * 10.0 - STEADY)))
    }
}

/// Absorbs the noise of binary fractions before rounding to tenths; ten thousand times below a tenth.
const STEADY: f64 = 1e-5;

#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "a whole number below 2^53; the cast saturates and never wraps"
)]
const fn tenths(whole: f64) -> i64 {
    whole as i64
}

/// A number of the last of so many decimals, as a decimal text: 1,490 of the second are `14.90`.
///
/// Every price and every power of a bill goes through here, so it makes one text and no others on the way.
pub(super) fn decimal(scaled: i64, digits: u8) -> String {
    let digits = usize::from(digits);
    let mut text = scaled.unsigned_abs().to_string();
    while text.len() <= digits {
        text.insert(0, '0');
    }
    if 0 < digits {
        text.insert(text.len().saturating_sub(digits), '.');
    }
    if scaled < 0 {
        text.insert(0, '-');
    }
    text
}

impl Deciwatts {
    /// Watts with one decimal, as a text without the unit.
    ///
    /// ```
    /// use rungwright::domain::units::Deciwatts;
    /// assert_eq!(Deciwatts::new(5_999).text(), "599.9");
    /// // A deficit below one watt keeps its sign.
    /// assert_eq!(Deciwatts::new(-5).text(), "-0.5");
    /// ```
    pub fn text(self) -> String {
        decimal(self.0, 1)
    }

    /// Watts with one decimal.
    #[expect(
        clippy::as_conversions,
        clippy::cast_precision_loss,
        reason = "powers stay far below 2^53 tenths"
    )]
    pub fn watts(self) -> f64 {
        self.0 as f64 / 10.0
    }
}

const fn row(
    field: &'static str,
    phrase: &'static str,
    unit: &'static str,
    [minimum, maximum]: [f64; 2],
) -> Bounds {
    Bounds { field, phrase, unit, minimum, maximum }
}

macro_rules! quantities {
    ($($name:ident $field:literal $phrase:literal $unit:literal $minimum:literal $maximum:literal;)+) => {
        $(
            #[doc = concat!("The ", $phrase, ": ", stringify!($minimum), " to ", stringify!($maximum), " ", $unit, ".")]
            pub static $name: Bounds = row($field, $phrase, $unit, [$minimum, $maximum]);
        )+

        /// Every quantity that crosses the door, in the order of this file.
        pub static QUANTITIES: &[(&str, &Bounds)] = &[$((stringify!($name), &$name)),+];
    };
}

quantities! {
    ROOM_LENGTH_MM "length_mm" "length of the room" "mm" 300.0 20_000.0;
    ROOM_WIDTH_MM "width_mm" "width of the room" "mm" 300.0 20_000.0;
    ROOM_HEIGHT_MM "height_mm" "height of the room" "mm" 1_800.0 6_000.0;
    INDOOR_C "indoor_c" "indoor temperature" "°C" 5.0 35.0;
    OUTDOOR_C "outdoor_c" "outdoor temperature" "°C" -40.0 25.0;
    AIR_CHANGES "air_changes_per_hour" "air changes" "1/h" 0.0 20.0;
    BOUNDARY_AREA_M2 "area_m2" "area of the boundary" "m2" 0.01 400.0;
    BOUNDARY_U "u_w_m2k" "thermal transmittance" "W/m2K" 0.05 7.0;
    BEYOND_C "beyond_c" "temperature beyond the boundary" "°C" -40.0 40.0;
    ANNUAL_MEAN_C "annual_mean_c" "annual mean outdoor temperature" "°C" -20.0 30.0;
    UNHEATED_FACTOR "unheated_factor" "share of the outdoor difference in the unheated space" "" 0.0 1.0;
    LAYER_THICKNESS_MM "thickness_mm" "thickness of the layer" "mm" 0.1 2_000.0;
    LAYER_CONDUCTIVITY "conductivity_w_mk" "conductivity of the layer" "W/mK" 0.01 400.0;
    LAYER_RESISTANCE "resistance_m2k_w" "resistance of the layer" "m2K/W" 0.001 20.0;
    BRIDGE_SHARE "y_w_m2k" "bridge allowance y" "W/m2K" 0.0 0.5;
    BRIDGE_ADDED_U "delta_u_w_m2k" "bridge supplement to the transmittance" "W/m2K" 0.0 0.5;
    BRIDGE_PSI "psi_w_mk" "linear transmittance" "W/mK" -1.0 2.0;
    BRIDGE_LENGTH_M "length_m" "length of the bridge" "m" 0.01 200.0;
    EXTRACT_L_S "extract_l_s" "extract flow" "l/s" 0.0 200.0;
    HEAT_RECOVERY "heat_recovery" "efficiency of the heat recovery" "" 0.0 0.95;
    AIR_HEAT "air_heat_wh_m3k" "heat that air carries" "Wh/m3K" 0.3 0.36;
    REHEAT_W_M2 "reheat_w_m2" "reheat allowance" "W/m2" 0.0 100.0;
    HEAT_REQUIREMENT_W "heat_requirement_w" "heat requirement" "W" 1.0 10_000.0;
    WALL_WIDTH_MM "wall_width_mm" "width of the wall space" "mm" 100.0 10_000.0;
    WALL_BOTTOM_MM "wall_bottom_mm" "lower edge of the wall space" "mm" 0.0 3_000.0;
    WALL_HEIGHT_MM "wall_height_mm" "height of the wall space" "mm" 100.0 5_000.0;
    CONNECTION_DISTANCE_MM "connection_distance_mm" "route of the flex to the connection point" "mm" 0.0 10_000.0;
    BODY_WIDTH_MM "width_mm" "width of the body" "mm" 100.0 2_000.0;
    BODY_HEIGHT_MM "height_mm" "height of the body" "mm" 200.0 2_500.0;
    BODY_DEPTH_MM "depth_mm" "depth of the body from the wall" "mm" 20.0 400.0;
    RATED_OUTPUT_W "rated_output_w" "rated output at 50 K" "W" 20.0 5_000.0;
    EXPONENT "exponent" "exponent of the emission law" "" 1.0 1.5;
    ELEMENT_W "element_w" "rating of the element" "W" 10.0 5_000.0;
    ROOM_C "room_c" "temperature of the room" "°C" 0.0 40.0;
    HEAT_CAPACITY_J_K "heat_capacity_j_k" "heat capacity of the filled body" "J/K" 100.0 1_000_000.0;
    START_C "start_c" "temperature of the fluid at the start" "°C" 0.0 95.0;
    PRICE_PER_KWH "price_per_kwh" "price of a kilowatt-hour" "" 0.0 10.0;
    DRY_MASS_G "dry_mass_g" "mass of the empty body" "g" 500.0 80_000.0;
    FLUID_VOLUME_ML "fluid_volume_ml" "fluid volume of the body" "ml" 200.0 50_000.0;
    PERMITTED_GAUGE_KPA "permitted_gauge_kpa" "permitted gauge pressure" "kPa" 50.0 2_000.0;
    PERMITTED_GAUGE_BAR "permitted_gauge_bar" "permitted gauge pressure" "bar" 0.5 20.0;
    BODY_VOLUME_L "body_volume_l" "fluid volume of the body" "l" 0.2 50.0;
    ELEMENT_DISPLACEMENT_L "element_displacement_l" "volume that the element takes up" "l" 0.0 5.0;
    HEADSPACE_FRACTION "headspace_fraction" "share of the body left to air" "" 0.0 1.0;
    FILL_L "fill_l" "fluid filled in" "l" 0.0 50.0;
    FILL_C "fill_c" "temperature of the fluid at filling" "°C" 1.0 60.0;
    HOT_C "hot_c" "hottest temperature of the fluid" "°C" 20.0 150.0;
    INHIBITOR_ML_L "inhibitor_ml_l" "dose of inhibitor per litre of fill" "ml/l" 0.0 200.0;
    CONCENTRATE_KG_L "concentrate_kg_l" "density of the concentrate" "kg/l" 0.7 1.6;
    IMMERSED_LENGTH_MM "immersed_length_mm" "immersed length" "mm" 50.0 2_000.0;
    ELEMENT_WATTS "watts" "rating of the element" "W" 50.0 3_000.0;
    SET_POINT_C "set_point_c" "set point of the fluid" "°C" 20.0 95.0;
    FLUID_LIMIT_C "fluid_limit_c" "highest permitted fluid temperature" "°C" 30.0 120.0;
    FLEX_LENGTH_MM "flex_length_mm" "length of the flex" "mm" 100.0 10_000.0;
    HEAD_LENGTH_MM "head_length_mm" "length of the element's head below the port" "mm" 10.0 400.0;
    CONTROL_LOAD_W "load_w_max" "highest load of the control" "W" 10.0 10_000.0;
    LEAD_DAYS "lead_days" "lead time" "days" 0.0 365.0;
    UNIT_PRICE_E4 "unit_price_e4" "unit price in ten-thousandths of the currency" "" 0.0 1_000_000_000.0;
    TAX_RATE_BP "tax_rate_bp" "tax rate in hundredths of a percent" "" 0.0 5_000.0;
    HEAT_SHARE_PERCENT "heat_share_percent" "share of the requirement that the rail bears" "%" 1.0 100.0;
    TOWELS_FACTOR "towels_factor" "share of the output left with towels on" "" 0.1 1.0;
    LOWEST_TUBE_MM "lowest_tube_mm" "height of the lowest heated tube above the body's lowest point" "mm" 0.0 2_000.0;
    OPEN_PORT_COUNT "open_port_count" "number of ports left open beside the element" "" 0.0 8.0;
    BORE_MM "bore_mm" "bore of the tube that takes the element" "mm" 5.0 100.0;
    BRACKET_COUNT "bracket_count" "number of wall brackets" "" 0.0 12.0;
    SHEATH_DIAMETER_MM "sheath_diameter_mm" "diameter of the element's sheath" "mm" 4.0 40.0;
    DISPLACEMENT_ML "displacement_ml" "volume displaced by the immersed part" "ml" 1.0 2_000.0;
    FLEX_MM2 "flex_mm2" "cross-section of a conductor of the flex" "mm2" 0.5 4.0;
    FUSE_A_MAX "fuse_a_max" "largest fuse of the connection unit" "A" 1.0 32.0;
    COVER_LENGTH_MM "cover_length_mm" "length of flex that a cover hides" "mm" 50.0 5_000.0;
    DOSE_ML_PER_LITRE "dose_ml_per_litre" "dose of inhibitor in a litre of fill" "ml/l" 1.0 500.0;
    PACK_ML "pack_ml" "volume of a pack of inhibitor" "ml" 10.0 25_000.0;
    INCLUDED_QUANTITY "quantity" "pieces in the body's carton" "" 1.0 100.0;
    PLAN_COORDINATE_MM "x_mm" "coordinate of the plan" "mm" -100_000.0 100_000.0;
    PLAN_HEIGHT_MM "z_mm" "height above the finished floor" "mm" 0.0 6_000.0;
    WALL_OFFSET_MM "offset_mm" "distance from the start of the wall" "mm" 0.0 100_000.0;
    BASIN_LITRES "litres" "volume of the washbasin" "l" 1.0 200.0;
    CABLE_LENGTH_MM "length_mm" "length of the cable, one way" "mm" 0.0 500_000.0;
    DEVICE_A "device_a" "rating of the circuit's protective device" "A" 1.0 63.0;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_has_a_range_and_a_phrase() {
        for (name, row) in QUANTITIES {
            assert!(row.minimum < row.maximum, "{name}");
            assert!(!row.phrase.is_empty() && !row.field.is_empty(), "{name}");
        }
    }

    #[test]
    fn the_sentence_names_value_and_limits() {
        let error = ROOM_LENGTH_MM.check(12.0).unwrap_err();
        assert_eq!(error.to_string(), "length of the room is 12 mm, allowed are 300 to 20000 mm");
    }

    #[test]
    fn a_delivered_output_is_rounded_down_and_a_requirement_up() {
        assert_eq!(Watts::new(331.09).delivered(), Deciwatts::new(3310));
        assert_eq!(Watts::new(331.01).required(), Deciwatts::new(3311));
        assert_eq!(Watts::new(300.0).delivered(), Watts::new(300.0).required());
    }
}
