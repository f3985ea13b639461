//! How a sample request is answered from an edition, for comparisons.

use serde_json::Value;

use crate::http::json::Draft;
use crate::http::resolutions;
use crate::http::resolutions::NewResolution;
use crate::operations::Snapshot;
use crate::operations::compare_editions::SampleAnswer;

/// Answers a request as `POST /v1/resolutions` would, as far as a comparison looks.
pub fn answer(snapshot: &Snapshot, request: &str) -> SampleAnswer {
    let answered = Draft::<NewResolution>::parse(request.as_bytes())
        .and_then(|order| resolutions::resolve(snapshot, order));
    let view = match answered {
        Ok(view) => serde_json::to_value(&view).unwrap_or(Value::Null),
        Err(problem) => {
            let detail = problem.detail().to_owned();
            let hash = blake3::hash(detail.as_bytes()).to_hex().to_string();
            let detail = Some(detail);
            return SampleAnswer {
                outcome: "refused",
                gross: None,
                parts: Vec::new(),
                hash,
                detail,
            };
        }
    };
    let text = |pointer: &str| view.pointer(pointer).and_then(Value::as_str);
    let gross = text("/options/0/total/gross")
        .zip(text("/options/0/total/currency"))
        .map(|(gross, currency)| format!("{gross} {currency}"));
    SampleAnswer {
        outcome: outcome(text("/outcome").unwrap_or_default()),
        gross,
        parts: parts(&view),
        hash: hash(&view),
        detail: None,
    }
}

fn outcome(word: &str) -> &'static str {
    let known = ["resolved", "impossible", "undecided"];
    known.into_iter().find(|known| *known == word).unwrap_or("refused")
}

fn parts(view: &Value) -> Vec<String> {
    let lines = view.pointer("/options/0/lines").and_then(Value::as_array);
    let line = |line: &Value| {
        let sku = line.get("sku").and_then(Value::as_str).unwrap_or_default();
        let quantity = line.get("quantity").and_then(Value::as_u64).unwrap_or_default();
        format!("{quantity} x {sku}")
    };
    lines.into_iter().flatten().map(line).collect()
}

/// Hash of the answer without the edition's number, which differs always.
fn hash(view: &Value) -> String {
    let mut view = view.clone();
    if let Value::Object(fields) = &mut view {
        fields.shift_remove("edition");
    }
    blake3::hash(view.to_string().as_bytes()).to_hex().to_string()
}
