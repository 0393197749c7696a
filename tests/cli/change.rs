//! `change`: what is asked in words and in tables, what is refused and why, and what is written.

use std::fs;

use super::tipring;

const BOOK: &str =
    "switcher { loops 3; remote jacks 2; expressions 1 of 128 steps; outputs 1; banks 1..2, switches 1..4 }
pedal grit { loop 1 }  # the dirt
pedal swirl { loop 2; place top; control speed by foot { slow; fast } }
pedal throb { loop 3; level depth on expression 1 from 0 ms to 900 ms
  control wave on midi 1 programs from 1 { even: program 3; odd: program 5 } }
amp combo { fed by output 1; control channel on remote 2 tip { clean: open; lead: closed } }
rule solo needs grit
default { combo.channel clean; throb.depth 45 ms; throb.wave even; swirl.speed slow }
layer deep { throb.depth 90 ms }
scene bed { engage grit, # under all of it
  swirl }
scene lift from bed with deep { engage throb }
scene solo {
  engage grit  # always
}
scene rest { mute }
song \"Quay\" { bed; lift; solo; rest }
slots { 1.1 bed; 1.2 lift; 1.3 rest; 2.3 rest; others auto }
";

/// The exit code, what is printed, and the book afterwards.
fn change(text: &str, words: &[&str]) -> (Option<i32>, String, String) {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("b.scene");
    fs::write(&book, text).unwrap();
    let (code, out, told) = tipring(&[&["change", "b.scene"], words].concat(), folder.path());
    (code, out + &told, fs::read_to_string(&book).unwrap())
}

#[test]
fn what_is_wanted_in_words_is_written_and_nothing_else() {
    for (words, was, is) in [
        ("lift: throb.depth 300 ms", "{ engage throb }", "{ engage throb; throb.depth 300 ms }"),
        ("1.2 expression-1 step 42", "{ engage throb }", "{ engage throb; throb.depth 300 ms }"),
        ("lift: throb 0.3 s", "{ engage throb }", "{ engage throb; throb.depth 0.3 s }"),
        ("lift: throb wave odd", "{ engage throb }", "{ engage throb; throb.wave odd }"),
        ("lift: throb program 5", "{ engage throb }", "{ engage throb; throb.wave odd }"),
        ("lift midi-1:throb.wave odd", "{ engage throb }", "{ engage throb; throb.wave odd }"),
        ("lift: throb out", "{ engage throb }", "{  }"),
        ("solo: combo on lead", "grit  # always\n", "grit  # always\n  combo.channel lead\n"),
        ("solo: remote 2 tip closed", "grit  # always\n", "grit  # always\n  combo.channel lead\n"),
        ("solo: combo stays", "grit  # always\n", "grit  # always\n  combo.channel stays\n"),
        ("solo: loop 3 in", "grit  # always\n", "grit, throb  # always\n"),
        ("solo: engage throb", "grit  # always\n", "grit, throb  # always\n"),
        ("rest: output 1 on", "scene rest { mute }", "scene rest {  }"),
        ("rest: output-1 on", "scene rest { mute }", "scene rest {  }"),
    ] {
        let (code, told, text) = change(BOOK, &[words, "--write"]);
        assert_eq!(code, Some(0), "{words}: {told}");
        assert_eq!(text, BOOK.replace(was, is), "{words}: {told}");
        let (_, _, looked) = change(BOOK, &[words]);
        assert_eq!(looked, BOOK, "{words}: a look writes nothing");
    }
}

#[test]
fn what_cannot_be_is_refused_with_its_reason_all_at_once() {
    for (code, words, says) in [
        (2, &["lift: throb.depth 40"][..], "`40` may be a step, a position or the pedal's own value; say `step 40`"),
        (2, &["lift: throb.depth 40 %"], "not told in that unit: it goes up to 900 ms"),
        (2, &["lift: throb.depth 2 s"], "it goes from 0 ms to 900 ms"),
        (2, &["lift: throb.depth step 128"], "there are 128 steps, from 0 to 127"),
        (2, &["lift: combo out"], "always sounds"),
        (2, &["lift: throb 40 V", "nix: grit in"], "it begins with no scene"),
        (2, &["lift: combo"], "say how `combo` is to stand"),
        (2, &["lift: gritt in"], "did you mean `grit`?"),
        (1, &["lift: combo lead", "lift: remote 2 tip open"], "clash"),
        (1, &["solo: grit out"], "rule-broken"),
        (1, &["bed: grit out"], "a comment stands inside this list"),
        (1, &["lift: throb.depth foot"], "no treadle feeds expression 1"),
        (2, &["lift: throb out", "--take", "9"], "`--take 9`"),
    ] {
        let (got, told, text) = change(BOOK, &[words, &["--write"]].concat());
        assert_eq!(got, Some(code), "{words:?}: {told}");
        assert!(told.contains(says), "{words:?}: {told}");
        assert_eq!(text, BOOK, "{words:?}");
    }
}

