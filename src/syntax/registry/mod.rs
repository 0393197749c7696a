//! The one registry of productions: what ties `grammar/scene.ebnf`, the parser functions, samples of each
//! production, the words that open statements and those that no name may be, what blocks hold, and where lines line up.

mod board;
mod device;
mod helper;
mod lexical;
mod listener;
mod night;
mod rule;
mod scene;
mod song;

use std::sync::LazyLock;

use nom::Err;
use rustc_hash::{FxHashMap, FxHashSet};

use super::cursor::{Cursor, NoMatch, Res, Sink};
use super::grammar::board::opens_guitar;
use super::grammar::helper::opens_helper;
use super::grammar::night::{opens_instead, opens_without};
use super::lexer::{Lexer, Tok, Token};
use super::recover::Production;

pub use lexical::WITHOUT_PARSER;

/// Where a statement may stand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Place {
    /// At the top of a file.
    Top,
    /// In a switcher's block.
    Switcher,
    /// In a guitar's block.
    Guitar,
    /// In a supply's block.
    Supply,
    /// In the block of a pedal, a buffer or an amp.
    Device,
    /// In the block of a helper.
    Helper,
    /// In the block of a listener.
    Listener,
    /// In the panel's block.
    Panel,
    /// In the block of a scene, a layer or the defaults.
    Scene,
    /// In a song's block.
    Song,
    /// In a set's block.
    Set,
    /// In the block of slots.
    Slots,
    /// In a control's block.
    Control,
}

impl Place {
    /// What it is called: "the switcher", "a scene".
    pub fn says(self) -> &'static str {
        match self {
            Place::Top => "a file",
            Place::Switcher => "the switcher",
            Place::Guitar => "a guitar",
            Place::Supply => "a supply",
            Place::Device => "a pedal",
            Place::Helper => "a helper",
            Place::Listener => "a listener",
            Place::Panel => "the panel",
            Place::Scene => "a scene",
            Place::Song => "a song",
            Place::Set => "a set",
            Place::Slots => "the slots",
            Place::Control => "a control",
        }
    }
}

/// Where a statement stands, and the words it opens with: none when it opens with a name, a slot or a text.
#[derive(Clone, Copy, Debug)]
pub struct Stands {
    /// The block.
    pub place: Place,
    /// Any of these comes first.
    pub words: &'static [&'static str],
    /// What follows tells such a line from one that opens with a name: names may be called so.
    pub free: bool,
}

/// One production.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// Its name in the grammar.
    pub name: &'static str,
    /// Its parser function.
    pub read: Production,
    /// Texts that it reads whole.
    pub good: &'static [&'static str],
    /// Texts that it does not.
    pub bad: &'static [&'static str],
    /// For a statement only.
    pub stands: Option<Stands>,
    /// What each line of its block is read by, if it has one.
    pub block: Option<Production>,
    /// Words of it, beside those that open a statement, that stand where a name could: no name may be one of them.
    pub keeps: &'static [&'static str],
    /// Words that stand before the column in which lines of its kind line up; 0 for none.
    pub column: usize,
}

const fn row(name: &'static str, read: Production, good: &'static [&'static str], bad: &'static [&'static str]) -> Row {
    Row { name, read, good, bad, stands: None, block: None, keeps: &[], column: 0 }
}

impl Row {
    const fn opens(mut self, place: Place, words: &'static [&'static str]) -> Row {
        self.stands = Some(Stands { place, words, free: false });
        self
    }

    const fn free(mut self, place: Place, words: &'static [&'static str]) -> Row {
        self.stands = Some(Stands { place, words, free: true });
        self
    }

    const fn block(mut self, line: Production) -> Row {
        self.block = Some(line);
        self
    }

    const fn keeps(mut self, words: &'static [&'static str]) -> Row {
        self.keeps = words;
        self
    }

    const fn column(mut self, words: usize) -> Row {
        self.column = words;
        self
    }

    /// True when this production alone reads the whole text without a fault.
    pub fn reads(&self, text: &str) -> bool {
        let (mut tokens, mut faults, mut some) = (Vec::<Token>::new(), Vec::new(), Vec::new());
        let mut lexer = Lexer::new(0, text, begins);
        while lexer.statement(&mut some, &mut faults) {
            // The lexer keeps the end between two statements to itself.
            if let Some(last) = tokens.last().copied() {
                tokens.push(Token { kind: Tok::End, start: last.end, end: last.end });
            }
            tokens.append(&mut some);
        }
        let sink = Sink::new(0, text, Vec::new(), faults);
        let whole = (self.read)(Cursor { tokens: &tokens, sink: &sink }).is_ok_and(|(rest, ())| rest.tokens.is_empty());
        whole && sink.faults.into_inner().is_empty()
    }
}

