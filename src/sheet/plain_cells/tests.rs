//! Holds this reader and the workbook's own together, on worksheets put together by chance from plain and odd pieces.

use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use super::{Next, PlainCells, PlainContent, SharedTexts, is_shown_so};
use crate::sheet::builder::Gathering;
use crate::sheet::container::Format;
use crate::sheet::{Limits, Tab, workbook};

const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const DOCUMENT: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006/relationships";

const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";

/// Stands in a head for what makes it odd, and says nothing.
const ODD: &str = "<!-- nothing -->";

/// Formats by their styles: none, a unit that is told, a price, a date, one known by its number alone.
const STYLES: &str = "<numFmts count=\"3\"><numFmt numFmtId=\"164\" formatCode=\"0.0&quot; kg&quot;\"/>\
    <numFmt numFmtId=\"165\" formatCode=\"[$\u{20ac}-2] #,##0.00\"/>\
    <numFmt numFmtId=\"166\" formatCode=\"dd/mm/yyyy\"/></numFmts><cellXfs>\
    <xf numFmtId=\"0\"/><xf numFmtId=\"164\"/><xf numFmtId=\"165\"/><xf numFmtId=\"166\"/><xf numFmtId=\"30\"/>\
    <xf numFmtId=\"9\"/></cellXfs>";

const TEXTS: &str = "<si><t>Offset</t></si><si><t xml:space=\"preserve\"> 6x130 </t></si><si><t>  ET38 \t</t></si>\
    <si><t>A &amp; B &lt;17&quot;&gt; &#x2014; &#10;</t></si><si><t/></si><si><t>Größe</t></si>\
    <si><t>two\nlines</t></si>";

/// A workbook of one worksheet.
fn workbook_of(head: &str, data: &str, texts: &str) -> Vec<u8> {
    archive_of(&[("wheels", head, data)], "xl/workbook.xml", texts)
}

/// A workbook of worksheets: for each the name of its tab, what stands before its cells, and its cells.
fn archive_of(sheets: &[(&str, &str, &str)], target: &str, texts: &str) -> Vec<u8> {
    let relation = |nth: usize, kind: &str, target: &str| {
        format!("<Relationship Id=\"rId{nth}\" Type=\"{DOCUMENT}/{kind}\" Target=\"{target}\"/>")
    };
    let relations = |all: &str| format!("<Relationships xmlns=\"{PACKAGE}\">{all}</Relationships>");
    let (mut tabs, mut targets) = (String::new(), String::new());
    let mut worksheets = Vec::new();
    for (nth, (name, head, data)) in (1..).zip(sheets) {
        tabs += &format!("<sheet name=\"{name}\" sheetId=\"{nth}\" r:id=\"rId{nth}\"/>");
        targets += &relation(nth, "worksheet", &format!("worksheets/sheet{nth}.xml"));
        let worksheet =
            format!("{head}<worksheet xmlns=\"{MAIN}\"><sheetData>{data}</sheetData></worksheet>");
        worksheets.push((format!("xl/worksheets/sheet{nth}.xml"), worksheet));
    }
    let book =
        format!("<workbook xmlns=\"{MAIN}\" xmlns:r=\"{DOCUMENT}\"><sheets>{tabs}</sheets></workbook>");
    let parts = [
        ("[Content_Types].xml", "<Types/>".to_owned()),
        ("_rels/.rels", relations(&relation(1, "officeDocument", target))),
        ("xl/workbook.xml", book),
        ("xl/_rels/workbook.xml.rels", relations(&targets)),
        ("xl/styles.xml", format!("<styleSheet xmlns=\"{MAIN}\">{STYLES}</styleSheet>")),
        ("xl/sharedStrings.xml", format!("{HEAD}<sst xmlns=\"{MAIN}\">{texts}</sst>")),
    ];
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, part) in parts.map(|(name, part)| (name.to_owned(), part)).into_iter().chain(worksheets) {
        archive.start_file(name, SimpleFileOptions::default()).unwrap();
        archive.write_all(part.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

/// All that a workbook holds, or why it cannot be read.
fn read(bytes: &[u8]) -> Result<String, String> {
    let mut tabs = Gathering::new(Limits::default());
    let read = workbook::read(Format::Xlsx, bytes, Limits::default(), &mut tabs);
    let tabs = read.and_then(|()| tabs.finish()).map_err(|fault| format!("{fault:?}"))?;
    let mut held = String::new();
    for row in tabs.iter().flat_map(Tab::rows) {
        for cell in row.cells() {
            held += &format!("{} {cell:?}\n", row.number());
        }
    }
    Ok(held)
}

/// How many cells are given before something is not plain; and whether nothing is.
fn plain(worksheet: &str, texts: &SharedTexts) -> (usize, bool) {
    let Some(mut cells) = PlainCells::begin(worksheet.as_bytes(), texts) else { return (0, false) };
    let mut count = 0;
    loop {
        match cells.next() {
            Next::Cell(_) => count += 1,
            Next::Over => return (count, true),
            Next::Other => return (count, false),
        }
    }
}

/// A row of numbers that look drawn by chance, the same on every run.
struct Chance(u64);

impl Chance {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % most
    }

    fn of<'p>(&mut self, pieces: &[&'p str]) -> &'p str {
        pieces[self.below(pieces.len())]
    }
}

