//! The JSON Schemas and the readers of our own files stay in step: they know the same keys and words, take
//! the same files, and refuse the same ones.
//!
//! Whatever a reader takes, its schema takes. What a reader refuses for its form (a key, a type, a word, a
//! unit), its schema refuses too; what only the reader can tell (an expression that makes no sense, a work
//! that is not there) is left to it. The schemas are validated by a library that knows nothing of ours.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use jsonschema::Validator;
use proptest::prelude::{ProptestConfig, Strategy};
use proptest::{prop_assert, proptest};
use rimsieve::document::literal::{self, LiteralProblem};
use rimsieve::document::{Fault, FileProblem, Source};
use rimsieve::facts::field::{Field, Scope};
use rimsieve::facts::value::{Dimension, Kind, Unit};
use rimsieve::intake::profile::read_profile;
use rimsieve::rules::read_rules;
use rimsieve::schema::{File, schema, text};
use rimsieve::shop::read_shop;
use rimsieve::van::work::Change;
use rimsieve::van::{check_work_file, read_van};
use serde_json::{Map, Value as Json, json};
use toml::de::{DeTable, DeValue};

/// What the reader of a kind of file finds wrong.
fn problems(of: File, text: &str) -> Vec<FileProblem> {
    let source = Source::new("file.toml", text);
    match of {
        File::Rule => read_rules(&source).1,
        File::Van => read_van(&source, Path::new("")).1,
        File::Work => check_work_file(&source),
        File::Profile => read_profile(&source).1,
        File::Shop => read_shop(&source, Path::new("")).1,
    }
}

fn validator(of: File) -> Validator {
    jsonschema::draft7::new(&schema(of)).unwrap()
}

/// A TOML text as JSON, as language servers see it.
fn as_json(text: &str) -> Json {
    fn value(of: &DeValue<'_>) -> Json {
        match of {
            DeValue::String(text) => json!(text),
            DeValue::Integer(figure) => json!(i64::from_str_radix(figure.as_str(), figure.radix()).unwrap()),
            DeValue::Float(figure) => json!(figure.as_str().parse::<f64>().unwrap()),
            DeValue::Boolean(flag) => json!(flag),
            DeValue::Datetime(moment) => json!(moment.to_string()),
            DeValue::Array(items) => items.iter().map(|item| value(item.get_ref())).collect(),
            DeValue::Table(entries) => table(entries),
        }
    }
    fn table(entries: &DeTable<'_>) -> Json {
        let entries = entries.iter().map(|(key, item)| (key.get_ref().to_string(), value(item.get_ref())));
        Json::Object(entries.collect())
    }
    table(DeTable::parse(text).unwrap().get_ref())
}

/// JSON as a TOML text: every table on one line.
fn as_toml(file: &Json) -> String {
    fn inline(value: &Json) -> String {
        match value {
            Json::Object(entries) => {
                let entries: Vec<String> = entries
                    .iter()
                    .map(|(key, value)| format!("{} = {}", json!(key), inline(value)))
                    .collect();
                format!("{{ {} }}", entries.join(", "))
            }
            Json::Array(items) => format!("[{}]", items.iter().map(inline).collect::<Vec<_>>().join(", ")),
            plain => plain.to_string(),
        }
    }
    let entries = file.as_object().unwrap().iter();
    entries.map(|(key, value)| format!("{} = {}\n", json!(key), inline(value))).collect()
}

/// A value that a fact can have.
fn sample(field: Field) -> Json {
    match field.kind() {
        Kind::Quantity(Dimension::Plain) if field == Field::VanRoomRoadSpeed => json!("3 %"),
        Kind::Quantity(Dimension::Plain) => json!(2),
        Kind::Quantity(Dimension::Day) => json!("2026-03-30"),
        Kind::Quantity(Dimension::Ply) => json!("E"),
        Kind::Quantity(_) if field == Field::VanHubPilot => json!("84.1 mm"),
        Kind::Quantity(_) if field == Field::VanRoomTireSection => json!("275 mm"),
        Kind::Quantity(dimension) => json!(format!("700 {}", Unit::of(dimension).unwrap().text())),
        Kind::Window(_) => json!(["16 in", "18 in"]),
        Kind::Flag => json!(true),
        Kind::Word([]) => json!("Yarrowmoot"),
        Kind::Word([first, ..]) => json!(first),
        Kind::Words([]) => json!(["JWL-T"]),
        Kind::Words([first, ..]) => json!([first]),
        Kind::Drillings => json!("6x130"),
        Kind::Seat => json!("ball R14"),
        Kind::Thread => json!("M14x1.5"),
        Kind::Size => json!("235/65R16C"),
    }
}

