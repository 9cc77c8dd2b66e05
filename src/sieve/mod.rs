//! The list of sheets, row by row, with no row kept.
//!
//! Takes in paths of text files and workbooks that were read, rules and vans; yields the bytes of
//! [`report::list`](crate::report::list), which a test holds against those of the way over a whole
//! [`Judgement`](crate::judge::Judgement). Goes through each sheet twice: first to know all that one row may say about
//! others ([`survey()`]), then to judge and write ([`write()`]). Of a text memory does not grow with rows but for eight
//! bytes each, which tell whether a part number stands twice.
//!
//! Sheets are only gone through so where that gives the same list: one plain table on a tab, texts in plain UTF-8, no
//! part number twice. All else is [`Irregular`], before anything was written.

mod crew;
mod survey;

use std::io::{self, Write};
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::PoisonError;

use crate::facts::catalog::SheetAccount;
use crate::facts::value::Value;
use crate::intake::table::{TableReader, TableRow};
use crate::judge::alike::AlikeJudge;
use crate::progress::Progress;
use crate::report::list::HEADINGS;
use crate::report::list::line::{Lines, Who};
use crate::rules::RuleSet;
use crate::sheet::{Irregular, Limits, Piece, PiecedText, Row};
use crate::van::Van;

use crew::{Hand, Stop, Supply, work};
pub use survey::{Given, Surveyed, survey};
use survey::{Rows, Seen, Table, share};

/// How many distinct cells and sayings a hand keeps before it forgets them all and starts again: real sheets have
/// some thousand for each column, and no sheet may fill the memory.
const MOST_KEPT: usize = 150_000;

/// How many it keeps where every row brings more than one that is new: hardly any of them is met again.
const MOST_KEPT_IN_VAIN: usize = 50_000;

/// What one sheet came to.
#[derive(Debug)]
pub struct Sieved {
    /// The account of its rows; remarks are only counted.
    pub account: SheetAccount,
    /// Faults that were found in it.
    pub faults: usize,
}

/// What the whole list came to.
#[derive(Debug)]
pub struct Listed {
    /// The sheets, in the order given.
    pub sheets: Vec<Sieved>,
    /// The verdicts, counted in the order of [`VerdictKind::ALL`](crate::judge::VerdictKind::ALL).
    pub verdicts: [u64; 4],
}

/// By what sheets are judged.
#[derive(Clone, Copy, Debug)]
pub struct By<'j> {
    /// The rules.
    pub rules: &'j RuleSet,
    /// The vans, in the order of the list.
    pub vans: &'j [Van],
    /// Packs chosen for all vans.
    pub packs: &'j [String],
    /// The date given with `--as-of`.
    pub as_of: Option<&'j Value>,
}

/// Why the list was not written to its end.
#[derive(Debug)]
pub enum SieveError {
    /// The output does not take it.
    Output(io::Error),
    /// A file is not what it was when it was gone through first.
    Changed(PathBuf),
}

/// Judges and writes the list of sheets that were gone through. `None` where this judge has no room for so many vans, or for such rules.
///
/// # Errors
/// [`SieveError`]; part of the list may have been written.
pub fn write(
    surveyed: &Surveyed<'_>,
    by: By<'_>,
    limits: &Limits,
    threads: usize,
    progress: &Progress,
    out: &mut dyn Write,
) -> Option<Result<Listed, SieveError>> {
    let tables = || surveyed.sheets.iter().flat_map(|sheet| &sheet.tables);
    progress.begin(
        "judging and writing",
        tables().map(|table| table.pieces() as u64).reduce(u64::saturating_add),
    );
    let most = tables().map(Table::pieces).max().unwrap_or(1);
    let judge = |_| AlikeJudge::new(by.rules, by.vans, by.packs, by.as_of);
    let judges = (0..threads.min(most).max(1)).map(judge).collect::<Option<Vec<_>>>()?;
    let writing = Writing { by, limits, progress, judges, begun: false, counts: [0; 4], out };
    Some(writing.all(&surveyed.sheets))
}

/// The list on its way out.
struct Writing<'w, 'j> {
    by: By<'j>,
    limits: &'w Limits,
    progress: &'w Progress,
    judges: Vec<AlikeJudge<'j>>,
    /// Whether the judges have judged the rows of a table.
    begun: bool,
    counts: [u64; 4],
    out: &'w mut dyn Write,
}

