//! What a rule cannot do without.
//!
//! A need is something that is there anyway, and that only the book can tell: every pedal hangs on some supply, every
//! song has some order. Where the book does not say it, the rule finds nothing, and that proves nothing.

use super::RULES;
use crate::book::Book;
use crate::study::route::Route;

/// What a book may leave unsaid.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Need {
    /// Where the signal goes.
    Chain,
    /// How a guitar sounds.
    Pickup,
    /// What each device states of its circuit. Never wanting as a whole: `missing-value` tells what is.
    Values,
    /// How large a step in level may be.
    Limit,
    /// What follows what.
    Song,
    /// Which switches there are.
    Slots,
    /// How long a device rings on.
    Tail,
    /// What powers the board.
    Supply,
    /// How much of a supply is kept in hand.
    Margin,
}

/// All of them, in the order in which they are told.
pub const NEEDS: [Need; 9] = [
    Need::Chain,
    Need::Pickup,
    Need::Values,
    Need::Limit,
    Need::Song,
    Need::Slots,
    Need::Tail,
    Need::Supply,
    Need::Margin,
];

impl Need {
    /// What is wanting, in words; None where the book says it.
    pub fn wanting(self, book: &Book) -> Option<&'static str> {
        let (said, wanting) = match self {
            Need::Chain => {
                let route = Route::of(&book.board);
                if route.faulty {
                    return Some("a chain could not be understood");
                }
                (route.from_guitar, "no chain leads away from the guitar")
            }
            Need::Pickup => {
                (book.board.guitars.iter().any(|g| g.pickup.is_some()), "no guitar says how its pickup sounds")
            }
            Need::Values => (true, ""),
            Need::Limit => (book.board.limit_step.is_some(), "no `limit level step` says how much is too much"),
            Need::Song => (book.show.songs.iter().any(|s| !s.parts.is_empty()), "no song says what follows what"),
            Need::Slots => {
                let slots = book.board.switcher.as_ref().and_then(|s| s.slots);
                (slots.is_some(), "the switcher states no banks and switches")
            }
            Need::Tail => (book.board.devices.iter().any(|d| d.tail.is_some()), "no device says how long it rings on"),
            Need::Supply => (!book.board.supplies.is_empty(), "no supply is described"),
            // Told where there is a supply that could say it.
            Need::Margin => {
                let silent = !book.board.supplies.is_empty() && book.board.supplies.iter().all(|s| s.margin.is_none());
                (!silent, "no supply says what margin is kept")
            }
        };
        (!said).then_some(wanting)
    }

    /// The codes of the rules that need it.
    pub fn rules(self) -> Vec<&'static str> {
        RULES.iter().filter(|r| r.needs.contains(&self)).map(|r| r.code).collect()
    }
}

/// What this book does not say, and the rules that could not run for want of it.
pub fn wanting(book: &Book) -> Vec<(&'static str, Vec<&'static str>)> {
    NEEDS.iter().filter_map(|need| Some((need.wanting(book)?, need.rules()))).collect()
}