/// All facts of a scope, with a value each; a dot in a name leads into a table.
fn all_facts(scope: Scope) -> Json {
    let mut facts = json!({});
    for field in Field::of(scope) {
        match field.name().split_once('.') {
            Some((within, name)) => facts[within][name] = sample(*field),
            None => facts[field.name()] = sample(*field),
        }
    }
    facts
}

/// A file of each kind that states everything there is to state.
fn full(of: File) -> Json {
    match of {
        File::Rule => {
            let rule = |on: &str, scopes: &[Scope], failing: &str| {
                let mut witness = json!({ "gives": "pass" });
                for scope in scopes {
                    witness[scope.name()] = all_facts(*scope);
                }
                let mut rule = json!({
                    "name": format!("{on}-{failing}"), "on": on, "pack": ["core"],
                    "given": { "twice": format!("{on}.weight + {on}.weight") },
                    "when": format!("{on}.weight > 0 kg"), "demand": "twice <= 90 kg",
                    "failing": failing, "unknown": "caution", "says": "too heavy", "basis": "common practice",
                    "witness": [witness],
                });
                if on == "package" {
                    rule["given"]["twice"] = json!("wheel.weight + tire.weight");
                    rule["when"] = json!("wheel.weight > 0 kg");
                }
                if failing == "doubt" {
                    rule["spoils"] = json!([format!("{on}.weight")]);
                } else {
                    rule["remedy"] = json!({ "short": "longer", "over": "shorter", "off": "another" });
                    rule["passes"] = json!("{gap} to spare");
                }
                rule
            };
            use Scope as S;
            json!({ "rule": [
                rule("wheel", &[S::Wheel, S::Van, S::Run], "doubt"),
                rule("tire", &[S::Tire, S::Van, S::Run], "caution"),
                rule("package", &[S::Wheel, S::Tire, S::Package, S::Van, S::Run], "reject"),
            ] })
        }
        File::Van => {
            let within = |key: &str| all_facts(Scope::Van)[key].clone();
            json!({
                "van": {
                    "id": "heron-h2", "name": "Heron H2", "packs": ["us-road"], "work_files": [], "gvwr": "4280 kg",
                    "top_speed": "150 km/h", "sensors": true, "front": within("front"), "rear": within("rear"),
                    "hub": within("hub"), "room": within("room"),
                    "stock": { "wheel": "6.5x16 ET62", "tire": "235/65R16C 121/119R" },
                },
                "work": full(File::Work)["work"],
            })
        }
        File::Work => {
            let changes = |change: Change| -> Json {
                let those = Field::ALL.iter().filter(|field| change.suits(**field));
                those.map(|field| (field.full_name(), sample(*field))).collect()
            };
            let work = |name: &str, change: Change| {
                let mut work = json!({
                    "name": name, "asks": "wheel.offset >= 55 mm", "costs": "38.00", "leaves": ["a drawback"],
                    "excludes": [], "requires": [],
                    "needs": [{ "item": "ring", "per": "wheel", "count": 1 }],
                });
                work[change.key()] = changes(change);
                work
            };
            json!({ "work": [
                work("one", Change::Set),
                work("two", Change::Raise),
                work("three", Change::Lower),
                work("four", Change::Shift),
            ] })
        }
        File::Profile => json!({ "profile": {
            "name": "Skarnwell", "files": ["skarnwell*"], "headings": ["Artikel"], "tabs": ["Felgen"],
            "heading_row": 5, "decimal": "comma", "skip": ["Auslauf*"], "skip_rows": [7],
            "columns": { "Rabatt": "left_over", "Traglast": { "holds": "load", "unit": "kg" } },
            "constants": { "supplier": "Skarnwell Forge" }, "values": { "seat": { "SR": "ball R14" } },
        } }),
        File::Shop => json!({
            "sheets": ["sheets/*.csv"], "vans": ["vans"], "profiles": ["profiles"], "rules": ["rules"],
            "packs": ["winter"], "ledger": "ledger.txt", "outputs": "published", "set": 5,
        }),
    }
}

/// One step into a file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    Key(String),
    Place(usize),
}

type Way = Vec<Step>;

