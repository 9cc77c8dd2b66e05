//! Reads workbooks in a process of its own, with a limit on its memory and its time.
//!
//! The readers of workbooks panic, ask for absurd memory or run without end on some damaged files, and a request for
//! memory that cannot be met ends the process. So the command line program starts itself a second time to read each
//! workbook, and takes the cells over a pipe:
//!
//! ```text
//!  read_bytes ── bytes ──> standard input ┐
//!      │                                  │ the same program, memory limited, told by its first argument
//!  tabs, within limits <── records ── standard output ┘       to do nothing but this
//! ```
//!
//! A program that uses the library without [`enter`] reads in its own process: within the other limits, with panics
//! caught, but without a limit on memory and time.

use std::ffi::OsString;
use std::io::{self, BufRead, BufReader, BufWriter, Read, Write};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::sync::{Mutex, OnceLock, PoisonError};
use std::thread;

use super::address::{CellRef, Column};
use super::builder::{Content, Gathering, Taker};
use super::container::Format;
use super::limits::Limits;
use super::problem::{Damage, Excess, Fault};
use super::{CellKind, Origin, Region, Tab, Visibility, workbook};
use crate::exit::Exit;

/// The first argument of the program when it is started to read a workbook.
pub const CHILD_ARGUMENT: &str = "--read-one-workbook-from-standard-input";

/// How much of what the child says aside is kept, in bytes; enough to see why it died.
const MOST_ASIDE: u64 = 4096;

/// The program that reads workbooks when started with [`CHILD_ARGUMENT`].
static PROGRAM: OnceLock<PathBuf> = OnceLock::new();

/// To be called first by a program: does the work of the child if it was started for that, else makes every later
/// read of a workbook start this program anew. `None` means that the program is to go on.
#[must_use]
pub fn enter(mut arguments: impl Iterator<Item = OsString>) -> Option<Exit> {
    if arguments.nth(1).is_some_and(|first| first == CHILD_ARGUMENT) {
        return Some(run_child(arguments));
    }
    if let Ok(program) = std::env::current_exe() {
        use_program(program);
    }
    None
}

/// Makes every later read of a workbook start this program, which must call [`enter`]. Only the first call counts.
pub fn use_program(program: PathBuf) {
    let _ = PROGRAM.set(program);
}

