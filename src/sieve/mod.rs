//! The list of text sheets, row by row, with no row kept.
//!
//! Takes in paths of text files, rules and vans; yields the bytes of [`report::list`](crate::report::list), which a
//! test holds against those of the way over a whole [`Judgement`](crate::judge::Judgement). Goes through each file
//! twice: first to know all that one row may say about others ([`survey`]), then to judge and write ([`write()`]).
//! Memory does not grow with rows but for eight bytes each, which tell whether a part number stands twice.
//!
//! Sheets are only gone through so where that gives the same list: one plain table in plain UTF-8, no part number
//! twice. All else is [`Irregular`], before anything was written.

mod crew;

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::PoisonError;

use foldhash::fast::RandomState;

use crate::facts::catalog::SheetAccount;
use crate::facts::part::PartKind;
use crate::facts::value::Value;
use crate::intake::table::{Outline, RowShapes, TableReader, TableRow};
use crate::judge::alike::AlikeJudge;
use crate::progress::Progress;
use crate::report::list::HEADINGS;
use crate::report::list::line::{Lines, Who};
use crate::rules::RuleSet;
use crate::sheet::{Extent, Form, Irregular, Limits, Piece, PiecedText};
use crate::van::Van;

use crew::{Hand, Stop, work};

/// How many distinct cells and sayings a hand keeps before it forgets them all and starts again: real sheets have
/// some thousand, and one whose every cell is different must not fill the memory.
const MOST_KEPT: usize = 150_000;

/// A sheet that was gone through once.
#[derive(Debug)]
pub struct Surveyed {
    path: PathBuf,
    name: String,
    form: Form,
    outline: Outline,
    /// For each piece how many records stand before it.
    before: Vec<u32>,
    /// The last row that holds something.
    last_row: u32,
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

/// Goes through sheets once, on so many threads.
///
/// # Errors
/// [`Irregular`] where the sheets must be taken in whole.
pub fn survey(
    paths: &[PathBuf],
    limits: &Limits,
    threads: usize,
    progress: &Progress,
) -> Result<Vec<Surveyed>, Irregular> {
    progress.begin("looking at the sheets", Some(bytes_of(paths)));
    let hasher = RandomState::default();
    let mut numbers = Vec::new();
    let sheets = paths.iter().map(|path| {
        let sheet = survey_one(path, limits, threads, &hasher, &mut numbers);
        progress.advance(bytes_of(std::slice::from_ref(path)));
        sheet
    });
    let sheets = sheets.collect::<Result<Vec<Surveyed>, Irregular>>()?;
    // Two part numbers alike, or by a chance of one in billions two hashes: rows must be compared.
    if any_twice(&numbers) { Err(Irregular) } else { Ok(sheets) }
}

/// The sizes of files together.
fn bytes_of(paths: &[PathBuf]) -> u64 {
    paths.iter().filter_map(|path| std::fs::metadata(path).ok()).map(|about| about.len()).sum()
}

/// Whether a hash stands twice among others. What falls on one of many bits with another may; only that is compared.
fn any_twice(hashes: &[u64]) -> bool {
    let bits = (hashes.len() * 16).next_power_of_two().max(64);
    let shift = 64 - bits.trailing_zeros();
    let mut taken = vec![0_u64; bits / 64];
    let mut perhaps = Vec::new();
    for hash in hashes {
        let bit = (hash >> shift) as usize;
        let word = &mut taken[bit / 64];
        if *word & 1 << (bit % 64) != 0 {
            perhaps.push(bit);
        }
        *word |= 1 << (bit % 64);
    }
    if perhaps.is_empty() {
        return false;
    }
    taken.fill(0);
    perhaps.iter().for_each(|bit| taken[bit / 64] |= 1 << (bit % 64));
    let shares = |hash: &&u64| {
        let bit = (**hash >> shift) as usize;
        taken[bit / 64] & 1 << (bit % 64) != 0
    };
    let mut sharing: Vec<u64> = hashes.iter().filter(shares).copied().collect();
    sharing.sort_unstable();
    sharing.windows(2).any(|pair| pair[0] == pair[1])
}

fn survey_one(
    path: &Path,
    limits: &Limits,
    threads: usize,
    hasher: &RandomState,
    numbers: &mut Vec<u64>,
) -> Result<Surveyed, Irregular> {
    let mut text = PiecedText::open(path, limits)?;
    let (name, form) = (text.name.clone(), text.form());
    let mut first = Vec::new();
    if !text.next(&mut first)? {
        return Err(Irregular);
    }
    let mut piece = Piece::new(form);
    let mut whole = piece.split(&mut first, 0, limits)?.and(Extent::default(), limits)?;
    let mut outline = Outline::of(piece.tab())?;
    let shapes = outline.shapes();
    let records = whole.records;
    let looker = |piece| Looker {
        piece,
        records,
        outline: outline.blank(),
        shapes: &shapes,
        hasher,
        limits,
        numbers: Vec::new(),
    };
    let mut lookers = vec![looker(piece)];
    lookers[0].look()?;
    lookers.extend((1..threads.min(text.about())).map(|_| looker(Piece::new(form))));
    let mut before = vec![0, records];
    let mut over = false;
    let add = |extent: Extent| {
        match whole.and(extent, limits) {
            Ok(sum) => whole = sum,
            Err(Irregular) => over = true,
        }
        before.push(whole.records);
        Ok(())
    };
    work(&mut text, &mut lookers, add).map_err(|_| Irregular)?;
    if over {
        return Err(Irregular);
    }
    for looker in &mut lookers {
        outline.add(&looker.outline);
        numbers.append(&mut looker.numbers);
    }
    Ok(Surveyed { path: path.to_owned(), name, form, outline, before, last_row: whole.last_held })
}

/// Goes through pieces the first time.
struct Looker<'s> {
    piece: Piece,
    /// How many records the first piece holds, the headings among them.
    records: u32,
    outline: Outline,
    shapes: &'s RowShapes<'static>,
    hasher: &'s RandomState,
    limits: &'s Limits,
    numbers: Vec<u64>,
}

