//! A question that was not answered with the steps there are: nobody knows.
//!
//! Some questions grow beyond any machine: whether twenty rules over a hundred pedals can all be kept, or whether a
//! pulse is right after every way through six thousand. The work is counted, and stops at the same place on every
//! machine; what was not proved then is said here, and nothing is said of it elsewhere.
//!
//! # On stage
//! It may be wrong, and the tool cannot tell: try it by hand.
//!
//! # Way out
//! Make the question smaller: fewer rules over the same pedals, fewer settings that only pulses turn, `ways as listed`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; remote jacks 4; banks 1..1, switches 1..5 }
//! ways any
//! pedal ember {
//!   loop 1
//!   control hue on remote 1 tip momentary { a; b; c; d; e; f; g; h; i } starts a
//!   control tint on remote 2 tip momentary { a; b; c; d; e; f; g; h; i } starts a
//!   control tone on remote 3 tip momentary { a; b; c; d; e; f; g; h; i } starts a
//!   control glow on remote 4 tip momentary { a; b; c; d; e; f; g; h; i } starts a
//! }
//! default { ember.hue stays; ember.tint stays; ember.tone stays; ember.glow stays }
//! scene first { engage ember; pulse remote 1 tip }
//! scene second { engage ember; pulse remote 2 tip }
//! scene third { engage ember; pulse remote 3 tip }
//! scene fourth { engage ember; pulse remote 4 tip }
//! song "Quay" { first; second; third; fourth }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 5; banks 1..1, switches 1..5 }
//! ways any
//! pedal ember {
//!   loop 1
//!   control hue on remote 1 tip momentary { a; b; c; d; e; f } starts a
//!   control tint on remote 2 tip momentary { a; b; c; d; e; f } starts a
//!   control tone on remote 3 tip momentary { a; b; c; d; e; f } starts a
//!   control glow on remote 4 tip momentary { a; b; c; d; e; f } starts a
//!   control haze on remote 5 tip momentary { a; b; c; d; e; f } starts a
//! }
//! default { ember.hue stays; ember.tint stays; ember.tone stays; ember.glow stays; ember.haze stays }
//! scene first { engage ember; pulse remote 1 tip }
//! scene second { engage ember; pulse remote 2 tip }
//! scene third { engage ember; pulse remote 3 tip }
//! scene fourth { engage ember; pulse remote 4 tip }
//! scene fifth { engage ember; pulse remote 5 tip }
//! song "Quay" { first; second; third; fourth; fifth }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1; banks 1..1, switches 1..5 }
//! ways any
//! pedal ember { loop 1; control hue on remote 1 tip momentary { a; b } starts a }
//! default { ember.hue stays }
//! scene first { engage ember; pulse remote 1 tip }
//! scene second { engage ember }
//! song "Quay" { first; second }
//! ```

use crate::ids::SceneId;
use crate::check::{Diagnostic, Facts, Severity, say};
use crate::source::Span;
use crate::study::rules::Open;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    rules(facts, out);
    if facts.momentary.reach.cut_short {
        let turned = facts.momentary.buttons.controls.first();
        let at = turned.and_then(|t| facts.control(t.device, t.control)).map_or(Span::default(), |c| c.at);
        let told = tell(at, "each stored pulse is right after every way there is");
        out.push(told.help("no more ways were followed; `ways as listed`, or fewer settings that only pulses turn, leave fewer"));
    }
}

fn tell(at: Span, whether: &str) -> Diagnostic {
    Diagnostic::new(at, format!("not proved: nobody knows whether {whether}"))
}

fn rules(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    const LESS: &str = "with fewer rules over the same pedals it can be";
    let open = &facts.rules().open;
    let Some(first) = facts.book.board.rules.iter().map(|r| r.at).min().filter(|_| !open.is_empty()) else { return };
    let count = facts.book.board.rules.len();
    if open.contains(&Open::Together) {
        let told = tell(first, &format!("these {count} rules can all be kept together"));
        out.push(told.help(format!("nor was it asked what follows from them; {LESS}")));
    }
    let named = |pick: &dyn Fn(&Open) -> Option<String>| -> Vec<String> { open.iter().filter_map(pick).collect() };
    let scene = |id: SceneId| facts.scene(id).to_owned();
    let control = |d, c| Some(format!("{}.{}", facts.device(d), facts.control(d, c)?.name));
    let kinds = [
        (named(&|o| if let Open::InScene(s) = o { Some(scene(*s)) } else { None }), "can keep all rules"),
        (named(&|o| if let Open::Row(s) = o { Some(scene(*s)) } else { None }), "can keep all rules as written"),
        (
            named(&|o| if let Open::Engaged(d) = o { Some(facts.device(*d).to_owned()) } else { None }),
            "may ever be engaged",
        ),
        (named(&|o| if let Open::State(d, c) = o { control(*d, *c) } else { None }), "can reach all of its settings"),
    ];
    for (names, what) in kinds.into_iter().filter(|(names, _)| !names.is_empty()) {
        out.push(tell(first, &format!("{} {what}", say::some(&names, "and"))).help(LESS));
    }
    let implied: Vec<usize> = open.iter().filter_map(|o| if let Open::Implied(r) = o { Some(*r) } else { None }).collect();
    if let Some(rule) = implied.first() {
        let of = if implied.len() == 1 { "this rule says".to_owned() } else { format!("{} rules say", implied.len()) };
        out.push(tell(facts.rule_at(*rule), &format!("{of} what the others say already")).help(LESS));
    }
    if open.contains(&Open::Smallest) {
        out.push(tell(first, "fewer of the rules that are told to clash clash already").help(LESS));
    }
}
