//! What the build refuses in the list of heading words.

#[path = "../src/intake/heading/lay_out.rs"]
mod headings;

use headings::{Refused, tables};

#[test]
fn the_tables_are_sorted_and_say_what_the_list_says() {
    let list = "[offset]\nen = [\"wheel offsets\", \"et\"]\n[noise]\nen = [\"the\"]\n[units]\nmm = [\"mm\"]\n\
                [prices]\ntrade = [\"net\"]\n[load_index]\nen = [\"li\"]";
    let made = "static CONCEPTS: Table<Concept> = Table { text: \"etliwheel offset\", rows: &[
    (0, 2, Concept::Offset),
    (2, 4, Concept::LoadIndex),
    (4, 16, Concept::Offset),
] };
static UNITS: Table<Unit> = Table { text: \"mm\", rows: &[
    (0, 2, MM),
] };
static PRICES: Table<PriceKind> = Table { text: \"net\", rows: &[
    (0, 3, PriceKind::Trade),
] };
static NOISE: Table<()> = Table { text: \"the\", rows: &[
    (0, 3, ()),
] };
const LONGEST: usize = 2;
";
    assert_eq!(tables(list), Ok(made.to_owned()));
}

#[test]
fn what_cannot_stand_in_the_list_is_refused() {
    for (list, phrase) in [
        ("[offset]\nen = [\"et\"]\n[load]\nen = [\"et\"]", "et"),
        ("[offset]\nen = [\"offset\"]\n[load]\nen = [\"offsets\"]", "offset"),
        ("[units]\nmm = [\"m\"]\ncm = [\"m\"]", "m"),
        ("[prices]\ntrade = [\"net\"]\nretail = [\"nets\"]", "net"),
    ] {
        assert_eq!(tables(list), Err(Refused::Twice(phrase.to_owned())), "{list}");
    }
    for phrase in ["ET", "größe", "wheel  size", " size", "", "p/n"] {
        let list = format!("[offset]\nen = [\"{phrase}\"]");
        assert_eq!(tables(&list), Err(Refused::NotPlain(phrase.to_owned())));
    }
    for list in ["offset = 1", "[offset]\nen = \"et\"", "[offset]\nen = [1]"] {
        assert_eq!(tables(list), Err(Refused::NotAList("offset".to_owned())), "{list}");
    }
    let broken = tables("[offset").unwrap_err();
    assert!(matches!(broken, Refused::NotToml(_)) && broken.to_string().starts_with("headings: no TOML: "));
}
