//! The reader of lengths, tapers and last digits: no panic, finite lengths, and what the program writes of a length is
//! read again as the same within the writer's rounding.
//!
//! The first byte selects the unit of bare numbers and the decimals of the writer; what follows is the text.

#![no_main]

use libfuzzer_sys::fuzz_target;
use stopwright::input::length::{Amount, Length, LengthForm, TaperForm, half_digit, half_last_digit, parse};
use stopwright::measure::answers::{Given, Value};
use stopwright::measure::table::QUESTIONS;
use stopwright::measure::{Answers, answer};
use stopwright::units::{InchFraction, MM_PER_INCH, Units, Written};

/// The largest length that any file may state, mm; beyond it nothing is written.
const LARGEST: f64 = 6000.0;

fuzz_target!(|data: &[u8]| {
    let Some((flags, text)) = data.split_first() else { return };
    let Ok(text) = std::str::from_utf8(text) else { return };
    let bare = [None, Some(Units::Mm), Some(Units::Inch)][usize::from(flags % 3)];
    let decimals = usize::from(flags / 3 % 5);
    let read = parse(text, bare);
    // A plain length, and nothing else, has a last digit.
    let plain = read.as_ref().is_ok_and(|l| l.within.is_none());
    assert_eq!(half_last_digit(text, bare).is_some(), plain, "{text:?}");
    match read {
        Ok(length) => {
            assert!(length.mm.is_finite(), "{length:?}");
            assert!(length.within.is_none_or(|w| w >= 0.0 && w.is_finite()), "{length:?}");
            as_json(length);
            written(length.mm, decimals);
        }
        Err(no_length) => assert!(!no_length.found.is_empty()),
    }
    for half in [half_last_digit(text, bare), half_digit(text)].into_iter().flatten() {
        assert!(half.is_finite() && half >= 0.0, "{half}");
    }
    if let Ok(form) = serde_json::from_str::<TaperForm>(text)
        && let Ok(taper) = form.read(bare.unwrap_or_default())
    {
        assert!(taper.degrees.is_finite() && taper.within.is_none_or(|w| w.is_finite()), "{taper:?}");
    }
    answered(text, bare == Some(Units::Inch));
});

/// As a file holds it.
fn as_json(length: Length) {
    let value = Amount::Number(length.mm);
    let form = match length.within {
        None => LengthForm::Plain(value),
        Some(within) => LengthForm::Toleranced { value, within: Amount::Number(within) },
    };
    let text = serde_json::to_string(&form).expect("finite");
    let read: LengthForm = serde_json::from_str(&text).expect("as written");
    let read = read.read(Units::Mm).expect("a length");
    // serde_json may be a unit in the last place off; the program's own reader of files is exact.
    let close = |a: f64, b: f64| (a - b).abs() <= 4.0 * f64::EPSILON * b.abs();
    assert!(close(read.mm, length.mm), "{text}: {read:?}");
    assert!(read.within.is_some() == length.within.is_some());
    assert!(read.within.zip(length.within).is_none_or(|(a, b)| close(a, b)), "{text}: {read:?}");
}

/// As drawings and messages write it.
fn written(mm: f64, decimals: usize) {
    let half_decimal = 0.5 * 0.1f64.powi(decimals as i32);
    for (metric, denominator) in [(true, 64), (false, 64), (false, 32), (false, 16)] {
        let shop = Written { mm: metric, inches: !metric, denominator };
        let said = shop.said(mm, decimals);
        assert!(!said.starts_with("-0 "), "{said}");
        if mm.abs() > LARGEST {
            continue;
        }
        let read = parse(&said, None).unwrap_or_else(|e| panic!("{said}: {e}")).mm;
        let rounding = if metric { half_decimal } else { MM_PER_INCH / f64::from(denominator) / 2.0 };
        assert!((read - mm).abs() <= rounding + 1e-9, "{mm}: {said}");
        assert!((read - shop.rounded(mm, decimals)).abs() <= 1e-9 || metric, "{mm}: {said}");
        assert_eq!(shop.said(read, decimals), said);
        assert!((InchFraction::nearest(read, denominator).mm() - read).abs() <= 1e-9 || metric);
    }
}

/// As an answer to every question of a measurement.
fn answered(text: &str, inches: bool) {
    let mut answers = Answers::default();
    if inches {
        answers.put(stopwright::measure::Field::Units, Given::Word("in"));
    }
    for question in QUESTIONS {
        match answer::read(question, text, &answers) {
            Ok(Given::Length(value)) => kept(&value, answers.units()),
            Ok(Given::Pair(pair)) => pair.iter().for_each(|value| kept(value, answers.units())),
            Ok(_) => {}
            Err(refused) => assert!(!refused.found.is_empty() && !refused.allowed.is_empty()),
        }
    }
}

/// A profile holds what was answered, a mean to a tenth of a micrometre.
fn kept(value: &Value, units: Units) {
    let read = LengthForm::Plain(value.amount.clone()).read(units).expect("what an answer became is a length");
    assert!((read.mm - value.mm).abs() <= 6e-5, "{value:?}: {read:?}");
    assert!(value.within >= 0.0 && value.within.is_finite(), "{value:?}");
}
