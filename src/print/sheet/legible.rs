//! How large letters must be to be read from where one stands.
//!
//! NUREG-0700 (human-system interface design review guidelines): the height of a label's capitals comes from the
//! viewing distance D and the angle a that they fill in the eye, h = 2·D·tan(a/2); 20 minutes of arc are preferred,
//! 15 are the least.

use crate::print::page::Fonts;
use crate::print::page::fonts::Face;
use crate::print::page::paper::MM;

/// Minutes of arc that the capitals fill.
pub const PREFERRED: f32 = 20.0;
/// The least, for `--small`.
pub const LEAST: f32 = 15.0;

/// The height of the capitals in millimetres, for a distance in metres and an angle in minutes of arc.
pub fn capitals(distance: f32, minutes: f32) -> f32 {
    let half = (minutes / 60.0 / 2.0).to_radians();
    2.0 * distance * 1000.0 * half.tan()
}

/// The size in points at which `H` is that high.
pub fn size(fonts: &Fonts<'_>, distance: f32, minutes: f32) -> f32 {
    let capital = fonts.height('H', Face::Regular).filter(|h| *h > 0.0).unwrap_or(0.7);
    capitals(distance, minutes) * MM / capital
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 2 · 1700 mm · tan(10') = 3400 · 0.0029089 = 9.890 mm; with 7.5', 7.417 mm.
    #[test]
    fn capitals_fill_their_angle() {
        assert!((capitals(1.7, PREFERRED) - 9.890).abs() < 0.002);
        assert!((capitals(1.7, LEAST) - 7.417).abs() < 0.002);
    }
}
