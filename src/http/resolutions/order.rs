//! A resolution request as it comes over the wire, and its way into the domain.

use jiff::civil::Date;
use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::Tier;
use crate::domain::compatibility::Place;
use crate::domain::compatibility::Surroundings;
use crate::domain::compatibility::Users;
use crate::domain::heat::Allowances;
use crate::domain::heat::heat_requirement;
use crate::domain::resolver::Demands;
use crate::domain::resolver::OPTIONS_USUAL;
use crate::domain::resolver::Preferences;
use crate::domain::resolver::RegulationWish;
use crate::domain::room::Room;
use crate::domain::units::Celsius;
use crate::domain::units::Watts;
use crate::domain::zones::rules::WiringRules;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::http::problem::Problem;
use crate::http::references::Unknown;
use crate::http::resolutions::NewOrder;
use crate::http::resolutions::NewPlace;
use crate::http::resolutions::NewRunning;
use crate::http::resolutions::NewTier;
use crate::http::resolutions::NewVariety;
use crate::http::resolutions::NewWall;
use crate::http::room::NewRoom;
use crate::http::schema;
use crate::operations::Snapshot;
use crate::operations::resolve_room::HeatQuestion;
use crate::operations::resolve_room::Purpose;
use crate::operations::resolve_room::Question;

/// Indoor temperature taken when neither the request nor a design figure gives one.
const ROOM_USUAL: Celsius = Celsius::new(20.0);

/// A room and wishes. All but the market and one of `heat_requirement_w` and `room` may be left out.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewResolution {
    /// Country, currency, tax and wiring rules.
    #[schema(max_length = 20, example = "gb")]
    pub market: String,
    /// Whose prices rank the options; anybody's when left out.
    #[serde(default)]
    pub tier: Option<NewTier>,
    /// Edition that answers, while it is kept; the one in force when left out.
    #[serde(default)]
    #[schema(format = Int64, minimum = 1, maximum = 4_294_967_295_u32, required = false)]
    pub edition: Option<u32>,
    /// Heat that the rail must deliver, if it is known already.
    #[serde(default)]
    #[schema(schema_with = schema::optional::heat_requirement_w, required = false)]
    pub heat_requirement_w: Option<f64>,
    /// The room, if the requirement is to be computed; also gives the indoor temperature.
    #[serde(default)]
    pub room: Option<NewRoom>,
    /// What the rail is for; it heats the room by itself when left out.
    #[serde(default)]
    pub purpose: Option<NewPurpose>,
    /// Shared heating only: share of the requirement that the rail bears.
    #[serde(default)]
    #[schema(schema_with = schema::optional::heat_share_percent, required = false)]
    pub heat_share_percent: Option<f64>,
    /// Who uses the room.
    #[serde(default)]
    pub users: Option<NewUsers>,
    /// Where the rail is to hang. What is left out is not checked, and the answer says so.
    #[serde(default)]
    pub place: Option<NewPlace>,
    /// What is wished for.
    #[serde(default)]
    pub preferences: Option<NewPreferences>,
    /// Share of the output left with towels on; 1, a bare rail, when left out.
    #[serde(default)]
    #[schema(schema_with = schema::optional::towels_factor, required = false)]
    pub towels_factor: Option<f64>,
    /// Wall spaces, one for each rail; without them all rails hang side by side on the place's.
    #[serde(default)]
    #[schema(max_items = 6)]
    pub walls: Vec<NewWall>,
    /// For the order by running cost.
    #[serde(default)]
    pub running: Option<NewRunning>,
    /// Whether the bills that no other beats in price and heat are wanted as well.
    #[serde(default)]
    pub frontier: bool,
    /// Whether a refusal says why, and what would help, as it does when this is left out. That takes far longer than the
    /// bare refusal, which is enough where many requests are only sorted into possible and impossible.
    #[serde(default)]
    #[schema(required = false)]
    pub explain: Option<bool>,
    /// Day whose prices count, as `2026-12-31`; today when left out.
    #[serde(default)]
    #[schema(pattern = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
    pub price_date: Option<String>,
    /// Most options wanted; 5 when left out.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 20)]
    pub options_max: Option<u32>,
}

/// What the rail is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewPurpose {
    /// It heats the room by itself.
    SoleHeating,
    /// It heats the room together with something else.
    SharedHeating,
    /// It warms towels; no heat requirement.
    TowelWarming,
}

/// Who uses the room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct NewUsers {
    /// Young children.
    pub children: bool,
    /// People who may not pull away from a hot surface.
    pub vulnerable: bool,
    /// An hotel, a school, a pool.
    pub public_building: bool,
}

/// Which regulation is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewRegulation {
    /// One factory set point.
    Fixed,
    /// The user sets it.
    Adjustable,
    /// Whatever is cheapest.
    Either,
}

