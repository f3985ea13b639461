//! What the sheets of a room are put together from, out of the request and its answer.

use crate::domain::catalogue::PartRef;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Surroundings;
use crate::domain::quote::sheet::PlaceFigures;
use crate::domain::quote::sheet::RoomSheet;
use crate::domain::resolver::Bill;
use crate::domain::resolver::BillRail;
use crate::domain::resolver::WallSpace;
use crate::domain::supply::notification::Work;
use crate::http::electrical_supplies::NewCable;
use crate::http::resolutions::NewPurpose;
use crate::http::resolutions::NewResolution;
use crate::http::room::NewRoom;
use crate::http::room::whole as whole_mm;
use crate::http::scene::millimetres;
use crate::operations::check_parts::Checked;
use crate::operations::resolve_room::Answer;
use crate::operations::sheets::Furnished;
use crate::operations::sheets::Wiring;
use crate::operations::sheets::heat_figures;
use crate::operations::sheets::sheet;

use super::order::NewQuoteRoom;
use super::order::NewQuoteWiring;

/// An answer with the places that it was asked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found<'q, 'a> {
    pub answer: &'q Answer,
    pub around: &'q Surroundings<'a>,
    /// The wall spaces of rails that have one each.
    pub walls: &'q [WallSpace],
}

/// A rail's surroundings and parts.
type OwnRail<'a> = (Surroundings<'a>, Vec<PartRef>);

/// The sheets of a room whose bill was resolved.
pub(super) fn sheet_of_bill(
    catalogue: &Catalogue,
    (room, resolution): (&NewQuoteRoom, &NewResolution),
    bill: &Bill,
    found: Found<'_, '_>,
) -> RoomSheet {
    let Found { answer, around, walls } = found;
    let requirement = answer.requirement.as_ref();
    let required = requirement.map(|needed| needed.rail.watts());
    let description = description(resolution, (required, bill.rails.len()), around);
    let heat = requirement.and_then(|needed| heat_figures(needed, bill.delivered));
    let wiring = room.wiring.as_ref().map(NewQuoteWiring::wiring).unwrap_or_default();
    let checks: Vec<Finding> = bill.checks.iter().map(|check| Finding::clone(check)).collect();
    let checks = &checks;
    let spots: Vec<OwnRail<'_>> = bill
        .rails
        .iter()
        .map(|rail| (at_wall(around, walls, rail), bought(catalogue, bill, rail)))
        .collect();
    let rails: Vec<Furnished<'_>> = spots
        .iter()
        .map(|(own, parts)| Furnished { catalogue, around: own, parts, checks, wiring: &wiring })
        .collect();
    let mut sheet = sheet(&rails, description);
    if 1 < bill.rails.len() {
        for (own, rail) in sheet.rails.iter_mut().zip(&bill.rails) {
            let [first, end] = [rail.lines.start, rail.lines.end].map(i32::try_from);
            own.lines = first.ok().zip(end.ok()).map(<[i32; 2]>::from);
            name_wall(&mut own.place, rail);
        }
    }
    RoomSheet { heat, ..sheet }
}

/// Says which of the wall spaces asked for a rail hangs on, where each has its own.
fn name_wall(place: &mut PlaceFigures, rail: &BillRail) {
    let Some(wall) = rail.wall else { return };
    let fixings = place.mounting.take().map(|words| format!("; {words}")).unwrap_or_default();
    place.mounting = Some(format!("wall space {} as asked for{fixings}", wall.saturating_add(1)));
}

/// The surroundings of a rail: on the wall of its own, where it has one.
fn at_wall<'a>(
    around: &Surroundings<'a>,
    walls: &[WallSpace],
    rail: &BillRail,
) -> Surroundings<'a> {
    let wall = rail.wall.and_then(|index| walls.get(index));
    let place = wall.map_or_else(|| around.place.clone(), |wall| wall.place(&around.place));
    Surroundings { place, ..around.clone() }
}

