//! No control character of a book, a path or an argument reaches a terminal or a report raw.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::support::dice::Dice;
use crate::{BOARD, SONGS, folder, text, tipring};

/// Controls, escapes that do something, and signs that turn the direction of writing.
const STRANGE: &[&str] = &[
    "\u{0}",
    "\u{7}",
    "\u{8}\u{8}\u{8}",
    "\u{b}",
    "\u{c}",
    "\r",
    "\u{1b}[2J",
    "\u{1b}[8m",
    "\u{1b}]0;moss\u{7}",
    "\u{1b}",
    "\u{7f}",
    "\u{80}",
    "\u{85}",
    "\u{9b}2J",
    "\u{9d}0;moss\u{9c}",
    "\u{202e}",
    "\u{2066}",
    "\u{200f}",
    "\u{61c}",
    "\u{2028}",
];

/// The characters of a text that no terminal may see.
fn raw(text: &str) -> Vec<char> {
    let turns =
        |c: char| matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.chars().filter(|c| (c.is_control() && !"\n\t".contains(*c)) || turns(*c)).collect()
}

/// What a terminal shows: without the colours that the tool itself puts in, and the terminal's own line ends.
fn seen(text: &str) -> String {
    let mut out = String::new();
    // A line of the text that ends with both signs gets a third one.
    let text = text.replace("\r\r\n", "\n").replace("\r\n", "\n");
    let mut rest = text.as_str();
    while let Some(at) = rest.find("\u{1b}[") {
        out += &rest[..at];
        let code = rest[at + 2..].find(|c: char| !c.is_ascii_digit() && c != ';').unwrap_or(rest.len() - at - 2);
        let end = at + 2 + code;
        // Concealed letters are no colour.
        let colour = rest[end..].starts_with('m') && !rest[at + 2..end].split(';').any(|n| n == "8");
        rest = if colour {
            &rest[end + 1..]
        } else {
            out.push('\u{1b}');
            &rest[at + 1..]
        };
    }
    out + rest
}

/// Runs a command on a terminal; None where there is nothing that makes one.
fn on_terminal(words: &[&str], dir: &Path) -> Option<String> {
    let quoted = |word: &str| format!("'{}'", word.replace('\'', "'\\''"));
    let line: Vec<String> = [env!("CARGO_BIN_EXE_tipring")].iter().chain(words).map(|w| quoted(w)).collect();
    let mut command = Command::new("script");
    command.args(["-qec", &line.join(" "), "/dev/null"]).current_dir(dir).env("TERM", "xterm-256color");
    command.env_remove("NO_COLOR").stdin(Stdio::null()).stderr(Stdio::null());
    match command.stdout(Stdio::piped()).spawn() {
        Ok(mut child) => {
            let out = text(child.stdout.as_mut().unwrap());
            child.wait().unwrap();
            Some(out)
        }
        Err(why) => {
            assert!(std::env::var_os("TIPRING_FULL").is_none(), "a terminal is missing, and this is a full run: {why}");
            eprintln!("SKIPPED: nothing here makes a terminal: {why}");
            None
        }
    }
}

/// The same text with strange signs put in at a few places.
fn sprinkled(text: &str, dice: &mut Dice) -> String {
    let mut out = text.to_owned();
    for _ in 0..1 + dice.roll(6) {
        // Between letters, in quotes and in comments more often than elsewhere.
        let places: Vec<usize> = match dice.roll(3) {
            0 => out.match_indices('#').map(|(at, _)| at + 1).collect(),
            1 => out.match_indices('"').map(|(at, _)| at + 1).collect(),
            _ => out.char_indices().map(|(at, _)| at).collect(),
        };
        if !places.is_empty() {
            out.insert_str(places[dice.roll(places.len())], STRANGE[dice.roll(STRANGE.len())]);
        }
    }
    out
}

