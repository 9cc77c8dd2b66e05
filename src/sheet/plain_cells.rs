//! Cells of a worksheet that is written as nearly every program writes one, taken straight from its bytes.
//!
//! The workbook's reader understands XML in every form, and needs several times what unpacking does. This one knows one
//! form: every cell has its address first, then its style and type, and holds a figure, a shared text or a text of its own.
//! At the first thing written otherwise it stops, and whoever asked has the workbook's reader go on behind the cells that
//! it gave. So nothing is guessed here; a test holds the two readers together.
//!
//! The form of cells: ECMA-376 part 1, section 18.3.1.4 (from memory).

use std::borrow::Cow;
use std::io::Read;

use memchr::{memchr, memmem};
use quick_xml::escape::unescape;

use super::address::CellRef;

/// The texts that cells share, by their number.
#[derive(Default)]
pub(super) struct SharedTexts {
    text: String,
    /// Where each ends.
    ends: Vec<usize>,
}

impl SharedTexts {
    /// The texts of the part that holds them; `None` where one is written otherwise than plainly.
    pub(super) fn of(part: &[u8]) -> Option<Self> {
        let start = memmem::find(part, b"<sst")?;
        let begin = start + memchr(b'>', part.get(start..)?)? + 1;
        let head = part.get(..begin)?;
        if !is_plain_head(head) || head.ends_with(b"/>") {
            return None;
        }
        let mut scan = Scan(part.get(begin..)?);
        let mut texts = Self::default();
        while !scan.passes(b"</sst>") {
            scan.pass(b"<si>")?;
            texts.text.push_str(&scan.text()?);
            texts.ends.push(texts.text.len());
            scan.pass(b"</si>")?;
        }
        Some(texts)
    }

    fn get(&self, nth: usize) -> Option<&str> {
        let start = nth.checked_sub(1).map_or(Some(0), |before| self.ends.get(before).copied())?;
        self.text.get(start..*self.ends.get(nth)?)
    }
}

/// A cell.
pub(super) struct PlainCell<'s> {
    pub(super) at: CellRef,
    /// The number of its style, where it states one.
    pub(super) style: Option<usize>,
    pub(super) content: PlainContent<'s>,
}

/// What a cell holds.
pub(super) enum PlainContent<'s> {
    Nothing,
    Text(Cow<'s, str>),
    /// A number as it is written, in figures.
    Figures(&'s str),
}

/// What comes next.
pub(super) enum Next<'s> {
    Cell(PlainCell<'s>),
    /// No cell is left.
    Over,
    /// Something that is not written plainly.
    Other,
}

/// Bytes that are held at a time.
const WINDOW: usize = 1 << 16;

/// So many bytes are held where a cell or row begins, if there are more: one that does not end within what is held is left
/// to the workbook's reader.
const AT_HAND: usize = 1 << 12;

/// The cells of one worksheet, in the order in which they are written.
pub(super) struct PlainCells<'t, R> {
    part: R,
    texts: &'t SharedTexts,
    window: Vec<u8>,
    /// Where the bytes begin and end that were read and not passed.
    at: usize,
    end: usize,
    at_end: bool,
    in_row: bool,
}

impl<'t, R: Read> PlainCells<'t, R> {
    /// The cells of a worksheet; `None` where what stands before them is not plain.
    pub(super) fn begin(part: R, texts: &'t SharedTexts) -> Option<Self> {
        let window = vec![0; WINDOW];
        let mut new = Self { part, texts, window, at: 0, end: 0, at_end: false, in_row: false };
        new.fill()?;
        const DATA: &[u8] = b"<sheetData>";
        let start = new.held();
        let head = memmem::find(start, DATA)?;
        is_plain_head(start.get(..head)?).then_some(())?;
        new.at = head + DATA.len();
        Some(new)
    }

