//! Mends: what `check --fix` applies, and what it leaves as it was.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[allow(dead_code)]
#[path = "settle_agrees"]
mod settle_agrees {
    pub(crate) mod abstract_book;
    pub(crate) mod board;
    pub(crate) mod generate;
    pub(crate) mod random;
    pub(crate) mod write;
    pub(crate) mod write_board;
}

#[allow(dead_code)]
mod properties {
    pub(crate) mod books;
}

mod support;

use std::collections::BTreeMap;
use std::fs;

use assert_cmd::Command;
use properties::books;
use support::{Book, check_fixes, compile, fixed};
use tipring::Compiled;
use tipring::check::{RULES, page};
use tipring::settle::Value;

/// What is known of the rows of scenes that were understood whole: by scene and column; with `free`, what a cell
/// that does not matter stores is known too.
fn known(compiled: &Compiled, free: bool) -> BTreeMap<(String, String), Value> {
    let mut out = BTreeMap::new();
    let scenes = compiled.book.show.scenes.pairs().filter(|(_, s)| !s.faulty && !s.repeated);
    for (id, scene) in scenes {
        for (c, cell) in compiled.table.cells.list.pairs() {
            let value = compiled.table.value(id, c);
            if value != Value::Unknown && (free || !compiled.table.is_free(id, c)) {
                out.insert((scene.name.to_string(), cell.name.clone()), value);
            }
        }
    }
    out
}

/// The scene in whose statement an edit stands, if any, and what is said for all scenes.
fn touched(compiled: &Compiled, at: tipring::source::Span) -> Option<String> {
    let text = &compiled.files.get(at.file)?.text;
    let tree = &compiled.trees[at.file as usize];
    let statement = tree.statements(text).find(|s| s.span().start <= at.start && at.end <= s.span().end)?;
    use tipring::syntax::kind::Kind;
    match statement.kind() {
        Kind::Scene => statement.child(Kind::Name).map(|n| n.text().to_owned()),
        // Rows that stand on a default or a layer are rows of its statements.
        Kind::Default | Kind::Layer => Some("*".to_owned()),
        // A night's book changes what it names, and which rows those are is its business.
        Kind::Without | Kind::Instead => Some("*".to_owned()),
        _ => None,
    }
}

fn all_books() -> Vec<(String, Book)> {
    let mut out = Vec::new();
    for rule in RULES {
        for (i, text) in page::books(&page::page(rule), "Fires").into_iter().enumerate() {
            if !text.contains("#---") && !text.contains("\\xE9") {
                out.push((format!("{} {i}", rule.code), vec![("book.scene".to_owned(), text.into_bytes())]));
            }
        }
    }
    for (i, book) in books::suite().into_iter().enumerate() {
        out.push((format!("suite {i}"), book.into_iter().map(|(p, t)| (p, t.into_bytes())).collect()));
    }
    out
}

