//! The page for a terminal or a mail.

use super::page::{Line, Page, Tone};

/// The whole page. With `colour`, marks are coloured by ANSI codes.
pub fn all(page: &Page, colour: bool) -> String {
    let mut out = String::new();
    paint(&mut out, colour, "1", &page.title);
    out.push('\n');
    for line in &page.lead {
        out += line;
        out.push('\n');
    }
    for section in &page.sections {
        out.push('\n');
        paint(&mut out, colour, "1", &section.title);
        out.push('\n');
        if !section.lead.is_empty() {
            out += &section.lead;
            out.push('\n');
        }
        for line in &section.lines {
            self::line(&mut out, line, colour);
        }
    }
    out
}

fn line(out: &mut String, line: &Line, colour: bool) {
    let (mark, code) = match line.tone {
        Tone::Came => ("+", "32"),
        Tone::Went => ("-", "31"),
        Tone::Turned => ("~", "33"),
        Tone::Plain => (" ", ""),
    };
    *out += &"  ".repeat(line.depth + 1);
    if line.ticked {
        *out += "[ ] ";
    } else if line.tone != Tone::Plain {
        paint(out, colour, code, mark);
        out.push(' ');
    }
    *out += &line.text;
    out.push('\n');
}

fn paint(out: &mut String, colour: bool, code: &str, text: &str) {
    if colour && !code.is_empty() {
        *out += &format!("\u{1b}[{code}m{text}\u{1b}[0m");
    } else {
        *out += text;
    }
}
