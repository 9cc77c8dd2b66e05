//! Finds what separates the fields of a text file.
//!
//! Splits the first records by each candidate and asks which split explains them best. Only counts; never looks
//! at what fields mean.

use memchr::{memchr, memchr_iter};

use super::Delimiter;

/// How many records are looked at. Enough to outvote title lines and notes.
const RECORDS: usize = 200;

/// How much text is looked at, in bytes, lest one record that never ends be read four times.
pub(super) const SAMPLE: usize = 1 << 18;

const CANDIDATES: [Delimiter; 4] = [Delimiter::Comma, Delimiter::Semicolon, Delimiter::Tab, Delimiter::Pipe];

impl Delimiter {
    /// The character, which is one byte in every encoding once decoded to UTF-8.
    pub(super) fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
            Self::Pipe => b'|',
        }
    }
}

/// The delimiter of a text; the comma if nothing separates anything.
pub(super) fn find(text: &str) -> Delimiter {
    let sample = sample(text).as_bytes();
    let mut counts = CANDIDATES.map(|candidate| (candidate, memchr_iter(candidate.byte(), sample).count()));
    if counts.iter().all(|(candidate, count)| *candidate == Delimiter::Comma || *count == 0) {
        return Delimiter::Comma;
    }
    counts.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    let place = |candidate| CANDIDATES.iter().position(|known| *known == candidate);
    let mut best: Option<(i64, Delimiter)> = None;
    for (candidate, count) in counts {
        // What separates fields counts one at most.
        let most = i64::try_from(count).unwrap_or(i64::MAX);
        if best.is_some_and(|(score, _)| most < score) {
            break;
        }
        let Some(score) = score(sample, candidate) else { continue };
        // Of two that explain it equally well, the first of the list.
        let better = |(least, known)| score > least || (score == least && place(candidate) < place(known));
        if best.is_none_or(better) {
            best = Some((score, candidate));
        }
    }
    best.map_or(Delimiter::Comma, |(_, candidate)| candidate)
}

/// The start of the text, up to the end of a line.
fn sample(text: &str) -> &str {
    let mut end = text.len().min(SAMPLE);
    if end < text.len() {
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        end = text[..end].rfind(['\n', '\r']).unwrap_or(end);
    }
    &text[..end]
}

/// How well a candidate explains the sample; `None` if it separates nothing.
///
/// A record of the usual width counts one for each delimiter in it. What is left over counts against: a field that
/// still holds another candidate suggests that the other one is the delimiter. A comma that is plainly a decimal
/// mark (`8,5`) or punctuation (`black, matt`) is not held against anyone; without that, a semicolon file of
/// decimals would pass for a comma file.
fn score(sample: &[u8], candidate: Delimiter) -> Option<i64> {
    let mut splitter = Splitter::new(sample, candidate);
    let mut widths = Vec::with_capacity(RECORDS);
    let mut left_over = 0_i64;
    while widths.len() < RECORDS {
        let Some(width) = splitter.record(|field| left_over += left_over_in(field, candidate)) else { break };
        widths.push(width);
    }
    let usual = usual_width(&widths)?;
    let regular = widths.iter().filter(|width| **width == usual).count();
    let explained = i64::try_from(regular.saturating_mul(usual - 1)).unwrap_or(i64::MAX);
    Some(explained.saturating_sub(left_over))
}

/// Splits a text as the whole reading does later, into fields that are only looked at: at every candidate anew, so
/// it must not cost what reading costs.
struct Splitter<'s> {
    rest: &'s [u8],
    delimiter: u8,
    /// What a field in quotation marks says.
    unquoted: Vec<u8>,
}

impl<'s> Splitter<'s> {
    fn new(sample: &'s [u8], candidate: Delimiter) -> Self {
        let rest = sample.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(sample);
        Self { rest, delimiter: candidate.byte(), unquoted: Vec::new() }
    }

    /// Shows each field of the next record that is not blank; gives how many they are, `None` after the last.
    fn record(&mut self, mut show: impl FnMut(&[u8])) -> Option<usize> {
        let start = self.rest.iter().position(|byte| !matches!(byte, b'\n' | b'\r'))?;
        self.rest = &self.rest[start..];
        let mut width = 0;
        loop {
            let end = if self.rest.first() == Some(&b'"') {
                let end = self.quoted();
                show(&self.unquoted);
                end
            } else {
                let end = self.end_of_plain(self.rest);
                show(&self.rest[..end]);
                end
            };
            width += 1;
            let mark = self.rest.get(end);
            let goes_on = mark == Some(&self.delimiter);
            self.rest = self.rest.get(end + 1..).unwrap_or_default();
            if !goes_on {
                return Some(width);
            }
        }
    }

    fn end_of_plain(&self, field: &[u8]) -> usize {
        // Fields are short: a search through many bytes at once would take longer to begin.
        let ends = |byte: &u8| *byte == self.delimiter || matches!(byte, b'\n' | b'\r');
        field.iter().position(ends).unwrap_or(field.len())
    }

    /// Reads a field that begins with a quotation mark; gives where it ends.
    fn quoted(&mut self) -> usize {
        self.unquoted.clear();
        let mut at = 1;
        loop {
            let inner = self.rest.get(at..).unwrap_or_default();
            let Some(close) = memchr(b'"', inner) else {
                self.unquoted.extend_from_slice(inner);
                return self.rest.len();
            };
            self.unquoted.extend_from_slice(&inner[..close]);
            at += close + 1;
            if self.rest.get(at) != Some(&b'"') {
                break;
            }
            self.unquoted.push(b'"');
            at += 1;
        }
        // What stands behind the closing mark belongs to the field as it is.
        let behind = self.rest.get(at..).unwrap_or_default();
        let end = self.end_of_plain(behind);
        self.unquoted.extend_from_slice(&behind[..end]);
        at + end
    }
}

