//! Two compiled books: what is heard differently, and what must be reprogrammed. Reads no file, and puts nothing into
//! words: subject, kind of fact, old and new value are data.
//!
//! It is a line: who is who (`pairing`, by what rows sound like), what is heard (`heard`), what is stored (`stored`), what
//! to do (`todo`), each entered once; beside it what the files say of the rest (`stated`, `loops`, `leads`, `sets`).

pub mod back;
pub mod beside;
pub mod calls;
pub mod heard;
pub mod helpers;
pub mod leads;
pub mod loops;
pub mod merge;
mod options;
pub mod pairing;
pub mod sets;
pub mod sound;
pub mod stated;
pub mod stored;
pub mod todo;
pub mod unit;

use std::collections::BTreeSet;

use crate::Compiled;
use crate::syntax::fingerprint::fingerprint;
use beside::Known;
use calls::Calls;
use heard::{SceneChange, SongChange};
use helpers::HelperWork;
use loops::{Relabelled, Rewired};
pub use options::Options;
use pairing::Matched;
use sets::SetChange;
use stated::{Area, Stated};
use todo::{StepThrough, Todo, Touched, WorkList};
use unit::Unit;

/// Everything that differs between two books.
pub struct Comparison<'c> {
    /// The book as it was.
    pub old: &'c Compiled,
    /// The book as it is.
    pub new: &'c Compiled,
    /// What is what.
    pub matched: Matched,
    /// Songs that differ: heard.
    pub songs: Vec<SongChange>,
    /// Scenes that differ: heard.
    pub scenes: Vec<SceneChange>,
    /// What to do to the unit: reprogrammed.
    pub list: WorkList,
    /// Switches inside presets to set anew.
    pub switched: Vec<todo::Switched>,
    /// Songs and presets that this reaches.
    pub touched: Touched,
    /// Presets to step through afterwards.
    pub step_through: StepThrough,
    /// Loops that hold another pedal.
    pub rewired: Vec<Rewired>,
    /// Labels to print for pedals that stay in their loop.
    pub relabelled: Vec<Relabelled>,
    /// Presets of helpers that are to be stored otherwise.
    pub helpers: Vec<HelperWork>,
    /// What the computer that calls presets sends otherwise.
    pub calls: Calls,
    /// Leads that differ.
    pub leads: leads::Leads,
    /// Hardware, knobs and rules that differ.
    pub stated: Vec<Stated>,
    /// Sets that differ.
    pub sets: Vec<SetChange>,
    /// The fingerprints of both sources, old and new.
    pub sources: (String, String),
    /// How they were compared.
    pub options: Options,
}

/// Compares two books.
pub fn compare<'c>(old: &'c Compiled, new: &'c Compiled, options: Options) -> Comparison<'c> {
    let matched = pairing::matched(old, new, options.renames);
    let rewired = loops::rewired(old, new, &matched);
    let relabelled = loops::relabelled(old, new, &matched);
    let leads = leads::differences(old, new, &matched);
    let done = || {
        let loops: BTreeSet<u16> = rewired.iter().filter(|r| r.now.is_some()).map(|r| r.number).collect();
        let known = Known::of_book(old);
        (todo::todo((old, &known), new, &matched, options, &loops), sets::differences(old, new, &matched))
    };
    let heard = || {
        let stated = stated::differences(old, new, &matched);
        // A board that differs may sound different in scenes that do not.
        let board = stated.iter().any(|s| s.area == Area::Hardware);
        (heard::heard(old, new, &matched, board), stated)
    };
    let source = |c: &Compiled| fingerprint(&c.files, &c.trees);
    // Songs, slots and sources do not bear on each other.
    let (((todo, sets), ((songs, scenes), stated)), sources) =
        rayon::join(|| rayon::join(done, heard), || rayon::join(|| source(old), || source(new)));
    let Todo { list, switched, touched, step_through } = todo;
    Comparison {
        switched,
        touched,
        step_through,
        stated,
        sets,
        rewired,
        relabelled,
        helpers: helpers::work(old, new),
        calls: calls::differences(old, new, &matched),
        leads,
        list,
        songs,
        scenes,
        old,
        new,
        matched,
        sources,
        options,
    }
}

/// Compares what is known of a unit with a book: nothing is heard, only stored.
pub fn with_unit<'c>((old, unit): (&'c Compiled, &Unit), new: &'c Compiled, options: Options) -> Comparison<'c> {
    let matched = pairing::matched(old, new, false);
    let known = unit.known();
    let Todo { list, switched, touched, step_through } =
        todo::todo((old, &known), new, &matched, options, &BTreeSet::new());
    Comparison {
        switched,
        list,
        touched,
        step_through,
        songs: Vec::new(),
        scenes: Vec::new(),
        rewired: Vec::new(),
        relabelled: Vec::new(),
        helpers: Vec::new(),
        calls: Calls::default(),
        leads: leads::Leads::default(),
        stated: Vec::new(),
        sets: Vec::new(),
        sources: (String::new(), fingerprint(&new.files, &new.trees)),
        old,
        new,
        matched,
        options,
    }
}

impl Comparison<'_> {
    /// True when nothing differs that anybody hears, programs, wires or plays.
    pub fn same(&self) -> bool {
        self.songs.is_empty()
            && self.scenes.is_empty()
            && self.list.work.is_empty()
            && self.switched.is_empty()
            && self.touched.emptied.is_empty()
            && self.stated.is_empty()
            && self.leads.is_empty()
            && self.relabelled.is_empty()
            && self.helpers.is_empty()
            && self.calls.is_empty()
            && self.sets.is_empty()
    }

    /// The statements of one area that differ.
    pub fn of(&self, area: Area) -> impl Iterator<Item = &Stated> {
        self.stated.iter().filter(move |s| s.area == area)
    }
}
