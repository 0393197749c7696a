//! What is said to change nothing changes nothing: taken out, it leaves every row and every error as they were.

use tipring::check::{self, Facts, Severity};
use tipring::{Compiled, compile_texts};

/// Takes out, one at a time, each statement that is said to have no effect; gives how many were tried.
pub(crate) fn try_each(text: &str) -> Result<usize, String> {
    let compiled = compile_texts(&[("book.scene", text)]);
    let mut tried = 0;
    // Asked of the rule itself: in a book with errors it waits.
    let mut found = Vec::new();
    (check::rule("no-effect").unwrap().find)(&Facts::of(&compiled), &mut found);
    for told in &found {
        let Some(fix) = &told.fix else { continue };
        let [(cut, new)] = fix.edits.as_slice() else { return Err("one cut is enough".to_string()) };
        let mut left = text.to_string();
        left.replace_range(cut.start as usize..cut.end as usize, new);
        let after = compile_texts(&[("book.scene", &left)]);
        if said(&after) != said(&compiled) {
            return Err(format!("{}\n\nleft:\n{left}\n{:?}\nnot\n{:?}", told.message, said(&after), said(&compiled)));
        }
        tried += 1;
    }
    Ok(tried)
}

/// The rows, and the errors by code and scene.
fn said(compiled: &Compiled) -> (String, String, Vec<String>) {
    let errors = compiled.diagnostics().iter().filter(|d| d.severity == Severity::Error);
    let mut errors: Vec<String> = errors.map(|d| format!("{}: {}", d.code, d.message)).collect();
    errors.sort();
    let table = |free| tipring::print::csv::table(compiled, free);
    (table(false), table(true), errors)
}