    /// The next cell.
    pub(super) fn next(&mut self) -> Next<'_> {
        match self.at_cell() {
            Some(true) => {}
            Some(false) => return Next::Over,
            None => return Next::Other,
        }
        let mut scan = Scan(&self.window[self.at..self.end]);
        let Some(cell) = scan.cell(self.texts) else { return Next::Other };
        self.at = self.end - scan.0.len();
        Next::Cell(cell)
    }

    /// Goes on to where a cell begins; `false` behind the last.
    fn at_cell(&mut self) -> Option<bool> {
        loop {
            self.fill()?;
            let mut scan = Scan(self.held());
            let in_row = if self.in_row {
                if scan.0.starts_with(b"<c ") {
                    return Some(true);
                }
                scan.pass(b"</row>")?;
                false
            } else if scan.passes(b"</sheetData>") {
                return Some(false);
            } else {
                scan.row_start()?
            };
            self.at = self.end - scan.0.len();
            self.in_row = in_row;
        }
    }

    fn held(&self) -> &[u8] {
        &self.window[self.at..self.end]
    }

    /// Reads on where less is held than a cell may take.
    fn fill(&mut self) -> Option<()> {
        if self.at_end || self.end - self.at >= AT_HAND {
            return Some(());
        }
        self.window.copy_within(self.at..self.end, 0);
        self.end -= self.at;
        self.at = 0;
        while self.end < WINDOW && !self.at_end {
            let read = self.part.read(&mut self.window[self.end..]).ok()?;
            self.at_end = read == 0;
            self.end += read;
        }
        Some(())
    }
}

/// Whether what stands before the first row or text is XML in UTF-8 without comments, instructions and the like, in which
/// anything may stand.
fn is_plain_head(head: &[u8]) -> bool {
    let rest = match head.strip_prefix(b"<?xml") {
        None => head,
        Some(declaration) => {
            let Some(end) = memmem::find(declaration, b"?>") else { return false };
            let (declaration, rest) = declaration.split_at(end + 2);
            let declaration = declaration.to_ascii_lowercase();
            let encoding = memmem::find(&declaration, b"encoding");
            if encoding.is_some_and(|at| memmem::find(&declaration[at..], b"utf-8").is_none()) {
                return false;
            }
            rest
        }
    };
    let begins = matches!(rest.trim_ascii_start(), [b'<', b'a'..=b'z', ..]);
    begins && memmem::find(rest, b"<!").is_none() && memmem::find(rest, b"<?").is_none()
}

/// Bytes that are gone through.
struct Scan<'s>(&'s [u8]);

impl<'s> Scan<'s> {
    /// Passes a word, if it stands here.
    #[inline]
    fn passes(&mut self, word: &[u8]) -> bool {
        match self.0.strip_prefix(word) {
            Some(rest) => {
                self.0 = rest;
                true
            }
            None => false,
        }
    }

    #[inline]
    fn pass(&mut self, word: &[u8]) -> Option<()> {
        self.passes(word).then_some(())
    }

