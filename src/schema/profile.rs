//! The schema of supplier profiles.

use serde_json::{Value as Json, json};

use crate::intake::heading::Concept;
use crate::intake::profile::UNITS;
use crate::schema::form::{self, Table, count, list, names_of, one_or_list, text, word};

pub(super) fn file() -> Json {
    let table =
        Table::new("What a buyer states outright about a supplier's sheets.").must("profile", "", profile());
    form::file("Supplier profile", table, None)
}

fn profile() -> Json {
    let table = Table::new("Which sheets it is for, and what they hold; the rest is found as without it.")
        .may("name", "Its name, for remarks.", text())
        .may("files", "The sheets it is for, by file name; `*` stands for anything.", one_or_list(&text()))
        .may("headings", "Or by headings that mark this supplier's tabs.", one_or_list(&text()))
        .may("tabs", "The tabs to read; all of them, if not given.", one_or_list(&text()))
        .may("heading_row", "The row the headings stand in, as a spreadsheet counts.", count(0))
        .may("decimal", "The decimal mark of its figures.", word(["point", "comma"]))
        .may("skip", "Rows whose first cell reads so are no parts.", one_or_list(&text()))
        .may("skip_rows", "Rows that are no parts, by number.", list(&count(0)))
        .may("columns", "What the columns hold, by heading.", names_of(&column()))
        .may("constants", "What every row states.", of_concepts(&text()))
        .may("values", "The supplier's words, and ours for them.", of_concepts(&names_of(&text())));
    let mut profile = table.done();
    let some = |key: &str| json!({ "required": [key], "properties": { key: { "minItems": 1 } } });
    profile["anyOf"] = json!([some("files"), some("headings")]);
    profile
}

fn concept() -> Json {
    word(Concept::ALL.iter().map(|concept| concept.name()))
}

fn column() -> Json {
    let with_unit = Table::new("What a column holds, and in which unit.")
        .must("holds", "What it holds.", concept())
        .may("unit", "Its unit.", word(UNITS.iter().map(|(name, _)| *name)));
    json!({ "anyOf": [concept(), with_unit.done()] })
}

fn of_concepts(form: &Json) -> Json {
    let table = Table::new("");
    Concept::ALL.iter().fold(table, |table, concept| table.may(concept.name(), "", form.clone())).done()
}
