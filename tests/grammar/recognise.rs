//! Does a text belong to a production? Walks the grammar over tokens of its own, trying every way.

use std::collections::{BTreeMap, BTreeSet};

use super::ebnf::{Expr, Grammar};

#[derive(Clone, Copy, PartialEq, Debug)]
enum Kind {
    Word,
    Number,
    Text,
    Sign,
    End,
    Bad,
}

#[derive(Clone, Debug)]
struct Piece<'t> {
    kind: Kind,
    text: &'t str,
    /// Follows the one before without a blank.
    glued: bool,
}

fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut out: Vec<Piece<'_>> = Vec::new();
    let (mut at, mut glued) = (0, false);
    let wordy = |c: char| c.is_alphanumeric() || ('\u{300}'..='\u{36f}').contains(&c);
    while let Some(c) = text[at..].chars().next() {
        let rest = &text[at..];
        let until = |stop: &dyn Fn(char) -> bool| rest.find(stop).unwrap_or(rest.len());
        let (kind, used) = match c {
            '\n' | ';' => (Kind::End, 1),
            '#' => {
                at += until(&|c| c == '\n');
                glued = false;
                continue;
            }
            c if c.is_whitespace() => {
                at += c.len_utf8();
                glued = false;
                continue;
            }
            '"' => match rest[1..].find(['"', '\n']) {
                Some(n) if rest[1 + n..].starts_with('"') => (Kind::Text, n + 2),
                _ => (Kind::Bad, rest.len()),
            },
            '0'..='9' => {
                let whole = until(&|c| !c.is_ascii_digit());
                let after = &rest[whole..];
                let more = after
                    .strip_prefix('.')
                    .map_or(0, |a| a.len() - a.trim_start_matches(|c: char| c.is_ascii_digit()).len());
                (Kind::Number, if more > 0 { whole + 1 + more } else { whole })
            }
            c if c.is_alphabetic() => {
                let mut end = until(&|c| !wordy(c));
                while let Some(part) = rest[end..].strip_prefix('-') {
                    let more = part.find(|c| !wordy(c)).unwrap_or(part.len());
                    if more == 0 {
                        break;
                    }
                    end += 1 + more;
                }
                (Kind::Word, end)
            }
            _ if rest.starts_with("->") || rest.starts_with("..") => (Kind::Sign, 2),
            '{' | '}' | '(' | ')' | ',' | ':' | '.' | '-' | '%' | '/' => (Kind::Sign, 1),
            c => (Kind::Bad, c.len_utf8()),
        };
        let piece = Piece { kind, text: &rest[..used], glued };
        at += used;
        glued = true;
        let idle = out.last().is_none_or(|p| p.kind == Kind::End || [",", "->", "{"].contains(&p.text));
        let break_before = out.last().is_some_and(|p| p.text == "\n");
        if piece.text == "{" && break_before {
            out.pop();
        }
        if piece.text == ";" && break_before {
            // An end that no brace takes back.
            out.pop();
            out.push(piece);
        } else if kind != Kind::End || !idle {
            out.push(piece);
        }
    }
    out
}

/// What may be a name.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Names {
    /// Any word.
    Loose,
    /// No word that the grammar quotes.
    Strict,
}

struct Run<'r> {
    grammar: &'r Grammar,
    keywords: &'r BTreeSet<String>,
    pieces: Vec<Piece<'r>>,
    names: Names,
    memo: BTreeMap<(&'r str, usize), BTreeSet<usize>>,
}

/// True when the grammar gives the whole text to this production.
pub(crate) fn accepts(grammar: &Grammar, production: &str, text: &str, names: Names) -> bool {
    let keywords = grammar.keywords();
    let mut run = Run { grammar, keywords: &keywords, pieces: pieces(text), names, memo: BTreeMap::new() };
    let (name, _) = grammar.rules.get_key_value(production).expect("a production");
    // An end behind the last statement belongs to the file.
    let mut ends = vec![run.pieces.len()];
    if production != "book" && run.pieces.last().is_some_and(|p| p.kind == Kind::End) {
        ends.push(run.pieces.len() - 1);
    }
    let found = run.named(name, 0);
    ends.iter().any(|e| found.contains(e))
}

