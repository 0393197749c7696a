//! A text as blocks, statements and comments, without their blanks.

use super::gaps::{Gaps, Part, parts};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::{Tok, Token};
use crate::syntax::tree::{Tree, View};

/// What stands in a block, or at the top.
pub(super) enum Item<'t> {
    /// A statement.
    Statement(Statement<'t>),
    /// A comment on a line of its own.
    Comment(&'t str),
    /// An empty line.
    Empty,
}

/// A statement.
#[derive(Default)]
pub(super) struct Statement<'t> {
    /// What it consists of.
    pub(super) pieces: Vec<Piece<'t>>,
    /// The comment behind it, and whether it is glued on.
    pub(super) comment: Option<(&'t str, bool)>,
    /// The next statement stands on the same line, behind a `;`.
    pub(super) joined: bool,
}

/// A piece of a statement.
pub(super) enum Piece<'t> {
    /// A token; `apart` when a blank stands before it.
    Word { text: &'t str, kind: Tok, apart: bool },
    /// A block.
    Block(Block<'t>),
    /// A line break behind `,` or `->`, with a comment if one stands there; or a comment before a `{`.
    Break(Option<&'t str>),
}

/// A block in braces.
#[derive(Default)]
pub(super) struct Block<'t> {
    pub(super) items: Vec<Item<'t>>,
    /// The comment straight behind its `{`.
    pub(super) comment: Option<&'t str>,
    /// It was written over several lines.
    pub(super) tall: bool,
}

struct Reader<'t, 'g> {
    text: &'t str,
    tokens: &'g [Token],
    /// Leaves that may hold several tokens: first byte, last byte, kind.
    leaves: Vec<(u32, u32, Kind)>,
    at: usize,
}

pub(super) fn read<'t>(text: &'t str, gaps: &Gaps, tree: &Tree) -> Vec<Item<'t>> {
    let mut leaves = Vec::new();
    for statement in tree.statements(text) {
        collect(statement, &mut leaves);
    }
    let mut reader = Reader { text, tokens: &gaps.tokens, leaves, at: 0 };
    let mut top = Block::default();
    reader.block(&mut top, true);
    top.items
}

fn collect(view: View<'_>, leaves: &mut Vec<(u32, u32, Kind)>) {
    if matches!(view.kind(), Kind::Quantity | Kind::Slot | Kind::Clock) {
        leaves.push((view.span().start, view.span().end, view.kind()));
    }
    view.children().for_each(|child| collect(child, leaves));
}

