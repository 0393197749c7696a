//! A line's end that only some editors show: read as one everywhere, and an error until it is a real one.

use crate::{BOARD, folder, tipring};

const ODD: [(&str, &str); 6] = [
    ("\r", "U+000D"),
    ("\u{b}", "U+000B"),
    ("\u{c}", "U+000C"),
    ("\u{85}", "U+0085"),
    ("\u{2028}", "U+2028"),
    ("\u{2029}", "U+2029"),
];

fn row(dir: &std::path::Path) -> String {
    let (_, out, told) = tipring(&["table", "b.scene", "--format", "csv", "--draft"], dir);
    assert!(!out.is_empty(), "{told}");
    out
}

#[test]
fn no_line_end_hides_a_statement() {
    for (end, code) in ODD {
        let hides =
            format!("{BOARD}scene bed {{\n  mute  # quiet{end}  engage ember\n}}\nsong \"Quay\" {{ all: bed }}\n");
        let dir = folder(&[("b.scene", &hides)]);
        let (exit, out, _) = tipring(&["check", "b.scene"], dir.path());
        assert_eq!(exit, Some(1), "{code}: {out}");
        assert!(out.contains("line-end-unclear") && out.contains(code), "{code}: {out}");
        assert!(out.contains("b.scene:4:16"), "{code}: the place where it stands: {out}");
        // What an editor shows on a line of its own is read.
        assert!(row(dir.path()).contains(",bed,1"), "{code}: {}", row(dir.path()));
        // A comment may only go on: the mend is left to its owner.
        let (_, _, told) = tipring(&["check", "b.scene", "--fix"], dir.path());
        assert!(told.starts_with("0 mends"), "{code}: {told}");
    }
}

#[test]
fn a_line_end_outside_comments_is_mended_and_nothing_else_changes() {
    for (end, code) in ODD {
        let text = format!("{BOARD}scene bed {{{end}  engage ember{end}}}{end}song \"Quay\" {{ all: bed }}\n");
        let dir = folder(&[("b.scene", &text)]);
        let before = row(dir.path());
        let (exit, out, told) = tipring(&["check", "b.scene", "--fix"], dir.path());
        assert_eq!((exit, row(dir.path())), (Some(0), before), "{code}: {out}{told}");
        assert_eq!(std::fs::read_to_string(dir.path().join("b.scene")).unwrap(), text.replace(end, "\n"), "{code}");
    }
}

#[test]
fn a_file_that_ends_all_its_lines_so_is_mended_whole() {
    let text = format!(
        "# a board\n{BOARD}scene bed {{ engage ember }} # loud\nsong \"Quay\" {{ all: bed }}\nscene x {{ engage y }}\n"
    );
    let dir = folder(&[("b.scene", &text.replace('\n', "\r"))]);
    let (exit, out, _) = tipring(&["check", "b.scene", "--format", "json"], dir.path());
    assert_eq!(exit, Some(1));
    let told: Vec<serde_json::Value> = out.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    let ends = told.iter().filter(|d| d["code"] == "line-end-unclear").count();
    assert_eq!(ends, 1, "told once: {out}");
    // Lines are counted as an editor counts them.
    assert!(told.iter().any(|d| d["code"] == "unknown-name" && d["line"] == 6), "{out}");
    tipring(&["check", "b.scene", "--fix"], dir.path());
    assert_eq!(std::fs::read_to_string(dir.path().join("b.scene")).unwrap(), text);
}

#[test]
fn a_line_end_inside_a_text_is_told_and_left_to_its_owner() {
    for (end, code) in ODD.into_iter().filter(|(end, _)| *end != "\r") {
        let text = format!("{BOARD}scene bed {{ engage ember }}\nsong \"Quay{end}draw\" {{ all: bed }}\n");
        let dir = folder(&[("b.scene", &text)]);
        let (exit, out, _) = tipring(&["check", "b.scene", "--format", "json"], dir.path());
        assert_eq!((exit, out.lines().count()), (Some(1), 1), "{code}: one mistake, told once: {out}");
        assert!(out.contains("line-end-unclear") && out.contains(code), "{code}: {out}");
        let (_, _, told) = tipring(&["check", "b.scene", "--fix"], dir.path());
        assert!(told.starts_with("0 mends"), "{code}: {told}");
    }
}

#[test]
fn lines_that_end_with_both_signs_are_silent() {
    let text = format!("{BOARD}scene bed {{ engage ember }} # loud\nsong \"Quay\" {{ all: bed }}\n");
    let dir = folder(&[("b.scene", &text.replace('\n', "\r\n"))]);
    let (exit, out, _) = tipring(&["check", "b.scene"], dir.path());
    assert_eq!((exit, out.as_str()), (Some(0), "1 scene, 1 song, 0 sets: nothing wrong\n"));
}
