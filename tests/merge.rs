//! `tipring merge`: two people's edits of one file, by scene and cell.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
// The generator is shared with tests that use more of it.
#![allow(dead_code)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "settle_agrees"]
mod settle_agrees {
    pub(crate) mod abstract_book;
    pub(crate) mod board;
    pub(crate) mod generate;
    pub(crate) mod random;
    pub(crate) mod write;
    pub(crate) mod write_board;
}

#[path = "merge"]
mod merge {
    pub(crate) mod book;
    pub(crate) mod random;
    pub(crate) mod scripts;
    pub(crate) mod with_git;
}

mod support;

use settle_agrees::random::Random;
use settle_agrees::{generate, write};
use tipring::compare::merge::merge as merged;
use tipring::compare::{Options, compare};
use tipring::syntax::kind::Kind;
use tipring::syntax::{edit, parse};
use tipring::{compile_texts, source::Span};

const BASE: &str = "# the winter run
scene bed \"clean bed\" {
  engage sift, throb   # both
  sift.voice round
  throb.depth 20 %
}
scene crunch from bed { engage grit }

song \"Reel\" at 92 bpm {
  intro: bed
  verse: crunch
}
";

fn clean(mine: &str, theirs: &str) -> String {
    let out = merged(BASE, mine, theirs);
    assert_eq!(out.conflicts, [], "{}", out.text);
    out.text
}

#[test]
fn neighbouring_lines_of_one_scene_do_not_clash() {
    let mine = BASE.replace("20 %", "30 %   # a little more");
    let theirs = BASE.replace("voice round", "voice sharp");
    assert_eq!(clean(&mine, &theirs), mine.replace("voice round", "voice sharp"));
}

#[test]
fn one_line_may_be_edited_by_both() {
    let mine = BASE.replace("sift, throb ", "sift, throb, drive ");
    let theirs = BASE.replace("engage sift, throb ", "engage throb ");
    let text = clean(&mine, &theirs);
    assert!(text.contains("  engage throb, drive   # both\n"), "{text}");
}

#[test]
fn what_only_one_side_has_comes_in_with_its_comments_and_stays_in_its_place() {
    let mine = BASE.replace("scene crunch", "# mine\nscene mine from bed\nscene crunch");
    let theirs = BASE
        .replace("  sift.voice round\n", "  sift.voice round\n  # as asked\n  drive.tone 3 %  # bright\n")
        .replace("\nsong", "# the loud one\nscene loud from crunch { engage drive }  # loud\n\nsong");
    let text = clean(&mine, &theirs);
    assert!(text.contains("round\n  # as asked\n  drive.tone 3 %  # bright\n  throb"), "{text}");
    assert!(text.contains("# mine\nscene mine from bed\nscene crunch"), "{text}");
    assert!(
        text.contains("{ engage grit }\n# the loud one\nscene loud from crunch { engage drive }  # loud\n"),
        "{text}"
    );
}

#[test]
fn what_the_other_side_took_out_goes() {
    let mine = BASE.replace("20 %", "30 %");
    let theirs = BASE.replace("scene crunch from bed { engage grit }\n", "").replace("  verse: crunch\n", "");
    let text = clean(&mine, &theirs);
    assert!(!text.contains("crunch") && text.contains("30 %"), "{text}");
}

#[test]
fn one_cell_changed_twice_is_a_conflict_with_both_statements() {
    let mine = BASE.replace("20 %", "30 %");
    let theirs = BASE.replace("20 %", "40 %").replace("engage grit", "bypass grit");
    let out = merged(BASE, &mine, &theirs);
    assert_eq!(out.conflicts.len(), 1);
    let conflict = &out.conflicts[0];
    assert_eq!(conflict.about, "scene `bed`");
    assert_eq!(conflict.base.as_deref(), Some("throb.depth 20 %"));
    assert_eq!(conflict.mine.as_deref(), Some("throb.depth 30 %"));
    assert_eq!(conflict.theirs.as_deref(), Some("throb.depth 40 %"));
    assert!(
        out.text.contains("# conflict in scene `bed`: the other side says `throb.depth 40 %`\nscene bed"),
        "{}",
        out.text
    );
    assert!(out.text.contains("throb.depth 30 %") && out.text.contains("bypass grit"), "{}", out.text);
}

#[test]
fn the_same_edit_twice_is_one_edit() {
    let both = BASE.replace("20 %", "30 %");
    assert_eq!(clean(&both, &both), both);
}

