//! Views of bills and findings: what goes out over the wire and what a terminal prints.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::PartKind;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Outcome;
use crate::domain::compatibility::StatedSide;
use crate::domain::notice::Notice;
use crate::domain::pricing::Line;
use crate::domain::pricing::Total;
use crate::domain::resolver::Bill;
use crate::http::filling::BillFillView;
use crate::http::in_use::InUseView;

/// One bill of materials among the options.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OptionView {
    /// 1 is the best.
    pub rank: usize,
    /// What body and element give the room.
    pub delivered_w: f64,
    /// What they give beyond the requirement.
    pub margin_w: f64,
    /// How the pair lives in the room: duty, fluid, towels on, surface.
    pub emission: InUseView,
    /// How the body is to be filled, where it comes empty.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fill: Option<BillFillView>,
    /// Working days until the last part leaves the maker.
    pub lead_days: u16,
    /// Parts, with what comes in the body's carton at no price.
    pub lines: Vec<LineView>,
    /// What is owed.
    pub total: TotalView,
    /// Every rule that speaks about these parts here.
    pub checks: Vec<CheckView>,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
}

/// One line of a bill.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct LineView {
    /// Part number.
    pub sku: String,
    /// `body`, `element`, `control` or `accessory`.
    pub kind: &'static str,
    /// Its name.
    pub name: String,
    /// How many.
    pub quantity: u32,
    /// Net price of one, up to four decimals.
    pub unit_net: String,
    /// Net price of the line.
    pub net: String,
    /// Why it is on the bill.
    pub why: String,
    /// The part in whose carton it comes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub included_with: Option<String>,
    /// Working days until it leaves the maker.
    pub lead_days: u16,
}

/// What is owed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TotalView {
    /// ISO 4217 code.
    pub currency: String,
    /// Sum of the lines.
    pub net: String,
    /// Tax on the sum, rounded once.
    pub tax: String,
    /// Net and tax.
    pub gross: String,
    /// The rate.
    pub tax_rate_percent: String,
}

/// How a rule came out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CheckView {
    /// Stable code of the rule.
    pub rule: String,
    /// `holds`, `warns`, `not_established` or `clashes`.
    pub outcome: &'static str,
    /// What the rule demands and the values that decided.
    pub detail: String,
    /// One side.
    pub left: SideView,
    /// The other side.
    pub right: SideView,
    /// Where the rule is from.
    pub source: String,
    /// How it is known.
    pub evidence: &'static str,
}

/// One side of a comparison.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SideView {
    /// The part, if the side is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sku: Option<String>,
    /// What was compared.
    pub attribute: String,
    /// The value; null when it is not stated.
    pub value: Option<String>,
}

/// A caution to show.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct NoticeView {
    /// Stable code.
    pub code: &'static str,
    /// A sentence or two.
    pub text: String,
}

impl OptionView {
    /// The view of a bill at its place among the options, counted from nought.
    pub fn new(index: usize, bill: &Bill) -> Self {
        Self {
            rank: index.saturating_add(1),
            delivered_w: bill.delivered.watts(),
            margin_w: bill.margin.watts(),
            emission: InUseView::from(&bill.in_use),
            fill: bill.fill.as_ref().map(|fill| BillFillView::new(fill, pair(bill))),
            lead_days: bill.lead_days,
            lines: bill.lines.iter().map(|line| LineView::new(line, &bill.total)).collect(),
            total: TotalView::from(&bill.total),
            checks: bill.checks.iter().map(CheckView::from).collect(),
            notices: notices(&bill.notices, &bill.checks),
        }
    }
}

/// Cautions to show: those at hand, and one for every rule that could not be established, which is never the same as
/// holding.
pub(super) fn notices(given: &[Notice], findings: &[Finding]) -> Vec<NoticeView> {
    let open = findings.iter().filter(|finding| finding.outcome == Outcome::NotEstablished);
    let open =
        open.map(|finding| NoticeView { code: "not-established", text: finding.detail.clone() });
    given.iter().map(NoticeView::from).chain(open).collect()
}

/// Part numbers of body and element.
fn pair(bill: &Bill) -> [&str; 2] {
    let sku = |kind: PartKind| {
        let mut lines = bill.lines.iter().filter(|line| line.kind == kind);
        lines.next().map_or("", |line| line.sku.as_str())
    };
    [sku(PartKind::Body), sku(PartKind::Element)]
}

impl LineView {
    fn new(line: &Line, total: &Total) -> Self {
        Self {
            sku: line.sku.to_string(),
            kind: line.kind.word(),
            name: line.name.to_string(),
            quantity: line.quantity,
            unit_net: line.unit_net.format(total.currency),
            net: total.currency.format(line.net),
            why: line.why.clone(),
            included_with: line.included_with.as_ref().map(ToString::to_string),
            lead_days: line.lead_days,
        }
    }
}

impl From<&Total> for TotalView {
    fn from(total: &Total) -> Self {
        Self {
            currency: total.currency.code().to_owned(),
            net: total.currency.format(total.net),
            tax: total.currency.format(total.tax),
            gross: total.currency.format(total.gross),
            tax_rate_percent: total.rate.percent(),
        }
    }
}

impl From<&Finding> for CheckView {
    fn from(finding: &Finding) -> Self {
        Self {
            rule: finding.rule.clone(),
            outcome: finding.outcome.word(),
            detail: finding.detail.clone(),
            left: SideView::from(&finding.left),
            right: SideView::from(&finding.right),
            source: finding.source.text.to_string(),
            evidence: finding.source.evidence.code(),
        }
    }
}

impl From<&StatedSide> for SideView {
    fn from(side: &StatedSide) -> Self {
        Self {
            sku: side.sku.as_ref().map(ToString::to_string),
            attribute: side.attribute.clone(),
            value: side.value.clone(),
        }
    }
}

impl From<&Notice> for NoticeView {
    fn from(notice: &Notice) -> Self {
        Self { code: notice.code, text: notice.text.clone() }
    }
}