#[test]
fn every_mend_takes_its_diagnostic_away_and_leaves_other_rows_alone() {
    let mut failures = Vec::new();
    let (mut mends, mut cells) = (0, 0);
    for (name, book) in all_books() {
        let compiled = compile(&book);
        check_fixes(&book, &compiled, &name, false, &mut failures);
        for diagnostic in compiled.diagnostics() {
            let Some(fix) = &diagnostic.fix else { continue };
            mends += 1;
            // A mended description may make a cell one that does not matter; what it stores stays.
            let after = known(&compile(&fixed(&book, &compiled, fix)), true);
            let about: Vec<String> = fix.edits.iter().filter_map(|(at, _)| touched(&compiled, *at)).collect();
            for ((scene, column), value) in known(&compiled, false) {
                if about.iter().any(|a| *a == scene || a == "*") || builds_on(&compiled, &scene, &about) {
                    continue;
                }
                cells += 1;
                match after.get(&(scene.clone(), column.clone())) {
                    Some(now) if *now == value => {}
                    now => failures.push(format!("{name}: {}: {scene} {column} {value:?} {now:?}", fix.says)),
                }
            }
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    assert!(mends >= 60 && cells >= 100, "{mends} mends, {cells} cells");
}

fn builds_on(compiled: &Compiled, scene: &str, about: &[String]) -> bool {
    let mut at = compiled.book.show.scenes.iter().find(|s| &*s.name == scene);
    while let Some(here) = at {
        if about.iter().any(|a| **a == *here.name) {
            return true;
        }
        at = here.parent.map(|p| compiled.book.show.scenes.get(p).unwrap());
    }
    false
}

#[test]
fn the_command_mends_files_whole_or_shows_how() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.scene");
    let before = "switcher { loops 1 }\npedal ember { loop 1 }\nscene bed { engage embr }\nscene push { engage ember }\nsong “Quay” { all: bed; end: push }\n";
    let after = "switcher { loops 1 }\npedal ember { loop 1 }\nscene bed { engage ember }\nscene push { engage ember }\nsong \"Quay\" { all: bed; end: push }\n";
    fs::write(&file, before).unwrap();
    let run = |args: &[&str]| {
        let mut command = Command::cargo_bin("tipring").unwrap();
        command.current_dir(folder.path()).args(["check", "book.scene"]).args(args).assert()
    };
    let shown = run(&["--fix", "--dry-run"]).code(0).get_output().stdout.clone();
    let shown = String::from_utf8(shown).unwrap();
    assert!(
        shown.contains("-scene bed { engage embr }\n") && shown.contains("+scene bed { engage ember }\n"),
        "{shown}"
    );
    assert_eq!(fs::read_to_string(&file).unwrap(), before);
    let made = "book.scene:3: there is no pedal or amp called `embr`: say `ember`\n\
                book.scene:5: `“` is a curly quote, as a phone or a word processor puts it: put `\"`\n\
                2 mends made in 1 file\n";
    run(&["--fix"]).code(0).stderr(made);
    assert_eq!(fs::read_to_string(&file).unwrap(), after);
    run(&["--fix"]).code(0).stderr("0 mends made in 0 files\n");
    run(&["--dry-run"]).code(2);
    // What a line means that cannot be read may change what the others want.
    fs::write(&file, before.replace("scene push {", "scene push by {")).unwrap();
    let waits = run(&["--fix"]).code(1).get_output().stderr.clone();
    let waits = String::from_utf8(waits).unwrap();
    assert!(waits.ends_with("1 mend made in 1 file; more can be mended once every line can be read\n"), "{waits}");
    let mut input = Command::cargo_bin("tipring").unwrap();
    input.args(["check", "-", "--fix"]).write_stdin(before).assert().code(2);
}

/// The old file is put aside whole and a new one takes its name: whoever holds the old one still reads all of it.
#[cfg(unix)]
#[test]
fn a_file_is_replaced_and_never_written_over() {
    let before = "switcher { loops 1 }\npedal ember { loop 1 }\nscene bed{ engage embr }\nscene push { engage ember }\nsong \"Quay\" { all: bed; end: push }\n";
    for args in [["check", "--fix", "book.scene"].as_slice(), &["fmt", "book.scene"]] {
        let folder = tempfile::tempdir().unwrap();
        let (file, held) = (folder.path().join("book.scene"), folder.path().join("held"));
        fs::write(&file, before).unwrap();
        fs::hard_link(&file, &held).unwrap();
        Command::cargo_bin("tipring").unwrap().current_dir(folder.path()).args(args).assert().code(0);
        assert_ne!(fs::read_to_string(&file).unwrap(), before, "{args:?}");
        assert_eq!(fs::read_to_string(&held).unwrap(), before, "{args:?}");
        let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
        assert_eq!(left.len(), 2, "nothing else is left behind: {left:?}");
    }
}

/// What is offered for the first diagnostic of a code: before it is tried, and as it is told.
fn offer(text: &str, code: &str) -> (Vec<String>, String) {
    let compiled = compile(&support::one("book.scene", text));
    let at =
        compiled.diagnostics().iter().position(|d| d.code == code).unwrap_or_else(|| panic!("no {code} in {text}"));
    let mut all: Vec<String> = compiled.diagnostics()[at].ways.iter().map(|way| way.says.clone()).collect();
    all.extend(compiled.diagnostics()[at].fix.as_ref().map(|fix| fix.says.clone()));
    let told = tipring::mend::offers::tried(&compiled, compiled.diagnostics()).swap_remove(at);
    let fix = told.fix.map_or(String::new(), |fix| fix.says);
    (all, format!("{} {fix}", told.help.unwrap_or_default()))
}

/// Each was offered once, and led to another error.
#[test]
fn an_offer_that_leads_to_another_error_is_not_told() {
    let lamp = "switcher { loops 2; remote jacks 3; outputs 1; expressions 1 of 128 steps; banks 1..1, switches 1..3 }\n\
        pedal lag { loop 1; level time on expression 1 from 20 ms to 220 ms }\npedal ember { loop 2 }\n\
        treadle rocker feeds expression 1\nsong \"Quay\" { bed; swell }\n";
    let jump = "scene bed { engage lag; lag.time 60 ms }\nscene swell from bed { lag.time foot from heel }\n";
    let books = [
        // A sign too many: what is left says nothing of its contacts, or of a pulse.
        (
            "switcher { remote jacks 1; outputs 1 }\n\
             amp larch { fed by output 1; control way on remote 1 tip { clean: open; : lcosed } }\n"
                .to_owned(),
            "syntax",
            "say `lcosed`",
        ),
        (
            "switcher { loops 1; remote jacks 2 }\npedal lag { loop 1\n\
             control voice on remote 1 tip, remote 2 tip momentary { dark:: tip open; bright: tip closed } starts dark }\n"
                .to_owned(),
            "syntax",
            "say `dark: tip open`",
        ),
        // A text in quotes: the name that is left is taken.
        (
            "switcher { loops 1 }\npedal tide { loop 1 }\nscene tide bed { engage tide }\nsong \"Quay\" { bed }\n".to_owned(),
            "syntax",
            "scene tide \"bed\"",
        ),
        // The end to hold is what a rule forbids in that scene.
        (
            format!("{lamp}{jump}rule bed needs lag.time at least 60 ms\n"),
            "level-jump-on-takeover",
            "hold 20 ms in `bed`",
        ),
        // Leaving it out keeps this rule, and breaks another in a scene that is built on it.
        (
            "switcher { loops 2; remote jacks 1; outputs 1 }\npedal hasp { loop 1 }\npedal lever { loop 2 }\n\
             amp larch { fed by output 1; control channel on remote 1 tip { clean: open; lead: closed } }\n\
             default { larch.channel clean }\nscene bed { engage hasp }\nscene swell from bed { engage lever }\n\
             song \"Quay\" { bed; swell }\nrule hasp needs larch.channel lead\nrule lever needs hasp\n"
                .to_owned(),
            "rule-broken",
            "bypass `hasp`",
        ),
        // Two scenes stand on it: what the first may say, a rule forbids in the second.
        (
            format!(
                "{lamp}scene bed {{ engage lag }}\nscene swell from bed {{ engage ember }}\n\
                 rule swell needs lag.time at least 60 ms\n"
            ),
            "level-unsettled",
            "say `lag.time 20 ms`",
        ),
        // Without the foot nobody says what it holds.
        (
            "switcher { loops 1 }\npedal whirl { loop 1; place under; control speed by foot { slow; fast } }\n\
             scene bed { engage whirl; whirl.speed fast }\nsong \"Quay\" { bed }\n"
                .to_owned(),
            "foot-cannot-reach",
            "take this out",
        ),
    ];
    let mut failures = Vec::new();
    for (text, code, wrong) in &books {
        let (all, told) = offer(text, code);
        // It is thought of, and refused.
        let thought = all.iter().any(|says| says.contains(wrong));
        if !thought || told.contains(wrong) || told.trim().is_empty() {
            failures.push(format!("{code}: {wrong}: {all:?}: {told}"));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// Where a change holds for the whole book it is told, and its edits make the right book.
#[test]
fn an_offer_that_holds_is_told_with_its_edits() {
    let text = "switcher { loops 2; remote jacks 1 }\n\
        pedal sift { loop 1; control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed } }\n\
        pedal ember { loop 2 }\nscene bed { engage sift }\nscene lift from bed # as bed\nsong \"Quay\" { bed; lift }\n\
        rule never sift.voice sharp beside bed\n";
    let compiled = compile(&support::one("book.scene", text));
    let told = tipring::mend::offers::tried(&compiled, compiled.diagnostics()).swap_remove(0);
    assert_eq!(told.help.as_deref(), Some("in each of them or in `default`, say `sift.voice round`"));
    for way in &told.ways {
        let edits = way.edits.iter().map(|(at, text)| tipring::syntax::edit::Edit::new(*at, text));
        let after = tipring::syntax::edit::rewrite(text, edits.collect());
        assert!(after.contains("# as bed\n"), "{after}");
        assert_eq!(compile(&support::one("book.scene", &after)).errors(), 0, "{after}");
    }
}
