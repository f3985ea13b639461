//! Made-up questions to the made-up catalogues.

use jiff::civil::date;
use rungwright::domain::catalogue::*;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::Surroundings;
use rungwright::domain::compatibility::Users;
use rungwright::domain::money::*;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Preferences;
use rungwright::domain::resolver::RegulationWish;
use rungwright::domain::resolver::Sought;
use rungwright::domain::units::*;
use rungwright::domain::zones::Zone;
use rungwright::domain::zones::rules::WiringRules;

use super::Dice;
use super::FINISHES;
use super::variety;

/// A question and how many rails it allows.
#[derive(Debug, Clone)]
pub(crate) struct Asked<'a> {
    /// The question.
    pub demands: Demands<'a>,
    /// Rails allowed.
    pub rails_max: usize,
}

/// A question to a catalogue of so many parts: 40, 35 and 25 in a hundred allow one, two and three rails.
pub(crate) fn asked<'a>(
    dice: &mut Dice,
    parts: usize,
    market: &'a Market,
    rules: &'a WiringRules,
) -> Asked<'a> {
    let rails_max = [1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 3, 3, 3, 3, 3][dice.below(20)];
    let finish = FINISHES[dice.below(variety(parts).0)];
    let zones = [Zone::Two, Zone::Two, Zone::Two, Zone::Outside, Zone::One];
    let kinds = [
        AccessoryKind::Hook,
        AccessoryKind::Shelf,
        AccessoryKind::WallPlate,
        AccessoryKind::VentKey,
    ];
    let regulations = [
        RegulationWish::Either,
        RegulationWish::Either,
        RegulationWish::Fixed,
        RegulationWish::Adjustable,
    ];
    let required =
        dice.between(1_500, 9_000) + if rails_max == 1 { 0 } else { dice.between(0, 5_000) };
    let wishes = dice.pick(&[0, 0, 1, 2]);
    let budget = i64::from(required) * 4 + i64::from(dice.between(12_000, 50_000));
    let place = Place {
        region: dice.pick(&[Some("england"), Some("england"), None]).map(Into::into),
        wall_width: dice.chance(80).then(|| Millimetres::new(dice.between(9, 36) * 50)),
        wall_bottom: Some(Millimetres::new(dice.pick(&[200, 400, 600]))),
        wall_height: dice.chance(70).then(|| Millimetres::new(dice.between(16, 42) * 50)),
        zone: dice.chance(60).then(|| dice.pick(&zones)),
        water_jets: dice.chance(3),
        connection_distance: dice.chance(70).then(|| Millimetres::new(dice.between(3, 18) * 100)),
        side: dice.pick(&[Side::Either, Side::Either, Side::Left, Side::Right]),
        wall_type: None,
    };
    let demands = Demands {
        surroundings: Surroundings {
            market,
            rules: Some(rules),
            room: Celsius::new(dice.pick(&[18.0, 20.0, 22.0, 22.0, 24.0, 23.4])),
            towels_factor: dice.pick(&[1.0, 1.0, 1.0, 0.7]),
            users: Users {
                children: dice.chance(15),
                vulnerable: dice.chance(4),
                public_building: dice.chance(5),
            },
            place,
            plan: None,
        },
        day: date(2026, 6, 1),
        required: dice.chance(92).then(|| Deciwatts::new(i64::from(required))),
        preferences: Preferences {
            finish: dice.chance(65).then(|| finish.into()),
            regulation: dice.pick(&regulations),
            wall_control: dice.chance(8),
            time_control: dice.chance(15),
            flex_cover: dice.chance(15),
            budget: dice.chance(60).then(|| Minor::new(budget)),
            accessories: (0..wishes).map(|_| dice.pick(&kinds)).collect(),
        },
        options_max: 1,
        sought: Sought::default(),
    };
    Asked { demands, rails_max }
}
