//! The command, and the command as git's merge driver: what both sides did is in the work tree, or git stops.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

const BOARD: &str = "switcher { loops 2; remote jacks 1 }
pedal moss { loop 1; control voice on remote 1 tip { round: open; sharp: closed } }
pedal reed { loop 2 }
";
const SONGS: &str = "use \"board.scene\"

# the songs
scene bed { engage moss; moss.voice sharp }
scene lull { engage reed }
song \"Quay\" {
  verse: bed
  end:   lull
}
";

fn tool() -> &'static str {
    env!("CARGO_BIN_EXE_tipring")
}

fn run(folder: &Path, program: &str, words: &[&str]) -> Output {
    let mut command = Command::new(program);
    for name in ["GIT_AUTHOR_NAME", "GIT_COMMITTER_NAME"] {
        command.env(name, "moss");
    }
    for name in ["GIT_AUTHOR_EMAIL", "GIT_COMMITTER_EMAIL"] {
        command.env(name, "moss@reed.invalid");
    }
    for name in ["GIT_CONFIG_GLOBAL", "GIT_CONFIG_SYSTEM"] {
        command.env(name, folder.join("none"));
    }
    command.current_dir(folder).env("GIT_EDITOR", "true").args(words).output().unwrap()
}

fn git(folder: &Path, words: &[&str]) -> (bool, String) {
    let out = run(folder, "git", words);
    let says = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    (out.status.success(), says)
}

/// A repository whose `main` and `theirs` come from one commit, with the driver as the help says it.
fn repository(mine: &[u8], theirs: &[u8]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let must = |words: &[&str]| {
        let (well, says) = git(at, words);
        assert!(well, "{words:?}: {says}");
    };
    must(&["init", "-q", "-b", "main"]);
    let help = run(at, tool(), &["merge", "--help"]);
    let help = String::from_utf8(help.stdout).unwrap();
    let driver = help.split("merge.scene.driver '").nth(1).unwrap().split('\'').next().unwrap();
    assert!(driver.contains("%P"), "{driver}");
    must(&["config", "merge.scene.driver", &driver.replace("tipring", tool())]);
    fs::create_dir(at.join("book")).unwrap();
    fs::write(at.join(".gitattributes"), "*.scene merge=scene\n").unwrap();
    fs::write(at.join("book/board.scene"), BOARD).unwrap();
    let commit = |bytes: &[u8]| {
        fs::write(at.join("book/songs.scene"), bytes).unwrap();
        must(&["add", "."]);
        must(&["commit", "-q", "-m", "so"]);
    };
    commit(SONGS.as_bytes());
    must(&["checkout", "-q", "-b", "theirs"]);
    commit(theirs);
    must(&["checkout", "-q", "main"]);
    commit(mine);
    folder
}

fn songs(folder: &Path) -> String {
    String::from_utf8_lossy(&fs::read(folder.join("book/songs.scene")).unwrap()).into_owned()
}

#[test]
fn a_merge_and_a_pick_bring_both_sides_in() {
    let mine = SONGS.replace("engage reed }", "engage reed } # mine");
    let theirs = SONGS.replace("engage reed }", "engage reed, moss; moss.voice round }");
    for words in
        [["merge", "-q", "--no-edit", "theirs"].as_slice(), &["cherry-pick", "theirs"], &["rebase", "-q", "theirs"]]
    {
        let folder = repository(mine.as_bytes(), theirs.as_bytes());
        let (well, says) = git(folder.path(), words);
        assert!(well, "{says}");
        let text = songs(folder.path());
        assert_eq!(text, theirs.replace("round }", "round } # mine"), "{words:?}");
    }
}

#[test]
fn a_side_that_cannot_be_read_stops_git_with_its_work_in_the_tree() {
    // The musician's line has no closing quote; the technician wrote far from it, and on the line itself.
    let broken = SONGS.replace("song \"Quay\" {", "song \"Quay {\n  intro: lull");
    let far = SONGS.replace("# the songs", "# the songs of the winter");
    let near = SONGS.replace("song \"Quay\" {", "song \"Quay\" at 92 bpm {");
    let latin: Vec<u8> =
        SONGS.replace("# the songs", "# the songs, tr\u{1}s").bytes().map(|b| if b == 1 { 0xE8 } else { b }).collect();
    let odd = SONGS.replace("# the songs", "# the songs\rscene extra");
    for (mine, theirs, marks) in [
        (odd.as_bytes(), near.as_bytes(), false),
        (broken.as_bytes(), far.as_bytes(), false),
        (far.as_bytes(), broken.as_bytes(), false),
        (broken.as_bytes(), near.as_bytes(), true),
        (near.as_bytes(), broken.as_bytes(), true),
        (latin.as_slice(), near.as_bytes(), false),
    ] {
        for words in [["rebase", "theirs"].as_slice(), &["merge", "--no-edit", "theirs"], &["cherry-pick", "theirs"]] {
            let folder = repository(mine, theirs);
            let (well, says) = git(folder.path(), words);
            assert!(!well, "{words:?}: {says}");
            assert!(says.contains("book/songs.scene: conflict: "), "{says}");
            assert!(says.contains("cannot be read as scenes"), "{says}");
            let text = songs(folder.path());
            assert_eq!(text.contains("<<<<<<<") && text.contains("======="), marks, "{text}");
            // Whoever goes on has the work of both.
            for side in [mine, theirs] {
                for line in String::from_utf8_lossy(side).lines() {
                    let old = SONGS.lines().any(|l| l == line);
                    assert!(old || text.lines().any(|l| l == line), "{words:?}: `{line}` is gone\n{text}");
                }
            }
            let (_, state) = git(folder.path(), &["status", "--porcelain"]);
            assert!(state.contains("UU book/songs.scene"), "{state}");
            if marks {
                let check = run(&folder.path().join("book"), tool(), &["check", "songs.scene", "--format", "json"]);
                let told = String::from_utf8(check.stdout).unwrap();
                assert_eq!(
                    told.matches("\"severity\": \"error\"").count() + told.matches("\"severity\":\"error\"").count(),
                    1,
                    "{told}"
                );
                assert!(told.contains("marks-left"), "{told}");
            }
        }
    }
}

