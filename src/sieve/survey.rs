//! Going through sheets the first time: all that one row may say about others.

use std::path::{Path, PathBuf};

use foldhash::fast::RandomState;
use rayon::prelude::*;

use crate::facts::part::PartKind;
use crate::intake::table::{Outline, RowShapes, TableReader};
use crate::progress::Progress;
use crate::rules::RuleSet;
use crate::sheet::{Extent, Form, Irregular, Limits, Piece, PiecedText, Row, Sheet, Tab};
use crate::sieve::crew::{Hand, Supply, work};
use crate::sieve::go_beside;

/// A sheet on its way into the list.
#[derive(Clone, Copy, Debug)]
pub enum Given<'s> {
    /// A text file, of which no more than some pieces are held at a time.
    Text(&'s Path),
    /// A sheet that is held whole, as workbooks are.
    Held(&'s Sheet),
}

/// Sheets that were gone through once.
#[derive(Debug)]
pub struct Surveyed<'s> {
    pub(super) sheets: Vec<Seen<'s>>,
}

/// One sheet, with the tables that stand in it.
#[derive(Debug)]
pub(super) struct Seen<'s> {
    /// The file's name as shown.
    pub(super) name: String,
    /// Rows of all tabs, blank ones up to the last that holds something included.
    pub(super) rows: u32,
    pub(super) tables: Vec<Table<'s>>,
}

/// The table of one tab.
#[derive(Debug)]
pub(super) struct Table<'s> {
    /// The name on its tab; empty for a text.
    pub(super) tab: &'s str,
    outline: Outline,
    pub(super) rows: Rows<'s>,
}

/// Where the rows of a table are.
#[derive(Debug)]
pub(super) enum Rows<'s> {
    /// In a text file, to be cut into pieces and split again.
    Text {
        path: PathBuf,
        form: Form,
        /// For each piece how many records stand before it.
        before: Vec<u32>,
    },
    /// In a text of one piece, which was kept.
    Piece(Piece),
    /// In a tab that is held.
    Tab(&'s Tab),
}

/// How many rows of a tab are taken at a time.
const SHARE: usize = 1000;

impl Table<'_> {
    /// What its rows are.
    pub(super) fn kind(&self) -> PartKind {
        self.outline.kind()
    }

    /// Reads its rows for these rules.
    pub(super) fn reader(&self, rules: &RuleSet) -> TableReader {
        self.outline.reader(rules.reads_or_names(self.kind()))
    }

    /// Room to split its pieces in, where they are not held.
    pub(super) fn room(&self) -> Option<Piece> {
        match &self.rows {
            Rows::Text { form, .. } => Some(Piece::new(*form)),
            Rows::Piece(_) | Rows::Tab(_) => None,
        }
    }

    /// How many pieces its rows are taken in.
    pub(super) fn pieces(&self) -> usize {
        match &self.rows {
            Rows::Text { before, .. } => before.len() - 1,
            Rows::Piece(piece) => shares(piece.tab()),
            Rows::Tab(tab) => shares(tab),
        }
    }
}

/// How many shares the rows of a tab make.
fn shares(tab: &Tab) -> usize {
    tab.rows().len().div_ceil(SHARE)
}

/// The rows of one share.
pub(super) fn share(tab: &Tab, place: usize) -> impl ExactSizeIterator<Item = Row<'_>> {
    tab.rows().skip(place * SHARE).take(SHARE)
}

/// Goes through sheets once, on so many threads.
///
/// # Errors
/// [`Irregular`] where the sheets must be taken in whole.
pub fn survey<'s>(
    given: &[Given<'s>],
    limits: &Limits,
    threads: usize,
    progress: &Progress,
) -> Result<Surveyed<'s>, Irregular> {
    let extents: Vec<u64> = given.iter().map(extent_of).collect();
    progress.begin("looking at the sheets", Some(extents.iter().sum()));
    let hasher = RandomState::default();
    let beside = go_beside(threads, given.iter().zip(&extents).map(pieces_of), 1);
    let surveyor = Surveyor { limits, threads: if beside { 1 } else { threads }, hasher: &hasher };
    let look = |(one, extent): (&Given<'s>, &u64)| {
        let seen = match one {
            Given::Text(path) => surveyor.text(path),
            Given::Held(sheet) => surveyor.held(sheet),
        };
        progress.advance(*extent);
        seen
    };
    let seen: Result<Vec<_>, Irregular> = if beside {
        given.par_iter().zip(&extents).map(look).collect()
    } else {
        given.iter().zip(&extents).map(look).collect()
    };
    let (sheets, numbers): (Vec<Seen<'s>>, Vec<PartNumbers>) = seen?.into_iter().unzip();
    let numbers = PartNumbers(numbers.into_iter().flat_map(|numbers| numbers.0).collect());
    // Two part numbers alike, or by a chance of one in billions two hashes: rows must be compared.
    if numbers.any_twice() { Err(Irregular) } else { Ok(Surveyed { sheets }) }
}