#[test]
fn a_comment_in_a_list_stays_where_its_last_name_goes() {
    let (code, told, text) = change(BOOK, &["bed: swirl out", "lift: swirl out", "--write"]);
    assert_eq!(code, Some(0), "{told}");
    assert_eq!(text, BOOK.replace("grit, # under all of it\n  swirl }", "grit # under all of it\n   }"));
}

#[test]
fn what_nobody_hears_and_what_stands_already_is_nothing_to_do() {
    for (words, says) in [
        ("bed: throb.depth 300 ms", "nobody hears it there"),
        ("bed: grit in", "already"),
        ("lift: throb.depth 90 ms", "already"),
    ] {
        let (code, told, text) = change(BOOK, &[words, "--write"]);
        assert!(code == Some(0) && told.contains(says) && told.contains("nothing to do"), "{told}");
        assert_eq!(text, BOOK);
    }
}

#[test]
fn other_places_are_offered_with_what_would_follow() {
    let (_, told, _) = change(BOOK, &["bed: swirl fast"]);
    assert!(told.contains("2 statements change"), "{told}");
    assert!(told.contains("2  in `bed`: `swirl.speed fast`; scene `lift` changes with it"), "{told}");
    let (code, told, text) = change(BOOK, &["bed: swirl fast", "--take", "2", "--write"]);
    assert_eq!(code, Some(0), "{told}");
    assert_eq!(text, BOOK.replace("swirl }\nscene", "swirl; swirl.speed fast }\nscene"));
    let (_, told, _) = change(BOOK, &["lift: throb.depth 300 ms"]);
    assert!(told.contains("in layer `deep`: `throb.depth 300 ms` instead of `throb.depth 90 ms`"), "{told}");
}

#[test]
fn a_scene_in_two_slots_changes_in_both() {
    let (_, told, _) = change(BOOK, &["2.3 output-1 on"]);
    assert!(told.contains("`rest` stands in 1.3 and 2.3: it changes in each"), "{told}");
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("b.scene"), BOOK).unwrap();
    let (_, table, _) = tipring(&["table", "b.scene", "--format", "csv"], folder.path());
    let row = table.lines().find(|l| l.starts_with("2.3,rest")).unwrap();
    let other = row.replacen("2.3,rest,0", "2.3,rest,1", 1);
    fs::write(folder.path().join("w.csv"), table.replace(row, &other)).unwrap();
    let (code, _, told) = tipring(&["change", "b.scene", "w.csv"], folder.path());
    assert!(code == Some(2) && told.contains("both `rest`, and want `loop-1` otherwise"), "{told}");
}

#[test]
fn a_table_with_mistakes_is_told_line_by_line() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("b.scene"), BOOK).unwrap();
    let table = "slot,scene,loop-1,expression-1\n1.1,bd,1,0\n1.2,lift,2,40\n1.1,lift,1,0\n";
    fs::write(folder.path().join("w.csv"), table).unwrap();
    let (code, _, told) = tipring(&["change", "b.scene", "w.csv"], folder.path());
    assert_eq!(code, Some(2));
    for says in ["line 2: there is no scene `bd`", "line 3: `loop-1` cannot hold `2`", "line 4: slot 1.1 holds `bed`"] {
        assert!(told.contains(says), "{told}");
    }
    // Part of a table is a table; `-` asks for nothing.
    fs::write(folder.path().join("w.csv"), "scene,loop-3,expression-1\nsolo,1,-\n").unwrap();
    let (code, told, _) = tipring(&["change", "b.scene", "w.csv", "--write"], folder.path());
    assert_eq!(code, Some(0), "{told}");
    let text = fs::read_to_string(folder.path().join("b.scene")).unwrap();
    assert_eq!(text, BOOK.replace("grit  # always", "grit, throb  # always"));
}

#[test]
fn a_pulse_elsewhere_that_would_change_is_told_before_it_is_taken() {
    let book = BOOK
        .replace("remote 2 tip { clean: open; lead: closed }", "remote 2 tip momentary { clean; lead } starts clean")
        .replace("scene solo {", "scene solo { combo.channel lead");
    let (code, told, text) = change(&book, &["lift: combo lead", "--write"]);
    assert!(code == Some(1) && told.contains("other presets would store something else"), "{told}");
    assert_eq!(text, book);
    let (code, told, text) = change(&book, &["lift: combo lead", "--take", "1", "--write"]);
    assert_eq!(code, Some(0), "{told}");
    assert_eq!(text, book.replace("{ engage throb }", "{ engage throb; combo.channel lead }"));
}
