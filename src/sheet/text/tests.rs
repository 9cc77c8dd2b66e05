use super::*;
use crate::sheet::NotASheet;

/// All cells as `address=text`, in reading order.
fn cells(bytes: &[u8]) -> Vec<String> {
    listed(&read("list.csv", bytes.to_vec(), Limits::default()).unwrap())
}

fn listed(tab: &Tab) -> Vec<String> {
    let mut all = Vec::new();
    for row in tab.rows() {
        for cell in row.cells() {
            assert_eq!((cell.kind, cell.origin), (CellKind::Text, Origin::Typed));
            all.push(format!("{}={}", CellRef::new(cell.column, row.number()), cell.text));
        }
    }
    all
}

#[test]
fn rows_are_numbered_as_a_spreadsheet_shows_them() {
    for (why, text, expected) in [
        ("LF", "a,b\nc,d\n", "A1=a B1=b A2=c B2=d"),
        ("CR LF", "a,b\r\nc,d\r\n", "A1=a B1=b A2=c B2=d"),
        ("CR", "a,b\rc,d\r", "A1=a B1=b A2=c B2=d"),
        ("mixed", "a\r\nb\nc\rd", "A1=a A2=b A3=c A4=d"),
        ("no line end at the end", "a,b\nc,d", "A1=a B1=b A2=c B2=d"),
        ("blank lines, LF", "\n\na\n\nb\n\n\nc\n\n", "A3=a A5=b A8=c"),
        ("blank lines, CR LF", "\r\n\r\na\r\n\r\nb\r\n\r\n\r\nc\r\n", "A3=a A5=b A8=c"),
        ("blank lines, CR", "\r\ra\r\rb\r\r\rc\r", "A3=a A5=b A8=c"),
        ("blank lines, mixed", "a\r\n\n\r\nb\n\r\rc", "A1=a A4=b A7=c"),
        ("only delimiters", "a,b\n,,,\nc,d", "A1=a B1=b A3=c B3=d"),
        ("only blanks", "a,b\n   \nc,d", "A1=a B1=b A3=c B3=d"),
        ("empty quotes", "a,b\n\"\"\nc,d", "A1=a B1=b A3=c B3=d"),
        ("line end within quotes", "\"a\nx\",b\nc,d", "A1=a\nx B1=b A2=c B2=d"),
        ("blank line within quotes", "\"a\r\n\r\nx\",b\r\nc,d", "A1=a\r\n\r\nx B1=b A2=c B2=d"),
        ("quotes at the end of a line", "a,\"b\"\r\n\r\n\"c\"\r\n\r\nd", "A1=a B1=b A3=c A5=d"),
        ("ragged", "a,b,c\nd\n,,,e\nf,g", "A1=a B1=b C1=c A2=d D3=e A4=f B4=g"),
        ("first columns empty", ",,a,b\n,,c,d", "C1=a D1=b C2=c D2=d"),
    ] {
        assert_eq!(cells(text.as_bytes()).join(" "), expected, "{why}: {text:?}");
    }
}

#[test]
fn rows_keep_their_numbers_across_the_readers_buffers() {
    // The reader takes in 8 KiB at a time; records and blank lines of every length must straddle its edges.
    for line_end in ["\n", "\r\n", "\r"] {
        let mut text = String::new();
        let mut expected = Vec::new();
        let mut row = 0;
        for count in 0..4000_usize {
            row += 1;
            let word = "x".repeat(1 + count % 37);
            text.push_str(&word);
            text.push_str(line_end);
            expected.push(format!("A{row}={word}"));
            for _ in 0..count % 3 {
                row += 1;
                text.push_str(line_end);
            }
        }
        assert_eq!(cells(text.as_bytes()), expected, "{line_end:?}");
    }
}

#[test]
fn fields_keep_their_text_but_lose_their_quotation() {
    for (text, expected) in [
        ("\"17\"\" wheel\",b", "A1=17\" wheel B1=b"),
        ("K7 17\",b\nK8 18\",d", "A1=K7 17\" B1=b A2=K8 18\" B2=d"),
        ("5'10\" long,\"x,y\"", "A1=5'10\" long B1=x,y"),
        (" a ,b ", "A1= a  B1=b "),
        ("a\\,b", "A1=a\\ B1=b"),
        ("#REF!,=2+3", "A1=#REF! B1==2+3"),
    ] {
        assert_eq!(cells(text.as_bytes()).join(" "), expected, "{text:?}");
    }
}

