//! Trees to a book: every name bound, every number and unit read, all mistakes at once.

mod absent;
mod amend;
mod board;
mod claims;
mod control;
mod device;
mod electric;
mod engaging;
mod hearing;
mod helper;
mod inside;
mod lacking;
mod leads;
mod legs;
mod line;
mod mention;
mod message;
mod moves;
mod names;
mod order;
mod ordering;
mod rule;
mod saying;
mod scene;
mod set;
mod settings;
mod slots;
mod song;
mod tempo;
mod time;

use std::cell::Cell;
use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;

use super::{Board, Book, Device, Fault, Mentions, Switcher};
use crate::ids::{DeviceId, LayerId, Numbered, SceneId, SongId};
use crate::source::{Files, Span};
use crate::syntax::kind::Kind;
use crate::syntax::registry;
use crate::syntax::tree::{Tree, View};
use amend::Amend;
pub use line::LONGEST_LINE;
use mention::Notes;
use names::Names;
pub use names::nfc;
use settings::Settings;

/// Binds the trees of one book. Trees of shipped descriptions are looked into only by `like`.
pub fn bind(files: &Files, trees: &[Tree]) -> (Book, Vec<Fault>) {
    let (book, faults, _) = bound(files, trees, None);
    (book, faults)
}

/// Where the names of a book stand: it is bound again, and each name noted where it is found. `tonight` is the book that
/// was made of what was bound.
pub fn mentions(files: &Files, trees: &[Tree], tonight: &Book) -> Mentions {
    let (book, _, notes) = bound(files, trees, Some(Notes::default()));
    Mentions::of(notes.list(), &book, tonight, files)
}

fn bound(files: &Files, trees: &[Tree], notes: Option<Notes>) -> (Book, Vec<Fault>, Notes) {
    let mut faults = Vec::new();
    let (amend, night) = Amend::of(files, trees, &mut faults);
    let mut binder = Binder {
        files,
        trees,
        amend: Arc::new(amend),
        book: Book { night, ..Book::default() },
        faults,
        names: Arc::default(),
        devices: Arc::default(),
        settings: Arc::default(),
        songs: FxHashMap::default(),
        renames: None,
        found: Found::default(),
        every: Vec::new(),
        looked: Cell::default(),
        broken: false,
        lacks: Vec::new(),
        switcher_before: None,
        helpers: FxHashMap::default(),
        notes,
    };
    binder.book.broken = files.partial();
    binder.collect();
    binder.board();
    binder.helpers();
    binder.supplies();
    binder.devices();
    binder.kept();
    binder.leads();
    binder.in_board_order();
    binder.devices = Arc::new(binder.book.board.devices.clone());
    binder.settings = Arc::new(Settings::of(&binder.devices));
    binder.hearing();
    binder.layers();
    binder.scenes_and_songs();
    binder.slots();
    binder.rows_apart();
    binder.parts_press();
    binder.rules();
    binder.ways();
    super::beat::play(&mut binder.book);
    binder.out();
    binder.lacking();
    binder.faults.sort_by_key(Fault::at);
    binder.given();
    (binder.book, binder.faults, binder.notes.unwrap_or_default())
}

/// The top-level statements, by kind.
#[derive(Default)]
struct Found<'t> {
    boards: Vec<View<'t>>,
    switchers: Vec<View<'t>>,
    /// What the switcher says of its power: its supply is not bound yet.
    power: Option<View<'t>>,
    devices: Vec<View<'t>>,
    shipped: Vec<View<'t>>,
    guitars: Vec<View<'t>>,
    /// The guitars again: what lets them through is not bound yet.
    heard: Vec<View<'t>>,
    supplies: Vec<View<'t>>,
    chains: Vec<View<'t>>,
    patches: Vec<View<'t>>,
    panels: Vec<View<'t>>,
    treadles: Vec<View<'t>>,
    defaults: Vec<View<'t>>,
    layers: Vec<View<'t>>,
    /// How many: they are many, and are asked of the trees again.
    scenes: usize,
    /// Scenes whose name was taken, in order.
    doubles: Vec<SceneId>,
    sets: Vec<View<'t>>,
    slots: Vec<View<'t>>,
    safes: Vec<View<'t>>,
    fallbacks: Vec<View<'t>>,
    rules: Vec<View<'t>>,
    limits: Vec<View<'t>>,
    allows: Vec<View<'t>>,
    ways: Vec<View<'t>>,
    without: Vec<View<'t>>,
    /// What files described that others stand for tonight: the switcher, and the devices that are not there.
    before: Option<View<'t>>,
    absent: FxHashSet<Span>,
    /// Replaced scenes that the new ones derive from, by name.
    parents: FxHashMap<SmolStr, SceneId>,
}

