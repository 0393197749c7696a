//! What the studies may spend before they say "not proved".
//!
//! Everything here counts steps that the work itself takes, never time: the same book gives the same bytes on every
//! machine. Each number is many times what the largest book of the benches spends.

/// Steps of the solver that one question over the rules may take: a choice, a letter of what it learns from a
/// contradiction, or a thousand consequences drawn. A question that a musician's rules ask takes some hundreds.
pub const QUESTION: u64 = 4_000_000;

/// Steps of the solver for all questions of one kind together: can all rules be kept, which rows break them, what
/// follows from them. Each kind has its own, so that a hard one does not silence the others.
pub const QUESTIONS: u64 = 8_000_000;

/// Questions that may be spent on making sets of clashing rules smaller.
pub const SMALLER: usize = 3_000;

/// Places that the search for a smallest set may look at: for one candidate, and in all.
pub const MEETING: usize = 20_000;
pub const MEETINGS: u64 = 20_000_000;

/// A smaller set is not looked for above this size: the search goes as deep as the set is large.
pub const LARGEST_SMALLER: usize = 64;

/// Changes of one row that are looked at for a way out; and the rules held against such changes in all rows.
pub const CHANGES: usize = 3_000;
pub const HELD_AGAINST: u64 = 20_000_000;

/// Different ways that the controls moved by pulses can stand, as far as they are followed.
pub const STANDS: usize = 4_096;

/// Ways of coming to a scene, with the controls standing so, as far as they are followed.
pub const ARRIVALS: usize = 2_000_000;

/// Steps of playing through the runs for a better place of the presets, from each first placement: in all, and for each
/// part and each sound; and for exchanging the banks of songs.
pub const PLACED: u64 = 10_000_000;
pub const PLACED_EACH: u64 = 6_000;
pub const BANKS: u64 = 20_000_000;

/// Steps of looking at all ways to store each sound once; and parts of runs that are played in thought.
pub const PLACED_ONCE: u64 = 100_000_000;
pub const PLAYED: u64 = 1_000_000;

/// Pairs of scenes that are held against each other for the nearest one, over all parts that may die.
pub const NEAREST: u64 = 4_000_000;
