//! Questions to the demonstration catalogue, drawn from a seed.

#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "dice and short lists"
)]

use jiff::civil::date;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::Side;
use rungwright::domain::compatibility::Catalogue;
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
use rungwright::store::demo::demo_edition;
use rungwright::store::rule_packs::load_all;

/// A stream of numbers, the same for the same seed on every machine.
pub(crate) struct Dice(u64);

impl Dice {
    /// A stream from a seed.
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number below a limit.
    pub(crate) fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (mixed ^ (mixed >> 31)) % limit
    }

    pub(crate) fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }

    pub(crate) fn pick<T: Clone>(&mut self, of: &[T]) -> T {
        let place = usize::try_from(self.below(u64::try_from(of.len()).unwrap())).unwrap();
        of[place].clone()
    }

    pub(crate) fn length(&mut self, low: u64, steps: u64) -> Millimetres {
        Millimetres::new(i32::try_from(low + 50 * self.below(steps)).unwrap())
    }
}

/// The demonstration catalogue, compiled.
pub(crate) fn demo() -> Catalogue {
    Catalogue::compile(Edition::new(1, demo_edition().unwrap()).unwrap())
}

/// The wiring rules of a market of the catalogue.
pub(crate) fn rules_of(catalogue: &Catalogue, market: &str) -> WiringRules {
    let name = &catalogue.edition().market(market).unwrap().wiring_rules;
    load_all().unwrap().into_iter().find(|pack| *pack.id == **name).unwrap()
}

/// A question to a market.
pub(crate) fn question<'a>(
    dice: &mut Dice,
    catalogue: &'a Catalogue,
    market: &str,
    rules: &'a WiringRules,
) -> Demands<'a> {
    let market = catalogue.edition().market(market).unwrap();
    let surroundings = Surroundings {
        market,
        rules: Some(rules),
        room: Celsius::new([18.0, 20.0, 22.0, 24.0, 21.3][usize::try_from(dice.below(5)).unwrap()]),
        towels_factor: if dice.chance(25) { 0.7 } else { 1.0 },
        users: Users {
            children: dice.chance(25),
            vulnerable: dice.chance(10),
            public_building: dice.chance(10),
        },
        place: place(dice, market.regions.first().map(|region| &**region)),
        plan: None,
    };
    let finishes: Vec<Box<str>> = catalogue.edition().content().finishes.keys().cloned().collect();
    let regulations = [
        RegulationWish::Either,
        RegulationWish::Either,
        RegulationWish::Fixed,
        RegulationWish::Adjustable,
    ];
    let wishes = dice.below(3);
    Demands {
        surroundings,
        day: date(2026, 6, 1),
        required: dice
            .chance(85)
            .then(|| Deciwatts::new(i64::try_from(500 + dice.below(9_000)).unwrap())),
        preferences: Preferences {
            finish: dice.chance(50).then(|| dice.pick(&finishes)),
            regulation: dice.pick(&regulations),
            wall_control: dice.chance(15),
            time_control: dice.chance(25),
            flex_cover: dice.chance(20),
            budget: dice
                .chance(40)
                .then(|| Minor::new(i64::try_from(15_000 + dice.below(70_000)).unwrap())),
            accessories: (0..wishes).map(|_| dice.pick(&AccessoryKind::ALL)).collect(),
        },
        options_max: 5,
        sought: Sought::default(),
    }
}

fn place(dice: &mut Dice, region: Option<&str>) -> Place {
    let zones = [Zone::One, Zone::Two, Zone::Two, Zone::Outside, Zone::Outside];
    let bottom = dice.chance(60);
    Place {
        region: region.filter(|_| dice.chance(50)).map(Into::into),
        wall_width: dice.chance(60).then(|| dice.length(350, 30)),
        wall_bottom: bottom.then(|| dice.length(200, 14)),
        wall_height: dice.chance(60).then(|| dice.length(700, 24)),
        zone: dice.chance(60).then(|| dice.pick(&zones)),
        water_jets: dice.chance(10),
        connection_distance: dice.chance(50).then(|| dice.length(200, 24)),
        side: dice.pick(&[Side::Either, Side::Either, Side::Left, Side::Right]),
        wall_type: None,
    }
}
