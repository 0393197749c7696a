//! The outside solver: books go out as JSON, answers come back.

use serde_json::Value;
use std::io::Write;
use std::process::{Command, Stdio};

use super::abstract_book::{Answer, Book, Row};

/// `None` when it was not asked for or is not installed; the latter fails when it was asked for.
pub(crate) fn settle(books: &[Book]) -> Option<Vec<Answer>> {
    if std::env::var("TIPRING_FULL").as_deref() != Ok("1") {
        loud("SKIPPED: the outside solver's check of settling runs only with TIPRING_FULL=1");
        return None;
    }
    // The machine's choice of interpreter, for those who keep clingo in a virtual environment.
    let python = std::env::var("TIPRING_PYTHON").unwrap_or_else(|_| "python3".to_string());
    let ready = Command::new(&python).args(["-c", "import clingo"]).stderr(Stdio::null()).status();
    if !ready.is_ok_and(|status| status.success()) {
        loud("SKIPPED: python3 with clingo is missing (pip install clingo)");
        panic!("TIPRING_FULL=1 asks for the outside solver, and python3 with clingo is missing");
    }
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracle/settle_clingo.py");
    let mut child = Command::new(&python)
        .arg("-B")
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("python3 starts");
    let input = serde_json::to_vec(books).expect("books are plain data");
    // The script reads all before it writes, so the pipe cannot fill on both sides.
    child.stdin.take().expect("a pipe").write_all(&input).expect("the script reads");
    let output = child.wait_with_output().expect("the script ends");
    assert!(output.status.success(), "the outside solver failed");
    let answers: Value = serde_json::from_slice(&output.stdout).expect("the script writes JSON");
    Some(answers.as_array().expect("a list of answers").iter().map(answer).collect())
}

/// Past the test harness, which keeps what a passing test prints to itself.
pub(crate) fn loud(line: &str) {
    let _ = writeln!(std::io::stderr(), "\n{line}");
}

fn answer(value: &Value) -> Answer {
    let strings = |value: &Value| -> Vec<String> {
        value.as_array().expect("a list").iter().map(|s| s.as_str().expect("a text").to_string()).collect()
    };
    let rows = value["rows"].as_array().expect("rows").iter();
    let counts = value["counts"].as_object().expect("counts").iter();
    Answer {
        columns: strings(&value["columns"]),
        rows: rows
            .map(|row| Row {
                slot: String::new(),
                scene: row["scene"].as_str().expect("a name").to_string(),
                stored: strings(&row["stored"]),
                dashed: strings(&row["dashed"]),
            })
            .collect(),
        counts: counts.map(|(k, n)| (k.clone(), n.as_u64().expect("a count") as usize)).collect(),
    }
}
