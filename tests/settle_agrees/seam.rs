//! The only place that speaks to the crate.

use tipring::Compiled;
use tipring::check::{Diagnostic, Facts, RULES, Severity};
use tipring::ids::{ColumnId, SceneId};
use tipring::settle::Fault;

use super::abstract_book::{Answer, CODES, Row};

/// Complaints that a random book may draw and that say nothing about settling.
const ASIDE: [&str; 8] = [
    "no-effect",
    "loop-empty",
    "scene-unused",
    "layer-returns",
    "label-too-long",
    "foot-cannot-reach",
    "never-engaged",
    "state-unreached",
];

/// What the warnings and hints would say, also where they wait for an error.
fn warnings(compiled: &Compiled) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for rule in
        RULES.iter().filter(|r| r.severity != Severity::Error && (CODES.contains(&r.code) || r.needs.is_empty()))
    {
        let from = found.len();
        (rule.find)(&Facts::of(compiled), &mut found);
        found[from..].iter_mut().for_each(|d: &mut Diagnostic| d.code = rule.code);
    }
    found
}

pub(crate) fn settle(text: &str) -> Answer {
    let compiled = tipring::compile_texts(&[("book.scene", text)]);
    let mut answer = Answer::default();
    // A control that nobody settled is told once for all scenes, and counted here for each.
    for fault in &compiled.settling {
        if let Fault::Unsettled { device, control, .. } = fault {
            let level =
                compiled.book.board.devices.get(*device).unwrap().controls.get(*control).unwrap().how.level().is_some();
            let code = if level { "level-unsettled" } else { "control-unsettled" };
            *answer.counts.entry(code.to_owned()).or_default() += 1;
        }
    }
    let errors =
        compiled.diagnostics().iter().filter(|d| d.severity == Severity::Error && !d.code.ends_with("unsettled"));
    for diagnostic in errors.cloned().chain(warnings(&compiled)) {
        let code = diagnostic.code.to_string();
        if CODES.contains(&code.as_str()) {
            *answer.counts.entry(code).or_default() += 1;
        } else if !ASIDE.contains(&code.as_str()) {
            *answer.counts.entry(format!("{code}: {}", diagnostic.message)).or_default() += 1;
        }
    }
    let (columns, stored) = read(&tipring::print::csv::table(&compiled, false));
    let (same, dashed) = read(&tipring::print::csv::table(&compiled, true));
    assert_eq!(columns, same, "free cells change no column");
    assert_eq!(stored.len(), dashed.len(), "free cells change no row");
    answer.columns = columns.into_iter().skip(2).collect();
    for ((stored, dashed), preset) in stored.into_iter().zip(dashed).zip(&compiled.presets) {
        let (slot, scene) = (stored[0].clone(), stored[1].clone());
        let settled = preferred(&compiled, preset.scene);
        for ((stored, settled), dashed) in stored[2..].iter().zip(&settled).zip(&dashed[2..]) {
            assert!(dashed == "-" || stored == settled, "what is heard is stored: {stored}, {settled}");
        }
        answer.rows.push(Row { slot, scene, stored: settled, dashed: free(&compiled, preset.scene, &dashed[2..]) });
    }
    answer
}

/// What settling puts in each cell, as tables print it: also where nobody hears it, and an empty preset does.
fn preferred(compiled: &Compiled, scene: SceneId) -> Vec<String> {
    let cells = compiled.table.cells.list.numbered();
    let show = |(cell, c): (&tipring::settle::Cell, ColumnId)| {
        let mut out = String::new();
        let free = compiled.table.is_free(scene, c) && !cell.pulses();
        let value = if free { compiled.table.value(scene, c) } else { compiled.table.stored(scene, c) };
        tipring::written::cell::write(&mut out, &compiled.book.board, cell, value);
        out
    };
    cells.map(show).collect()
}

/// The row with a dash in every free cell: where another scene leaves it as it finds it, it is stored, and free still.
fn free(compiled: &Compiled, scene: SceneId, dashed: &[String]) -> Vec<String> {
    let pulses = |c: ColumnId| compiled.table.cells.list.get(c).unwrap().pulses();
    let cell = |(text, c): (&String, ColumnId)| match compiled.table.is_free(scene, c) && !pulses(c) {
        true => "-".to_owned(),
        false => text.clone(),
    };
    dashed.iter().zip(compiled.table.cells.list.ids()).map(cell).collect()
}

fn read(table: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let strings = |record: &csv::StringRecord| record.iter().map(str::to_string).collect();
    let columns = strings(reader.headers().expect("a table has a head"));
    let rows = reader.records().map(|r| strings(&r.expect("a row as wide as the head"))).collect();
    (columns, rows)
}
