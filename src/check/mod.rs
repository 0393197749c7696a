//! Rules: facts in, diagnostics out. One rule, one file; no rule knows another.

pub mod diagnostic;
pub mod facts;
pub mod page;
mod sounds;

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
    cannot_bypass "cannot-bypass"
    code_clash "code-clash"
    contact_claimed_twice "contact-claimed-twice"
    contact_pattern_unknown "contact-pattern-unknown"
    control_unsettled "control-unsettled"
    foot_cannot_reach "foot-cannot-reach"
    jack_missing "jack-missing"
    label_too_long "label-too-long"
    layer_returns "layer-returns"
    layers_disagree "layers-disagree"
    level_unsettled "level-unsettled"
    loop_claimed_twice "loop-claimed-twice"
    loop_empty "loop-empty"
    loop_missing "loop-missing"
    no_effect "no-effect"
    no_loop "no-loop"
    no_such_slot "no-such-slot"
    port_shared "port-shared"
    safe_unsettled "safe-unsettled"
    scene_unused "scene-unused"
    slot_taken_twice "slot-taken-twice"
    slots_full "slots-full"
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
