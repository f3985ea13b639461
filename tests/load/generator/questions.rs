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
///
/// Of a thousand parts or more, 13 to 30 questions in a hundred have no answer: a room may be too cold for its wall
/// whatever is on sale, and the fewer parts there are, the less is wished for.
pub(crate) fn asked<'a>(
    dice: &mut Dice,
    parts: usize,
    market: &'a Market,
    rules: &'a WiringRules,
) -> Asked<'a> {
    let rails_max = [1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 3, 3, 3, 3, 3][dice.below(20)];
    let more = [(0, 0), (0, 4_000), (3_000, 9_000)][rails_max - 1];
    let required = dice.between(1_500, 7_500) + dice.between(more.0, more.1);
    let surroundings = Surroundings {
        market,
        rules: Some(rules),
        room: Celsius::new(dice.pick(&[18.0, 20.0, 22.0, 22.0, 24.0, 23.4])),
        towels_factor: dice.pick(&[1.0, 1.0, 1.0, 0.7]),
        users: Users {
            children: dice.chance(15),
            vulnerable: dice.chance(4),
            public_building: dice.chance(5),
        },
        place: place(dice, parts, rails_max),
        plan: None,
    };
    let demands = Demands {
        surroundings,
        day: date(2026, 6, 1),
        required: dice.chance(92).then(|| Deciwatts::new(i64::from(required))),
        preferences: preferences(dice, parts, required),
        options_max: 1,
        sought: Sought::default(),
    };
    Asked { demands, rails_max }
}

/// From this size on more is wished for.
const LARGE: usize = 10_000;

fn place(dice: &mut Dice, parts: usize, rails_max: usize) -> Place {
    use Zone::One;
    use Zone::Outside;
    use Zone::Two;
    let widths = [(9, 36), (14, 44), (24, 52)][rails_max - 1];
    let zones = [Two, Two, Two, Two, Two, Outside, Outside, One];
    let mut length = |percent, step, (low, high)| {
        dice.chance(percent).then(|| Millimetres::new(dice.between(low, high) * step))
    };
    let wall_width = length(80, 50, widths);
    let wall_height = length(70, 50, (18, 42));
    let connection_distance = length(70, 100, (3, 12));
    Place {
        region: dice.pick(&[Some("england"), Some("england"), None]).map(Into::into),
        wall_width,
        wall_bottom: Some(Millimetres::new(dice.pick(&[200, 400, 600]))),
        wall_height,
        zone: dice.chance(if LARGE <= parts { 60 } else { 20 }).then(|| dice.pick(&zones)),
        water_jets: dice.chance(3),
        connection_distance,
        side: dice.pick(&[Side::Either, Side::Either, Side::Left, Side::Right]),
        wall_type: None,
    }
}

fn preferences(dice: &mut Dice, parts: usize, required: i32) -> Preferences {
    use RegulationWish::Adjustable;
    use RegulationWish::Either;
    use RegulationWish::Fixed;
    let kinds = [
        AccessoryKind::Hook,
        AccessoryKind::Shelf,
        AccessoryKind::WallPlate,
        AccessoryKind::VentKey,
    ];
    let is_large = LARGE <= parts;
    let finish = FINISHES[dice.below(variety(parts).0)];
    let wishes = dice.pick(if is_large { &[0, 0, 1, 2] } else { &[0, 0, 0, 1] });
    let budget = i64::from(required) * 4 + i64::from(dice.between(18_000, 60_000));
    Preferences {
        finish: dice.chance(if is_large { 65 } else { 25 }).then(|| finish.into()),
        regulation: dice.pick(&[Either, Either, Fixed, Adjustable]),
        wall_control: dice.chance(8),
        time_control: dice.chance(12),
        flex_cover: dice.chance(15),
        budget: dice.chance(60).then(|| Minor::new(budget)),
        accessories: (0..wishes).map(|_| dice.pick(&kinds)).collect(),
    }
}
