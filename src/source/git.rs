//! A book as a revision of git holds it, through the installed git.

use std::path::{Path, PathBuf};
use std::process::Command;

use super::load::{Shelf, is_scene, shown};
use super::regular::MOST_FILE;

/// A revision, seen from a folder of the working copy.
pub struct Revision {
    folder: PathBuf,
    name: String,
}

/// A book of a revision: the shelf that holds it, and its files.
pub type Held = (Revision, Vec<PathBuf>);

impl Revision {
    /// The book at `path` (a file, or a folder of `.scene` files) as it was in a revision.
    pub fn of(path: &Path, revision: &str) -> Result<Held, String> {
        if revision.starts_with('-') || revision.is_empty() {
            return Err(format!("`{revision}` is no revision"));
        }
        let scene = path.extension().is_some_and(|e| e == "scene");
        let folder = if scene { path.parent().unwrap_or(Path::new("")) } else { path };
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let held = Revision { folder: folder.to_path_buf(), name: revision.to_owned() };
        held.run(&["rev-parse", "--verify", "--quiet", &format!("{revision}^{{commit}}")])
            .map_err(|why| if why.is_empty() { format!("git knows no revision `{revision}`") } else { why })?;
        if scene {
            return Ok((held, vec![path.to_path_buf()]));
        }
        let list = held.run(&["ls-tree", "--name-only", "-z", revision, "./"])?;
        let names = String::from_utf8_lossy(&list).into_owned();
        let scenes = names.split('\0').filter(|name| is_scene(Path::new(name)));
        let mut files: Vec<PathBuf> = scenes.map(|name| path.join(name)).collect();
        files.sort();
        if files.is_empty() {
            return Err(format!("no file in {} ends in .scene in `{revision}`", shown(path)));
        }
        Ok((held, files))
    }

    #[allow(clippy::disallowed_methods, reason = "a revision is read through git")]
    fn run(&self, words: &[&str]) -> Result<Vec<u8>, String> {
        let out = Command::new("git").arg("-C").arg(&self.folder).args(words).output();
        let out = out.map_err(|e| format!("cannot run git: {e}"))?;
        if out.status.success() {
            return Ok(out.stdout);
        }
        Err(String::from_utf8_lossy(&out.stderr).trim().to_owned())
    }
}

/// Git's own merge of three files, line by line, with its markers where they clash; None when git cannot do it.
#[allow(clippy::disallowed_methods, reason = "git merges lines as it always does")]
pub fn merge_lines(base: &Path, mine: &Path, theirs: &Path) -> Option<Vec<u8>> {
    let words = ["merge-file", "-p", "-L", "mine", "-L", "base", "-L", "theirs", "--"];
    let out = Command::new("git").args(words).args([mine, base, theirs]).output().ok()?;
    // The number of clashes, up to 127; more is trouble.
    out.status.code().filter(|code| (0..128).contains(code)).map(|_| out.stdout)
}

impl Shelf for Revision {
    fn read(&self, path: &Path) -> Result<Vec<u8>, String> {
        let folder = super::load::straight(&self.folder);
        let inside = format!("./{}", shown(path.strip_prefix(&folder).unwrap_or(path)));
        // Mode, kind, number and size; then the name.
        let entry = self.run(&["ls-tree", "-l", "-z", &self.name, &inside])?;
        let entry = String::from_utf8_lossy(&entry).into_owned();
        let mut about = entry.split('\t').next().unwrap_or("").split_whitespace();
        match (about.next(), about.next(), about.next(), about.next().and_then(|size| size.parse::<u64>().ok())) {
            (None, ..) => Err(format!("no such file in `{}`", self.name)),
            (Some("120000"), ..) => Err("it is a link, of which a revision holds the name alone".to_owned()),
            (_, Some("blob"), Some(number), Some(size)) if size <= MOST_FILE => self.run(&["cat-file", "blob", number]),
            (_, Some("blob"), ..) => Err(format!("it is larger than {} MiB", MOST_FILE >> 20)),
            _ => Err("it is a folder".to_owned()),
        }
    }

    fn list(&self, path: &Path) -> Option<Vec<PathBuf>> {
        let folder = super::load::straight(&self.folder);
        let inside = path.strip_prefix(&folder).unwrap_or(path);
        let inside = if inside.as_os_str().is_empty() { "./".to_owned() } else { format!("./{}/", shown(inside)) };
        let list = self.run(&["ls-tree", "--name-only", "-z", &self.name, &inside]).ok().filter(|l| !l.is_empty())?;
        let names = String::from_utf8_lossy(&list).into_owned();
        let names = names.split('\0').filter_map(|name| Path::new(name).file_name()).map(|name| path.join(name));
        let mut files: Vec<PathBuf> = names.filter(|path| is_scene(path)).collect();
        files.sort();
        Some(files)
    }
}