/// Reads a workbook: contained if there is a program for it, else in this process.
pub(super) fn read(format: Format, bytes: Vec<u8>, limits: Limits) -> Result<Vec<Tab>, Fault> {
    let started = PROGRAM.get().and_then(|program| {
        let memory = limits.memory.to_string();
        Command::new(program)
            .args([CHILD_ARGUMENT, letter_of(format), &memory])
            .args(numbers(limits).map(|number| number.to_string()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .ok()
    });
    match started {
        Some(child) => read_from(child, bytes, limits),
        // A program that cannot be started again still reads, as a program without `enter` does.
        None => {
            let mut tabs = Gathering::new(limits);
            workbook::read(format, &bytes, limits, &mut tabs)?;
            tabs.finish()
        }
    }
}

/// Gives a child the bytes and takes the tabs.
fn read_from(mut child: Child, bytes: Vec<u8>, limits: Limits) -> Result<Vec<Tab>, Fault> {
    let broke_off = || Fault::Damage(Damage::BrokeOff);
    let (Some(mut input), Some(output), Some(aside)) =
        (child.stdin.take(), child.stdout.take(), child.stderr.take())
    else {
        let _ = child.kill();
        let _ = child.wait();
        return Err(broke_off());
    };
    let child = Mutex::new(child);
    let stop = || {
        // It may have ended by itself.
        let _ = child.lock().unwrap_or_else(PoisonError::into_inner).kill();
    };
    let (done, waiting) = mpsc::channel::<()>();
    thread::scope(|scope| {
        // A child that stops reading early says why in its records.
        scope.spawn(move || {
            let _ = input.write_all(&bytes);
        });
        let said = scope.spawn(move || {
            let mut said = Vec::new();
            let mut aside = aside;
            let _ = Read::by_ref(&mut aside).take(MOST_ASIDE).read_to_end(&mut said);
            // The rest is drained, lest the child wait for room.
            let _ = io::copy(&mut aside, &mut io::sink());
            String::from_utf8_lossy(&said).into_owned()
        });
        let stop = &stop;
        let clock = scope.spawn(move || {
            let late = waiting.recv_timeout(limits.time) == Err(RecvTimeoutError::Timeout);
            if late {
                stop();
            }
            late
        });
        let mut tabs = Gathering::new(limits);
        let taken = take_records(&mut BufReader::with_capacity(1 << 16, output), &mut tabs);
        drop(done);
        stop();
        let late = clock.join().unwrap_or(false);
        let _ = child.lock().unwrap_or_else(PoisonError::into_inner).wait();
        let said = said.join().unwrap_or_default();
        match taken {
            Ok(()) => tabs.finish(),
            Err(Broken::Fault(fault)) => Err(fault),
            Err(Broken::Pipe) if late => Err(Excess::Time { seconds: limits.time.as_secs() }.into()),
            // What Rust's runtime says before it ends a process for want of memory.
            Err(Broken::Pipe) if said.contains("memory allocation of") => {
                Err(Excess::Memory { limit: limits.memory }.into())
            }
            Err(Broken::Pipe) => Err(broke_off()),
        }
    })
}

/// Does the work of the child: the rest of the arguments, the workbook on standard input, records to standard output.
pub fn run_child(arguments: impl Iterator<Item = OsString>) -> Exit {
    let texts: Vec<String> = arguments.filter_map(|argument| argument.into_string().ok()).collect();
    let Some((format, memory, limits)) = understood(&texts) else { return Exit::CouldNot };
    limit_memory(memory);
    let mut bytes = Vec::new();
    if io::stdin().lock().read_to_end(&mut bytes).is_err() {
        return Exit::CouldNot;
    }
    let mut records = Records::new(BufWriter::with_capacity(1 << 16, io::stdout().lock()));
    let read = workbook::read(format, &bytes, limits, &mut records);
    let ended = match read {
        Ok(()) => records.put(&[END]),
        Err(fault) => records.fault(&fault),
    };
    match ended.and_then(|()| records.out.flush().map_err(|_| lost())) {
        Ok(()) => Exit::Done,
        Err(_) => Exit::CouldNot,
    }
}

fn understood(texts: &[String]) -> Option<(Format, u64, Limits)> {
    let [format, memory, file, unpacked, cells, text, cell, rows, columns] = texts else { return None };
    let format = [Format::Xlsx, Format::Xlsb, Format::Xls, Format::Ods]
        .into_iter()
        .find(|known| letter_of(*known) == format)?;
    let memory = memory.parse().ok()?;
    let limits = Limits {
        file: file.parse().ok()?,
        unpacked: unpacked.parse().ok()?,
        cells: cells.parse().ok()?,
        text: text.parse().ok()?,
        cell: cell.parse().ok()?,
        rows: rows.parse().ok()?,
        columns: columns.parse().ok()?,
        memory,
        ..Limits::default()
    };
    Some((format, memory, limits))
}

fn numbers(limits: Limits) -> [u64; 7] {
    let wide = |size: usize| u64::try_from(size).unwrap_or(u64::MAX);
    [
        limits.file,
        limits.unpacked,
        wide(limits.cells),
        wide(limits.text),
        wide(limits.cell),
        u64::from(limits.rows),
        u64::from(limits.columns),
    ]
}

fn letter_of(format: Format) -> &'static str {
    match format {
        Format::Xlsx => "xlsx",
        Format::Xlsb => "xlsb",
        Format::Xls => "xls",
        Format::Ods => "ods",
    }
}

#[cfg(unix)]
fn limit_memory(most: u64) {
    use rustix::process::{Resource, Rlimit, setrlimit};
    // Address space holds more than memory does, so memory stays below. Where the system refuses, the clock still
    // runs. No picture of the memory is to be left on the disk when the limit ends the process.
    let _ = setrlimit(Resource::As, Rlimit { current: Some(most), maximum: Some(most) });
    let _ = setrlimit(Resource::Core, Rlimit { current: Some(0), maximum: Some(0) });
}

#[cfg(not(unix))]
fn limit_memory(_most: u64) {}

// The records: a byte for their kind, then numbers in four bytes, lowest first, and texts after their length. Nearly all
// are cells, so theirs are packed, and their row stands once before those it holds.
const END: u8 = 0;
const TAB: u8 = 1;
const FORMATS: u8 = 2;
const CELL: u8 = 3;
const HIDDEN_ROWS: u8 = 4;
const HIDDEN_COLUMNS: u8 = 5;
const MERGED: u8 = 6;
const LOCKED: u8 = 7;
const DAMAGE: u8 = 8;
const EXCESS: u8 = 9;
const ROW: u8 = 10;

/// What stands before a cell's text: the record's kind, the cell's kind, its origin, then its format, its column and
/// the length of its text in two bytes each. A longer text has its length in four more.
type CellHead = [u8; 9];

/// In place of a length that follows.
const LONG_TEXT: u16 = u16::MAX;

const KINDS: [CellKind; 6] =
    [CellKind::Text, CellKind::Number, CellKind::Date, CellKind::Flag, CellKind::Error, CellKind::Lost];
const ORIGINS: [Origin; 2] = [Origin::Typed, Origin::Formula];
const VISIBILITIES: [Visibility; 2] = [Visibility::Shown, Visibility::Hidden];

/// Writes what is found as records.
struct Records<W: Write> {
    out: W,
    /// The row that was told last; none in a tab that has just begun.
    row: Option<u32>,
}

/// Why the child cannot go on when nobody takes its records.
fn lost() -> Fault {
    Fault::Damage(Damage::BrokeOff)
}

impl<W: Write> Records<W> {
    fn new(out: W) -> Self {
        Self { out, row: None }
    }

    fn put(&mut self, bytes: &[u8]) -> Result<(), Fault> {
        self.out.write_all(bytes).map_err(|_| lost())
    }

    fn number(&mut self, number: u32) -> Result<(), Fault> {
        self.put(&number.to_le_bytes())
    }

    fn long(&mut self, number: u64) -> Result<(), Fault> {
        self.put(&number.to_le_bytes())
    }

    fn text(&mut self, text: &str) -> Result<(), Fault> {
        self.number(u32::try_from(text.len()).map_err(|_| lost())?)?;
        self.put(text.as_bytes())
    }

    fn column(&mut self, column: Column) -> Result<(), Fault> {
        self.number(u32::try_from(column.index()).map_err(|_| lost())?)
    }

    fn at(&mut self, at: CellRef) -> Result<(), Fault> {
        self.number(at.row)?;
        self.column(at.column)
    }

    fn fault(&mut self, fault: &Fault) -> Result<(), Fault> {
        match fault {
            Fault::Locked => self.put(&[LOCKED]),
            Fault::Damage(damage) => {
                let (kind, text) = match damage {
                    Damage::Workbook(error) => (0, error.to_string()),
                    Damage::Part { part } => (1, part.clone()),
                    Damage::PartName { part } => (2, part.clone()),
                    Damage::Unfinished => (3, String::new()),
                    Damage::OffTheSheet { tab } => (4, tab.clone()),
                    // Cells that come twice are found by who gathers them.
                    Damage::CellTwice { .. } | Damage::BrokeOff => (5, String::new()),
                };
                self.put(&[DAMAGE, kind])?;
                self.text(&text)
            }
            Fault::Excess(excess) => {
                let wide = |size: usize| u64::try_from(size).unwrap_or(u64::MAX);
                let (kind, limit) = match *excess {
                    Excess::Unpacked { limit } => (0, limit),
                    Excess::Cells { limit } => (1, wide(limit)),
                    Excess::Text { limit } => (2, wide(limit)),
                    Excess::Memory { limit } => (3, limit),
                    // The other limits are minded by who gathers.
                    Excess::File { limit } => (4, limit),
                    Excess::Cell { limit, .. } => (2, wide(limit)),
                    Excess::Columns { limit, .. } => (1, u64::from(limit)),
                    Excess::Rows { limit } => (5, u64::from(limit)),
                    Excess::Time { seconds } => (6, seconds),
                };
                self.put(&[EXCESS, kind])?;
                self.long(limit)
            }
        }
    }
}

/// The place of a value in a list of all, as one byte.
fn place_in<T: PartialEq>(all: &[T], value: &T) -> u8 {
    all.iter().position(|known| known == value).and_then(|place| u8::try_from(place).ok()).unwrap_or(u8::MAX)
}

impl<W: Write> Taker for Records<W> {
    fn tab(&mut self, name: &str, visibility: Visibility) -> Result<(), Fault> {
        self.row = None;
        self.put(&[TAB, place_in(&VISIBILITIES, &visibility)])?;
        self.text(name)
    }

    fn formats(&mut self, codes: &[String]) -> Result<(), Fault> {
        self.put(&[FORMATS])?;
        self.number(u32::try_from(codes.len()).map_err(|_| lost())?)?;
        codes.iter().try_for_each(|code| self.text(code))
    }

    fn cell(&mut self, at: CellRef, content: Content<'_>) -> Result<(), Fault> {
        if self.row != Some(at.row) {
            self.row = Some(at.row);
            self.put(&[ROW])?;
            self.number(at.row)?;
        }
        let length = u16::try_from(content.text.len()).unwrap_or(LONG_TEXT);
        let column = u16::try_from(at.column.index()).map_err(|_| lost())?;
        let mut head: CellHead = [0; 9];
        head[..3].copy_from_slice(&[
            CELL,
            place_in(&KINDS, &content.kind),
            place_in(&ORIGINS, &content.origin),
        ]);
        head[3..5].copy_from_slice(&content.format.to_le_bytes());
        head[5..7].copy_from_slice(&column.to_le_bytes());
        head[7..].copy_from_slice(&length.to_le_bytes());
        self.put(&head)?;
        if length == LONG_TEXT {
            return self.text(content.text);
        }
        self.put(content.text.as_bytes())
    }

    fn hidden_rows(&mut self, rows: (u32, u32)) -> Result<(), Fault> {
        self.put(&[HIDDEN_ROWS])?;
        self.number(rows.0)?;
        self.number(rows.1)
    }

    fn hidden_columns(&mut self, columns: (Column, Column)) -> Result<(), Fault> {
        self.put(&[HIDDEN_COLUMNS])?;
        self.column(columns.0)?;
        self.column(columns.1)
    }

    fn merged(&mut self, region: Region) -> Result<(), Fault> {
        self.put(&[MERGED])?;
        self.at(region.first)?;
        self.at(region.last)
    }
}

/// Why records do not come to their end.
#[derive(Debug)]
enum Broken {
    /// They say why, or what they hold was refused.
    Fault(Fault),
    /// They stop, or make no sense.
    Pipe,
}

impl From<Fault> for Broken {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

impl From<io::Error> for Broken {
    fn from(_: io::Error) -> Self {
        Self::Pipe
    }
}

/// Reads records from a pipe. The child read a hostile file, so nothing it says is taken on trust.
struct Incoming<'r, R> {
    input: &'r mut R,
    text: Vec<u8>,
}

impl<R: BufRead> Incoming<'_, R> {
    fn bytes<const N: usize>(&mut self) -> Result<[u8; N], Broken> {
        let mut bytes = [0; N];
        self.input.read_exact(&mut bytes)?;
        Ok(bytes)
    }

    fn one_of<T: Copy>(&mut self, all: &[T]) -> Result<T, Broken> {
        let [place] = self.bytes()?;
        all.get(usize::from(place)).copied().ok_or(Broken::Pipe)
    }

    fn number(&mut self) -> Result<u32, Broken> {
        self.bytes().map(u32::from_le_bytes)
    }

    fn long(&mut self) -> Result<u64, Broken> {
        self.bytes().map(u64::from_le_bytes)
    }

    fn text(&mut self) -> Result<&str, Broken> {
        let length = self.number()?;
        self.text_of(length)
    }

    /// A text of so many bytes.
    fn text_of(&mut self, length: u32) -> Result<&str, Broken> {
        self.text.clear();
        // Grows with what arrives, not with what is announced.
        let read = Read::by_ref(self.input).take(u64::from(length)).read_to_end(&mut self.text)?;
        if u32::try_from(read) != Ok(length) {
            return Err(Broken::Pipe);
        }
        std::str::from_utf8(&self.text).map_err(|_| Broken::Pipe)
    }

    /// Hands on a cell of a row, of which all is read but the kind of its record.
    fn cell(&mut self, row: u32, taker: &mut dyn Taker) -> Result<(), Broken> {
        let [kind, origin, f0, f1, c0, c1, l0, l1] = self.bytes()?;
        let kind = *KINDS.get(usize::from(kind)).ok_or(Broken::Pipe)?;
        let origin = *ORIGINS.get(usize::from(origin)).ok_or(Broken::Pipe)?;
        let format = u16::from_le_bytes([f0, f1]);
        let column = Column::from_index(u16::from_le_bytes([c0, c1]).into()).ok_or(Broken::Pipe)?;
        let at = CellRef::new(column, row);
        let length = u16::from_le_bytes([l0, l1]);
        if length == LONG_TEXT {
            let text = self.text()?;
            return Ok(taker.cell(at, Content { kind, origin, format, text })?);
        }
        // Most texts lie whole in what has arrived, and are taken from there.
        if let Some(arrived) = self.input.fill_buf()?.get(..usize::from(length)) {
            let text = std::str::from_utf8(arrived).map_err(|_| Broken::Pipe)?;
            taker.cell(at, Content { kind, origin, format, text })?;
            self.input.consume(usize::from(length));
            return Ok(());
        }
        let text = self.text_of(length.into())?;
        Ok(taker.cell(at, Content { kind, origin, format, text })?)
    }

    fn column(&mut self) -> Result<Column, Broken> {
        let place = self.number()?;
        usize::try_from(place).ok().and_then(Column::from_index).ok_or(Broken::Pipe)
    }

    fn at(&mut self) -> Result<CellRef, Broken> {
        let row = self.number()?;
        Ok(CellRef::new(self.column()?, row))
    }

    fn damage(&mut self) -> Result<Damage, Broken> {
        let [kind] = self.bytes()?;
        let text = self.text()?.to_owned();
        Ok(match kind {
            0 => Damage::Workbook(text.into()),
            1 => Damage::Part { part: text },
            2 => Damage::PartName { part: text },
            3 => Damage::Unfinished,
            4 => Damage::OffTheSheet { tab: text },
            _ => Damage::BrokeOff,
        })
    }

    fn excess(&mut self) -> Result<Excess, Broken> {
        let [kind] = self.bytes()?;
        let limit = self.long()?;
        let size = usize::try_from(limit).unwrap_or(usize::MAX);
        Ok(match kind {
            0 => Excess::Unpacked { limit },
            1 => Excess::Cells { limit: size },
            2 => Excess::Text { limit: size },
            3 => Excess::Memory { limit },
            4 => Excess::File { limit },
            5 => Excess::Rows { limit: u32::try_from(limit).unwrap_or(u32::MAX) },
            6 => Excess::Time { seconds: limit },
            _ => return Err(Broken::Pipe),
        })
    }
}