impl<'t> Reader<'t, '_> {
    fn token(&self) -> Option<Token> {
        self.tokens.get(self.at).copied()
    }

    fn before(&self) -> Option<Token> {
        self.tokens.get(self.at.checked_sub(1)?).copied()
    }

    fn slice(&self, start: u32, end: u32) -> &'t str {
        self.text.get(start as usize..end as usize).unwrap_or("")
    }

    /// What lies before the next token.
    fn gap(&self) -> Vec<Part> {
        let start = self.before().map_or(0, |t| t.end);
        let end = self.token().map_or(self.text.len() as u32, |t| t.start);
        parts(start, self.slice(start, end))
    }

    /// Items up to the `}` that closes the block, or the end of the text.
    fn block(&mut self, block: &mut Block<'t>, top: bool) {
        // How a comment is taken depends on whether a line break stands before it.
        let mut opened = !top;
        let mut joined = false;
        loop {
            let mut lines = 0;
            for part in self.gap() {
                match part {
                    Part::Line => {
                        lines += 1;
                        block.tall = true;
                        joined = false;
                    }
                    Part::Semicolon => joined = lines == 0,
                    Part::Comment(start, end, glued) => {
                        let comment = self.slice(start, end).trim_end();
                        let word = self.before().is_some_and(|t| matches!(t.kind, Tok::Word | Tok::Number));
                        let glued = glued && word;
                        block.tall = true;
                        match block.items.last_mut() {
                            _ if lines == 0 && opened => block.comment = Some(comment),
                            Some(Item::Statement(last)) if lines == 0 && last.comment.is_none() => {
                                last.comment = Some((comment, glued));
                            }
                            _ => {
                                empty(block, lines);
                                block.items.push(Item::Comment(comment));
                            }
                        }
                        // The comment's own line break is still to come.
                        (lines, opened) = (0, false);
                    }
                }
                if lines > 0 {
                    opened = false;
                }
            }
            let Some(token) = self.token() else { return };
            if token.kind == Tok::Close {
                return;
            }
            if let Some(Item::Statement(last)) = block.items.last_mut() {
                last.joined = joined && lines == 0 && last.comment.is_none();
            }
            empty(block, lines);
            let statement = self.statement();
            block.items.push(Item::Statement(statement));
            (opened, joined) = (false, false);
        }
    }

    fn statement(&mut self) -> Statement<'t> {
        let mut statement = Statement::default();
        while let Some(token) = self.token() {
            match token.kind {
                Tok::Close => break,
                Tok::Open => {
                    let mut block = Block::default();
                    self.at += 1;
                    self.block(&mut block, false);
                    self.at += 1;
                    statement.pieces.push(Piece::Block(block));
                }
                kind => {
                    let apart = self.apart(token);
                    statement.pieces.push(Piece::Word { text: self.slice(token.start, token.end), kind, apart });
                    self.at += 1;
                    if matches!(kind, Tok::Comma | Tok::Arrow) {
                        self.breaks(&mut statement);
                        continue;
                    }
                }
            }
            // Its block stands on the next line: comments before it stay there.
            if self.token().is_some_and(|t| t.kind == Tok::Open) {
                statement.pieces.extend(self.gap().iter().filter_map(|part| match part {
                    Part::Comment(start, end, _) => Some(Piece::Break(Some(self.slice(*start, *end).trim_end()))),
                    _ => None,
                }));
                continue;
            }
            // The end of a line, or a `;`, ends the statement.
            if self.gap().iter().any(|p| matches!(p, Part::Line | Part::Semicolon)) {
                break;
            }
        }
        statement
    }

    /// Line breaks behind a `,` or a `->` go on with the statement.
    fn breaks(&self, statement: &mut Statement<'t>) {
        if self.token().is_none_or(|t| t.kind == Tok::Close) {
            return;
        }
        let gap = self.gap();
        let mut comments = gap.iter().filter_map(|p| match p {
            Part::Comment(start, end, _) => Some(self.slice(*start, *end).trim_end()),
            _ => None,
        });
        if gap.contains(&Part::Line) {
            statement.pieces.push(Piece::Break(comments.next()));
        }
        comments.for_each(|c| statement.pieces.push(Piece::Break(Some(c))));
    }

    /// True when a blank stands between the token before and this one.
    fn apart(&self, token: Token) -> bool {
        let Some(before) = self.before() else { return false };
        let leaf = self.leaves.partition_point(|(start, _, _)| *start <= before.start).checked_sub(1);
        let leaf = leaf.and_then(|i| self.leaves.get(i)).filter(|(_, end, _)| *end >= token.end);
        if let Some((_, _, kind)) = leaf {
            let unit = before.kind == Tok::Number && matches!(token.kind, Tok::Word | Tok::Percent);
            return *kind == Kind::Quantity && unit;
        }
        !(matches!(token.kind, Tok::Comma | Tok::Colon | Tok::ParenClose | Tok::Dot | Tok::DotDot)
            || matches!(before.kind, Tok::ParenOpen | Tok::Dot | Tok::DotDot))
    }
}

/// An empty line, if one was written between two items.
fn empty(block: &mut Block<'_>, lines: usize) {
    let needed = lines > 1 && !matches!(block.items.last(), None | Some(Item::Empty));
    if needed {
        block.items.push(Item::Empty);
    }
}