#[test]
fn a_scene_taken_out_here_and_edited_there_is_a_conflict() {
    let mine = BASE.replace("scene crunch from bed { engage grit }\n", "");
    let theirs = BASE.replace("engage grit", "engage grit, drive");
    let out = merged(BASE, &mine, &theirs);
    assert_eq!(out.conflicts.len(), 1);
    assert_eq!(out.conflicts[0].mine, None);
    let out = merged(BASE, &theirs, &mine);
    assert_eq!(out.conflicts.len(), 1);
    assert_eq!(out.conflicts[0].theirs, None);
    assert!(out.text.contains("engage grit, drive"));
}

#[test]
fn a_changed_order_of_parts_is_taken_and_two_are_a_conflict() {
    let theirs = BASE.replace("  intro: bed\n  verse: crunch\n", "  verse: crunch\n  intro: bed\n");
    assert_eq!(clean(BASE, &theirs), theirs);
    // Another scene of a part that moved is another edit.
    let mine = BASE.replace("  verse: crunch\n", "  verse: bed\n");
    assert_eq!(clean(&mine, &theirs), theirs.replace("verse: crunch", "verse: bed"));
    let three = BASE.replace("  verse: crunch\n", "  verse: crunch\n  end: bed\n");
    let mine = three.replace("  intro: bed\n  verse: crunch\n", "  verse: crunch\n  intro: bed\n");
    let theirs = three.replace("  verse: crunch\n  end: bed\n", "  end: bed\n  verse: crunch\n");
    let out = merged(&three, &mine, &theirs);
    assert_eq!(out.conflicts.len(), 1, "{}", out.text);
    assert!(out.text.contains("{\n  verse: crunch\n  intro: bed\n  end: bed\n}"), "{}", out.text);
}

#[test]
fn parts_of_one_name_merge_as_a_sequence() {
    let song = |parts: &str| format!("{BASE}song \"Marl\" {{ {parts} }}\n");
    let base = song("bed; solo: crunch; hush: bed; lift: bed");
    let mine = song("bed; lift: bed; solo: crunch; hush: bed");
    let theirs = song("bed; solo: crunch; hush: bed; lift: bed; solo: crunch");
    let out = merged(&base, &mine, &theirs);
    assert_eq!(out.conflicts, []);
    assert!(out.text.contains("{ bed; lift: bed; solo: crunch; hush: bed; solo: crunch }"), "{}", out.text);
    // Two that put different parts into one place: nobody said which comes first.
    let (a, b) = (
        song("bed; solo: crunch; hush: bed; lift: bed; end: bed"),
        song("bed; solo: crunch; hush: bed; lift: bed; out: bed"),
    );
    assert_eq!(merged(&base, &a, &b).conflicts.len(), 1);
    assert_eq!(merged(&base, &a, &a).conflicts, []);
}

#[test]
fn what_is_said_of_a_song_and_of_an_order_merges_line_by_line() {
    let base = format!("{BASE}song \"Marl\" {{ bed }}\nset \"one\" {{\n  \"Reel\"\n  \"Marl\"\n}}\n");
    let mine = base
        .replace("  intro: bed\n", "  key \"E minor\"   # as sung\n  intro: bed, times 2\n")
        .replace("  \"Marl\"\n}", "  \"Marl\"\n  encore   # mine\n}");
    let theirs = base
        .replace("  verse: crunch\n", "  verse: crunch, cue \"hush\"\n  capo 2\n")
        .replace("  \"Reel\"\n", "  \"Reel\"   # theirs\n  pause \"a new string\"\n");
    let out = merged(&base, &mine, &theirs);
    let both = base
        .replace("  intro: bed\n", "  key \"E minor\"   # as sung\n  intro: bed, times 2\n")
        .replace("  verse: crunch\n", "  verse: crunch, cue \"hush\"\n  capo 2\n")
        .replace("  \"Reel\"\n", "  \"Reel\"   # theirs\n  pause \"a new string\"\n")
        .replace("  \"Marl\"\n}", "  \"Marl\"\n  encore   # mine\n}");
    assert_eq!((out.text, out.conflicts), (both, Vec::new()));
    let capo = |fret: u32| base.replace("  intro: bed\n", &format!("  capo {fret}\n  intro: bed\n"));
    let out = merged(&capo(2), &capo(3), &capo(4));
    assert_eq!(out.conflicts.len(), 1);
    let (mine, theirs) = (out.conflicts[0].mine.as_deref(), out.conflicts[0].theirs.as_deref());
    assert_eq!((mine, theirs), (Some("capo 3"), Some("capo 4")));
}

#[test]
fn one_line_and_many_lines_are_one_block() {
    let many = BASE.replace("crunch from bed { engage grit }", "crunch from bed {\n  engage grit   # loud\n}");
    let changed = BASE.replace("{ engage grit }", "{ engage grit, drive; mute }");
    for (mine, theirs) in [(&many, &changed), (&changed, &many)] {
        let text = clean(mine, theirs);
        assert!(text.contains("{\n  engage grit, drive   # loud\n") && text.contains("mute"), "{text}");
        let (_, faults) = parse(0, &text);
        assert!(faults.is_empty(), "{text}");
    }
}

