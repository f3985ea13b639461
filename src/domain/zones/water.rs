//! What makes zones: each bath, tray, outlet or basin with the layers of space that its country's figures put round it.
//!
//! Absent here: paths (`reach`) and the choice among several sources (`placement`).
#![expect(
    clippy::arithmetic_side_effects,
    reason = "heights and widths of a room, bounded at the door"
)]

use std::cmp::Ordering;

use crate::domain::zones::Zone;
use crate::domain::zones::length::Length;
use crate::domain::zones::plane::Nudged;
use crate::domain::zones::regime::BasinReach;
use crate::domain::zones::regime::PlaneDatum;
use crate::domain::zones::regime::Regime;
use crate::domain::zones::scene::Basin;
use crate::domain::zones::scene::Fixture;
use crate::domain::zones::scene::FixtureKind;
use crate::domain::zones::scene::Head;
use crate::domain::zones::scene::Outlet;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::scene::UnderAccess;
use crate::domain::zones::scene::Washbasin;

/// Above which a bath's bottom shifts the plane where the rules say so (CEI 64-8).
const RAISED_BOTTOM_MM: i32 = 150;
/// Heights are measured from the finished floor.
const FLOOR_MM: i32 = 0;

/// One source of zones.
#[derive(Debug, Clone)]
pub struct Water {
    /// The fixture it belongs to, by name.
    pub fixture: String,
    /// Its outline in plan; a single point for an outlet.
    pub outline: Rect,
    /// Height of the upper plane of zone 1.
    pub plane_mm: i32,
    /// Radius of zone 1 round the outline; none for a washbasin, which has no zone 1.
    pub zone1_radius_mm: Option<i64>,
    /// Height up to which zone 1 asks for immersion; below the floor when nowhere.
    pub immersion_mm: i32,
    /// Below this height a thing wholly under the outline is in this zone and no other.
    pub sheltered: Option<(i32, Zone)>,
    /// Its layers of space.
    pub layers: Vec<Layer>,
}

/// A layer of space round the outline: everything within a radius in plan, between two heights.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layer {
    /// The zone it is.
    pub zone: Zone,
    /// Distance in plan from the outline; 0 is the outline itself.
    pub radius_mm: i64,
    /// Its lower height.
    pub low_mm: i32,
    /// Its upper height.
    pub high_mm: i32,
}

/// The sources of a room, and why the drawing leaves them unclear if it does.
pub fn waters(scene: &Scene, regime: &Regime) -> (Vec<Water>, Option<&'static str>) {
    let mut waters = Vec::new();
    let mut unclear = None;
    for fixture in &scene.fixtures {
        let head_mm = highest_fixed(scene, fixture);
        match fixture.kind {
            FixtureKind::Bath(basin) | FixtureKind::Tray(basin) => {
                let water = around_basin(fixture, &basin, regime, head_mm);
                let plane_mm = water.plane_mm;
                waters.push(water);
                if FLOOR_MM < regime.over_basin_radius_mm {
                    let radius_mm = i64::from(regime.over_basin_radius_mm);
                    let fixed = fixed_outlets(scene, fixture);
                    waters.extend(
                        fixed.map(|outlet| over_basin(outlet, regime, radius_mm, plane_mm)),
                    );
                }
            }
            FixtureKind::Washbasin(washbasin) => {
                waters.extend(around_washbasin(fixture, washbasin, regime));
            }
            FixtureKind::Trayless => {
                let plane_mm = plane(regime, 0, head_mm);
                let before = waters.len();
                let fixed = fixed_outlets(scene, fixture);
                waters.extend(fixed.map(|outlet| around_outlet(outlet, regime, plane_mm)));
                if waters.len() == before {
                    unclear = Some("a tray-less shower has no fixed outlet from which to measure");
                }
            }
        }
    }
    (waters, unclear)
}

fn fixed_outlets<'scene>(
    scene: &'scene Scene,
    fixture: &'scene Fixture,
) -> impl Iterator<Item = &'scene Outlet> {
    scene.outlets.iter().filter(|outlet| outlet.serves == fixture.id && outlet.is_fixed)
}

fn highest_fixed(scene: &Scene, fixture: &Fixture) -> Option<i32> {
    fixed_outlets(scene, fixture).map(|outlet| outlet.z_mm).max()
}