    /// Passes what stands before a byte.
    #[inline]
    fn until(&mut self, byte: u8) -> Option<&'s [u8]> {
        let (before, rest) = self.0.split_at(memchr(byte, self.0)?);
        self.0 = rest;
        Some(before)
    }

    /// Passes a whole number of a few figures.
    #[inline]
    fn count(&mut self) -> Option<u32> {
        let mut count = 0;
        let figures = self.0.iter().take_while(|byte| byte.is_ascii_digit());
        let length = figures.map(|figure| count = count * 10 + u32::from(figure - b'0')).take(8).count();
        self.0 = &self.0[length..];
        (1..8).contains(&length).then_some(count)
    }

    /// Passes the start of a row; whether it holds cells.
    fn row_start(&mut self) -> Option<bool> {
        self.pass(b"<row")?;
        let attributes = self.until(b'>')?;
        self.pass(b">")?;
        let quotes = attributes.iter().filter(|byte| **byte == b'"').count();
        let plain = matches!(attributes, [] | [b' ' | b'/', ..])
            && quotes % 2 == 0
            && !attributes.iter().any(|byte| matches!(byte, b'<' | b'\''));
        plain.then(|| !attributes.ends_with(b"/"))
    }

    /// Passes a cell.
    #[inline]
    fn cell(&mut self, texts: &'s SharedTexts) -> Option<PlainCell<'s>> {
        self.pass(b"<c r=\"")?;
        let at = std::str::from_utf8(self.until(b'"')?).ok()?.parse().ok()?;
        self.pass(b"\"")?;
        let style = if self.passes(b" s=\"") {
            let style = self.count()?;
            self.pass(b"\"")?;
            Some(usize::try_from(style).ok()?)
        } else {
            None
        };
        let is_shared = self.passes(b" t=\"s\"");
        let is_own = !is_shared && self.passes(b" t=\"inlineStr\"");
        if !is_shared && !is_own {
            self.passes(b" t=\"n\"");
        }
        let content = if self.passes(b"/>") || self.passes(b"></c>") {
            PlainContent::Nothing
        } else if is_own {
            self.pass(b"><is>")?;
            let text = self.text()?;
            self.pass(b"</is></c>")?;
            PlainContent::Text(text)
        } else {
            self.pass(b"><v>")?;
            let content = if is_shared {
                PlainContent::Text(texts.get(usize::try_from(self.count()?).ok()?)?.into())
            } else {
                PlainContent::Figures(self.figures()?)
            };
            self.pass(b"</v></c>")?;
            content
        };
        Some(PlainCell { at, style, content })
    }

    /// Passes a number in figures.
    #[inline]
    fn figures(&mut self) -> Option<&'s str> {
        let is_part = |byte: &&u8| matches!(byte, b'0'..=b'9' | b'.' | b'-' | b'+' | b'e' | b'E');
        let (figures, rest) = self.0.split_at(self.0.iter().take_while(is_part).count());
        self.0 = rest;
        matches!(figures, [b'0'..=b'9', ..] | [b'-', b'0'..=b'9', ..]).then_some(())?;
        std::str::from_utf8(figures).ok()
    }

    /// Passes a text element, of one piece.
    fn text(&mut self) -> Option<Cow<'s, str>> {
        if self.passes(b"<t/>") {
            return Some(Cow::Borrowed(""));
        }
        let keeps_space = self.passes(b"<t xml:space=\"preserve\">");
        if !keeps_space {
            self.pass(b"<t>")?;
        }
        let text = self.until(b'<')?;
        self.pass(b"</t>")?;
        // Line ends are read as one character, and characters that XML cannot hold are written `_x0007_`.
        let is_plain = memchr(b'\r', text).is_none();
        let text = unescape(std::str::from_utf8(text).ok()?).ok()?;
        if !is_plain || text.contains("_x") {
            return None;
        }
        if keeps_space {
            return Some(text);
        }
        let is_space = [' ', '\t', '\r', '\n'];
        Some(match text {
            Cow::Borrowed(text) => text.trim_matches(is_space).into(),
            Cow::Owned(text) => text.trim_matches(is_space).to_owned().into(),
        })
    }
}

/// Whether a number written so is shown so: up to fifteen figures stand for a number of their own, which no shorter
/// ones do, and none of these could be left out.
pub(super) fn is_shown_so(figures: &str) -> bool {
    let digits = figures.strip_prefix('-').unwrap_or(figures).as_bytes();
    let all_figures = |bytes: &[u8]| !bytes.is_empty() && bytes.iter().all(u8::is_ascii_digit);
    let (whole, decimals) = match memchr(b'.', digits) {
        None => (digits, None),
        Some(point) => (&digits[..point], Some(&digits[point + 1..])),
    };
    digits.len() <= 15
        && all_figures(whole)
        && (whole == b"0" || whole[0] != b'0')
        && decimals.is_none_or(|decimals| all_figures(decimals) && !decimals.ends_with(b"0"))
        && figures != "-0"
}

#[cfg(test)]
mod tests;
