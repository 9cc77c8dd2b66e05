//! What must hold for the text of any rule file, and of any expression.

use rimsieve::document::Source;
use rimsieve::facts::Subject;
use rimsieve::judge::witness;
use rimsieve::rules::parse::parse;
use rimsieve::rules::read_rules;
use rimsieve::rules::template::Template;

use crate::problem;

/// That the text is rules or has problems, each at its place; that every rule can be evaluated on its own
/// witnesses; and what holds for any expression.
pub(crate) fn holds(text: &str) {
    let (rules, problems) = read_rules(&Source::new("any.toml", text));
    assert!(!(rules.is_empty() && problems.is_empty()), "neither rules nor problems");
    for found in &problems {
        problem::holds(text, found);
    }
    for rule in &rules {
        assert!(!rule.name.is_empty(), "a rule without a name");
        assert!(text.get(rule.span.start..rule.span.end).is_some(), "{}: {:?}", rule.name, rule.span);
        assert!(!rule.reads.iter().any(|field| field.full_name().is_empty()), "{}", rule.name);
        assert!(parse(&rule.demand_text).is_ok(), "{}: {}", rule.name, rule.demand_text);
        expression(&rule.demand_text);
    }
    for found in &witness::problems(&rules) {
        problem::holds(text, found);
    }
    expression(text);
    for subject in Subject::ALL {
        if let Err((span, _)) = Template::read(text, subject) {
            assert!(text.get(span.start..span.end).is_some(), "{span:?} of {text:?}");
        }
    }
}

/// That a tree stands within its text and prints to a text that parses to it again, and that a problem stands
/// within the text.
fn expression(text: &str) {
    match parse(text) {
        Ok(tree) => {
            assert!(text.get(tree.span.start..tree.span.end).is_some(), "{:?} of {text:?}", tree.span);
            let printed = tree.to_string();
            assert_eq!(parse(&printed), Ok(tree), "{text:?} prints {printed:?}");
        }
        Err(why) => {
            assert!(text.get(why.span.start..why.span.end).is_some(), "{:?} of {text:?}", why.span);
        }
    }
}
