//! The productions of `grammar/scene.ebnf`, one function each, named as there.

pub mod board;
pub mod device;
pub mod rule;
pub mod scene;
pub mod song;

use nom::branch::alt;
use nom::combinator::opt;
use nom::multi::many0_count;
use nom::{IResult, Parser};

use super::cursor::{In, Miss, Res, Rule, name, number, sign, word};
use super::lexer::Tok;
use super::recover::{Production, block};

/// Runs a parser for its nodes alone.
pub(super) fn void<'t, P: Parser<In<'t>, Error = Miss>>(parser: P) -> impl Rule<'t> {
    parser.map(|_| ())
}

/// One or more, with commas.
pub(super) fn list<'t>(one: Production) -> impl Rule<'t> {
    void((one, many0_count((sign(Tok::Comma), one))))
}

/// A block of statements.
pub(super) fn braces<'t>(inner: Production) -> impl FnMut(In<'t>) -> Res<'t> {
    move |i| block(i, inner)
}

/// A block that may be left out.
pub(super) fn opt_braces<'t>(inner: Production) -> impl FnMut(In<'t>) -> IResult<In<'t>, Option<()>, Miss> {
    move |i| opt(braces(inner)).parse(i)
}

/// `statement`: whatever may stand at the top of a file.
pub fn statement(i: In<'_>) -> Res<'_> {
    alt((
        scene::scene,
        song::song,
        alt((device::pedal, device::buffer, device::amp, device::treadle, board::guitar, board::supply)),
        alt((board::board, board::use_file, board::switcher, board::chain, board::patch, board::panel)),
        alt((scene::default, scene::layer, rule::rule, rule::limit)),
        alt((song::set, song::slots, song::safe, song::fallback, song::allow, song::ways)),
    ))
    .parse(i)
}

/// `number '..' number` or letters.
pub(super) fn number_or_name(i: In<'_>) -> Res<'_> {
    alt((number, name)).parse(i)
}

/// `'at' 'bank' …`: two words in a row that leave no node.
pub(super) fn words<'t>(a: &'static str, b: &'static str) -> impl Rule<'t> {
    void((word(a), word(b)))
}

/// The statements that the block of a statement opened by `word` may hold; also for a word misspelt.
pub fn block_of(word: &str) -> Option<Production> {
    const BLOCKS: [(&str, Production); 14] = [
        ("switcher", board::switcher_fact),
        ("guitar", board::guitar_fact),
        ("supply", board::supply_fact),
        ("panel", board::panel_jack),
        ("pedal", device::device_fact),
        ("buffer", device::device_fact),
        ("amp", device::device_fact),
        ("control", device::state),
        ("default", scene::saying),
        ("layer", scene::saying),
        ("scene", scene::saying),
        ("song", song::song_line),
        ("set", song::set_line),
        ("slots", song::slot_line),
    ];
    let near = crate::near::nearest(word, BLOCKS.iter().map(|b| b.0))?;
    BLOCKS.iter().find(|b| b.0 == near).map(|b| b.1)
}
