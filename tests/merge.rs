//! `tipring merge`: two people's edits of one file, by scene and cell.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
// The generator is shared with tests that use more of it.
#![allow(dead_code)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod settle_agrees {
    pub(crate) mod abstract_book;
    pub(crate) mod board;
    pub(crate) mod generate;
    pub(crate) mod random;
    pub(crate) mod write;
    pub(crate) mod write_board;
}

use settle_agrees::random::Random;
use settle_agrees::{generate, write};
use tipring::compare::merge::{Merged, Side, merge};
use tipring::compare::{Options, compare};
use tipring::syntax::kind::Kind;
use tipring::syntax::{edit, parse};
use tipring::{compile_texts, source::Span};

fn merged(base: &str, mine: &str, theirs: &str) -> Merged {
    let trees = [base, mine, theirs].map(|text| parse(0, text).0);
    let side = |text, at: usize| Side { text, tree: &trees[at] };
    merge(side(base, 0), side(mine, 1), side(theirs, 2))
}

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
    let mine = BASE.replace("  verse: crunch\n", "  verse: bed\n");
    assert_eq!(merged(BASE, &mine, &theirs).conflicts.len(), 1);
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
    for seed in 0..400 {
        let base = write::text(&generate::book(seed), seed);
        let (even, odd) = (|at: usize| at.is_multiple_of(2), |at: usize| !at.is_multiple_of(2));
        let mine = edited(&base, &mut Random::new(seed + 1), even);
        let theirs = edited(&base, &mut Random::new(seed + 2), odd);
        let out = merged(&base, &mine, &theirs);
        assert_eq!(out.conflicts, [], "seed {seed}\n{}", out.text);
        // Theirs put in by hand: the odd scenes of theirs into mine, whole.
        let expected = by_hand(&mine, &theirs, odd);
        let (a, b) = (compile_texts(&[("a.scene", &out.text)]), compile_texts(&[("a.scene", &expected)]));
        let difference = compare(&a, &b, Options { exact: true, renames: false });
        assert!(
            difference.same() && a.book.scenes.len() == b.book.scenes.len(),
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
            compare(&a, &b, Options { exact: true, renames: false }).same(),
            "seed {seed}\n{}\n---\n{theirs}",
            alone.text
        );
        assert_eq!(merged(&base, &mine, &base).text, mine, "seed {seed}");
    }
    assert!(comments > 200, "{comments}");
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
