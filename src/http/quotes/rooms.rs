//! Rooms of a quote on their way into the domain: resolved or checked, and every wrong field.

use jiff::civil::Date;
use serde_json::Value;

use crate::domain::catalogue::Market;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::Tier;
use crate::domain::compatibility::Check;
use crate::domain::compatibility::Outcome;
use crate::domain::compatibility::Surroundings;
use crate::domain::pricing::Line;
use crate::domain::pricing::discount::Discount;
use crate::domain::quote::AskedLine;
use crate::domain::quote::AskedRoom;
use crate::domain::quote::KeptNotice;
use crate::domain::quote::KeptRequirement;
use crate::domain::quote::LineDiscount;
use crate::domain::resolver::Bill;
use crate::domain::resolver::WallSpace;
use crate::domain::units::Celsius;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::http::resolutions::NewResolution;
use crate::http::resolutions::Putting;
use crate::http::resolutions::ResolutionView;
use crate::http::resolutions::refuse;
use crate::http::resolutions::surroundings;
use crate::operations::Snapshot;
use crate::operations::check_parts::Checked;
use crate::operations::check_parts::check;
use crate::operations::desk::Rights;
use crate::operations::resolve_room::Answer;
use crate::operations::resolve_room::resolve_room;

use super::option::chosen_bill;
use super::order::NewQuoteRoom;
use super::sheets::Found;
use super::sheets::sheet_of_bill;
use super::sheets::sheet_of_parts;
use super::sheets::size_mm;
use super::text::StatedDiscount;
use super::text::discount;
use super::text::plain;

/// What every room of a quote is put to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asking<'a> {
    pub snapshot: &'a Snapshot,
    pub market: &'a Market,
    pub day: Date,
    pub tier: Tier,
    pub rights: Rights,
}

/// An answer with the surroundings that it is for.
struct Answered<'a> {
    answer: Answer,
    around: Surroundings<'a>,
    walls: Vec<WallSpace>,
}

impl<'a> Asking<'a> {
    /// A room, its wrong fields noted at the present place.
    pub(super) fn room(
        &self,
        (index, room): (usize, &NewQuoteRoom),
        document: &Value,
        at: &mut Fields,
    ) -> Option<AskedRoom> {
        plain(&room.name, "name", at);
        let asked = match (&room.resolution, room.parts.as_slice()) {
            (Some(resolution), []) => self.resolved(room, resolution, at),
            (None, [_, ..]) => Some(self.chosen(room, at)),
            (Some(_), [_, ..]) => {
                let detail = "a room has either a resolution or parts";
                at.push("parts", FieldCode::Contradiction, detail);
                None
            }
            (None, []) => {
                at.push("parts", FieldCode::Missing, "a room needs a resolution or parts");
                None
            }
        };
        let mut asked = asked?;
        asked.request = document.to_string().into();
        for line in &mut asked.lines {
            line.place = format!("/rooms/{index}{}", line.place).into();
        }
        self.discount_lines((index, room), &mut asked, at);
        Some(asked)
    }

    fn resolved(
        &self,
        room: &NewQuoteRoom,
        resolution: &NewResolution,
        at: &mut Fields,
    ) -> Option<AskedRoom> {
        let foreign = [
            ("users", room.users.is_some()),
            ("place", room.place.is_some()),
            ("room_c", room.room_c.is_some()),
            ("override_reason", room.override_reason.is_some()),
        ];
        for (field, _) in foreign.into_iter().filter(|(_, is_given)| *is_given) {
            let detail = "this goes with parts; a resolution states it for itself";
            at.push(field, FieldCode::Contradiction, detail);
        }
        let answered = at.within("resolution", |inside| self.answer(resolution, inside))?;
        let rank = room.option.unwrap_or(1);
        let index = usize::try_from(rank).unwrap_or(usize::MAX).saturating_sub(1);
        let bill = chosen_bill(&answered.answer, index, at)?.clone();
        let answer = self.kept_answer(&answered.answer, index.saturating_add(1));
        let sheet = sheet_of_bill(
            self.snapshot.catalogue(),
            (room, resolution),
            &bill,
            Found { answer: &answered.answer, around: &answered.around, walls: &answered.walls },
        );
        let asked = asked_room(room, resolution, (answered, bill), answer);
        Some(AskedRoom { sheet: Some(sheet), ..asked })
    }