/// What is wished for.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct NewPreferences {
    /// Finish of the body.
    #[schema(max_length = 40)]
    pub finish: Option<String>,
    /// Regulation of the element.
    pub regulation: Option<NewRegulation>,
    /// A thermostat on the wall; it goes with a fixed element only.
    pub wall_control: bool,
    /// Control by the clock, in the element or on the wall.
    pub time_control: bool,
    /// A covered flex.
    pub flex_cover: bool,
    /// Most rails of a bill; one when left out, and always one in a drawn room.
    #[schema(minimum = 1, maximum = 3)]
    pub rails_max: Option<u32>,
    /// What the best bill is; the cheapest when left out.
    pub order: Option<NewOrder>,
    /// How options differ; in body, element or regulation when left out.
    pub variety: Option<NewVariety>,
    /// Most that may be spent, tax included, as a decimal text in the market's currency.
    #[schema(pattern = "^[0-9]{1,9}([.][0-9]{1,4})?$")]
    pub budget: Option<String>,
    /// Kinds of accessory wished for; a kind named twice means two pieces.
    #[schema(max_items = 40)]
    pub accessories: Vec<NewAccessoryKind>,
}

/// What an accessory is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewAccessoryKind {
    /// Hides the flex.
    FlexCover,
    /// Closes an open port.
    PlugCover,
    /// Holds the body on the wall.
    Bracket,
    /// Treats the fill.
    Inhibitor,
    /// Hangs a towel or gown on a tube.
    Hook,
    /// Lays a towel on two tubes.
    Shelf,
    /// Opens and closes the vent.
    VentKey,
    /// Covers the wall where the flex enters.
    WallPlate,
}

/// What a request is put to.
#[derive(Debug, Clone, Copy)]
pub struct Putting<'a> {
    /// The edition that answers.
    pub edition: &'a Edition,
    /// Wiring rules by their name.
    pub rules: &'a [WiringRules],
    /// The day it is.
    pub today: Date,
    /// Whose prices count where the request does not say.
    pub tier: Tier,
}

impl<'a> Putting<'a> {
    /// Put to a snapshot.
    pub fn of(snapshot: &'a Snapshot) -> Self {
        let edition = snapshot.catalogue().edition();
        let (rules, today) = (snapshot.wiring_rules(), snapshot.today());
        Self { edition, rules, today, tier: Tier::Retail }
    }
}

impl NewResolution {
    /// The question in the domain's words, or every field that is wrong.
    pub fn question<'a>(&self, putting: Putting<'a>) -> Result<Question<'a>, Problem> {
        let mut fields = Fields::default();
        let market = putting.edition.market(&self.market);
        let Some(market) = market else {
            if let Some(unknown) = Unknown::market(putting.edition, &self.market) {
                fields.add(unknown.of_field());
            }
            self.note_without_market(putting, &mut fields);
            return Err(fields.finish(()).err().unwrap_or_else(Problem::failed));
        };
        let heat = self.heat(market, &mut fields);
        let room = self.room.as_ref().and_then(|room| room.indoor(&market.code));
        let mut around = surroundings(putting, market, self.place.as_ref(), &mut fields);
        around.room = room.unwrap_or(around.room);
        around.towels_factor = self.towels_factor.unwrap_or(around.towels_factor);
        around.users = self.users.unwrap_or_default().into();
        let preferences = self.preferences(putting.edition, Some(market), &mut fields);
        let day = self.day(putting.today, &mut fields);
        let usual = u32::try_from(OPTIONS_USUAL).unwrap_or(u32::MAX);
        let options_max = usize::try_from(self.options_max.unwrap_or(usual)).unwrap_or(usize::MAX);
        let sought = self.sought(&mut fields);
        let demands =
            Demands { surroundings: around, day, required: None, preferences, options_max, sought };
        fields.finish(Question {
            heat,
            purpose: self.purpose.map_or(Purpose::SoleHeating, Into::into),
            share_percent: self.heat_share_percent,
            tier: self.tier.map_or(putting.tier, Into::into),
            price_per_kwh: self.running.as_ref().map(|running| running.price_per_kwh),
            is_frontier_wanted: self.frontier,
            demands,
        })
    }

    /// What can be found wrong although the market is not known.
    fn note_without_market(&self, putting: Putting<'_>, fields: &mut Fields) {
        if let Some(room) = &self.room
            && !room.boundaries.is_empty()
        {
            fields.within("room", |at| room.room("", at));
        }
        self.preferences(putting.edition, None, fields);
        self.day(putting.today, fields);
    }

    fn heat(&self, market: &Market, fields: &mut Fields) -> HeatQuestion {
        if self.purpose == Some(NewPurpose::TowelWarming) {
            return HeatQuestion::Nothing;
        }
        match (self.heat_requirement_w, &self.room) {
            (Some(watts), _) => HeatQuestion::Given(Watts::new(watts)),
            (None, Some(room)) if room.boundaries.is_empty() => {
                HeatQuestion::Floor(room.floor_m2())
            }
            (None, Some(room)) => {
                let (room, allowances) = checked_room(room, &market.code, fields);
                HeatQuestion::Room(Box::new(room), allowances)
            }
            (None, None) => {
                let detail = "one of heat_requirement_w and room is needed, unless the rail only warms towels";
                fields.push("heat_requirement_w", FieldCode::Missing, detail);
                HeatQuestion::Nothing
            }
        }
    }

    fn preferences(
        &self,
        edition: &Edition,
        market: Option<&Market>,
        fields: &mut Fields,
    ) -> Preferences {
        let Some(wished) = &self.preferences else { return Preferences::default() };
        fields.within("preferences", |at| {
            let finish = wished.finish.as_deref();
            if let Some(unknown) = finish.and_then(|finish| Unknown::finish(edition, finish)) {
                at.add(unknown.of_field());
            }
            Preferences {
                finish: finish.map(Into::into),
                regulation: wished.regulation.map_or(RegulationWish::Either, Into::into),
                wall_control: wished.wall_control,
                time_control: wished.time_control,
                flex_cover: wished.flex_cover,
                budget: market.and_then(|market| wished.budget_in(market, at)),
                accessories: wished.accessories.iter().map(|kind| (*kind).into()).collect(),
            }
        })
    }

    fn day(&self, today: Date, fields: &mut Fields) -> Date {
        let Some(text) = &self.price_date else { return today };
        let parsed =
            text.parse::<Date>().map_err(|_not_a_day| format!("{text} is no day of the calendar"));
        fields.keep("price_date", FieldCode::BadForm, parsed).unwrap_or(today)
    }
}

