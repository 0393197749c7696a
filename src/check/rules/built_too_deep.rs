//! A device that is like another, that is like another, and so on; or sets that derive so from each other: a line
//! longer than 50.
//!
//! # On stage
//! Nothing is known of the device or the set: each would hold all that stands above it, and nobody could follow that.
//!
//! # Way out
//! Describe it by itself, or let it build on something nearer to the top of the line.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal moss-a { loop 1 }
//! pedal moss-b like moss-a
//! pedal moss-c like moss-b
//! pedal moss-d like moss-c
//! pedal moss-e like moss-d
//! pedal moss-f like moss-e
//! pedal moss-g like moss-f
//! pedal moss-h like moss-g
//! pedal moss-i like moss-h
//! pedal moss-j like moss-i
//! pedal moss-k like moss-j
//! pedal moss-l like moss-k
//! pedal moss-m like moss-l
//! pedal moss-n like moss-m
//! pedal moss-o like moss-n
//! pedal moss-p like moss-o
//! pedal moss-q like moss-p
//! pedal moss-r like moss-q
//! pedal moss-s like moss-r
//! pedal moss-t like moss-s
//! pedal moss-u like moss-t
//! pedal moss-v like moss-u
//! pedal moss-w like moss-v
//! pedal moss-x like moss-w
//! pedal moss-y like moss-x
//! pedal moss-z like moss-y
//! pedal moss-aa like moss-z
//! pedal moss-ab like moss-aa
//! pedal moss-ac like moss-ab
//! pedal moss-ad like moss-ac
//! pedal moss-ae like moss-ad
//! pedal moss-af like moss-ae
//! pedal moss-ag like moss-af
//! pedal moss-ah like moss-ag
//! pedal moss-ai like moss-ah
//! pedal moss-aj like moss-ai
//! pedal moss-ak like moss-aj
//! pedal moss-al like moss-ak
//! pedal moss-am like moss-al
//! pedal moss-an like moss-am
//! pedal moss-ao like moss-an
//! pedal moss-ap like moss-ao
//! pedal moss-aq like moss-ap
//! pedal moss-ar like moss-aq
//! pedal moss-as like moss-ar
//! pedal moss-at like moss-as
//! pedal moss-au like moss-at
//! pedal moss-av like moss-au
//! pedal moss-aw like moss-av
//! pedal moss-ax like moss-aw
//! pedal moss-ay like moss-ax
//! pedal moss-az like moss-ay
//! ```
//! ```scene
//! set "moss a" { }
//! set "moss b" from "moss a" { }
//! set "moss c" from "moss b" { }
//! set "moss d" from "moss c" { }
//! set "moss e" from "moss d" { }
//! set "moss f" from "moss e" { }
//! set "moss g" from "moss f" { }
//! set "moss h" from "moss g" { }
//! set "moss i" from "moss h" { }
//! set "moss j" from "moss i" { }
//! set "moss k" from "moss j" { }
//! set "moss l" from "moss k" { }
//! set "moss m" from "moss l" { }
//! set "moss n" from "moss m" { }
//! set "moss o" from "moss n" { }
//! set "moss p" from "moss o" { }
//! set "moss q" from "moss p" { }
//! set "moss r" from "moss q" { }
//! set "moss s" from "moss r" { }
//! set "moss t" from "moss s" { }
//! set "moss u" from "moss t" { }
//! set "moss v" from "moss u" { }
//! set "moss w" from "moss v" { }
//! set "moss x" from "moss w" { }
//! set "moss y" from "moss x" { }
//! set "moss z" from "moss y" { }
//! set "moss aa" from "moss z" { }
//! set "moss ab" from "moss aa" { }
//! set "moss ac" from "moss ab" { }
//! set "moss ad" from "moss ac" { }
//! set "moss ae" from "moss ad" { }
//! set "moss af" from "moss ae" { }
//! set "moss ag" from "moss af" { }
//! set "moss ah" from "moss ag" { }
//! set "moss ai" from "moss ah" { }
//! set "moss aj" from "moss ai" { }
//! set "moss ak" from "moss aj" { }
//! set "moss al" from "moss ak" { }
//! set "moss am" from "moss al" { }
//! set "moss an" from "moss am" { }
//! set "moss ao" from "moss an" { }
//! set "moss ap" from "moss ao" { }
//! set "moss aq" from "moss ap" { }
//! set "moss ar" from "moss aq" { }
//! set "moss as" from "moss ar" { }
//! set "moss at" from "moss as" { }
//! set "moss au" from "moss at" { }
//! set "moss av" from "moss au" { }
//! set "moss aw" from "moss av" { }
//! set "moss ax" from "moss aw" { }
//! set "moss ay" from "moss ax" { }
//! set "moss az" from "moss ay" { }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal moss { loop 1; gain 3 dB }
//! pedal reed like moss { loop 2 }
//! scene bed { engage moss, reed }
//! song "Quay" { all: bed }
//! set "hall" { "Quay" }
//! set "yard" from "hall" { pause "water" }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::{Fault, LONGEST_LINE};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::LineTooLong { at, word } = fault else { continue };
        let name = facts.text(*at).trim_matches('"');
        out.push(
            Diagnostic::new(*at, format!("`{name}` stands at the end of a line of more than {LONGEST_LINE} `{word}`"))
                .help(format!("describe it by itself, or say `{word}` and a name nearer to the top of the line")),
        );
    }
}
