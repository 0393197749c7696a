//! The suite: `tests/suite/**/*.scene`, one book a section.
//!
//! The text before the first `#=== title` is the prelude of every section. Above a line that is wrong stands
//! ``#~ CODE `underlined` -> words``: exactly these diagnostics must appear (notes aside), on that line, underlining
//! that text, with those words in what they say. `#| ` lines are cells of the table: column names, then rows.
//! `TIPRING_BLESS=1` writes both kinds of line anew.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use support::{check_fixes, compile, offered, one, told, unescaped};
use tipring::Compiled;
use tipring::check::Diagnostic;
use tipring::print::csv;
use tipring::source::ends::is_odd;
use tipring::syntax::hidden::is_hidden;

/// One section of a file.
struct Section {
    title: String,
    /// The number of its first line in the file, from 1.
    line: usize,
    lines: Vec<String>,
}

/// `#~ CODE `underlined` -> words`, and the line it is about.
struct Wanted {
    code: String,
    underlined: String,
    words: String,
    line: usize,
}

impl Wanted {
    fn read(text: &str, line: usize) -> Option<Wanted> {
        let (head, words) = text.strip_prefix("#~ ")?.rsplit_once("` -> ")?;
        let (code, underlined) = head.split_once(" `")?;
        let underlined = unescaped(underlined);
        Some(Wanted { code: code.to_owned(), underlined, words: words.to_owned(), line })
    }

    fn is(&self, found: &Found<'_>) -> bool {
        self.code == found.diagnostic.code
            && self.line == found.line
            && self.underlined == found.underlined
            && said(&found.diagnostic).contains(&self.words)
    }
}

/// A diagnostic, with its line in the suite's file.
struct Found<'c> {
    diagnostic: Diagnostic,
    line: usize,
    underlined: &'c str,
}

/// What cannot be seen, as an escape: an expectation is a comment itself.
fn escaped(text: &str) -> String {
    let strange = |c: char| is_hidden(c) || is_odd(c);
    let letter = |c: char| if strange(c) { format!("\\u{{{:X}}}", c as u32) } else { c.to_string() };
    text.chars().map(letter).collect()
}

/// All that a diagnostic says.
fn said(d: &Diagnostic) -> String {
    let others = d.others.iter().map(|(_, says)| says);
    let all = [&d.message].into_iter().chain(&d.label).chain(others).chain(&d.help);
    all.fold(String::new(), |text, says| text + says + "\n")
}

fn files(folder: &Path, out: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files(&path, out);
        } else if path.extension().is_some_and(|e| e == "scene") {
            out.push(path);
        }
    }
}

/// Splits a file; the first section is the prelude.
fn sections(text: &str) -> Vec<Section> {
    let mut out = vec![Section { title: String::new(), line: 1, lines: Vec::new() }];
    for (i, line) in text.split_inclusive('\n').enumerate() {
        match line.trim_end().strip_prefix("#=== ") {
            Some(title) => out.push(Section { title: title.to_owned(), line: i + 2, lines: Vec::new() }),
            None => out.last_mut().unwrap().lines.push(line.to_owned()),
        }
    }
    out
}

/// What a section wants: diagnostics, and a table.
fn wanted(section: &Section) -> (Vec<Wanted>, Vec<String>) {
    let (mut diagnostics, mut table): (Vec<Wanted>, _) = (Vec::new(), Vec::new());
    let mut waiting = Vec::new();
    for (i, line) in section.lines.iter().enumerate() {
        let text = line.trim_end_matches(['\r', '\n']);
        if text.starts_with("#~") {
            waiting.push((section.line + i, text.to_owned()));
        } else if let Some(row) = text.strip_prefix("#| ") {
            table.push(row.to_owned());
        } else {
            for (at, text) in waiting.drain(..) {
                let wanted = Wanted::read(&text, section.line + i);
                diagnostics.push(wanted.unwrap_or_else(|| panic!("line {at} cannot be read: {text}")));
            }
        }
    }
    (diagnostics, table)
}

/// What a compiled section tells. A diagnostic in the prelude has the prelude's line.
fn found<'c>(compiled: &'c Compiled, prelude: usize, section: &Section) -> Vec<Found<'c>> {
    offered(compiled)
        .into_iter()
        .map(|diagnostic| {
            let line = compiled.files.place(diagnostic.at).line as usize;
            let line = if line > prelude { line - prelude + section.line - 1 } else { line };
            let underlined = compiled.files.text(diagnostic.at);
            Found { diagnostic, line, underlined }
        })
        .collect()
}

