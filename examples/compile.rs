//! Compiles a text and prints the row of one scene: `cargo run --example compile`.

#![allow(clippy::print_stdout, reason = "an example prints")]

const BOOK: &str = r#"
switcher { loops 2; remote jacks 1 }
pedal ember { loop 1 }
pedal tide  { loop 2; control voice on remote 1 tip { round: open; sharp: closed } }
default { tide.voice round }
scene bed  { engage tide }
scene lift { engage ember, tide; tide.voice sharp }
song "Quay" { bed; lift }
"#;

fn main() {
    let compiled = tipring::compile_texts(&[("quay.scene", BOOK)]);
    for diagnostic in compiled.diagnostics() {
        println!("{}: {}", diagnostic.severity.word(), diagnostic.message);
    }
    if compiled.errors() > 0 {
        std::process::exit(1);
    }
    let Some(scene) = compiled.book.show.scenes.position(|scene| scene.name == "lift") else { return };
    for (cell, value) in compiled.table.cells.list.iter().zip(compiled.table.row(scene)) {
        println!("{}: {value:?}", cell.name);
    }
}