/// The way to every value of a file, that to the whole among them.
fn ways(value: &Json) -> Vec<Way> {
    let inner: Vec<(Step, &Json)> = match value {
        Json::Object(entries) => entries.iter().map(|(key, value)| (Step::Key(key.clone()), value)).collect(),
        Json::Array(items) => items.iter().enumerate().map(|(at, value)| (Step::Place(at), value)).collect(),
        _ => Vec::new(),
    };
    let further = inner
        .into_iter()
        .flat_map(|(step, value)| ways(value).into_iter().map(move |way| [vec![step.clone()], way].concat()));
    [Vec::new()].into_iter().chain(further).collect()
}

fn at<'j>(file: &'j mut Json, way: &[Step]) -> &'j mut Json {
    way.iter().fold(file, |value, step| match step {
        Step::Key(key) => &mut value[key.as_str()],
        Step::Place(place) => &mut value[*place],
    })
}

/// The schemas that a schema stands for, references followed and choices opened.
fn meant<'j>(whole: &'j Json, node: &'j Json) -> Vec<&'j Json> {
    let referred = node.get("$ref").and_then(Json::as_str);
    let referred = referred.map(|name| whole.pointer(name.trim_start_matches('#')).unwrap());
    let choices = ["anyOf", "allOf"].iter().filter_map(|key| node.get(key)?.as_array()).flatten();
    // What only narrows the table it stands in is no form of its own.
    let forms = choices.filter(|choice| ["$ref", "type", "enum"].iter().any(|key| choice.get(key).is_some()));
    let further = referred.into_iter().chain(forms).flat_map(|inner| meant(whole, inner));
    [node].into_iter().chain(further).collect()
}

/// The schemas at a way.
fn nodes<'j>(whole: &'j Json, way: &[Step]) -> Vec<&'j Json> {
    way.iter().fold(meant(whole, whole), |nodes, step| {
        let inner = nodes.into_iter().filter_map(|node| match step {
            Step::Key(key) => node
                .get("properties")
                .and_then(|properties| properties.get(key))
                .or_else(|| node.get("additionalProperties").filter(|form| form.is_object())),
            Step::Place(_) => node.get("items"),
        });
        inner.flat_map(|node| meant(whole, node)).collect()
    })
}

/// The keys that a schema knows at a way.
fn keys(whole: &Json, way: &[Step]) -> BTreeSet<String> {
    let tables = nodes(whole, way).into_iter().filter_map(|node| node.get("properties")?.as_object());
    tables.flat_map(Map::keys).cloned().collect()
}

/// A way in which all items of a list are one.
fn general(way: &[Step]) -> Way {
    let step = |step: &Step| match step {
        Step::Place(_) => Step::Place(0),
        key @ Step::Key(_) => key.clone(),
    };
    way.iter().map(step).collect()
}

/// Whether a fault lies in the form of the file, and so in what a schema can tell.
fn lies_in_form(fault: &Fault) -> bool {
    matches!(
        fault,
        Fault::UnknownKey { .. }
            | Fault::KeyMissing(_)
            | Fault::WrongType { .. }
            | Fault::WordNotAllowed { .. }
            | Fault::Literal(
                LiteralProblem::NotANumber(_)
                    | LiteralProblem::UnitMissing { .. }
                    | LiteralProblem::WrongUnit { .. }
                    | LiteralProblem::Word { .. }
                    | LiteralProblem::Type { .. }
            )
            | Fault::Empty
            | Fault::IdLetters
            | Fault::AxleWheels
            | Fault::Money(_)
            | Fault::SetSize { .. }
            | Fault::Unchangeable(_)
            | Fault::NotANumber { .. }
            | Fault::WorkWithoutEffect
            | Fault::SpoilsOnlyDoubt
            | Fault::DoubtOnPackage
            | Fault::RemedyOfDoubt
            | Fault::PassOfDoubt
    )
}

fn told(problems: &[FileProblem]) -> Vec<String> {
    problems.iter().map(|problem| format!("at `{}`: {:?}", problem.marked(), problem.fault())).collect()
}

fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn toml_files_in(folder: &str) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(project().join(folder)).unwrap();
    let files = entries.map(|entry| entry.unwrap().path());
    files.filter(|path| path.extension().is_some_and(|ending| ending == "toml")).collect()
}

#[test]
fn the_schemas_are_schemas() {
    for of in File::ALL {
        assert!(jsonschema::draft7::meta::is_valid(&schema(of)), "{}", of.name());
    }
}

