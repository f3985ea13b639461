//! Random questions, sharpened to lie a hair beside what the catalogue can just do.

use std::sync::LazyLock;

use jiff::civil::date;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::Side;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::Surroundings;
use rungwright::domain::compatibility::Users;
use rungwright::domain::money::Minor;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Preferences;
use rungwright::domain::resolver::RegulationWish;
use rungwright::domain::resolver::Sought;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Millimetres;
use rungwright::domain::zones::Zone;
use rungwright::domain::zones::rules::WiringRules;
use rungwright::store::rule_packs::load_all;

use super::Case;
use super::Dice;

static WIRING_RULES: LazyLock<Vec<WiringRules>> = LazyLock::new(|| load_all().unwrap());

/// What is asked, without the borrowed market and rules.
#[derive(Debug, Clone)]
pub(crate) struct Question {
    pub market: String,
    pub room_c: f64,
    pub towels_factor: f64,
    pub users: Users,
    pub place: Place,
    pub required: Option<Deciwatts>,
    pub preferences: Preferences,
}

impl Question {
    pub(super) fn demands<'a>(&self, edition: &'a Edition) -> Demands<'a> {
        let market = edition.market(&self.market).unwrap();
        Demands {
            surroundings: Surroundings {
                market,
                rules: WIRING_RULES.iter().find(|rules| *rules.id == *market.wiring_rules),
                room: Celsius::new(self.room_c),
                towels_factor: self.towels_factor,
                users: self.users,
                place: self.place.clone(),
                plan: None,
            },
            day: date(2026, 3, 1),
            required: self.required,
            preferences: self.preferences.clone(),
            options_max: 5,
            sought: Sought::default(),
        }
    }
}

/// A question; every other one wishes for little.
pub(super) fn random(dice: &mut Dice) -> Question {
    let mut question = demanding(dice);
    if dice.happens(50) {
        question.place = Place { region: question.place.region, ..Place::default() };
        question.users = Users::default();
        let time_control = question.preferences.time_control;
        question.preferences = Preferences { time_control, ..Preferences::default() };
    }
    question
}

fn length(dice: &mut Dice, percent: usize, from: &[i32]) -> Option<Millimetres> {
    dice.maybe(percent, from).map(Millimetres::new)
}

fn demanding(dice: &mut Dice) -> Question {
    Question {
        market: dice.pick(&["gb", "gb", "ie", "de"]).to_owned(),
        room_c: dice.pick(&[20.0, 22.0]),
        towels_factor: dice.pick(&[1.0, 1.0, 0.5]),
        users: Users {
            children: dice.happens(14),
            vulnerable: dice.happens(14),
            public_building: dice.happens(6),
        },
        place: Place {
            region: dice
                .maybe(80, &["england", "scotland", "wales", "northern-ireland"])
                .map(Into::into),
            wall_width: length(dice, 25, &[399, 400, 550, 600, 700]),
            wall_bottom: length(dice, 60, &[100, 600]),
            wall_height: length(dice, 20, &[790, 1_060, 1_300]),
            zone: dice.maybe(15, &[Zone::One, Zone::Two, Zone::Two, Zone::Outside]),
            water_jets: dice.happens(10),
            connection_distance: length(dice, 30, &[0, 600, 900, 901, 1_100]),
            side: dice.pick(&[
                Side::Either,
                Side::Either,
                Side::Either,
                Side::Either,
                Side::Left,
                Side::Right,
            ]),
            wall_type: None,
        },
        required: None,
        preferences: preferences(dice),
    }
}

fn preferences(dice: &mut Dice) -> Preferences {
    let either = RegulationWish::Either;
    let kinds = [
        AccessoryKind::Hook,
        AccessoryKind::Hook,
        AccessoryKind::PlugCover,
        AccessoryKind::FlexCover,
        AccessoryKind::Inhibitor,
    ];
    let count = dice.pick(&[0, 0, 0, 0, 1, 1, 2, 3]);
    Preferences {
        finish: dice.maybe(15, &["black", "chrome", "white"]).map(Into::into),
        regulation: dice.pick(&[
            either,
            either,
            either,
            RegulationWish::Fixed,
            RegulationWish::Adjustable,
        ]),
        wall_control: dice.happens(8),
        time_control: dice.happens(35),
        flex_cover: dice.happens(15),
        budget: None,
        accessories: (0..count).map(|_| dice.pick(&kinds)).collect(),
    }
}

/// Sets the requirement to what some bill just delivers, or a tenth of a watt beyond, and the budget likewise.
pub(super) fn sharpen(dice: &mut Dice, case: &mut Case) {
    let delivered: Vec<i64> =
        case.oracle(&case.demands()).iter().map(|answer| answer.surplus).collect();
    if !delivered.is_empty() && dice.happens(60) {
        let required = dice.pick(&delivered) + dice.pick(&[-100, 0, 0, 1]);
        case.question.required = (0 < required).then_some(Deciwatts::new(required));
    }
    let prices: Vec<i64> = case.oracle(&case.demands()).iter().map(|answer| answer.gross).collect();
    if !prices.is_empty() && dice.happens(50) {
        let budget = dice.pick(&prices[..prices.len().min(3)]) + dice.pick(&[-1, 0, 0, 1, 500]);
        case.question.preferences.budget = Some(Minor::new(budget));
    }
}
