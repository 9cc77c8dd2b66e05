//! What every page of ours stands on: its style, and the policy that nothing is loaded, run or sent but
//! what stands in it.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

use crate::report::drawing;

/// What every page begins with (`templates/head.html`).
#[derive(Debug)]
pub(super) struct Head {
    pub(super) title: String,
    pub(super) policy: String,
    pub(super) style: String,
}

impl Head {
    /// The head of a page with this style of its own behind that of all pages, and this script.
    pub(super) fn new(title: String, own_style: &str, script: Option<&str>, loads: Loads) -> Self {
        let style = format!("{}\n{}{own_style}", drawing::STYLE, include_str!("templates/list.css"));
        Self { title, policy: policy(&style, script, loads), style }
    }
}

/// What a page may load beside its own style and script.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Loads {
    /// Nothing.
    Nothing,
    /// Pictures by https.
    Pictures,
}

/// The policy of a page with this style and script, which it allows by their sums.
fn policy(style: &str, script: Option<&str>, loads: Loads) -> String {
    let sum = |text: &str| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)));
    let script = script.map_or_else(String::new, |script| format!("script-src {}; ", sum(script)));
    let images = if loads == Loads::Pictures { "img-src https:; " } else { "" };
    format!(
        "default-src 'none'; {script}style-src {}; {images}base-uri 'none'; form-action 'none'",
        sum(style)
    )
}

#[cfg(test)]
mod tests {
    use super::{Loads, policy};

    #[test]
    fn style_and_script_are_allowed_by_their_sums_and_nothing_else_is() {
        // The sum of the empty text is published with the algorithm.
        let empty = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='";
        assert_eq!(
            policy("", Some(""), Loads::Nothing),
            format!(
                "default-src 'none'; script-src {empty}; style-src {empty}; base-uri 'none'; form-action 'none'"
            )
        );
        assert!(policy("", None, Loads::Pictures).contains("; img-src https:; "));
        assert!(!policy("", None, Loads::Nothing).contains("script-src"));
    }
}
