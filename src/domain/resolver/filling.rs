//! The fill of a bill whose body comes empty: worked out once a bill is chosen, not while searching.
//!
//! Absent here: which inhibitor is on the bill, which the completion decides.

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Sku;
use crate::domain::compatibility::pair_fill;
use crate::domain::fill::DoseProducts;
use crate::domain::fill::FillOutcome;
use crate::domain::fill::FillQuestion;
use crate::domain::fill::work_out_fill;
use crate::domain::notice::Notice;

use super::completion::Completion;
use super::query::Query;

/// How the body of a bill is to be filled.
#[derive(Debug, Clone, PartialEq)]
pub struct BillFill {
    /// What was worked out.
    pub question: FillQuestion,
    /// What it came to.
    pub outcome: FillOutcome,
    /// The inhibitor on the bill.
    pub inhibitor: Option<Sku>,
}

/// The fill of a bill; nothing for a body that comes filled, or whose data make no fill.
pub(super) fn bill_fill(
    query: &Query<'_>,
    completion: &Completion,
    body: &Body,
    element: &Element,
) -> Option<BillFill> {
    if body.content.is_filled {
        return None;
    }
    let accessories = query.catalogue.edition().accessories();
    let mut chosen =
        completion.accessories.iter().filter_map(|chosen| accessories.get(chosen.part.index));
    let inhibitor = chosen.find(|accessory| accessory.kind == AccessoryKind::Inhibitor);
    let dose = inhibitor.and_then(|accessory| accessory.dose_ml_per_litre);
    let products = DoseProducts { concentrate_kg_l: None, inhibitor_ml_l: dose.map(f64::from) };
    let question = FillQuestion { products, ..pair_fill(body, Some(element)) };
    let outcome = work_out_fill(&question).ok()?;
    let inhibitor = inhibitor.map(|accessory| accessory.card.sku.clone());
    Some(BillFill { question, outcome, inhibitor })
}

/// Cautions of a body that is to be filled.
pub(super) fn fill_notices(body: &Body, fill: Option<&BillFill>) -> Vec<Notice> {
    if body.content.is_filled {
        return Vec::new();
    }
    let mut notices = vec![Notice::new("body-sold-empty", EMPTY)];
    match fill.map(|fill| &fill.outcome) {
        Some(FillOutcome::Filled(filled)) => notices.extend(filled.notices.iter().cloned()),
        Some(FillOutcome::Refused(refusal)) => {
            notices.push(Notice::new("fill-refused", refusal.sentence()));
        }
        None => notices.push(Notice::new("fill-not-established", UNKNOWN)),
    }
    notices
}

const EMPTY: &str = "The body comes empty: fill it, treat the fill and leave room for expansion before the element is ever \
                     switched on. An element that is switched on dry is destroyed and may burn.";
const UNKNOWN: &str = "The data of body and element make no fill that could be worked out. Ask the maker before filling.";