#[test]
fn a_quotation_mark_that_is_never_closed_is_named_by_its_row() {
    for (text, row) in
        [("a,b\n\n\"17 wheel,b\nc,d\ne,f\n", 3), ("a,\"b", 1), ("a,b\r\n\"", 2), ("\"a\"\"\nb\nc", 1)]
    {
        match read("list.csv", text.as_bytes().to_vec(), Limits::default()) {
            Err(SheetError::OpenQuote { row: found, .. }) => assert_eq!(found, row, "{text:?}"),
            other => panic!("{text:?}: {other:?}"),
        }
    }
    for text in ["\"a\"", "a,\"\"", "\"a\"\"b\"", "\"a\" b\"", "17\"", "a,b\n\n\"\"\n\n"] {
        assert!(read("list.csv", text.as_bytes().to_vec(), Limits::default()).is_ok(), "{text:?}");
    }
}

#[test]
fn encodings_are_found_and_named() {
    let utf_16 = |text: &str, mark: &[u8], bytes: fn(u16) -> [u8; 2]| {
        let mut all = mark.to_vec();
        all.extend(text.encode_utf16().flat_map(bytes));
        all
    };
    for (bytes, encoding) in [
        ("Größe,ET\nØ 84,38".as_bytes().to_vec(), "UTF-8"),
        ("\u{FEFF}Größe,ET\nØ 84,38".as_bytes().to_vec(), "UTF-8"),
        (utf_16("Größe,ET\nØ 84,38", b"\xFF\xFE", u16::to_le_bytes), "UTF-16LE"),
        (utf_16("Größe,ET\nØ 84,38", b"\xFE\xFF", u16::to_be_bytes), "UTF-16BE"),
        (b"Gr\xF6\xDFe,ET\n\xD8 84,38".to_vec(), "windows-1252"),
    ] {
        let tab = read("list.csv", bytes, Limits::default()).unwrap();
        assert_eq!(tab.form(), Form::Text { encoding, delimiter: Delimiter::Comma });
        assert_eq!(listed(&tab).join(" "), "A1=Größe B1=ET A2=Ø 84 B2=38");
    }
}

#[test]
fn text_that_breaks_its_declared_encoding_is_refused() {
    for (bytes, declared) in [
        (b"\xEF\xBB\xBFGr\xF6\xDFe".as_slice(), "UTF-8"),
        (b"\xFF\xFEa\0b", "UTF-16LE"),
        (b"\xFE\xFF\xD8\x00\0a", "UTF-16BE"),
    ] {
        match read("list.csv", bytes.to_vec(), Limits::default()) {
            Err(SheetError::Undecodable { encoding, .. }) => assert_eq!(encoding, declared),
            other => panic!("{declared}: {other:?}"),
        }
    }
}

#[test]
fn bytes_that_are_no_text_are_refused() {
    let refused = read("list.csv", b"a,b\0c\n".to_vec(), Limits::default());
    assert!(matches!(refused, Err(SheetError::NotASheet { why: NotASheet::Binary, .. })));
}

#[test]
fn a_row_wider_than_any_sheet_is_refused_by_its_number() {
    let mut text = "a\n".to_owned();
    text.push_str(&",".repeat(16_383));
    text.push_str("x\n");
    assert_eq!(cells(text.as_bytes()), ["A1=a", "XFD2=x"]);
    text.push_str(&",".repeat(16_384));
    text.push('x');
    let refused = read("list.csv", text.as_bytes().to_vec(), Limits::default());
    assert!(matches!(refused, Err(SheetError::TooLarge { excess: Excess::Columns { row: 3, .. }, .. })));
}

#[test]
fn a_file_of_nothing_but_blanks_has_no_cells() {
    for text in ["\n\r\n", "   ", ",,,\n,,", "\u{A0}"] {
        let tab = read("list.csv", text.as_bytes().to_vec(), Limits::default()).unwrap();
        assert_eq!((tab.last_row(), tab.rows().len()), (0, 0), "{text:?}");
    }
}

#[test]
fn one_endless_line_or_field_meets_a_limit_by_its_address() {
    let line = ",".repeat(3_000_000);
    let refused = read("list.csv", line.into_bytes(), Limits::default());
    assert!(matches!(refused, Err(SheetError::TooLarge { excess: Excess::Columns { row: 1, .. }, .. })));
    let mut field = "a,b\nc,".to_owned();
    field.push_str(&"x".repeat(3_000_000));
    let refused = read("list.csv", field.into_bytes(), Limits::default());
    let at: CellRef = "B2".parse().unwrap();
    match refused {
        Err(SheetError::TooLarge { excess: Excess::Cell { at: found, .. }, .. }) => assert_eq!(found, at),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_long_field_within_the_limit_is_kept_whole() {
    let long = "x".repeat(500_000);
    let text = format!("a,{long},b\n\n\"{long}\"\n");
    assert_eq!(cells(text.as_bytes()), ["A1=a", &format!("B1={long}"), "C1=b", &format!("A3={long}")]);
}
