//! A book as data, and the text of it: what the random merges are made of. Shares nothing with the merge.

/// A line in a block.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Says {
    /// `engage a, b` and its like.
    List(&'static str, Vec<&'static str>),
    /// A cell or a fact, and what is said of it.
    Cell(&'static str, String),
    /// A part: its label, the number of its scene, what else is said.
    Part(String, usize, String),
    /// A line of a set.
    Play(String),
    /// A slot and the number of its scene.
    Pin(String, usize),
}

#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Line {
    pub id: usize,
    pub says: Says,
    pub above: Vec<String>,
    pub behind: String,
}

#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Head {
    /// Name, title, the number of its parent, its name before.
    Scene(String, String, Option<usize>, Option<String>),
    /// Title, tempo.
    Song(String, u32),
    Set(String),
    /// Words before a block.
    Block(&'static str),
    /// A statement that speaks of scenes: each `@` is the next of them.
    Speaks(String, Vec<usize>),
}

#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Item {
    pub id: usize,
    pub head: Head,
    pub lines: Vec<Line>,
    /// All on one line, where no comment forbids it.
    pub flat: bool,
    pub above: Vec<String>,
    pub behind: String,
    /// A blank line and a comment that stands for itself.
    pub section: Option<String>,
}

#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Abstract {
    pub items: Vec<Item>,
}

impl Abstract {
    pub(crate) fn item(&mut self, id: usize) -> &mut Item {
        self.items.iter_mut().find(|i| i.id == id).unwrap()
    }

    pub(crate) fn name(&self, scene: usize) -> &str {
        let item = self.items.iter().find(|i| i.id == scene).unwrap();
        let Head::Scene(name, ..) = &item.head else { panic!("{scene} is no scene") };
        name
    }

    fn says(&self, line: &Line) -> String {
        match &line.says {
            Says::List(verb, of) => format!("{verb} {}", of.join(", ")),
            Says::Cell(cell, value) => format!("{cell} {value}"),
            Says::Part(label, scene, more) => format!("{label}: {}{more}", self.name(*scene)),
            Says::Play(title) => title.clone(),
            Says::Pin(slot, scene) => format!("{slot} {}", self.name(*scene)),
        }
    }

    fn head(&self, item: &Item) -> String {
        match &item.head {
            Head::Scene(name, title, parent, was) => {
                let title = if title.is_empty() { String::new() } else { format!(" \"{title}\"") };
                let from = parent.map_or(String::new(), |p| format!(" from {}", self.name(p)));
                let was = was.as_ref().map_or(String::new(), |w| format!(" was {w}"));
                format!("scene {name}{title}{from}{was}")
            }
            Head::Song(title, tempo) => format!("song \"{title}\" at {tempo} bpm"),
            Head::Set(title) => format!("set \"{title}\""),
            Head::Block(words) => (*words).to_owned(),
            Head::Speaks(words, scenes) => {
                let mut out = words.clone();
                for scene in scenes {
                    out = out.replacen('@', self.name(*scene), 1);
                }
                out
            }
        }
    }

    /// The lines of a statement.
    pub(crate) fn lines(&self, item: &Item) -> Vec<String> {
        let mut out = item.above.clone();
        let behind = |text: &str| if text.is_empty() { String::new() } else { format!("  {text}") };
        let head = self.head(item);
        let bare = item.lines.is_empty() && matches!(item.head, Head::Speaks(..));
        let free = item.lines.iter().all(|l| l.above.is_empty() && l.behind.is_empty());
        if bare {
            out.push(format!("{head}{}", behind(&item.behind)));
        } else if item.flat && free {
            let inner: Vec<String> = item.lines.iter().map(|l| self.says(l)).collect();
            out.push(format!("{head} {{ {} }}{}", inner.join("; "), behind(&item.behind)));
        } else {
            out.push(format!("{head} {{"));
            for line in &item.lines {
                out.extend(line.above.iter().map(|c| format!("  {c}")));
                out.push(format!("  {}{}", self.says(line), behind(&line.behind)));
            }
            out.push(format!("}}{}", behind(&item.behind)));
        }
        out
    }

    pub(crate) fn text(&self) -> String {
        let mut out = String::new();
        for item in &self.items {
            if let Some(section) = &item.section {
                out += &format!("\n{section}\n\n");
            }
            for line in self.lines(item) {
                out += &line;
                out.push('\n');
            }
        }
        out
    }

    /// The comments of the book, sorted.
    pub(crate) fn comments(&self) -> Vec<String> {
        let mut out = Vec::new();
        for item in &self.items {
            out.extend(item.section.clone());
            out.extend(item.above.clone());
            out.push(item.behind.clone());
            for line in &item.lines {
                out.extend(line.above.clone());
                out.push(line.behind.clone());
            }
        }
        out.retain(|c| !c.is_empty());
        out.sort();
        out
    }

    /// Each song's parts in order: label, scene, what else.
    pub(crate) fn songs(&self) -> Vec<(String, Vec<String>)> {
        let songs = self.items.iter().filter(|i| matches!(i.head, Head::Song(..)));
        let mut out: Vec<_> =
            songs.map(|i| (self.head(i), i.lines.iter().map(|l| self.says(l)).collect::<Vec<_>>())).collect();
        out.sort();
        out
    }
}
