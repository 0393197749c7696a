//! Text to tokens, one top-level statement at a time, so that a whole book never sits in memory as tokens.

use super::fault::{Fault, Pasted, Within};
use super::hidden::{is_hidden, looks_plain, strays};
use crate::source::{Span, ends};

/// What a token is; the text says the rest.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[repr(u8)]
pub enum Tok {
    Word,
    Number,
    Text,
    Open,
    Close,
    ParenOpen,
    ParenClose,
    Comma,
    Colon,
    Dot,
    DotDot,
    Arrow,
    Minus,
    Percent,
    Slash,
    End,
    Junk,
}

/// A token: kind and bytes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Token {
    pub kind: Tok,
    pub start: u32,
    pub end: u32,
}

/// Reads one file.
pub struct Lexer<'t> {
    text: &'t str,
    bytes: &'t [u8],
    file: u32,
    at: usize,
    /// Where the `{` stands that was last looked for and found.
    brace: usize,
    opens: fn(&str) -> bool,
}

impl<'t> Lexer<'t> {
    /// A lexer over `text`; `opens` knows the lines that begin with a top-level statement.
    pub fn new(file: u32, text: &'t str, opens: fn(&str) -> bool) -> Lexer<'t> {
        let at = if text.starts_with('\u{feff}') { 3 } else { 0 };
        Lexer { text, bytes: text.as_bytes(), file, at, brace: 0, opens }
    }

    /// The same, from the start of a line on which a statement begins.
    pub fn from_line(mut self, at: usize) -> Lexer<'t> {
        self.at = at.max(self.at);
        self
    }

    /// The first line at or after `at` on which a top-level statement certainly begins.
    pub fn statement_line(mut self, at: usize) -> Option<usize> {
        self.at = at;
        loop {
            let rest = self.bytes.get(self.at..)?;
            self.at += rest.iter().position(|b| *b == b'\n')? + 1;
            if self.at_top_word() {
                return Some(self.at);
            }
        }
    }

    /// Fills `tokens` with the next top-level statement, without its end; false at the end of the file.
    ///
    /// A statement ends at a line break or `;` outside braces, or before a top-level word in column one; a line break
    /// straight before a `{` ends nothing.
    pub fn statement(&mut self, tokens: &mut Vec<Token>, faults: &mut Vec<Fault>) -> bool {
        tokens.clear();
        let mut depth = 0usize;
        let mut commented = None;
        loop {
            let Some(&byte) = self.bytes.get(self.at) else {
                return !tokens.is_empty();
            };
            let start = self.at;
            let end = if byte == b';' { 1 } else { ends::length(self.bytes, start) };
            if end > 0 && !matches!(byte, b'\n' | b';') {
                let within = if commented == Some(start) { Within::Comment } else { Within::Statements };
                faults.push(Fault::OddEnd { at: self.span(start, start + end), within });
            }
            let kind = match byte {
                _ if end > 0 => {
                    self.at += end;
                    let last = tokens.last().map(|t| t.kind);
                    let idle = matches!(last, None | Some(Tok::End | Tok::Open | Tok::Comma | Tok::Arrow))
                        || (byte != b';' && self.before_brace());
                    if !idle && depth == 0 {
                        return true;
                    }
                    if !idle {
                        self.push(tokens, Tok::End, start);
                    }
                    if byte != b';' && !tokens.is_empty() && self.at_top_word() {
                        return true;
                    }
                    continue;
                }
                b' ' | b'\t' | b'\r' => {
                    let rest = self.bytes.get(start + 1..).unwrap_or(&[]);
                    self.at += 1 + rest.iter().take_while(|b| matches!(b, b' ' | b'\t')).count();
                    continue;
                }
                b'#' => {
                    self.comment(faults);
                    commented = Some(self.at);
                    continue;
                }
                b'A'..=b'Z' | b'a'..=b'z' => self.word(faults),
                b'0'..=b'9' => self.number(faults),
                b'"' => self.quoted(start + 1, faults),
                b'{' => {
                    depth += 1;
                    self.sign(1, Tok::Open)
                }
                b'}' => {
                    depth = depth.saturating_sub(1);
                    self.sign(1, Tok::Close)
                }
                b'(' => self.sign(1, Tok::ParenOpen),
                b')' => self.sign(1, Tok::ParenClose),
                b',' => self.sign(1, Tok::Comma),
                b':' => self.sign(1, Tok::Colon),
                b'%' => self.sign(1, Tok::Percent),
                b'/' => self.sign(1, Tok::Slash),
                b'.' if self.bytes.get(start + 1) == Some(&b'.') => self.sign(2, Tok::DotDot),
                b'.' => self.sign(1, Tok::Dot),
                b'-' if self.bytes.get(start + 1) == Some(&b'>') => self.sign(2, Tok::Arrow),
                b'-' => self.sign(1, Tok::Minus),
                _ => match self.beyond_ascii(faults) {
                    Some(kind) => kind,
                    None => continue,
                },
            };
            self.push(tokens, kind, start);
        }
    }

