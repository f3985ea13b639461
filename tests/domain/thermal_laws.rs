//! Laws of the physics that hold for every body, room and fill, tried on random ones.
#![expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]

mod ecodesign;
mod emission;
mod fill;
mod heat;
