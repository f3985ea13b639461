//! The construction table: transmittances by wall type and age, each with its source.
//!
//! Identifiers are ours: `scotland-rdsap/cavity/E`, `germany-tabula/1958-1968/wall`, `single-figure/loft-150-mm`.
//! Absent here: English age bands and internal partitions, which are known from memory only.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::room::boundary::BoundaryKind;
use crate::domain::room::boundary::Transmittance;

/// A row of the construction table.
#[derive(Debug, Clone, PartialEq)]
pub struct Construction {
    /// Identifier, as requests quote it.
    pub id: String,
    /// The kind of surface it is.
    pub kind: BoundaryKind,
    /// Its transmittance and source.
    pub transmittance: Transmittance,
}

/// Age bands of the Scottish walls.
pub const SCOTTISH_BANDS: [&str; 11] = ["A", "B", "C", "D", "E", "F", "G", "H", "I", "J", "K"];

const SCOTTISH: Source = Source::new(
    "RdSAP default walls as built, Scotland: Scottish Government EPC review, supplementary notes, table UV1",
    Evidence::Read,
);
const TABULA: Source = Source::new(
    "TABULA Germany, detached house, existing state: ISO 6946 from the layers in the package teaser 1.3.1",
    Evidence::Computed,
);

type WallByBand = (&'static str, [f64; 11]);

/// Scottish walls, one column per band.
const SCOTTISH_WALLS: [WallByBand; 7] = [
    ("granite", [1.7, 1.7, 1.7, 1.7, 1.7, 1.0, 0.6, 0.45, 0.45, 0.3, 0.25]),
    ("sandstone", [1.5, 1.5, 1.5, 1.5, 1.5, 1.0, 0.6, 0.45, 0.45, 0.3, 0.25]),
    ("solid-brick", [2.1, 2.1, 2.1, 2.1, 1.7, 1.0, 0.6, 0.45, 0.45, 0.3, 0.25]),
    ("cavity", [2.1, 1.6, 1.6, 1.6, 1.6, 1.0, 0.6, 0.45, 0.45, 0.3, 0.25]),
    ("timber-frame", [2.5, 1.9, 1.9, 1.0, 0.8, 0.5, 0.4, 0.4, 0.4, 0.3, 0.25]),
    ("system-build", [2.0, 2.0, 2.0, 2.0, 1.7, 1.0, 0.6, 0.45, 0.45, 0.3, 0.25]),
    ("cob", [0.8, 0.8, 0.8, 0.8, 0.8, 0.8, 0.6, 0.45, 0.45, 0.3, 0.25]),
];

/// German homes of one period.
struct Period {
    name: &'static str,
    /// Wall, roof, window, door.
    envelope: [f64; 4],
    /// The oldest homes have none in the source.
    ground_floor: Option<f64>,
}

const fn period(name: &'static str, envelope: [f64; 4], ground_floor: Option<f64>) -> Period {
    Period { name, envelope, ground_floor }
}

/// Surfaces of the German table, in the order of [`Period::envelope`].
const ENVELOPE: [(&str, BoundaryKind); 4] = [
    ("wall", BoundaryKind::ExternalWall),
    ("roof", BoundaryKind::Roof),
    ("window", BoundaryKind::Window),
    ("door", BoundaryKind::Door),
];

const PERIODS: [Period; 12] = [
    period("until-1859", [2.01, 2.74, 2.8, 3.0], None),
    period("1860-1918", [1.71, 1.35, 2.8, 3.0], Some(1.10_f64)),
    period("1919-1948", [1.71, 1.44, 2.8, 3.0], Some(0.89_f64)),
    period("1949-1957", [1.38, 1.47, 2.8, 3.0], Some(0.92_f64)),
    period("1958-1968", [1.21, 0.85, 2.8, 3.0], Some(1.35_f64)),
    period("1969-1978", [1.01, 0.49, 2.8, 3.0], Some(0.88_f64)),
    period("1979-1983", [0.78, 0.50, 4.3, 3.0], Some(0.68_f64)),
    period("1984-1994", [0.48, 0.36, 3.2, 3.0], Some(0.54_f64)),
    period("1995-2001", [0.32, 0.33, 1.9, 2.0], Some(0.43_f64)),
    period("2002-2009", [0.32, 0.28, 1.4, 2.0], Some(0.30_f64)),
    period("2010-2015", [0.24, 0.20, 1.3, 1.8], Some(0.33_f64)),
    period("from-2016", [0.15, 0.15, 1.1, 1.3], Some(0.16_f64)),
];

const LOFT: Source = Source::new(
    "Scottish Government, review of the energy efficiency standard for social housing, appendix E",
    Evidence::Read,
);
const HOW_TO: Source = Source::new("worked example of a how-to page", Evidence::ReadSecondary);
const SECONDARY: Source =
    Source::new("page quoting default transmittances", Evidence::ReadSecondary);

type SingleFigure = (&'static str, BoundaryKind, f64, Source);

/// Single figures; the upper end where the source gives a range.
const SINGLE_FIGURES: [SingleFigure; 8] = [
    ("loft-bare", BoundaryKind::Roof, 2.3, LOFT),
    ("loft-12-mm", BoundaryKind::Roof, 1.5, LOFT),
    ("loft-150-mm", BoundaryKind::Roof, 0.29, LOFT),
    ("flat-roof-bare", BoundaryKind::Roof, 2.57, SECONDARY),
    ("ground-floor-bare", BoundaryKind::GroundFloor, 0.7, SECONDARY),
    ("cavity-filled-band-d", BoundaryKind::ExternalWall, 0.7, SECONDARY),
    ("window-single", BoundaryKind::Window, 5.8, HOW_TO),
    ("window-double", BoundaryKind::Window, 2.9, HOW_TO),
];

/// Every construction, in the order of the tables.
pub fn constructions() -> Vec<Construction> {
    scottish().chain(german()).chain(single_figures()).collect()
}

/// The construction of an identifier.
///
/// ```
/// use rungwright::domain::room::construction::find_construction;
/// let wall = find_construction("scotland-rdsap/cavity/E").unwrap();
/// assert_eq!(wall.transmittance.w_m2k, 1.6);
/// // The German table has no ground floor for its oldest homes; none is made up.
/// assert_eq!(find_construction("germany-tabula/until-1859/ground-floor"), None);
/// ```
pub fn find_construction(id: &str) -> Option<Construction> {
    scottish().chain(german()).chain(single_figures()).find(|row| row.id == id)
}

fn row(id: String, kind: BoundaryKind, w_m2k: f64, source: Source) -> Construction {
    Construction { id, kind, transmittance: Transmittance { w_m2k, source } }
}

fn scottish() -> impl Iterator<Item = Construction> {
    SCOTTISH_WALLS.into_iter().flat_map(|(wall, figures)| {
        SCOTTISH_BANDS.into_iter().zip(figures).map(move |(band, w_m2k)| {
            let id = format!("scotland-rdsap/{wall}/{band}");
            row(id, BoundaryKind::ExternalWall, w_m2k, SCOTTISH)
        })
    })
}

fn german() -> impl Iterator<Item = Construction> {
    PERIODS.into_iter().flat_map(|Period { name, envelope, ground_floor }| {
        let floor = ground_floor.map(|w_m2k| (("ground-floor", BoundaryKind::GroundFloor), w_m2k));
        ENVELOPE.into_iter().zip(envelope).chain(floor).map(move |((part, kind), w_m2k)| {
            row(format!("germany-tabula/{name}/{part}"), kind, w_m2k, TABULA)
        })
    })
}

fn single_figures() -> impl Iterator<Item = Construction> {
    SINGLE_FIGURES.into_iter().map(|(name, kind, w_m2k, source)| {
        row(format!("single-figure/{name}"), kind, w_m2k, source)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_construction_has_an_identifier_of_its_own_that_finds_it() {
        let all = constructions();
        let ids: BTreeSet<_> = all.iter().map(|row| row.id.clone()).collect();
        assert_eq!(ids.len(), all.len());
        assert_eq!(all.len(), 7 * 11 + 12 * 5 - 1 + 8);
        for construction in all {
            assert_eq!(find_construction(&construction.id), Some(construction));
        }
    }
}
