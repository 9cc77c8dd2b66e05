//! How far a run is, for whoever waits for it at a terminal.
//!
//! Nothing is shown of work that is done within a second, nor where nobody looks. What is shown goes to standard
//! error and is gone before anything else is written there or to the terminal.

use std::io::{self, IsTerminal};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Work that ends within this time is not watched.
const PATIENCE: Duration = Duration::from_secs(1);

/// How often what is shown moves.
const BEAT: Duration = Duration::from_millis(120);

/// How far a run is.
#[derive(Debug)]
pub struct Progress {
    bar: ProgressBar,
    /// Whether nothing is to be shown any more. Held while that is decided, so that nothing shows itself late.
    over: Arc<Mutex<bool>>,
    /// Whether the output goes to the same terminal, so that nothing may be shown beside it.
    output_is_seen: bool,
    /// Once it is dropped, nobody waits to show anything.
    _waiting: Option<Sender<()>>,
}

impl Progress {
    /// Progress that nobody watches.
    #[must_use]
    pub fn unseen() -> Self {
        let over = Arc::new(Mutex::new(true));
        Self { bar: ProgressBar::hidden(), over, output_is_seen: false, _waiting: None }
    }

    /// Progress on standard error, where that is a terminal.
    #[must_use]
    pub fn on_terminal() -> Self {
        if !io::stderr().is_terminal() {
            return Self::unseen();
        }
        let bar = ProgressBar::hidden();
        let over = Arc::new(Mutex::new(false));
        let (waiting, ended) = mpsc::channel();
        let (late_bar, late_over) = (bar.clone(), Arc::clone(&over));
        thread::spawn(move || {
            if ended.recv_timeout(PATIENCE) == Err(RecvTimeoutError::Timeout) {
                let over = late_over.lock().unwrap_or_else(PoisonError::into_inner);
                if !*over {
                    late_bar.set_draw_target(ProgressDrawTarget::stderr());
                    late_bar.enable_steady_tick(BEAT);
                }
            }
        });
        Self { bar, over, output_is_seen: io::stdout().is_terminal(), _waiting: Some(waiting) }
    }

    /// Begins a stage of so many steps, or of an unknown number.
    pub fn begin(&self, stage: &'static str, steps: Option<u64>) {
        let (shape, length) = match steps {
            Some(steps) => ("{msg} {wide_bar} {percent:>3} %", steps),
            None => ("{msg} {spinner}", 0),
        };
        if let Ok(style) = ProgressStyle::with_template(shape) {
            self.bar
                .set_style(style.progress_chars("▬▬ ").tick_strings(&["   ", ".  ", ".. ", "...", "..."]));
        }
        self.bar.reset();
        self.bar.set_length(length);
        self.bar.set_message(stage);
    }

    /// So many steps of the stage are done.
    pub fn advance(&self, steps: u64) {
        self.bar.inc(steps);
    }

    /// The output begins while work goes on: nothing is shown beside it on one terminal.
    pub fn output_begins(&self) {
        if self.output_is_seen {
            self.end();
        }
    }

    /// The work is done; what was shown is gone.
    pub fn end(&self) {
        let mut over = self.over.lock().unwrap_or_else(PoisonError::into_inner);
        if !*over {
            *over = true;
            self.bar.finish_and_clear();
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.end();
    }
}