/// About how many pieces there are to go through.
fn pieces_of((given, extent): (&Given<'_>, &u64)) -> usize {
    match given {
        Given::Text(_) => PiecedText::pieces_of(*extent),
        Given::Held(sheet) => sheet.tabs.iter().map(shares).sum(),
    }
}

/// How much there is to go through: bytes of a text, rows of what is held.
fn extent_of(given: &Given<'_>) -> u64 {
    match given {
        Given::Text(path) => std::fs::metadata(path).map_or(0, |about| about.len()),
        Given::Held(sheet) => sheet.tabs.iter().map(|tab| tab.rows().len() as u64).sum(),
    }
}

/// A hash of every part number; those of one piece together, so that nothing is copied while they grow.
#[derive(Debug, Default)]
struct PartNumbers(Vec<Vec<u64>>);

impl PartNumbers {
    /// Whether a hash stands twice. What falls on one of many bits with another may; only that is compared.
    fn any_twice(&self) -> bool {
        let hashes = || self.0.iter().flatten().copied();
        let count: usize = self.0.iter().map(Vec::len).sum();
        let bits = (count * 16).next_power_of_two().max(64);
        let shift = 64 - bits.trailing_zeros();
        let mut taken = vec![0_u64; bits / 64];
        let mut perhaps = Vec::new();
        for hash in hashes() {
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
        let shares = |hash: &u64| {
            let bit = (*hash >> shift) as usize;
            taken[bit / 64] & 1 << (bit % 64) != 0
        };
        let mut sharing: Vec<u64> = hashes().filter(shares).collect();
        sharing.sort_unstable();
        sharing.windows(2).any(|pair| pair[0] == pair[1])
    }
}

/// Looks at the rows of one table, on one thread.
struct Sight<'s> {
    outline: Outline,
    shapes: &'s RowShapes<'static>,
    hasher: &'s RandomState,
    numbers: PartNumbers,
}

impl Sight<'_> {
    fn look<'r>(&mut self, rows: impl ExactSizeIterator<Item = Row<'r>>) -> Result<(), Irregular> {
        let mut numbers = Vec::with_capacity(rows.len());
        self.outline.look(rows, self.shapes, self.hasher, &mut numbers)?;
        self.numbers.0.push(numbers);
        Ok(())
    }
}

/// Looks at sheets, each on so many threads.
#[derive(Clone, Copy)]
struct Surveyor<'v> {
    limits: &'v Limits,
    threads: usize,
    hasher: &'v RandomState,
}

impl<'v> Surveyor<'v> {
    fn sight<'s>(self, outline: &Outline, shapes: &'s RowShapes<'static>) -> Sight<'s>
    where
        'v: 's,
    {
        Sight { outline: outline.blank(), shapes, hasher: self.hasher, numbers: PartNumbers::default() }
    }

