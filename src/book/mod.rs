//! Names bound: the board, its devices, scenes, songs, sets and slots. Knows nothing of cells.

pub mod amount;
pub mod device;
pub mod electric;
pub mod fault;
pub mod rule;
pub mod scene;
pub mod song;
pub mod time;
pub mod words;

mod bind;

pub use amount::Amount;
pub use bind::{LONGEST_LINE, bind};
pub use device::{Control, Device, DeviceKind, How, Place, State};
pub use fault::Fault;
pub use rule::{Allow, Atom, Bound, Form, Rule};
pub use scene::{ContactValue, Layer, LevelValue, Mix, Said, Saying, Scene, What};
pub use song::{Note, Part, Set, SetItem, Slot, SlotRange, Song};
pub use time::{Presses, Repress, Timing, Ways};

use crate::source::Span;

/// The switcher: how many of everything it has.
#[derive(Clone, Debug, Default)]
pub struct Switcher {
    /// Where it is described.
    pub at: Span,
    /// Loops, numbered from 1.
    pub loops: u16,
    /// The last loop before the split, when the rest sit elsewhere (an amp's effects loop).
    pub split: Option<u16>,
    /// Remote jacks, each with a tip and a ring.
    pub jacks: u16,
    /// Expression ports.
    pub ports: u16,
    /// Steps of an expression port.
    pub steps: u16,
    /// Outputs that may feed an amp.
    pub outputs: u16,
    /// The slots, if banks and switches are stated.
    pub slots: Option<SlotRange>,
    /// Letters of a preset's name that the unit shows.
    pub display: Option<u16>,
    /// Something in the description could not be read: counts are not to be trusted.
    pub faulty: bool,
}

/// A guitar.
#[derive(Clone, Debug)]
pub struct Guitar {
    /// Its name.
    pub name: String,
    /// The text behind the name.
    pub title: Option<String>,
    /// Where it is described.
    pub at: Span,
    /// Its pickup.
    pub pickup: Option<electric::Pickup>,
    /// Its volume control.
    pub volume: Option<electric::Volume>,
    /// The lead from it to the board.
    pub cable: Option<electric::Lead>,
    /// Something in it could not be understood.
    pub faulty: bool,
}

/// A treadle that feeds an expression port.
#[derive(Clone, Debug)]
pub struct Treadle {
    /// Its name.
    pub name: String,
    /// The port, from 1.
    pub port: u16,
    /// Where it is described.
    pub at: Span,
}

/// A fallback: what a scene becomes when a part fails.
#[derive(Clone, Debug)]
pub struct Fallback {
    /// The pedal that fails, as an index of `devices`.
    pub device: Option<usize>,
    /// The scene that cannot be played then.
    pub scene: Option<u32>,
    /// The scene to press instead.
    pub becomes: Option<u32>,
    /// Where it is said.
    pub at: Span,
}

/// A whole book.
#[derive(Clone, Debug, Default)]
pub struct Book {
    /// The board's title.
    pub board: Option<Said<String>>,
    /// The version word.
    pub version: Option<Said<String>>,
    /// The switcher.
    pub switcher: Option<Switcher>,
    /// How it behaves between presets.
    pub timing: Timing,
    /// Which preset may follow which, if it is not the usual.
    pub ways: Option<Said<Ways>>,
    /// Pedals, buffers and amps, in board order: by loop and place in the chains, amps last.
    pub devices: Vec<Device>,
    /// Guitars, by name.
    pub guitars: Vec<Guitar>,
    /// Supplies, by name.
    pub supplies: Vec<electric::Supply>,
    /// Chains of leads: from a guitar first, then by loop.
    pub chains: Vec<electric::Chain>,
    /// The lead between two jacks, unless a chain says otherwise.
    pub patch: Option<electric::Lead>,
    /// The outer jacks of the board.
    pub panel: Option<electric::Panel>,
    /// Treadles, by port.
    pub treadles: Vec<Treadle>,
    /// What every scene has unless it says otherwise.
    pub default: Mix,
    /// Something that the default says, or a statement that may be one, could not be understood: what nobody seems to
    /// settle, it may.
    pub default_faulty: bool,
    /// Layers.
    pub layers: Vec<Layer>,
    /// Scenes, in the order read.
    pub scenes: Vec<Scene>,
    /// All sayings, in one list; a [`Mix`] is a stretch of it.
    pub sayings: Vec<Saying>,
    /// What levels were said to be, each with its saying; in that order.
    pub amounts: Vec<(u32, Amount)>,
    /// The layers that scenes mix in, in one list.
    pub mixed: Vec<(u32, Span)>,
    /// Songs.
    pub songs: Vec<Song>,
    /// Sets.
    pub sets: Vec<Set>,
    /// Slots said for a scene.
    pub pins: Vec<(Slot, u32, Span)>,
    /// Scenes named by what a mistake left out: a slot that is not there, a second song of one title.
    pub mentioned: Vec<u32>,
    /// True when scenes without a pin take the free slots.
    pub auto: bool,
    /// Where slots are laid out, if anywhere.
    pub slots_at: Option<Span>,
    /// The slot that is always right to press.
    pub safe: Option<Said<Slot>>,
    /// Ways out when a part fails.
    pub fallbacks: Vec<Fallback>,
    /// Rules that were understood, in the order read.
    pub rules: Vec<Rule>,
    /// Warnings met on purpose.
    pub allows: Vec<Allow>,
    /// The step in level between two sounds that is too much, in dB, if stated.
    pub limit_step: Option<Said<Amount>>,
    /// Something at the top could not be read: what seems unused may be used there.
    pub broken: bool,
}

impl Book {
    /// The sayings of a scene, a layer or the default.
    pub fn said(&self, mix: Mix) -> &[Saying] {
        self.sayings.get(mix.from as usize..mix.to as usize).unwrap_or(&[])
    }

    /// What a saying says of a level, or of an expression port.
    pub fn amount(&self, saying: u32) -> Option<Amount> {
        let at = self.amounts.binary_search_by_key(&saying, |(of, _)| *of).ok()?;
        self.amounts.get(at).map(|(_, amount)| *amount)
    }

    /// The layers that a scene mixes in, each with the place that says so.
    pub fn layers_of(&self, scene: &Scene) -> &[(u32, Span)] {
        self.mixed.get(scene.layers.from as usize..scene.layers.to as usize).unwrap_or(&[])
    }

    /// A scene by number.
    pub fn scene(&self, id: u32) -> Option<&Scene> {
        self.scenes.get(id as usize)
    }

    /// The pedal in a loop.
    pub fn in_loop(&self, number: u16) -> Option<&Device> {
        self.devices.iter().find(|d| d.loop_at.as_ref().is_some_and(|l| l.value == number))
    }

    /// The sets in the order that outputs use: by name.
    pub fn sets_by_name(&self) -> Vec<&Set> {
        let mut sets: Vec<&Set> = self.sets.iter().collect();
        sets.sort_by(|a, b| a.title.cmp(&b.title));
        sets
    }

    /// The songs by title.
    pub fn songs_by_name(&self) -> Vec<&Song> {
        let mut songs: Vec<&Song> = self.songs.iter().collect();
        songs.sort_by(|a, b| a.title.cmp(&b.title));
        songs
    }
}
