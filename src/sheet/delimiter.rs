//! Finds what separates the fields of a text file.
//!
//! Splits the first records by each candidate and asks which split explains them best. Only counts; never looks
//! at what fields mean.

use super::Delimiter;

/// How many records are looked at. Enough to outvote title lines and notes.
const RECORDS: usize = 200;

/// How much text is looked at, in bytes, lest one record that never ends be read four times.
const SAMPLE: usize = 1 << 18;

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
    let sample = sample(text);
    let mut best = (Delimiter::Comma, None);
    for candidate in CANDIDATES {
        let score = score(sample, candidate);
        if score > best.1 {
            best = (candidate, score);
        }
    }
    best.0
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
fn score(sample: &str, candidate: Delimiter) -> Option<i64> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(candidate.byte())
        .from_reader(sample.as_bytes());
    let mut widths = Vec::with_capacity(RECORDS);
    let mut left_over = 0_i64;
    let mut record = csv::ByteRecord::new();
    while widths.len() < RECORDS && matches!(reader.read_byte_record(&mut record), Ok(true)) {
        widths.push(record.len());
        left_over += record.iter().map(|field| left_over_in(field, candidate)).sum::<i64>();
    }
    let usual = usual_width(&widths)?;
    let regular = widths.iter().filter(|width| **width == usual).count();
    let explained = i64::try_from(regular.saturating_mul(usual - 1)).unwrap_or(i64::MAX);
    Some(explained.saturating_sub(left_over))
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
    fn a_long_file_is_judged_by_its_start() {
        let mut text = "SKU;ET\n".repeat(1000);
        text.push_str(&"a,b,c,d,e,f\n".repeat(100_000));
        assert_eq!(find(&text), Delimiter::Semicolon);
    }
}
