//! A kind of statement that is read and checked for its form, and whose meaning is not computed yet. Told once for
//! each kind, and no warning.
//!
//! # On stage
//! The tool says nothing about what such a line is for: check that part by hand.
//!
//! # Way out
//! Nothing is wrong with the line; keep it, since later versions compute it.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal haze { loop 1 }
//! scene bed { engage haze }
//! scene storm { mute }
//! song "Quay" { bed; storm }
//! if haze fails, bed becomes storm
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene bare { mute }
//! song "Quay" { bed }
//! if ember fails, bed becomes bare
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::registry::{self, Row};
use crate::syntax::tree::View;

pub(super) const SEVERITY: Severity = Severity::Note;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let later: Vec<&Row> = registry::rows().filter(|r| !r.missing.is_empty()).collect();
    let mut told: Vec<&str> = Vec::new();
    for (tree, (_, file)) in facts.trees.iter().zip(facts.files.iter()).filter(|(_, (_, file))| !file.shipped) {
        for statement in tree.statements(&file.text) {
            look(statement, &later, &mut told, out);
        }
    }
}

fn look(view: View<'_>, later: &[&'static Row], told: &mut Vec<&'static str>, out: &mut Vec<Diagnostic>) {
    // What a scene or a song says is computed, and books hold many of them.
    if matches!(view.kind(), Kind::Scene | Kind::Song | Kind::Layer) || told.len() == later.len() {
        return;
    }
    let name = view.kind().name();
    if let Some(row) = later.iter().find(|r| r.name == name) {
        if !told.contains(&row.name) {
            told.push(row.name);
            let word = view.text().split(|c: char| c.is_whitespace() || c == '{').next().unwrap_or(row.name);
            let at = Span { end: view.span().start + word.len() as u32, ..view.span() };
            out.push(Diagnostic::new(at, format!("not computed yet: {}", row.missing)));
        }
        return;
    }
    view.children().for_each(|inner| look(inner, later, told, out));
}
