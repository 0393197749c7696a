//! A rule's page: the head of its source file.
//!
//! Headings are fixed: what it catches (the text before the first heading), `# On stage`, `# Way out`, `# Fires`
//! and `# Silent`; the last two hold example books in fences, which a test compiles.

use super::Rule;

/// The page of a rule, as Markdown.
pub fn page(rule: &Rule) -> String {
    let head = rule.source.lines().map_while(|line| line.strip_prefix("//!"));
    head.map(|line| line.strip_prefix(' ').unwrap_or(line)).fold(String::new(), |page, line| page + line + "\n")
}

/// The example books under a heading.
pub fn books(page: &str, heading: &str) -> Vec<String> {
    let mut out = Vec::new();
    let mut book: Option<String> = None;
    let mut here = false;
    for line in page.lines() {
        if line.starts_with("```") {
            match book.take() {
                Some(text) => out.extend(Some(text).filter(|_| here)),
                None => book = Some(String::new()),
            }
        } else if let Some(text) = &mut book {
            text.push_str(line);
            text.push('\n');
        } else if let Some(title) = line.strip_prefix("# ") {
            here = title == heading;
        }
    }
    out
}
