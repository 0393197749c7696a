//! Output for other programs, and the pages to read offline.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use std::io::Write;
use std::process::{Command, Stdio};

use serde_json::Value;
use support::one;
use tipring::check::RULES;
use tipring::print::{pages, sarif};

const BOOK: &str = "switcher { loops 2 }\npedal ember { loop 1 }\npedal grit { loop 2 }\n\
    rule \"dirt\" at most one of ember, grit\nscene bed { engage embr }\nscene both { engage ember, grit }\n\
    scene spare { mute }\nallow scene-unused spare \"for the encore\"\nsong \"Quay\" { bed; both }\n";

fn log(book: &str) -> Value {
    let compiled = support::compile(&one("board work/bön.scene", book));
    let found = tipring::mend::offers::tried(&compiled, compiled.diagnostics());
    serde_json::from_str(&sarif::sarif(&compiled, &found)).unwrap()
}

#[test]
fn sarif_says_what_the_report_says() {
    let log = log(BOOK);
    let run = &log["runs"][0];
    assert_eq!((log["version"].as_str(), run["tool"]["driver"]["name"].as_str()), (Some("2.1.0"), Some("tipring")));
    assert_eq!(run["tool"]["driver"]["rules"].as_array().unwrap().len(), RULES.len());
    let results = run["results"].as_array().unwrap();
    let found = |code: &str| results.iter().find(|r| r["ruleId"] == code).unwrap_or_else(|| panic!("{code}: {log:#}"));
    for result in results {
        let index = result["ruleIndex"].as_u64().unwrap() as usize;
        assert_eq!(run["tool"]["driver"]["rules"][index]["id"], result["ruleId"]);
    }
    let misspelt = found("unknown-name");
    let place = &misspelt["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "board%20work/b%C3%B6n.scene");
    let region = &place["region"];
    let numbers = ["startLine", "startColumn", "endLine", "endColumn"].map(|k| region[k].as_u64().unwrap());
    assert_eq!(numbers, [5, 20, 5, 24]);
    let change = &misspelt["fixes"][0]["artifactChanges"][0]["replacements"][0];
    assert_eq!((&change["insertedContent"]["text"], &change["deletedRegion"]), (&Value::from("ember"), region));
    let broken = found("rule-broken");
    assert_eq!(broken["level"], "error");
    assert!(broken["relatedLocations"].as_array().unwrap().len() >= 3, "two statements and the rule");
    // Warnings wait for the errors.
    let right = BOOK.replace("embr }", "ember }").replace("ember, grit }", "grit }");
    let log = self::log(&right);
    let results = log["runs"][0]["results"].as_array().unwrap();
    let allowed = results.iter().find(|r| r["ruleId"] == "scene-unused").unwrap_or_else(|| panic!("{log:#}"));
    assert_eq!(allowed["suppressions"][0]["kind"], "inSource");
    assert_eq!(allowed["suppressions"][0]["justification"], "for the encore");
}

/// The published schema ships in a registry package; the fields are also those of the standard's own sections, as
/// the writer's head says.
#[test]
fn sarif_meets_the_published_schema() {
    if std::env::var("TIPRING_FULL").as_deref() != Ok("1") {
        let _ = writeln!(std::io::stderr(), "\nSKIPPED: SARIF is held against its schema only with TIPRING_FULL=1");
        return;
    }
    let python = std::env::var("TIPRING_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracle/sarif_schema.py");
    let mut child =
        Command::new(&python).args(["-B", script]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(log(BOOK).to_string().as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success() && said.trim() == "valid", "{said}");
}

#[test]
fn every_code_has_its_place_on_the_pages_to_read_offline() {
    let (markdown, html) = (pages::markdown(), pages::html());
    for rule in RULES {
        assert!(markdown.contains(&format!("\n## {}\n", rule.code)), "{}", rule.code);
        assert!(html.contains(&format!("<section id=\"{}\">", rule.code)), "{}", rule.code);
    }
    assert!(!html.contains("http"), "the page needs no other file");
    assert_eq!(markdown.matches("```").count() % 2, 0);
    let open = |tag: &str| html.matches(&format!("<{tag}>")).count() + html.matches(&format!("<{tag} ")).count();
    for tag in ["section", "p", "pre", "code", "h2", "h3", "li", "ul"] {
        assert_eq!(open(tag), html.matches(&format!("</{tag}>")).count(), "{tag}");
    }
}
