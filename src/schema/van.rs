//! The schema of van files.

use serde_json::{Value as Json, json};

use crate::facts::field::{Field, Scope};
use crate::schema::fact::{definitions, value};
use crate::schema::form::{self, Table, one_or_list, text, words};
use crate::schema::work::works;

pub(super) fn file() -> Json {
    let table = Table::new("One van, and the work its shop can do on it.").must("van", "", van()).may(
        "work",
        "",
        works(),
    );
    form::file("Van", table, Some(definitions()))
}

fn van() -> Json {
    let id = json!({ "type": "string", "pattern": "^[A-Za-z0-9-]+$" });
    let table = Table::new("The van: its loads, its hub, and the room its body leaves.")
        .must("id", "Used in outputs and keys: letters, digits and hyphens.", id)
        .may("name", "The name for people; the id, if not given.", text())
        .may("packs", "The rule packs it chooses beside the core.", one_or_list(&text()))
        .may(
            "work_files",
            "Files of works it shares with other vans, as paths from this one.",
            one_or_list(&text()),
        );
    let table = stated(table, "", &["top_speed"], &["gvwr", "sensors"]);
    let axle = |axle: &str| {
        let about = format!("The {axle} axle.");
        let wheels = json!({ "enum": [2, 4] });
        let table = Table::new(&about).must("wheels", "2, or 4 where they are twins.", wheels);
        stated(table, &format!("{axle}."), &["axle_load"], &[]).done()
    };
    let hub = stated(
        Table::new("What the wheel is bolted to."),
        "hub.",
        &["bolt_pattern", "pilot", "fixing", "thread", "seat"],
        &["fastener_shank"],
    );
    let stock = Table::new("What the van maker fits.")
        .may("wheel", "Rim size and offset, such as 6.5x16 ET62.", words())
        .may("tire", "Size and service, such as 235/65R16C 121/119R.", words());
    let room = Field::of(Scope::Van).iter().filter_map(|field| field.name().strip_prefix("room."));
    let room: Vec<&str> = room.collect();
    let room = stated(
        Table::new("The room the body leaves; a rule whose limit is not stated does not apply."),
        "room.",
        &[],
        &room,
    );
    table
        .must("front", "", axle("front"))
        .must("rear", "", axle("rear"))
        .must("hub", "", hub.done())
        .may("stock", "", stock.done())
        .may("room", "", room.done())
        .done()
}

/// With facts of the van, by what stands behind a start of their names.
fn stated(table: Table, before: &str, required: &[&str], optional: &[&str]) -> Table {
    let form = |key: &str| Field::in_scope(Scope::Van, &format!("{before}{key}")).map_or_else(text, value);
    let table = required.iter().fold(table, |table, key| table.must(key, "", form(key)));
    optional.iter().fold(table, |table, key| table.may(key, "", form(key)))
}