/// What may stand behind a cell's address and style: plain, as far as it goes.
const PLAIN: [&str; 19] = [
    " t=\"s\"><v>0</v></c>",
    " t=\"s\"><v>1</v></c>",
    " t=\"s\"><v>2</v></c>",
    " t=\"s\"><v>3</v></c>",
    " t=\"s\"><v>4</v></c>",
    " t=\"s\"><v>6</v></c>",
    "><v>38</v></c>",
    "><v>-44</v></c>",
    "><v>73.09999999999999</v></c>",
    "><v>0.50</v></c>",
    "><v>1E3</v></c>",
    "><v>1e400</v></c>",
    "><v>-0</v></c>",
    " t=\"n\"><v>4000000007919</v></c>",
    " t=\"inlineStr\"><is><t>M14x1.5</t></is></c>",
    " t=\"inlineStr\"><is><t xml:space=\"preserve\"> &#65;&amp; </t></is></c>",
    "/>",
    "></c>",
    " t=\"s\"/>",
];

/// What must be left to the workbook's reader.
const OTHER: [&str; 24] = [
    " t=\"s\"><v>99</v></c>",
    " t=\"s\"><v> 1 </v></c>",
    " t=\"s\"><v/></c>",
    "><v></v></c>",
    "><v>+5</v></c>",
    "><v>.5</v></c>",
    "><v>TBD</v></c>",
    "><v> 38 </v></c>",
    "><v>1.2.3</v></c>",
    "><f>A1*2</f><v>76</v></c>",
    " t=\"str\"><f>A1&amp;\"x\"</f><v>38x</v></c>",
    " t=\"str\"><v>6x5.5</v></c>",
    " t=\"b\"><v>1</v></c>",
    " t=\"e\"><v>#REF!</v></c>",
    " t=\"e\"><v>#SPILL!</v></c>",
    " t=\"d\"><v>2026-05-12</v></c>",
    " t='s'><v>1</v></c>",
    " t=\"s\" cm=\"1\"><v>1</v></c>",
    " t=\"inlineStr\"><is><r><t>17</t></r><r><t>x8</t></r></is></c>",
    " t=\"inlineStr\"><is><t>bell _x0007_</t></is></c>",
    " t=\"inlineStr\"><is><t>bell &#95;x0007_</t></is></c>",
    " t=\"inlineStr\"><is><t>&unknown;</t></is></c>",
    "><!-- none --><v>1</v></c>",
    "><v><![CDATA[7]]></v></c>",
];

