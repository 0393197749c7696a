//! Writing a merged list: pieces of both sides one behind the other, so that no comment swallows a statement and no
//! statement runs into the next.

use super::outline::{List, Piece};

/// A piece as it will stand.
pub(super) struct Put {
    pub before: String,
    pub body: String,
    pub after: String,
}

/// How a list is laid out.
#[derive(Clone, Copy)]
pub(super) struct Layout<'l> {
    /// All on one line.
    pub inline: bool,
    /// What its statements are indented by.
    pub indent: &'l str,
}

impl<'l> Layout<'l> {
    pub(super) fn of(list: &'l List<'_>) -> Layout<'l> {
        let indent = if list.top { "" } else { "  " };
        let lines = list.pieces.iter().filter(|p| !p.is_note() && p.line);
        let own = lines.map(|p| p.before.rsplit('\n').next().unwrap_or("")).find(|i| i.trim().is_empty());
        Layout { inline: list.inline(), indent: own.unwrap_or(indent) }
    }
}

impl Put {
    /// A piece as one side writes it.
    pub(super) fn as_written(piece: &Piece<'_>) -> Put {
        Put { before: piece.before.to_owned(), body: piece.body.to_owned(), after: piece.after.to_owned() }
    }

    /// A comment on a line of its own.
    pub(super) fn note(text: &str, layout: Layout<'_>) -> Put {
        Put { before: format!("{}{text}\n", layout.indent), body: String::new(), after: String::new() }
    }

    /// Other comments above a statement, and behind it; the blank lines above and the indent stay.
    pub(super) fn comment(&mut self, lead: &[String], trail: &str, layout: Layout<'_>) {
        let blank: String =
            self.before.split_inclusive('\n').take_while(|l| l.trim().is_empty() && l.ends_with('\n')).collect();
        let last = self.before.rsplit('\n').next().unwrap_or("");
        let own_line = self.before.contains('\n') || !layout.inline;
        let indent = if own_line && last.trim().is_empty() { last.to_owned() } else { layout.indent.to_owned() };
        self.before = blank;
        for line in lead {
            self.before += &format!("{indent}{line}\n");
        }
        self.before += if own_line || !lead.is_empty() { &indent } else { " " };
        let signs: String = self.after.chars().take_while(|c| *c == ';').collect();
        // As far from the statement as it stood.
        let far = self.after.split('#').next().filter(|_| self.after.contains('#')).map(|b| b.trim_start_matches(';'));
        let far = far.unwrap_or("  ").to_owned();
        let end = if !trail.is_empty() || self.after.ends_with('\n') { "\n" } else { "" };
        let gap = if trail.is_empty() { String::new() } else { format!("{far}{trail}") };
        self.after = format!("{signs}{gap}{end}");
    }

    /// A piece of a list that is laid out otherwise: on a line of its own, or on the line of the others.
    pub(super) fn fit(&mut self, lead: &[String], trail: &str, layout: Layout<'_>) {
        if self.body.is_empty() {
            return;
        }
        if layout.inline && lead.is_empty() && trail.is_empty() && !self.body.contains('\n') {
            (self.before, self.after) = (" ".to_owned(), String::new());
            return;
        }
        self.before = layout.indent.to_owned();
        if !self.after.ends_with('\n') && !self.after.contains('#') {
            self.after = "\n".to_owned();
        }
        let lines = Layout { inline: false, ..layout };
        self.comment(lead, trail, lines);
    }
}

/// What was written of a list so far.
pub(super) struct Writer {
    pub text: String,
    inline: bool,
    /// A statement has no end yet.
    open: bool,
    /// The line ends with a comment.
    comment: bool,
}

impl Writer {
    /// Begins a list behind what stands on its brace's line.
    pub(super) fn new(open: &str, layout: Layout<'_>) -> Writer {
        let comment = open.contains('#') && !open.ends_with('\n');
        Writer { text: open.to_owned(), inline: layout.inline, open: false, comment }
    }

    pub(super) fn put(&mut self, put: &Put) {
        let first_line = put.before.split('\n').next().unwrap_or("");
        let breaks = put.before.contains('\n') && first_line.trim().is_empty();
        let fresh = self.text.is_empty() || self.text.ends_with('\n');
        let says = put.before.trim_start().starts_with('#');
        if !fresh && !breaks && (self.comment || says || (self.open && !self.inline)) {
            self.text.push('\n');
        } else if self.open && !fresh && !breaks {
            self.text.push(';');
            if !put.before.starts_with([' ', '\t']) {
                self.text.push(' ');
            }
        }
        self.text += &put.before;
        self.text += &put.body;
        self.text += &put.after;
        let after = if put.body.is_empty() { put.before.as_str() } else { put.after.as_str() };
        self.comment = after.contains('#') && !after.ends_with('\n');
        self.open = !put.body.is_empty() && !after.contains(['\n', ';']) && !self.comment;
    }

    /// Ends the list.
    pub(super) fn close(mut self, close: &str, block: bool) -> String {
        if self.comment && block && !close.starts_with('\n') {
            self.text.push('\n');
        }
        self.text + close
    }
}