fn plane(regime: &Regime, bottom_mm: i32, head_mm: Option<i32>) -> i32 {
    let datum_mm = match regime.plane_datum {
        PlaneDatum::BathOrTrayBottom => bottom_mm,
        PlaneDatum::FloorOrBottomAbove150 if RAISED_BOTTOM_MM < bottom_mm => bottom_mm,
        PlaneDatum::Floor | PlaneDatum::FloorOrBottomAbove150 => FLOOR_MM,
    };
    let raised = head_mm.filter(|_head| regime.plane_raised_by_head);
    raised.map_or(datum_mm + regime.plane_mm, |head| head.max(datum_mm + regime.plane_mm))
}

fn around_basin(fixture: &Fixture, basin: &Basin, regime: &Regime, head_mm: Option<i32>) -> Water {
    let plane_mm = plane(regime, basin.bottom_mm, head_mm);
    let under = match basin.under {
        UnderAccess::Tool => regime.under_tool,
        UnderAccess::NoTool => regime.under_no_tool,
    };
    let bottom_mm = basin.bottom_mm;
    let mut layers = vec![layer(Zone::Zero, 0, bottom_mm, basin.rim_mm)];
    match under {
        Zone::One => layers.push(layer(Zone::One, 0, 0, bottom_mm)),
        Zone::Hidden => layers.push(layer(Zone::Hidden, 0, 0, bottom_mm)),
        Zone::Zero
        | Zone::Two
        | Zone::Three
        | Zone::Outside
        | Zone::NotApplicable
        | Zone::NotEstablished => {}
    }
    layers.push(layer(Zone::One, 0, bottom_mm, plane_mm));
    layers.extend(outer_layers(regime, 0, plane_mm, true));
    let sheltered = (under != Zone::One).then_some((bottom_mm, under));
    Water {
        fixture: fixture.id.clone(),
        outline: basin.outline,
        plane_mm,
        zone1_radius_mm: Some(0),
        immersion_mm: i32::MIN,
        sheltered,
        layers,
    }
}

fn around_outlet(outlet: &Outlet, regime: &Regime, plane_mm: i32) -> Water {
    let radius_mm = i64::from(match outlet.head {
        Head::Fixed => regime.trayless_radius_mm.fixed,
        Head::Demountable | Head::NotStated => regime.trayless_radius_mm.demountable,
    });
    let zone0_mm = regime.trayless_zone0_mm;
    let zone0 = (FLOOR_MM < zone0_mm).then(|| layer(Zone::Zero, radius_mm, 0, zone0_mm));
    let zone1 = layer(Zone::One, radius_mm, 0, plane_mm);
    let outer = outer_layers(regime, radius_mm, plane_mm, regime.zone2.trayless);
    Water {
        fixture: outlet.serves.clone(),
        outline: Rect::of(outlet.at),
        plane_mm,
        zone1_radius_mm: Some(radius_mm),
        immersion_mm: if FLOOR_MM < regime.immersion_below_mm {
            regime.immersion_below_mm
        } else {
            i32::MIN
        },
        sheltered: None,
        layers: zone0.into_iter().chain([zone1]).chain(outer).collect(),
    }
}

/// A fixed outlet over a bath or tray, where its own radius counts beside the outline.
fn over_basin(outlet: &Outlet, regime: &Regime, radius_mm: i64, plane_mm: i32) -> Water {
    let zone1 = layer(Zone::One, radius_mm, FLOOR_MM, plane_mm);
    let outer = outer_layers(regime, radius_mm, plane_mm, true);
    Water {
        fixture: outlet.serves.clone(),
        outline: Rect::of(outlet.at),
        plane_mm,
        zone1_radius_mm: Some(radius_mm),
        immersion_mm: i32::MIN,
        sheltered: None,
        layers: [zone1].into_iter().chain(outer).collect(),
    }
}

/// Zones 2 and 3 round a zone 1 of a radius.
fn outer_layers(regime: &Regime, radius_mm: i64, plane_mm: i32, has_zone2: bool) -> Vec<Layer> {
    let zone2_mm = if has_zone2 { radius_mm + i64::from(regime.zone2.width_mm) } else { radius_mm };
    let mut layers = Vec::new();
    if has_zone2 {
        layers.push(layer(Zone::Two, zone2_mm, 0, regime.zone2.top_mm.unwrap_or(plane_mm)));
    }
    if let Some(top_mm) = regime.zone2.over_zone1_to_mm {
        layers.push(layer(Zone::Two, radius_mm, plane_mm, top_mm));
    }
    if let Some(zone3) = regime.zone3 {
        layers.push(layer(Zone::Three, zone2_mm + i64::from(zone3.width_mm), 0, zone3.top_mm));
        layers.extend(
            zone3.over_zone2_to_mm.map(|top_mm| layer(Zone::Three, zone2_mm, zone3.top_mm, top_mm)),
        );
    }
    layers
}

