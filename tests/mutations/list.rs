//! The mutations: one textual change each, at a place that is found exactly once.

pub(crate) struct Mutation {
    pub name: &'static str,
    /// From the crate's root; always under `src/settle`.
    pub file: &'static str,
    pub find: &'static str,
    pub replace: &'static str,
}

impl Mutation {
    pub(crate) fn apply(&self, text: &str) -> String {
        assert!(self.file.starts_with("src/settle"), "{}: {} is not of settle", self.name, self.file);
        assert_ne!(self.find, self.replace, "{}: changes nothing", self.name);
        let found = text.matches(self.find).count();
        assert_eq!(found, 1, "{}: its place is found {found} times in {}", self.name, self.file);
        text.replacen(self.find, self.replace, 1)
    }
}

pub(crate) const MUTATIONS: &[Mutation] = &[
    Mutation {
        name: "a dead statement no longer shadows",
        file: "src/settle/rows.rs",
        find: "layer.own.ids().for_each(|saying| self.touch(saying, &mut upper));",
        replace: "layer.own.ids().filter(|s| !self.touches(*s, &own)).for_each(|s| self.touch(s, &mut upper));",
    },
    Mutation {
        name: "layers stand beside the scene's own statements",
        file: "src/settle/rows.rs",
        find: "if self.touches(saying, &own) {",
        replace: "if self.touches(saying, &own) && saying.index() == usize::MAX {",
    },
    Mutation {
        name: "layers do not override the parent",
        file: "src/settle/rows.rs",
        find: "for cell in upper.ones() {",
        replace: "for cell in own.ones() {",
    },
    Mutation {
        name: "the default speaks beneath what layers touched",
        file: "src/settle/rows.rs",
        find: "state.touched.union_with(&upper);",
        replace: "state.touched.union_with(&own);",
    },
    Mutation {
        name: "a statement is replaced only in the cell that is touched",
        file: "src/settle/ranks.rs",
        find: "        self.drop_whole(first, cells, sayings);",
        replace: "        self.hand_over(cell, cells, sayings);",
    },
    Mutation {
        name: "the default is replaced only in the cell that is touched",
        file: "src/settle/judge.rs",
        find: "live &= !state.touched.contains(c.index());",
        replace: "live &= c != cell || !state.touched.contains(c.index());",
    },
    Mutation {
        name: "a conflict keeps the first value",
        file: "src/settle/ranks.rs",
        find: "self.set(cell, self.by(cell), Value::Unknown);",
        replace: "let _ = cell;",
    },
    Mutation {
        name: "a contact rests open even where it is normally closed",
        file: "src/settle/cells.rs",
        find: "(cell.rest, cell.closed) = (Value::On, true)",
        replace: "(cell.rest, cell.closed) = (Value::Off, true)",
    },
    Mutation {
        name: "a cell is free when any of its users is bypassed",
        file: "src/settle/judge.rs",
        find: ".map(|device| self.sounds(*device)).max()",
        replace: ".map(|device| self.sounds(*device)).min()",
    },
    Mutation {
        name: "an unknown loop counts as bypassed",
        file: "src/settle/row.rs",
        find: "Value::Off => Answer::No,\n            _ => Answer::Maybe,",
        replace: "Value::Off => Answer::No,\n            _ => Answer::No,",
    },
    Mutation {
        name: "mute turns only one output off",
        file: "src/settle/cells.rs",
        find: "What::Mute { output } => one(self.output_cell(output)",
        replace: "What::Mute { output } => one(self.output_cell(output.min(1))",
    },
    Mutation {
        name: "contacts left as they are count as a pattern",
        file: "src/settle/row.rs",
        find: "_ if now().all(|v| v == Value::Stays) => Setting::Stays,",
        replace: "_ if now().all(|v| v == Value::Stays) => Setting::Unlisted,",
    },
    Mutation {
        name: "from the heel is from the toe",
        file: "src/settle/value.rs",
        find: "LevelValue::FromToe => Value::FromToe,",
        replace: "LevelValue::FromToe => Value::FromHeel,",
    },
];
