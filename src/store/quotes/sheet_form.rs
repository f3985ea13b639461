//! Which fields of a room's sheets are kept, and under which names.

use crate::domain::quote::sheet::CareFigures;
use crate::domain::quote::sheet::FillFigures;
use crate::domain::quote::sheet::Fitting;
use crate::domain::quote::sheet::HeatFigures;
use crate::domain::quote::sheet::Look;
use crate::domain::quote::sheet::PlaceFigures;
use crate::domain::quote::sheet::PlacedItem;
use crate::domain::quote::sheet::RailSheet;
use crate::domain::quote::sheet::Replacement;
use crate::domain::quote::sheet::RoomSheet;
use crate::domain::quote::sheet::SetPoint;
use crate::domain::quote::sheet::Sourced;
use crate::domain::quote::sheet::SupplyFigures;
use crate::domain::quote::sheet::View;
use crate::domain::quote::sheet::ViewPart;
use crate::domain::quote::sheet::WorkStep;
use crate::domain::quote::sheet::ZonePatch;
use crate::domain::zones::verdict::Outcome;

use serde_json::Map;
use serde_json::Value;

use super::kept::Kept;
use super::kept::NotKept;
use super::kept::field;
use super::kept::kept;
use super::kept::object;
use super::kept::worded;

kept! {
    RoomSheet { description, heat, rails }
    HeatFigures { transmission, bridges, ventilation, reheat, required, delivered, quick_rule }
    RailSheet { name, place, fitting, supply, fill, duties, care, lines }
    Sourced { text, source }
    PlaceFigures { views, stated_zone, rules, verdicts, mounting }
    PlacedItem { name, zone, outcome, reasons, source }
    View { title, size_mm, zones, parts }
    ZonePatch { name, look, label_mm, boxes_mm }
    ViewPart { name, corner_mm, size_mm, look }
    Fitting { port, thread, seal, flex_length_mm, flex_route, ip, class }
    SupplyFigures { load, connection_unit, fuse, residual, flex, cable, voltage_drop, advice }
    FillFigures { fluid, volume_ml, headspace_permille, pressure, steps }
    WorkStep { text, caution }
    CareFigures { regulation, surface_max_c, is_for_vulnerable, replacement }
    SetPoint { low_c, high_c }
    Replacement { sku, thread, power_w, length_mm, finish, flex, ip }
}

worded! {
    Outcome: |outcome| outcome.code().to_owned(), outcome_of;
    Look: |look| look_word(*look).to_owned(), look_of;
}

fn outcome_of(word: &str) -> Option<Outcome> {
    let all = [Outcome::Allowed, Outcome::AllowedIf, Outcome::NotEstablished, Outcome::Refused];
    all.into_iter().find(|outcome| outcome.code() == word)
}

const LOOKS: [Look; 7] = [
    Look::InnerZone,
    Look::OuterZone,
    Look::Fitting,
    Look::Rail,
    Look::Unit,
    Look::Route,
    Look::Beyond,
];

const fn look_word(look: Look) -> &'static str {
    match look {
        Look::InnerZone => "inner_zone",
        Look::OuterZone => "outer_zone",
        Look::Fitting => "fitting",
        Look::Rail => "rail",
        Look::Unit => "unit",
        Look::Route => "route",
        Look::Beyond => "beyond",
    }
}

fn look_of(word: &str) -> Option<Look> {
    LOOKS.into_iter().find(|look| look_word(*look) == word)
}
