//! The one registry of productions: what ties `grammar/scene.ebnf`, the parser functions, samples of each
//! production, the words that open statements, and the step since which a statement's meaning is computed.

mod board;
mod device;
mod lexical;
mod rule;
mod scene;
mod song;

use super::cursor::{Desk, In, Res};
use super::grammar;
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

/// The steps in which meaning was given to the language.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Step {
    /// Scenes become a table, a sheet and a diff.
    A,
    /// Rules.
    B,
    /// Printing.
    C,
    /// Comparing.
    D,
    /// Moving from preset to preset.
    E,
    /// Leads, levels and power.
    F,
    /// Trouble on stage.
    G,
    /// Later work.
    H,
    /// Later work.
    I,
    /// Later work.
    J,
}

/// The step that this build computes.
pub const CURRENT: Step = Step::A;

/// Where a statement stands, and the words it opens with: none when it opens with a name, a slot or a text.
#[derive(Clone, Copy, Debug)]
pub struct Stands {
    /// The block.
    pub place: Place,
    /// Any of these comes first.
    pub words: &'static [&'static str],
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
    /// The step since which its meaning is computed; a part of a statement counts with its statement.
    pub since: Step,
    /// What is missing before that step, in a musician's words; empty when nothing is.
    pub missing: &'static str,
}

const fn row(name: &'static str, read: Production, good: &'static [&'static str], bad: &'static [&'static str]) -> Row {
    Row { name, read, good, bad, stands: None, since: Step::A, missing: "" }
}

impl Row {
    const fn opens(mut self, place: Place, words: &'static [&'static str]) -> Row {
        self.stands = Some(Stands { place, words });
        self
    }

    const fn later(mut self, since: Step, missing: &'static str) -> Row {
        (self.since, self.missing) = (since, missing);
        self
    }

    /// True when this production alone reads the whole text without a fault.
    pub fn reads(&self, text: &str) -> bool {
        let (mut tokens, mut faults, mut some) = (Vec::<Token>::new(), Vec::new(), Vec::new());
        let mut lexer = Lexer::new(0, text, opens_top);
        while lexer.statement(&mut some, &mut faults) {
            // The lexer keeps the end between two statements to itself.
            if let Some(last) = tokens.last().copied() {
                tokens.push(Token { kind: Tok::End, start: last.end, end: last.end });
            }
            tokens.append(&mut some);
        }
        let desk = Desk::new(0, text, Vec::new(), faults);
        let whole = (self.read)(In { tokens: &tokens, desk: &desk }).is_ok_and(|(rest, ())| rest.tokens.is_empty());
        whole && desk.faults.into_inner().is_empty()
    }
}

const FILE: &[Row] = &[
    row(
        "book",
        book,
        &["", "\n;\n", "use \"a.scene\"", "\nsafe 1.1; ways any\n\nscene a {\n  mute\n}\n", "scene a { mute } # so"],
        &["mute", "scene a scene b", "scene a { mute } }", "scene a {", "safe 1.1, ways any"],
    ),
    row("statement", grammar::statement, &["safe 1.1", "scene a"], &["", "mute", "safe 1.1; ways any", "scenes a"]),
];

/// `book`: the statements of a whole file.
fn book(i: In<'_>) -> Res<'_> {
    super::top(i);
    Ok((i.skip(i.tokens.len()), ()))
}

/// All productions that have a parser function, in the order of the grammar by area.
pub fn rows() -> impl Iterator<Item = &'static Row> {
    [FILE, board::ROWS, device::ROWS, scene::ROWS, rule::ROWS, song::ROWS, lexical::ROWS].into_iter().flatten()
}

/// The production of this name.
pub fn row_of(name: &str) -> Option<&'static Row> {
    rows().find(|r| r.name == name)
}

/// The production of this name, when its meaning is not computed yet. A search: ask once for a kind, not for a node.
pub fn not_yet(name: &str) -> Option<&'static Row> {
    row_of(name).filter(|r| r.since > CURRENT)
}

/// True for a word that opens a statement at the top of a file. Asked for every line, so it searches no list.
pub fn opens_top(word: &str) -> bool {
    matches!(
        word,
        "scene"
            | "song"
            | "pedal"
            | "set"
            | "slots"
            | "layer"
            | "default"
            | "rule"
            | "allow"
            | "board"
            | "use"
            | "switcher"
            | "guitar"
            | "supply"
            | "buffer"
            | "treadle"
            | "amp"
            | "chain"
            | "patch"
            | "panel"
            | "limit"
            | "safe"
            | "if"
            | "ways"
    )
}

/// True for a word that opens a statement anywhere.
pub fn opens(word: &str) -> bool {
    rows().filter_map(|row| row.stands).any(|stands| stands.words.contains(&word))
}

/// True for a word that no name may be: it opens a statement, or a part of one, where a name could stand too.
pub fn reserved(word: &str) -> bool {
    opens_top(word)
        || matches!(
            word,
            "engage"
                | "bypass"
                | "close"
                | "open"
                | "pulse"
                | "expression"
                | "output"
                | "mute"
                | "tuning"
                | "every"
                | "others"
                | "foot"
                | "stays"
                | "any"
                | "not"
                | "loop"
                | "remote"
                | "always"
                | "never"
                | "exactly"
                | "at"
        )
}
