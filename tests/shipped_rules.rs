//! Every shipped rule is well formed, says its basis, and does on its witnesses what it says.

#![expect(clippy::panic, reason = "shipped rules that do not load leave nothing to test")]

use rimsieve::facts::{Subject, Value};
use rimsieve::judge::witness;
use rimsieve::rules::template::{Piece, Template};
use rimsieve::rules::{OnFailing, Outcome, Remedies, RuleSet};

fn shipped() -> RuleSet {
    match RuleSet::shipped() {
        Ok(rules) => rules,
        Err(problems) => panic!(
            "{}",
            problems.0.iter().map(|problem| format!("{problem}: {}\n", problem.marked())).collect::<String>()
        ),
    }
}

#[test]
fn every_witness_gives_what_it_says_and_none_is_lacking() {
    let problems = witness::problems(shipped().all());
    let told: Vec<String> = problems
        .iter()
        .map(|problem| format!("{}: {problem}: {}", problem.file(), problem.marked()))
        .collect();
    assert!(told.is_empty(), "{}", told.join("\n"));
}

/// Judging goes by what the build lays out, and a shop's files replace what the public reader reads.
#[test]
fn what_judges_is_what_the_files_say_but_for_witnesses() {
    let mut read = shipped().all().to_vec();
    assert!(read.len() > 40 && read.iter().all(|rule| !rule.witnesses.is_empty()));
    read.iter_mut().for_each(|rule| rule.witnesses.clear());
    let laid = RuleSet::shipped_to_judge().unwrap();
    assert_eq!(laid.all().len(), read.len());
    for (laid, read) in laid.all().iter().zip(&read) {
        assert_eq!(format!("{laid:#?}"), format!("{read:#?}"));
    }
}

#[test]
fn the_shipped_rules_are_those_of_the_contract() {
    let rules = shipped();
    let named = |on: Subject, sense: bool| -> Vec<String> {
        let rules = rules.all().iter().filter(|rule| rule.on == on && rule.is_sense_check() == sense);
        rules
            .map(|rule| {
                format!(
                    "{}{}",
                    rule.name,
                    rule.packs.iter().map(|pack| format!(" {pack}")).collect::<String>()
                )
            })
            .collect()
    };
    assert_eq!(
        named(Subject::Wheel, false),
        [
            "bolt-pattern",
            "center-bore",
            "hub-centric",
            "corner-load",
            "offset-window",
            "rim-diameter",
            "rim-width",
            "lug-seat",
            "bolt-hole",
            "beadlock us-road unece-road",
            "wheel-marking us-road unece-road",
        ]
    );
    assert_eq!(
        named(Subject::Tire, false),
        [
            "tire-diameter",
            "tire-section",
            "tire-load",
            "tire-service",
            "load-range",
            "speed-symbol",
            "road-speed",
            "spare-carrier",
            "tire-age",
            "passenger-derate us-road",
            "snow-mark winter",
        ]
    );
    assert_eq!(
        named(Subject::Package, false),
        [
            "rim-match",
            "rim-width-range",
            "outboard-reach",
            "inboard-reach",
            "dual-spacing",
            "pressure-ceiling",
            "thread-engagement",
            "track-wider",
            "rides-higher",
            "dial-reads-low unece-road",
            "valve-pressure",
            "load-reserve",
            "diameter-margin",
            "spare-margin",
            "cautious-pressure",
            "no-pressure-table",
        ]
    );
    assert_eq!(named(Subject::Wheel, true), ["offset-vs-backspacing", "value-out-of-range"]);
    assert_eq!(
        named(Subject::Tire, true),
        ["load-index-vs-load", "diameter-vs-size", "rim-vs-size", "value-out-of-range"]
    );
}

#[test]
fn a_witness_that_tells_untruth_is_found_out() {
    let mut rules = shipped().all().to_vec();
    let bore = rules.iter_mut().find(|rule| &*rule.name == "center-bore").unwrap();
    for witness in &mut bore.witnesses {
        for (_, value) in &mut witness.facts {
            *value = Value::length(rimsieve::trade::quantity::Length::from_mm(50.0));
        }
    }
    let wrong = witness::problems(&rules).len();
    assert_eq!(wrong, 1, "only the witness for failing has a bore smaller than its pilot");
    let bore = rules.iter().find(|rule| &*rule.name == "center-bore").unwrap();
    assert!(bore.witnesses.iter().any(|witness| witness.gives == Outcome::Fail));
}

/// Every rule that a part can fail says what it would take, and never that a bore be opened out, that
/// spacers be stacked, or that a load be met by anything but a part rated for it.
#[test]
fn what_it_would_take_is_said_and_safe() {
    let rules = RuleSet::shipped().unwrap();
    let mut told = 0;
    for rule in rules.all().iter().filter(|rule| rule.failing == OnFailing::Reject) {
        let Remedies { short, over, off } = &rule.remedies;
        let remedies: Vec<&Template> = [short, over, off].into_iter().flatten().collect();
        assert!(!remedies.is_empty(), "{} says what it would take", rule.name);
        for remedy in remedies {
            let text: String = remedy
                .pieces()
                .iter()
                .filter_map(|piece| if let Piece::Text(text) = piece { Some(text.as_str()) } else { None })
                .collect();
            let spacers = text.matches("spacer").count();
            assert!(spacers <= 1 && !text.contains("spacers"), "{}: {text}", rule.name);
            for word in ["bored out", "ream", "file", "grind", "weld", "drill out", "reinforce"] {
                assert!(!text.contains(word), "{}: {text}", rule.name);
            }
            told += 1;
        }
    }
    assert!(told > 25, "{told}");
}
