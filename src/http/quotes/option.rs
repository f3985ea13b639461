//! Which option of an answer is quoted; what was not resolved is not quoted.

use crate::domain::resolver::Bill;
use crate::domain::resolver::Resolution;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::operations::resolve_room::Answer;

/// The bill at a place among the options; why there is none is noted.
pub(super) fn chosen_bill<'b>(
    answer: &'b Answer,
    index: usize,
    at: &mut Fields,
) -> Option<&'b Bill> {
    match &answer.resolution {
        Resolution::Resolved(bills) => {
            let bill = bills.get(index);
            if bill.is_none() {
                let count = bills.len();
                at.push("option", FieldCode::Unknown, format!("there are {count} options"));
            }
            bill
        }
        Resolution::Impossible(explanation) => {
            for conflict in &explanation.conflicts {
                at.push("resolution", FieldCode::Contradiction, conflict.sentence.clone());
            }
            None
        }
        Resolution::Unexplained => {
            let detail = "no bill meets all demands; leave explain out to be told why";
            at.push("resolution", FieldCode::Contradiction, detail);
            None
        }
        Resolution::Undecided { limit, .. } => {
            let detail = format!(
                "the search reached its limit {}; nothing is quoted unproved",
                limit.word()
            );
            at.push("resolution", FieldCode::Contradiction, detail);
            None
        }
    }
}
