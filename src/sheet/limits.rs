//! How much of a file is taken in, so that no file can fill the memory or hold up a run.

use std::time::Duration;

use super::Column;

/// What reading one file may cost. The defaults keep each process that reads under 1 GiB and a read under 30 s, and
/// are many times what honest lists need; each may be raised.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The file itself, in bytes.
    pub file: u64,
    /// What the file unpacks to (a workbook) or decodes to (text), in bytes.
    pub unpacked: u64,
    /// Cells that hold something, over all tabs.
    pub cells: usize,
    /// Text of all cells together, in bytes of UTF-8. A tab cannot hold more than 4 GiB whatever this says.
    pub text: usize,
    /// Text of one cell, in bytes of UTF-8. Spreadsheet programs stop at 32,767 characters.
    pub cell: usize,
    /// The last row that may hold something.
    pub rows: u32,
    /// The last column that may hold something, counted from one. No sheet has more than [`Column::COUNT`].
    pub columns: u16,
    /// Memory of the process that reads a workbook, in bytes. Enforced on Unix only.
    pub memory: u64,
    /// Time to read a workbook.
    pub time: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            file: 192 << 20,
            unpacked: 512 << 20,
            cells: 20_000_000,
            text: 256 << 20,
            cell: 1 << 20,
            rows: 10_000_000,
            columns: Column::COUNT,
            memory: 960 << 20,
            time: Duration::from_secs(25),
        }
    }
}

impl Limits {
    /// All limits times a factor, but for the columns, which are at the most a sheet can have.
    #[must_use]
    pub fn raised(self, factor: u32) -> Self {
        let wide = u64::from(factor);
        let size = usize::try_from(factor).unwrap_or(usize::MAX);
        Self {
            file: self.file.saturating_mul(wide),
            unpacked: self.unpacked.saturating_mul(wide),
            cells: self.cells.saturating_mul(size),
            text: self.text.saturating_mul(size),
            cell: self.cell.saturating_mul(size),
            rows: self.rows.saturating_mul(factor),
            columns: self.columns,
            memory: self.memory.saturating_mul(wide),
            time: self.time.saturating_mul(factor),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn raising_never_wraps_and_leaves_the_columns() {
        let raised = Limits::default().raised(2);
        assert_eq!((raised.cells, raised.time), (40_000_000, Duration::from_secs(50)));
        let most = raised.raised(u32::MAX).raised(u32::MAX).raised(u32::MAX);
        assert_eq!((most.file, most.rows, most.columns), (u64::MAX, u32::MAX, Column::COUNT));
    }
}
