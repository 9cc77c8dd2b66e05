//! How high a row must be to show its wrapped texts: not every spreadsheet program works it out.

use super::page::lines_within;

/// Points of a line, and of as many whole lines as a row can show: it ends at 409 points.
const LINE: f64 = 15.0;
const HIGHEST: f64 = 405.0;

/// The height in points for texts, each with the width of its column in characters; none where one
/// line will do.
pub(super) fn row_height<'t>(texts: impl IntoIterator<Item = (&'t str, usize)>) -> Option<f64> {
    let lines = texts.into_iter().map(|(text, width)| lines_within(text, width)).max().unwrap_or(1);
    // Lines that do not fit a row are far fewer than what a float holds exactly.
    (lines > 1).then(|| (lines as f64 * LINE).min(HIGHEST))
}

#[cfg(test)]
mod tests {
    use super::row_height;

    #[test]
    fn a_row_is_as_high_as_its_longest_text_needs() {
        assert_eq!(row_height([("short", 10), ("", 10)]), None);
        assert_eq!(row_height([("short", 10), ("two words or three", 10)]), Some(30.0));
        assert_eq!(row_height([("unbrokenunbrokenunbroken", 10)]), Some(45.0));
        assert_eq!(row_height([("a word ".repeat(500).as_str(), 10)]), Some(405.0));
    }
}
