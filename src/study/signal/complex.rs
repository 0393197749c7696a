//! Complex numbers, as far as alternating-current circuits of one node after another need them.

use std::ops::{Add, Mul};

/// A complex number.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Complex {
    /// The real part.
    pub re: f64,
    /// The imaginary part.
    pub im: f64,
}

impl Complex {
    /// One.
    pub const ONE: Complex = Complex { re: 1.0, im: 0.0 };

    /// From its parts.
    pub const fn new(re: f64, im: f64) -> Complex {
        Complex { re, im }
    }

    /// The square of its magnitude.
    pub fn square(self) -> f64 {
        self.re * self.re + self.im * self.im
    }
}

impl Add for Complex {
    type Output = Complex;

    fn add(self, other: Complex) -> Complex {
        Complex::new(self.re + other.re, self.im + other.im)
    }
}

impl Mul for Complex {
    type Output = Complex;

    fn mul(self, other: Complex) -> Complex {
        Complex::new(self.re * other.re - self.im * other.im, self.re * other.im + self.im * other.re)
    }
}

impl Mul<f64> for Complex {
    type Output = Complex;

    fn mul(self, other: f64) -> Complex {
        Complex::new(self.re * other, self.im * other)
    }
}

#[cfg(test)]
mod tests {
    use super::Complex;

    #[test]
    fn i_squared_is_minus_one() {
        let i = Complex::new(0.0, 1.0);
        assert_eq!(i * i, Complex::new(-1.0, 0.0));
        assert_eq!((i + Complex::ONE).square(), 2.0);
        assert_eq!(i * 3.0, Complex::new(0.0, 3.0));
    }
}
