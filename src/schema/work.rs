//! The schema of works: in a van's file, or in a file of their own.

use serde_json::{Value as Json, json};

use crate::facts::field::Field;
use crate::schema::fact::{definitions, value, value_or_name};
use crate::schema::form::{self, Table, count, list, one_or_list, text, word, words};
use crate::van::work::Change;

pub(super) fn file() -> Json {
    let table = Table::new("Works that several vans share.").must("work", "", works());
    form::file("Works", table, Some(definitions()))
}

/// The `[[work]]` tables of a file.
pub(super) fn works() -> Json {
    list(&work())
}

fn work() -> Json {
    let cost = json!({ "anyOf": [
        count(0),
        { "type": "string", "pattern": r"^\+?([0-9][0-9_]*(\.[0-9_]*)?|\.[0-9][0-9_]*)$" },
    ] });
    let changes = [
        (Change::Set, "Facts that get these values."),
        (Change::Raise, "Facts that become at least this."),
        (Change::Lower, "Facts that become at most this."),
        (Change::Shift, "Facts that change by this."),
    ];
    let table = Table::new(
        "Something the shop can buy or do that changes facts, at a price, with drawbacks.",
    )
    .must("name", "Unique for the van.", words());
    let table =
        changes.iter().fold(table, |table, (change, about)| table.may(change.key(), about, changed(*change)));
    let table = table
        .may("asks", "A statement that must hold before the work may be done.", words())
        .may("needs", "What it takes.", list(&need()))
        .must("costs", "The price for one set, in quotes so that every digit counts.", cost)
        .may("leaves", "Its drawbacks.", one_or_list(&text()))
        .may("excludes", "Works it cannot be combined with.", one_or_list(&text()))
        .may("requires", "Works it needs beside it.", one_or_list(&text()));
    let mut work = table.done();
    work["anyOf"] = changes
        .map(|(change, _)| {
            let key = change.key();
            json!({ "required": [key], "properties": { key: { "minProperties": 1 } } })
        })
        .to_vec()
        .into();
    work
}

/// Facts by their full names, with what they become.
fn changed(change: Change) -> Json {
    let those = Field::ALL.iter().copied().filter(|field| change.suits(*field));
    let table = those.fold(Table::new(""), |table, field| {
        let form = if change == Change::Shift { value(field) } else { value_or_name(field) };
        table.may(&field.full_name(), "", form)
    });
    table.done()
}

fn need() -> Json {
    Table::new("One thing that the work takes.")
        .must("item", "What it is.", words())
        .must("per", "What its count is for: every wheel of the set, or the van.", word(["wheel", "van"]))
        .must("count", "How many.", count(1))
        .done()
}
