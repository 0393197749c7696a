//! The tech's sheet of 200 presets as PDF, beside headless Chromium printing the same HTML, in one run.
//!
//! `cargo bench --bench sheet`. Both are whole processes, from a book or a page on disk to a file on disk; the best
//! of five counts. It must be at least 20 times as fast.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::print_stdout)]
#![allow(clippy::disallowed_methods, reason = "a bench measures time and runs programs")]

use std::fmt::Write;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

fn book() -> String {
    let mut out = String::from(
        "board \"bench\" version \"1\"\nswitcher { loops 8; remote jacks 2; expressions 1 of 128 steps; outputs 2; \
         banks 1..40, switches 1..5 }\nguitar one\n",
    );
    for n in 1..=8 {
        let _ = writeln!(out, "pedal pedal-{} {{ code P{:02}; loop {n} }}", (b'a' + n) as char, n);
    }
    out += "amp combo { fed by output 1; control channel on remote 1 tip { clean: open; lead: closed } }\n\
            chain front: guitar -> loops 1..8 -> output 1\ndefault { combo.channel clean }\n";
    for n in 0..200_u32 {
        let (a, b) = (n % 8, (n / 8) % 8);
        let _ = writeln!(
            out,
            "scene scene-{n} {{ engage pedal-{}, pedal-{}{} }}",
            (b'b' + a as u8) as char,
            (b'b' + b as u8) as char,
            if n % 3 == 0 { "; combo.channel lead" } else { "" }
        );
    }
    let mut set = String::from("set \"night\" {");
    for n in 0..50 {
        let _ = writeln!(out, "song \"song {n}\" at {} bpm on one {{", 80 + n);
        for part in 0..4 {
            let _ = writeln!(out, "  \"part {part}\": scene-{}", n * 4 + part);
        }
        out += "}\n";
        let _ = write!(set, " \"song {n}\";");
    }
    out + &set + " }\n"
}

fn best(mut run: impl FnMut()) -> Duration {
    (0..5)
        .map(|_| {
            let from = Instant::now();
            run();
            from.elapsed()
        })
        .min()
        .unwrap()
}

fn ours(book: &Path, to: &Path) {
    let args = ["sheet", book.to_str().unwrap(), "--for", "tech", "-o", to.to_str().unwrap()];
    let done = Command::new(env!("CARGO_BIN_EXE_tipring")).args(args).output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let (path, html) = (folder.path().join("bench.scene"), folder.path().join("bench.html"));
    let (mine, theirs) = (folder.path().join("mine.pdf"), folder.path().join("theirs.pdf"));
    std::fs::write(&path, book()).unwrap();
    ours(&path, &html);
    let pdf = best(|| ours(&path, &mine));
    let kilobytes = |p: &Path| std::fs::metadata(p).unwrap().len() / 1000;
    println!("tipring sheet --for tech, 200 presets: {pdf:?}, {} kB of PDF", kilobytes(&mine));
    let print = || {
        let home = tempfile::tempdir().unwrap();
        let done = Command::new("chromium")
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
            .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
            .args(["--no-pdf-header-footer", &format!("--user-data-dir={}", home.path().display())])
            .args([&format!("--print-to-pdf={}", theirs.display()), &format!("file://{}", html.display())])
            .output();
        done.is_ok_and(|d| d.status.success())
    };
    if !print() {
        assert!(std::env::var_os("TIPRING_FULL").is_none(), "chromium is missing, and this is a full run");
        println!("SKIPPED: chromium is missing, nothing to compare with");
        return;
    }
    let browser = best(|| assert!(print()));
    let times = browser.as_secs_f64() / pdf.as_secs_f64();
    println!(
        "headless Chromium, the same HTML: {browser:?}, {} kB of PDF: {times:.0} times as long",
        kilobytes(&theirs)
    );
    assert!(times >= 20.0, "only {times:.1} times as fast");
}
