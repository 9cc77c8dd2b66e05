//! The pages: their policy, what a reader of HTML finds in them, and what linked data they carry.

use serde_json::Value;

use crate::site::{Site, WHEELS};

#[test]
fn every_page_allows_itself_its_own_style_and_script_and_nothing_else() {
    let site = Site::of_samples();
    site.published(&[]);
    let pages = site.pages();
    assert_eq!(pages.as_object().unwrap().len(), 3);
    for van in ["orlbeck-l4", "wexholm-d46"] {
        let page = &pages[format!("{van}.html")];
        assert_eq!(page["entries"].as_array().unwrap().len(), site.parts(van).len());
        assert_eq!(page["images"], serde_json::json!([]));
    }
}

#[test]
fn an_entry_carries_what_it_is_filtered_and_sorted_by() {
    let site = Site::new();
    site.published(&[]);
    let pages = site.pages();
    let entries = pages["orlbeck-l4.html"]["entries"].as_array().unwrap();
    let told = |place: usize, keys: &[&str]| -> Vec<&str> {
        keys.iter().map(|key| entries[place][format!("data-{key}")].as_str().unwrap()).collect()
    };
    let keys = ["kind", "rim", "price", "currency", "work", "snow", "offset", "load"];
    assert_eq!(told(0, &keys), ["wheel", "16", "189.00", "EUR", "no", "no", "50", "1300"]);
    assert_eq!(told(1, &keys), ["wheel", "17", "210.50", "EUR", "yes", "no", "52", "1250"]);
    assert_eq!(told(2, &keys), ["tire", "16", "179.00", "EUR", "no", "yes", "", "1450"]);
    assert!(told(0, &["find"])[0].contains("quarnley wheel qw-1 fellmoor 16x6.5"));
}

#[test]
fn pictures_are_shown_only_if_asked_for_and_only_over_https() {
    let site = Site::new();
    site.published(&[]);
    assert!(!site.read("site/orlbeck-l4.html").contains("qw-1.jpg"));
    assert_eq!(site.parts("orlbeck-l4")[0].get("image"), None);
    site.published(&["--images"]);
    let pages = site.pages();
    assert_eq!(pages["orlbeck-l4.html"]["images"], serde_json::json!(["https://quarnley.example/qw-1.jpg"]));
    assert!(site.read("site/orlbeck-l4.html").contains("img-src https:;"));
    assert_eq!(site.parts("orlbeck-l4")[0]["image"], "https://quarnley.example/qw-1.jpg");
}

#[test]
fn a_suppliers_markup_stays_text() {
    let site = Site::new();
    let hostile = [
        "<script>alert(1)</script>",
        "</script><img src=x onerror=alert(1)>",
        "<!--<script>",
        "{{ head.style }}",
        "&amp;&lt;b&gt;",
        "\u{202e}drawkcab",
        "=HYPERLINK(\"\"https://evil.example\"\")",
        "]]></style>",
    ];
    let rows = hostile.iter().enumerate().map(|(at, text)| {
        format!(
            "\"{text}\",\"H{at}{text}\",\"{text}\",16x6.5,6x130,50,84.1,1300,Ball R14,\"{text}\",javascript:alert({at}),\"https://evil.example/\"\"onerror=x\"\n"
        )
    });
    let heading = WHEELS.split_inclusive('\n').next().unwrap();
    site.write("sheets/wheels.csv", &rows.fold(heading.to_owned(), |all, row| all + &row));
    site.published(&["--images"]);
    assert_eq!(site.parts("orlbeck-l4").len(), hostile.len() + 1);
    let pages = site.pages();
    let page = &pages["orlbeck-l4.html"];
    assert_eq!((&page["links"], &page["images"]), (&serde_json::json!([]), &serde_json::json!([])));
    let text = page["text"].as_str().unwrap();
    for text_of in [
        "<script>alert(1)</script>",
        "onerror=alert(1)>",
        "<!--<script>",
        "{{ head.style }}",
        "&amp;&lt;b&gt;",
    ] {
        assert!(text.contains(text_of), "{text_of}");
    }
    assert!(!text.contains('\u{202e}'));
    for element in page["elements"].as_array().unwrap() {
        assert_ne!(element, "b-of-supplier");
    }
    let plain = Site::new();
    plain.published(&["--images"]);
    let known = plain.pages()["orlbeck-l4.html"]["elements"].clone();
    for element in page["elements"].as_array().unwrap() {
        assert!(known.as_array().unwrap().contains(element), "{element} comes from the sheet");
    }
    for check in ["manifest", "lists", "workbooks"] {
        site.checked(check);
    }
}

#[test]
fn two_entries_of_one_part_number_have_names_of_their_own() {
    let site = Site::new();
    let again = WHEELS.lines().nth(1).unwrap();
    site.write("sheets/wheels.csv", &format!("{WHEELS}{again}\n{}\n", again.replace("QW-1,", "qw 1,")));
    site.published(&[]);
    // The reader of HTML tells of a name that stands twice.
    assert_eq!(site.pages()["orlbeck-l4.html"]["entries"].as_array().unwrap().len(), 5);
}

