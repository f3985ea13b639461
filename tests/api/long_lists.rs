//! A list longer than its schema allows is refused with its own limit, however long it is.

use serde_json::json;

use crate::demo::post;
use crate::demo::with;
use crate::right_requests::right;

const PATH: &str = "/v1/placements";

#[tokio::test]
async fn every_list_that_is_too_long_is_refused_with_its_own_limit() {
    let corner = json!([0, 0]);
    let outlet = json!({ "at_mm": [0, 350], "z_mm": 2000, "serves": "bath" });
    let opening = json!({ "kind": "door", "a_mm": [2000, 0], "b_mm": [2800, 0], "top_mm": 2000 });
    let (bath, item) = (&right(PATH)["scene"]["fixtures"][0], &right(PATH)["items"][0]);
    for (pointer, entry, most) in [
        ("/scene/corners_mm", &corner, "32"),
        ("/scene/fixtures", bath, "16"),
        ("/scene/outlets", &outlet, "32"),
        ("/scene/openings", &opening, "24"),
        ("/items", item, "64"),
    ] {
        let answer =
            post(PATH, with(right(PATH), pointer, json!(vec![entry; 1_000])).to_string()).await;
        assert_eq!(answer.status, 422, "{pointer}: {}", answer.body);
        let errors = answer.json()["errors"].as_array().unwrap().clone();
        let told = errors.iter().find(|error| error["pointer"] == pointer).unwrap();
        assert_eq!(told["code"], "too-many", "{told}");
        assert!(told["allowed"].as_str().unwrap().ends_with(&format!("to {most}")), "{told}");
    }
    let large = format!("{}{}", right(PATH), " ".repeat(2 << 20));
    let answer = post(PATH, large).await;
    assert_eq!(answer.status, 413);
    assert_eq!(
        answer.json()["detail"],
        "the body is larger than 1572864 bytes, the most that is taken here"
    );
}
