//! Numbers as they are written, read without loss.

/// So many digits are kept.
pub const MOST_DIGITS: usize = 15;

/// `mantissa` and `ten` of a number, as `mantissa · 10^ten`; the sign stands before it. Zeros in front of it and at
/// the end of its fraction say nothing. None where more than [`MOST_DIGITS`] digits are left, or none at all.
pub fn read(number: &str) -> Option<(i64, i32)> {
    let (negative, digits) = number.strip_prefix('-').map_or((false, number), |rest| (true, rest));
    let (mut mantissa, mut ten, mut count, mut zeros, mut fraction) = (0i64, 0, 0, 0, false);
    for byte in digits.bytes() {
        match byte {
            b'.' | b',' => fraction = true,
            b'0' if fraction => zeros += 1,
            b'0' if mantissa == 0 => {}
            b'0'..=b'9' => {
                // Zeros of a fraction count where something follows them.
                let places = std::mem::take(&mut zeros) + 1;
                count += places;
                if count > MOST_DIGITS {
                    return None;
                }
                mantissa = mantissa * 10i64.pow(places as u32) + i64::from(byte - b'0');
                ten -= if fraction { places as i32 } else { 0 };
            }
            _ => return None,
        }
    }
    (!digits.is_empty()).then_some((if negative { -mantissa } else { mantissa }, ten))
}
