//! Two hundred mistakes that people make, written down one by one: each gives one report, on the right line, and the way
//! out that it shows leads to a right book.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use std::fs;

use support::{Book, compile, fixed, offered, told};
use tipring::check::Diagnostic;

/// A mistake in the winter book, what is told of it, and what a reader does who follows that to the letter.
struct Mistake<'l> {
    line: &'l str,
    file: String,
    old: String,
    new: String,
    code: &'l str,
    /// Text on the line that is told, when it is not the line with the mistake.
    elsewhere: Option<String>,
    way: Way,
}

enum Way {
    /// The change that is offered.
    Fix,
    /// These words are said, and so this is written instead.
    Words(String, String),
    /// None is shown that helps.
    None,
}

impl Mistake<'_> {
    /// `file | old | new | code [@ text] | fix`, or `| words => text` at the end, `=` for what stood there before.
    fn read(line: &str) -> Mistake<'_> {
        let fields: Vec<&str> = line.split(" | ").collect();
        let [file, old, new, code, way] = fields.as_slice() else { panic!("five fields: {line}") };
        let plain = |text: &str| text.replace("\\n", "\n").replace('·', " ");
        let (code, elsewhere) = code.split_once(" @ ").map_or((*code, None), |(code, text)| (code, Some(plain(text))));
        let way = match *way {
            "fix" => Way::Fix,
            "none" => Way::None,
            way => {
                let (words, text) = way.split_once(" => ").expect("words and a text");
                Way::Words(words.to_owned(), if text == "=" { plain(old) } else { plain(text) })
            }
        };
        Mistake { line, file: format!("{file}.scene"), old: plain(old), new: plain(new), code, elsewhere, way }
    }

    fn made(&self, right: &Book, instead: &str) -> Book {
        let mut book = right.clone();
        let (_, text) = book.iter_mut().find(|(path, _)| *path == self.file).expect("a file of the book");
        let written = String::from_utf8(text.clone()).unwrap();
        assert_eq!(written.matches(&self.old).count(), 1, "stands there once: {}", self.line);
        *text = written.replacen(&self.old, instead, 1).into_bytes();
        book
    }

    /// The file and the line of the mistake, where the two texts part; or those of the text that is named.
    fn place(&self, wrong: &Book) -> (String, u32) {
        let texts = wrong.iter().map(|(path, text)| (path.clone(), std::str::from_utf8(text).unwrap()));
        let found = |(path, text): (String, &str)| {
            let at = match &self.elsewhere {
                Some(there) => text.find(there.as_str())?,
                None if path != self.file => return None,
                None => {
                    let same = self.old.bytes().zip(self.new.bytes()).take_while(|(a, b)| a == b).count();
                    text.find(&self.new).expect("the mistake stands there") + same
                }
            };
            Some((path, 1 + text[..at].matches('\n').count() as u32))
        };
        texts.into_iter().find_map(found).expect("the line that is told")
    }
}

fn winter() -> Book {
    let file = |name: &str| (name.to_owned(), fs::read(format!("examples/winter/{name}")).unwrap());
    vec![file("songs.scene"), file("board.scene")]
}

fn says(diagnostic: &Diagnostic, words: &str) -> bool {
    let texts = [Some(&diagnostic.message), diagnostic.label.as_ref(), diagnostic.help.as_ref()];
    texts.into_iter().flatten().any(|text| text.contains(words))
}

#[test]
fn one_report_for_one_mistake_and_a_way_out_that_leads_there() {
    let right = winter();
    assert_eq!(told(&compile(&right)).count(), 0);
    let list = fs::read_to_string("tests/human/list.txt").unwrap();
    let (mut all, mut one, mut led) = (0, 0, 0);
    for line in list.lines().filter(|l| !l.is_empty() && !l.starts_with("# ")) {
        let mistake = Mistake::read(line);
        let wrong = mistake.made(&right, &mistake.new);
        let compiled = compile(&wrong);
        let found = match &mistake.way {
            Way::None => told(&compiled).cloned().collect(),
            _ => offered(&compiled),
        };
        all += 1;
        assert!(!found.is_empty(), "nothing is told of it: {line}");
        let exact = match found.as_slice() {
            [only] => {
                let place = (compiled.files.path(only.at).to_owned(), compiled.files.place(only.at).line);
                only.code == mistake.code && place == mistake.place(&wrong)
            }
            _ => false,
        };
        one += usize::from(exact);
        let there = match &mistake.way {
            Way::None => false,
            Way::Fix => {
                let fix = found.iter().find_map(|d| d.fix.as_ref());
                fix.is_some_and(|fix| told(&compile(&fixed(&wrong, &compiled, fix))).count() == 0)
            }
            Way::Words(words, text) => {
                let said = found.iter().any(|d| d.code == mistake.code && says(d, words));
                said && told(&compile(&mistake.made(&right, text))).count() == 0
            }
        };
        led += usize::from(there);
        if !exact || !there {
            let codes: Vec<&str> = found.iter().map(|d| d.code).collect();
            println!(
                "{}{} {codes:?}: {line}",
                if exact { "" } else { "[not one] " },
                if there { "" } else { "[no way] " }
            );
        }
    }
    println!(
        "{all} mistakes: {one} with one report on the right line, {led} with a way out that leads to a right book"
    );
    assert!(all >= 200 && one * 200 >= all * 190 && led * 200 >= all * 180, "{all} mistakes, {one} and {led}");
}
