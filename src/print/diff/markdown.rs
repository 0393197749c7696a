//! The page as Markdown (CommonMark, with the usual task boxes).

use super::page::{Page, Tone};

/// The whole page; `source` is the text diff of the files, where wanted.
pub fn all(page: &Page, source: Option<&str>) -> String {
    let mut out = format!("# {}\n", escape(&page.title));
    if !page.lead.is_empty() {
        out.push('\n');
        page.lead.iter().for_each(|line| out += &format!("- {}\n", escape(line)));
    }
    for section in &page.sections {
        out += &format!("\n## {}\n\n", escape(&section.title));
        if !section.lead.is_empty() {
            out += &format!("{}\n\n", escape(&section.lead));
        }
        for line in &section.lines {
            let mark = match (line.ticked, line.tone) {
                (true, _) => "[ ] ",
                (_, Tone::Came) => "**+** ",
                (_, Tone::Went) => "**−** ",
                (_, Tone::Turned | Tone::Plain) => "",
            };
            out += &format!("{}- {mark}{}\n", "  ".repeat(line.depth), escape(&line.text));
        }
    }
    if let Some(source) = source.filter(|s| !s.is_empty()) {
        out += &format!("\n## Source\n\n~~~~~diff\n{source}~~~~~\n");
    }
    out
}

/// Signs that Markdown would read, made plain; names stay in their backticks.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut code = false;
    for c in text.chars() {
        code ^= c == '`';
        if !code && matches!(c, '*' | '_' | '[' | ']' | '<' | '>' | '#' | '\\' | '|') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::escape;

    #[test]
    fn signs_are_plain_outside_names() {
        assert_eq!(escape("`a_b` is *new* <b>"), "`a_b` is \\*new\\* \\<b\\>");
    }
}
