//! What the pages for a screen share: one offline file, its look, and what leaves it. Nothing is fetched: what a page needs is
//! in it.

use maud::{Markup, PreEscaped, html as markup};
use serde::Serialize;

use super::doc::html;

const STYLE: &str = include_str!("screen.css");
const SCRIPT: &str = include_str!("screen.js");
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:";

/// A whole page: what it shows without a script, what its script knows, and the script.
pub fn page(title: &str, style: &str, body: &Markup, knows: &impl Serialize, script: &str) -> String {
    // Inside a script element only `<` could end it.
    let data = serde_json::to_string(knows).unwrap_or_default().replace('<', "\\u003c");
    let policy = markup! { meta http-equiv="Content-Security-Policy" content=(POLICY); };
    let body = markup! {
        (body)
        script id="show" type="application/json" { (PreEscaped(data)) }
        script { (PreEscaped(SCRIPT)) (PreEscaped(script)) }
    };
    html::page(title, &format!("{STYLE}{style}"), &policy, &body)
}

/// How it looks: light or dark, how dim, how large, and what else a page has to say of it.
pub fn look(switch: &Markup, more: &Markup) -> Markup {
    markup! {
        dialog #look aria-labelledby="look-head" {
            div.row { h2 #look-head { "look" } button type="button" data-shut { "done" } }
            p.wide { button #light type="button" aria-pressed="false" { "light" } (switch) }
            p.wide { button #dimmer type="button" { "dimmer" } button #brighter type="button" { "brighter" } }
            p.wide { button #smaller type="button" { "smaller" } button #larger type="button" { "larger" } }
            (more)
            p #awake role="status" {}
        }
    }
}

/// Ways in which the text of an area leaves the page.
pub fn give(of: &str) -> Markup {
    markup! {
        p.wide {
            @for way in ["copy", "share", "save"] { button type="button" data-give=(way) data-of=(of) { (way) } }
        }
    }
}