impl Looker<'_> {
    fn look(&mut self) -> Result<(), Irregular> {
        self.outline.look(self.piece.tab(), self.shapes, self.hasher, &mut self.numbers)
    }
}

impl Hand for Looker<'_> {
    type Gives = Extent;

    fn take(&mut self, _place: usize, bytes: &mut Vec<u8>) -> Result<Extent, Irregular> {
        // How many records stand before is not known yet; no fewer than in the first piece, so below the headings.
        let extent = self.piece.split(bytes, self.records, self.limits)?;
        self.look()?;
        Ok(extent)
    }
}

/// Judges and writes the list of sheets that were gone through. `None` where this judge has no room for so many vans, or for such rules.
///
/// # Errors
/// [`SieveError`]; part of the list may have been written.
pub fn write(
    sheets: &[Surveyed],
    by: By<'_>,
    limits: &Limits,
    threads: usize,
    progress: &Progress,
    out: &mut dyn Write,
) -> Option<Result<Listed, SieveError>> {
    let pieces: usize = sheets.iter().map(|sheet| sheet.before.len() - 1).sum();
    progress.begin("judging and writing", u64::try_from(pieces).ok());
    let most = sheets.iter().map(|sheet| sheet.before.len() - 1).max().unwrap_or(1);
    let judge = |_| AlikeJudge::new(by.rules, by.vans, by.packs, by.as_of);
    let mut judges = (0..threads.min(most).max(1)).map(judge).collect::<Option<Vec<_>>>()?;
    let mut all = || {
        writeln!(out, "{}", HEADINGS.join(",")).map_err(SieveError::Output)?;
        let mut counts = [0; 4];
        let mut sieved = Vec::new();
        for sheet in sheets {
            sieved.push(write_one(sheet, by, limits, progress, &mut judges, &mut counts, out)?);
        }
        out.flush().map_err(SieveError::Output)?;
        Ok(Listed { sheets: sieved, verdicts: counts })
    };
    Some(all())
}

