//! What is listed, in every form alike.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::site::Site;

const VANS: [&str; 2] = ["orlbeck-l4", "wexholm-d46"];

#[test]
fn the_same_input_gives_the_same_bytes_with_any_number_of_threads() {
    let site = Site::of_samples();
    site.published(&["--threads", "1"]);
    let once = site.files();
    assert_eq!(once.len(), 10);
    for threads in ["1", "2", "7"] {
        std::fs::remove_dir_all(site.path("site")).unwrap();
        site.published(&["--threads", threads]);
        for (name, bytes) in site.files() {
            assert!(bytes == once[&name], "{name} with {threads} threads");
        }
    }
}

/// The parts of a van that vet says are proven, as lines of JSON, wheels first.
fn proven(site: &Site, van: &str, options: &[&str]) -> Vec<Value> {
    let output = site.command("vet", &[options, &["--format", "jsonl"]].concat()).output().unwrap();
    let lines = String::from_utf8(output.stdout).unwrap();
    let mut proven: Vec<Value> = lines.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    proven.retain(|line: &Value| line["van"] == van && line["verdict"].as_str().unwrap().starts_with("fits"));
    proven.sort_by_key(|line| line["part"]["kind"] == "tire");
    proven
}

#[test]
fn what_vet_proves_is_listed_with_its_work_and_nothing_else_is() {
    for options in [&[][..], &["--pack", "winter"], &["--set", "4"], &["--as-of", "2026-11-28"]] {
        let site = Site::of_samples();
        site.published(options);
        let manifest = site.json("manifest.json");
        for (van, counted) in VANS.iter().zip(manifest["vans"].as_array().unwrap()) {
            let (listed, proven) = (site.parts(van), proven(&site, van, options));
            assert!(!proven.is_empty());
            assert_eq!(listed.len(), proven.len(), "{van} {options:?}");
            for (part, line) in listed.iter().zip(&proven) {
                for key in ["kind", "supplier", "sku", "name"] {
                    assert_eq!(part[key], line["part"][key], "{van}");
                }
                assert_eq!(part["verdict"], line["verdict"], "{}", part["sku"]);
                assert_eq!(part["work"], line["work"], "{}", part["sku"]);
                let says = |list: &Value| -> Vec<(Value, Value)> {
                    let told = |entry: &Value| (entry["rule"].clone(), entry["says"].clone());
                    list.as_array().unwrap().iter().map(told).collect()
                };
                assert_eq!(says(&part["cured"]), says(&line["reasons"]), "{}", part["sku"]);
                assert_eq!(rules(&part["cautions"]), rules(&line["cautions"]), "{}", part["sku"]);
            }
            let count =
                |test: &dyn Fn(&Value) -> bool| Value::from(listed.iter().filter(|part| test(part)).count());
            assert_eq!(counted["van"], **van);
            assert_eq!(counted["wheels"], count(&|part| part["kind"] == "wheel"));
            assert_eq!(counted["tires"], count(&|part| part["kind"] == "tire"));
            assert_eq!(counted["with_work"], count(&|part| part["verdict"] == "fits-with-work"));
            assert_eq!(manifest["files"][format!("{van}.csv")]["wheels"], counted["wheels"]);
        }
    }
}

fn rules(list: &Value) -> Vec<&Value> {
    list.as_array().unwrap().iter().map(|entry| &entry["rule"]).collect()
}

#[test]
fn an_unproven_part_is_on_no_list_in_any_form() {
    let site = Site::new();
    site.published(&[]);
    let skus: BTreeSet<String> =
        site.parts("orlbeck-l4").iter().map(|part| part["sku"].as_str().unwrap().to_owned()).collect();
    assert_eq!(skus, ["OB-1", "QW-1", "QW-2"].map(str::to_owned).into());
    for (name, bytes) in site.files() {
        let text = String::from_utf8_lossy(&bytes);
        assert!(!text.contains("QW-3") && !text.contains("QW-4") && !text.contains("OB-2"), "{name}");
    }
    std::fs::remove_file(site.path("sheets/tires.csv")).unwrap();
    site.published(&[]);
    assert_eq!(site.parts("wexholm-d46"), Vec::<Value>::new());
    assert!(site.read("site/wexholm-d46.html").contains("No wheel or tire in these sheets is proven"));
}

#[test]
fn margins_are_those_that_why_tells_of() {
    let site = Site::new();
    site.published(&[]);
    for sku in ["QW-1", "OB-1"] {
        let mut why = std::process::Command::new(env!("CARGO_BIN_EXE_rimsieve"));
        why.args(["why", sku, "sheets", "--van", "vans/orlbeck-l4.toml", "--format", "json", "--no-shop"]);
        let output = why.current_dir(site.path("")).output().unwrap();
        let told: Value = serde_json::from_slice(&output.stdout).unwrap();
        let parts = site.parts("orlbeck-l4");
        let part = parts.iter().find(|part| part["sku"] == sku).unwrap();
        let mut seen = 0;
        for margin in part["margins"].as_array().unwrap() {
            let rules = told["vans"][0]["rules"].as_array().unwrap();
            let rule = rules.iter().find(|rule| rule["rule"] == margin["rule"]).unwrap();
            assert_eq!(rule["outcome"], "pass");
            assert_eq!(margin.get("left"), rule.get("margin"), "{sku} {}", margin["rule"]);
            seen += usize::from(margin.get("left").is_some());
        }
        assert!(seen >= 3, "{sku}");
    }
}