/// How many other candidates stand in a field without an excuse.
fn left_over_in(field: &[u8], candidate: Delimiter) -> i64 {
    // Hardly a field holds any.
    if !field.iter().any(|byte| matches!(byte, b',' | b';' | b'\t' | b'|')) {
        return 0;
    }
    let mut count = 0;
    for other in CANDIDATES.into_iter().filter(|other| *other != candidate) {
        let mut places = field
            .iter()
            .enumerate()
            .filter(|(_, byte)| **byte == other.byte())
            .map(|(place, _)| place)
            .filter(|place| other != Delimiter::Comma || field.get(place + 1) != Some(&b' '));
        let Some(first) = places.next() else { continue };
        let more = i64::try_from(places.count()).unwrap_or(i64::MAX);
        if more == 0 && other == Delimiter::Comma && is_decimal_mark(field, first) {
            continue;
        }
        count += 1 + more;
    }
    count
}

fn is_decimal_mark(field: &[u8], place: usize) -> bool {
    let is_digit =
        |place: Option<usize>| place.and_then(|place| field.get(place)).is_some_and(u8::is_ascii_digit);
    is_digit(place.checked_sub(1)) && is_digit(place.checked_add(1))
}

/// The width that most records of at least two fields have, the wider of two equally common; `None` without any.
fn usual_width(widths: &[usize]) -> Option<usize> {
    let mut sorted: Vec<usize> = widths.iter().copied().filter(|width| *width > 1).collect();
    sorted.sort_unstable();
    sorted.chunk_by(|a, b| a == b).max_by_key(|run| run.len()).and_then(|run| run.first().copied())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_delimiter_whatever_stands_around_it() {
        for (why, text, found) in [
            ("plain", "SKU,ET\nK7,38\n", Delimiter::Comma),
            ("plain", "SKU;ET\nK7;38\n", Delimiter::Semicolon),
            ("plain", "SKU\tET\nK7\t38\n", Delimiter::Tab),
            ("plain", "SKU|ET\nK7|38\n", Delimiter::Pipe),
            ("CR only", "SKU;ET\rK7;38\r", Delimiter::Semicolon),
            ("one column", "SKU\nK7\nK8\n", Delimiter::Comma),
            ("nothing", "", Delimiter::Comma),
            (
                "decimal commas outnumber the semicolons",
                "A;B;C;D;E\n8,5;17,0;38,0;84,1;130,0\n7,5;16,0;45,5;84,1;130,0\n",
                Delimiter::Semicolon,
            ),
            ("every row has one decimal comma", "SKU;Width\nA;8,5\nB;7,5\nC;7,5\n", Delimiter::Semicolon),
            (
                "title lines with commas",
                "Northfell Wheels, Harrow, list 7\nprices in EUR, without tax\n\nSKU;Width;ET\nA;8,5;38\nB;7;38\nC;7;45\n",
                Delimiter::Semicolon,
            ),
            (
                "commas as punctuation in every row",
                "SKU;Name;ET\nA;K7, black, matt, new;38\nB;K7, gold, matt, new;45\n",
                Delimiter::Semicolon,
            ),
            (
                "semicolons inside every row's note",
                "SKU,ET,Bore,Note\nA,38,84.1,winter; no chains\nB,45,84.1,winter; no chains\n",
                Delimiter::Comma,
            ),
            (
                "two drillings in one field",
                "SKU,Pattern,ET\nA,5x127|5x139.7,38\nB,5x127|5x139.7,45\n",
                Delimiter::Comma,
            ),
            ("a space after each comma", "SKU, Width, ET\nA, 8.5, 38\nB, 7.5, 45\n", Delimiter::Comma),
            ("thousands in quotation marks", "SKU,Load\nA,\"3,200 lb\"\nB,\"2,900 lb\"\n", Delimiter::Comma),
            ("ragged rows", "SKU\tET\tBore\tNote\nA\t38\nB\t45\t84,1\nC\t45\t84,1\tx, y\n", Delimiter::Tab),
        ] {
            assert_eq!(find(text), found, "{why}: {text:?}");
        }
    }

    #[test]
    fn records_are_split_as_the_library_splits_them() {
        let letters = ["\"", ",", ";", "\n", "\r", "a", " ", "\"\"", "5", "|", "\t", "\u{feff}"];
        // A linear congruence is random enough to meet every short text.
        let mut state = 7_u64;
        let mut next = move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(99_991);
            (state >> 33) as usize
        };
        for _ in 0..20_000 {
            let text: String = (0..next() % 16).map(|_| letters[next() % letters.len()]).collect();
            for candidate in CANDIDATES {
                let mut reader = csv::ReaderBuilder::new();
                reader.has_headers(false).flexible(true).delimiter(candidate.byte());
                let records = reader.from_reader(text.as_bytes()).into_byte_records();
                let expected: Vec<Vec<Vec<u8>>> =
                    records.map(|record| record.unwrap().iter().map(<[u8]>::to_vec).collect()).collect();
                let mut splitter = Splitter::new(text.as_bytes(), candidate);
                let mut found = Vec::new();
                let mut fields = Vec::new();
                while let Some(width) = splitter.record(|field| fields.push(field.to_vec())) {
                    assert_eq!(width, fields.len());
                    found.push(std::mem::take(&mut fields));
                }
                assert_eq!(found, expected, "{text:?} by {candidate:?}");
            }
        }
    }

    #[test]
    fn a_long_file_is_judged_by_its_start() {
        let mut text = "SKU;ET\n".repeat(1000);
        text.push_str(&"a,b,c,d,e,f\n".repeat(100_000));
        assert_eq!(find(&text), Delimiter::Semicolon);
    }
}
