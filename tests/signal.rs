//! What the audio and the power do, against vectors, an outside simulator and netlists written by hand.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

#[path = "signal/books.rs"]
mod books;
#[path = "signal/buffers.rs"]
mod buffers;
#[path = "signal/grounds.rs"]
mod grounds;
#[path = "signal/leads.rs"]
mod leads;
#[path = "signal/limits.rs"]
mod limits;
#[path = "signal/netlists.rs"]
mod netlists;
#[path = "signal/power.rs"]
mod power;
#[path = "signal/spice.rs"]
mod spice;
#[path = "signal/units.rs"]
mod units;
#[path = "signal/vectors.rs"]
mod vectors;
