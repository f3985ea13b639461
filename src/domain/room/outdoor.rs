//! Outdoor design temperatures by place, with the annual mean where it was read.
//!
//! Germany by postcode, one row per city as read; elsewhere only what was read. Figures known from memory (most of
//! Europe, the British sites, Ireland) are left out on purpose. Absent here: weather.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::units::Celsius;

/// A place's design temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct OutdoorDesign {
    /// Country code.
    pub country: &'static str,
    /// Postcode, or another key within the country.
    pub key: &'static str,
    /// Name of the place.
    pub place: &'static str,
    /// Design temperature.
    pub design: Celsius,
    /// Mean of the year, which the ground follows.
    pub annual_mean: Option<Celsius>,
    /// Where it stands.
    pub source: Source,
}

const GERMAN: Source = Source::new(
    "DIN/TS 12831-1:2020-04 by postcode, as listed in the research code districtgenerator",
    Evidence::Read,
);

const fn german(key: &'static str, place: &'static str, [design, mean]: [f64; 2]) -> OutdoorDesign {
    OutdoorDesign {
        country: "de",
        key,
        place,
        design: Celsius::new(design),
        annual_mean: Some(Celsius::new(mean)),
        source: GERMAN,
    }
}

const fn elsewhere(
    country: &'static str,
    [key, place]: [&'static str; 2],
    design: f64,
    source: Source,
) -> OutdoorDesign {
    OutdoorDesign { country, key, place, design: Celsius::new(design), annual_mean: None, source }
}

/// Every place read.
pub static OUTDOOR_DESIGNS: &[OutdoorDesign] = &[
    german("10117", "Berlin", [-11.3, 10.9]),
    german("80331", "Munich", [-11.1, 10.2]),
    german("20095", "Hamburg", [-8.2, 10.6]),
    german("50667", "Cologne", [-7.0, 12.0]),
    german("60311", "Frankfurt", [-9.2, 11.2]),
    german("70173", "Stuttgart", [-9.3, 11.5]),
    german("01067", "Dresden", [-12.3, 10.5]),
    german("04109", "Leipzig", [-11.7, 10.9]),
    german("28195", "Bremen", [-8.6, 10.1]),
    german("30159", "Hanover", [-10.0, 10.9]),
    german("90402", "Nuremberg", [-11.3, 10.6]),
    german("99084", "Erfurt", [-11.9, 10.2]),
    german("79098", "Freiburg", [-9.7, 11.4]),
    german("24103", "Kiel", [-7.9, 9.6]),
    german("52062", "Aachen", [-7.1, 11.5]),
    german("18055", "Rostock", [-10.7, 9.3]),
    german("87561", "Oberstdorf", [-16.7, 6.5]),
    elsewhere(
        "fr",
        ["lyon-bron", "Lyon-Bron"],
        -5.6,
        Source::new(
            "ASHRAE Handbook of Fundamentals 2017, 99.6 %, in the header of a weather file",
            Evidence::Read,
        ),
    ),
    elsewhere(
        "gb",
        ["convention", "Great Britain, common convention"],
        -1.0,
        Source::new("common British convention, read in two how-to pages", Evidence::Practice),
    ),
];

/// Digits of a German postcode that name its sorting region.
const REGION_DIGITS: usize = 3;

/// The design temperature of a place: the place itself, or for Germany a city of the same sorting region, marked as inferred.
///
/// ```
/// use rungwright::domain::evidence::Evidence;
/// use rungwright::domain::room::outdoor::outdoor_design;
/// assert_eq!(outdoor_design("de", "10117").unwrap().source.evidence, Evidence::Read);
/// // A neighbour's figure is a deduction; mountains do not follow postcodes.
/// assert_eq!(outdoor_design("de", "10119").unwrap().source.evidence, Evidence::Inferred);
/// assert_eq!(outdoor_design("de", "99999"), None);
/// ```
pub fn outdoor_design(country: &str, key: &str) -> Option<OutdoorDesign> {
    let mut rows = OUTDOOR_DESIGNS.iter().filter(|row| row.country == country);
    rows.clone()
        .find(|row| row.key == key)
        .cloned()
        .or_else(|| rows.find_map(|row| same_region(row, key)))
}

fn same_region(row: &OutdoorDesign, key: &str) -> Option<OutdoorDesign> {
    let postcode = |text: &str| text.len() == 5 && text.bytes().all(|byte| byte.is_ascii_digit());
    let near = row.country == "de"
        && postcode(key)
        && row.key.get(..REGION_DIGITS) == key.get(..REGION_DIGITS);
    near.then(|| {
        let text = format!(
            "taken from {} {} in the same postcode region; {}",
            row.key, row.place, row.source.text
        );
        OutdoorDesign { source: Source::stated(text, Evidence::Inferred), ..row.clone() }
    })
}
