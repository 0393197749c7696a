//! Random sentences of the grammar, which count the ways they take.

use std::collections::{BTreeMap, BTreeSet};

use super::ebnf::{Expr, Grammar};

/// splitmix64: the same numbers on every machine.
pub(crate) struct Random(pub u64);

impl Random {
    pub(crate) fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % n as u64) as usize
    }

    pub(crate) fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    pub(crate) fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }

    pub(crate) fn say<'a>(&mut self, from: &[&'a str]) -> &'a str {
        from[self.below(from.len())]
    }
}

pub(crate) struct Writer<'g> {
    grammar: &'g Grammar,
    keywords: BTreeSet<String>,
    /// The fewest productions below each one: the way out when a sentence grows too deep.
    heights: BTreeMap<String, usize>,
    /// For each point, how often each way was taken.
    pub counts: Vec<Vec<usize>>,
    pub random: Random,
    tokens: Vec<String>,
    depth: usize,
}

const DEEP: usize = 16;
const LONG: usize = 250;

impl<'g> Writer<'g> {
    pub(crate) fn new(grammar: &'g Grammar, seed: u64) -> Writer<'g> {
        let mut heights: BTreeMap<String, usize> = BTreeMap::new();
        for _ in 0..grammar.rules.len() {
            for (name, expr) in &grammar.rules {
                if let Some(h) = height(expr, &heights) {
                    heights.insert(name.clone(), h + 1);
                }
            }
        }
        assert_eq!(heights.len(), grammar.rules.len(), "a production that never ends");
        Writer {
            grammar,
            keywords: grammar.keywords(),
            heights,
            counts: grammar.points.iter().map(|(_, ways)| vec![0; *ways]).collect(),
            random: Random(seed),
            tokens: Vec::new(),
            depth: 0,
        }
    }

    /// One sentence of this production, as tokens.
    pub(crate) fn sentence(&mut self, production: &str) -> Vec<String> {
        self.tokens.clear();
        self.expr(&Expr::Ref(production.to_string()));
        std::mem::take(&mut self.tokens)
    }

    fn tired(&self) -> bool {
        self.depth > DEEP || self.tokens.len() > LONG
    }

    /// A way through a point: often the one least taken so far.
    fn way(&mut self, point: usize, open: &[usize]) -> usize {
        let least = *open.iter().min_by_key(|w| self.counts[point][**w]).unwrap();
        let way = if self.random.chance(40) { least } else { *self.random.pick(open) };
        self.counts[point][way] += 1;
        way
    }

    fn branch(&mut self, point: usize, all: &[Expr]) -> usize {
        let cost = |e: &Expr| height(e, &self.heights).unwrap();
        let least = all.iter().map(cost).min().unwrap();
        let open: Vec<usize> = (0..all.len()).filter(|w| !self.tired() || cost(&all[*w]) == least).collect();
        self.way(point, &open)
    }

    /// The second way of an optional part, and of a repeated one.
    fn more(&mut self, point: usize, percent: usize) -> bool {
        let more = !self.tired() && self.random.chance(percent);
        self.counts[point][usize::from(more)] += 1;
        more
    }

    fn repeat(&mut self, point: usize, e: &Expr) {
        // Long books and blocks, short conditions: those hold each other.
        let percent = if self.depth < 6 { 75 } else { 30 };
        let mut more = self.more(point, percent);
        while more {
            self.expr(e);
            more = !self.tired() && self.random.chance(percent);
        }
    }

    fn expr(&mut self, expr: &Expr) {
        match expr {
            Expr::Literal(text) => self.tokens.push(text.clone()),
            Expr::Class { .. } => unreachable!("a class outside the lexical part"),
            Expr::Ref(name) if self.grammar.lexical.contains(name) => {
                let text = self.lexical_token(name);
                self.tokens.push(text);
            }
            Expr::Ref(name) => {
                self.depth += 1;
                let grammar = self.grammar;
                self.expr(&grammar.rules[name]);
                self.depth -= 1;
            }
            Expr::Seq(all) => all.iter().for_each(|e| self.expr(e)),
            Expr::Alt(point, all) => {
                let way = self.branch(*point, all);
                self.expr(&all[way]);
            }
            Expr::Opt(point, e) => {
                if self.more(*point, 60) {
                    self.expr(e);
                }
            }
            Expr::Star(point, e) => self.repeat(*point, e),
            Expr::Plus(point, e) => {
                self.expr(e);
                self.repeat(*point, e);
            }
        }
    }

    fn lexical_token(&mut self, name: &str) -> String {
        // Any word of the language could mean something else where a name stands.
        loop {
            let mut text = String::new();
            self.lexical(&Expr::Ref(name.to_string()), &mut text);
            if name != "name" || !self.keywords.contains(&text) {
                return text;
            }
        }
    }

    fn lexical(&mut self, expr: &Expr, out: &mut String) {
        match expr {
            Expr::Literal(text) => out.push_str(text),
            Expr::Class { except, ranges } => {
                let c = self.character(*except, ranges);
                out.push(c);
            }
            Expr::Ref(name) => {
                if name == "unit" {
                    out.push_str(self.random.say(&["", " ", " ", "  ", "\t", "\u{a0}"]));
                }
                let grammar = self.grammar;
                if name == "letter" && self.random.chance(8) {
                    // "and a letter of any other script, with its marks"
                    out.push_str(self.random.say(&["\u{e9}", "\u{436}", "e\u{301}", "\u{3b2}", "\u{97f3}"]));
                } else {
                    self.lexical(&grammar.rules[name], out);
                }
            }
            Expr::Seq(all) => all.iter().for_each(|e| self.lexical(e, out)),
            Expr::Alt(point, all) => {
                let open: Vec<usize> = (0..all.len()).collect();
                let way = self.way(*point, &open);
                self.lexical(&all[way], out);
            }
            Expr::Opt(point, e) => {
                if self.way(*point, &[0, 1]) == 1 {
                    self.lexical(e, out);
                }
            }
            Expr::Star(point, e) => {
                while self.way(*point, &[0, 1]) == 1 {
                    self.lexical(e, out);
                }
            }
            Expr::Plus(point, e) => {
                self.lexical(e, out);
                while self.way(*point, &[0, 1]) == 1 {
                    self.lexical(e, out);
                }
            }
        }
    }

    fn character(&mut self, except: bool, ranges: &[(char, char)]) -> char {
        let within = |c: char| ranges.iter().any(|(low, high)| (*low..=*high).contains(&c));
        if except {
            // Signs of the language and of a phone mean nothing in a text.
            let any =
                ['a', 'Z', '7', ' ', '#', ';', '{', '}', ',', '-', '>', '\'', '\t', '\u{e9}', '\u{2192}', '\u{201c}'];
            let open: Vec<char> = any.into_iter().filter(|c| !within(*c)).collect();
            return *self.random.pick(&open);
        }
        let (low, high) = *self.random.pick(ranges);
        char::from_u32(low as u32 + self.random.below(high as usize - low as usize + 1) as u32).unwrap()
    }
}

/// None while something below is not known yet.
fn height(expr: &Expr, heights: &BTreeMap<String, usize>) -> Option<usize> {
    match expr {
        Expr::Literal(_) | Expr::Class { .. } | Expr::Opt(..) | Expr::Star(..) => Some(0),
        Expr::Ref(name) => heights.get(name).copied(),
        Expr::Seq(all) => all.iter().map(|e| height(e, heights)).try_fold(0, |most, h| Some(most.max(h?))),
        Expr::Alt(_, all) => all.iter().filter_map(|e| height(e, heights)).min(),
        Expr::Plus(_, e) => height(e, heights),
    }
}
