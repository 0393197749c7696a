//! The same bytes in whatever order statements stand: every command and format of a book, its statements shuffled over
//! files with other names, or the lines of its blocks turned about where their order means nothing.
//!
//! A run takes a few books and a few commands of each, by a new seed; with TIPRING_FULL=1 all of them. TIPRING_SEED=n
//! takes the draws of that run again.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
// The generator is shared with tests that use more of it.
#![allow(dead_code)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "properties/books.rs"]
mod books;
#[path = "support/dice.rs"]
mod dice;
#[path = "order/written.rs"]
mod written;
#[path = "settle_agrees"]
mod settle_agrees {
    pub(crate) mod abstract_book;
    pub(crate) mod board;
    pub(crate) mod generate;
    pub(crate) mod random;
    pub(crate) mod write;
    pub(crate) mod write_board;
}

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use settle_agrees::random::Random;
use written::Files;

const KNOTTY: &str = include_str!("order/knotty.scene");

/// Words of a command line; `{}` is the book, `SET` and `SCENE` some of its.
fn commands() -> Vec<String> {
    let formats = |words: &str, formats: &[&str]| formats.iter().map(|f| format!("{words} --format {f}")).collect();
    let mut out: Vec<String> = Vec::new();
    out.extend::<Vec<_>>(formats("table {}", &["text", "csv", "json", "yaml", "words"]));
    out.extend::<Vec<_>>(formats("table {} --why", &["json", "yaml"]));
    out.extend::<Vec<_>>(formats("table {} --fill open", &["csv", "words"]));
    out.extend(["table {} --free", "table {} --free --format csv"].map(str::to_owned));
    out.extend::<Vec<_>>(formats("sheet {}", &["text", "html", "pdf"]));
    for who in ["player", "tech"] {
        out.extend::<Vec<_>>(formats(&format!("sheet {{}} --for {who}"), &["text", "html", "pdf"]));
    }
    out.extend::<Vec<_>>(formats("sheet {} --program --for tech", &["text", "html"]));
    out.extend(["sheet {} --set SET", "stage {}", "stage {} --set SET"].map(str::to_owned));
    out.extend(["labels {} -o -", "labels {} --copies 2 -o -", "slots {}"].map(str::to_owned));
    out.extend(["slots {} --best", "slots {} --best --bank-a-song --format csv"].map(str::to_owned));
    out.extend(["linecheck {} --isolate", "linecheck {} --set SET --format csv"].map(str::to_owned));
    out.extend::<Vec<_>>(formats("without {}", &["text", "csv", "json", "html"]));
    out.extend::<Vec<_>>(formats("walk {}", &["text", "json", "html"]));
    out.extend::<Vec<_>>(formats("midi {} --set SET", &["file", "hex", "json"]));
    out.extend::<Vec<_>>(formats("calls {}", &["text", "csv", "json", "html"]));
    out.push("calls {} --set SET --format file".to_owned());
    out.extend::<Vec<_>>(formats("signal {}", &["text", "json", "csv", "html"]));
    out.extend(
        ["signal {} --buffers 5kHz", "signal {} SCENE --curves", "signal {} SCENE --netlist"].map(str::to_owned),
    );
    for command in ["supply", "wiring", "buildcheck"] {
        out.extend::<Vec<_>>(formats(&format!("{command} {{}}"), &["text", "csv"]));
    }
    out.extend::<Vec<_>>(formats("where {} SCENE", &["text", "csv"]));
    out.extend(
        [
            "readback {} --ask",
            "readback {} --html",
            "why {} SCENE",
            "why {} SCENE --cells",
            "walk {} --from SCENE --to SCENE",
            "check {} --format json",
        ]
        .map(str::to_owned),
    );
    out
}

/// Words for two books, `{}` and `OTHER`.
fn comparisons() -> Vec<String> {
    let mut out: Vec<String> =
        ["text", "html", "pdf", "md", "json"].map(|f| format!("diff {{}} OTHER --format {f}")).to_vec();
    let more = ["--for player", "--for tech", "--exact", "--no-renames", "--for tech --format html"];
    out.extend(more.map(|words| format!("diff {{}} OTHER {words}")));
    out
}

/// A book under test.
struct Case {
    name: String,
    statements: Vec<String>,
    set: String,
    scene: String,
}

