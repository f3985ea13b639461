//! A question about a room's heat as it comes over the wire.

use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::heat::HeatRequirement;
use crate::domain::heat::heat_requirement;
use crate::domain::notice::Notice;
use crate::domain::room::RoomUse;
use crate::domain::room::indoor::INDOOR_DESIGNS;
use crate::domain::room::indoor::IndoorDesign;
use crate::domain::room::indoor::indoor_design;
use crate::domain::room::outdoor::OutdoorDesign;
use crate::domain::room::outdoor::outdoor_design;
use crate::domain::units::Celsius;
use crate::domain::zones::verdict::caution;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::http::room::NewRoom;
use crate::http::work;
use crate::operations::App;

/// A room whose heat is asked for.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewHeatRequirement {
    /// The room; at least one boundary.
    pub room: NewRoom,
    /// Market whose indoor design temperature is taken when the room states none.
    #[serde(default)]
    #[schema(max_length = 20, example = "gb", required = false)]
    pub market: Option<String>,
    /// Place whose outdoor design temperature is taken when the room states none.
    #[serde(default)]
    #[schema(required = false)]
    pub outdoor_place: Option<NewOutdoorPlace>,
}

/// A requirement with the cautions of the question around it.
pub(super) type Answered = (HeatRequirement, Vec<Notice>);

/// A place with a known outdoor design temperature.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewOutdoorPlace {
    /// Country code.
    #[schema(max_length = 2, example = "de")]
    pub country: String,
    /// A German postcode, or another key within the country.
    #[schema(max_length = 40, example = "10117")]
    pub key: String,
}

impl NewHeatRequirement {
    /// The answer with the cautions about the temperatures taken, or every field that is wrong.
    pub(super) fn answer(&self, app: &App) -> Result<Answered, Problem> {
        let mut fields = Fields::default();
        let mut notices = vec![caution()];
        let market = self.market(app, &mut fields, &mut notices)?;
        let settled = self.settled_room(&mut fields, &mut notices);
        let (room, allowances) = fields.within("room", |at| settled.room(market, at));
        let answer = heat_requirement(&room, &allowances);
        if let Err(faults) = &answer {
            fields.within("room", |at| faults.iter().for_each(|fault| at.push_new_fault(fault)));
        }
        let answer = fields.finish(answer)?.map_err(|_listed_above| Problem::failed())?;
        notices.extend(answer.notices.iter().cloned());
        Ok((answer, notices))
    }

    /// The market's code; one is needed where the indoor temperature comes from it.
    fn market(
        &self,
        app: &App,
        fields: &mut Fields,
        notices: &mut Vec<Notice>,
    ) -> Result<&str, Problem> {
        let code = self.market.as_deref();
        if let Some(code) = code
            && work::snapshot(app)?.catalogue().edition().market(code).is_none()
        {
            let detail = format!("there is no market {code:?} in this catalogue");
            fields.push("market", FieldCode::Unknown, detail);
        } else if self.room.indoor_c.is_none() {
            notices.extend(code.and_then(|code| self.indoor_notice(code)));
            if code.is_none() {
                let detail = "indoor_c is needed, or a market whose design temperature is taken";
                fields.within("room", |at| at.push("indoor_c", FieldCode::Missing, detail));
            }
        }
        Ok(code.unwrap_or_default())
    }

    fn indoor_notice(&self, market: &str) -> Option<Notice> {
        let room_use = self.room.r#use.map_or(RoomUse::Bathroom, Into::into);
        let taken = indoor_design(room_use, market)?;
        let beside = INDOOR_DESIGNS.iter().filter(|row| {
            row.market == market && row.room_use == room_use && row.source != taken.source
        });
        let others: Vec<String> =
            beside.map(|row| format!(" {} says {}.", row.source, range(row))).collect();
        let text = format!(
            "The room states no indoor temperature, so {} is taken: {}.{}",
            taken.low,
            taken.source,
            others.concat()
        );
        Some(Notice::new("indoor-design-taken", text))
    }

    /// The room with the place's temperatures filled in.
    fn settled_room(&self, fields: &mut Fields, notices: &mut Vec<Notice>) -> NewRoom {
        let mut room = self.room.clone();
        if room.boundaries.is_empty() {
            let detail = "at least one boundary is needed for a sum; without any there is only the quick rule of 100 W \
                          per m2 of floor (common practice, no source)";
            fields.within("room", |at| at.push("boundaries", FieldCode::Missing, detail));
        }
        let Some(place) = &self.outdoor_place else { return room };
        let design = outdoor_design(&place.country, &place.key);
        if room.outdoor_c.is_some() {
            let detail = "give outdoor_c or the place, not both";
            fields.push("outdoor_place", FieldCode::Contradiction, detail);
        }
        if let Some(design) = design {
            notices.push(outdoor_notice(&design));
            room.outdoor_c.get_or_insert_with(|| design.design.value());
            room.annual_mean_c =
                room.annual_mean_c.or_else(|| design.annual_mean.map(Celsius::value));
        } else {
            let detail = format!(
                "no outdoor design temperature was read for {:?} in {:?}; state outdoor_c",
                place.key, place.country
            );
            fields.push("outdoor_place", FieldCode::Unknown, detail);
            room.outdoor_c.get_or_insert(OUTDOOR_STAND_IN_C);
        }
        room
    }
}

/// Stands in for the temperature of an unknown place while the other fields are checked; never answered with.
const OUTDOOR_STAND_IN_C: f64 = -40.0;

fn range(row: &IndoorDesign) -> String {
    if row.low == row.high {
        row.low.to_string()
    } else {
        format!("{} to {}", row.low.value(), row.high)
    }
}

fn outdoor_notice(design: &OutdoorDesign) -> Notice {
    let mean = design.annual_mean.map_or_else(String::new, |mean| format!(", annual mean {mean}"));
    let text = format!(
        "Outdoor design temperature of {} ({}): {}{mean}; {}.",
        design.place, design.key, design.design, design.source
    );
    Notice::new("outdoor-design-taken", text)
}