#[test]
fn a_comment_never_takes_a_statement_in() {
    let base = "scene bed { mute }";
    let mine = "scene bed { mute } # quiet";
    let theirs = "scene bed { mute }\nscene lull { mute }";
    for (mine, theirs) in [(mine, theirs), (theirs, mine)] {
        let text = merged(base, mine, theirs).text;
        assert_eq!(text, "scene bed { mute } # quiet\nscene lull { mute }");
    }
    // A repeated comment is none of another's name.
    let (mine, theirs) = ("#\n#\n\nscene bed { mute }\n", "# 2\n\nscene bed { mute }\n");
    let text = merged("scene bed { mute }\n", mine, theirs).text;
    assert_eq!(text, "#\n#\n# 2\n\nscene bed { mute }\n");
    // A statement that goes leaves what the other side wrote of it.
    let mine = BASE.replace("{ engage grit }", "{ engage grit } # the loud one");
    let theirs = BASE.replace("scene crunch from bed { engage grit }\n", "").replace("  verse: crunch\n", "");
    let text = clean(&mine, &theirs);
    assert!(!text.contains("scene crunch") && text.contains("\n# the loud one\n"), "{text}");
}

#[test]
fn line_ends_stay_as_mine_has_them() {
    let theirs = BASE.replace("20 %", "30 %").replace("song", "# the reel\nsong");
    let crlf = |text: &str| text.replace('\n', "\r\n");
    assert_eq!(merged(BASE, &crlf(BASE), &theirs).text, crlf(&theirs));
    assert_eq!(merged(&crlf(BASE), BASE, &crlf(&theirs)).text, theirs);
    assert_eq!(merged(BASE, &format!("\u{feff}{BASE}"), &theirs).text, format!("\u{feff}{theirs}"));
    assert_eq!(merged(BASE, BASE.trim_end(), &theirs).text, theirs.trim_end());
    let mixed = BASE.replacen("{\n", "{\r\n", 1);
    assert_eq!(merged(BASE, &mixed, &theirs).text, theirs.replacen("{\n", "{\r\n", 1));
}

#[test]
fn a_rename_is_followed_on_both_sides() {
    let more = "slots { 1.1 crunch }\nrule crunch needs grit\nif grit fails, crunch becomes bed\nallow level-step bed to crunch \"so\"\n";
    let base = format!("{BASE}{more}");
    let theirs = base.replace("crunch", "gravel").replace("scene gravel from bed", "scene gravel from bed was crunch");
    let mine = format!(
        "{}scene extra from crunch\nrule never crunch and mute-it\n",
        base.replace("{ engage grit }", "{ engage grit, drive }")
    )
    .replace("1.1 crunch", "1.1 crunch; 1.2 crunch")
    .replace("verse: crunch\n", "verse: crunch\n  crunch\n");
    for (mine, theirs, flipped) in [(&mine, &theirs, false), (&theirs, &mine, true)] {
        let out = merged(&base, mine, theirs);
        assert_eq!(out.conflicts, [], "{flipped}\n{}", out.text);
        for part in [
            "scene gravel from bed was crunch { engage grit, drive }",
            "  verse: gravel\n  crunch: gravel\n",
            "slots { 1.1 gravel; 1.2 gravel }",
            "rule gravel needs grit",
            "if grit fails, gravel becomes bed",
            "allow level-step bed to gravel \"so\"",
            "scene extra from gravel",
            "rule never gravel and mute-it",
        ] {
            assert!(out.text.contains(part), "{flipped} {part}\n{}", out.text);
        }
    }
    // Two new names of one scene.
    let other = base.replace("crunch", "grind").replace("scene grind from bed", "scene grind from bed was crunch");
    let out = merged(&base, &other, &theirs);
    assert_eq!(out.conflicts.len(), 1, "{}", out.text);
    assert!(!out.text.contains("verse: gravel") && out.text.contains("1.1 grind"), "{}", out.text);
}

#[test]
fn a_default_merges_statement_by_statement() {
    let base = "default { throb.depth 0 %; sift.voice round }\n";
    let (mine, theirs) = (base.replace("0 %", "5 %"), base.replace("round", "sharp"));
    assert_eq!(merged(base, &mine, &theirs).text, "default { throb.depth 5 %; sift.voice sharp }\n");
    let out = merged(base, &mine, &base.replace("0 %", "9 %"));
    assert_eq!(out.conflicts[0].about, "default");
    assert_eq!(out.conflicts[0].theirs.as_deref(), Some("throb.depth 9 %"));
    assert_eq!(
        out.text,
        "# conflict in default: the other side says `throb.depth 9 %`\ndefault { throb.depth 5 %; sift.voice round }\n"
    );
}