#[test]
fn margins_read_as_words_and_are_those_with_the_work_done() {
    let site = Site::new();
    site.published(&[]);
    let parts = site.parts("orlbeck-l4");
    let says = |sku: &str| {
        let part = parts.iter().find(|part| part["sku"] == sku).unwrap();
        let margins = part["margins"].as_array().unwrap();
        margins.iter().map(|margin| margin["says"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let fits = says("QW-1");
    // 1300 kg against 2430 kg on two wheels; 50 mm in 30 mm to 62 mm.
    assert!(fits.contains(&"85 kg to spare on the heaviest corner".to_owned()), "{fits:?}");
    assert!(fits.contains(&"12 mm inside the offset window".to_owned()), "{fits:?}");
    let with_work = says("QW-2");
    assert!(with_work.contains(&"seat cone 60 is that of the fasteners".to_owned()), "{with_work:?}");
}

#[test]
fn a_rule_of_the_shop_says_in_its_own_words_what_passes() {
    let rule = |passes: &str| {
        format!(
            "[[rule]]\nname = \"light\"\non = \"wheel\"\ndemand = \"wheel.load_rating <= 2000 kg\"\nsays = \"heavy\"\n{passes}basis = \"ours\"\n"
        )
    };
    for (passes, wanted) in [
        ("passes = \"{gap} lighter than ours\"\n", "700 kg lighter than ours"),
        ("", "light: 1300 kg, at most 2000 kg, 700 kg to spare"),
    ] {
        let site = Site::new();
        site.write("own.toml", &rule(passes));
        site.published(&["--rules", "own.toml"]);
        let parts = site.parts("orlbeck-l4");
        let margins = parts[0]["margins"].as_array().unwrap();
        let own = margins.iter().find(|margin| margin["rule"] == "light").unwrap();
        assert_eq!(own["says"], wanted);
    }
}

#[test]
fn prices_and_links_stand_as_in_the_sheet() {
    let site = Site::new();
    let sheet = site.read("sheets/wheels.csv").replace("189.00,", "on request,");
    site.write("sheets/wheels.csv", &sheet);
    site.published(&[]);
    let parts = site.parts("orlbeck-l4");
    assert_eq!(parts[0]["price"], serde_json::json!({ "text": "on request" }));
    assert_eq!(
        parts[1]["price"],
        serde_json::json!({ "text": "210.50", "amount": "210.50", "currency": "EUR" })
    );
    assert_eq!(parts[0]["link"], "https://quarnley.example/qw-1");
    let page = site.read("site/orlbeck-l4.html");
    assert!(page.contains("<b>on request</b>") && page.contains("<b>210.50 EUR</b>"));
    assert!(page.contains("href=\"https://quarnley.example/qw-1\" rel=\"noopener nofollow\""));
}

#[test]
fn cautions_stand_in_every_form_that_people_read() {
    let site = Site::new();
    site.published(&[]);
    for file in ["index.html", "orlbeck-l4.html", "wexholm-d46.html", "orlbeck-l4.json"] {
        let text = site.read(&format!("site/{file}"));
        for words in ["local law", "qualified fitter", "approves nothing", "again after 50 km"] {
            assert!(text.contains(words), "{file}: {words}");
        }
    }
    let part = &site.parts("orlbeck-l4")[0];
    let says = part["cautions"][0]["says"].as_str().unwrap();
    assert_eq!(says, "bolt hole diameter: not known, have it checked before fitting");
    assert!(site.read("site/orlbeck-l4.csv").contains(says));
    let together =
        "bolt hole diameter, beadlock rim and standard marks: not known, have them checked before fitting";
    assert!(site.read("site/orlbeck-l4.html").contains(together));
}

#[test]
fn the_date_stands_there_only_if_given() {
    let site = Site::new();
    site.published(&[]);
    assert!(site.json("manifest.json").get("as_of").is_none());
    for page in site.pages().as_object().unwrap().values() {
        assert_eq!(page["times"], serde_json::json!([]));
    }
    site.published(&["--as-of", "2026-11-28"]);
    assert_eq!(site.json("manifest.json")["as_of"], "2026-11-28");
    assert_eq!(site.json("orlbeck-l4.json")["as_of"], "2026-11-28");
    for page in site.pages().as_object().unwrap().values() {
        assert_eq!(page["times"], serde_json::json!(["2026-11-28"]));
    }
}

#[test]
fn other_programs_read_the_files_and_find_the_same_in_them() {
    for site in [Site::of_samples(), Site::new()] {
        site.published(&["--images"]);
        for check in ["manifest", "lists", "workbooks"] {
            site.checked(check);
        }
    }
}
