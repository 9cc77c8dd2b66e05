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
use std::iter::Sum;
use std::path::PathBuf;
use std::slice;
use std::sync::Mutex;
use std::sync::PoisonError;

use rayon::prelude::*;

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

/// How many distinct texts of cells a hand keeps before it forgets them all and starts again: most sheets have some
/// thousand, and no sheet may fill the memory.
const MOST_TEXTS: usize = 30_000;

/// How many distinct facts, combinations of them, and sayings it keeps. Facts are few beside the texts that state them.
const MOST_FACTS: usize = 150_000;

/// Pieces of all tables, counted once for each van, of which the whole list may be held at once: some 20 MB.
const SHORT: usize = 96;

/// Whether tables of so many pieces are rather gone through one beside the other than each by all hands.
///
/// What two hands read of one table, both read for themselves. So each table has one hand where none of them is most
/// of the work, and what they come to can be held until it is its turn.
fn go_beside(threads: usize, pieces: impl Iterator<Item = usize> + Clone, vans: usize) -> bool {
    let (all, most) = (pieces.clone().sum::<usize>(), pieces.max().unwrap_or(0));
    threads > 1 && all * vans <= SHORT && most * 3 <= all * 2
}

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
    let sheets = &surveyed.sheets;
    let tables: Vec<(&Table<'_>, &str)> = sheets
        .iter()
        .flat_map(|sheet| sheet.tables.iter().map(move |table| (table, sheet.name.as_str())))
        .collect();
    let pieces = || tables.iter().map(|(table, _)| table.pieces());
    let (all, most) = (pieces().sum::<usize>(), pieces().max().unwrap_or(0));
    progress.begin("judging and writing", Some(all as u64));
    let beside = go_beside(threads, pieces(), by.vans.len());
    let hands = if beside { tables.len() } else { threads.min(most).max(1) };
    let judge = |_| AlikeJudge::new(by.rules, by.vans, by.packs, by.as_of);
    let judges = (0..hands).map(judge).collect::<Option<Vec<_>>>()?;
    let writing = Writing { by, limits, progress };
    let written = writeln!(out, "{}", HEADINGS.join(",")).map_err(SieveError::Output);
    let tallies = written.and_then(|()| {
        if beside { writing.beside(&tables, judges, out) } else { writing.in_turn(&tables, judges, out) }
    });
    Some(tallies.and_then(|tallies| {
        out.flush().map_err(SieveError::Output)?;
        Ok(Listed::of(sheets, &tallies))
    }))
}

impl Listed {
    /// Sheets with what each of their tables came to.
    fn of(sheets: &[Seen<'_>], tallies: &[Tally]) -> Self {
        let mut rest = tallies;
        let sieved = sheets.iter().map(|sheet| {
            let (own, others) = rest.split_at(sheet.tables.len());
            rest = others;
            let Tally { parts, reported, faults, .. } = own.iter().copied().sum();
            let account = SheetAccount {
                name: sheet.name.clone(),
                tabs: Vec::new(),
                rows: sheet.rows,
                parts,
                reported,
                furniture: sheet.rows.saturating_sub(parts + reported),
                remarks: Vec::new(),
            };
            Sieved { account, faults }
        });
        Self { sheets: sieved.collect(), verdicts: tallies.iter().copied().sum::<Tally>().verdicts }
    }
}

/// The list on its way out.
#[derive(Clone, Copy)]
struct Writing<'w> {
    by: By<'w>,
    limits: &'w Limits,
    progress: &'w Progress,
}

impl<'w> Writing<'w> {
    /// Tables one after the other, by all judges together.
    fn in_turn(
        self,
        tables: &[(&Table<'_>, &str)],
        mut judges: Vec<AlikeJudge<'w>>,
        out: &mut dyn Write,
    ) -> Result<Vec<Tally>, SieveError> {
        let in_turn = tables.iter().enumerate().map(|(nth, (table, sheet))| {
            // Numbers of facts mean something in one table alone.
            if nth > 0 {
                judges.iter_mut().for_each(AlikeJudge::forget);
            }
            self.table(table, sheet, &mut judges, out)
        });
        in_turn.collect()
    }

    /// Tables one beside the other, each by a judge of its own. What they come to is held until all are done.
    fn beside(
        self,
        tables: &[(&Table<'_>, &str)],
        judges: Vec<AlikeJudge<'w>>,
        out: &mut dyn Write,
    ) -> Result<Vec<Tally>, SieveError> {
        // Each judge goes with its table, and with it all that it keeps.
        let lists = tables.par_iter().zip(judges).map(|((table, sheet), mut judge)| {
            let mut list = Vec::new();
            let tally = self.table(table, sheet, slice::from_mut(&mut judge), &mut list)?;
            Ok((list, tally))
        });
        let lists = lists.collect::<Result<Vec<_>, SieveError>>()?;
        let put = |(list, tally): (Vec<u8>, Tally)| out.write_all(&list).map(|()| tally);
        lists.into_iter().map(put).collect::<io::Result<_>>().map_err(SieveError::Output)
    }

    /// One table, by all judges together.
    fn table(
        self,
        table: &Table<'_>,
        sheet: &str,
        judges: &mut [AlikeJudge<'w>],
        out: &mut dyn Write,
    ) -> Result<Tally, SieveError> {
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
        let room = Mutex::new(Vec::new());
        let Self { by, limits, progress } = self;
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
            tally: Tally::default(),
            since: 0,
        };
        let mut hands: Vec<Judging<'_, '_>> =
            judges.iter_mut().take(table.pieces().max(1)).map(hand).collect();
        let mut pieces = 0;
        let put = |lines: Vec<u8>| {
            pieces += 1;
            progress.advance(1);
            out.write_all(&lines)?;
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
        Ok(hands.into_iter().map(|hand| hand.tally).sum())
    }
}

/// What rows came to.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    parts: u32,
    reported: u32,
    faults: usize,
    /// In the order of [`VerdictKind::ALL`](crate::judge::VerdictKind::ALL).
    verdicts: [u64; 4],
}

impl Sum for Tally {
    fn sum<I: Iterator<Item = Self>>(tallies: I) -> Self {
        tallies.fold(Self::default(), |mut sum, tally| {
            sum.parts += tally.parts;
            sum.reported += tally.reported;
            sum.faults += tally.faults;
            sum.verdicts.iter_mut().zip(tally.verdicts).for_each(|(count, more)| *count += more);
            sum
        })
    }
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
    tally: Tally,
    /// How many rows were read since something was forgotten.
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
        self.forget_some();
        Ok(out)
    }
}

impl Judging<'_, '_> {
    /// Forgets where too much is kept: texts alone where rows share them, since what their facts come to is asked again.
    fn forget_some(&mut self) {
        let (texts, facts) = (self.reader.texts(), self.reader.facts() + self.judge.kept());
        if texts <= MOST_TEXTS && facts <= MOST_FACTS {
            return;
        }
        // More than one that is new in every row: hardly any will be met again.
        let in_vain = texts > self.since;
        self.since = 0;
        if facts <= MOST_FACTS && !in_vain {
            return self.reader.forget_texts();
        }
        self.reader.forget();
        self.lines.forget();
        self.judge.forget();
    }

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
            self.lines.write(who, self.judge, self.vans, &mut self.tally.verdicts, out);
        }
        Ok(())
    }
}
