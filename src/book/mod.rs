//! Names bound: the board, its devices, and the show on it, its scenes, songs, sets and slots. Knows nothing of cells.

pub mod amount;
pub mod answers;
pub mod beat;
pub mod board;
pub mod device;
pub mod electric;
pub mod fault;
pub mod helper;
pub mod inside;
pub mod mentions;
pub mod message;
pub mod night;
pub mod order;
pub mod out;
pub mod rule;
pub mod scene;
pub mod show;
pub mod song;
pub mod time;
pub mod travel;
pub mod words;

mod bind;

pub use amount::Amount;
pub use answers::{Answers, Call};
pub use bind::{LONGEST_LINE, bind, mentions, nfc};
pub use board::{Board, Guitar, Plugged, Switcher, Treadle};
pub use device::{Control, Device, DeviceKind, How, Place, State};
pub use fault::Fault;
pub use helper::{Called, Helper, Kept};
pub use mentions::{Meaning, Mention, Mentions};
pub use night::{Night, Replaced};
pub use order::LoopOrder;
pub use out::Gone;
pub use rule::{Allow, Atom, Bound, Form, Rule};
pub use scene::{ContactValue, Layer, LevelValue, Saying, SayingRange, Scene, Spanned, What};
pub use show::{Fallback, Show};
pub use song::{Note, Part, PartAt, Set, SetItem, Slot, SlotRange, Song};
pub use time::{Presses, Repress, Timing, Ways};
pub use travel::{End, Travel};

/// A whole book.
#[derive(Clone, Debug, Default)]
pub struct Book {
    /// What stands on the floor and behind it.
    pub board: Board,
    /// What is played on it.
    pub show: Show,
    /// Warnings met on purpose.
    pub allows: Vec<Allow>,
    /// Something at the top could not be read: what seems unused may be used there.
    pub broken: bool,
    /// What amends it for one night, if that is what it is.
    pub night: Option<Box<Night>>,
}