impl Writing<'_, '_> {
    fn all(mut self, sheets: &[Seen<'_>]) -> Result<Listed, SieveError> {
        writeln!(self.out, "{}", HEADINGS.join(",")).map_err(SieveError::Output)?;
        let sheets =
            sheets.iter().map(|sheet| self.sheet(sheet)).collect::<Result<Vec<Sieved>, SieveError>>()?;
        self.out.flush().map_err(SieveError::Output)?;
        Ok(Listed { sheets, verdicts: self.counts })
    }

    fn sheet(&mut self, sheet: &Seen<'_>) -> Result<Sieved, SieveError> {
        let mut account = SheetAccount {
            name: sheet.name.clone(),
            tabs: Vec::new(),
            rows: sheet.rows,
            parts: 0,
            reported: 0,
            furniture: 0,
            remarks: Vec::new(),
        };
        let mut faults = 0;
        for table in &sheet.tables {
            let tally = self.table(table, &sheet.name)?;
            account.parts += tally.parts;
            account.reported += tally.reported;
            faults += tally.faults;
        }
        account.furniture = account.rows.saturating_sub(account.parts + account.reported);
        Ok(Sieved { account, faults })
    }

    fn table(&mut self, table: &Table<'_>, sheet: &str) -> Result<Tally, SieveError> {
        let mut text = None;
        let (supply, changed) = match &table.rows {
            Rows::Text { path, form, .. } => {
                let changed = || SieveError::Changed(path.clone());
                let text =
                    text.insert(PiecedText::reopen(path, *form, self.limits).map_err(|Irregular| changed())?);
                (Supply::Text(text), path.clone())
            }
            Rows::Piece(_) | Rows::Tab(_) => (Supply::Held(table.pieces()), sheet.into()),
        };
        // Numbers of facts mean something in one table alone.
        if self.begun {
            self.judges.iter_mut().for_each(AlikeJudge::forget);
        }
        self.begun = true;
        let room = Mutex::new(Vec::new());
        let Self { by, limits, .. } = *self;
        let hand = |judge| Judging {
            table,
            sheet,
            vans: by.vans,
            limits,
            piece: table.room(),
            reader: table.reader(by.rules),
            judge,
            lines: Lines::default(),
            room: &room,
            counts: [0; 4],
            tally: Tally::default(),
            since: 0,
        };
        let mut hands: Vec<Judging<'_, '_>> =
            self.judges.iter_mut().take(table.pieces().max(1)).map(hand).collect();
        let mut pieces = 0;
        let put = |lines: Vec<u8>| {
            pieces += 1;
            self.progress.advance(1);
            self.out.write_all(&lines)?;
            room.lock().unwrap_or_else(PoisonError::into_inner).push(lines);
            Ok(())
        };
        work(supply, &mut hands, put).map_err(|stop| match stop {
            Stop::Irregular => SieveError::Changed(changed.clone()),
            Stop::Output(error) => SieveError::Output(error),
        })?;
        if pieces != table.pieces() {
            return Err(SieveError::Changed(changed));
        }
        let mut whole = Tally::default();
        for hand in hands {
            whole.parts += hand.tally.parts;
            whole.reported += hand.tally.reported;
            whole.faults += hand.tally.faults;
            self.counts.iter_mut().zip(hand.counts).for_each(|(count, more)| *count += more);
        }
        Ok(whole)
    }
}

/// What rows came to.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    parts: u32,
    reported: u32,
    faults: usize,
}

/// Goes through pieces the second time.
struct Judging<'h, 'j> {
    table: &'h Table<'h>,
    sheet: &'h str,
    vans: &'h [Van],
    limits: &'h Limits,
    /// Where pieces of a text are split.
    piece: Option<Piece>,
    reader: TableReader,
    judge: &'h mut AlikeJudge<'j>,
    lines: Lines,
    /// Room that was written from, to be used again.
    room: &'h Mutex<Vec<Vec<u8>>>,
    counts: [u64; 4],
    tally: Tally,
    /// How many rows were read since all was forgotten.
    since: usize,
}

impl Hand for Judging<'_, '_> {
    type Gives = Vec<u8>;

    fn take(&mut self, place: usize, bytes: &mut Vec<u8>) -> Result<Vec<u8>, Irregular> {
        let mut out = self.room.lock().unwrap_or_else(PoisonError::into_inner).pop().unwrap_or_default();
        out.clear();
        match &self.table.rows {
            Rows::Text { before, .. } => {
                let (Some(before), Some(after)) = (before.get(place), before.get(place + 1)) else {
                    return Err(Irregular);
                };
                // Taken out while its rows are read, and put back with its room.
                let mut piece = self.piece.take().ok_or(Irregular)?;
                let extent = piece.split(bytes, *before, self.limits)?;
                if before + extent.records != *after {
                    return Err(Irregular);
                }
                self.rows(piece.tab().rows(), &mut out)?;
                self.piece = Some(piece);
            }
            Rows::Piece(piece) => self.rows(share(piece.tab(), place), &mut out)?,
            Rows::Tab(tab) => self.rows(share(tab, place), &mut out)?,
        }
        let kept = self.reader.kept() + self.judge.kept();
        if kept > MOST_KEPT || kept > MOST_KEPT_IN_VAIN.max(self.since) {
            self.since = 0;
            self.reader.forget();
            self.lines.forget();
            self.judge.forget();
        }
        Ok(out)
    }
}

impl Judging<'_, '_> {
    /// Judges rows and puts their lines.
    fn rows<'s>(&mut self, rows: impl Iterator<Item = Row<'s>>, out: &mut Vec<u8>) -> Result<(), Irregular> {
        let kind = self.table.kind();
        for row in rows {
            self.since += 1;
            let (supplier, sku, name) = match self.reader.read(row)? {
                Some(TableRow::Part { supplier, sku, name, faults }) => {
                    self.tally.faults += faults as usize;
                    (supplier, sku, name)
                }
                Some(TableRow::Reported { faults }) => {
                    self.tally.reported += 1;
                    self.tally.faults += faults as usize;
                    continue;
                }
                Some(TableRow::Furniture) | None => continue,
            };
            self.tally.parts += 1;
            self.tally.faults += self.judge.judge(kind, self.reader.numbers()) as usize;
            let who =
                Who { kind, supplier, sku, name, sheet: self.sheet, tab: self.table.tab, row: row.number() };
            self.lines.write(who, self.judge, self.vans, &mut self.counts, out);
        }
        Ok(())
    }
}
