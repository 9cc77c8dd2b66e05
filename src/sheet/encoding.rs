//! Finds the encoding of a text file and decodes it.
//!
//! A byte order mark decides. Without one, bytes that are valid UTF-8 are UTF-8, since text in another encoding
//! hardly ever is by chance, and zero bytes at every other place show UTF-16. All else is an old single-byte or East
//! Asian encoding, which can only be weighed: windows-1252 unless much speaks for another. What was found stands in
//! [`Form::Text`](super::Form::Text).

use chardetng::{EncodingDetector, Iso2022JpDetection, Utf8Detection};
use encoding_rs::{Encoding, ISO_8859_2, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1250, WINDOWS_1252};

use super::limits::Limits;
use super::problem::{Excess, NotASheet, SheetError};

/// How much is weighed, in bytes.
const SAMPLE: usize = 1 << 20;

/// How many letters outside ASCII must stand within words before an encoding other than windows-1252 is believed.
/// Signs such as `£`, `Ø`, `±`, `½` and `°` stand beside numbers, and alone say nothing.
const EVIDENCE: usize = 4;

/// Decodes the bytes of a text file: the text without its byte order mark, and the encoding it was in.
pub(super) fn decode(
    name: &str,
    bytes: Vec<u8>,
    limits: Limits,
) -> Result<(String, &'static Encoding), SheetError> {
    let not_a_sheet = |why| SheetError::NotASheet { name: name.to_owned(), why };
    let (encoding, mark) = match Encoding::for_bom(&bytes) {
        Some((encoding, mark)) => (encoding, mark),
        None => (weigh(&bytes), 0),
    };
    let undecodable = || match mark {
        0 => not_a_sheet(NotASheet::Binary),
        _ => SheetError::Undecodable { name: name.to_owned(), encoding: encoding.name() },
    };
    let text = if encoding == UTF_8 {
        let mut text = String::from_utf8(bytes).map_err(|_| undecodable())?;
        text.drain(..mark);
        text
    } else {
        // Room is asked for by what the text can become at most, so the limit comes first.
        let most = u64::try_from(bytes.len()).unwrap_or(u64::MAX).saturating_mul(2);
        if most > limits.unpacked {
            let excess = Excess::Unpacked { limit: limits.unpacked };
            return Err(SheetError::TooLarge { name: name.to_owned(), excess });
        }
        let declared = mark > 0 || encoding == UTF_16LE || encoding == UTF_16BE;
        let text = if declared {
            encoding.decode_without_bom_handling_and_without_replacement(&bytes[mark..])
        } else {
            Some(encoding.decode_without_bom_handling(&bytes).0)
        };
        text.ok_or_else(undecodable)?.into_owned()
    };
    if text.contains('\0') {
        let many = text.bytes().take(SAMPLE).filter(|byte| *byte == 0).count() > text.len().min(SAMPLE) / 16;
        return Err(not_a_sheet(if many { NotASheet::Binary } else { NotASheet::ZeroBytes }));
    }
    Ok((text, encoding))
}

/// The encoding of bytes without a byte order mark.
fn weigh(bytes: &[u8]) -> &'static Encoding {
    if let Some(wide) = wide(bytes) {
        return wide;
    }
    if std::str::from_utf8(bytes).is_ok() {
        return UTF_8;
    }
    let sample = &bytes[..bytes.len().min(SAMPLE)];
    let mut detector = EncodingDetector::new(Iso2022JpDetection::Deny);
    detector.feed(sample, true);
    // The hint is a country whose old text is windows-1252. Without it, signs beside numbers are read as letters
    // of eastern alphabets; with it, an eastern alphabet must show itself.
    let western = detector.guess(Some(b"de"), Utf8Detection::Deny);
    let is_eastern = |encoding: &'static Encoding| encoding == WINDOWS_1250 || encoding == ISO_8859_2;
    let eastern = [b"pl", b"cz", b"hu"]
        .into_iter()
        .map(|country| detector.guess(Some(country), Utf8Detection::Deny))
        .find(|guess| is_eastern(guess));
    let read = |encoding: &'static Encoding| encoding.decode_without_bom_handling(sample).0;
    if let Some(eastern) = eastern
        && eastern_letters(&read(eastern)) >= EVIDENCE
        && mixes_signs_into_words(&read(WINDOWS_1252))
    {
        return eastern;
    }
    if !is_eastern(western) && letters_within_words(&read(western)) >= EVIDENCE {
        western
    } else {
        WINDOWS_1252
    }
}