fn case(name: &str, texts: &[&str]) -> Case {
    let statements = written::statements(texts.iter().copied());
    let whole = statements.join("\n");
    let compiled = tipring::compile_texts(&[("book.scene", &whole)]);
    assert_eq!(compiled.errors(), 0, "{name}");
    let set = compiled.book.show.sets.first().map_or(String::new(), |s| s.title.to_string());
    // One that stands on others has most to tell.
    let scene = compiled.book.show.scenes.iter().max_by_key(|s| (s.parent.is_some(), s.name.len(), s.name.clone()));
    Case { name: name.to_owned(), statements, set, scene: scene.map_or(String::new(), |s| s.name.to_string()) }
}

/// The examples, the starters, and a board with several of everything.
fn whole_books() -> Vec<Case> {
    let mut out = vec![case("knotty", &[KNOTTY])];
    for name in ["winter", "spring", "fly"] {
        let book = books::example(name);
        out.push(case(name, &book.iter().map(|(_, text)| text.as_str()).collect::<Vec<_>>()));
    }
    for book in books::presets().iter().filter(|b| b[0].0.contains("starter-")) {
        out.push(case(&book[0].0, &[&book[0].1]));
    }
    assert_eq!(out.len(), 6);
    out
}

/// Books of the suite without an error; but for those of one night, whose file is opened by its own name.
fn suite_books() -> Vec<Case> {
    let clean = |book: &&books::Book| {
        let [(_, text)] = book.as_slice() else { return false };
        let compiled = books::compile(book);
        tipring::syntax::parse(0, text).1.is_empty() && compiled.errors() == 0 && compiled.book.night.is_none()
    };
    let all = books::suite();
    let cases = all.iter().filter(clean).map(|book| case(&book[0].0, &[&book[0].1]));
    cases.filter(|case| case.statements.len() > 2).collect()
}

fn put(folder: &Path, files: &Files) {
    fs::create_dir(folder).unwrap();
    for (name, text) in files {
        fs::write(folder.join(name), text).unwrap();
    }
}

/// What a command says: exit code and standard output.
fn said(line: &str, case: &Case, book: &Path, other: &Path) -> (Option<i32>, Vec<u8>) {
    let words = line.split(' ').map(|word| match word {
        "{}" => book.to_str().unwrap().to_owned(),
        "OTHER" => other.to_str().unwrap().to_owned(),
        word => word.replace("SET", &case.set).replace("SCENE", &case.scene),
    });
    let tipring = env!("CARGO_BIN_EXE_tipring");
    let out = Command::new(tipring).args(words).stdin(Stdio::null()).output().unwrap();
    if line.contains("--format json") || line.contains("why") {
        let text = String::from_utf8(out.stdout).unwrap();
        let mut lines: Vec<String> = text.lines().map(placeless).collect();
        // What is told stands in the order of the text.
        if line.starts_with("check") {
            lines.sort();
        }
        return (out.status.code(), lines.join("\n").into_bytes());
    }
    (out.status.code(), out.stdout)
}

/// A line without file names and numbers of lines: those do depend on the order.
fn placeless(line: &str) -> String {
    let mut line = line.to_owned();
    if ["file: ", "line: "].iter().any(|key| line.trim_start().starts_with(key)) {
        return String::new();
    }
    for key in ["\"file\":", "\"line\":", "\"column\":", "\"start\":", "\"end\":", "\"at\":"] {
        while let Some(from) = line.find(key) {
            let end = line[from + key.len()..].find([',', '}']).map_or(line.len(), |at| from + key.len() + at + 1);
            line.replace_range(from..end, "");
        }
    }
    let words = line.split(' ').filter(|word| !word.contains(".scene"));
    words.collect::<Vec<_>>().join(" ")
}

/// Some of a list, in any order; all of it in full.
fn some<T>(mut all: Vec<T>, count: usize, random: &mut Random) -> Vec<T> {
    random.shuffle(&mut all);
    all.truncate(if books::full() { usize::MAX } else { count });
    all
}

/// Where two outputs part, with a little of what stands around it.
fn first_difference(a: &[u8], b: &[u8]) -> String {
    let at = a.iter().zip(b).take_while(|(a, b)| a == b).count();
    let around =
        |all: &[u8]| String::from_utf8_lossy(&all[at.saturating_sub(60)..all.len().min(at + 120)]).replace('\n', "⏎");
    format!("\n  {}\n  {}", around(a), around(b))
}