    fn push(&self, tokens: &mut Vec<Token>, kind: Tok, start: usize) {
        tokens.push(Token { kind, start: start as u32, end: self.at as u32 });
    }

    fn sign(&mut self, length: usize, kind: Tok) -> Tok {
        self.at += length;
        kind
    }

    fn span(&self, start: usize, end: usize) -> Span {
        Span::new(self.file, start as u32, end as u32)
    }

    fn at_top_word(&self) -> bool {
        let rest = self.bytes.get(self.at..).unwrap_or(&[]);
        if !rest.first().is_some_and(u8::is_ascii_lowercase) {
            return false;
        }
        let length = rest.iter().take_while(|b| b.is_ascii_alphanumeric() || **b == b'-').count();
        // `ampère` is no `amp`.
        rest.get(length).is_none_or(u8::is_ascii) && self.text.get(self.at..).is_some_and(self.opens)
    }

    /// True when the next thing is a `{`: a line break before it ends nothing. Asked again on the way to it.
    fn before_brace(&mut self) -> bool {
        if self.at < self.brace {
            return true;
        }
        let mut at = self.at;
        loop {
            let rest = self.text.get(at..).unwrap_or("");
            at += rest.len() - rest.trim_start().len();
            match self.bytes.get(at) {
                Some(b'#') => at = ends::next(self.bytes, at),
                Some(b'{') => {
                    self.brace = at;
                    return true;
                }
                _ => return false,
            }
        }
    }

    fn peek(&self) -> Option<char> {
        self.text.get(self.at..).and_then(|t| t.chars().next())
    }

    fn comment(&mut self, faults: &mut Vec<Fault>) {
        let before = self.text.get(..self.at).unwrap_or("");
        if before.chars().next_back().is_some_and(|c| c.is_alphanumeric()) {
            let word = before
                .rfind(|c: char| !c.is_alphanumeric())
                .map_or(0, |at| at + before.get(at..).and_then(|t| t.chars().next()).map_or(1, char::len_utf8));
            faults.push(Fault::HashGlued { at: self.span(word, self.at + 1) });
        }
        let start = self.at;
        self.at = ends::next(self.bytes, start);
        let comment = self.text.get(start..self.at).unwrap_or("").trim_end_matches(['\r', ' ', '\t']);
        if !looks_plain(comment) && strays(comment).next().is_some() {
            faults.push(Fault::Hidden { at: self.span(start, start + comment.len()) });
        }
    }

    fn word(&mut self, faults: &mut Vec<Fault>) -> Tok {
        let start = self.at;
        let mut hidden = false;
        loop {
            let rest = self.bytes.get(self.at..).unwrap_or(&[]);
            self.at += rest.iter().take_while(|b| b.is_ascii_alphanumeric()).count();
            let Some(&byte) = self.bytes.get(self.at) else { break };
            if byte == b'-' {
                match self.bytes.get(self.at + 1) {
                    Some(b) if b.is_ascii_alphanumeric() => self.at += 1,
                    Some(b) if !b.is_ascii() && self.letter_after(1) => self.at += 1,
                    _ => break,
                }
            } else if byte.is_ascii() && !byte.is_ascii_control() {
                break;
            } else {
                match self.peek() {
                    Some(c) if is_hidden(c) => {
                        hidden = true;
                        self.at += c.len_utf8();
                    }
                    Some(c) if is_name_char(c) => self.at += c.len_utf8(),
                    Some(c) if is_long_dash(c) && self.letter_after(c.len_utf8()) => {
                        faults.push(Fault::Pasted {
                            at: self.span(self.at, self.at + c.len_utf8()),
                            what: Pasted::Dash,
                            closing: None,
                        });
                        self.at += c.len_utf8();
                    }
                    _ => break,
                }
            }
        }
        if hidden {
            faults.push(Fault::Hidden { at: self.span(start, self.at) });
        }
        Tok::Word
    }

    /// True when a letter or digit stands `skip` bytes on.
    fn letter_after(&self, skip: usize) -> bool {
        self.text.get(self.at + skip..).and_then(|t| t.chars().next()).is_some_and(char::is_alphanumeric)
    }

    fn digits(&mut self) {
        while self.bytes.get(self.at).is_some_and(u8::is_ascii_digit) {
            self.at += 1;
        }
    }