/// UTF-16 without a byte order mark: in text of Latin letters every other byte is zero.
fn wide(bytes: &[u8]) -> Option<&'static Encoding> {
    let sample = &bytes[..bytes.len().min(4096)];
    let pairs = sample.len() / 2;
    let (mut first, mut second) = (0_usize, 0_usize);
    for pair in sample.chunks_exact(2) {
        first += usize::from(pair[0] == 0);
        second += usize::from(pair[1] == 0);
    }
    // A delimiter or digit in every other pair is the least that a list holds.
    match (first * 3 > pairs, second * 3 > pairs) {
        (false, true) if first * 50 <= pairs => Some(UTF_16LE),
        (true, false) if second * 50 <= pairs => Some(UTF_16BE),
        _ => None,
    }
}

/// Letters outside ASCII with a letter beside them.
fn letters_within_words(text: &str) -> usize {
    let mut count = 0;
    let (mut before_last, mut last) = (' ', ' ');
    for next in text.chars().chain([' ']) {
        if !last.is_ascii() && last.is_alphabetic() && (before_last.is_alphabetic() || next.is_alphabetic()) {
            count += 1;
        }
        (before_last, last) = (last, next);
    }
    count
}

/// Letters that the languages of windows-1250 have and those of windows-1252 do not.
fn eastern_letters(text: &str) -> usize {
    text.chars().filter(|letter| "ąćęłńśźżčďěňřťůőűľĺŕăţşđĄĆĘŁŃŚŹŻČĎĚŇŘŤŮŐŰĽĹŔĂŢŞĐ".contains(*letter)).count()
}