#[test]
fn both_readers_take_the_same_from_every_worksheet() {
    let texts = SharedTexts::of(format!("<sst>{TEXTS}</sst>").as_bytes()).unwrap();
    let mut chance = Chance(7);
    let (mut whole, mut broken_off, mut refused) = (0, 0, 0);
    for nth in 0..3000 {
        // A third of the worksheets has nothing that is not plain, but for styles.
        let odd_in = if nth % 3 == 0 { 0 } else { 12 };
        let mut data = String::new();
        for row in 1..=chance.below(5) {
            data += &match chance.below(odd_in + 9) {
                0 => format!("<row r=\"{row}\" spans=\"1:9\" ht=\"15\" hidden=\"0\">"),
                9 => format!("<row r='{row}'>"),
                10 => format!("\n<row r=\"{row}\" title=\"a>b\">"),
                11 => format!("<row r=\"{row}\"/><row>"),
                _ => format!("<row r=\"{row}\">"),
            };
            for column in (b'A'..b'H').take(chance.below(8)).map(char::from) {
                let style = match chance.below(14) {
                    style @ 0..7 => format!(" s=\"{style}\""),
                    _ => String::new(),
                };
                let (start, end) = match chance.below(odd_in + 20) {
                    20 => (format!("<c{style}"), chance.of(&PLAIN)),
                    21 => (format!("<c{style} r=\"{column}{row}\""), chance.of(&PLAIN)),
                    22 => {
                        (format!("<c r=\"{}{row}\"{style}", column.to_ascii_lowercase()), chance.of(&PLAIN))
                    }
                    23.. => (format!("<c r=\"{column}{row}\"{style}"), chance.of(&OTHER)),
                    _ => (format!("<c r=\"{column}{row}\"{style}"), chance.of(&PLAIN)),
                };
                data += &start;
                data += end;
            }
            data += if chance.below(odd_in + 20) == 21 { " </row> " } else { "</row>" };
        }
        let ours = read(&workbook_of(HEAD, &data, TEXTS));
        let theirs = read(&workbook_of(&format!("{HEAD}{ODD}"), &data, TEXTS));
        assert_eq!(ours, theirs, "{data}");
        refused += usize::from(ours.is_err());
        match plain(&format!("<worksheet><sheetData>{data}</sheetData>"), &texts) {
            (_, true) => whole += 1,
            (1.., false) => broken_off += 1,
            (0, false) => {}
        }
        assert_eq!(
            plain(&format!("{HEAD}{ODD}<worksheet><sheetData>{data}</sheetData>"), &texts),
            (0, false)
        );
    }
    assert!(whole > 1000 && broken_off > 500 && refused > 100, "{whole} {broken_off} {refused}");
}

#[test]
fn what_is_not_plain_is_left_alone() {
    let texts = SharedTexts::of(format!("<sst>{TEXTS}</sst>").as_bytes()).unwrap();
    let given = |cell: &str| {
        plain(&format!("<worksheet><sheetData><row r=\"1\"><c r=\"A1\"{cell}</row></sheetData>"), &texts)
    };
    for cell in PLAIN {
        assert_eq!(given(cell), (1, true), "{cell}");
    }
    for cell in OTHER {
        // Figures of a wrong form are given as they stand, and found to be no number.
        assert!(given(cell) == (0, false) || cell.contains("1.2.3"), "{cell}");
    }
    for head in ["<?xml version='1.0' encoding='ISO-8859-1'?>", "\u{feff}", "<!DOCTYPE worksheet>", "<?xml"] {
        assert_eq!(plain(&format!("{head}<worksheet><sheetData></sheetData>"), &texts), (0, false), "{head}");
    }
    for texts in [
        "<si><r><t>17</t></r></si>",
        "<si><t>a\r\nb</t></si>",
        "<si><t>_x000D_</t></si>",
        "<si/>",
        "<si><t>a</t>",
    ] {
        assert!(SharedTexts::of(format!("<sst>{texts}</sst>").as_bytes()).is_none(), "{texts}");
        let data = "<row r=\"1\"><c r=\"A1\" t=\"s\"><v>0</v></c></row>";
        let ours = read(&workbook_of(HEAD, data, texts));
        assert_eq!(ours, read(&workbook_of(&format!("{HEAD}{ODD}"), data, texts)), "{texts}");
    }
}

#[test]
fn tabs_of_one_name_are_left_to_the_workbooks_reader() {
    // It finds tabs by their names, so it would go on in another one than this began.
    let plain = "<row r=\"1\"><c r=\"A1\"><v>1</v></c><c r=\"B1\"><v>2</v></c></row>";
    let other = "<row r=\"1\"><c r=\"A1\"><v>3</v></c><c r=\"B1\" t=\"b\"><v>1</v></c></row>";
    let odd = format!("{HEAD}{ODD}");
    for (one, two) in [("wheels", "wheels"), ("wheels", "tires")] {
        let of = |head| archive_of(&[(one, head, plain), (two, head, other)], "/xl/workbook.xml", "");
        assert_eq!(read(&of(HEAD)), read(&of(&odd)), "{one} and {two}");
    }
}