#[test]
fn every_shipped_and_sample_file_is_taken_by_its_reader_and_its_schema() {
    let folders = [
        (File::Rule, "rules", 7),
        (File::Rule, "samples/shop/rules", 1),
        (File::Van, "samples/vans", 2),
        (File::Van, "samples/shop/vans", 2),
        (File::Van, "tests/oracle/packages/vans", 4),
        (File::Profile, "samples/shop/profiles", 1),
        (File::Shop, "samples/shop", 1),
    ];
    for (of, folder, count) in folders {
        let (files, validator) = (toml_files_in(folder), validator(of));
        assert!(files.len() >= count, "{folder} holds {files:?}");
        for file in files {
            let text = std::fs::read_to_string(&file).unwrap();
            let found = problems(of, &text);
            assert!(found.is_empty(), "{}: {:#?}", file.display(), told(&found));
            let refused: Vec<String> =
                validator.iter_errors(&as_json(&text)).map(|e| e.to_string()).collect();
            assert!(refused.is_empty(), "{}: {refused:#?}", file.display());
        }
    }
}

#[test]
fn the_shop_sample_holds_the_schemas_as_they_are() {
    for of in File::ALL {
        let path = format!("samples/shop/schemas/{}.json", of.name());
        let held = std::fs::read_to_string(project().join(&path)).unwrap();
        assert!(held == text(of), "write it again: rimsieve schema {} > {path}", of.name());
    }
}

#[test]
fn every_sample_of_the_shop_names_its_schema_to_editors() {
    for folder in ["", "vans", "profiles", "rules"] {
        for file in toml_files_in(&format!("samples/shop/{folder}")) {
            let text = std::fs::read_to_string(&file).unwrap();
            let named = text.lines().next().unwrap().strip_prefix("#:schema ").unwrap();
            assert!(file.parent().unwrap().join(named).is_file(), "{}: {named}", file.display());
        }
    }
}

#[test]
fn a_file_that_states_everything_is_taken_by_both() {
    for of in File::ALL {
        let file = full(of);
        assert_eq!(as_json(&as_toml(&file)), file, "the test's own TOML says what its JSON does");
        let found = problems(of, &as_toml(&file));
        assert!(found.is_empty(), "{}: {:#?}", of.name(), told(&found));
        let refused: Vec<String> = validator(of).iter_errors(&file).map(|e| e.to_string()).collect();
        assert!(refused.is_empty(), "{}: {refused:#?}", of.name());
    }
}

#[test]
fn readers_and_schemas_know_the_same_keys() {
    for of in File::ALL {
        let (file, whole, validator) = (full(of), schema(of), validator(of));
        let mut known: BTreeMap<Way, BTreeSet<String>> = BTreeMap::new();
        let mut seen: BTreeSet<Way> = BTreeSet::new();
        for way in ways(&file) {
            let mut changed = file.clone();
            let Json::Object(table) = at(&mut changed, &way) else { continue };
            table.insert("zzz".to_owned(), json!(1));
            seen.insert(general(&way));
            let found = problems(of, &as_toml(&changed));
            assert!(!found.is_empty(), "{}: the reader takes any key at {way:?}", of.name());
            assert!(!validator.is_valid(&changed), "{}: the schema takes any key at {way:?}", of.name());
            for problem in &found {
                if let Fault::UnknownKey { key, known: keys, .. } = problem.fault()
                    && key == "zzz"
                {
                    let keys = keys.iter().map(|key| (*key).to_owned());
                    known.entry(general(&way)).or_default().extend(keys);
                }
            }
        }
        assert!(!known.is_empty(), "{}", of.name());
        for (way, known) in known {
            assert_eq!(keys(&whole, &way), known, "{} at {way:?}", of.name());
        }
        // A table that the file above lacks would go unseen.
        let mut left = vec![Vec::new()];
        while let Some(way) = left.pop() {
            let keys = keys(&whole, &way);
            assert!(keys.is_empty() || seen.contains(&way), "{}: the full file lacks {way:?}", of.name());
            for key in keys {
                let inner = [way.clone(), vec![Step::Key(key)]].concat();
                left.push([inner.clone(), vec![Step::Place(0)]].concat());
                left.push(inner);
            }
        }
    }
}

