//! Addresses of cells as people read them off a screen: `D214`.
//!
//! Knows nothing about files; holds only the arithmetic between a column's position and its letters.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;

/// The column of a cell, counted from zero at the left edge of the sheet and shown in letters, `A` to `XFD`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Column(u16);

impl Column {
    /// How many columns a sheet has in current spreadsheet programs: `XFD` is the last.
    pub const COUNT: u16 = 16_384;

    /// The last column there is.
    pub const LAST: Self = Self(Self::COUNT - 1);

    /// The column at a position counted from zero; `None` beyond `XFD`.
    pub fn from_index(index: usize) -> Option<Self> {
        u16::try_from(index).ok().filter(|index| *index < Self::COUNT).map(Self)
    }

    /// The position counted from zero: 0 for `A`.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

impl fmt::Display for Column {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Letters count without a zero: after Z (26) comes AA (27), so each step takes one off first.
        let mut letters = [0_u8; 3];
        let mut from = letters.len();
        let mut left = u32::from(self.0) + 1;
        while left > 0 && from > 0 {
            left -= 1;
            from -= 1;
            letters[from] = b'A' + u8::try_from(left % 26).unwrap_or(0);
            left /= 26;
        }
        f.pad(std::str::from_utf8(&letters[from..]).unwrap_or("?"))
    }
}

impl FromStr for Column {
    type Err = AddressError;

    fn from_str(letters: &str) -> Result<Self, AddressError> {
        let not_a_column = || AddressError::NotAColumn(letters.to_owned());
        if letters.is_empty() || letters.len() > 3 {
            return Err(not_a_column());
        }
        let mut count = 0_usize;
        for letter in letters.bytes() {
            if !letter.is_ascii_alphabetic() {
                return Err(not_a_column());
            }
            count = count * 26 + usize::from(letter.to_ascii_uppercase() - b'A') + 1;
        }
        Self::from_index(count - 1).ok_or_else(not_a_column)
    }
}

/// The address of a cell within its tab. Sorts in reading order: by row, then by column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CellRef {
    /// The row as people see it: the first is 1.
    pub row: u32,
    /// The column.
    pub column: Column,
}

impl CellRef {
    /// The cell where a column meets a row (first row 1).
    pub fn new(column: Column, row: u32) -> Self {
        Self { row, column }
    }
}

impl fmt::Display for CellRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.column, self.row)
    }
}

impl FromStr for CellRef {
    type Err = AddressError;

    fn from_str(address: &str) -> Result<Self, AddressError> {
        let not_an_address = || AddressError::NotAnAddress(address.to_owned());
        let digits = address.find(|c: char| c.is_ascii_digit()).ok_or_else(not_an_address)?;
        let (letters, digits) = address.split_at(digits);
        let column = letters.parse().map_err(|_| not_an_address())?;
        match digits.parse() {
            Ok(row) if row > 0 => Ok(Self { row, column }),
            _ => Err(not_an_address()),
        }
    }
}

/// Why a text is no address.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum AddressError {
    /// The text is not one to three letters from `A` to `XFD`.
    #[error("`{0}` is not a column; columns run from `A` to `XFD`")]
    NotAColumn(String),
    /// The text is not a column followed by a row number.
    #[error("`{0}` is not a cell address such as `D214`")]
    NotAnAddress(String),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_lettered_as_spreadsheets_letter_them() {
        // The last column, XFD for position 16,384, is that of ECMA-376 workbooks (from memory).
        for (index, letters) in [
            (0, "A"),
            (25, "Z"),
            (26, "AA"),
            (51, "AZ"),
            (52, "BA"),
            (701, "ZZ"),
            (702, "AAA"),
            (16_383, "XFD"),
        ] {
            let column = Column::from_index(index).unwrap();
            assert_eq!(column.to_string(), letters);
            assert_eq!(letters.parse(), Ok(column));
            assert_eq!(letters.to_lowercase().parse(), Ok(column));
            assert_eq!(column.index(), index);
        }
    }

    #[test]
    fn every_column_survives_being_written_and_read() {
        for index in 0..usize::from(Column::COUNT) {
            let column = Column::from_index(index).unwrap();
            assert_eq!(column.to_string().parse(), Ok(column));
        }
    }

    #[test]
    fn refuses_columns_that_no_sheet_has() {
        assert_eq!(Column::from_index(16_384), None);
        for letters in ["", "XFE", "AAAA", "A1", "Ä", "-"] {
            assert!(letters.parse::<Column>().is_err(), "{letters:?}");
        }
    }

    #[test]
    fn cell_addresses_read_as_written_and_sort_in_reading_order() {
        let d214: CellRef = "D214".parse().unwrap();
        assert_eq!(d214, CellRef::new(Column::from_index(3).unwrap(), 214));
        assert_eq!(d214.to_string(), "D214");
        assert!("Z9".parse::<CellRef>().unwrap() < "A10".parse().unwrap());
        for address in ["", "D", "214", "D0", "D-1", "D2x", "XFE1", "D99999999999"] {
            assert!(address.parse::<CellRef>().is_err(), "{address:?}");
        }
    }
}
