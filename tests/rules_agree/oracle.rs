//! The outside solver: boards and rules go out as JSON, answers come back.

use serde_json::{Value, json};
use std::io::Write;
use std::process::{Child, Command, Stdio};

use super::model::{Book, Compare, Control, Expr, Rule, STEPS};

pub(crate) struct Answer {
    /// The board alone allows a row.
    pub board: bool,
    pub possible: bool,
    pub never: Vec<String>,
    pub implied: Vec<usize>,
}

/// `None` when it was not asked for; a failure when it was, and is not installed.
pub(crate) fn ask(books: &[Book]) -> Option<Vec<Answer>> {
    if std::env::var("TIPRING_FULL").as_deref() != Ok("1") {
        loud("SKIPPED: the outside solver's check of rules runs only with TIPRING_FULL=1");
        return None;
    }
    let ready = Command::new(python()).args(["-c", "import clingo"]).stderr(Stdio::null()).status();
    if !ready.is_ok_and(|status| status.success()) {
        loud("SKIPPED: python3 with clingo is missing (pip install clingo)");
        panic!("TIPRING_FULL=1 asks for the outside solver, and python3 with clingo is missing");
    }
    let mut child = process().expect("python3 starts");
    child.stdin.take().expect("a pipe").write_all(&input(books)).expect("the script reads");
    let output = child.wait_with_output().expect("the script ends");
    assert!(output.status.success(), "the outside solver failed");
    let answers: Value = serde_json::from_slice(&output.stdout).expect("the script writes JSON");
    let texts = |v: &Value| v.as_array().unwrap().iter().map(|s| s.as_str().unwrap().to_owned()).collect();
    let numbers = |v: &Value| v.as_array().unwrap().iter().map(|n| n.as_u64().unwrap() as usize).collect();
    let each = answers.as_array().expect("a list of answers").iter();
    Some(
        each.map(|a| Answer {
            board: a["board"].as_bool().unwrap(),
            possible: a["possible"].as_bool().unwrap(),
            never: texts(&a["never"]),
            implied: numbers(&a["implied"]),
        })
        .collect(),
    )
}

pub(crate) fn python() -> String {
    std::env::var("TIPRING_PYTHON").unwrap_or_else(|_| "python3".to_string())
}

/// The solver, waiting for books.
pub(crate) fn process() -> std::io::Result<Child> {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracle/rules_clingo.py");
    Command::new(python()).args(["-B", script]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn()
}

/// Books as the solver reads them.
pub(crate) fn input(books: &[Book]) -> Vec<u8> {
    serde_json::to_vec(&books.iter().map(book).collect::<Vec<_>>()).expect("plain data")
}

/// Past the test harness, which keeps what a passing test prints to itself.
pub(crate) fn loud(line: &str) {
    let _ = writeln!(std::io::stderr(), "\n{line}");
}

fn book(book: &Book) -> Value {
    let pedals: Vec<Value> = book
        .board
        .pedals
        .iter()
        .map(|p| {
            let control = match &p.control {
                Some(Control::Contacts { contacts, states }) => json!({"contacts": contacts, "states": states}),
                Some(Control::Choice { states, .. }) => json!({"choice": states}),
                Some(Control::Level { falls, .. }) => json!({"steps": STEPS, "falls": falls}),
                None => json!({}),
            };
            json!({"name": p.name, "always": p.always, "control": control})
        })
        .collect();
    let parents: Vec<i64> = book.scenes.iter().map(|s| s.parent.map_or(-1, |p| p as i64)).collect();
    json!({
        "pedals": pedals,
        "contacts": book.board.jacks * 2,
        "outputs": book.board.outputs,
        "parents": parents,
        "rules": book.rules.iter().map(rule).collect::<Vec<_>>(),
    })
}

fn rule(rule: &Rule) -> Value {
    let list = |l: &[Expr]| l.iter().map(expr).collect::<Vec<_>>();
    match rule {
        Rule::AtMost(l) => json!(["atmost", list(l)]),
        Rule::Exactly(l) => json!(["exactly", list(l)]),
        Rule::Never(a, b) => json!(["never", std::iter::once(a).chain(b).map(expr).collect::<Vec<_>>()]),
        Rule::Always(a) => json!(["always", [expr(a)]]),
        Rule::Needs(a, b) => json!(["needs", [expr(a), expr(b)]]),
    }
}

fn expr(e: &Expr) -> Value {
    match e {
        Expr::Scene(s) => json!(["scene", s]),
        Expr::Any(s) => json!(["any", s]),
        Expr::Pedal(p) => json!(["pedal", p]),
        Expr::Loop(p) => json!(["loop", p]),
        Expr::Contact(c, closed) => json!(["contact", c, closed]),
        Expr::Output(o, on) => json!(["output", o, on]),
        Expr::State(p, s) => json!(["state", p, s]),
        Expr::Level(p, compare, value) => {
            let sign = match compare {
                Compare::Least => ">=",
                Compare::Most => "<=",
                Compare::Above => ">",
                Compare::Below => "<",
                Compare::Exactly => "=",
            };
            json!(["level", p, sign, value])
        }
        Expr::Foot(p) => json!(["foot", p]),
        Expr::Not(e) => json!(["not", expr(e)]),
        Expr::And(l) => json!(["and", l.iter().map(expr).collect::<Vec<_>>()]),
        Expr::Or(l) => json!(["or", l.iter().map(expr).collect::<Vec<_>>()]),
    }
}
