//! How large letters must be to be read from where one stands.
//!
//! NUREG-0700 (human-system interface design review guidelines): the height of a label's capitals comes from the
//! viewing distance D and the angle a that they fill in the eye, h = 2·D·tan(a/2); 20 minutes of arc are preferred,
//! 15 are the least.

use super::fonts::{Face, Fonts};
use super::paper::MM;

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
    capitals(distance, minutes) * MM / capital(fonts)
}

/// The height of `H` in millimetres, in letters of a size in points.
pub fn high(fonts: &Fonts<'_>, size: f32) -> f32 {
    size * capital(fonts) / MM
}

/// The distance in metres from which capitals of a height in millimetres fill an angle in minutes of arc.
pub fn distance(capitals: f32, minutes: f32) -> f32 {
    let half = (minutes / 60.0 / 2.0).to_radians();
    capitals / (2.0 * half.tan()) / 1000.0
}

/// A distance as it is told: never more than it is.
pub fn told(metres: f32) -> String {
    let digits = if metres < 1.0 { 100.0 } else { 10.0 };
    format!("{} m", (metres * digits).floor() / digits)
}

/// The height of `H` in ems.
fn capital(fonts: &Fonts<'_>) -> f32 {
    fonts.height('H', Face::Regular).filter(|h| *h > 0.0).unwrap_or(0.7)
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

    /// And back: 7 mm fill 20' at 1.203 m and 15' at 1.604 m (7 / (2 · 0.0029089), 7 / (2 · 0.0021817)).
    #[test]
    fn a_distance_is_told_short() {
        assert!((distance(7.0, PREFERRED) - 1.2032).abs() < 0.001);
        assert!((distance(7.0, LEAST) - 1.6043).abs() < 0.001);
        assert_eq!(told(distance(7.0, PREFERRED)), "1.2 m");
        assert_eq!((told(1.29), told(0.999)), ("1.2 m".to_owned(), "0.99 m".to_owned()));
    }
}
