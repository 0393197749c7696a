//! Exact amounts: what the user wrote, as a whole number and a power of ten, in the base unit.

use crate::syntax::decimal;
use crate::syntax::units::{self, Dimension, Found, Unit};

/// `mantissa · 10^ten`, in the base unit of its dimension (see [`units::Unit`]).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Amount {
    /// The digits.
    pub mantissa: i64,
    /// The power of ten.
    pub ten: i32,
    /// What it measures.
    pub dimension: Dimension,
    /// The power of ten of the unit that it is said in.
    pub unit: i8,
}

impl Amount {
    /// Reads `-3.5 dB`; None for a number with more digits than are kept, or an unknown unit: reading tells of both.
    pub fn read(text: &str) -> Option<Amount> {
        let split = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-')))?;
        let (number, unit) = text.split_at(split);
        let unit = match units::find(unit.trim()) {
            Found::Unit(unit) => unit,
            Found::Case(meant) => match units::find(meant) {
                Found::Unit(unit) => unit,
                _ => return None,
            },
            Found::No => return None,
        };
        let (mantissa, ten) = decimal::read(number.trim())?;
        Some(Amount { mantissa, ten: unit.ten + ten, dimension: unit.dimension, unit: unit.ten as i8 })
    }

    /// A whole number of percent.
    pub fn percent(number: i64) -> Amount {
        Amount { mantissa: number, ten: 0, dimension: Dimension::Percent, unit: 0 }
    }

    /// A whole number of beats a minute.
    pub const fn bpm(number: i64) -> Amount {
        Amount { mantissa: number, ten: 0, dimension: Dimension::Tempo, unit: 0 }
    }

    /// True when it lies in a range, whichever end is the lower.
    pub fn within(self, from: Amount, to: Amount) -> bool {
        self.step(from, to, 2).is_some()
    }

    /// As a floating-point number in the base unit, correctly rounded.
    pub fn value(self) -> f64 {
        format!("{}e{}", self.mantissa, self.ten).parse().unwrap_or(f64::NAN)
    }

    /// The whole numbers of several amounts over one common power of ten.
    fn common<const N: usize>(amounts: [Amount; N]) -> Option<[i128; N]> {
        let least = amounts.iter().map(|a| a.ten).min()?;
        let mut out = [0i128; N];
        for (slot, amount) in out.iter_mut().zip(amounts) {
            let power = 10i128.checked_pow((amount.ten - least) as u32)?;
            *slot = i128::from(amount.mantissa).checked_mul(power)?;
        }
        Some(out)
    }

    /// True when `self` is the smaller of two; false when they measure different things.
    pub fn below(self, other: Amount) -> bool {
        self.dimension == other.dimension && Amount::common([self, other]).is_some_and(|[a, b]| a < b)
    }

    /// Where `self` stands between `from` and `to`, as a step of `steps`: the port's position
    /// p = (value - from) / (to - from), stored as p·(steps - 1) with halves rounded up.
    ///
    /// None when the value lies outside the range, or the range is empty.
    pub fn step(self, from: Amount, to: Amount, steps: u16) -> Option<u16> {
        let [mut value, mut from, mut to] = Amount::common([self, from, to])?;
        if from > to {
            (value, from, to) = (-value, -from, -to);
        }
        if from == to || value < from || value > to {
            return None;
        }
        let (over, under) = (value - from, to - from);
        let (whole, rest) = share(over, steps.max(1) - 1, under);
        u16::try_from(whole + i128::from(2 * rest >= under)).ok()
    }
}

/// `over · times / under` and the rest, for 0 <= over <= under: bit by bit where the product is too long for a number.
fn share(over: i128, times: u16, under: i128) -> (i128, i128) {
    if let Some(product) = over.checked_mul(i128::from(times)) {
        return (product / under, product % under);
    }
    (0..u16::BITS).rev().fold((0, 0), |(whole, rest), bit| {
        let rest = 2 * rest + if times >> bit & 1 == 1 { over } else { 0 };
        (2 * whole + rest / under, rest % under)
    })
}

/// An amount in the unit it was said in: `60 %`, `800 ms`, `2.2 kohm`.
pub fn show(amount: Amount) -> String {
    let unit = |u: &&Unit| u.dimension == amount.dimension && u.ten == i32::from(amount.unit);
    let name = units::UNITS.iter().find(unit).map_or("", |u| u.name);
    format!("{} {name}", decimal(amount.mantissa, amount.ten - i32::from(amount.unit)))
}

/// One text for one size, whatever unit it was said in: `0.8 s` and `800 ms` have the same.
pub fn size(amount: Amount) -> String {
    format!("{} {:?}", decimal(amount.mantissa, amount.ten), amount.dimension)
}

/// `mantissa · 10^ten` in plain digits.
fn decimal(mantissa: i64, ten: i32) -> String {
    let sign = if mantissa < 0 { "-" } else { "" };
    let mut digits = mantissa.unsigned_abs().to_string();
    if ten >= 0 {
        if mantissa != 0 {
            digits.extend(std::iter::repeat_n('0', ten as usize));
        }
        return format!("{sign}{digits}");
    }
    let places = ten.unsigned_abs() as usize;
    if digits.len() <= places {
        digits.insert_str(0, &"0".repeat(places + 1 - digits.len()));
    }
    let (whole, fraction) = digits.split_at(digits.len() - places);
    let fraction = fraction.trim_end_matches('0');
    let point = if fraction.is_empty() { "" } else { "." };
    format!("{sign}{whole}{point}{fraction}")
}

