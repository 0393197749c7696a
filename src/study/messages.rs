//! MIDI on the wire: the time of bytes and the length of a quarter note.
//!
//! MIDI 1.0 Detailed Specification v4.2.1 (MMA, February 1996): a byte takes 320 microseconds (p. 1).

/// Time of one byte on the wire, in microseconds: a start bit, eight data bits and a stop bit at 31.25 kbaud.
pub const BYTE_US: u64 = 320;
/// Clock bytes in a quarter note (MIDI 1.0 Detailed Specification, timing clock).
pub const CLOCKS: f64 = 24.0;

/// The time of so many bytes on the wire, in microseconds.
pub fn wire_us(bytes: usize) -> u64 {
    bytes as u64 * BYTE_US
}

/// The time from one beat to the next, in milliseconds.
pub fn beat_ms(bpm: f64) -> f64 {
    60_000.0 / bpm
}

/// A tempo as a file says it: microseconds in a quarter note, to the nearest.
pub fn quarter_us(bpm: f64) -> u32 {
    (60_000_000.0 / bpm).round() as u32
}