#[test]
fn cells_that_lie_across_the_edge_of_what_is_held_are_read_whole() {
    let mut data = String::new();
    for row in 1..=4000 {
        data += &format!("<row r=\"{row}\"><c r=\"A{row}\"><v>{row}</v></c>");
        data +=
            &format!("<c r=\"B{row}\" t=\"inlineStr\"><is><t>{}</t></is></c></row>", "x".repeat(row % 71));
    }
    // One longer than a plain cell may be.
    let long = format!(
        "<row r=\"4001\"><c r=\"A4001\" t=\"inlineStr\"><is><t>{}</t></is></c></row>",
        "y".repeat(70_000)
    );
    let texts = SharedTexts::default();
    assert_eq!(plain(&format!("<worksheet><sheetData>{data}</sheetData>"), &texts), (8000, true));
    assert_eq!(plain(&format!("<worksheet><sheetData>{data}{long}</sheetData>"), &texts), (8000, false));
    for data in [data.clone(), data + &long] {
        let ours = read(&workbook_of(HEAD, &data, ""));
        assert_eq!(ours, read(&workbook_of(&format!("{HEAD}{ODD}"), &data, "")));
        assert!(ours.unwrap().contains("4000"));
    }
}

#[test]
fn a_worksheet_cut_short_anywhere_is_never_over() {
    let whole = "<worksheet><sheetData><row r=\"1\"><c r=\"A1\"><v>1</v></c><c r=\"B1\"/></row><row r=\"2\"/></sheetData>";
    for length in 0..whole.len() {
        assert!(!plain(&whole[..length], &SharedTexts::default()).1, "cut at {length}");
    }
    assert_eq!(plain(whole, &SharedTexts::default()), (2, true));
}

#[test]
fn numbers_that_are_shown_as_they_stand_are_the_numbers_they_are() {
    let mut chance = Chance(11);
    let mut shown = 0;
    for _ in 0..200_000 {
        let mut figures = String::new();
        if chance.below(6) == 0 {
            figures.push('-');
        }
        for _ in 0..=chance.below(17) {
            figures.push(char::from(b"0123456789000."[chance.below(14)]));
        }
        if is_shown_so(&figures) {
            assert_eq!(figures.parse::<f64>().unwrap().to_string(), figures);
            shown += 1;
        }
    }
    assert!(shown > 20_000, "{shown}");
    for figures in ["0", "38", "-44", "8.5", "0.125", "999999999999999", "-0.5"] {
        assert!(is_shown_so(figures), "{figures}");
    }
    for figures in ["", "-", "-0", "05", "8.50", "8.", ".5", "1e3", "1234567890123456", "1.2.3"] {
        assert!(!is_shown_so(figures), "{figures}");
    }
}

#[test]
fn texts_and_figures_are_given_as_they_are_read() {
    let texts = SharedTexts::of(format!("<sst>{TEXTS}</sst>").as_bytes()).unwrap();
    let worksheet = "<worksheet><sheetData><row r=\"3\"><c r=\"B3\" s=\"2\" t=\"s\"><v>3</v></c><c r=\"AA3\"><v>8.50</v></c>";
    let mut cells = PlainCells::begin(worksheet.as_bytes(), &texts).unwrap();
    let Next::Cell(cell) = cells.next() else { panic!("no cell") };
    assert_eq!((cell.at.to_string().as_str(), cell.style), ("B3", Some(2)));
    assert!(matches!(cell.content, PlainContent::Text(text) if text == "A & B <17\"> \u{2014}"));
    let Next::Cell(cell) = cells.next() else { panic!("no cell") };
    assert_eq!((cell.at.to_string().as_str(), cell.style), ("AA3", None));
    assert!(matches!(cell.content, PlainContent::Figures("8.50")));
    assert!(matches!(cells.next(), Next::Other));
}
