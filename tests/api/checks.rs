//! `POST /v1/checks` over the demonstration catalogue: pairs chosen by hand, whose clash a fitter could name.

use serde_json::Value;
use serde_json::json;

use crate::demo::get_json;
use crate::demo::post;
use crate::demo::post_json;
use crate::demo::texts;
use crate::demo::wrong_fields;

const PATH: &str = "/v1/checks";

async fn ask(market: &str, checks: Vec<Value>) -> Vec<Value> {
    let body = json!({ "market": market, "checks": checks });
    post_json(PATH, &body).await["answers"].as_array().unwrap().clone()
}
