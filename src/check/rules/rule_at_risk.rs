//! A scene that keeps one of the book's rules, or breaks it, depending on where a foot stands or where the player comes
//! from.
//!
//! A rule is held against the foot's whole range, and against what every way into the scene can leave in what the scene
//! leaves as it is. Where all of it breaks the rule, `rule-broken` tells.
//!
//! # On stage
//! It was right in every rehearsal, and is wrong on the night that the foot goes further, or the songs come in another
//! order.
//!
//! # Way out
//! Make the change that the message offers; ease the rule; narrow the level's range; or say why it is taken on purpose:
//! `allow rule-at-risk SCENE "I know where my foot is"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! treadle plank feeds expression 1
//! pedal lull { loop 1; level depth on expression 1 from 0 % to 60 % }
//! rule never lull.depth above 30 %
//! scene cry { engage lull; lull.depth foot }
//! song "Quay" { all: cry }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal ember { loop 1 }
//! amp larch { control channel on remote 1 tip { clean: open; lead: closed } }
//! rule never larch.channel lead beside ember
//! scene plain { larch.channel clean }
//! scene loud { larch.channel lead }
//! scene bed { engage ember; larch.channel stays }
//! song "Quay" { verse: plain; loud; end: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! treadle plank feeds expression 1
//! pedal lull { loop 1; level depth on expression 1 from 0 % to 60 % }
//! rule never lull.depth above 30 % beside bed
//! scene bed { engage lull; lull.depth 30 % }
//! scene cry { engage lull; lull.depth foot from toe }
//! song "Quay" { verse: bed }
//! song "Kiln" { all: cry }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal ember { loop 1 }
//! amp larch { control channel on remote 1 tip { clean: open; lead: closed } }
//! rule never larch.channel lead beside ember
//! scene plain { larch.channel clean }
//! scene loud { larch.channel lead }
//! scene bed { engage ember; larch.channel stays }
//! song "Quay" { loud; verse: plain; end: bed }
//! ways as listed
//! ```

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for broken in &facts.rules().broken {
        let Some(stand) = &broken.risk else { continue };
        let scene = facts.scene(broken.scene);
        let rules: Vec<String> = broken.rules.iter().map(|r| facts.rule_says(*r)).collect();
        let when = facts.stands(stand);
        let comma = if when.is_empty() { "" } else { ", " };
        let message = format!("`{scene}` may break the rule {}{comma}{when}", rules.join(", "));
        out.push(facts.against(broken, message).about(facts.scene(facts.book.show.base(broken.scene))));
    }
}
