//! The page for the phone at the unit's side: preset by preset, what must be seen there; yes, or what is seen instead.

use maud::{Markup, html as markup};
use serde::Serialize;

use super::doc;
use super::looks::{Look, looks};
use super::readings;
use super::screen;
use crate::Compiled;
use crate::syntax::fingerprint::fingerprint;

const STYLE: &str = include_str!("lookpage.css");
const SCRIPT: &str = include_str!("lookpage.js");

/// All that the page knows.
#[derive(Serialize)]
pub struct Show {
    /// The board's title: what is kept on the device is kept under it.
    pub book: String,
    /// Version and fingerprint, as the table names them.
    pub version: String,
    draft: bool,
    /// The columns of the table that the page gives.
    heads: Vec<String>,
    pub looks: Vec<Look>,
}

/// What the page of a book knows.
pub fn show(compiled: &Compiled) -> Show {
    let version = compiled.book.board.version.as_ref().map_or("", |v| v.value.as_str());
    let version = format!("{version} {}", fingerprint(&compiled.files, &compiled.trees)).trim().to_owned();
    Show {
        book: doc::board(compiled).unwrap_or("a board without a name").to_owned(),
        version,
        draft: compiled.errors() > 0,
        heads: readings::head(compiled),
        looks: looks(compiled),
    }
}

/// The whole page.
pub fn write(show: &Show) -> String {
    let body = markup! {
        header {
            @if show.draft { p.draft role="alert" { "DRAFT: the book has errors" } }
            div.line { p #count {} p #found {} button type="button" data-open="list" { "presets" } button type="button" data-open="look" { "look" } button type="button" data-open="record" { "record" } }
        }
        main #now tabindex="-1" {
            noscript { p { "This page asks with a script; the list below needs none." } }
            div.head { h1 #slot {} div { p #scene {} p #songs {} } }
            ul #cells aria-label="what must be seen; touch what is otherwise" {}
        }
        footer {
            p #said role="status" {}
            nav aria-label="steps" {
                button #back type="button" { "back" }
                button #yes type="button" { "yes" }
                button #on type="button" { "skip" }
            }
        }
        dialog #list aria-labelledby="list-head" {
            div.row { h2 #list-head { "presets" } button type="button" data-shut { "done" } }
            p { "What most songs play comes first. One look a preset: fewer leave one unseen." }
            ul #all {}
        }
        dialog #record aria-labelledby="record-head" {
            div.row { h2 #record-head { "record" } button type="button" data-shut { "done" } }
            p.wide { label { "who " input #by autocomplete="off" maxlength="60"; } label { "when " input #date autocomplete="off" maxlength="30" placeholder="2026-11-27"; } }
            p { "version " span #version {} }
            p #sum {}
            h3 { "what was read, as text" }
            p { label for="text" { "for " code { "readback BOOK TABLE --keep" } } }
            textarea #text readonly rows="8" {}
            (screen::give("text"))
            p { button #forget type="button" { "forget all" } }
        }
        (screen::look(&markup! {}, &markup! {}))
        (paper(show))
    };
    screen::page(&format!("{}, read back", show.book), STYLE, &body, show, SCRIPT)
}

/// Without a script, and on paper: every preset with a box.
fn paper(show: &Show) -> Markup {
    markup! {
        section.paper aria-label="the presets as a list" {
            h2 { (show.book) ", read back" }
            ul {
                @for look in &show.looks {
                    li {
                        b { "☐ " (look.slot) " " (look.scene) }
                        @for cell in &look.cells { " · " (cell.says) " " (cell.shows) }
                    }
                }
            }
        }
        noscript { style { ".paper { display: block }" } }
    }
}
