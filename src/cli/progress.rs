//! A word on the terminal when something takes more than a second.

use std::io::{IsTerminal, Write};
use std::sync::Mutex;
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use super::safe::safe;

/// What is being done, from when a book is opened until something is written.
static RUNNING: Mutex<Option<Progress>> = Mutex::new(None);

/// Says nothing before a second has passed, nor where nobody watches.
struct Progress {
    done: Sender<()>,
    thread: JoinHandle<()>,
}

/// Starts watching, unless something is being watched already.
pub(super) fn start(says: String) {
    let Ok(mut running) = RUNNING.lock() else { return };
    if running.is_some() || !std::io::stderr().is_terminal() {
        return;
    }
    let says = safe(&says).into_owned();
    let (done, wait) = channel();
    let thread = std::thread::spawn(move || {
        let mut seconds = 0;
        while wait.recv_timeout(Duration::from_secs(1)) == Err(RecvTimeoutError::Timeout) {
            seconds += 1;
            let _ = write!(std::io::stderr(), "\r{says} … {seconds} s");
        }
        if seconds > 0 {
            let _ = write!(std::io::stderr(), "\r{}\r", " ".repeat(says.chars().count() + 12));
        }
    });
    *running = Some(Progress { done, thread });
}

/// Stops, and leaves the line clean for what comes.
pub(super) fn stop() {
    let running = RUNNING.lock().ok().and_then(|mut running| running.take());
    if let Some(Progress { done, thread }) = running {
        drop(done);
        let _ = thread.join();
    }
}
