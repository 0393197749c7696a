//! Rules: facts in, diagnostics out. One rule, one file; no rule knows another.

pub mod allowing;
pub mod diagnostic;
pub mod facts;
pub mod page;

pub use allowing::Allowed;
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
    allow_error "allow-error"
    allow_idle "allow-idle"
    never_engaged "never-engaged"
    rule_broken "rule-broken"
    rule_implied "rule-implied"
    rules_clash "rules-clash"
    scene_unused "scene-unused"
    state_unreached "state-unreached"
    statements_disagree "statements-disagree"
    unknown_name "unknown-name"
}

/// Runs every rule; the diagnostics stand in the order of the text. Warnings that the book allows come apart.
pub fn all(facts: &Facts<'_>) -> (Vec<Diagnostic>, Vec<Allowed>) {
    let mut out = Vec::new();
    // What is left to allow is known when all others have spoken.
    let (last, first): (Vec<&Rule>, Vec<&Rule>) = RULES.iter().partition(|r| r.code == "allow-idle");
    for rule in first.into_iter().chain(last) {
        let from = out.len();
        (rule.find)(facts, &mut out);
        for diagnostic in out.iter_mut().skip(from) {
            (diagnostic.code, diagnostic.severity) = (rule.code, rule.severity);
        }
    }
    let mut allowed = allowing::take(facts, &mut out);
    out.sort_by(|a, b| (a.at, a.code).cmp(&(b.at, b.code)));
    allowed.sort_by(|a, b| (a.diagnostic.at, a.diagnostic.code).cmp(&(b.diagnostic.at, b.diagnostic.code)));
    (out, allowed)
}

/// The rule with this code.
pub fn rule(code: &str) -> Option<&'static Rule> {
    RULES.iter().find(|r| r.code == code)
}