#[test]
fn a_conflict_stops_git_and_a_comment_tells() {
    let folder = repository(
        SONGS.replace("voice sharp", "voice round").as_bytes(),
        SONGS
            .replace("; moss.voice sharp", "; moss.voice sharp; output 1 off")
            .replace("verse: bed", "verse: lull")
            .as_bytes(),
    );
    let (well, says) = git(folder.path(), &["merge", "--no-edit", "theirs"]);
    // Two statements: no conflict of the merge, but what comes out of it has an error that neither side has, or is well.
    assert!(well || says.contains("book/songs.scene: "), "{says}");
    let folder = repository(
        SONGS.replace("voice sharp", "voice round").as_bytes(),
        SONGS.replace("moss.voice sharp", "close remote 1 tip").as_bytes(),
    );
    let (well, says) = git(folder.path(), &["merge", "--no-edit", "theirs"]);
    assert!(!well && says.contains("book/songs.scene: conflict"), "{says}");
    let text = songs(folder.path());
    assert!(text.contains("\n# conflict in scene `bed`: "), "{text}");
}

/// Both sides speak of one cell in two ways: each alone is well, together they are not.
#[test]
fn the_result_is_checked_before_it_counts_as_merged() {
    let base = SONGS
        .replace("; moss.voice sharp", "")
        .replace("use \"board.scene\"\n", "use \"board.scene\"\ndefault { moss.voice round }\n");
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let mine = base.replace("engage moss }", "engage moss; moss.voice round }");
    let theirs = base.replace("engage moss }", "engage moss; close remote 1 tip }");
    for (name, text) in [("board", BOARD), ("base", &base), ("mine", &mine), ("theirs", &theirs)] {
        fs::write(at.join(format!("{name}.scene")), text).unwrap();
    }
    let merge = |mine: &str, theirs: &str| {
        run(at, tool(), &["merge", "base.scene", mine, theirs, "--path", "songs.scene", "-o", "out.scene"])
    };
    let out = merge("mine.scene", "theirs.scene");
    let says = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(1), "{says}");
    assert!(says.contains("songs.scene: conflict, which neither side has alone: "), "{says}");
    let text = fs::read_to_string(at.join("out.scene")).unwrap();
    assert!(text.contains("\n# conflict in scene `bed`: both sides together: "), "{text}");
    assert!(text.contains("moss.voice round") && text.contains("close remote 1 tip"), "{text}");
    // An error that a side brings along is no conflict, and a warning is none.
    fs::write(at.join("wrong.scene"), base.replace("end:   lull", "end:   lul")).unwrap();
    let out = merge("mine.scene", "wrong.scene");
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    fs::write(at.join("warned.scene"), base.replace("# the songs", "F# the songs").replace("F# ", "scene fis#x\n# "))
        .unwrap();
    let out = merge("mine.scene", "warned.scene");
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    // Nothing could be done: nothing is written.
    let out = run(at, tool(), &["merge", "gone.scene", "mine.scene", "theirs.scene", "-o", "none.scene"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(!at.join("none.scene").exists());
}

/// Without git both sides stand whole between the marks.
#[cfg(unix)]
#[test]
fn without_git_nothing_is_lost_either() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    fs::write(at.join("base.scene"), SONGS).unwrap();
    fs::write(at.join("mine.scene"), SONGS.replace("engage reed", "engage reed, moss")).unwrap();
    fs::write(at.join("theirs.scene"), SONGS.replace("\"Quay\"", "\"Quay")).unwrap();
    let mut command = Command::new(tool());
    let out = command
        .current_dir(at)
        .env("PATH", at)
        .args(["merge", "base.scene", "mine.scene", "theirs.scene"])
        .output()
        .unwrap();
    assert_eq!(out.status.code(), Some(1));
    let text = String::from_utf8(out.stdout).unwrap();
    let read = |name: &str| fs::read_to_string(at.join(name)).unwrap();
    assert_eq!(text, format!("<<<<<<< mine\n{}=======\n{}>>>>>>> theirs\n", read("mine.scene"), read("theirs.scene")));
}
