//! What `serve` prints once it answers: where, and requests to paste.
//!
//! Absent here: logs.

use crate::operations::access::Token;

/// Where the service answers, and examples. In a demonstration with its key, which is shown here and nowhere else.
pub(super) fn text(
    (address, database): (&str, &str),
    demo_key: Option<&Token>,
    has_keys: bool,
) -> String {
    let mut text = format!(
        "Rungwright answers on http://{address} (pages to browse: http://{address}/docs), database {database}.\n"
    );
    match demo_key {
        Some(key) => text.push_str(&demonstration(address, key.reveal())),
        None if has_keys => {}
        None => text.push_str(NO_KEYS),
    }
    text
}

const NO_KEYS: &str = "There is no key yet, so nobody may ask anything. The first is made on this machine:\n\n\
    rungwright keys create --account house --scope operate --label 'first key'\n";

fn demonstration(address: &str, key: &str) -> String {
    format!(
        "The demonstration catalogue is invented: no part, price or maker in it is real.\n\
         Reading is open to this machine. Everything else needs a key; this one is good until the program ends:\n\n\
         {key}\n\n\
         Resolve a bathroom:\n\n\
         curl -s http://{address}/v1/resolutions -H 'content-type: application/json' -d '{RESOLUTION}'\n\n\
         Draft a quote:\n\n\
         curl -s http://{address}/v1/quotes -H 'authorization: Bearer {key}' -H 'idempotency-key: first' \
         -H 'content-type: application/json' -d '{QUOTE}'\n"
    )
}

/// The same room as in the README.
const RESOLUTION: &str = r#"{"market":"gb","room":{"use":"bathroom","length_mm":2600,"width_mm":1900,"height_mm":2400,"indoor_c":22,"outdoor_c":-3,"air_changes_per_hour":1.5,"boundaries":[{"kind":"external_wall","area_m2":6.2,"u_w_m2k":0.45},{"kind":"window","area_m2":0.8,"u_w_m2k":1.6},{"kind":"internal_wall","area_m2":9.0,"u_w_m2k":1.8,"beyond_c":18}]},"users":{"children":true},"place":{"region":"scotland","wall_width_mm":700,"wall_bottom_mm":600,"wall_height_mm":1300,"zone":"2","connection_distance_mm":900},"preferences":{"finish":"matt-black","time_control":true,"accessories":["hook"]}}"#;

/// A body with an element.
const QUOTE: &str = r#"{"market":"gb","rooms":[{"name":"Bathroom","parts":[{"sku":"SRW-B-SCORI-400.700-WH"},{"sku":"SRW-E-SMOOR-300-WH"}]}]}"#;
