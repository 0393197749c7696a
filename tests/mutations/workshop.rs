//! A copy of the crate in which one file at a time is changed, built and tested.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use super::list::Mutation;

/// What a build of the copy takes from the crate.
const COPIED: [&str; 8] = ["Cargo.toml", "Cargo.lock", "README.md", "src", "tests", "presets", "grammar", "examples"];
/// Enough to build everything from nothing on a busy machine.
const PATIENCE: Duration = Duration::from_secs(1800);

pub(crate) struct Workshop {
    /// Always the same folder: builds that remember their path would otherwise pile up.
    copy: PathBuf,
    /// Shared by all mutations and kept between runs: only the crate itself is built again.
    target: PathBuf,
}

#[derive(Debug)]
pub(crate) enum Outcome {
    Passed,
    Caught(String),
    /// Did not build, or ended without an assertion.
    Broken(String),
}

impl Outcome {
    pub(crate) fn summary(&self) -> String {
        match self {
            Outcome::Passed => "NOT caught".to_string(),
            Outcome::Caught(assertion) => format!("caught: {assertion}"),
            Outcome::Broken(why) => format!("BROKEN: {why}"),
        }
    }
}

impl Workshop {
    pub(crate) fn open() -> Self {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let target = root.join("target").join("mutations");
        let copy = target.join("copy");
        if copy.exists() {
            fs::remove_dir_all(&copy).expect("last time's copy goes");
        }
        fs::create_dir_all(&copy).expect("a folder for the copy");
        for name in COPIED {
            let from = root.join(name);
            if from.exists() {
                copy_all(&from, &copy.join(name));
            }
        }
        // The copy lies inside the crate's folder and belongs to no workspace around it.
        let manifest = copy.join("Cargo.toml");
        let mut text = fs::read_to_string(&manifest).expect("a manifest");
        if !text.contains("[workspace]") {
            text.push_str("\n[workspace]\n");
            fs::write(&manifest, text).expect("the copy can be written");
        }
        Workshop { copy, target }
    }

    pub(crate) fn mutated(&self, mutation: &Mutation) -> (PathBuf, String, String) {
        let path = self.copy.join(mutation.file);
        let sound = fs::read_to_string(&path).expect("the mutated file is there");
        let mutated = mutation.apply(&sound);
        (path, sound, mutated)
    }

    pub(crate) fn run_mutated(&self, mutation: &Mutation) -> Outcome {
        let (path, sound, mutated) = self.mutated(mutation);
        fs::write(&path, mutated).expect("the copy can be written");
        let outcome = self.run();
        fs::write(&path, sound).expect("the copy can be written");
        outcome
    }

    pub(crate) fn run(&self) -> Outcome {
        match self.cargo(&["--no-run"]) {
            Some(built) if built.status.success() => {}
            Some(built) => {
                return Outcome::Broken(format!("does not build:\n{}", text(&built.stderr)));
            }
            None => return Outcome::Broken("is not built in time".to_string()),
        }
        let Some(tested) = self.cargo(&["naive"]) else {
            return Outcome::Broken("does not end in time".to_string());
        };
        if tested.status.success() {
            return Outcome::Passed;
        }
        let said = text(&tested.stdout) + &text(&tested.stderr);
        // The comparison's own words: a crash elsewhere is no proof that the comparison works.
        match said.lines().find(|line| line.contains("settle disagrees with the naive settler")) {
            Some(line) => Outcome::Caught(line.to_string()),
            None => Outcome::Broken(said),
        }
    }

    fn cargo(&self, more: &[&str]) -> Option<Output> {
        let log = self.copy.join("log");
        let open = |name: &str| fs::File::create(log.with_extension(name)).expect("a log");
        let mut child = Command::new(env!("CARGO"))
            .current_dir(&self.copy)
            .args(["test", "--offline", "--quiet", "--no-default-features", "--test", "settle_agrees"])
            .args(more)
            .env("CARGO_TARGET_DIR", &self.target)
            .env_remove("TIPRING_FULL")
            .stdin(Stdio::null())
            .stdout(open("out"))
            .stderr(open("err"))
            .spawn()
            .expect("cargo starts");
        let begun = Instant::now();
        let status = loop {
            if let Some(status) = child.try_wait().expect("cargo can be waited for") {
                break status;
            }
            if begun.elapsed() > PATIENCE {
                child.kill().expect("cargo can be stopped");
                child.wait().expect("cargo ends");
                return None;
            }
            std::thread::sleep(Duration::from_millis(50));
        };
        let read = |name: &str| fs::read(log.with_extension(name)).expect("a log");
        Some(Output { status, stdout: read("out"), stderr: read("err") })
    }
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn copy_all(from: &Path, to: &Path) {
    if from.is_dir() {
        fs::create_dir_all(to).expect("a folder in the copy");
        for entry in fs::read_dir(from).expect("a folder of the crate") {
            let entry = entry.expect("an entry of the folder");
            copy_all(&entry.path(), &to.join(entry.file_name()));
        }
    } else {
        fs::copy(from, to).expect("a file of the crate");
    }
}
