//! The mutations: one textual change each, at a place that is found exactly once.

pub struct Mutation {
    pub name: &'static str,
    /// From the crate's root; always under `src/settle`.
    pub file: &'static str,
    pub find: &'static str,
    pub replace: &'static str,
}

impl Mutation {
    pub fn apply(&self, text: &str) -> String {
        assert!(self.file.starts_with("src/settle"), "{}: {} is not of settle", self.name, self.file);
        assert_ne!(self.find, self.replace, "{}: changes nothing", self.name);
        let found = text.matches(self.find).count();
        assert_eq!(found, 1, "{}: its place is found {found} times in {}", self.name, self.file);
        text.replacen(self.find, self.replace, 1)
    }
}

pub const MUTATIONS: &[Mutation] = &[];