    fn answer(&self, resolution: &NewResolution, inside: &mut Fields) -> Option<Answered<'a>> {
        if resolution.market != *self.market.code {
            let detail = format!("the quote is for the market {}", self.market.code);
            inside.push("market", FieldCode::Contradiction, detail);
            return None;
        }
        let today = self.day.to_string();
        if resolution.price_date.as_ref().is_some_and(|day| *day != today) {
            let detail = format!("a quote takes the prices of its own day, {today}");
            inside.push("price_date", FieldCode::Contradiction, detail);
            return None;
        }
        if resolution.tier.is_some_and(|tier| Tier::from(tier) != self.tier) {
            let detail = format!("the quote is at {} prices", self.tier.word());
            inside.push("tier", FieldCode::Contradiction, detail);
            return None;
        }
        let putting = Putting { today: self.day, tier: self.tier, ..Putting::of(self.snapshot) };
        let question = inside.take(resolution.question(putting))?;
        let around = question.demands.surroundings.clone();
        let walls = question.demands.sought.walls.clone();
        let answer = resolve_room(self.snapshot, question);
        let answer = answer.map_err(|refusal| refuse(refusal, &self.market.code));
        Some(Answered { answer: inside.take(answer)?, around, walls })
    }

    /// The answer as it would go out, with the chosen option alone.
    fn kept_answer(&self, answer: &Answer, rank: usize) -> Box<str> {
        let view = match ResolutionView::new(answer.clone(), self.market) {
            ResolutionView::Resolved(mut view) => {
                view.options.retain(|option| option.rank == rank);
                ResolutionView::Resolved(view)
            }
            other @ (ResolutionView::Impossible(_)
            | ResolutionView::Unexplained(_)
            | ResolutionView::Undecided(_)) => other,
        };
        serde_json::to_string(&view).unwrap_or_default().into()
    }

    fn chosen(&self, room: &NewQuoteRoom, at: &mut Fields) -> AskedRoom {
        if room.option.is_some() {
            at.push("option", FieldCode::Contradiction, "an option belongs to a resolution");
        }
        let parts = self.parts(room, at);
        let putting = Putting { today: self.day, ..Putting::of(self.snapshot) };
        let mut around = surroundings(putting, self.market, room.place.as_ref(), at);
        around.users = room.users.unwrap_or_default().into();
        around.room = room.room_c.map_or(around.room, Celsius::new);
        let references: Vec<PartRef> = parts.iter().map(|(part, _)| *part).collect();
        let checked = check(self.snapshot, &references, &around);
        let override_reason = self.overridden(room, &checked, at);
        let sheet =
            sheet_of_parts(self.snapshot.catalogue(), room, &references, (&around, &checked));
        let mut notices: Vec<KeptNotice> = checked.notices.iter().map(KeptNotice::from).collect();
        let unsure = checked.findings.iter().filter(|one| one.outcome == Outcome::NotEstablished);
        notices.extend(unsure.map(|finding| KeptNotice {
            code: "not-established".into(),
            text: finding.detail.as_str().into(),
        }));
        if let Some(reason) = &override_reason {
            let text = format!("These parts clash and are quoted all the same: {reason}").into();
            notices.push(KeptNotice { code: "clash-overridden".into(), text });
        }
        AskedRoom {
            name: room.name.as_str().into(),
            size_mm: None,
            requirement: None,
            delivered: checked.delivered,
            place: around.place,
            users: around.users,
            lines: self.lines(&parts),
            checks: checked.findings,
            notices,
            override_reason,
            sheet: Some(sheet),
            request: "".into(),
            answer: "".into(),
        }
    }

    /// The reason that is kept; a clash without one, or without the right to one, is noted.
    fn overridden(
        &self,
        room: &NewQuoteRoom,
        checked: &Checked,
        at: &mut Fields,
    ) -> Option<Box<str>> {
        let reason = room.override_reason.as_deref();
        if let Some(reason) = reason {
            plain(reason, "override_reason", at);
        }
        if reason.is_some() && !self.rights.overrides {
            let detail = "clashes cannot be overridden here: the service was started without --allow-overrides";
            at.push("override_reason", FieldCode::NotSupported, detail);
        }
        if checked.fits() {
            return None;
        }
        if reason.is_none() {
            for clash in checked.findings.iter().filter(|finding| finding.refuses()) {
                let detail = format!("{}: {}", clash.rule, clash.detail);
                at.push("parts", FieldCode::Contradiction, detail);
            }
        }
        reason.map(Into::into)
    }

    fn parts(&self, room: &NewQuoteRoom, at: &mut Fields) -> Vec<(PartRef, u32)> {
        let edition = self.snapshot.catalogue().edition();
        let mut found: Vec<(PartRef, u32)> = Vec::new();
        at.each("parts", &room.parts, |place, asked| {
            let part = Sku::parse(&asked.sku).map_err(|error| error.to_string()).and_then(|sku| {
                let part = edition.find(&sku);
                part.ok_or_else(|| format!("there is no part {sku} in this catalogue"))
            });
            let Some(part) = place.keep("sku", FieldCode::Unknown, part) else { return };
            let is_heart = part.kind == PartKind::Body || part.kind == PartKind::Element;
            if found.iter().any(|(other, _)| *other == part) {
                let detail = format!("{} is named twice", asked.sku);
                place.push("sku", FieldCode::Repeated, detail);
            } else if is_heart && found.iter().any(|(other, _)| other.kind == part.kind) {
                let detail =
                    format!("one {} a room; put the other in a room of its own", part.kind.word());
                place.push("sku", FieldCode::TooMany, detail);
            }
            found.push((part, asked.quantity.unwrap_or(1)));
        });
        found
    }

    /// A line a part, what comes in its carton behind a body.
    fn lines(&self, parts: &[(PartRef, u32)]) -> Vec<AskedLine> {
        let edition = self.snapshot.catalogue().edition();
        let mut lines = Vec::new();
        for (position, (part, quantity)) in parts.iter().enumerate() {
            let Some(card) = edition.card(*part) else { continue };
            let place: Box<str> = format!("/parts/{position}").into();
            let line = |sku: &Sku, count, why: &str, included_with| AskedLine {
                sku: sku.clone(),
                quantity: count,
                why: why.into(),
                included_with,
                discount: None,
                place: place.clone(),
            };
            lines.push(line(&card.sku, *quantity, "chosen by the customer", None));
            let body = edition.bodies().get(part.index).filter(|_| part.kind == PartKind::Body);
            for row in body.into_iter().flat_map(|body| &body.included) {
                let count = row.quantity.saturating_mul(*quantity);
                let with = Some(card.sku.clone());
                lines.push(line(&row.sku, count, "comes in the body's carton", with));
            }
        }
        lines
    }

    fn discount_lines(
        &self,
        (index, room): (usize, &NewQuoteRoom),
        asked: &mut AskedRoom,
        at: &mut Fields,
    ) {
        let mut granted: Vec<(String, Discount, usize)> = Vec::new();
        let mut position = 0_usize;
        at.each("line_discounts", &room.line_discounts, |place, wished| {
            let stated = StatedDiscount {
                percent: wished.percent.as_deref(),
                amount: wished.amount.as_deref(),
                reason: &wished.reason,
            };
            let found = discount(stated, self.market.currency, place);
            if granted.iter().any(|(sku, ..)| *sku == wished.sku) {
                place.push("sku", FieldCode::Repeated, "one discount a line");
            } else if let Some(found) = found {
                granted.push((wished.sku.clone(), found, position));
            }
            let is_there = asked
                .lines
                .iter()
                .any(|line| line.sku.as_str() == wished.sku && line.included_with.is_none());
            if !is_there {
                let detail = format!("no line of this room has the part {:?}", wished.sku);
                place.push("sku", FieldCode::Unknown, detail);
            }
            position = position.saturating_add(1);
        });
        for (sku, found, entry) in granted {
            let place = format!("/rooms/{index}/line_discounts/{entry}").into();
            let mut lines = asked.lines.iter_mut();
            if let Some(line) =
                lines.find(|line| line.sku.as_str() == sku && line.included_with.is_none())
            {
                line.discount = Some(LineDiscount { place, discount: found });
            }
        }
    }
}

