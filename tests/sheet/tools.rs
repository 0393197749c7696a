//! Books for the sheets, the binary, and outside programs that may be missing.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tipring::Compiled;
use tipring::driver::{Options, compile_path};

/// A book whose names try every seam: markup, long words, other scripts, a song without a tempo.
pub(crate) const NASTY: &str = r#"
board "<b>Ink & Salt</b> δοκιμή" version "v&1"
switcher {
  loops 4
  remote jacks 1
  expressions 1 of 128 steps
  outputs 1
  banks 0..7, switches A..E
  display 6
}
guitar aileron
guitar beam
pedal sift like two-voice-filter { loop 1; control voice on remote 1 }
pedal throb "a tremolo with a very long description that no column will ever hold without wrapping it a few times" {
  loop 3; place top; tap by foot
  level depth on expression 1 from 0 % to 60 %
  control speed by foot { slow; fast }
}
treadle toe-board feeds expression 1
amp combo { fed by output 1; input 1 Mohm }
chain front: guitar -> loops 1..4 -> output 1
scene bed { }
scene глубина-очень-длинное-имя-сцены-которое-нигде-не-поместится from bed { engage sift; sift.voice sharp }
scene sway from bed { engage throb; throb.depth foot from heel; throb.speed fast }
scene still from bed { mute }
song "<script>alert('&')</script>" at 92 bpm on aileron {
  tuning "drop <D> & back"
  intro: bed
  refrain: sway, tap throb dotted-eighth, note "<i>&amp; look up"
  refrain-again: sway
  "Ελληνικά": глубина-очень-длинное-имя-сцены-которое-нигде-не-поместится
}
song "Overlongandunbreakablewordthatgoesonandonandonwithoutanyblankoverlongandunbreakableword" on beam {
  verse: sway, tap throb quarter, hand "a hand that does many things at once, one after the other, and then a few more of them, until nobody can remember where it all began or why"
}
song "No parts at all" { }
set "one & only" { "<script>alert('&')</script>"; pause "<change>"; "Overlongandunbreakablewordthatgoesonandonandonwithoutanyblankoverlongandunbreakableword"; "No parts at all" }
slots { every bank switch E still; others auto }
safe 0E
"#;

/// A folder with the nasty book in it.
pub(crate) fn nasty() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("nasty.scene");
    std::fs::write(&path, NASTY).unwrap();
    (folder, path)
}

pub(crate) fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)
}

/// Compiles as the commands that print do.
pub(crate) fn compile(path: &Path) -> Compiled {
    let compiled = compile_path(path, Options::default()).unwrap();
    assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
    compiled.fill_least()
}

/// Runs the binary.
pub(crate) fn tipring(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tipring"));
    command.args(args).env_remove("SOURCE_DATE_EPOCH").output().unwrap()
}

/// Its standard output, when all went well.
pub(crate) fn printed(args: &[&str]) -> String {
    let output = tipring(args);
    assert!(output.status.success(), "{args:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// What an outside program prints; none when it is not there, which is said loudly, and fails a full run.
pub(crate) fn outside(program: &str, args: &[&str]) -> Option<String> {
    match Command::new(program).args(args).output() {
        Ok(output) => {
            let says = String::from_utf8_lossy(&output.stdout).into_owned();
            assert!(output.status.success(), "{program} {args:?}: {says}{}", String::from_utf8_lossy(&output.stderr));
            Some(says)
        }
        Err(_) => {
            skipped(program);
            None
        }
    }
}

/// Says that something was not looked at.
pub(crate) fn skipped(what: &str) {
    assert!(std::env::var_os("TIPRING_FULL").is_none(), "{what} is missing, and this is a full run");
    eprintln!("SKIPPED: {what} is missing, nothing was read back with it");
}
