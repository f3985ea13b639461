//! What physics takes from a body and its element, and what it takes where the catalogue is silent.

use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::Element;
use rungwright::domain::catalogue::Regulation;
use rungwright::domain::catalogue::Value;
use rungwright::domain::compatibility::hottest_fluid;
use rungwright::domain::compatibility::pair_capacity;
use rungwright::domain::compatibility::pair_fill;
use rungwright::domain::fill::VentClosing;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Litres;
use rungwright::domain::units::Watts;
use rungwright::store::demo::demo_edition;

/// An empty body of the demonstration and an element of it.
fn pair() -> (Body, Element) {
    let content = demo_edition().unwrap();
    let body = content.bodies.iter().find(|body| !body.content.is_filled).unwrap().clone();
    (body, content.elements.first().unwrap().clone())
}

fn state(body: &mut Body, attribute: &str, word: &str) {
    body.card.attributes.insert(attribute.into(), Value::text(word));
}

#[test]
fn a_tenth_of_what_the_element_leaves_is_air() {
    let (mut body, mut element) = pair();
    body.content.volume = Litres::new(5.0);
    element.shape.displacement_ml = 200;
    assert!((pair_fill(&body, Some(&element)).volume().value() - 4.32).abs() < 1e-12);
    assert!((pair_fill(&body, None).volume().value() - 4.5).abs() < 1e-12);
}

#[test]
fn the_makers_word_on_the_vent_is_taken_and_never_made_up() {
    let (mut body, element) = pair();
    body.card.attributes.remove("vent_closing");
    assert_eq!(pair_fill(&body, Some(&element)).vent_closing, None);
    state(&mut body, "vent_closing", "sealed_hot");
    assert_eq!(pair_fill(&body, Some(&element)).vent_closing, Some(VentClosing::Hot));
    state(&mut body, "vent_closing", "somehow");
    assert_eq!(pair_fill(&body, Some(&element)).vent_closing, None);
}

#[test]
fn an_element_that_nothing_switches_off_is_filled_for_the_limit() {
    let (mut body, mut element) = pair();
    body.heat.rated_output = Watts::new(450.0);
    body.heat.fluid_limit = Celsius::new(90.0);
    element.safety.fluid_limit = Celsius::new(95.0);
    element.regulation = Regulation::Fixed { set_point: Some(Celsius::new(60.0)) };
    assert_eq!(hottest_fluid(&body, Some(&element)), Celsius::new(60.0));
    element.regulation = Regulation::Fixed { set_point: None };
    element.watts = Watts::new(900.0);
    assert_eq!(hottest_fluid(&body, Some(&element)), Celsius::new(90.0));
    // Few watts stay below the limit even under towels.
    element.watts = Watts::new(100.0);
    assert!(hottest_fluid(&body, Some(&element)) < Celsius::new(60.0));
    assert_eq!(hottest_fluid(&body, None), Celsius::new(90.0));
}

#[test]
fn a_stated_metal_stores_what_that_metal_stores() {
    let (mut body, element) = pair();
    let fill = pair_fill(&body, Some(&element));
    body.card.attributes.remove("metal");
    let steel = pair_capacity(&body, &fill).unwrap().value();
    state(&mut body, "metal", "aluminium");
    let aluminium = pair_capacity(&body, &fill).unwrap().value();
    let expected = body.content.dry_mass.value() * (880.0 - 450.0);
    assert!((aluminium - steel - expected).abs() < 1e-6, "{steel} {aluminium}");
}