fn asked_room(
    room: &NewQuoteRoom,
    resolution: &NewResolution,
    (answered, bill): (Answered<'_>, Bill),
    answer: Box<str>,
) -> AskedRoom {
    let Answered { answer: found, around, walls: _ } = answered;
    // Of several rails, each line says which one it belongs to.
    let why = |number: usize, line: &Line| {
        let rail = bill.rails.iter().position(|rail| rail.lines.contains(&number));
        match rail.filter(|_| 1 < bill.rails.len()) {
            Some(rail) => format!("rail {}: {}", rail.saturating_add(1), line.why).into(),
            None => line.why.as_str().into(),
        }
    };
    let line = |(number, line): (usize, &Line)| AskedLine {
        sku: line.sku.clone(),
        quantity: line.quantity,
        why: why(number, line),
        included_with: line.included_with.clone(),
        discount: None,
        place: "/resolution".into(),
    };
    let requirement = found.requirement.as_ref().map(|requirement| KeptRequirement {
        required: requirement.rail,
        room: requirement.room,
        basis: requirement.basis.word().into(),
        quick_rule: requirement.quick_rule,
    });
    let mut notices: Vec<KeptNotice> = found.notices.iter().map(KeptNotice::from).collect();
    notices.extend(bill.notices.iter().map(KeptNotice::from));
    AskedRoom {
        name: room.name.as_str().into(),
        size_mm: resolution.room.as_ref().map(size_mm),
        requirement,
        delivered: Some(bill.delivered),
        place: around.place,
        users: around.users,
        lines: bill.lines.iter().enumerate().map(line).collect(),
        checks: bill.checks.into_iter().map(Check::into_finding).collect(),
        notices,
        override_reason: None,
        sheet: None,
        request: "".into(),
        answer,
    }
}
