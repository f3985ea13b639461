//! The emission law against the published table of factors for an exponent of 1.3, all the way through a pair.

use rungwright::domain::emission::ElementDrive;
use rungwright::domain::emission::Emitter;
use rungwright::domain::emission::delivered_output;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Watts;

const SOURCE: &str = "trade table of EN 442 factors, excess temperature over 50 K to the power of 1.3 (read second-hand)";

/// Excess temperature in kelvins, and the factor to three decimals.
const ROWS: [(f64, f64); 15] = [
    (5.0, 0.050),
    (10.0, 0.123),
    (15.0, 0.209),
    (20.0, 0.304),
    (25.0, 0.406),
    (30.0, 0.515),
    (35.0, 0.629),
    (40.0, 0.748),
    (45.0, 0.872),
    (50.0, 1.000),
    (55.0, 1.132),
    (60.0, 1.267),
    (65.0, 1.406),
    (70.0, 1.549),
    (75.0, 1.694),
];

#[test]
fn an_element_that_is_strong_enough_delivers_the_published_share_at_its_set_point() {
    let body = Emitter { rated: Watts::new(1_000.0), exponent: 1.3, towels_factor: 1.0 };
    for (excess, factor) in ROWS {
        let set_point = Some(Celsius::new(20.0 + excess));
        let drive = ElementDrive { watts: Watts::new(3_000.0), set_point };
        let delivered = delivered_output(&body, drive, Celsius::new(20.0)).value();
        assert!((delivered / 1_000.0 - factor).abs() <= 0.000_5, "{excess} K: {SOURCE}");
        // With fewer watts than that the body never gets so warm, and gives the watts.
        let weak = ElementDrive { watts: Watts::new(delivered - 1.0), set_point };
        let weak = delivered_output(&body, weak, Celsius::new(20.0)).value();
        assert!((weak - (delivered - 1.0)).abs() < 1e-9, "{excess} K");
    }
}
