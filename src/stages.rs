//! What the stages made of a book, and the studies of it: each is made when it is first asked for, and once.

use std::sync::{Arc, OnceLock};

use crate::book::{self, Book, Mentions, Set, SetItem};
use crate::fill::Preset;
use crate::fill::free::{self, Filled, Ruled};
use crate::fill::helpers::Helpers;
use crate::ids::{ColumnId, DeviceId, SceneId};
use crate::settle::{self, Table, Value};
use crate::source::{self, Files, Span};
use crate::study::inside::Inside;
use crate::study::route::Route;
use crate::study::rules::{self, Rules};
use crate::study::signal::SignalOverview;
use crate::study::supply::{self, Budget};
use crate::study::walk::{self, Change};
use crate::study::wiring::{self, Wiring};
use crate::study::without::Given;
use crate::study::{self, Momentary, Walk};
use crate::syntax::{self, tree::Tree};

/// The stages' values and faults. Whoever holds a `Compiled` reads them and changes none.
pub struct Stages {
    /// The files of the book.
    pub files: Files,
    /// Their trees, in the same order.
    pub trees: Vec<Tree>,
    /// The paths of files that others stand for tonight.
    pub swapped: Vec<String>,
    /// Mistakes of finding files.
    pub loading: Vec<source::load::Fault>,
    /// Mistakes of reading.
    pub reading: Vec<syntax::fault::Fault>,
    /// The names and what they mean.
    pub book: Book,
    /// Mistakes of binding.
    pub binding: Vec<book::Fault>,
    /// What each scene stores: with chosen free cells, once they are filled.
    pub table: Table,
    /// Mistakes of settling.
    pub settling: Vec<settle::Fault>,
    /// Which scene stands in which slot.
    pub presets: Vec<Preset>,
    /// More scenes than slots.
    pub slots: Option<book::Fault>,
    /// Which preset of each helper each scene calls.
    pub helpers: Helpers,
    /// Whether each stored pulse is right.
    pub momentary: Momentary,
    pub(crate) studies: Studies,
}

/// The studies made so far.
#[derive(Default)]
pub(crate) struct Studies {
    hints: OnceLock<Vec<settle::Fault>>,
    mentions: OnceLock<Mentions>,
    rules: OnceLock<Rules>,
    signal: OnceLock<SignalOverview>,
    telling: OnceLock<Vec<Change>>,
    walk: OnceLock<Walk>,
    supply: OnceLock<Budget>,
    wiring: OnceLock<Wiring>,
    route: OnceLock<Route>,
    inside: OnceLock<Option<Inside>>,
    /// What was chosen for free cells, and the table before that.
    filled: Option<(Filled, Table)>,
}

impl Studies {
    /// None made yet, but what settling may have found on its way.
    pub(crate) fn new(hints: Option<Vec<settle::Fault>>) -> Studies {
        Studies { hints: hints.map_or_else(OnceLock::new, OnceLock::from), ..Studies::default() }
    }
}

impl Stages {
    /// What settling finds that is no mistake: statements without effect, layers that come back.
    pub fn hints(&self) -> &[settle::Fault] {
        self.studies.hints.get_or_init(|| settle::hints(&self.book))
    }

    /// Which name stands where in the book's own files, and what it means. Sets are counted as the files have them.
    pub fn mentions(&self) -> &Mentions {
        self.studies.mentions.get_or_init(|| book::mentions(&self.files, &self.trees, &self.book))
    }

    /// What the rules say.
    pub fn rules(&self) -> &Rules {
        self.studies.rules.get_or_init(|| rules::study(&self.book, self.settled(), &self.presets))
    }

    /// What each scene does to level and treble, as the checks look at it.
    pub fn signal(&self) -> &SignalOverview {
        self.studies.signal.get_or_init(|| SignalOverview::of(&self.book, self.settled()))
    }

    /// The changes inside the sets that there is something to tell of.
    pub fn telling(&self) -> &[Change] {
        self.studies.telling.get_or_init(|| walk::telling(&self.book, self.settled(), &self.presets))
    }

    /// What each change of each set costs.
    pub fn walk(&self) -> &Walk {
        self.studies.walk.get_or_init(|| walk::walk(&self.book, &self.table, &self.presets))
    }

    /// What each outlet of the supplies gives, and what hangs on it.
    pub fn supply(&self) -> &Budget {
        self.studies.supply.get_or_init(|| supply::budget(&self.book.board))
    }

    /// Every lead on the board.
    pub fn wiring(&self) -> &Wiring {
        self.studies.wiring.get_or_init(|| wiring::wiring(&self.book.board))
    }

    /// Where leads run.
    pub fn route(&self) -> &Route {
        self.studies.route.get_or_init(|| Route::of(&self.book.board))
    }

    /// What is looked at when a part dies.
    pub fn given(&self) -> Given<'_> {
        let Stages { book, table, presets, .. } = self;
        Given { book, table, presets, wiring: self.wiring(), route: self.route() }
    }

    /// What stands in an insert or a leg; None on a board without such.
    pub fn inside(&self) -> Option<&Inside> {
        self.studies.inside.get_or_init(|| Inside::of(&self.book.board)).as_ref()
    }

    /// The devices that nobody hears in a scene, as they stand in an insert or a leg; None on a board without such.
    pub fn cut_off(&self, scene: SceneId) -> Option<Arc<[DeviceId]>> {
        Some(self.inside()?.cut_off_in(&self.book, self.settled(), scene))
    }

    /// What was chosen for free cells; None when nothing was.
    pub fn filled(&self) -> Option<&Filled> {
        self.studies.filled.as_ref().map(|(filled, _)| filled)
    }

    /// The table before anything was chosen for its free cells: what is wrong with a book does not hang on the choice.
    pub fn settled(&self) -> &Table {
        self.studies.filled.as_ref().map_or(&self.table, |(_, before)| before)
    }

    /// Chooses values for free cells so that they keep the rules that they could keep; with `least`, such that the fewest
    /// contacts move over the sets.
    pub(crate) fn fill(mut self, least: bool) -> Stages {
        let filled = self.choose(least);
        let before = self.settled().clone();
        self.table = before.clone();
        free::store(&filled, &mut self.table);
        self.studies.walk = OnceLock::new();
        self.studies.filled = Some((filled, before));
        self
    }

    /// One set instead of those of the book. What is stored stays as it is, so pulses are held against the new ways in.
    pub(crate) fn playing(mut self, title: &str, items: Vec<SetItem>) -> Stages {
        self.book.show.sets = vec![Set { title: title.to_owned(), at: Span::new(0, 0, 0), items }];
        self.book.show.sets_alone = true;
        self.momentary = study::momentary::study(&self.book, &self.table, &self.presets);
        (self.studies.telling, self.studies.walk) = (OnceLock::new(), OnceLock::new());
        self
    }

    fn choose(&self, least: bool) -> Filled {
        let (table, logic) = (self.settled(), &self.rules().logic);
        let bound = rules::bound(&self.book, table, &self.presets, logic);
        let ruled: Vec<Ruled<'_>> = bound
            .into_iter()
            .map(|bound| Ruled {
                // What its preset stores.
                scene: self.book.show.base(bound.scene),
                cells: bound.cells.clone(),
                breaks: Box::new(move |row: &dyn Fn(ColumnId) -> Value| bound.breaks(logic, row)),
            })
            .collect();
        free::fill(&self.book, table, &ruled, least)
    }
}
