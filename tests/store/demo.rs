//! The demonstration catalogue: as large as promised, whole, and physically plausible.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::f64::consts::PI;

use jiff::civil::date;
use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::Element;
use rungwright::domain::catalogue::HeatSource;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::Regulation;
use rungwright::domain::catalogue::Role;
use rungwright::domain::catalogue::Stated;
use rungwright::domain::catalogue::Value;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::money::UnitPrice;
use rungwright::domain::units::Celsius;
use rungwright::store::demo::demo_edition;

/// Finishes laid on by plating or brushing: they give off less than paint.
const PLATED: [&str; 3] = ["polished-chrome", "brushed-brass", "brushed-steel"];

pub(crate) fn edition() -> Edition {
    let content = demo_edition().unwrap_or_else(|faults| panic!("{}", joined(&faults)));
    Edition::new(1, content).unwrap_or_else(|faults| panic!("{}", joined(&faults)))
}

fn joined<F: ToString>(faults: &[F]) -> String {
    faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

fn range(body: &Body) -> String {
    match body.attribute("range") {
        Some(Value::Text(range)) => range.into(),
        other => panic!("{} has the range {other:?}", body.card.sku),
    }
}

/// Area of the wall that a body covers, square metres.
fn wall_area(body: &Body) -> f64 {
    f64::from(body.size.width.value()) * f64::from(body.size.height.value()) / 1e6
}

/// Width and height, millimetres.
type Size = (i32, i32);

/// A model in one finish.
type Range = (String, Box<str>);

#[test]
fn it_holds_as_many_parts_as_promised() {
    let edition = edition();
    let models: BTreeSet<String> = edition.bodies().iter().map(range).collect();
    assert!(30 <= models.len(), "{} models", models.len());
    assert!(150 <= edition.count(PartKind::Body));
    assert!(80 <= edition.count(PartKind::Element));
    assert!(25 <= edition.count(PartKind::Control));
    assert!(80 <= edition.count(PartKind::Accessory));
}

#[test]
fn nearly_every_model_comes_in_several_sizes_and_finishes() {
    let edition = edition();
    let mut sizes: BTreeMap<String, BTreeSet<Size>> = BTreeMap::new();
    let mut finishes: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for body in edition.bodies() {
        let size = (body.size.width.value(), body.size.height.value());
        sizes.entry(range(body)).or_default().insert(size);
        finishes.entry(range(body)).or_default().insert(&*body.finish);
    }
    for (model, known) in sizes {
        assert!(2 <= known.len(), "{model} has one size");
        assert!(2 <= finishes[&model].len(), "{model} has one finish");
    }
}

#[test]
fn output_grows_with_the_wall_it_covers_within_a_band() {
    for body in edition().bodies() {
        let per_area = body.heat.rated_output.value() / wall_area(body);
        assert!((380.0..=1_450.0).contains(&per_area), "{}: {per_area:.0} W/m2", body.card.sku);
    }
}

#[test]
fn a_larger_size_of_a_model_and_finish_has_more_of_everything() {
    let edition = edition();
    let mut models: BTreeMap<Range, Vec<&Body>> = BTreeMap::new();
    for body in edition.bodies() {
        models.entry((range(body), body.finish.clone())).or_default().push(body);
    }
    let mut compared = 0;
    for bodies in models.values_mut() {
        bodies.sort_by(|left, right| wall_area(left).total_cmp(&wall_area(right)));
        for pair in bodies.windows(2) {
            let (small, large) = (pair[0], pair[1]);
            if wall_area(small) < wall_area(large) {
                compared += 1;
                let name = &large.card.sku;
                assert!(small.heat.rated_output < large.heat.rated_output, "{name} output");
                assert!(small.heat.exponent < large.heat.exponent, "{name} exponent");
                assert!(small.content.volume < large.content.volume, "{name} volume");
                assert!(small.content.dry_mass < large.content.dry_mass, "{name} mass");
            }
        }
    }
    assert!(60 < compared, "only {compared} pairs of sizes");
}

#[test]
fn exponents_are_those_of_tube_radiators() {
    for body in edition().bodies() {
        assert!((1.20..=1.30).contains(&body.heat.exponent), "{}", body.card.sku);
    }
}

#[test]
fn a_litre_of_body_weighs_what_steel_tube_weighs() {
    for body in edition().bodies() {
        let ratio = body.content.dry_mass.value() / body.content.volume.value();
        assert!((1.2..=3.6).contains(&ratio), "{}: {ratio:.2} kg/l", body.card.sku);
    }
}

#[test]
fn plated_finishes_give_off_less_than_paint_of_the_same_size() {
    let edition = edition();
    let mut painted = BTreeMap::new();
    let key = |body: &Body| (range(body), body.size.width.value(), body.size.height.value());
    for body in edition.bodies().iter().filter(|body| !PLATED.contains(&&*body.finish)) {
        painted.insert(key(body), body.heat.rated_output.value());
    }
    let mut compared = 0;
    for body in edition.bodies().iter().filter(|body| PLATED.contains(&&*body.finish)) {
        if let Some(painted) = painted.get(&key(body)) {
            compared += 1;
            let share = body.heat.rated_output.value() / painted;
            assert!((0.6..=0.85).contains(&share), "{}: {share:.2}", body.card.sku);
        }
    }
    assert!(40 < compared, "only {compared} plated bodies have a painted twin");
}

#[test]
fn the_allowed_ratings_bracket_the_rated_output() {
    for body in edition().bodies() {
        let heat = body.heat;
        let ceiling = heat.rated_output.value() * 1.35 + 50.0;
        assert!(heat.watts_min <= heat.watts_max, "{}", body.card.sku);
        assert!(heat.rated_output <= heat.watts_max, "{}", body.card.sku);
        assert!(heat.watts_max.value() <= ceiling, "{}", body.card.sku);
        assert!(
            heat.watts_min <= heat.rated_output || heat.watts_min.value() <= 100.0,
            "{} allows no element near its output",
            body.card.sku
        );
    }
}

#[test]
fn what_comes_in_the_carton_fits_the_body_it_comes_with() {
    let edition = edition();
    let mut cartons = 0;
    for body in edition.bodies() {
        let mut plugs = 0;
        for row in &body.included {
            cartons += 1;
            let accessory = edition.accessory(&row.sku).unwrap();
            let name = format!("{} in the carton of {}", row.sku, body.card.sku);
            if let Some(finish) = &accessory.finish {
                assert_eq!(*finish, body.finish, "{name}");
            }
            if let Some(tube) = &accessory.tube {
                assert_eq!(*tube, body.tube, "{name}");
                assert_eq!(row.quantity, body.bracket_count, "{name}");
            }
            if let Some(thread) = &accessory.thread {
                let size = body.ports.thread.size().code();
                assert!(thread.contains(&format!(" {size} ")), "{name}: {thread}");
                plugs += row.quantity;
            }
        }
        assert!(plugs <= u32::from(body.ports.open_count), "{}", body.card.sku);
    }
    assert!(200 < cartons);
}

#[test]
fn some_cartons_leave_something_to_buy_and_some_do_not() {
    let edition = edition();
    let plugs = |body: &Body| -> u32 {
        let is_plug = |sku| edition.accessory(sku).is_some_and(|found| found.thread.is_some());
        body.included.iter().filter(|row| is_plug(&row.sku)).map(|row| row.quantity).sum()
    };
    let open = |body: &Body| u32::from(body.ports.open_count);
    assert!(edition.bodies().iter().any(|body| plugs(body) == open(body)));
    assert!(edition.bodies().iter().any(|body| 0 < plugs(body) && plugs(body) < open(body)));
    assert!(edition.bodies().iter().any(|body| plugs(body) == 0));
}

#[test]
fn bodies_that_must_be_refused_or_need_thought_are_there() {
    let edition = edition();
    let some = |has: fn(&Body) -> bool| edition.bodies().iter().any(has);
    assert!(some(|body| body.heat_source == HeatSource::CentralHeating));
    assert!(some(|body| body.heat_source == HeatSource::DualFuel));
    assert!(some(|body| body.is_guarded));
    assert!(some(|body| body.content.is_filled));
    assert!(some(|body| body.content.permitted_gauge_kpa.is_none()));
    assert!(some(|body| body.heat.fluid_limit.value() < 80.0));
    for side in ["left", "right", "either"] {
        assert!(edition.bodies().iter().any(|body| body.ports.element_side.word() == side));
    }
    for thread in ["G 1/2 int", "G 3/4 int", "Rp 1/2 int", "Rc 1/2 int"] {
        assert!(edition.bodies().iter().any(|body| body.ports.thread.to_string() == thread));
    }
}

#[test]
fn elements_span_ratings_heads_classes_and_protection() {
    let edition = edition();
    let values = |name: &str| -> BTreeSet<Option<Value>> {
        edition.elements().iter().map(|element| element.attribute(name)).collect()
    };
    let watts = edition.elements().iter().map(|element| element.watts.value());
    assert!(watts.clone().fold(f64::MAX, f64::min) <= 100.0);
    assert!(1_200.0 <= watts.fold(0.0, f64::max));
    assert!(4 <= values("head").len());
    for ip in ["IPX4", "IP44", "IP54", "IPX5", "IP65", "IPX7", "IPX5/IPX7"] {
        assert!(values("ip").contains(&Some(Value::text(ip))), "{ip}");
    }
    assert!(values("ip").contains(&None), "some protection is not stated");
    for class in ["I", "II"] {
        assert!(values("class").contains(&Some(Value::text(class))), "{class}");
    }
}

#[test]
fn elements_span_flexes_cut_outs_and_locks() {
    let edition = edition();
    let flex = edition.elements().iter().map(|element| element.flex.length.value());
    let flex: BTreeSet<i32> = flex.collect();
    assert!(flex.first() <= Some(&1_000) && Some(&2_500) <= flex.last());
    for answer in [Stated::Yes, Stated::No, Stated::NotStated] {
        let has = edition.elements().iter().any(|found| found.safety.thermal_cut_out == answer);
        assert!(has, "{}", answer.word());
    }
    let locks = edition.elements().iter().filter_map(Element::lockable_at);
    let locks: Vec<f64> = locks.map(Celsius::value).collect();
    assert!(locks.iter().any(|lock| *lock <= 43.0) && locks.iter().any(|lock| 43.0 < *lock));
}

#[test]
fn fixed_elements_without_any_set_point_are_there() {
    let edition = edition();
    let uncapped = |element: &&Element| element.regulation == Regulation::Fixed { set_point: None };
    assert!(3 <= edition.elements().iter().filter(uncapped).count());
}

#[test]
fn a_rod_displaces_what_its_length_and_thickness_say() {
    for element in edition().elements() {
        let radius_mm = f64::from(element.shape.sheath_diameter_mm_e1) / 20.0;
        let length_mm = f64::from(element.shape.immersed_length.value());
        let expected_ml = PI * radius_mm * radius_mm * length_mm / 1_000.0;
        let stated_ml = f64::from(element.shape.displacement_ml);
        // Twins with another rod keep the stated displacement of the part they copy.
        assert!((0.35..=2.0).contains(&(stated_ml / expected_ml)), "{}", element.card.sku);
    }
}

#[test]
fn a_flex_carries_its_element() {
    for element in edition().elements() {
        // 0.75 mm2 carries 6 A, 1 mm2 carries 10 A (BS 7671 table 4F3A, read in a secondary copy).
        let amperes_max = if element.flex.area_mm2_e2 < 100 { 6.0 } else { 10.0 };
        assert!(element.watts.value() / 230.0 <= amperes_max, "{}", element.card.sku);
    }
}

#[test]
fn connection_units_state_a_fuse_that_carries_their_load() {
    for control in edition().controls() {
        assert_eq!(control.roles.has(Role::ConnectionUnit), control.fuse_a_max.is_some());
        if let Some(fuse) = control.fuse_a_max {
            assert!(control.load_max.value() <= f64::from(fuse) * 230.0, "{}", control.card.sku);
        }
    }
}

#[test]
fn all_of_it_is_marked_as_invented() {
    let edition = edition();
    for part in edition.parts() {
        let card = edition.card(part).unwrap();
        assert_eq!(card.evidence, Evidence::Invented, "{}", card.sku);
        assert!(card.gtin.as_ref().is_some_and(|gtin| gtin.starts_with("299")), "{}", card.sku);
    }
}

#[test]
fn three_markets_have_a_price_list_for_either_year() {
    let edition = edition();
    for (code, rate) in [("gb", 2_000), ("ie", 2_300), ("de", 1_900)] {
        let market = edition.market(code).unwrap();
        assert_eq!(market.tax_rate.basis_points(), rate);
        assert_eq!(market.tax_source.evidence, Evidence::ReadSecondary);
        let list = |year| edition.price_list(code, date(year, 6, 1)).unwrap();
        assert_eq!(&*list(2026).code, format!("{code}-2026"));
        assert_eq!(&*list(2031).code, format!("{code}-2027"), "the second list is open ended");
        assert_eq!(edition.price_list(code, date(2025, 12, 31)), None);
    }
}

#[test]
fn next_year_costs_about_three_percent_more() {
    let edition = edition();
    for code in ["gb", "ie", "de"] {
        let old = &edition.price_list(code, date(2026, 1, 1)).unwrap().prices;
        let new = &edition.price_list(code, date(2027, 1, 1)).unwrap().prices;
        let sum = |prices: &BTreeMap<_, UnitPrice>| -> i64 {
            prices.values().map(|price| price.value()).sum()
        };
        let per_mille = sum(new) * 1_000 / sum(old);
        assert!((1_020..=1_040).contains(&per_mille), "{code}: {per_mille}");
    }
}

#[test]
fn nearly_every_part_is_priced_everywhere_and_a_few_are_not() {
    let edition = edition();
    for code in ["gb", "ie", "de"] {
        let prices = &edition.price_list(code, date(2026, 1, 1)).unwrap().prices;
        let unpriced = edition.parts().filter(|part| {
            let card = edition.card(*part).unwrap();
            !prices.contains_key(&card.sku)
        });
        let unpriced = unpriced.count();
        assert!((1..=15).contains(&unpriced), "{code}: {unpriced}");
    }
}

#[test]
fn consumables_are_priced_finer_than_a_penny() {
    let edition = edition();
    let prices = &edition.price_list("gb", date(2026, 1, 1)).unwrap().prices;
    assert!(prices.values().any(|price| price.value() % 100 != 0));
}

#[test]
fn a_known_finish_that_no_part_has_is_there() {
    let edition = edition();
    let worn: BTreeSet<&str> = edition.bodies().iter().map(|body| &*body.finish).collect();
    assert!(edition.content().finishes.keys().any(|finish| !worn.contains(&**finish)));
}