impl<'r> Run<'r> {
    fn named(&mut self, name: &'r str, at: usize) -> BTreeSet<usize> {
        if self.grammar.lexical.contains(name) {
            return self.lexical(name, at);
        }
        if let Some(known) = self.memo.get(&(name, at)) {
            return known.clone();
        }
        let grammar = self.grammar;
        let ends = self.ends(&grammar.rules[name], at);
        self.memo.insert((name, at), ends.clone());
        ends
    }

    fn ends(&mut self, expr: &'r Expr, at: usize) -> BTreeSet<usize> {
        match expr {
            Expr::Literal(text) => {
                let here =
                    self.pieces.get(at).is_some_and(|p| p.text == text && matches!(p.kind, Kind::Word | Kind::Sign));
                if here { [at + 1].into() } else { [].into() }
            }
            Expr::Class { .. } => unreachable!("a class outside the lexical part"),
            Expr::Ref(name) => self.named(name, at),
            Expr::Seq(all) => all.iter().fold([at].into(), |from, e| self.each(e, &from)),
            Expr::Alt(_, all) => all.iter().flat_map(|e| self.ends(e, at)).collect(),
            Expr::Opt(_, e) => {
                let mut ends = self.ends(e, at);
                ends.insert(at);
                ends
            }
            Expr::Star(_, e) => self.closure(e, [at].into()),
            Expr::Plus(_, e) => {
                let once = self.ends(e, at);
                self.closure(e, once)
            }
        }
    }

    fn each(&mut self, expr: &'r Expr, from: &BTreeSet<usize>) -> BTreeSet<usize> {
        from.iter().flat_map(|at| self.ends(expr, *at)).collect()
    }

    fn closure(&mut self, expr: &'r Expr, from: BTreeSet<usize>) -> BTreeSet<usize> {
        let (mut all, mut new) = (from.clone(), from);
        while !new.is_empty() {
            new = self.each(expr, &new).difference(&all).copied().collect();
            all.extend(&new);
        }
        all
    }

    fn is(&self, at: usize, kind: Kind) -> bool {
        self.pieces.get(at).is_some_and(|p| p.kind == kind)
    }

    fn glued(&self, at: usize) -> bool {
        self.pieces.get(at).is_some_and(|p| p.glued)
    }

    fn sign(&self, at: usize, sign: &str) -> bool {
        self.is(at, Kind::Sign) && self.pieces[at].text == sign
    }

    /// The longest token of this kind, as a reader of characters would take it.
    fn lexical(&self, name: &str, at: usize) -> BTreeSet<usize> {
        let number = self.is(at, Kind::Number);
        let length = match name {
            "end" => usize::from(self.is(at, Kind::End)),
            "name" => {
                let word = self.is(at, Kind::Word);
                usize::from(word && (self.names == Names::Loose || !self.keywords.contains(self.pieces[at].text)))
            }
            "number" => usize::from(number),
            "text" => usize::from(self.is(at, Kind::Text)),
            "slot" if number => {
                let letter = self.is(at + 1, Kind::Word) && self.glued(at + 1) && self.pieces[at + 1].text.len() == 1;
                1 + usize::from(letter)
            }
            "clock" if number => {
                let rest =
                    self.sign(at + 1, ":") && self.glued(at + 1) && self.is(at + 2, Kind::Number) && self.glued(at + 2);
                if rest { 3 } else { 0 }
            }
            "quantity" => {
                let minus = usize::from(self.sign(at, "-") && self.glued(at + 1));
                let unit = self.unit(at + minus + 1);
                if self.is(at + minus, Kind::Number) && unit > 0 { minus + 1 + unit } else { 0 }
            }
            _ => 0,
        };
        if length > 0 { [at + length].into() } else { [].into() }
    }

    /// How many pieces the longest unit here takes.
    fn unit(&self, at: usize) -> usize {
        let units = self.grammar.rules["unit"].literals();
        let mut spelt = String::new();
        let mut longest = 0;
        for n in 0..3 {
            let Some(piece) = self.pieces.get(at + n).filter(|p| n == 0 || p.glued) else { break };
            spelt.push_str(piece.text);
            if units.contains(&spelt) {
                longest = n + 1;
            }
        }
        longest
    }
}
