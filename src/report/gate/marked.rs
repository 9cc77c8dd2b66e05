//! The gate's result as a comment on a change, in Markdown.

use std::fmt::Write as _;
use std::io::{self, Write};

use crate::ledger::Standing;
use crate::report::gate::Gate;
use crate::report::gate::people::MOST_CHANGES;
use crate::report::gate::words::{
    before, causes, counts, differences, fact, headline, identity, meaning, now, review,
};
use crate::report::page::{clean, counted};
use crate::report::words::CAUTIONS;

/// A text that Markdown shows as it is: a sheet's words make no link, no picture, no heading and no
/// mention of a person.
fn plain(text: &str) -> String {
    let mut shown = String::new();
    for letter in clean(text).chars() {
        match letter {
            '&' => shown.push_str("&amp;"),
            '<' => shown.push_str("&lt;"),
            '>' => shown.push_str("&gt;"),
            '@' => shown.push_str("&#64;"),
            // A colon makes a bare address a link.
            ':' => shown.push_str("&#58;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '(' | ')' | '|' | '~' | '#' | '!' | '$' => {
                shown.push('\\');
                shown.push(letter);
            }
            _ => shown.push(letter),
        }
    }
    shown
}

/// Writes the comment.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(gate: &Gate<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut text = format!("### {}\n\n{}.\n", plain(&headline(gate)), plain(&counts(gate)));
    let differing = differences(gate);
    if !differing.is_empty() {
        text.push_str("\n#### What changed beside the sheets\n\n");
        for line in differing {
            let indent = line.len() - line.trim_start().len();
            let _ = writeln!(text, "{}- {}", " ".repeat(indent), plain(line.trim_start()));
        }
    }
    for standing in Standing::ALL {
        let changes = gate.of(standing);
        if changes.is_empty() {
            continue;
        }
        let count = counted(changes.len(), "part", "parts");
        let _ = write!(text, "\n#### {count} {}\n\n", plain(meaning(standing, changes.len() == 1)));
        text.push_str("| part | van | was | is | what changed | why |\n|---|---|---|---|---|---|\n");
        for (change, fails) in changes.iter().take(MOST_CHANGES) {
            let number = plain(change.key.number());
            let number = if *fails { format!("**{number}**") } else { number };
            let was = change.before.as_ref().map_or_else(|| "not known".to_owned(), before);
            let facts: Vec<String> =
                change.facts.iter().map(|changed| plain(&fact(gate, change, changed))).collect();
            let _ = writeln!(
                text,
                "| {number}<br>{} | {} | {} | {} | {} | {} |",
                plain(&identity(gate, change)),
                plain(&change.key.van),
                plain(&was),
                plain(&now(gate, change)),
                facts.join("<br>"),
                plain(&causes(gate, change))
            );
        }
        let more = changes.len().saturating_sub(MOST_CHANGES);
        if more > 0 {
            let _ = writeln!(text, "\n... and {}", counted(more, "part", "parts"));
        }
    }
    for (heading, lines) in review(gate) {
        let _ = write!(text, "\n#### {heading}\n\n");
        if lines.is_empty() {
            text.push_str("none\n");
        }
        for line in lines {
            let _ = writeln!(text, "- {}", plain(&line));
        }
    }
    let _ = write!(text, "\n<sub>{CAUTIONS}</sub>\n");
    out.write_all(text.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn words_of_a_sheet_stay_words() {
        let hostile = "@lead [x](https://e.example) <img src=x> a|b `c` **d**\n# e";
        let shown = plain(hostile);
        for part in ["@", "](", "<", "\n", "a|b", "://"] {
            assert!(!shown.contains(part), "{part}: {shown}");
        }
    }
}
