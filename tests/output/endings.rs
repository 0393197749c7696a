//! The ending of `-o` chooses the format, in every command that has one to choose.

use std::fs;

use super::{root, tipring, told};

const W: &str = "examples/winter";

/// A line.
type Line = &'static [&'static str];

/// A line, and for each ending the format it stands for.
type Choice = (Line, &'static [(&'static str, &'static str)]);

#[rustfmt::skip]
const CHOICES: [Choice; 21] = [
    (&["check", W], &[("txt", "text"), ("json", "json"), ("sarif", "sarif")]),
    (&["table", W], &[("txt", "text"), ("csv", "csv"), ("xlsx", "xlsx"), ("json", "json"), ("yaml", "yaml"), ("yml", "yaml"), ("CSV", "csv")]),
    (&["diff", W, "examples/spring"], &[("txt", "text"), ("html", "html"), ("htm", "html"), ("pdf", "pdf"), ("md", "md"), ("json", "json")]),
    (&["walk", W], &[("txt", "text"), ("json", "json"), ("html", "html"), ("md", "md"), ("pdf", "pdf")]),
    (&["midi", W, "--set", "hall night"], &[("mid", "file"), ("midi", "file")]),
    (&["midi", W], &[("txt", "hex"), ("json", "json")]),
    (&["calls", "examples/fly"], &[("txt", "text"), ("md", "md"), ("html", "html"), ("pdf", "pdf"), ("csv", "csv"), ("json", "json"), ("mid", "file")]),
    (&["sheet", W], &[("txt", "text"), ("md", "md"), ("html", "html"), ("pdf", "pdf"), ("PDF", "pdf")]),
    (&["sheet", W, "--set", "hall night"], &[("songs", "songs")]),
    (&["labels", W], &[("csv", "csv"), ("pdf", "pdf")]),
    (&["signal", W, "summit"], &[("txt", "text"), ("json", "json"), ("csv", "csv"), ("html", "html"), ("md", "md"), ("pdf", "pdf"), ("cir", "cir")]),
    (&["supply", W], &[("txt", "text"), ("csv", "csv"), ("md", "md"), ("html", "html"), ("pdf", "pdf")]),
    (&["wiring", W], &[("txt", "text"), ("csv", "csv"), ("md", "md"), ("html", "html"), ("pdf", "pdf")]),
    (&["buildcheck", W], &[("txt", "text"), ("csv", "csv"), ("md", "md"), ("html", "html"), ("pdf", "pdf")]),
    (&["slots", W], &[("txt", "text"), ("csv", "csv"), ("md", "md"), ("html", "html"), ("pdf", "pdf")]),
    (&["where", W, "rotary"], &[("txt", "text"), ("csv", "csv"), ("md", "md"), ("html", "html"), ("pdf", "pdf")]),
    (&["linecheck", W], &[("txt", "text"), ("csv", "csv"), ("md", "md"), ("html", "html"), ("pdf", "pdf")]),
    (&["without", W, "hasp"], &[("txt", "text"), ("csv", "csv"), ("json", "json"), ("md", "md"), ("html", "html"), ("pdf", "pdf")]),
    (&["readback", W, "tests/readback/winter.csv"], &[("txt", "text"), ("csv", "csv"), ("md", "md"), ("html", "html"), ("pdf", "pdf")]),
    (&["explain", "--all"], &[("md", "md"), ("html", "html"), ("pdf", "pdf")]),
    (&["signal", W, "summit", "--curves"], &[("txt", "text"), ("csv", "csv"), ("json", "json")]),
];

#[test]
fn the_ending_chooses_the_format() {
    let folder = tempfile::tempdir().unwrap();
    for (line, endings) in CHOICES {
        for (ending, format) in endings {
            let file = folder.path().join(format!("written.{ending}"));
            let out = tipring(root(), &[line, &["-o", file.to_str().unwrap()]].concat());
            let written = fs::read(&file).unwrap_or_else(|e| panic!("{line:?} .{ending}: {e}: {}", told(&out)));
            let asked = tipring(root(), &[line, &["--format", format]].concat());
            assert!(written == asked.stdout, "{line:?}: .{ending} is not --format {format}");
            fs::remove_file(&file).unwrap();
        }
    }
}

#[test]
fn every_command_with_formats_is_in_the_list() {
    for command in tipring::cli::command().get_subcommands() {
        let Some(formats) = command.get_arguments().find(|a| a.get_id() == "format") else { continue };
        let lines = CHOICES.iter().filter(|(line, _)| line[0] == command.get_name());
        let endings: Vec<_> = lines.flat_map(|(_, endings)| *endings).collect();
        for format in formats.get_possible_values() {
            // Words are text too, and text comes first.
            let listed = endings.iter().any(|(_, f)| *f == format.get_name());
            assert!(listed || format.get_name() == "words", "{} {}", command.get_name(), format.get_name());
        }
    }
}

#[test]
fn an_ending_that_does_not_go_is_refused_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    for (line, says) in [
        (&["table", W, "-o", "x.pdf"][..], "the ending must be .txt, .csv, .xlsx, .json or .yaml"),
        (&["table", W, "-o", "x"], "the ending must be"),
        (&["table", W, "-o", "x.tsv"], "or say `--format`"),
        (&["table", W, "--format", "csv", "-o", "x.json"], "`--format csv` is no `.json`"),
        (&["table", W, "--format", "csv", "-o", "x.scene"], "name it `.csv`"),
        (&["diff", W, "examples/spring", "--format", "html", "-o", "x.pdf"], "`--format html` is no `.pdf`"),
        (&["diff", W, "examples/spring", "-o", "x.csv"], "the ending must be .txt, .html, .pdf, .md or .json"),
        (&["stage", W, "-o", "x.pdf"], "ends in .html"),
        (&["why", W, "summit", "-o", "x.html"], "ends in .txt"),
        (&["slots", W, "-o", "x.json"], "the ending must be"),
        (&["explain", "-o", "x.html"], "ends in .txt"),
        (&["signal", W, "-o", "x.cir"], "a circuit is that of one scene"),
        (&["signal", W, "--buffers", "5kHz", "-o", "x.cir"], "without `--buffers`"),
        (&["readback", W, "--html", "-o", "x.pdf"], "ends in .html"),
        (&["table", W, "--why-free", "-o", "x.csv"], "ends in .txt"),
    ] {
        let mut line: Vec<String> = line.iter().map(|w| (*w).to_owned()).collect();
        let file = folder.path().join(line.last().unwrap());
        *line.last_mut().unwrap() = file.display().to_string();
        let out = tipring(root(), &line);
        assert_eq!(out.status.code(), Some(2), "{line:?}");
        assert!(told(&out).contains(says), "{line:?}: {}", told(&out));
        assert!(!file.exists(), "{line:?}");
    }
    // A name that says nothing is taken at its format's word.
    let file = folder.path().join("x.tsv");
    let out = tipring(root(), &["table", W, "--format", "csv", "-o", file.to_str().unwrap()]);
    assert!(out.status.success() && file.exists(), "{}", told(&out));
}
