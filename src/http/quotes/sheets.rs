//! What the sheets of a room are put together from, out of the request and its answer.

use crate::domain::catalogue::PartRef;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::Surroundings;
use crate::domain::quote::sheet::RoomSheet;
use crate::domain::resolver::Bill;
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

/// The sheets of a room whose bill was resolved.
pub(super) fn sheet_of_bill(
    catalogue: &Catalogue,
    (room, resolution): (&NewQuoteRoom, &NewResolution),
    bill: &Bill,
    (around, answer): (&Surroundings<'_>, &Answer),
) -> RoomSheet {
    let edition = catalogue.edition();
    let bought = bill.lines.iter().filter(|line| line.included_with.is_none());
    let parts: Vec<PartRef> = bought.filter_map(|line| edition.find(&line.sku)).collect();
    let requirement = answer.requirement.as_ref();
    let required = requirement.map(|found| found.rail.watts());
    let description = description(resolution, required, around);
    let heat = requirement.and_then(|found| heat_figures(found, bill.delivered));
    let wiring = room.wiring.as_ref().map(NewQuoteWiring::wiring).unwrap_or_default();
    let checks = &bill.checks;
    let furnished = Furnished { catalogue, around, parts: &parts, checks, wiring: &wiring };
    RoomSheet { heat, ..sheet(furnished, description) }
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
    sheet(furnished, text)
}

/// The room and what the rail is for, in a sentence or two.
fn description(
    resolution: &NewResolution,
    required_w: Option<f64>,
    around: &Surroundings<'_>,
) -> String {
    let room = match &resolution.room {
        Some(room) => described(room, around),
        None => format!("Room of {}, not described further", around.room),
    };
    let purpose = match resolution.purpose {
        None | Some(NewPurpose::SoleHeating) => "the rail alone heats it",
        Some(NewPurpose::SharedHeating) => "the rail heats it together with something else",
        Some(NewPurpose::TowelWarming) => "towel warming only, no heat is asked for",
    };
    let required = required_w.map(|watts| format!(" {watts:.1} W are asked of the rail."));
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