/// Whether the text, read as windows-1252, has signs in the middle of words or letters that its languages do not
/// use together: then it is not windows-1252.
fn mixes_signs_into_words(latin: &str) -> bool {
    let mut strange = 0;
    let (mut before_last, mut last) = (' ', ' ');
    for next in latin.chars().chain([' ']) {
        let within = before_last.is_alphabetic() && next.is_alphabetic();
        strange += usize::from(match last {
            '¹' | '¿' | '¥' | '£' | '¯' | 'Ÿ' | '\u{8F}' | '\u{9D}' | '\u{8D}' => {
                before_last.is_alphabetic()
            }
            // Cubic meters, halves and tolerances may follow a word, but do not stand within one.
            '³' | '¼' | '¾' | '±' | '¶' | '¦' => within,
            // As in French `cœur` and `œil`.
            'œ' => !matches!(next, 'u' | 'i' | 'e' | 't') && before_last.is_alphabetic(),
            _ => false,
        });
        (before_last, last) = (last, next);
    }
    let has = |letters: &str| latin.chars().any(|letter| letters.contains(letter));
    // Czech ř, ě, č and ů come out as ø, ì, è and ù, which no one language has all of.
    strange >= 2 || (has("øØ") && has("ìÌ")) || (has("øØ") && has("èÈ") && has("ùÙ"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(bytes: &[u8]) -> (String, &'static str) {
        let (text, encoding) = decode("list.csv", bytes.to_vec(), Limits::default()).unwrap();
        (text, encoding.name())
    }

    #[test]
    fn signs_beside_numbers_are_read_as_windows_1252() {
        for text in [
            "SKU;Price\nNF-1;£12.50\n",
            "SKU;Bohrung\nNF-1;Ø 84,1\n",
            "SKU;Offset\nNF-1;38 ±1\n",
            "SKU;Width\nNF-1;6½x16\n",
            "SKU;Seat\nNF-1;60° cone\n",
            "SKU;Seat\nNF-1;60°\nNF-2;Ø 84,1 ±0,1\nNF-3;£12.50\n",
            "SKU;Größe;Lochkreis Ø\nNF-1;8½Jx17;130 ±0,1\n",
            "Référence;Déport;Entraxe\nNF-1;ET38;6×130\n",
            "Código;Ángulo;Diámetro\nNF-1;60°;84,1\n",
            "Prezzo;Capacità\nNF-1;€ 129,00\n",
            "Modèle;Année\nCœur d'été;Œuvre dédiée à la manœuvre, près du bœuf\n",
            "Produkt;Pris\nFælg, sølv;Må ikke køres uden bæreevne på nøglehullet\n",
        ] {
            let (bytes, _, lost) = WINDOWS_1252.encode(text);
            assert!(!lost, "{text}");
            assert_eq!(found(&bytes), (text.to_owned(), "windows-1252"));
        }
    }

    #[test]
    fn polish_and_czech_lists_are_read_as_windows_1250() {
        for text in [
            "Kod;Szerokość;Średnica otworu;Nośność;Kolor\n\
             NF-1;8,5;84,1;1120 kg;czarny połysk\nNF-2;7;84,1;1250 kg;żółty błyszczący, do pojazdów ciężkich\n",
            "Kód;Šířka ráfku;Průměr středového otvoru;Nosnost;Barva\n\
             NF-1;8,5;84,1;1120 kg;černá lesklá\nNF-2;7;84,1;1250 kg;stříbrná, pro těžká vozidla, děrování\n",
        ] {
            let (bytes, _, lost) = WINDOWS_1250.encode(text);
            assert!(!lost, "{text}");
            assert_eq!(found(&bytes), (text.to_owned(), "windows-1250"));
        }
    }

    #[test]
    fn the_other_old_encoding_of_eastern_letters_is_told_from_it() {
        let text =
            "Kod;Szerokość;Średnica otworu;Nośność\nNF-1;8,5;84,1;żółty błyszczący, do pojazdów ciężkich\n";
        let (bytes, _, lost) = ISO_8859_2.encode(text);
        assert!(!lost);
        assert_eq!(found(&bytes), (text.to_owned(), "ISO-8859-2"));
    }

    #[test]
    fn other_alphabets_are_found_when_they_show_themselves() {
        let text = "Артикул;Ширина;Вылет;Диаметр отверстия\nNF-1;8,5;38;84,1 чёрный матовый\n";
        let (bytes, _, _) = encoding_rs::WINDOWS_1251.encode(text);
        assert_eq!(found(&bytes), (text.to_owned(), "windows-1251"));
    }

    #[test]
    fn wide_text_needs_no_byte_order_mark() {
        let text = "SKU\tLochkreis Ø\r\nNF-1\t6×130\r\n";
        let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(found(&little), (text.to_owned(), "UTF-16LE"));
        assert_eq!(found(&big), (text.to_owned(), "UTF-16BE"));
        let cut = decode("list.csv", little[..little.len() - 1].to_vec(), Limits::default());
        assert!(matches!(cut, Err(SheetError::NotASheet { why: NotASheet::Binary, .. })), "{cut:?}");
    }

    #[test]
    fn zero_bytes_in_text_are_named_and_bytes_full_of_them_are_no_text() {
        let mut text = "NF-1,ET38,6x130,84.1\n".repeat(50).into_bytes();
        text.insert(100, 0);
        let refused = decode("list.csv", text, Limits::default());
        assert!(matches!(refused, Err(SheetError::NotASheet { why: NotASheet::ZeroBytes, .. })));
        let refused = decode("list.csv", b"a\0\0\0b\0\0\0c\0\0\0".to_vec(), Limits::default());
        assert!(matches!(refused, Err(SheetError::NotASheet { why: NotASheet::Binary, .. })));
    }

    #[test]
    fn text_that_may_decode_to_too_much_is_refused_before_decoding() {
        let limits = Limits { unpacked: 100, ..Limits::default() };
        let refused = decode("list.csv", b"\xD8 84".repeat(20), limits);
        assert!(matches!(refused, Err(SheetError::TooLarge { excess: Excess::Unpacked { limit: 100 }, .. })));
    }
}
