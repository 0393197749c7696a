//! Tokens to text, with blanks, comments and line breaks wherever they may stand.

use super::generate::Random;

const COMMENTS: [&str; 4] = ["# so", "#", "# {\"; scene ,", "#\u{e9}\u{2192} }"];
const BREAKS: [&str; 3] = ["\n", "\n", "\r\n"];

fn is_end(token: &str) -> bool {
    token == "\n" || token == ";"
}

pub(crate) fn text(tokens: &[String], random: &mut Random) -> String {
    let mut out = String::new();
    let mut before: Option<&str> = None;
    for token in tokens {
        gap(before, token, &mut out, random);
        if token == "\n" {
            if random.chance(20) {
                out.push(' ');
                out.push_str(random.say(&COMMENTS));
            }
            out.push_str(random.say(&BREAKS));
        } else {
            out.push_str(token);
        }
        before = Some(token);
    }
    if random.chance(10) {
        out.push_str(" # last");
    }
    out
}

fn gap(before: Option<&str>, token: &str, out: &mut String, random: &mut Random) {
    // Here a line break is a blank.
    let idle = before.is_none_or(|b| is_end(b) || [",", "->", "{"].contains(&b));
    // Before a `{` too, where a `;` would end the statement.
    let brace = token == "{";
    while (idle || brace) && random.chance(12) {
        match random.below(3) {
            0 if !idle => {}
            0 => out.push(';'),
            1 => {
                out.push(' ');
                out.push_str(random.say(&COMMENTS));
                out.push_str(random.say(&BREAKS));
            }
            _ => out.push_str(random.say(&BREAKS)),
        }
    }
    let blanks: &[&str] = &[" ", " ", " ", "  ", "\t", "\u{a0}", " \t "];
    if random.chance(70) || before.is_some_and(|b| needs_blank(b, token, random)) {
        out.push_str(random.say(blanks));
    }
}

/// Two tokens that would be read as one.
fn needs_blank(before: &str, token: &str, random: &mut Random) -> bool {
    let wordy = |c: char| c.is_alphanumeric() || ('\u{300}'..='\u{36f}').contains(&c);
    let ends = before.ends_with(wordy);
    let numeric = before.chars().all(|c| c.is_ascii_digit() || c == '.');
    if numeric && token.chars().count() > 2 && token.starts_with(char::is_alphabetic) {
        // `92bpm`, `1tip`: nothing else can be meant.
        return random.chance(80);
    }
    ends && (token.starts_with(wordy) || (token.starts_with('-') && token != "->"))
        || before == "," && token.starts_with(|c: char| c.is_ascii_digit())
}