/// Passes records on until they end.
fn take_records<R: BufRead>(input: &mut R, taker: &mut dyn Taker) -> Result<(), Broken> {
    let mut incoming = Incoming { input, text: Vec::new() };
    let mut row = 0;
    loop {
        let [kind] = incoming.bytes()?;
        match kind {
            END => return Ok(()),
            TAB => {
                let visibility = incoming.one_of(&VISIBILITIES)?;
                taker.tab(incoming.text()?, visibility)?;
            }
            FORMATS => {
                let count = incoming.number()?;
                if count > u32::from(u16::MAX) {
                    return Err(Broken::Pipe);
                }
                let codes: Result<Vec<String>, Broken> =
                    (0..count).map(|_| incoming.text().map(str::to_owned)).collect();
                taker.formats(&codes?)?;
            }
            ROW => row = incoming.number()?,
            CELL => incoming.cell(row, taker)?,
            HIDDEN_ROWS => taker.hidden_rows((incoming.number()?, incoming.number()?))?,
            HIDDEN_COLUMNS => taker.hidden_columns((incoming.column()?, incoming.column()?))?,
            MERGED => taker.merged(Region { first: incoming.at()?, last: incoming.at()? })?,
            LOCKED => return Err(Fault::Locked.into()),
            DAMAGE => return Err(Fault::Damage(incoming.damage()?).into()),
            EXCESS => return Err(Fault::Excess(incoming.excess()?).into()),
            _ => return Err(Broken::Pipe),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn records() -> Vec<u8> {
        let mut records = Records::new(Vec::new());
        records.tab("Wheels", Visibility::Hidden).unwrap();
        records.formats(&["0\" kg\"".to_owned()]).unwrap();
        let at = "C4".parse().unwrap();
        let content = Content { kind: CellKind::Number, origin: Origin::Formula, format: 1, text: "1120" };
        records.cell(at, content).unwrap();
        records.hidden_rows((7, 9)).unwrap();
        records.hidden_columns((at.column, at.column)).unwrap();
        records.merged(Region { first: "A1".parse().unwrap(), last: "C1".parse().unwrap() }).unwrap();
        records.put(&[END]).unwrap();
        records.out
    }

    #[test]
    fn what_goes_into_the_pipe_comes_out_of_it() {
        let mut tabs = Gathering::new(Limits::default());
        take_records(&mut records().as_slice(), &mut tabs).unwrap();
        let tabs = tabs.finish().unwrap();
        let [tab] = tabs.as_slice() else { panic!("{tabs:?}") };
        assert_eq!((tab.name(), tab.visibility()), ("Wheels", Visibility::Hidden));
        let cell = tab.cell("C4".parse().unwrap()).unwrap();
        assert_eq!((cell.text, cell.kind, cell.origin), ("1120", CellKind::Number, Origin::Formula));
        assert_eq!(cell.format.unwrap().words_after(), "kg");
        assert_eq!(tab.hidden_rows(), [(7, 9)]);
        assert!(tab.hides_column("C".parse().unwrap()) && !tab.hides_column("D".parse().unwrap()));
        assert!(tab.merged()[0].contains("B1".parse().unwrap()));
    }

    #[test]
    fn a_text_of_any_length_comes_out_in_the_row_it_went_in() {
        let lengths = [1_usize, 2, 65_534, 65_535, 65_536, 300_000];
        let mut records = Records::new(Vec::new());
        records.tab("one", Visibility::Shown).unwrap();
        let at = |row: usize| CellRef::new(Column::from_index(row % 3).unwrap(), row as u32 / 2 + 1);
        for (row, length) in lengths.into_iter().enumerate() {
            let text = "\u{e9}".repeat(length / 2) + if length % 2 == 1 { "x" } else { "" };
            let content = Content { kind: CellKind::Text, origin: Origin::Typed, format: 0, text: &text };
            records.cell(at(row), content).unwrap();
        }
        records.put(&[END]).unwrap();
        // What has arrived ends in the middle of texts, of letters and of numbers.
        for room in [1, 7, 64, 1 << 16] {
            let mut tabs = Gathering::new(Limits { cell: 1 << 20, ..Limits::default() });
            take_records(&mut BufReader::with_capacity(room, records.out.as_slice()), &mut tabs).unwrap();
            let tabs = tabs.finish().unwrap();
            for (row, length) in lengths.into_iter().enumerate() {
                assert_eq!(tabs[0].cell(at(row)).unwrap().text.len(), length, "row {row}, {room} bytes");
            }
        }
    }

    #[test]
    fn records_that_stop_or_make_no_sense_are_never_a_whole_sheet() {
        let whole = records();
        for length in 0..whole.len() {
            let mut tabs = Gathering::new(Limits::default());
            let cut = take_records(&mut &whole[..length], &mut tabs);
            assert!(matches!(cut, Err(Broken::Pipe)), "cut at {length}");
        }
        for place in 0..whole.len() {
            let mut changed = whole.clone();
            changed[place] ^= 0xFF;
            // Any answer will do, as long as there is one.
            let _ = take_records(&mut changed.as_slice(), &mut Gathering::new(Limits::default()));
        }
    }

    #[test]
    fn faults_keep_their_kind() {
        for fault in [
            Fault::Locked,
            Fault::Damage(Damage::Part { part: "xl/worksheets/sheet1.xml".into() }),
            Fault::Damage(Damage::OffTheSheet { tab: "Wheels".into() }),
            Fault::Excess(Excess::Unpacked { limit: u64::MAX }),
            Fault::Excess(Excess::Cells { limit: 7 }),
        ] {
            let mut records = Records::new(Vec::new());
            records.fault(&fault).unwrap();
            let taken = take_records(&mut records.out.as_slice(), &mut Gathering::new(Limits::default()));
            match taken {
                Err(Broken::Fault(found)) => assert_eq!(format!("{found:?}"), format!("{fault:?}")),
                other => panic!("{fault:?}: {other:?}"),
            }
        }
    }

    #[test]
    fn the_child_understands_what_it_is_told() {
        let limits = Limits { cells: 7, rows: 8, ..Limits::default() };
        let mut texts = vec!["xls".to_owned(), limits.memory.to_string()];
        texts.extend(numbers(limits).map(|number| number.to_string()));
        assert_eq!(understood(&texts), Some((Format::Xls, limits.memory, limits)));
        assert_eq!(understood(&texts[..3]), None);
    }
}
