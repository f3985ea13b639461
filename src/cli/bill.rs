//! Answers as text for a terminal: a bill to read aloud, a refusal to act on.

use crate::http::Problem;
use crate::http::bills::LineView;
use crate::http::bills::NoticeView;
use crate::http::bills::OptionView;
use crate::http::resolutions::ResolutionView;
use crate::http::resolutions::answer::ImpossibleView;
use crate::http::resolutions::answer::RequirementView;
use crate::http::resolutions::explanation::ChangeView;

/// Width of the name column; longer names run on.
const NAME_WIDTH: usize = 46;

/// A resolution as text.
pub(super) fn readable(answer: &ResolutionView) -> String {
    match answer {
        ResolutionView::Resolved(view) => {
            let head = format!(
                "Edition {}, market {}, price list {}\n",
                view.edition, view.market, view.price_list
            );
            let needed = heat(view.heat_requirement.as_ref());
            let options = view.options.iter().map(option).collect::<Vec<_>>().concat();
            format!("{head}{needed}{}{options}", notices(&view.notices))
        }
        ResolutionView::Impossible(view) => impossible(view),
        ResolutionView::Unexplained(view) => {
            let needed = heat(view.heat_requirement.as_ref());
            format!("No bill meets all demands.\n{needed}{}", notices(&view.notices))
        }
        ResolutionView::Undecided(view) => {
            let options = view.best_so_far.iter().map(option).collect::<Vec<_>>().concat();
            let least = view.lower_bound_gross.as_ref();
            let least =
                least.map(|least| format!(" No bill costs less than {least}.")).unwrap_or_default();
            format!("Not decided: the limit {} was reached.{least}\n{options}", view.limit)
        }
    }
}

/// Every wrong field of a refused request, on one line.
pub(super) fn refusal(problem: &Problem) -> String {
    let errors = problem
        .errors()
        .iter()
        .map(|error| format!("{}: {}", error.pointer.as_deref().unwrap_or_default(), error.detail));
    let listed: Vec<String> = errors.collect();
    if listed.is_empty() { problem.detail().to_owned() } else { listed.join("; ") }
}

fn heat(requirement: Option<&RequirementView>) -> String {
    let Some(found) = requirement else { return String::new() };
    let quick = found
        .quick_rule_w
        .map_or_else(String::new, |quick| format!("; the quick rule says {quick:.1} W"));
    format!("Heat required: {:.1} W ({}){quick}\n", found.required_w, found.basis)
}

fn option(option: &OptionView) -> String {
    let total = &option.total;
    let mut text = format!(
        "\nOption {}: {} {} with tax, {:.1} W delivered ({:.1} W to spare), {} days\n",
        option.rank,
        total.gross,
        total.currency,
        option.delivered_w,
        option.margin_w,
        option.lead_days
    );
    let mut told = None;
    for row in &option.lines {
        if row.rail != told {
            told = row.rail;
            text.push_str(&rail(option, row));
        }
        text.push_str(&line(row));
    }
    for (name, amount) in [
        ("net", &total.net),
        (&format!("tax {} %", total.tax_rate_percent), &total.tax),
        ("gross", &total.gross),
    ] {
        let row = format!("  {:>width$} {amount:>10}\n", name, width = NAME_WIDTH + 35);
        text.push_str(&row);
    }
    text.push_str(&notices(&option.notices));
    text
}

/// Where the lines of another rail begin.
fn rail(option: &OptionView, line: &LineView) -> String {
    let Some(rail) = option.rails.iter().find(|rail| Some(rail.rail) == line.rail) else {
        return String::new();
    };
    let wall = rail.wall.map(|wall| format!(" on wall {wall}")).unwrap_or_default();
    format!("  Rail {}{wall}, {:.1} W\n", rail.rail, rail.delivered_w)
}

fn line(line: &LineView) -> String {
    let net = match &line.included_with {
        Some(_) => "included".to_owned(),
        None => line.net.clone(),
    };
    format!(
        "  {:>3} x {:<28} {:<NAME_WIDTH$} {net:>10}\n          {}\n",
        line.quantity, line.sku, line.name, line.why
    )
}

fn impossible(view: &ImpossibleView) -> String {
    let mut text = format!("{}\n", view.conflict.sentence);
    text.push_str(&heat(view.heat_requirement.as_ref()));
    for fact in &view.conflict.facts {
        let row = format!("  {}: {}\n", fact.demand, fact.text);
        text.push_str(&row);
    }
    for other in &view.other_conflicts {
        let row = format!("Besides: {}\n", other.sentence);
        text.push_str(&row);
    }
    for relaxation in &view.relaxations {
        let to = relaxation.to.as_ref().map_or_else(|| "dropped".to_owned(), ToString::to_string);
        let row = format!(
            "  possible with {} {} instead of {}: from {}\n",
            relaxation.demand, to, relaxation.from, relaxation.cheapest_gross
        );
        text.push_str(&row);
    }
    for combined in &view.combined_relaxations {
        let change = |change: &ChangeView| {
            let to = change.to.as_ref().map_or_else(|| "dropped".to_owned(), ToString::to_string);
            format!("{} {} instead of {}", change.demand, to, change.from)
        };
        let changes: Vec<String> = combined.changes.iter().map(change).collect();
        let row = format!(
            "  possible with {} together: from {}\n",
            changes.join(" and "),
            combined.cheapest_gross
        );
        text.push_str(&row);
    }
    text.push_str(&notices(&view.notices));
    text
}

fn notices(notices: &[NoticeView]) -> String {
    let rows: Vec<String> = notices.iter().map(|notice| format!("  ! {}\n", notice.text)).collect();
    rows.concat()
}