    fn number(&mut self, faults: &mut Vec<Fault>) -> Tok {
        let start = self.at;
        self.digits();
        let next = self.bytes.get(self.at).copied();
        if self.bytes.get(self.at + 1).is_some_and(u8::is_ascii_digit) {
            if next == Some(b'.') {
                self.at += 1;
                self.digits();
            } else if next == Some(b',') {
                self.at += 1;
                self.digits();
                faults.push(Fault::DecimalComma { at: self.span(start, self.at) });
            }
        }
        Tok::Number
    }

    /// A text whose opening quote ends at `from`; it ends at its quote or with its line.
    fn quoted(&mut self, from: usize, faults: &mut Vec<Fault>) -> Tok {
        let start = self.at;
        let rest = self.text.get(from..).unwrap_or("");
        let curly_open = from - start > 1;
        // No further than is needed: a line may hold any number of texts.
        let first = |wanted: fn(char) -> bool| {
            let (at, c) = rest.char_indices().find(|(_, c)| matches!(c, '\n' | '\r') || wanted(*c))?;
            wanted(c).then_some((at, c.len_utf8()))
        };
        // A straight quote closes; on a line that has none, a curly one pasted by a phone does.
        let close = if curly_open {
            first(|c| c == '"' || is_curly(c))
        } else {
            first(|c| c == '"').or_else(|| first(is_curly))
        };
        match close {
            Some((i, length)) => {
                self.at = from + i + length;
                if curly_open {
                    let closing = (length > 1).then(|| self.span(from + i, self.at));
                    faults.push(Fault::Pasted { at: self.span(start, from), what: Pasted::Quote, closing });
                } else if length > 1 {
                    let at = self.span(from + i, self.at);
                    faults.push(Fault::Pasted { at, what: Pasted::Quote, closing: None });
                }
            }
            None => {
                let line = rest.split(['\n', '\r']).next().unwrap_or("");
                self.at = from + line.len();
                faults.push(Fault::UnclosedText { at: self.span(start, self.at) });
                // A brace at the end of the line belongs to a block, not to the text.
                let net = line.matches('{').count() as i64 - line.matches('}').count() as i64;
                if (net > 0 && line.trim_end().ends_with('{')) || (net < 0 && line.trim_end().ends_with('}')) {
                    self.at = from + line.trim_end().len() - 1;
                }
            }
        }
        let text = self.text.get(start..self.at).unwrap_or("");
        if !looks_plain(text) {
            if strays(text).next().is_some() {
                faults.push(Fault::Hidden { at: self.span(start, self.at) });
            }
            for (at, c) in text.char_indices().filter(|(_, c)| ends::is_odd(*c)) {
                let at = self.span(start + at, start + at + c.len_utf8());
                faults.push(Fault::OddEnd { at, within: Within::Text });
            }
        }
        Tok::Text
    }

    fn beyond_ascii(&mut self, faults: &mut Vec<Fault>) -> Option<Tok> {
        let start = self.at;
        let c = self.peek()?;
        let length = c.len_utf8();
        if is_hidden(c) {
            let rest = self.text.get(start..).unwrap_or("");
            self.at += rest.chars().take_while(|c| is_hidden(*c)).map(char::len_utf8).sum::<usize>();
            faults.push(Fault::Hidden { at: self.span(start, self.at) });
            return None;
        }
        if c.is_alphabetic() {
            return Some(self.word(faults));
        }
        if is_curly(c) {
            return Some(self.quoted(start + length, faults));
        }
        if c.is_whitespace() {
            self.at += length;
            return None;
        }
        if c == '→'
            || c == '⟶'
            || (is_long_dash(c) && self.text.get(start + length..).is_some_and(|t| t.starts_with('>')))
        {
            self.at += if is_long_dash(c) { length + 1 } else { length };
            faults.push(Fault::Pasted { at: self.span(start, self.at), what: Pasted::Arrow, closing: None });
            return Some(Tok::Arrow);
        }
        self.at += length;
        if is_long_dash(c) {
            faults.push(Fault::Pasted { at: self.span(start, self.at), what: Pasted::Dash, closing: None });
            return Some(Tok::Minus);
        }
        Some(Tok::Junk)
    }
}

/// A text's content, without its quotes.
pub fn unquoted(text: &str) -> &str {
    let quote = |c: char| c == '"' || is_curly(c);
    let text = text.strip_prefix(quote).unwrap_or(text);
    text.strip_suffix(quote).unwrap_or(text)
}

fn is_curly(c: char) -> bool {
    matches!(c, '“' | '”' | '„' | '‟' | '«' | '»')
}

/// Dashes and minus signs that a word processor puts for a hyphen.
pub fn is_long_dash(c: char) -> bool {
    matches!(c, '\u{2010}'..='\u{2015}' | '\u{2212}')
}

fn is_name_char(c: char) -> bool {
    c.is_alphanumeric() || unicode_normalization::char::is_combining_mark(c)
}