struct Binder<'t> {
    files: &'t Files,
    trees: &'t [Tree],
    /// What a night's book puts in the place of what.
    amend: Arc<Amend<'t>>,
    book: Book,
    faults: Vec<Fault>,
    names: Arc<Names<'t>>,
    /// The devices once they are all bound: scenes look into them while they write to the book.
    devices: Arc<Numbered<DeviceId, Device>>,
    /// Their controls and states by name.
    settings: Arc<Settings>,
    songs: FxHashMap<SmolStr, Option<SongId>>,
    /// What scenes were called on the last tour, and are called now; gathered when it is first asked.
    renames: Option<FxHashMap<&'t str, &'t str>>,
    found: Found<'t>,
    /// Whole columns of slots: the switch, the scene, and where it is said.
    every: Vec<(u32, SceneId, Span)>,
    /// Questions for the nearest name, and the names looked through for them.
    looked: Cell<(usize, usize)>,
    /// What is bound stands in a statement that could not be read to its end.
    broken: bool,
    /// What is asked of devices that stand for others tonight, and that they lack.
    lacks: Vec<Lack>,
    /// The switcher of a board that another stands for tonight.
    switcher_before: Option<Switcher>,
    /// The loops of the helpers, by name: the number of the first, and how many.
    helpers: FxHashMap<SmolStr, (u16, u16)>,
    /// Which name stands where, when that is asked for.
    notes: Option<Notes>,
}

/// A state or a control that a device lacks which stands for another.
struct Lack {
    device: DeviceId,
    control: String,
    /// The state that is asked for; None where the control itself is not there.
    state: Option<String>,
    has: Arc<[String]>,
    at: Span,
}

/// After so many unknown names the nearest is no longer looked for: something else is wrong.
const MOST_SUGGESTIONS: usize = 200;
/// The same once so many names were compared: ten slips among 100,000 scenes.
const MOST_LOOKED: usize = 1_000_000;

impl<'t> Binder<'t> {
    /// Scenes and songs know each other by name alone, so they are bound at the same time.
    fn scenes_and_songs(&mut self) {
        let found = &mut self.found;
        let sets = std::mem::take(&mut found.sets);
        let mut second = Binder {
            files: self.files,
            trees: self.trees,
            amend: Arc::clone(&self.amend),
            book: Book {
                board: Board { switcher: self.book.board.switcher.clone(), ..Board::default() },
                ..Book::default()
            },
            faults: Vec::new(),
            names: Arc::clone(&self.names),
            devices: Arc::clone(&self.devices),
            settings: Arc::clone(&self.settings),
            songs: std::mem::take(&mut self.songs),
            renames: None,
            found: Found { sets, ..Found::default() },
            every: Vec::new(),
            looked: self.looked.clone(),
            broken: false,
            lacks: Vec::new(),
            switcher_before: None,
            helpers: FxHashMap::default(),
            notes: self.notes.as_ref().map(|_| Notes::default()),
        };
        let play = move || {
            second.songs();
            second.sets();
            let Binder { book, faults, notes, .. } = second;
            (book, faults, notes)
        };
        let ((), (played, faults, notes)) = rayon::join(|| self.scenes(), play);
        (self.book.show.songs, self.book.show.sets) = (played.show.songs, played.show.sets);
        self.book.broken |= played.broken;
        self.book.show.mentioned.extend(played.show.mentioned);
        self.faults.extend(faults);
        if let (Some(all), Some(more)) = (&mut self.notes, notes) {
            all.add(more);
        }
    }

    fn collect(&mut self) {
        let mut names = Names::default();
        let amend = Arc::clone(&self.amend);
        self.found.shipped.extend(
            amend
                .olds()
                .filter(|v| matches!(v.kind(), Kind::Pedal | Kind::Buffer | Kind::Amp | Kind::Helper | Kind::Listener)),
        );
        let statements = self.trees.iter().zip(self.files.iter()).flat_map(|(tree, (_, f))| tree.statements(&f.text));
        let mut before = Vec::new();
        names.reserve(statements.filter(|v| v.kind() != Kind::Song).count());
        for (tree, (_, file)) in self.trees.iter().zip(self.files.iter()) {
            for view in tree.statements(&file.text) {
                if file.replaced {
                    before.push(view);
                    continue;
                }
                if file.shipped {
                    if matches!(view.kind(), Kind::Pedal | Kind::Buffer | Kind::Amp) {
                        self.found.shipped.push(view);
                    }
                    continue;
                }
                if let Some(view) = amend.holds(view) {
                    self.declare(view, &mut names);
                }
            }
        }
        self.before(before, &mut names);
        self.names = Arc::new(names);
    }

