//! The schema of shop files.

use serde_json::{Value as Json, json};

use crate::schema::form::{self, Table, one_or_list, words};
use crate::shop::MOST_IN_SET;

pub(super) fn file() -> Json {
    let set = json!({ "type": "integer", "minimum": 1, "maximum": MOST_IN_SET });
    let paths = || one_or_list(&words());
    let table = Table::new(
        "What a shop's folder states once. Paths start from this file's folder; `*` stands for any part of a name.",
    )
    .may("sheets", "Supplier sheets, and folders of them.", paths())
    .may("vans", "Van files, and folders of them.", paths())
    .may("profiles", "Supplier profiles, and folders of them.", paths())
    .may("rules", "Rule files and folders that add to shipped rules, or replace those of equal name.", paths())
    .may("packs", "Rule packs for all vans, beside those the vans choose.", paths())
    .may("ledger", "The file of what was accepted.", words())
    .may("outputs", "The folder the lists are published in.", words())
    .may("set", "Wheels in a set, the spare included; the van's wheels and one spare, if not given.", set);
    form::file("Shop", table, None)
}
