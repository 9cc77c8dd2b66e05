//! Pieces of a table taken by several hands and handed on in order.
//!
//! Whoever is free takes the next piece; what it gives waits until all before it are handed on. How far hands run
//! ahead is bounded, so that what waits stays small.

use std::collections::BTreeMap;
use std::io;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError, mpsc};
use std::thread;

use crate::sheet::{Irregular, PiecedText};

/// Where pieces come from.
pub(super) enum Supply<'t> {
    /// A text that is cut into them.
    Text(&'t mut PiecedText),
    /// So many shares of what is held already.
    Held(usize),
}

impl Supply<'_> {
    /// The bytes of the next piece, if it is one of a text; `false` after the last.
    fn next(&mut self, bytes: &mut Vec<u8>) -> Result<bool, Irregular> {
        match self {
            Self::Text(text) => text.next(bytes),
            Self::Held(left) => {
                let more = *left > 0;
                *left = left.saturating_sub(1);
                Ok(more)
            }
        }
    }
}

/// One that works on pieces.
pub(super) trait Hand: Send {
    /// What it gives for a piece.
    type Gives: Send;

    /// Works on the piece at a place, from 0. The bytes may be replaced by others of no meaning.
    fn take(&mut self, place: usize, bytes: &mut Vec<u8>) -> Result<Self::Gives, Irregular>;
}

/// Why the work ended early.
#[derive(Debug)]
pub(super) enum Stop {
    /// A piece cannot be worked on.
    Irregular,
    /// What was given could not be handed on.
    Output(io::Error),
}

/// How many pieces each hand may be ahead of what was handed on.
const AHEAD: usize = 2;

struct Bench<'t> {
    supply: Supply<'t>,
    /// The place of the next piece.
    next: usize,
    /// How many were handed on.
    done: usize,
    /// No more pieces are to be taken.
    closed: bool,
}

/// Has hands work on all pieces of a table, and hands on what they give, in order.
///
/// # Errors
/// [`Stop`], at the first piece that cannot be worked on or handed on.
pub(super) fn work<H: Hand>(
    mut supply: Supply<'_>,
    hands: &mut [H],
    mut hand_on: impl FnMut(H::Gives) -> io::Result<()>,
) -> Result<(), Stop> {
    if let [only] = hands {
        let mut bytes = Vec::new();
        let mut place = 0;
        while supply.next(&mut bytes).map_err(|_| Stop::Irregular)? {
            let given = only.take(place, &mut bytes).map_err(|_| Stop::Irregular)?;
            hand_on(given).map_err(Stop::Output)?;
            place += 1;
        }
        return Ok(());
    }
    let most = hands.len() * AHEAD;
    let bench = Mutex::new(Bench { supply, next: 0, done: 0, closed: false });
    let moved_on = Condvar::new();
    let (give, given) = mpsc::channel();
    thread::scope(|scope| {
        for hand in hands {
            let (give, bench, moved_on) = (give.clone(), &bench, &moved_on);
            scope.spawn(move || {
                let mut bytes = Vec::new();
                while let Some(place) = next_piece(bench, moved_on, most, &mut bytes).transpose() {
                    let result = place.and_then(|place| Ok((place, hand.take(place, &mut bytes)?)));
                    let ended = result.is_err();
                    // Nobody listens any more where the output was refused.
                    if give.send(result).is_err() || ended {
                        break;
                    }
                }
            });
        }
        drop(give);
        let mut waiting = BTreeMap::new();
        let mut next = 0;
        let mut hand_on_all = || {
            for result in &given {
                let (place, gives) = result.map_err(|Irregular| Stop::Irregular)?;
                waiting.insert(place, gives);
                while let Some(gives) = waiting.remove(&next) {
                    hand_on(gives).map_err(Stop::Output)?;
                    next += 1;
                    locked(&bench).done = next;
                    moved_on.notify_all();
                }
            }
            Ok(())
        };
        let result = hand_on_all();
        locked(&bench).closed = true;
        moved_on.notify_all();
        result
    })
}

/// Takes the next piece; `None` after the last.
fn next_piece(
    bench: &Mutex<Bench<'_>>,
    moved_on: &Condvar,
    most: usize,
    bytes: &mut Vec<u8>,
) -> Result<Option<usize>, Irregular> {
    let bench = locked(bench);
    let waited = moved_on.wait_while(bench, |bench| !bench.closed && bench.next >= bench.done + most);
    let mut bench = waited.unwrap_or_else(PoisonError::into_inner);
    if bench.closed || !bench.supply.next(bytes)? {
        bench.closed = true;
        moved_on.notify_all();
        return Ok(None);
    }
    bench.next += 1;
    Ok(Some(bench.next - 1))
}

/// A hand that panicked leaves the bench as it was between two pieces.
fn locked<'b, 't>(bench: &'b Mutex<Bench<'t>>) -> MutexGuard<'b, Bench<'t>> {
    bench.lock().unwrap_or_else(PoisonError::into_inner)
}