    fn text<'s>(self, path: &Path) -> Result<(Seen<'s>, PartNumbers), Irregular> {
        let limits = self.limits;
        let mut text = PiecedText::open(path, limits)?;
        let (name, form) = (text.name.clone(), text.form());
        let mut first = Vec::new();
        if !text.next(&mut first)? {
            return Err(Irregular);
        }
        let mut piece = Piece::new(form);
        let mut whole = piece.split(&mut first, 0, limits)?.and(Extent::default(), limits)?;
        let mut outline = Outline::of(piece.tab())?.ok_or(Irregular)?;
        let shapes = outline.shapes();
        let records = whole.records;
        let seen = |outline, rows, whole: Extent| {
            let table = Table { tab: "", outline, rows };
            Seen { name, rows: whole.last_held, tables: vec![table] }
        };
        let mut numbers = PartNumbers::default();
        if text.is_over() {
            let mut sight = self.sight(&outline, &shapes);
            sight.look(piece.tab().rows())?;
            gather(&mut outline, &mut numbers, [sight]);
            return Ok((seen(outline, Rows::Piece(piece), whole), numbers));
        }
        let sight = || self.sight(&outline, &shapes);
        let looker = |piece| Looker { piece, records, limits, sight: sight() };
        let mut lookers = vec![looker(piece)];
        lookers[0].look()?;
        lookers.extend((1..self.threads.min(text.about())).map(|_| looker(Piece::new(form))));
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
        work(Supply::Text(&mut text), &mut lookers, add).map_err(|_| Irregular)?;
        if over {
            return Err(Irregular);
        }
        let sights: Vec<Sight<'_>> = lookers.into_iter().map(|looker| looker.sight).collect();
        gather(&mut outline, &mut numbers, sights);
        Ok((seen(outline, Rows::Text { path: path.to_owned(), form, before }, whole), numbers))
    }

    fn held<'s>(self, sheet: &'s Sheet) -> Result<(Seen<'s>, PartNumbers), Irregular> {
        let mut seen = Seen { name: sheet.name.clone(), rows: 0, tables: Vec::new() };
        let mut numbers = PartNumbers::default();
        for tab in &sheet.tabs {
            seen.rows = seen.rows.checked_add(tab.last_row()).ok_or(Irregular)?;
            // A tab without headings holds no catalog: notes, drawings, terms of sale.
            if let Some(outline) = Outline::of(tab)? {
                seen.tables.push(self.tab(tab, outline, &mut numbers)?);
            }
        }
        // A sheet without a table is an error that the whole way tells.
        if seen.tables.is_empty() { Err(Irregular) } else { Ok((seen, numbers)) }
    }

    fn tab<'s>(
        self,
        tab: &'s Tab,
        mut outline: Outline,
        numbers: &mut PartNumbers,
    ) -> Result<Table<'s>, Irregular> {
        let shapes = outline.shapes();
        let sharer = |_| Sharer { tab, sight: self.sight(&outline, &shapes) };
        let pieces = shares(tab);
        let mut sharers: Vec<Sharer<'_>> = (0..self.threads.min(pieces).max(1)).map(sharer).collect();
        work(Supply::Held(pieces), &mut sharers, |()| Ok(())).map_err(|_| Irregular)?;
        let sights: Vec<Sight<'_>> = sharers.into_iter().map(|sharer| sharer.sight).collect();
        gather(&mut outline, numbers, sights);
        Ok(Table { tab: tab.name(), outline, rows: Rows::Tab(tab) })
    }
}

/// Takes in what was seen of a table.
fn gather<'s>(outline: &mut Outline, numbers: &mut PartNumbers, sights: impl IntoIterator<Item = Sight<'s>>) {
    for mut sight in sights {
        outline.add(&sight.outline);
        numbers.0.append(&mut sight.numbers.0);
    }
}

/// Goes through pieces of a text.
struct Looker<'s> {
    piece: Piece,
    /// How many records the first piece holds, the headings among them.
    records: u32,
    limits: &'s Limits,
    sight: Sight<'s>,
}

impl Looker<'_> {
    fn look(&mut self) -> Result<(), Irregular> {
        self.sight.look(self.piece.tab().rows())
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

/// Goes through shares of a tab.
struct Sharer<'s> {
    tab: &'s Tab,
    sight: Sight<'s>,
}

impl Hand for Sharer<'_> {
    type Gives = ();

    fn take(&mut self, place: usize, _bytes: &mut Vec<u8>) -> Result<(), Irregular> {
        self.sight.look(share(self.tab, place))
    }
}

#[cfg(test)]
mod tests {
    use super::PartNumbers;

    #[test]
    fn hashes_that_stand_twice_are_found_and_no_others() {
        // A multiplicative sequence meets itself only after its whole period.
        // In pieces of some size.
        let any_twice =
            |hashes: &[u64]| PartNumbers(hashes.chunks(7).map(<[u64]>::to_vec).collect()).any_twice();
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
