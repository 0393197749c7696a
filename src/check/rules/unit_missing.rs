//! A number without its unit, or with a short form that is no unit, as `500k`.
//!
//! # On stage
//! Is it 20 % or 20 ms? The tool does not guess what a pedal hears.
//!
//! # Way out
//! Say the unit: `throb.depth 20 %`, `500 kohm`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; throb.depth 20 }
//! song "Quay" { bed }
//! ```
//! ```scene
//! guitar plank { volume 500k at 100 % }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1; gain 6 stated }
//! ```
//!
//! # Silent
//! ```scene
//! guitar plank { volume 500 kohm at 100% }
//! ```

use crate::check::{Diagnostic, Facts, How, Severity};
use crate::book::{Amount, nfc};
use crate::source::Span;
use crate::syntax::fault::Fault;
use crate::syntax::kind::Kind;
use crate::syntax::units::{self, Dimension};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.reading {
        let Fault::UnitMissing { at } = fault else { continue };
        let text = facts.text(*at);
        let split = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-'))).unwrap_or(text.len());
        let (number, letters) = text.split_at(split);
        let told = if letters.is_empty() {
            Diagnostic::new(*at, format!("`{text}` has no unit"))
        } else {
            Diagnostic::new(*at, format!("`{}` is no unit", letters.trim()))
        };
        let wanted = wanted(facts, *at);
        let unit = match (short(letters.trim(), wanted), wanted) {
            (Some(unit), _) => Some(unit),
            // A share and a level have one unit only: nothing to guess.
            (None, Some(Dimension::Percent)) if letters.is_empty() => Some("%"),
            (None, Some(Dimension::Decibel)) if letters.is_empty() => Some("dB"),
            _ => None,
        };
        // `0.5` may be half of it: two readings, so the writer decides.
        let share = if letters.is_empty() && unit == Some("%") { number.replace(',', ".").parse::<f64>().ok() } else { None };
        out.push(match (unit, wanted) {
            (Some(_), _) if share.is_some_and(|s| s > 0.0 && s < 1.0) => {
                let whole = share.unwrap_or(0.0) * 100.0;
                told.help(format!("say `{number} %` or `{} %`, whichever is meant", (whole * 10.0).round() / 10.0))
            }
            (Some(unit), _) => {
                let says = format!("say `{number} {unit}`");
                told.help(&says).fix(How::Figure, &says, *at, format!("{number} {unit}"))
            }
            (None, Some(wanted)) => told.help(format!("wanted is {}", wanted.says())),
            (None, None) => told.help("say the number with its unit, as `20 %` or `500 kohm`"),
        });
    }
}

/// What is measured there: the statement decides, or the level that is set.
fn wanted(facts: &Facts<'_>, at: Span) -> Option<Dimension> {
    let (statement, nth) = facts.around(at)?;
    let name = |n: usize| statement.nth(Kind::Name, n).map(|v| nfc(v.text()));
    match statement.kind() {
        Kind::Setting | Kind::Moved => {
            let device = facts.book.board.devices.iter().find(|d| Some(d.name.as_str()) == name(0).as_deref())?;
            let control = device.controls.iter().find(|c| Some(c.name.as_str()) == name(1).as_deref())?;
            Some(control.how.level()?.0.dimension)
        }
        // The other end of the range tells.
        Kind::Level => {
            let other = statement.nth(Kind::Quantity, 1 - nth.min(1))?;
            Some(Amount::read(other.text())?.dimension)
        }
        kind => units::wanted(kind, nth),
    }
}

/// Short forms that technicians write: `500k`, `1M`, `470p`.
fn short(letters: &str, wanted: Option<Dimension>) -> Option<&'static str> {
    let resistance = matches!(wanted, Some(Dimension::Resistance) | None);
    let capacitance = matches!(wanted, Some(Dimension::Capacitance) | None);
    Some(match letters {
        "k" | "K" if resistance => "kohm",
        "M" | "Meg" | "meg" if resistance => "Mohm",
        "R" | "r" if resistance => "ohm",
        "p" if capacitance => "pF",
        "n" if capacitance => "nF",
        "u" | "µ" | "μ" if capacitance => "uF",
        word => return units::written_out(word),
    })
}
