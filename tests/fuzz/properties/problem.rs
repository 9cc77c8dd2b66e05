//! Problems of our own files, wherever they come from.

use miette::Diagnostic;
use rimsieve::document::FileProblem;

/// That a problem says something, points into the file between letters, and can be shown.
pub(crate) fn holds(text: &str, problem: &FileProblem) {
    assert!(!problem.to_string().is_empty(), "{problem:?}");
    for label in problem.labels().into_iter().flatten() {
        let (start, end) = (label.offset(), label.offset() + label.len());
        assert!(text.get(start..end).is_some(), "{problem}: {start}..{end} of {text:?}");
    }
    let mut shown = String::new();
    let handler = miette::NarratableReportHandler::new();
    assert!(handler.render_report(&mut shown, problem).is_ok(), "{problem}");
    assert!(!shown.is_empty(), "{problem}");
}
