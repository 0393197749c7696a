//! Rules: facts in, diagnostics out. One rule, one file; no rule knows another.

pub mod diagnostic;
pub mod facts;
pub mod page;

pub use diagnostic::{Diagnostic, Fix, Severity};
pub use facts::Facts;

/// A rule: its code, how bad it is, its page, and the function from facts to diagnostics.
pub struct Rule {
    /// A word that reads well after `allow`.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// The source file, whose head is the page that `explain` prints.
    pub source: &'static str,
    /// Looks for it.
    pub find: fn(&Facts<'_>, &mut Vec<Diagnostic>),
}

/// The single list: module, code. Dispatch, `explain` and the index page all come from it.
macro_rules! rules {
    ($($module:ident $code:literal)*) => {
        $(mod $module;)*

        /// All rules, by code.
        pub const RULES: &[Rule] = &[$(Rule {
            code: $code,
            severity: $module::SEVERITY,
            source: include_str!(concat!(stringify!($module), ".rs")),
            find: $module::find,
        },)*];
    };
}

rules! {
    scene_unused "scene-unused"
    statements_disagree "statements-disagree"
    unknown_name "unknown-name"
}

/// Runs every rule; the diagnostics stand in the order of the text.
pub fn all(facts: &Facts<'_>) -> Vec<Diagnostic> {
    let mut out = Vec::new();
    for rule in RULES {
        let from = out.len();
        (rule.find)(facts, &mut out);
        for diagnostic in out.iter_mut().skip(from) {
            (diagnostic.code, diagnostic.severity) = (rule.code, rule.severity);
        }
    }
    out.sort_by(|a, b| (a.at, a.code).cmp(&(b.at, b.code)));
    out
}

/// The rule with this code.
pub fn rule(code: &str) -> Option<&'static Rule> {
    RULES.iter().find(|r| r.code == code)
}