    fn declare(&mut self, view: View<'t>, names: &mut Names<'t>) {
        use names::Named;
        let found = &mut self.found;
        let (list, thing) = match view.kind() {
            Kind::Scene => {
                let index = SceneId::nth(found.scenes);
                found.scenes += 1;
                let name = view.child(Kind::Name);
                if self.amend.is_parent(view) {
                    found.doubles.push(index);
                    found.parents.extend(name.map(|name| (SmolStr::from(names::nfc(name.text())), index)));
                    return;
                }
                if name.is_some_and(|name| !names.declare(name, Named::Scene(index), &mut self.faults)) {
                    found.doubles.push(index);
                }
                return;
            }
            Kind::Pedal | Kind::Buffer | Kind::Amp | Kind::Helper | Kind::Listener => {
                (&mut found.devices, Some((|n| Named::Device(DeviceId::nth(n as usize))) as fn(u32) -> Named))
            }
            Kind::Guitar => (&mut found.guitars, Some(Named::Guitar as fn(u32) -> Named)),
            Kind::Treadle => (&mut found.treadles, Some(Named::Treadle as fn(u32) -> Named)),
            Kind::Layer => (&mut found.layers, Some((|n| Named::Layer(LayerId::nth(n as usize))) as fn(u32) -> Named)),
            Kind::Supply => (&mut found.supplies, Some((|_| Named::Supply) as fn(u32) -> Named)),
            Kind::Chain => (&mut found.chains, Some((|_| Named::Chain) as fn(u32) -> Named)),
            Kind::Patch => (&mut found.patches, None),
            Kind::Panel => (&mut found.panels, None),
            Kind::Board => (&mut found.boards, None),
            Kind::Switcher => (&mut found.switchers, None),
            Kind::Default => (&mut found.defaults, None),
            Kind::Set => (&mut found.sets, None),
            Kind::Slots => (&mut found.slots, None),
            Kind::Safe => (&mut found.safes, None),
            Kind::Fallback => (&mut found.fallbacks, None),
            Kind::Rule => (&mut found.rules, None),
            Kind::Limit => (&mut found.limits, None),
            Kind::Allow => (&mut found.allows, None),
            Kind::Ways => (&mut found.ways, None),
            Kind::Without => (&mut found.without, None),
            Kind::Broken => return self.declare_broken(view, names),
            _ => return,
        };
        let index = list.len() as u32;
        list.push(view);
        if let (Some(thing), Some(name)) = (thing, view.child(Kind::Name)) {
            names.declare(name, thing(index), &mut self.faults);
        }
    }

    /// The book's own statements of one kind, in the order read.
    fn all(&self, kind: Kind) -> impl Iterator<Item = View<'t>> + use<'t> {
        let own = self.trees.iter().zip(self.files.iter()).filter(|(_, (_, file))| !file.shipped);
        let amend = Arc::clone(&self.amend);
        let all = own.flat_map(|(tree, (_, file))| tree.statements(&file.text));
        all.filter_map(move |view| amend.holds(view)).filter(move |view| view.kind() == kind)
    }

    /// What a broken statement seems to name is known to exist, and is not asked about further.
    fn declare_broken(&mut self, view: View<'t>, names: &mut Names<'t>) {
        self.book.broken = true;
        let first = view.text().split(|c: char| !c.is_alphanumeric() && c != '-').next().unwrap_or("");
        self.book.show.default_faulty |= first == "default" || !registry::opens_top(first);
        if let Some(name) = view.child(Kind::Name) {
            names.known_to_be_broken(name.text());
        }
        if let Some(title) = view.child(Kind::Text) {
            self.songs.insert(song::key_of(title), None);
        }
    }

    /// A whole number of at most `most`; told when it is not, and None.
    fn count(&mut self, number: View<'t>, least: u32, most: u32, what: &str) -> Option<u32> {
        match number.text().parse::<u32>() {
            Ok(value) if (least..=most).contains(&value) => Some(value),
            _ => {
                let range = format!("a whole number from {least} to {most}");
                let at = number.span();
                self.faults.push(Fault::OutOfRange { at, what: what.to_owned(), range, there: None });
                None
            }
        }
    }

    /// Tells of a name that nothing has, unless it may stand in a file that could not be read.
    fn unknown(&mut self, fault: Fault) {
        if !self.files.partial() {
            self.faults.push(fault);
        }
    }

    /// The nearest of some names, unless too many were asked for already.
    fn near<'c>(&self, word: &str, among: impl Iterator<Item = &'c str>) -> Option<String> {
        let (questions, mut names) = self.looked.get();
        if questions >= MOST_SUGGESTIONS || names >= MOST_LOOKED {
            return None;
        }
        let near = crate::near::nearest(word, among.inspect(|_| names += 1)).map(str::to_owned);
        self.looked.set((questions + 1, names));
        near
    }
}

/// The content of a text leaf, without quotes.
fn content(view: View<'_>) -> String {
    crate::syntax::lexer::unquoted(view.text()).to_owned()
}

/// Facts of one kind may be said once. A block is told by its first words.
fn said_twice(faults: &mut Vec<Fault>, first: Span, view: View<'_>) {
    let head = view.text().split(['{', '\n', '#']).next().unwrap_or("").trim_end();
    let at = Span { end: view.span().start + head.len() as u32, ..view.span() };
    faults.push(Fault::SaidTwice { at, first });
}