#[test]
fn no_output_depends_on_the_order_of_statements_or_files() {
    let seed = dice::seed();
    println!("seed {seed}");
    let random = &mut Random::new(seed);
    let mut cases = whole_books();
    let mut suite = suite_books();
    random.shuffle(&mut suite);
    suite.truncate(if books::full() { 30 } else { 4 });
    cases.append(&mut suite);
    let (mut runs, mut wrong) = (0, Vec::new());
    for case in &cases {
        let folder = tempfile::tempdir().unwrap();
        let (plain, dealt) = (folder.path().join("plain"), folder.path().join("dealt"));
        put(&plain, &written::plain(&case.statements));
        put(&dealt, &written::dealt(&case.statements, random));
        for line in some(commands(), 9, random) {
            let (a, b) = (said(&line, case, &plain, &plain), said(&line, case, &dealt, &dealt));
            runs += 1;
            if a != b {
                wrong.push(format!("{}: {line}: {:?} {:?} {}", case.name, a.0, b.0, first_difference(&a.1, &b.1)));
            }
        }
        // Nothing differs, whichever stands on which side.
        let same = said("diff {} OTHER --format json", case, &plain, &dealt);
        let empty = said("diff {} OTHER --format json", case, &plain, &plain);
        if same != empty || same.0 != Some(0) {
            wrong.push(format!("{}: diff: {}", case.name, first_difference(&same.1, &empty.1)));
        }
    }
    println!("{} books, {runs} outputs held against each other", cases.len());
    assert!(runs >= 80);
    assert!(wrong.is_empty(), "{} of {runs}, seed {seed}\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn no_comparison_depends_on_the_order_of_statements_or_files() {
    let seed = dice::seed();
    println!("seed {seed}");
    let random = &mut Random::new(seed);
    let cases = whole_books();
    let (mut runs, mut wrong) = (0, Vec::new());
    for (a, b) in [(1, 2), (2, 1), (3, 4), (0, 4), (0, 1)] {
        let (one, other) = (&cases[a], &cases[b]);
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        put(&path("one"), &written::plain(&one.statements));
        put(&path("other"), &written::plain(&other.statements));
        put(&path("one-dealt"), &written::dealt(&one.statements, random));
        put(&path("other-dealt"), &written::dealt(&other.statements, random));
        for line in some(comparisons(), 4, random) {
            let (x, y) = (
                said(&line, one, &path("one"), &path("other")),
                said(&line, one, &path("one-dealt"), &path("other-dealt")),
            );
            runs += 1;
            if x != y {
                wrong.push(format!("{}, {}: {line}: {}", one.name, other.name, first_difference(&x.1, &y.1)));
            }
        }
    }
    println!("{runs} comparisons held against each other");
    assert!(runs >= 20);
    assert!(wrong.is_empty(), "{} of {runs}, seed {seed}\n{}", wrong.len(), wrong.join("\n"));
}

/// The fingerprint goes by the words of a statement, so it is another one here; it stands in most outputs.
#[test]
fn no_output_depends_on_the_order_of_lines_that_means_nothing() {
    let seed = dice::seed();
    println!("seed {seed}");
    let random = &mut Random::new(seed);
    let (mut runs, mut wrong) = (0, Vec::new());
    for case in &whole_books() {
        let folder = tempfile::tempdir().unwrap();
        let (plain, turned) = (folder.path().join("plain"), folder.path().join("turned"));
        put(&plain, &written::plain(&case.statements));
        put(&turned, &written::turned(&case.statements, random));
        let print = |path: &Path| {
            let out = said("sheet {}", case, path, path).1;
            let text = String::from_utf8(out).unwrap();
            let word = text.split_whitespace().skip_while(|w| *w != "source").nth(1);
            word.map(|w| w.trim_matches(|c: char| !c.is_alphanumeric()).to_owned()).unwrap_or_default()
        };
        let (was, now) = (print(&plain), print(&turned));
        assert!(was.len() > 5, "{was}");
        let unprinted = |out: Vec<u8>, print: &str| String::from_utf8(out).unwrap().replace(print, "PRINT");
        let binary = |line: &String| ["pdf", "labels", "midi", "--format file"].iter().any(|word| line.contains(word));
        let lines = commands().into_iter().filter(|line| !binary(line));
        for line in some(lines.collect(), 8, random) {
            let (a, b) = (said(&line, case, &plain, &plain), said(&line, case, &turned, &turned));
            let (x, y) = (unprinted(a.1, &was), unprinted(b.1, &now));
            runs += 1;
            if a.0 != b.0 || x != y {
                let differs = first_difference(x.as_bytes(), y.as_bytes());
                wrong.push(format!("{}: {line}: {:?} {:?} {differs}", case.name, a.0, b.0));
            }
        }
    }
    println!("{runs} outputs held against each other");
    assert!(runs >= 40);
    assert!(wrong.is_empty(), "{} of {runs}, seed {seed}\n{}", wrong.len(), wrong.join("\n"));
}