/// The printed table with what is settled in free cells instead of what an empty preset has there.
fn settled(compiled: &Compiled) -> String {
    let printed = csv::table(compiled, false);
    let (head, lines) = printed.split_once('\n').unwrap();
    let cells = || compiled.table.cells.list.numbered();
    let heads = head.split(',').count();
    let row = |(line, preset): (&str, &tipring::fill::Preset)| {
        let mut fields: Vec<String> = line.splitn(3, ',').take(2).map(str::to_owned).collect();
        // Behind the cells stands what switches do.
        let all = heads - 2;
        let stored = line.rsplitn(all + 1, ',').take(all);
        let stored: Vec<&str> = stored.collect::<Vec<_>>().into_iter().rev().collect();
        let stored_behind: Vec<String> = stored.iter().skip(cells().count()).map(|s| (*s).to_owned()).collect();
        fields.extend(cells().zip(stored).map(|((cell, c), stored)| {
            if !compiled.table.is_free(preset.scene, c) || cell.pulses() {
                return stored.to_owned();
            }
            let mut out = String::new();
            tipring::written::cell::write(&mut out, &compiled.book.board, cell, compiled.table.value(preset.scene, c));
            out
        }));
        fields.extend(stored_behind);
        fields.join(",") + "\n"
    };
    let rows: String = lines.lines().zip(&compiled.presets).map(row).collect();
    format!("{head}\n{rows}")
}

/// Rows of the table as it is settled, cut to some columns: where nobody hears a cell, what was said of it all the same.
fn rows(compiled: &Compiled, columns: &str) -> Result<Vec<String>, String> {
    let printed = settled(compiled);
    let mut lines = printed.lines().map(|l| l.split(',').collect::<Vec<_>>());
    let names = lines.next().unwrap_or_default();
    let place = |c: &str| names.iter().position(|n| *n == c).ok_or(format!("no column {c}"));
    let places = columns.split(',').map(place).collect::<Result<Vec<_>, _>>()?;
    Ok(lines.map(|row| places.iter().map(|p| row[*p]).collect::<Vec<_>>().join(",")).collect())
}

/// Compares what was found with what was wanted.
fn compare(at: &str, section: &Section, compiled: &Compiled, prelude: usize, failures: &mut Vec<String>) {
    let (wanted, table) = wanted(section);
    let mut found = found(compiled, prelude, section);
    for want in wanted {
        match found.iter().position(|f| want.is(f)) {
            Some(i) => drop(found.remove(i)),
            None => {
                let Wanted { code, underlined, words, line } = want;
                failures.push(format!("{at}:{line}: wanted {code} `{underlined}` -> {words} ({})", section.title));
            }
        }
    }
    for Found { diagnostic, line, underlined } in found {
        let said = said(&diagnostic).trim_end().replace('\n', " | ");
        failures.push(format!("{at}:{line}: found {} `{underlined}`: {said} ({})", diagnostic.code, section.title));
    }
    let Some((columns, wanted)) = table.split_first() else { return };
    match rows(compiled, columns) {
        Err(why) => failures.push(format!("{at}:{}: {why} ({})", section.line, section.title)),
        Ok(mut rows) => {
            for row in wanted {
                match rows.iter().position(|r| r == row) {
                    Some(i) => drop(rows.remove(i)),
                    None => {
                        let line = section.line
                            + section.lines.iter().position(|l| l.trim_end() == format!("#| {row}")).unwrap_or(0);
                        failures.push(format!(
                            "{at}:{line}: wanted {columns} {row}, left are {rows:?} ({})",
                            section.title
                        ));
                    }
                }
            }
        }
    }
}

/// The section with its expectations written anew.
fn blessed(section: &Section, compiled: &Compiled, prelude: usize) -> String {
    let (old, table) = wanted(section);
    let found = found(compiled, prelude, section);
    let mut out = String::new();
    for (i, line) in section.lines.iter().enumerate() {
        if line.starts_with("#~") || line.starts_with("#| ") {
            continue;
        }
        let end = if line.ends_with("\r\n") { "\r\n" } else { "\n" };
        for f in found.iter().filter(|f| f.line == section.line + i) {
            let words = old.iter().find(|w| w.is(f)).map_or(f.diagnostic.message.as_str(), |w| w.words.as_str());
            let _ = write!(out, "#~ {} `{}` -> {words}{end}", f.diagnostic.code, escaped(f.underlined));
        }
        out += line;
    }
    if let Some((columns, wanted)) = table.split_first() {
        let end = if out.ends_with("\r\n") { "\r\n" } else { "\n" };
        let scene = |row: &str| {
            let place = columns.split(',').position(|c| c == "scene").unwrap_or(0);
            row.split(',').nth(place).unwrap_or_default().to_owned()
        };
        let _ = write!(out, "#| {columns}{end}");
        for row in rows(compiled, columns).unwrap_or_default() {
            if wanted.iter().any(|w| scene(w) == scene(&row)) {
                let _ = write!(out, "#| {row}{end}");
            }
        }
    }
    out
}

