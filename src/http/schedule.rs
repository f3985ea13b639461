//! On-periods of a day as they come over the wire.

use crate::domain::emission::energy::OnPeriod;
use crate::domain::emission::energy::Schedule;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;

/// The schedule in the field of that name, as `06:00-08:00`; always on when left out.
pub(super) fn schedule(texts: Option<&[String]>, fields: &mut Fields) -> Schedule {
    let Some(texts) = texts else { return Schedule::always() };
    let read = |at: &mut Fields, text: &String| {
        let period = parse_period(text);
        if period.is_none() {
            let detail = format!("{text:?} is no period, such as 06:00-08:00");
            at.push("", FieldCode::BadForm, detail);
        }
        period
    };
    let periods = fields.each("schedule", texts, read);
    let Some(periods) = periods.into_iter().collect::<Option<Vec<OnPeriod>>>() else {
        return Schedule::always();
    };
    Schedule::parse(&periods).unwrap_or_else(|faults| {
        fields.push_faults(&faults);
        Schedule::always()
    })
}

/// `06:00-08:00`; hours beyond the day are read all the same, so that they are refused as what they are.
fn parse_period(text: &str) -> Option<OnPeriod> {
    let (from, to) = text.split_once('-')?;
    Some(OnPeriod { from_minute: parse_minute(from)?, to_minute: parse_minute(to)? })
}

fn parse_minute(text: &str) -> Option<u32> {
    let (hours, minutes) = text.trim().split_once(':')?;
    let digits = |part: &str| {
        let is_pair = part.len() == 2 && part.bytes().all(|byte| byte.is_ascii_digit());
        is_pair.then(|| part.parse::<u32>().ok())?
    };
    let minute = digits(minutes).filter(|minute| *minute < 60)?;
    digits(hours)?.checked_mul(60)?.checked_add(minute)
}