fn around_washbasin(fixture: &Fixture, washbasin: Washbasin, regime: &Regime) -> Option<Water> {
    let figures = regime.washbasin?;
    let is_small = washbasin.litres.is_some_and(|litres| litres <= figures.small_litres);
    let reach = if is_small && washbasin.is_outlet_fixed { figures.small } else { figures.large };
    let BasinReach { plan_mm, above_mm } = reach;
    // A rim of unknown height could be anywhere: the layer then has no top.
    let top_mm = washbasin.rim_mm.map_or(i32::MAX, |rim| rim + above_mm);
    let mut layers = vec![layer(Zone::Two, i64::from(plan_mm), 0, top_mm)];
    layers.extend(washbasin.rim_mm.map(|rim| layer(Zone::Zero, 0, 0, rim)));
    Some(Water {
        fixture: fixture.id.clone(),
        outline: washbasin.outline,
        plane_mm: top_mm,
        zone1_radius_mm: None,
        immersion_mm: i32::MIN,
        sheltered: None,
        layers,
    })
}

const fn layer(zone: Zone, radius_mm: i64, low_mm: i32, high_mm: i32) -> Layer {
    Layer { zone, radius_mm, low_mm, high_mm }
}

impl Layer {
    fn is_entered(&self, solid: &Solid) -> bool {
        let rises_in = self.low_mm == FLOOR_MM || self.low_mm < solid.high_mm;
        let (start, end) = (solid.low_mm, self.high_mm);
        rises_in && start < end
    }
}

impl Water {
    /// The strictest zone that a thing touches, boundaries included.
    pub fn zone(&self, solid: &Solid, length: Option<Length>) -> Zone {
        self.strictest(solid, |layer| {
            let near =
                length.is_some_and(|length| length.against(layer.radius_mm) != Ordering::Greater);
            near && solid.low_mm <= layer.high_mm && layer.low_mm <= solid.high_mm
        })
    }

    /// The strictest zone that a thing enters by more than its boundary.
    ///
    /// Floor and walls of the room are no boundaries: a flat thing on a wall leans into the room.
    pub fn zone_inside(&self, solid: &Solid, length: Option<Length>, lean: Option<Nudged>) -> Zone {
        self.strictest(solid, |layer| {
            let near = if layer.radius_mm == 0 {
                self.covers(solid, lean)
                    && length.is_some_and(|length| length.against(0) == Ordering::Equal)
            } else {
                length.is_some_and(|length| length.against(layer.radius_mm) == Ordering::Less)
            };
            near && layer.is_entered(solid)
        })
    }

    fn strictest<F: Fn(&Layer) -> bool>(&self, solid: &Solid, touches: F) -> Zone {
        if let Some((bottom_mm, zone)) = self.sheltered
            && solid.high_mm < bottom_mm
            && self.outline.contains(&solid.plan)
        {
            return zone;
        }
        let zones = self.layers.iter().filter(|layer| touches(layer)).map(|layer| layer.zone);
        zones.min().unwrap_or(Zone::Outside)
    }

    /// Whether a thing and the outline share more than an edge in plan.
    fn covers(&self, solid: &Solid, lean: Option<Nudged>) -> bool {
        let (own, its) = (self.outline, solid.plan);
        let lean = lean.map_or((0, 0), |lean| (lean.toward.x, lean.toward.y));
        shares((own.min.x_mm, own.max.x_mm), (its.min.x_mm, its.max.x_mm), lean.0)
            && shares((own.min.y_mm, own.max.y_mm), (its.min.y_mm, its.max.y_mm), lean.1)
    }
}

fn shares(own: (i32, i32), its: (i32, i32), lean: i64) -> bool {
    let starts_before = its.0 < own.1 || (its.0 == own.1 && lean < 0);
    let ends_after = own.0 < its.1 || (its.1 == own.0 && 0 < lean);
    starts_before && ends_after
}