#[test]
fn what_a_reader_refuses_for_its_form_its_schema_refuses_and_nothing_that_it_takes() {
    let others = [
        json!(7),
        json!(-1),
        json!(1.5),
        json!(true),
        json!(""),
        json!("zzz zzz"),
        json!("yes"),
        json!("E"),
        json!("12 kg"),
        json!("12 mm"),
        json!("12"),
        json!("-3 %"),
        json!([]),
        json!(["zzz zzz"]),
        json!({}),
        json!({ "zzz": "zzz" }),
    ];
    for of in File::ALL {
        let (file, whole, validator) = (full(of), schema(of), validator(of));
        let (mut refused, mut taken, mut enumerated) = (0, 0, 0);
        for way in ways(&file).into_iter().filter(|way| !way.is_empty()) {
            let without = {
                let mut changed = file.clone();
                match (at(&mut changed, &way[..way.len() - 1]), way.last().unwrap()) {
                    (Json::Object(table), Step::Key(key)) => drop(table.remove(key)),
                    (Json::Array(items), Step::Place(place)) => drop(items.remove(*place)),
                    other => panic!("{other:?}"),
                }
                changed
            };
            let with = others.iter().map(|other| {
                let mut changed = file.clone();
                *at(&mut changed, &way) = other.clone();
                changed
            });
            for changed in [without].into_iter().chain(with) {
                let found = problems(of, &as_toml(&changed));
                let valid = validator.is_valid(&changed);
                let given =
                    || format!("{} at {way:?}: {:#?}\n{}", of.name(), told(&found), as_toml(&changed));
                if found.is_empty() {
                    taken += 1;
                    assert!(valid, "the schema refuses what the reader takes: {}", given());
                }
                if found.iter().any(|problem| lies_in_form(problem.fault())) {
                    refused += 1;
                    assert!(!valid, "the schema takes what the reader refuses: {}", given());
                }
                for problem in &found {
                    let allowed: BTreeSet<String> = match problem.fault() {
                        Fault::WordNotAllowed { allowed, .. } => allowed.iter().cloned().collect(),
                        Fault::Literal(LiteralProblem::Word { allowed, .. }) => {
                            allowed.iter().map(|word| (*word).to_owned()).collect()
                        }
                        _ => continue,
                    };
                    let lists =
                        nodes(&whole, &way).into_iter().filter_map(|node| node.get("enum")?.as_array());
                    let mut words: BTreeSet<String> =
                        lists.flatten().filter_map(Json::as_str).map(str::to_owned).collect();
                    // In a work, the name of another fact stands for its value.
                    words.retain(|word| !Field::ALL.iter().any(|field| field.full_name() == *word));
                    if !words.is_empty() {
                        enumerated += 1;
                        assert_eq!(words, allowed, "{}", given());
                    }
                }
            }
        }
        assert!(refused > 50 && taken > 10, "{}: {refused} refused, {taken} taken", of.name());
        assert!(enumerated > 0 || of == File::Shop, "{}", of.name());
    }
}