/// A book's text in which the scenes that `pick` chooses say one thing more or less.
fn edited(text: &str, random: &mut Random, pick: impl Fn(usize) -> bool) -> String {
    let (tree, _) = parse(0, text);
    let scenes = tree.statements(text).filter(|v| v.kind() == Kind::Scene).enumerate();
    let mut edits = Vec::new();
    for (_, view) in scenes.filter(|(at, _)| pick(*at)) {
        let says = view.child(Kind::SceneBody).map_or(Vec::new(), |b| b.children().map(|v| v.span()).collect());
        match says.as_slice() {
            [one, ..] if random.chance(40) => edits.push(edit::Edit::new(*one, "mute")),
            [.., last] => {
                let at = Span { start: last.end, ..*last };
                let word = if random.chance(50) { "engage loop 1" } else { "output 1 off" };
                edits.push(edit::Edit::new(at, format!("\n{word}   # edited\n")));
            }
            [] => {
                let at = Span { start: view.span().end, ..view.span() };
                if view.child(Kind::SceneBody).is_none() {
                    edits.push(edit::Edit::new(at, " { mute }"));
                }
            }
        }
    }
    edit::apply(text, &edits)
}

#[test]
fn edits_of_different_scenes_merge_to_what_both_did() {
    let mut comments = 0;
    for seed in 0..support::dice::many(40, 400) as u64 {
        let base = write::text(&generate::book(seed), seed);
        let (even, odd) = (|at: usize| at.is_multiple_of(2), |at: usize| !at.is_multiple_of(2));
        let mine = edited(&base, &mut Random::new(seed + 1), even);
        let theirs = edited(&base, &mut Random::new(seed + 2), odd);
        let out = merged(&base, &mine, &theirs);
        assert_eq!(out.conflicts, [], "seed {seed}\n{}", out.text);
        // Theirs put in by hand: the odd scenes of theirs into mine, whole.
        let expected = by_hand(&mine, &theirs, odd);
        let (a, b) = (compile_texts(&[("a.scene", &out.text)]), compile_texts(&[("a.scene", &expected)]));
        let difference = compare(&a, &b, Options { exact: true, renames: false, copies: true });
        assert!(
            difference.same() && a.book.show.scenes.len() == b.book.show.scenes.len(),
            "seed {seed}\n{}\n---\n{expected}",
            out.text
        );
        for text in [&mine, &theirs] {
            let count = |t: &str| t.matches('#').count();
            assert!(count(&out.text) >= count(text), "seed {seed}: a comment went\n{text}\n---\n{}", out.text);
        }
        comments += out.text.matches("# edited").count();
        // Against the same base, one side alone is that side.
        let alone = merged(&base, &base, &theirs);
        let (a, b) = (compile_texts(&[("a.scene", &alone.text)]), compile_texts(&[("a.scene", &theirs)]));
        assert!(
            compare(&a, &b, Options { exact: true, renames: false, copies: true }).same(),
            "seed {seed}\n{}\n---\n{theirs}",
            alone.text
        );
        assert_eq!(merged(&base, &mine, &base).text, mine, "seed {seed}");
    }
    assert!(comments > 20, "{comments}");
}

fn by_hand(mine: &str, theirs: &str, pick: impl Fn(usize) -> bool) -> String {
    let (tree, other) = (parse(0, mine).0, parse(0, theirs).0);
    let scenes = |tree: &tipring::syntax::tree::Tree, text: &str| -> Vec<Span> {
        tree.statements(text).filter(|v| v.kind() == Kind::Scene).map(|v| v.span()).collect()
    };
    let (a, b) = (scenes(&tree, mine), scenes(&other, theirs));
    let text = |span: Span| &theirs[span.start as usize..span.end as usize];
    let pairs = a.iter().zip(&b).enumerate().filter(|(at, _)| pick(*at));
    let edits: Vec<_> = pairs.map(|(_, (mine, theirs))| edit::Edit::new(*mine, text(*theirs))).collect();
    edit::apply(mine, &edits)
}

#[test]
fn two_new_things_of_one_name_are_a_conflict() {
    let mine = format!("{BASE}scene extra from bed {{ engage grit }}\n");
    let theirs = format!("{BASE}scene extra from bed {{ bypass throb }}\n");
    let both = merged(BASE, &mine, &theirs);
    assert_eq!(both.conflicts.len(), 1, "{}", both.text);
    assert!(both.text.contains("scene extra from bed { engage grit }"), "{}", both.text);
    assert!(both.text.contains("# conflict in scene `extra`: the other side says"), "{}", both.text);
    // The same on both sides is one.
    assert!(merged(BASE, &mine, &mine).conflicts.is_empty());
}
