//! Scene books for a pedalboard's loop switcher: conflicts found, presets compiled, gig sheets printed.
//!
//! A text or a file goes in, a [`Compiled`] comes out, whatever is wrong with it; its diagnostics say what that is, its
//! table what each scene stores.
//!
//! ```
//! let book = tipring::compile_texts(&[("quay.scene", "switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song \"Quay\" { bed }
//! ")]);
//! assert_eq!(book.errors(), 0);
//! let bed = book.book.show.scenes.position(|scene| scene.name == "bed").unwrap();
//! let ember = book.book.board.devices.position(|device| device.name == "ember").unwrap();
//! let row = tipring::Row::of(&book.book, &book.table, bed);
//! assert_eq!(row.sounds(ember), tipring::Answer::Yes);
//! ```
//!
//! What is named here is what other programs may lean on. The rooms behind it are open to the tests of this house and to
//! its command line alone: they change without a word.

#[doc(hidden)]
pub mod adopt;
#[doc(hidden)]
pub mod ask;
#[doc(hidden)]
pub mod book;
#[doc(hidden)]
pub mod check;
#[cfg(feature = "cli")]
#[doc(hidden)]
pub mod cli;
#[doc(hidden)]
pub mod compare;
#[doc(hidden)]
pub mod compiled;
#[doc(hidden)]
pub mod driver;
#[doc(hidden)]
pub mod edit;
#[doc(hidden)]
pub mod fill;
#[doc(hidden)]
pub mod guide;
#[doc(hidden)]
pub mod ids;
#[doc(hidden)]
pub mod mend;
#[doc(hidden)]
pub mod near;
#[doc(hidden)]
pub mod print;
#[doc(hidden)]
pub mod settle;
#[doc(hidden)]
pub mod source;
#[doc(hidden)]
pub mod stages;
#[doc(hidden)]
pub mod study;
#[doc(hidden)]
pub mod syntax;
#[doc(hidden)]
pub mod written;

pub use book::{Board, Book, Scene, Show};
pub use check::{Diagnostic, Severity};
pub use compare::{Comparison, compare};
pub use compiled::Compiled;
pub use driver::{Options, compile_path, compile_texts};
pub use ids::{ColumnId, ControlId, DeviceId, Numbered, SceneId};
pub use settle::{Answer, Row, Table, Value};
pub use source::load::CannotOpen;
