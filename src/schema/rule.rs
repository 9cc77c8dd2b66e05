//! The schema of rule files.

use serde_json::{Value as Json, json};

use crate::facts::field::{Field, Scope};
use crate::facts::part::Subject;
use crate::rules::Outcome;
use crate::schema::fact::{definitions, facts, facts_of};
use crate::schema::form::{self, Table, list, names_of, one_or_list, text, word, words};

pub(super) fn file() -> Json {
    let rules = Table::new("Rules on wheels, tires and packages of both.").must("rule", "", list(&rule()));
    form::file("Rules", rules, Some(definitions()))
}

fn rule() -> Json {
    let table = Table::new("One demand on a wheel, a tire, or a package of both.")
        .must("name", "What reports, outputs and other rule files know it by.", words())
        .must("on", "What it is about.", word(Subject::ALL.map(Subject::name)))
        .may("pack", "The packs it belongs to; without one it is always in force.", one_or_list(&text()))
        .may("given", "Names for expressions used more than once.", given())
        .may("when", "Where this is false, the rule does not apply.", words())
        .must("demand", "The statement that must hold.", words())
        .may("failing", "What it means when the demand does not hold.", word(["reject", "caution", "doubt"]))
        .may(
            "unknown",
            "What it means when the demand can be neither shown nor refuted.",
            word(["unproven", "caution", "nothing"]),
        )
        .may("spoils", "For a sense check: the facts that cannot be used once it fails.", facts())
        .must("says", "The sentence when it fails; {wheel.offset} and the like are filled in.", words())
        .may(
            "passes",
            "The sentence on published lists when it passes; blanks as in `says`, {gap} is what is left.",
            words(),
        )
        .may("remedy", "What would cure it, on file or not.", remedy())
        .must("basis", "The published source with its section, or `common practice, no source`.", words())
        .may("witness", "Examples that show what the rule gives.", list(&witness()));
    let mut rule = table.done();
    rule["allOf"] = Json::Array(Subject::ALL.map(out_of_reach).into_iter().chain([doubt()]).collect());
    rule
}

fn given() -> Json {
    let mut given = names_of(&words());
    given["propertyNames"] = json!({ "pattern": r"^[^.]*$" });
    given
}

/// One text, or one for each way to fail.
fn remedy() -> Json {
    let ways = Table::new("What would cure it, by the way in which it fails.")
        .may("short", "Where a figure is too small.", words())
        .may("over", "Where a figure is too large.", words())
        .may("off", "Where it is away from the one value that fits, or no figure at all.", words());
    json!({ "anyOf": [words(), ways.done()] })
}

fn witness() -> Json {
    let table = Table::new("An example with the facts it names and no others.").must(
        "gives",
        "What the rule gives on it.",
        word(Outcome::ALL.map(Outcome::name)),
    );
    Scope::ALL.into_iter().fold(table, |table, scope| table.may(scope.name(), "", facts_of(scope))).done()
}

/// A rule on a wheel has no witness with a tire, and so on.
fn out_of_reach(on: Subject) -> Json {
    let far =
        Scope::ALL.into_iter().filter(|scope| !Field::of(*scope).iter().any(|field| on.reaches(*field)));
    let never: serde_json::Map<String, Json> =
        far.map(|scope| (scope.name().to_owned(), Json::Bool(false))).collect();
    json!({
        "if": { "properties": { "on": { "const": on.name() } }, "required": ["on"] },
        "then": { "properties": { "witness": { "items": { "properties": never } } } },
    })
}

/// A sense check says what it spoils, looks at one row, has no remedy and nothing to say of what passes; no
/// other rule spoils anything.
fn doubt() -> Json {
    json!({
        "if": { "properties": { "failing": { "const": "doubt" } }, "required": ["failing"] },
        "then": {
            "properties": { "on": { "enum": [Subject::Wheel.name(), Subject::Tire.name()] }, "spoils": { "minItems": 1 }, "remedy": false, "passes": false },
            "required": ["spoils"],
        },
        "else": { "properties": { "spoils": { "type": "array", "maxItems": 0 } } },
    })
}