/// The parts of a rail without what comes in a carton with them.
fn bought(catalogue: &Catalogue, bill: &Bill, rail: &BillRail) -> Vec<PartRef> {
    let lines = bill.lines.get(rail.lines.clone()).unwrap_or_default();
    let bought = lines.iter().filter(|line| line.included_with.is_none());
    bought.filter_map(|line| catalogue.edition().find(&line.sku)).collect()
}

/// The sheets of a room whose parts the caller chose.
pub(super) fn sheet_of_parts(
    catalogue: &Catalogue,
    room: &NewQuoteRoom,
    parts: &[PartRef],
    (around, checked): (&Surroundings<'_>, &Checked),
) -> RoomSheet {
    let wiring = room.wiring.as_ref().map(NewQuoteWiring::wiring).unwrap_or_default();
    let checks = &checked.findings;
    let furnished = Furnished { catalogue, around, parts, checks, wiring: &wiring };
    let given = checked.delivered.map(|delivered| {
        format!(" In a room of {} they give {} W.", around.room, delivered.watts())
    });
    let text = format!(
        "Parts chosen by the customer; no heat requirement was worked out.{}",
        given.unwrap_or_default()
    );
    sheet(&[furnished], text)
}

/// The room and what the rail is for, in a sentence or two.
fn description(
    resolution: &NewResolution,
    (required_w, rails): (Option<f64>, usize),
    around: &Surroundings<'_>,
) -> String {
    let room = match &resolution.room {
        Some(room) => described(room, around),
        None => format!("Room of {}, not described further", around.room),
    };
    let (who, heats) = if 1 < rails {
        (format!("{rails} rails together"), "heat")
    } else {
        ("rail".to_owned(), "heats")
    };
    let purpose = match resolution.purpose {
        None | Some(NewPurpose::SoleHeating) => format!("the {who} alone {heats} it"),
        Some(NewPurpose::SharedHeating) => {
            let together = if 1 < rails { "" } else { " together" };
            format!("the {who} {heats} it{together} with something else")
        }
        Some(NewPurpose::TowelWarming) => "towel warming only, no heat is asked for".to_owned(),
    };
    let required = required_w.map(|watts| format!(" {watts:.1} W are asked of the {who}."));
    format!("{room}; {purpose}.{}", required.unwrap_or_default())
}

fn described(room: &NewRoom, around: &Surroundings<'_>) -> String {
    let [length, width] = [room.length_mm, room.width_mm].map(millimetres);
    let height = room.height_mm.map(|height| format!(" × {}", millimetres(height)));
    let height = height.unwrap_or_default();
    let outdoor = room.outdoor_c.map(|outdoor| format!(" at {outdoor} °C outside"));
    let outdoor = outdoor.unwrap_or_default();
    format!("Room of {length} × {width}{height} mm, {} inside{outdoor}", around.room)
}

impl NewQuoteWiring {
    fn wiring(&self) -> Wiring {
        let words = |cable: &NewCable| {
            let (metres, rest) = {
                let length = millimetres(cable.length_mm);
                (length.div_euclid(1_000), length.rem_euclid(1_000))
            };
            format!("{} mm² twin and earth, {metres}.{rest:03} m", cable.size_mm2.words())
        };
        Wiring {
            cables: self.cables.iter().map(|cable| (cable.run(), words(cable))).collect(),
            device_a: self.device_a.map(|ampere| i64::from(millimetres(ampere))),
            work: self.work.map_or(Work::Addition, Into::into),
        }
    }
}

/// Length, width and height of a room, in whole millimetres.
pub(super) fn size_mm(room: &NewRoom) -> [u32; 3] {
    let whole = |length: f64| u32::try_from(whole_mm(length).value());
    let height = room.height_mm.unwrap_or_default();
    [room.length_mm, room.width_mm, height].map(|length| whole(length).unwrap_or_default())
}