const FILE: &[Row] = &[
    row(
        "book",
        book,
        &["", "\n;\n", "use \"a.scene\"", "\nsafe 1.1; ways any\n\nscene a {\n  mute\n}\n", "scene a { mute } # so"],
        &["mute", "scene a scene b", "scene a { mute } }", "scene a {", "safe 1.1, ways any"],
    ),
    row("statement", statement, &["safe 1.1", "scene a"], &["", "mute", "safe 1.1; ways any", "scenes a"]),
];

/// `book`: the statements of a whole file.
fn book(i: Cursor<'_>) -> Res<'_> {
    super::top(i);
    Ok((i.skip(i.tokens.len()), ()))
}

/// All productions that have a parser function, by area.
pub fn rows() -> impl Iterator<Item = &'static Row> {
    let areas = [scene::ROWS, song::ROWS, device::ROWS, board::ROWS, helper::ROWS, listener::ROWS];
    let rest = [rule::ROWS, night::ROWS, lexical::ROWS];
    std::iter::once(FILE).chain(areas).chain(rest).flatten()
}

/// The production of this name.
pub fn row_of(name: &str) -> Option<&'static Row> {
    rows().find(|r| r.name == name)
}

/// What is asked for every line, gathered once.
struct Words {
    /// The productions that a word opens at the top of a file.
    top: FxHashMap<&'static str, &'static Row>,
    /// The columns of the words that open a statement whose lines line up.
    columns: FxHashMap<&'static str, (&'static str, usize)>,
    /// Words that no name may be.
    reserved: FxHashSet<&'static str>,
}

static WORDS: LazyLock<Words> = LazyLock::new(|| {
    let mut words = Words { top: FxHashMap::default(), columns: FxHashMap::default(), reserved: FxHashSet::default() };
    for row in rows() {
        words.reserved.extend(row.keeps);
        let Some(stands) = row.stands else { continue };
        for word in stands.words {
            if stands.place == Place::Top {
                words.top.insert(word, row);
            }
            // Where a line may also open with a name.
            if !stands.free && matches!(stands.place, Place::Top | Place::Scene | Place::Song | Place::Slots) {
                words.reserved.insert(word);
            }
            if row.column > 0 {
                words.columns.insert(word, (word, row.column));
            }
        }
    }
    words
});

/// `statement`: whatever may stand at the top of a file.
pub fn statement(i: Cursor<'_>) -> Res<'_> {
    if let Some(row) = WORDS.top.get(i.word()) {
        return (row.read)(i);
    }
    let tops = rows().filter_map(|r| r.stands).filter(|s| s.place == Place::Top);
    tops.flat_map(|s| s.words).map(|word| i.miss(word)).last().unwrap_or(Err(Err::Error(NoMatch)))
}

/// What each line in the block of a statement opened by `word` is read by; also for a word misspelt.
pub fn block_of(word: &str) -> Option<Production> {
    let blocks = || rows().filter_map(|r| Some((r.stands?.words.first().copied()?, r.block?)));
    let near = crate::near::nearest(word, blocks().map(|b| b.0))?;
    blocks().find(|b| b.0 == near).map(|b| b.1)
}

/// The column of lines that this word opens: its name, and how many words stand before it.
pub fn column(word: &str) -> Option<(&'static str, usize)> {
    WORDS.columns.get(word).copied()
}

/// True for a word that opens a statement at the top of a file.
pub fn opens_top(word: &str) -> bool {
    WORDS.top.contains_key(word)
}

/// True for a text that begins with a word that opens a statement at the top of a file; one that a name may be opens one
/// only before what it speaks of.
pub fn begins(text: &str) -> bool {
    let (word, rest) =
        text.split_at(text.find(|c: char| !(c.is_ascii_alphanumeric() || c == '-')).unwrap_or(text.len()));
    let behind = rest.trim_start_matches([' ', '\t', '\u{a0}']);
    match word {
        "without" => opens_without(behind),
        "instead" => opens_instead(behind),
        "helper" | "listener" => opens_helper(behind),
        "guitar" => opens_guitar(behind),
        _ => opens_top(word),
    }
}

/// True for a word that opens a statement anywhere.
pub fn opens(word: &str) -> bool {
    rows().filter_map(|row| row.stands).any(|stands| stands.words.contains(&word))
}

/// True for a word that no name may be: it opens a statement, or a part of one, where a name could stand too.
pub fn reserved(word: &str) -> bool {
    WORDS.reserved.contains(word)
}