#[test]
fn a_long_list_leaves_its_drawings_out_and_says_so() {
    let site = Site::new();
    let row = WHEELS.lines().nth(1).unwrap();
    let rows = (0..1001).map(|at| row.replace("QW-1,", &format!("QW-1-{at},")));
    let heading = WHEELS.split_inclusive('\n').next().unwrap();
    site.write("sheets/wheels.csv", &rows.fold(heading.to_owned(), |all, row| all + &row + "\n"));
    site.published(&["--van", "vans/orlbeck-l4.toml"]);
    let page = site.read("site/orlbeck-l4.html");
    assert!(!page.contains("<svg") && page.contains("A list of more than 1000 parts has no drawings"));
    site.write("sheets/wheels.csv", WHEELS);
    site.published(&["--van", "vans/orlbeck-l4.toml"]);
    let page = site.read("site/orlbeck-l4.html");
    // Wheel and offset for two wheels, and a tire.
    assert_eq!(page.matches("<svg").count(), 5);
    assert!(!page.contains("has no drawings"));
}

/// The vocabulary of schema.org as another package states it.
fn vocabulary() -> Value {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/schemas/schema-org.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// Checks a node of linked data against the vocabulary, and gives the names of the types it met.
fn check(node: &Value, types: &Value, met: &mut Vec<String>) {
    let kind = node["@type"].as_str().unwrap();
    met.push(kind.to_owned());
    for (key, value) in node.as_object().unwrap().iter().filter(|(key, _)| !key.starts_with('@')) {
        let holds = &types[kind]["properties"][key];
        assert!(holds.is_array(), "{kind} has no {key}");
        for value in value.as_array().map_or(std::slice::from_ref(value), Vec::as_slice) {
            holds_value(value, holds.as_array().unwrap(), types, &format!("{kind}.{key}"));
            if value["@type"].is_string() {
                check(value, types, met);
            }
        }
    }
}

fn holds_value(value: &Value, holds: &[Value], types: &Value, place: &str) {
    let any = |names: &[&str]| holds.iter().any(|kind| names.contains(&kind.as_str().unwrap()));
    let good = match value {
        Value::Bool(_) => any(&["Boolean"]),
        Value::Number(number) => any(&["Number"]) || (number.is_u64() && any(&["Integer"])),
        Value::String(text) => any(&["Text"]) || (text.starts_with("http") && any(&["URL"])),
        Value::Object(node) if node.contains_key("@type") => {
            let kinds = types[node["@type"].as_str().unwrap()]["kinds"].as_array().unwrap();
            kinds.iter().any(|kind| holds.contains(kind))
        }
        // A reference to a node that stands elsewhere.
        Value::Object(node) => node.keys().eq(["@id"]),
        Value::Null | Value::Array(_) => false,
    };
    assert!(good, "{place} holds {holds:?}, not {value}");
}

#[test]
fn linked_data_keeps_to_the_open_vocabulary() {
    let types = vocabulary()["types"].clone();
    for (site, options) in [(Site::of_samples(), &[][..]), (Site::new(), &["--images"])] {
        site.published(options);
        let pages = site.pages();
        let [document] = pages["orlbeck-l4.html"]["data"].as_array().unwrap().as_slice() else {
            panic!("one block of linked data")
        };
        assert_eq!(document["@context"], "https://schema.org");
        let [van, list] = document["@graph"].as_array().unwrap().as_slice() else {
            panic!("a van and a list")
        };
        assert_eq!((&van["@type"], &van["@id"]), (&Value::from("Vehicle"), &Value::from("#van")));
        let mut met = Vec::new();
        check(van, &types, &mut met);
        check(list, &types, &mut met);
        let parts = site.parts("orlbeck-l4");
        assert_eq!(met.iter().filter(|kind| *kind == "Product").count(), parts.len());
        assert_eq!(list["numberOfItems"], parts.len());
        for (part, element) in parts.iter().zip(list["itemListElement"].as_array().unwrap()) {
            let product = &element["item"];
            assert_eq!(product["sku"], part["sku"]);
            assert_eq!(product["isAccessoryOrSparePartFor"]["@id"], "#van");
            let price = &part["price"];
            let offered = price["amount"].is_string() && price["currency"].is_string();
            assert_eq!(product.get("offers").is_some(), offered, "{price}");
            if offered {
                assert_eq!(product["offers"]["price"], price["amount"]);
                assert_eq!(product["offers"]["priceCurrency"], price["currency"]);
            }
            for property in product["additionalProperty"].as_array().unwrap() {
                let unit = property["unitText"].as_str();
                let codes = [("mm", "MMT"), ("in", "INH"), ("kg", "KGM"), ("kPa", "KPA"), ("km/h", "KMH")];
                let code = codes.iter().find(|(text, _)| Some(*text) == unit).map(|(_, code)| *code);
                assert_eq!(property["unitCode"].as_str(), code, "{property}");
                let id = property["propertyID"].as_str().unwrap();
                let fact = &part["facts"][id];
                if id != "work" && property["value"].is_number() {
                    assert_eq!(
                        (&property["value"], &property["unitText"]),
                        (&fact["value"], &fact["unit"]),
                        "{id}"
                    );
                }
            }
        }
    }
}

#[test]
fn a_currency_that_is_not_known_makes_no_offer() {
    let site = Site::new();
    site.write("sheets/wheels.csv", &WHEELS.replace("Price EUR", "Price"));
    site.published(&[]);
    let pages = site.pages();
    let list = &pages["orlbeck-l4.html"]["data"][0]["@graph"][1]["itemListElement"];
    assert_eq!(list[0]["item"].get("offers"), None);
    assert_eq!(list[2]["item"]["offers"]["priceCurrency"], "EUR");
}
