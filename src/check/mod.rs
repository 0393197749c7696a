//! The checks: facts in, diagnostics out.

mod against;
pub mod allowing;
mod asked;
mod cells;
mod consequences;
pub mod diagnostic;
mod edits;
pub mod facts;
mod guess;
mod habits;
mod mend;
pub mod need;
pub mod page;
mod pulses;
mod readings;
pub mod rules;
mod say;
mod slotless;
mod unsettled;

pub use allowing::Allowed;
pub use diagnostic::{Diagnostic, Fix, How, Severity, Way};
pub use facts::Facts;
pub use need::{NEEDS, Need};
pub use rules::{RULES, Rule, rule};

use crate::source::{Span, load};
use crate::syntax::fault::{Fault, Within};

/// Runs every rule; the diagnostics stand in the order of the text. Warnings that the book allows come apart.
pub fn all(facts: &Facts<'_>) -> (Vec<Diagnostic>, Vec<Allowed>) {
    run(facts, |_| true)
}

/// Runs the rules that tell errors; none of those is allowed.
pub fn errors(facts: &Facts<'_>) -> Vec<Diagnostic> {
    run(facts, |rule| rule.severity == Severity::Error).0
}

/// Warnings that are sure whatever else is wrong: about the letters of the text, and about what was not proved.
const SURE: [&str; 4] = ["conflict-left", "hash-glued", "label-too-long", "not-proved"];

/// What seems idle in the book that a night's book amends may be needed on every other night.
const IDLE: [&str; 6] = ["allow-idle", "never-engaged", "no-effect", "rule-implied", "scene-unused", "state-unreached"];

/// Runs the rules that are wanted. What can only warn waits for the errors: of a book that is wrong, much that seems odd
/// is odd because of it.
fn run(facts: &Facts<'_>, wanted: impl Fn(&Rule) -> bool) -> (Vec<Diagnostic>, Vec<Allowed>) {
    let mut out = Vec::new();
    let unsaid: Vec<Need> = NEEDS.into_iter().filter(|n| n.wanting(facts.book).is_some()).collect();
    let runs = |rule: &&Rule| wanted(rule) && !rule.needs.iter().any(|n| unsaid.contains(n));
    let mut rules: Vec<&Rule> = RULES.iter().filter(runs).collect();
    // Errors first; and what is left to allow is known when all others have spoken.
    rules.sort_by_key(|r| (r.severity != Severity::Error, r.code == "allow-idle"));
    for rule in rules {
        let waits = matches!(rule.severity, Severity::Warning | Severity::Hint) && !SURE.contains(&rule.code);
        if waits && out.iter().any(|d: &Diagnostic| d.severity == Severity::Error) {
            continue;
        }
        let from = out.len();
        (rule.find)(facts, &mut out);
        for diagnostic in out.iter_mut().skip(from) {
            (diagnostic.code, diagnostic.severity) = (rule.code, rule.severity);
        }
    }
    out.retain(|d| !(IDLE.contains(&d.code) && facts.of_base(d.at)));
    if facts.files.iter().any(|(_, file)| file.not_utf8.is_some()) {
        out.retain(|d| read_wrong(facts, d.at));
    }
    // What cannot be seen, and where a line ends, must be certain before anything else is changed.
    let first = |d: &Diagnostic| matches!(d.code, "line-end-unclear" | "hidden-letters");
    let unclear = |f: &&Fault| match f {
        Fault::OddEnd { within, .. } => *within != Within::Text,
        fault => matches!(fault, Fault::Hidden { .. }),
    };
    let mut unclear: Vec<u32> = facts.reading.iter().filter(unclear).map(|f| f.at().file).collect();
    unclear.dedup();
    for diagnostic in out.iter_mut().filter(|d| !first(d) && unclear.contains(&d.at.file)) {
        diagnostic.withdraw();
    }
    let marked = rules::with_marks(facts);
    if !marked.is_empty() {
        let other = |d: &Diagnostic| !marked.contains(&d.at.file) && read_wrong(facts, d.at);
        out.retain(|d| d.code == "marks-left" || other(d));
    }
    let mut allowed = allowing::take(facts, &mut out);
    consequences::left_out(facts, &mut out);
    out.sort_by(|a, b| (a.at, a.code).cmp(&(b.at, b.code)));
    allowed.sort_by(|a, b| (a.diagnostic.at, a.diagnostic.code).cmp(&(b.diagnostic.at, b.diagnostic.code)));
    (out, allowed)
}

/// True where reading itself found something. In a book whose letters are damaged no name, number or meaning can be
/// trusted, and all else would be made up.
fn read_wrong(facts: &Facts<'_>, at: Span) -> bool {
    read(facts).any(|found| found == at)
}

/// Where reading found something.
fn read(facts: &Facts<'_>) -> impl Iterator<Item = Span> {
    let loading = facts.loading.iter().map(|f| match f {
        load::Fault::Missing { at, .. } | load::Fault::Outside { at } | load::Fault::Circular { at, .. } => *at,
        load::Fault::Night { at, .. } | load::Fault::NotUsed { at, .. } => *at,
    });
    facts.reading.iter().map(Fault::at).chain(loading)
}
