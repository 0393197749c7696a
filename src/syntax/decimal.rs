//! Numbers as they are written, read without loss.

/// So many digits are kept.
pub const MOST_DIGITS: usize = 15;

/// `mantissa` and `ten` of a number, as `mantissa · 10^ten`; the sign stands before it. Zeros in front of it and at
/// the end of its fraction say nothing. None where more than [`MOST_DIGITS`] digits are left, or none at all.
pub fn read(number: &str) -> Option<(i64, i32)> {
    let (negative, digits) = number.strip_prefix('-').map_or((false, number), |rest| (true, rest));
    let (whole, fraction) = digits.split_once(['.', ',']).unwrap_or((digits, ""));
    let whole = whole.trim_start_matches('0');
    let fraction = fraction.trim_end_matches('0');
    if digits.is_empty() || whole.len() + fraction.len() > MOST_DIGITS {
        return None;
    }
    let mut mantissa = 0;
    for digit in whole.chars().chain(fraction.chars()) {
        mantissa = mantissa * 10 + i64::from(digit.to_digit(10)?);
    }
    Some((if negative { -mantissa } else { mantissa }, -(fraction.len() as i32)))
}
