//! A statement as people read it in passing.

/// Text on one line, comments gone.
pub fn one_line(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        let mut quoted = false;
        let end = line.char_indices().find(|(_, c)| {
            quoted ^= *c == '"';
            *c == '#' && !quoted
        });
        let line = line.get(..end.map_or(line.len(), |(at, _)| at)).unwrap_or("");
        let line = line.split_whitespace().collect::<Vec<_>>().join(" ");
        if line.is_empty() {
            continue;
        }
        if !out.is_empty() {
            let joins = out.ends_with(['{', ',', ';']) || out.ends_with("->") || line.starts_with('}');
            out.push_str(if joins { " " } else { "; " });
        }
        out.push_str(&line);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::one_line;

    #[test]
    fn statements_on_one_line() {
        let text = "control way { # two of them\n  a: 1 tip closed  # here\n  b: \"x # y\"\n}";
        assert_eq!(one_line(text), "control way { a: 1 tip closed; b: \"x # y\" }");
    }
}
