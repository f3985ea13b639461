//! Who must be told of the work, and for England by which distances.
//!
//! Absent here: the law itself (`supply::notification`).

use crate::documents::paper::installation::duty_words;
use crate::domain::quote::sheet::Sourced;
use crate::domain::supply::notification::Region;
use crate::domain::supply::notification::SPECIAL_FROM_BASIN_MM;
use crate::domain::supply::notification::Site;
use crate::domain::supply::notification::Work;
use crate::domain::supply::notification::duty as law;

use super::Rail;
use super::place::position;
use super::place::unit_solid;

/// Who must be told.
pub(super) fn duty(rail: &Rail<'_>) -> Sourced {
    let around = rail.room.around;
    let region = match (&*around.market.code, around.place.region.as_deref()) {
        ("ie", _) => Region::Ireland,
        (_, Some(region)) => Region::parse(&region.replace('-', "_"))
            .or_else(|| Region::parse(region))
            .unwrap_or(Region::Elsewhere),
        (_, None) => Region::Elsewhere,
    };
    if (region, rail.room.wiring.work) == (Region::England, Work::Addition) {
        return of_addition(sites(rail));
    }
    let (duty, source) = law(region, rail.room.wiring.work, None);
    let mut text = duty_words(duty).to_owned();
    if region == Region::Elsewhere && !around.market.regions.is_empty() {
        text.push_str(" The quote does not say which part of the country the room is in.");
    }
    Sourced { text, source }
}

/// The rail and its connection point in the drawn room; nothing where one of them, or a shower head, is not known.
fn sites(rail: &Rail<'_>) -> Option<[Site; 2]> {
    let plan = rail.room.around.plan.as_ref()?;
    let position = position(rail)?;
    let unit = unit_solid(&position, plan)?;
    let scene = plan.0.survey().scene();
    Some([Site::in_scene(scene, &position.solid)?, Site::in_scene(scene, &unit)?])
}

/// An addition to a circuit in England: both pieces must stand clear of bath and shower for nobody to be told.
fn of_addition(sites: Option<[Site; 2]>) -> Sourced {
    let Some(sites) = sites else {
        let (duty, source) = law(Region::England, Work::Addition, None);
        let text = format!(
            "{} The stricter answer, because no drawing says how far the rail and its connection point are from bath, \
             tray and shower head.",
            duty_words(duty)
        );
        return Sourced { text, source };
    };
    let inside = sites.iter().find(|site| site.is_special_location());
    let [rail, unit] = &sites;
    let (duty, source) = law(Region::England, Work::Addition, inside.or(Some(rail)));
    let [rail, unit] = [rail, unit].map(distance);
    let mut text = format!(
        "{} Here the rail is {rail} and its connection point {unit}; the law counts what is within \
         {SPECIAL_FROM_BASIN_MM} mm.",
        duty_words(duty)
    );
    if inside.is_none() {
        text.push_str(
            " That holds only while the altered cable keeps out of that space too and no new circuit is laid; else \
             building control must be told.",
        );
    }
    Sourced { text, source }
}

/// Whole millimetres, rounded down: never farther than it is.
fn distance(site: &Site) -> String {
    site.from_basin.map_or_else(
        || "in a room without bath or tray".to_owned(),
        |length| format!("{:.0} mm from bath or tray in plan", libm::floor(length.mm())),
    )
}