/// The domain's room, with the faults that only its sum finds noted beside those of other fields.
fn checked_room(room: &NewRoom, market: &str, fields: &mut Fields) -> (Room, Allowances) {
    let mut own = Fields::default();
    let (room, allowances) = room.room(market, &mut own);
    // Where a field is wrong, a stand-in was taken for it, and the sum would find fault with that.
    if own.is_clean()
        && let Err(faults) = heat_requirement(&room, &allowances)
    {
        for fault in &faults {
            own.push_fault(fault);
        }
    }
    if let Err(problem) = own.finish(()) {
        fields
            .within("room", |at| problem.errors().iter().cloned().for_each(|error| at.add(error)));
    }
    (room, allowances)
}

/// The surroundings of a place in a market, for an ordinary household in a room of 20 °C.
pub fn surroundings<'a>(
    putting: Putting<'a>,
    market: &'a Market,
    place: Option<&NewPlace>,
    fields: &mut Fields,
) -> Surroundings<'a> {
    let rules = putting.rules.iter().find(|rules| *rules.id == *market.wiring_rules);
    Surroundings {
        market,
        rules,
        room: ROOM_USUAL,
        towels_factor: 1.0,
        users: Users::default(),
        place: place.map_or_else(Place::default, |place| place.place(market, fields)),
        plan: place.zip(rules).and_then(|(place, rules)| place.planned(rules, fields)),
    }
}

impl From<NewPurpose> for Purpose {
    fn from(purpose: NewPurpose) -> Self {
        match purpose {
            NewPurpose::SoleHeating => Self::SoleHeating,
            NewPurpose::SharedHeating => Self::SharedHeating,
            NewPurpose::TowelWarming => Self::TowelWarming,
        }
    }
}

impl From<NewUsers> for Users {
    fn from(users: NewUsers) -> Self {
        let NewUsers { children, vulnerable, public_building } = users;
        Self { children, vulnerable, public_building }
    }
}

impl From<NewRegulation> for RegulationWish {
    fn from(regulation: NewRegulation) -> Self {
        match regulation {
            NewRegulation::Fixed => Self::Fixed,
            NewRegulation::Adjustable => Self::Adjustable,
            NewRegulation::Either => Self::Either,
        }
    }
}

impl From<NewAccessoryKind> for AccessoryKind {
    fn from(kind: NewAccessoryKind) -> Self {
        match kind {
            NewAccessoryKind::FlexCover => Self::FlexCover,
            NewAccessoryKind::PlugCover => Self::PlugCover,
            NewAccessoryKind::Bracket => Self::Bracket,
            NewAccessoryKind::Inhibitor => Self::Inhibitor,
            NewAccessoryKind::Hook => Self::Hook,
            NewAccessoryKind::Shelf => Self::Shelf,
            NewAccessoryKind::VentKey => Self::VentKey,
            NewAccessoryKind::WallPlate => Self::WallPlate,
        }
    }
}
