//! Numbers as models write them, by the hundred thousand: the fewest digits that give the same number again.

/// A length or a part of a direction, plain: `0.4`, `60`, `-12.345`; without an exponent, so for numbers of a model only.
pub(crate) fn plain(text: &mut String, value: f64) {
    let whole = value.round();
    // Exact up to here; minus zero is zero.
    if whole == value && value.abs() < 1e15 {
        if value < 0.0 {
            text.push('-');
        }
        return self::whole(text, value.abs() as usize);
    }
    if value.abs() >= 1e-5 && value.abs() < 1e15 {
        // In this range the library writes no exponent.
        *text += ryu::Buffer::new().format_finite(value);
    } else {
        *text += &value.to_string();
    }
}

/// A whole number.
pub(crate) fn whole(text: &mut String, value: usize) {
    *text += itoa::Buffer::new().format(value);
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    fn written(value: f64) -> String {
        let mut text = String::new();
        super::plain(&mut text, value);
        text
    }

    #[test]
    fn numbers_are_as_short_as_the_standard_librarys() {
        let all =
            [0.0, -0.0, 1.0, -2.0, 0.4, 118.6, 1e-3, 0.001_5, 1e-5, 9.9e-6, 1e-7, -3.5e-9, 1e14, 1e15, 123_456.789];
        for value in all {
            assert_eq!(written(value), (value + 0.0).to_string(), "{value:e}");
        }
    }

    proptest! {
        #[test]
        fn a_number_is_read_back_to_the_last_bit(value in -1e6..1e6_f64, small in -1e-3..1e-3_f64) {
            for value in [value, small, (value * 1000.0).round() / 1000.0] {
                prop_assert_eq!(written(value).parse::<f64>().map(f64::to_bits), Ok((value + 0.0).to_bits()));
                prop_assert!(!written(value).contains('e'));
            }
        }
    }
}