/// Runs `run` on every section of the suite: its path, itself, the book, and the lines of its prelude.
fn each(mut run: impl FnMut(&Path, &Section, &support::Book, usize)) -> usize {
    let mut paths = Vec::new();
    files(Path::new("tests/suite"), &mut paths);
    let mut count = 0;
    for path in paths {
        let text = fs::read_to_string(&path).unwrap();
        let mut sections = sections(&text).into_iter();
        let prelude = sections.next().unwrap();
        for section in sections {
            let book = prelude.lines.concat() + &section.lines.concat();
            run(&path, &section, &one(&path.to_string_lossy(), &book), prelude.lines.len());
            count += 1;
        }
    }
    count
}

#[test]
fn every_section_tells_what_it_says_it_tells() {
    let bless = std::env::var_os("TIPRING_BLESS").is_some_and(|v| v == "1");
    let mut failures = Vec::new();
    let mut written: Vec<(PathBuf, String)> = Vec::new();
    let count = each(|path, section, book, prelude| {
        let compiled = compile(book);
        compare(&path.to_string_lossy(), section, &compiled, prelude, &mut failures);
        if bless {
            if written.last().is_none_or(|(p, _)| p != path) {
                let text = fs::read_to_string(path).unwrap();
                let head = text.split_inclusive('\n').take(prelude).collect();
                written.push((path.to_path_buf(), head));
            }
            let text = &mut written.last_mut().unwrap().1;
            let end = if text.ends_with("\r\n") { "\r\n" } else { "\n" };
            let _ = write!(text, "#=== {}{end}{}", section.title, blessed(section, &compiled, prelude));
        }
    });
    for (path, text) in written {
        fs::write(path, text).unwrap();
    }
    assert!(count > 300, "only {count} sections were found");
    assert!(bless || failures.is_empty(), "{} failures\n{}", failures.len(), failures.join("\n"));
}

/// Counted from what the tool tells, not from what the files say it tells.
#[test]
fn there_are_enough_broken_books_of_one_mistake_and_enough_silent_ones() {
    let (mut broken, mut near, mut odd) = (0, 0, 0);
    each(|path, section, book, _| {
        let at = format!("{}:{} ({})", path.display(), section.line, section.title);
        let compiled = compile(book);
        let count = told(&compiled).count();
        let area = path.parent().and_then(Path::file_name).unwrap();
        if area == "odd" {
            odd += usize::from(count == 0);
        } else if area == "mistakes" && section.title.starts_with("near miss of ") {
            let code = section.title["near miss of ".len()..].split(':').next().unwrap();
            assert!(told(&compiled).all(|d| d.code != code), "{at}");
            near += 1;
        } else if area == "mistakes" {
            let offered = offered(&compiled);
            let mut told = offered.iter();
            // A syntax mistake may show what can stand there instead.
            let shows = |d: &Diagnostic| d.label.as_ref().is_some_and(|l| l.starts_with("what fits here: "));
            let way_out = told.next().is_some_and(|d| d.help.is_some() || d.fix.is_some() || shows(d));
            assert!(count == 1 && way_out, "{at}: {count} told");
            broken += 1;
        }
    });
    println!("{broken} broken books of one mistake, {near} near misses, {odd} odd but right");
    assert!(broken >= 120 && odd >= 20, "{broken} broken, {odd} odd");
}

#[test]
fn every_fix_mends() {
    let mut failures = Vec::new();
    let mut fixes = 0;
    each(|path, section, book, _| {
        let compiled = compile(book);
        fixes += compiled.diagnostics().iter().filter(|d| d.fix.is_some()).count();
        let at = format!("{}:{} ({})", path.display(), section.line, section.title);
        check_fixes(book, &compiled, &at, false, &mut failures);
    });
    assert!(fixes > 20, "only {fixes} fixes were found");
    assert!(failures.is_empty(), "{} failures\n{}", failures.len(), failures.join("\n"));
}