#[test]
fn no_sprinkled_book_shows_a_control() {
    let full = std::env::var("TIPRING_FULL").as_deref() == Ok("1");
    let given = std::env::var("TIPRING_SEED").ok().and_then(|seed| seed.parse().ok());
    let now = || std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap().as_nanos() as u64;
    let seed: u64 = given.unwrap_or_else(now);
    println!("seed {seed}: TIPRING_SEED={seed} runs it again");
    let mut dice = Dice(seed);
    let rounds = if full { 100 } else { 12 };
    let (mut reports, mut terminals, mut strange) = (0, 0, 0);
    for round in 0..rounds {
        let example = ["winter", "spring"][dice.roll(2)];
        let dir = folder(&[]);
        for entry in fs::read_dir(format!("examples/{example}")).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|e| e == "scene") {
                let text = sprinkled(&fs::read_to_string(&path).unwrap(), &mut dice);
                fs::write(dir.path().join(path.file_name().unwrap()), text).unwrap();
            }
        }
        let at = format!("seed {seed}, round {round}, {example}");
        for format in ["text", "json", "sarif"] {
            let (code, out, told) = tipring(&["check", ".", "--format", format], dir.path());
            assert!(code.is_some_and(|c| c < 2), "{at}, {format}: {told}");
            strange += usize::from(code == Some(1));
            // Between machines the direction of writing is data; a control is none.
            let raw: Vec<char> =
                raw(&(out + &told)).into_iter().filter(|c| format == "text" || c.is_control()).collect();
            assert!(raw.is_empty(), "{at}, {format}: {raw:?}");
            reports += 1;
        }
        let commands: [&[&str]; 7] = [
            &["check", "."],
            &["why", ".", "1.1", "--outside"],
            &["walk", ".", "--draft"],
            &["sheet", ".", "--draft"],
            &["table", ".", "--draft", "--format", "words"],
            &["fmt", "--diff", "."],
            &["check", ".", "--fix", "--dry-run"],
        ];
        let some = if full { &commands[..] } else { &commands[round % 7..][..1] };
        for words in some {
            let Some(out) = on_terminal(words, dir.path()) else { continue };
            assert_eq!(raw(&seen(&out)), Vec::<char>::new(), "{at}, {words:?} on a terminal");
            terminals += 1;
        }
    }
    assert!(strange > 0, "no book was told to be wrong: nothing was tried");
    println!("{rounds} books: {reports} reports, {terminals} on a terminal, no control shown");
}

#[test]
fn an_argument_is_told_without_its_controls() {
    let dir = folder(&[("board.scene", BOARD), ("songs.scene", SONGS)]);
    let strange = "\u{1b}]0;moss\u{7}\u{9b}8m\u{202e}\r";
    let flag = format!("--{strange}");
    for words in [
        &["check", strange][..],
        &["check", ".", "--deny", strange],
        &["check", ".", &flag],
        &["check", ".", "--format", strange],
        &["why", ".", strange],
        &["why", ".", "bed", strange],
        &["walk", ".", "--set", strange],
        &["sheet", ".", "--set", strange],
        &["explain", strange],
        &["fmt", strange],
        &["table", ".", "-o", &format!("{strange}/x")],
        &["merge", strange, "board.scene", "board.scene"],
        &[strange],
    ] {
        let (code, out, told) = tipring(words, dir.path());
        assert_eq!((code, out.as_str()), (Some(2), ""), "{words:?}: {told}");
        assert!(raw(&told).is_empty() && told.contains("<U+001B>"), "{words:?}: {told:?}");
    }
}

#[test]
fn a_file_is_told_by_its_name_without_its_controls() {
    let dir = folder(&[("a\u{1b}[8mb\u{202e}.scene", "scene bed { engage }\n")]);
    for words in [&["check", "."][..], &["fmt", "."], &["fmt", "--check", "."], &["check", ".", "--fix"]] {
        let (_, out, told) = tipring(words, dir.path());
        assert!(raw(&(out.clone() + &told)).is_empty(), "{words:?}: {out:?} {told:?}");
        assert!(words[0] == "fmt" && told.is_empty() || (out + &told).contains("a<U+001B>[8mb<U+202E>"), "{words:?}");
    }
}

/// A document goes through a pipe as it is: what a text holds is the user's.
#[test]
fn a_document_keeps_its_bytes_through_a_pipe() {
    let text = "scene bed { mute }\nsong \"Quay\u{1b}[8m\u{202e}\" { all:bed }\n";
    let dir = folder(&[("b.scene", text)]);
    let (_, out, _) = tipring(&["table", "b.scene", "--draft", "--format", "json"], dir.path());
    assert!(raw(&out).iter().all(|c| !c.is_control()), "{out}");
    let (_, out, told) = tipring(&["fmt", "b.scene", "--diff"], dir.path());
    assert_eq!(raw(&told), Vec::<char>::new(), "{told}");
    assert!(out.is_empty() || out.contains("\u{1b}[8m"), "{out}");
}

#[test]
fn the_place_is_underlined_though_its_line_shows_more_letters() {
    let dir = folder(&[("b.scene", "scene bed { mute } # \u{1b}[8m\u{202e}\nsong \"Quay\" { bad }\n")]);
    let (_, out, _) = tipring(&["check", "b.scene"], dir.path());
    assert!(out.contains("1 │ scene bed { mute } # <U+001B>[8m<U+202E>\n"), "{out}");
    let lines: Vec<&str> = out.lines().collect();
    let at = lines.iter().position(|l| l.contains("2 │ song \"Quay\" { bad }")).unwrap();
    let column = |line: &str, c: &str| line.split(c).next().unwrap().chars().count();
    assert!(lines[at..].iter().any(|l| l.contains("───") && column(l, "─") == column(lines[at], "bad")), "{out}");
}