fn write_one(
    sheet: &Surveyed,
    by: By<'_>,
    limits: &Limits,
    progress: &Progress,
    judges: &mut [AlikeJudge<'_>],
    counts: &mut [u64; 4],
    out: &mut dyn Write,
) -> Result<Sieved, SieveError> {
    let changed = || SieveError::Changed(sheet.path.clone());
    let form = sheet.form;
    let wanted = by.rules.reads_or_names(sheet.outline.kind());
    let mut text = PiecedText::reopen(&sheet.path, form, limits).map_err(|Irregular| changed())?;
    let room = Mutex::new(Vec::new());
    let hand = |judge| Judging {
        sheet,
        vans: by.vans,
        limits,
        piece: Piece::new(form),
        reader: sheet.outline.reader(wanted),
        judge,
        lines: Lines::default(),
        room: &room,
        counts: [0; 4],
        parts: 0,
        reported: 0,
        faults: 0,
    };
    let mut hands: Vec<Judging<'_, '_>> = judges.iter_mut().map(hand).collect();
    let mut pieces = 0;
    let put = |lines: Vec<u8>| {
        pieces += 1;
        progress.advance(1);
        out.write_all(&lines)?;
        room.lock().unwrap_or_else(PoisonError::into_inner).push(lines);
        Ok(())
    };
    work(&mut text, &mut hands, put).map_err(|stop| match stop {
        Stop::Irregular => changed(),
        Stop::Output(error) => SieveError::Output(error),
    })?;
    if pieces + 1 != sheet.before.len() {
        return Err(changed());
    }
    let (mut parts, mut reported, mut faults) = (0, 0, 0);
    for hand in hands {
        // Numbers of facts mean something in one sheet alone.
        hand.judge.forget();
        parts += hand.parts;
        reported += hand.reported;
        faults += hand.faults;
        counts.iter_mut().zip(hand.counts).for_each(|(count, more)| *count += more);
    }
    let account = SheetAccount {
        name: sheet.name.clone(),
        tabs: Vec::new(),
        rows: sheet.last_row,
        parts,
        reported,
        furniture: sheet.last_row.saturating_sub(parts + reported),
        remarks: Vec::new(),
    };
    Ok(Sieved { account, faults })
}

/// Goes through pieces the second time.
struct Judging<'h, 'j> {
    sheet: &'h Surveyed,
    vans: &'h [Van],
    limits: &'h Limits,
    piece: Piece,
    reader: TableReader,
    judge: &'h mut AlikeJudge<'j>,
    lines: Lines,
    /// Room that was written from, to be used again.
    room: &'h Mutex<Vec<Vec<u8>>>,
    counts: [u64; 4],
    parts: u32,
    reported: u32,
    faults: usize,
}

impl Hand for Judging<'_, '_> {
    type Gives = Vec<u8>;

    fn take(&mut self, place: usize, bytes: &mut Vec<u8>) -> Result<Vec<u8>, Irregular> {
        let (before, after) = (self.before(place)?, self.before(place + 1)?);
        let extent = self.piece.split(bytes, before, self.limits)?;
        if before + extent.records != after {
            return Err(Irregular);
        }
        let mut out = self.room.lock().unwrap_or_else(PoisonError::into_inner).pop().unwrap_or_default();
        out.clear();
        let kind: PartKind = self.sheet.outline.kind();
        for row in self.piece.tab().rows() {
            let (supplier, sku, name) = match self.reader.read(row)? {
                Some(TableRow::Part { supplier, sku, name, faults }) => {
                    self.faults += faults as usize;
                    (supplier, sku, name)
                }
                Some(TableRow::Reported { faults }) => {
                    self.reported += 1;
                    self.faults += faults as usize;
                    continue;
                }
                Some(TableRow::Furniture) | None => continue,
            };
            self.parts += 1;
            self.faults += self.judge.judge(kind, self.reader.numbers()) as usize;
            let who = Who { kind, supplier, sku, name, sheet: &self.sheet.name, row: row.number() };
            self.lines.write(who, self.judge, self.vans, &mut self.counts, &mut out);
        }
        if self.reader.kept() + self.judge.kept() > MOST_KEPT {
            self.reader.forget();
            self.lines.forget();
            self.judge.forget();
        }
        Ok(out)
    }
}

impl Judging<'_, '_> {
    fn before(&self, place: usize) -> Result<u32, Irregular> {
        self.sheet.before.get(place).copied().ok_or(Irregular)
    }
}

#[cfg(test)]
mod tests {
    use super::any_twice;

    #[test]
    fn hashes_that_stand_twice_are_found_and_no_others() {
        // A multiplicative sequence meets itself only after its whole period.
        let hash = |nth: u64| nth.wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        for count in [0, 1, 2, 3, 100, 10_000] {
            let mut hashes: Vec<u64> = (0..count).map(hash).collect();
            assert!(!any_twice(&hashes), "{count}");
            // Neighbors that share a bit are not the same.
            hashes.extend((0..count).map(|nth| hash(nth) ^ 1));
            assert!(!any_twice(&hashes), "{count}");
            hashes.extend(hashes.get(hashes.len() / 2).copied());
            assert_eq!(any_twice(&hashes), count > 0, "{count}");
        }
    }
}