/// The roundest amount that is stored as this step of a range, in a unit that the range is said in. Where no amount that
/// can be written is, the nearest that can.
pub fn at_step(step: u16, steps: u16, from: Amount, to: Amount) -> Amount {
    let share = f64::from(step) / f64::from(steps.max(2) - 1);
    let value = from.value() + share * (to.value() - from.value());
    let unit = if to.mantissa == 0 { from.unit } else { to.unit };
    let rounded = |ten: i32| {
        let mantissa = (value / 10f64.powi(ten)).round() as i64;
        Amount { mantissa, ten, dimension: from.dimension, unit }
    };
    // The largest amount is below 10^21, and 15 digits are the most that can be written.
    let largest = if value == 0.0 { 0 } else { value.abs().log10().ceil() as i32 };
    let tens = || (largest - 15..=largest).rev();
    tens().map(rounded).find(|a| a.step(from, to, steps) == Some(step)).unwrap_or_else(|| rounded(largest - 15))
}

/// The amount at a share of the way from one end of a range to the other; None when it has too many digits.
pub fn along(from: Amount, to: Amount, percent: Amount) -> Option<Amount> {
    let [from_whole, to_whole] = Amount::common([from, to])?;
    let way = (to_whole - from_whole).checked_mul(i128::from(percent.mantissa))?;
    // In hundredths of what the percentage counts in.
    let small = percent.ten - 2;
    let start = from_whole.checked_mul(10i128.checked_pow(small.unsigned_abs())?)?;
    let (mut whole, mut ten) = (start.checked_add(way)?, from.ten.min(to.ten) + small);
    while whole != 0 && whole % 10 == 0 {
        (whole, ten) = (whole / 10, ten + 1);
    }
    let unit = if to.mantissa == 0 { from.unit } else { to.unit };
    Some(Amount { mantissa: i64::try_from(whole).ok()?, ten, dimension: from.dimension, unit })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amount(text: &str) -> Amount {
        Amount::read(text).unwrap_or_else(|| panic!("{text}"))
    }

    #[test]
    fn reads_units_exactly() {
        assert_eq!(amount("110 pF").value(), 110e-12);
        assert_eq!(amount("7.5kΩ").value(), 7500.0);
        assert_eq!(amount("-6 dB").value(), -6.0);
        assert_eq!(Amount::read("20"), None);
        assert_eq!(Amount::read("1234567890123456 mA"), None);
    }

    #[test]
    fn shows_what_was_meant() {
        for text in ["60 %", "800 ms", "2.2 kohm", "0.5 kohm", "0.05 A", "-6 dB", "0 %", "110 pF", "1 s"] {
            assert_eq!(show(amount(text)), text);
        }
        assert_eq!(show(amount("0.80 s")), "0.8 s");
        assert_eq!(size(amount("0.80 s")), size(amount("800 ms")));
        assert_ne!(size(amount("0.8 s")), size(amount("0.8 V")));
    }

    #[test]
    fn a_step_is_shown_as_what_could_be_said_for_it() {
        // By hand: 64/127 of 90 ms is 45.35 ms, and half a step is 0.35 ms.
        assert_eq!(show(at_step(64, 128, amount("0 ms"), amount("90 ms"))), "45 ms");
        assert_eq!(show(at_step(0, 128, amount("0.2 s"), amount("900 ms"))), "200 ms");
        assert_eq!(show(at_step(127, 128, amount("60 %"), amount("0 %"))), "0 %");
        assert_eq!(show(along(amount("0 %"), amount("60 %"), amount("33 %")).unwrap()), "19.8 %");
        assert_eq!(show(along(amount("-6 dB"), amount("0 dB"), amount("12.5 %")).unwrap()), "-5.25 dB");
    }

    #[test]
    fn halves_go_up_and_ranges_may_be_reversed() {
        // Position by hand: 20 of 0..60 is 1/3; 1/3 of 127 steps is 42.33.
        assert_eq!(amount("20 %").step(amount("0 %"), amount("60 %"), 128), Some(42));
        // 1/2 of 127 is 63.5: up. Reversed, 15 of 60..0 is 3/4; of 127 it is 95.25.
        assert_eq!(amount("30 %").step(amount("0 %"), amount("60 %"), 128), Some(64));
        assert_eq!(amount("15 %").step(amount("60 %"), amount("0 %"), 128), Some(95));
        assert_eq!(amount("30 %").step(amount("60 %"), amount("0 %"), 128), Some(64));
        assert_eq!(amount("0.8 s").step(amount("0 ms"), amount("800 ms"), 128), Some(127));
        assert_eq!(amount("80 %").step(amount("0 %"), amount("60 %"), 128), None);
        assert_eq!(amount("5 %").step(amount("5 %"), amount("5 %"), 128), None);
    }
}
