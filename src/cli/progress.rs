//! A word on the terminal when something takes more than a second.

use std::io::{IsTerminal, Write};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

/// Lives as long as the work; says nothing before a second has passed, nor where nobody watches.
pub(super) struct Progress {
    done: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Progress {
    /// Starts watching.
    pub(super) fn start(says: String) -> Progress {
        if !std::io::stderr().is_terminal() {
            return Progress { done: None, thread: None };
        }
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
        Progress { done: Some(done), thread: Some(thread) }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        drop(self.done.take());
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}