#[test]
fn wrong_files_are_refused_by_both() {
    let van = |from: &str, to: &str| {
        let text = std::fs::read_to_string(project().join("samples/vans/orlbeck-l4.toml")).unwrap();
        assert!(text.contains(from), "{from}");
        (File::Van, text.replacen(from, to, 1))
    };
    let rule = |from: &str, to: &str| {
        let text = std::fs::read_to_string(project().join("samples/shop/rules/step.toml")).unwrap();
        assert!(text.contains(from), "{from}");
        (File::Rule, text.replacen(from, to, 1))
    };
    let profile = |text: &str| (File::Profile, text.to_owned());
    let shop = |text: &str| (File::Shop, text.to_owned());
    let wrong = [
        van("\"1850 kg\"", "1850"),
        van("\"1850 kg\"", "\"1850\""),
        van("\"1850 kg\"", "\"1850 mm\""),
        van("\"84.1 mm\"", "\"84,1 mm\""),
        van("wheels = 2", "wheels = 3"),
        van("pilot ", "bore "),
        van("fixing = \"bolt\"", "fixing = \"screw\""),
        van("seat   = \"ball R14\"", "seat   = \"ball 14\""),
        van("[\"30 mm\", \"62 mm\"]", "\"30 mm\""),
        van("[\"LT\", \"C\"]", "[\"LT\", \"commercial\"]"),
        van("\"orlbeck-l4\"", "\"orlbeck l4\""),
        van("top_speed = \"150 km/h\"", ""),
        van("costs    = \"38.00\"", "costs    = \"38,00\""),
        van("per = \"wheel\"", "per = \"axle\""),
        van("count = 6", "count = 0"),
        van("name   = \"hub rings to 84.1 mm\"\n", ""),
        (File::Work, "[van]\nid = \"a\"\n".to_owned()),
        (File::Work, "work_files = []\n".to_owned()),
        van("\"van.hub.seat\"", "\"van.hub.saet\""),
        van("shifts = { \"wheel.offset\"", "shifts = { \"wheel.seat\""),
        rule("on      = \"tire\"", "on      = \"tyre\""),
        rule("failing = \"caution\"", "failing = \"warn\""),
        rule("failing = \"caution\"", "failing = \"doubt\""),
        rule("basis ", "remedy = { less = \"smaller tires\" }\nbasis "),
        rule("basis ", "remedy = \"\"\nbasis "),
        rule("basis ", "passes = \" \"\nbasis "),
        rule("gives = \"pass\"", "gives = \"ok\""),
        rule("overall_diameter = \"744 mm\"", "overal_diameter = \"744 mm\""),
        rule("basis   =", "source  ="),
        rule("demand  =", "demands ="),
        rule("tire  = {", "wheel = {"),
        profile("[profile]\n"),
        profile("[profile]\nfiles = [\"a\"]\ndecimal = \"dot\"\n"),
        profile(
            "[profile]\nfiles = [\"a\"]\n[profile.columns]\nLoad = { holds = \"load\", unit = \"stone\" }\n",
        ),
        profile("[profile]\nfiles = [\"a\"]\n[profile.columns]\nLoad = \"lode\"\n"),
        profile("[profile]\nfiles = [\"a\"]\n[profile.values]\nsaet = { K = \"flat\" }\n"),
        profile("[profile]\nfiles = [\"a\"]\nskip_rows = [\"7\"]\n"),
        shop("sheet = \"a.csv\"\n"),
        shop("sheets = [\"\"]\n"),
        shop("vans = { all = true }\n"),
        shop("ledger = [\"ledger.txt\"]\n"),
        shop("set = 0\n"),
        shop("set = 101\n"),
    ];
    for (of, text) in wrong {
        assert!(!problems(of, &text).is_empty(), "the reader takes\n{text}");
        assert!(!validator(of).is_valid(&as_json(&text)), "the schema takes\n{text}");
    }
}

/// The schema of one fact's value, by itself.
fn of_fact(field: Field, whole: &Json) -> Validator {
    let names = field.name().split('.').map(|key| Step::Key(key.to_owned()));
    let start = ["rule", "", "witness", "", field.scope().name()].map(|key| match key {
        "" => Step::Place(0),
        key => Step::Key(key.to_owned()),
    });
    let way: Way = start.into_iter().chain(names).collect();
    let mut alone = (*nodes(whole, &way).first().unwrap()).clone();
    alone["definitions"] = whole["definitions"].clone();
    jsonschema::draft7::new(&alone).unwrap()
}

/// Texts near to values: figures with and without units, and the odd letter.
fn nearly_values() -> impl Strategy<Value = String> {
    let units = Unit::ALL.map(Unit::text).join("|");
    let value = format!(r" ?[-+]?[0-9.]{{0,4}}( |  )?({units}|[A-Z]|[A-Z][0-9]|[a-z]{{1,3}})? ?");
    let trade =
        r"(cone|ball|flat|shank)?( R?[0-9.+]{1,4})?|M1[0-9]x1[.5]{0,2}|6x1[0-9]{2}|yes|no|[0-9-]{8,10}";
    proptest::string::string_regex(&format!("({value}|{trade})")).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, ..ProptestConfig::default() })]

    /// An editor must never mark a value that the reader takes.
    #[test]
    fn no_schema_refuses_a_value_that_the_reader_takes(text in nearly_values()) {
        thread_local! {
            static FACTS: Vec<(Field, Validator)> = {
                let whole = schema(File::Rule);
                Field::ALL.iter().map(|field| (*field, of_fact(*field, &whole))).collect()
            };
        }
        FACTS.with(|facts| {
            for (field, validator) in facts {
                if literal::read(field.kind(), &text).is_ok() {
                    prop_assert!(validator.is_valid(&json!(text)), "{}: `{text}`", field.full_name());
                }
            }
            Ok(())
        })?;
    }
}
