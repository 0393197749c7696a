//! A reader of W3C EBNF (XML 1.0, section 6).

use std::collections::{BTreeMap, BTreeSet};

pub(crate) const FILE: &str = include_str!("../../grammar/scene.ebnf");

/// Numbers are points of coverage: each choice in the grammar has one, with a count for each way through it.
#[derive(Clone, Debug)]
pub(crate) enum Expr {
    Literal(String),
    Ref(String),
    Class { except: bool, ranges: Vec<(char, char)> },
    Seq(Vec<Expr>),
    Alt(usize, Vec<Expr>),
    Opt(usize, Box<Expr>),
    Star(usize, Box<Expr>),
    Plus(usize, Box<Expr>),
}

pub(crate) struct Grammar {
    /// In the order of the file.
    pub names: Vec<String>,
    pub rules: BTreeMap<String, Expr>,
    /// Productions after the comment that begins with "Lexical".
    pub lexical: BTreeSet<String>,
    /// Of each point: its production and how many ways it has.
    pub points: Vec<(String, usize)>,
}

#[derive(Clone, PartialEq, Debug)]
enum Token {
    Word(String),
    Literal(String),
    Class(String),
    Sign(char),
    Defines,
    Comment(String),
}

fn tokens(text: &str) -> Vec<Token> {
    let mut rest = text.trim_start();
    let mut out = Vec::new();
    while let Some(first) = rest.chars().next() {
        let (token, used) = if let Some(body) = rest.strip_prefix("/*") {
            let end = body.find("*/").expect("an open comment");
            (Token::Comment(body[..end].trim().to_string()), end + 4)
        } else if rest.starts_with("::=") {
            (Token::Defines, 3)
        } else if first == '\'' || first == '"' {
            let end = rest[1..].find(first).expect("an open literal") + 1;
            (Token::Literal(rest[1..end].to_string()), end + 1)
        } else if first == '[' {
            let end = rest.find(']').expect("an open class");
            (Token::Class(rest[1..end].to_string()), end + 1)
        } else if first.is_ascii_alphabetic() {
            let end = rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '-').unwrap_or(rest.len());
            (Token::Word(rest[..end].to_string()), end)
        } else {
            assert!("()|?*+".contains(first), "no sign of the notation: {first}");
            (Token::Sign(first), 1)
        };
        out.push(token);
        rest = rest[used..].trim_start();
    }
    out
}

fn class(text: &str) -> Expr {
    let (except, mut rest) = match text.strip_prefix('^') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let one = |rest: &mut &str| {
        if let Some(hex) = rest.strip_prefix("#x") {
            let end = hex.find(|c: char| !c.is_ascii_hexdigit()).unwrap_or(hex.len());
            *rest = &hex[end..];
            char::from_u32(u32::from_str_radix(&hex[..end], 16).unwrap()).unwrap()
        } else {
            let c = rest.chars().next().unwrap();
            *rest = &rest[c.len_utf8()..];
            c
        }
    };
    let mut ranges = Vec::new();
    while !rest.is_empty() {
        let low = one(&mut rest);
        let mut high = low;
        if let Some(after) = rest.strip_prefix('-') {
            rest = after;
            high = one(&mut rest);
        }
        ranges.push((low, high));
    }
    Expr::Class { except, ranges }
}

struct Reader {
    tokens: Vec<Token>,
    at: usize,
    name: String,
    points: Vec<(String, usize)>,
}

impl Reader {
    fn point(&mut self, ways: usize) -> usize {
        self.points.push((self.name.clone(), ways));
        self.points.len() - 1
    }

    fn sign(&mut self, sign: char) -> bool {
        let yes = self.tokens.get(self.at) == Some(&Token::Sign(sign));
        self.at += usize::from(yes);
        yes
    }

    fn choice(&mut self) -> Expr {
        let mut all = vec![self.sequence()];
        while self.sign('|') {
            all.push(self.sequence());
        }
        if all.len() == 1 {
            return all.remove(0);
        }
        Expr::Alt(self.point(all.len()), all)
    }

