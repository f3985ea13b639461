//! What is printed can be read again: values of attributes, numbers in thousandths, part numbers, words of closed lists.
#![expect(clippy::arithmetic_side_effects, reason = "numbers far below the limits")]

use std::collections::BTreeSet;

use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::Attachment;
use rungwright::domain::catalogue::Connection;
use rungwright::domain::catalogue::HeatSource;
use rungwright::domain::catalogue::Mates;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::Relation;
use rungwright::domain::catalogue::Role;
use rungwright::domain::catalogue::Severity;
use rungwright::domain::catalogue::Side;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::catalogue::Stock;
use rungwright::domain::catalogue::Thousandths;
use rungwright::domain::catalogue::Value;
use rungwright::domain::catalogue::ValueType;
use rungwright::domain::thread::Thread;
use rungwright::domain::thread::ThreadForm;
use rungwright::domain::thread::ThreadSide;
use rungwright::domain::thread::ThreadSize;

fn check_value(value: &Value) {
    let text = value.to_string();
    assert_eq!(Value::parse(&text, value.value_type()).as_ref(), Some(value), "{text:?}");
}

proptest! {
    #[test]
    fn a_number_in_thousandths(thousandths in -i64::MAX..=i64::MAX) {
        check_value(&Value::Number(Thousandths::new(thousandths)));
    }

    #[test]
    fn a_number_read_is_the_one_written(whole in 0_i64..1_000_000_000, fraction in 0_i64..1_000) {
        // The sum is formed here by another road than the reader's.
        let number = Thousandths::parse(&format!("{whole}.{fraction:03}")).unwrap();
        assert_eq!(i128::from(number.value()), i128::from(whole) * 1_000 + i128::from(fraction));
        let negative = Thousandths::parse(&format!("-{whole}.{fraction:03}")).unwrap();
        assert_eq!(negative.value(), -number.value());
    }

    #[test]
    fn a_text_and_a_set_of_words(text in "[ -~]{1,40}", words in "[a-z0-9 -]{0,60}") {
        check_value(&Value::text(&text));
        let words: BTreeSet<Box<str>> = words.split_whitespace().map(Into::into).collect();
        check_value(&Value::Words(words));
    }

    #[test]
    fn a_flag(flag in any::<bool>()) {
        check_value(&Value::Flag(flag));
    }

    #[test]
    fn a_part_number(text in "[A-Z0-9][A-Z0-9.-]{0,39}") {
        assert_eq!(Sku::parse(&text).unwrap().to_string(), text);
    }

    #[test]
    fn a_text_outside_the_pattern_is_no_part_number(text in "[A-Za-z0-9.-]{0,44}") {
        let starts = text.starts_with(|first: char| first.is_ascii_uppercase() || first.is_ascii_digit());
        let is_plain = !text.contains(|symbol: char| symbol.is_ascii_lowercase());
        let is_sku = starts && is_plain && text.len() <= 40;
        assert_eq!(Sku::parse(&text).is_ok(), is_sku, "{text:?}");
    }

    #[test]
    fn no_text_makes_a_reader_stumble(text in "\\PC{0,60}") {
        for value_type in ValueType::ALL {
            if let Some(value) = Value::parse(&text, value_type) {
                check_value(&value);
            }
        }
        assert!(Sku::parse(&text).is_err() || text.is_ascii());
    }
}

#[test]
fn every_thread() {
    let ends = [ThreadSide::External, ThreadSide::Internal];
    let sided = ThreadForm::ALL.into_iter().flat_map(|form| ends.map(|side| (form, side)));
    let all = sided.flat_map(|half| ThreadSize::ALL.map(|size| (half, size)));
    let mut count = 0_u32;
    for ((form, side), size) in all {
        let text = format!("{} {} {}", form.code(), size.code(), side.code());
        let Ok(thread) = Thread::parse(&text) else { continue };
        count += 1;
        assert_eq!(thread.to_string(), text);
        assert_eq!((thread.form(), thread.size(), thread.side()), (form, size, side));
    }
    // G and NPT on both sides, R outside, Rp and Rc inside, in seven sizes.
    assert_eq!(count, 49_u32);
}

fn check_words<T: Copy + PartialEq + std::fmt::Debug>(
    all: &[T],
    word: impl Fn(T) -> &'static str,
    parse: impl Fn(&str) -> Option<T>,
) {
    for one in all {
        assert_eq!(parse(word(*one)), Some(*one));
        assert_eq!(parse(&format!("{} ", word(*one))), None);
    }
    let words: BTreeSet<&str> = all.iter().map(|one| word(*one)).collect();
    assert_eq!(words.len(), all.len(), "two of {all:?} share a word");
}

#[test]
fn every_word_of_a_closed_list() {
    check_words(&AccessoryKind::ALL, AccessoryKind::word, AccessoryKind::parse);
    check_words(&Attachment::ALL, Attachment::word, Attachment::parse);
    check_words(&Connection::ALL, Connection::word, Connection::parse);
    check_words(&HeatSource::ALL, HeatSource::word, HeatSource::parse);
    check_words(&Mates::ALL, Mates::word, Mates::parse);
    check_words(&PartKind::ALL, PartKind::word, PartKind::parse);
    check_words(&Relation::ALL, Relation::word, Relation::parse);
    check_words(&Role::ALL, Role::word, Role::parse);
    check_words(&Severity::ALL, Severity::word, Severity::parse);
    check_words(&Side::ALL, Side::word, Side::parse);
    check_words(&Stock::ALL, Stock::word, Stock::parse);
    check_words(&ValueType::ALL, ValueType::word, ValueType::parse);
}
