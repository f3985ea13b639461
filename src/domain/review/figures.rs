//! Figures that are each within their range and cannot be right together.

use std::f64::consts::PI;

use crate::domain::catalogue::Edition;

use super::gathered::Finding;

/// Cubic millimetres in a litre.
const PER_LITRE: f64 = 1_000_000.0;

/// Most of the box round a body that its fluid can fill: tubes stand apart, so a half is generous (common practice, no
/// source).
const FILLED_SHARE_MAX: f64 = 0.5;

pub(super) fn findings(edition: &Edition) -> Vec<Finding> {
    vec![fluid(edition), ranges(edition), set_points(edition), displaced(edition)]
}

fn fluid(edition: &Edition) -> Finding {
    let mut finding = Finding::error(
        "volume-beyond-size",
        "A body holds more fluid than half of the box round it has room for.",
        "Compare fluid_volume_ml with the size: most often one of them has a digit too many.",
    );
    for body in edition.bodies() {
        let size = &body.size;
        let sides = [size.width, size.height, size.depth].map(|side| f64::from(side.value()));
        let room = sides.into_iter().product::<f64>() / PER_LITRE * FILLED_SHARE_MAX;
        if room < body.content.volume.value() {
            finding.add(body.card.sku.as_str(), || {
                format!(
                    "{} l in a box of {} l",
                    body.content.volume.value(),
                    room / FILLED_SHARE_MAX
                )
            });
        }
    }
    finding
}

fn ranges(edition: &Edition) -> Finding {
    let mut finding = Finding::error(
        "watts-range-empty",
        "The largest element that a body takes is smaller than its smallest.",
        "Exchange watts_min and watts_max, or correct them.",
    );
    for body in edition.bodies().iter().filter(|body| body.heat.watts_max < body.heat.watts_min) {
        finding.add(body.card.sku.as_str(), || {
            format!("{} to {} W", body.heat.watts_min.value(), body.heat.watts_max.value())
        });
    }
    finding
}

fn set_points(edition: &Edition) -> Finding {
    let mut finding = Finding::error(
        "set-point-above-limit",
        "An element's highest set point lies above the hottest fluid that it may stand in.",
        "Correct set_point_c_max or fluid_limit_c.",
    );
    for element in edition.elements() {
        let limit = element.safety.fluid_limit;
        if let Some(point) = element.regulation.set_point_max().filter(|point| limit < *point) {
            finding.add(element.card.sku.as_str(), || {
                format!("{} °C, its fluid at most {} °C", point.value(), limit.value())
            });
        }
    }
    finding
}

fn displaced(edition: &Edition) -> Finding {
    let mut finding = Finding::warning(
        "displacement-of-another-shape",
        "What an element displaces is less than its sheath alone takes up.",
        "Correct displacement_ml, sheath_diameter_mm or immersed_length_mm.",
    );
    for element in edition.elements() {
        let shape = &element.shape;
        let radius = f64::from(shape.sheath_diameter_mm_e1) / 20.0_f64;
        let cubic_mm = PI * radius * radius * f64::from(shape.immersed_length.value());
        let sheath_ml = cubic_mm / 1_000.0_f64;
        // Makers round to whole millilitres and leave the ends out.
        if f64::from(shape.displacement_ml) < sheath_ml * 0.5_f64 {
            finding.add(element.card.sku.as_str(), || {
                format!("{} ml, the sheath {sheath_ml:.0} ml", shape.displacement_ml)
            });
        }
    }
    finding
}