    fn sequence(&mut self) -> Expr {
        let mut all = Vec::new();
        loop {
            let mut item = match self.tokens.get(self.at).cloned() {
                Some(Token::Word(_)) if self.tokens.get(self.at + 1) == Some(&Token::Defines) => break,
                Some(Token::Word(name)) => Expr::Ref(name),
                Some(Token::Literal(text)) => Expr::Literal(text),
                Some(Token::Class(text)) => class(&text),
                Some(Token::Comment(_)) => {
                    self.at += 1;
                    continue;
                }
                Some(Token::Sign('(')) => {
                    self.at += 1;
                    let inside = self.choice();
                    assert_eq!(self.tokens[self.at], Token::Sign(')'), "in {}", self.name);
                    inside
                }
                _ => break,
            };
            self.at += 1;
            loop {
                item = if self.sign('?') {
                    Expr::Opt(self.point(2), Box::new(item))
                } else if self.sign('*') {
                    Expr::Star(self.point(2), Box::new(item))
                } else if self.sign('+') {
                    Expr::Plus(self.point(2), Box::new(item))
                } else {
                    break;
                };
            }
            all.push(item);
        }
        assert!(!all.is_empty(), "nothing stands in {} at {:?}", self.name, self.tokens.get(self.at));
        if all.len() == 1 { all.remove(0) } else { Expr::Seq(all) }
    }
}

impl Grammar {
    pub(crate) fn read(text: &str) -> Grammar {
        let mut reader = Reader { tokens: tokens(text), at: 0, name: String::new(), points: Vec::new() };
        let (mut names, mut rules, mut lexical) = (Vec::new(), BTreeMap::new(), BTreeSet::new());
        // Where the lexical part begins, in tokens.
        let border = |t: &Token| matches!(t, Token::Comment(c) if c.starts_with("Lexical"));
        let border = reader.tokens.iter().position(border).expect("a part headed `Lexical`");
        while reader.at < reader.tokens.len() {
            let start = reader.at;
            match reader.tokens[reader.at].clone() {
                Token::Comment(_) => reader.at += 1,
                Token::Word(name) => {
                    assert_eq!(reader.tokens.get(reader.at + 1), Some(&Token::Defines), "after {name}");
                    reader.at += 2;
                    reader.name = name.clone();
                    let expr = reader.choice();
                    assert!(rules.insert(name.clone(), expr).is_none(), "{name} is defined twice");
                    if start > border {
                        lexical.insert(name.clone());
                    }
                    names.push(name);
                }
                other => panic!("no production: {other:?}"),
            }
        }
        Grammar { names, rules, lexical, points: reader.points }
    }

    pub(crate) fn shipped() -> Grammar {
        Grammar::read(FILE)
    }

    /// Every literal outside the lexical part that is a word.
    pub(crate) fn keywords(&self) -> BTreeSet<String> {
        let mut all = BTreeSet::new();
        for (name, expr) in &self.rules {
            if !self.lexical.contains(name) {
                all.extend(expr.literals().into_iter().filter(|l| l.starts_with(|c: char| c.is_alphabetic())));
            }
        }
        all
    }

    /// The literals that a production may begin with, and whether it may begin with anything else.
    pub(crate) fn first(&self, name: &str) -> (BTreeSet<String>, bool) {
        let mut out = (BTreeSet::new(), false);
        self.first_of(&self.rules[name], &mut out);
        out
    }

    /// True when the expression may be empty.
    fn first_of(&self, expr: &Expr, out: &mut (BTreeSet<String>, bool)) -> bool {
        match expr {
            Expr::Literal(text) => {
                out.0.insert(text.clone());
                false
            }
            Expr::Ref(name) if self.lexical.contains(name) => {
                out.1 = true;
                false
            }
            Expr::Ref(name) => self.first_of(&self.rules[name], out),
            Expr::Class { .. } => {
                out.1 = true;
                false
            }
            Expr::Seq(all) => all.iter().all(|e| self.first_of(e, out)),
            Expr::Alt(_, all) => all.iter().fold(false, |empty, e| self.first_of(e, out) | empty),
            Expr::Opt(_, e) | Expr::Star(_, e) => {
                self.first_of(e, out);
                true
            }
            Expr::Plus(_, e) => self.first_of(e, out),
        }
    }
}

impl Expr {
    fn walk<'e>(&'e self, see: &mut dyn FnMut(&'e Expr)) {
        see(self);
        match self {
            Expr::Seq(all) | Expr::Alt(_, all) => all.iter().for_each(|e| e.walk(see)),
            Expr::Opt(_, e) | Expr::Star(_, e) | Expr::Plus(_, e) => e.walk(see),
            _ => {}
        }
    }

    pub(crate) fn literals(&self) -> BTreeSet<String> {
        let mut all = BTreeSet::new();
        self.walk(&mut |e| {
            if let Expr::Literal(text) = e {
                all.insert(text.clone());
            }
        });
        all
    }

    pub(crate) fn refs(&self) -> BTreeSet<String> {
        let mut all = BTreeSet::new();
        self.walk(&mut |e| {
            if let Expr::Ref(name) = e {
                all.insert(name.clone());
            }
        });
        all
    }
}
