//! What a row sounds like: pedals in, their settings, amps that sound. Spanned of devices, not of cells, so that a
//! pedal that moved to another loop sounds as before.

mod fact;
mod rows;

pub use fact::{Fact, Heard, Key};
pub use rows::{Sound, both};
