//! Tables taken over: messy ones from `tests/adopt`, each with the right answer or the right refusal; the examples' own;
//! through a spreadsheet's own file and back.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn tipring(dir: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tipring")).args(words).current_dir(dir).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// Words as a shell parts them: blanks between, quotes around.
fn words(line: &str) -> Vec<String> {
    let mut out = Vec::new();
    for (at, part) in line.split('"').enumerate() {
        if at % 2 == 1 {
            out.push(part.to_owned());
        } else {
            out.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    out
}

fn encoded(table: &str, how: &str) -> Vec<u8> {
    let ends = if how.contains("crlf") { table.replace('\n', "\r\n") } else { table.to_owned() };
    match how.split(' ').next().unwrap() {
        "utf-16" => format!("\u{feff}{ends}").encode_utf16().flat_map(u16::to_le_bytes).collect(),
        "bom" => format!("\u{feff}{ends}").into_bytes(),
        // ISO 8859-1: a byte a letter.
        "latin" => ends.chars().map(|c| u8::try_from(c as u32).unwrap()).collect(),
        _ => ends.into_bytes(),
    }
}

/// Only the columns that are asked for: a board has more than a table speaks of.
fn columns(csv: &str, wanted: &str) -> String {
    let heads: Vec<&str> = csv.lines().next().unwrap_or_default().split(',').collect();
    let asked: Vec<&str> = wanted.lines().next().unwrap_or_default().split(',').collect();
    let at: Vec<usize> =
        asked.iter().map(|a| heads.iter().position(|h| h == a).unwrap_or_else(|| panic!("no {a}"))).collect();
    let row = |line: &str| {
        let fields: Vec<&str> = line.split(',').collect();
        at.iter().map(|at| fields[*at]).collect::<Vec<_>>().join(",") + "\n"
    };
    csv.lines().map(row).collect()
}

#[test]
fn messy_tables_are_taken_over_or_refused() {
    let mut cases: Vec<PathBuf> =
        fs::read_dir(root().join("tests/adopt")).unwrap().map(|e| e.unwrap().path()).collect();
    cases.retain(|path| path.extension().is_some_and(|e| e == "table"));
    cases.sort();
    let (mut books, mut refusals, mut wrong) = (0, 0, Vec::new());
    for case in &cases {
        let folder = tempfile::tempdir().unwrap();
        let all = fs::read_to_string(case).unwrap();
        let mut parts = all.split("=== ");
        let head = parts.next().unwrap();
        let said = |word: &str| head.lines().find_map(|line| line.strip_prefix(word)).unwrap_or_default().to_owned();
        let mut expected = ("", "");
        for part in parts {
            let (kind, body) = part.split_once('\n').unwrap();
            match kind {
                "board" => fs::write(folder.path().join("board.scene"), body).unwrap(),
                "table" => fs::write(folder.path().join("rig.csv"), encoded(body, &said("bytes: "))).unwrap(),
                _ => expected = (kind, body),
            }
        }
        let args = words(&said("args: "));
        let line: Vec<&str> =
            ["adopt", "rig.csv", "-o", "songs.scene"].into_iter().chain(args.iter().map(String::as_str)).collect();
        let out = tipring(folder.path(), &line);
        let told = text(&out.stderr);
        let name = case.file_name().unwrap().display();
        let file = folder.path().join("songs.scene");
        if expected.0 == "refused" {
            refusals += 1;
            for needle in expected.1.lines().filter(|needle| !told.contains(needle)) {
                wrong.push(format!("{name}: `{needle}` is not said:\n{told}"));
            }
            if !matches!(out.status.code(), Some(1 | 2)) || file.exists() {
                wrong.push(format!("{name}: not refused: {:?} {told}", out.status));
            }
            continue;
        }
        books += 1;
        if !file.exists() {
            wrong.push(format!("{name}: {told}"));
            continue;
        }
        let table = tipring(folder.path(), &["table", "songs.scene", "--format", "csv", "--fill", "open"]);
        let found = text(&table.stdout);
        if table.status.code() != Some(0) || columns(&found, expected.1) != expected.1 {
            let book = fs::read_to_string(&file).unwrap();
            wrong.push(format!("{name}:\n{found}\nwanted\n{}\n{told}{}\n{book}", expected.1, text(&table.stderr)));
        }
        let again = tipring(folder.path(), &["fmt", "--check", "songs.scene"]);
        if again.status.code() != Some(0) {
            wrong.push(format!("{name}: not in its canonical look: {}", text(&again.stderr)));
        }
    }
    println!("{books} tables taken over, {refusals} refused");
    assert!(wrong.is_empty(), "{}", wrong.join("\n----\n"));
    assert!(books + refusals >= 30, "{books} {refusals}");
}

/// Statements of a file's scenes and layers, counted in the text: each heading, each `from`, each layer mixed in, each
/// name behind `engage` and `bypass`, each other thing said. Comments, songs, sets and slots do not count.
fn statements(book: &str) -> usize {
    let plain: String = book.lines().map(|line| line.split('#').next().unwrap().to_owned() + "\n").collect();
    let (mut count, mut rest) = (0, plain.as_str());
    while let Some(at) = rest.find(|c: char| !c.is_whitespace() && c != ';') {
        rest = &rest[at..];
        let line = rest.lines().next().unwrap();
        let opens = rest.find('{').filter(|open| *open < line.len());
        let end = opens.map_or(line.len(), |open| open + rest[open..].find('}').unwrap() + 1);
        let (head, body) = rest[..end].split_at(opens.unwrap_or(end));
        let names = |list: &str| list.split(',').filter(|name| !name.trim().is_empty()).count();
        if ["scene ", "layer ", "default "].iter().any(|word| rest.starts_with(word)) {
            let bare: String = head.split('"').step_by(2).collect();
            count += 1 + usize::from(bare.contains(" from "));
            count += bare.split(" with ").nth(1).map_or(0, |list| names(list.split(" was ").next().unwrap()));
            for said in body.trim_matches(['{', '}']).split(['\n', ';']).map(str::trim).filter(|said| !said.is_empty())
            {
                let list = said.strip_prefix("engage ").or(said.strip_prefix("bypass "));
                count += list.map_or(1, names);
            }
        }
        rest = &rest[end..];
    }
    count
}

#[test]
fn statements_are_counted_as_people_would() {
    let book = "layer wide { engage swirl; swirl.speed slow }\nscene bed \"from the start\" { engage a, b }  # two\n\
        scene lead from bed with wide, far {\n  bypass a\n  mute\n}\nsong \"Quay\" { all: bed }\nscene bare\n";
    assert_eq!(statements(book), 3 + 3 + (1 + 1 + 2 + 2) + 1);
}

/// The examples' own tables with their boards, in every way that they are printed.
#[test]
fn the_examples_come_back_no_longer_than_they_were_written() {
    for example in ["winter", "spring"] {
        let folder = tempfile::tempdir().unwrap();
        let book = root().join("examples").join(example);
        fs::copy(book.join("board.scene"), folder.path().join("board.scene")).unwrap();
        let book = book.display().to_string();
        let hand = statements(&fs::read_to_string(Path::new(&book).join("songs.scene")).unwrap());
        for (file, options) in
            [("rig.csv", &[][..]), ("open.csv", &["--fill", "open"]), ("free.csv", &["--free"]), ("rig.xlsx", &[])]
        {
            let table = tipring(folder.path(), &[&["table", &book, "-o", file], options].concat());
            assert!(table.status.success(), "{}", text(&table.stderr));
            let out = tipring(folder.path(), &["adopt", file, "--board", "board.scene", "-o", "songs.scene"]);
            assert!(out.status.success(), "{example} {file}: {}", text(&out.stderr));
            let adopted = fs::read_to_string(folder.path().join("songs.scene")).unwrap();
            let made = statements(&adopted);
            println!("{example} {file}: {hand} statements by hand, {made} adopted\n{}", text(&out.stderr));
            assert!(text(&out.stderr).contains(&format!(" in {made} statements")), "{made}: {}", text(&out.stderr));
            assert!(5 * made <= 6 * hand, "{example}: {made} statements, {hand} by hand");
            for (options, wanted) in [(&["--free"][..], true), (&["--fill", "open"], file == "open.csv")] {
                let line = |book: &'static str| [&["table", book, "--format", "csv"], options].concat();
                let one = tipring(folder.path(), &[&["table", &book, "--format", "csv"], options].concat());
                let other = tipring(folder.path(), &line("songs.scene"));
                // What a foot does on the device itself is stored nowhere, and free where nobody hears it.
                let stored = |csv: &[u8]| {
                    let csv = text(csv);
                    let heads = csv.lines().next().unwrap().split(',').filter(|head| !head.starts_with("by-foot:"));
                    columns(&csv, &heads.collect::<Vec<_>>().join(","))
                };
                let same = match options.contains(&"--free") {
                    true => one.stdout == other.stdout,
                    false => stored(&one.stdout) == stored(&other.stdout),
                };
                assert!(same || !wanted, "{example} {file} {options:?}:\n{}", text(&other.stdout));
            }
        }
    }
}

#[test]
fn a_map_that_is_proposed_can_be_passed_back() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("rig.csv"), "Name,L1,R1 tip,Remarks\nbed,x,closed,soft\nlead,,open,\n").unwrap();
    let out = tipring(folder.path(), &["adopt", "rig.csv", "--propose", "-o", "rig.map"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let map = fs::read_to_string(folder.path().join("rig.map")).unwrap();
    let lines: BTreeSet<&str> = map.lines().filter(|line| !line.starts_with('#')).collect();
    assert_eq!(
        lines,
        ["\"L1\" = loop 1", "\"Name\" = scene", "\"R1 tip\" = remote 1 tip", "\"Remarks\" = text"].into()
    );
    let out = tipring(folder.path(), &["adopt", "rig.csv", "--map", "rig.map"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let book = text(&out.stdout);
    assert!(book.contains("scene bed \"soft\""), "{book}");
}

/// The rows of the book behind the recorded files, and of what is made of such a file.
fn as_before(file: &Path) {
    let folder = tempfile::tempdir().unwrap();
    let behind = root().join("tests/adopt/recorded.scene");
    let one = tipring(folder.path(), &["table", behind.to_str().unwrap(), "--format", "csv"]);
    let out = tipring(folder.path(), &["adopt", file.to_str().unwrap(), "--steps", "128", "-o", "new.scene"]);
    assert!(out.status.success(), "{}: {}", file.display(), text(&out.stderr));
    let other = tipring(folder.path(), &["table", "new.scene", "--format", "csv"]);
    assert_eq!(text(&one.stdout), text(&other.stdout), "{}", file.display());
}

/// Our own .xlsx, opened and saved by LibreOffice Calc 7.4.7.2; see `recorded.scene`.
#[test]
fn what_a_spreadsheet_saved_is_taken_over() {
    as_before(&root().join("tests/adopt/recorded.ods"));
    as_before(&root().join("tests/adopt/recorded.xlsx"));
}

/// The same anew, where LibreOffice is at hand.
#[test]
fn what_a_spreadsheet_saves_today_is_taken_over() {
    let folder = tempfile::tempdir().unwrap();
    if !Command::new("soffice").arg("--version").output().is_ok_and(|out| out.status.success()) {
        let line =
            "\nSKIPPED: soffice is missing (apt-get install libreoffice-calc): the recorded files stand for it\n";
        std::io::Write::write_all(&mut std::io::stderr(), line.as_bytes()).unwrap();
        return;
    }
    let behind = root().join("tests/adopt/recorded.scene");
    assert!(tipring(folder.path(), &["table", behind.to_str().unwrap(), "-o", "rig.xlsx"]).status.success());
    let settings = format!("-env:UserInstallation=file://{}/settings", folder.path().display());
    // Commas, double quotes, UTF-8.
    for (kind, filter) in [("ods", "ods"), ("xlsx", "xlsx"), ("csv", "csv:Text - txt - csv (StarCalc):44,34,76")] {
        let line = [settings.as_str(), "--headless", "--convert-to", filter, "--outdir", "saved", "rig.xlsx"];
        assert!(Command::new("soffice").args(line).current_dir(folder.path()).output().unwrap().status.success());
        as_before(&folder.path().join(format!("saved/rig.{kind}")));
    }
}

/// Read with the library that reads, written with the one that writes: neither is ours.
#[test]
fn a_spreadsheets_own_file_comes_back_unchanged() {
    use calamine::{Data, Reader};
    let folder = tempfile::tempdir().unwrap();
    let book = root().join("examples/winter").display().to_string();
    let file = folder.path().join("rig.xlsx");
    for _ in 0..2 {
        let before = fs::read(&file).ok();
        assert!(tipring(folder.path(), &["table", &book, "-o", "rig.xlsx"]).status.success());
        assert!(before.is_none_or(|bytes| bytes == fs::read(&file).unwrap()), "the same book, other bytes");
    }
    let mut read = calamine::open_workbook_auto(&file).unwrap();
    let range = read.worksheet_range("presets").unwrap();
    let shown = |data: &Data| data.to_string();
    let rows: Vec<String> = range.rows().map(|row| row.iter().map(shown).collect::<Vec<_>>().join(",")).collect();
    let csv = text(&tipring(folder.path(), &["table", &book, "--format", "csv"]).stdout);
    assert_eq!(rows.join("\n") + "\n", csv);
    assert!(range.rows().skip(1).all(|row| matches!(row[0], Data::String(_) | Data::Empty)), "a slot is a number");
    assert!(range.rows().skip(1).all(|row| matches!(row[2], Data::Float(_))), "a loop is no number");
}

/// 50 % stands in such a file as 0.5, and nothing tells it from half a per cent.
#[test]
fn a_share_is_not_taken_for_per_cent() {
    let folder = tempfile::tempdir().unwrap();
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    let percent = rust_xlsxwriter::Format::new().set_num_format("0 %");
    for (column, head) in ["scene", "loop 1", "expression 1"].into_iter().enumerate() {
        sheet.write(0, column as u16, head).unwrap();
    }
    for (row, (name, share)) in [("bed", 0.5), ("lead", 1.0), ("still", 0.0)].into_iter().enumerate() {
        let row = row as u32 + 1;
        sheet.write(row, 0, name).unwrap();
        sheet.write(row, 1, 1).unwrap();
        sheet.write_with_format(row, 2, share, &percent).unwrap();
    }
    book.save(folder.path().join("rig.xlsx")).unwrap();
    let out = tipring(folder.path(), &["adopt", "rig.xlsx", "--steps", "128"]);
    let told = text(&out.stderr);
    assert_eq!(out.status.code(), Some(1), "{told}");
    for needle in ["row 2, column C, `expression 1`: `0.5` is not told from a share", "row 3, column C", "2 mistakes"] {
        assert!(told.contains(needle), "{needle}: {told}");
    }
    // Our own keeps its sign.
    let behind =
        "switcher { loops 1; expressions 1 of 128 steps }\nscene bed { engage loop 1; expression 1 at 0.8 % }\n";
    fs::write(folder.path().join("book.scene"), behind).unwrap();
    assert!(tipring(folder.path(), &["table", "book.scene", "-o", "own.xlsx"]).status.success());
    let out = tipring(folder.path(), &["adopt", "own.xlsx", "--steps", "128", "-o", "new.scene"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let table = |book| text(&tipring(folder.path(), &["table", book, "--format", "csv"]).stdout);
    assert!(table("book.scene").contains(",0.8"), "{}", table("book.scene"));
    assert_eq!(table("book.scene"), table("new.scene"));
}
