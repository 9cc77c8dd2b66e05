//! What a run that published says of it: what is listed, and what is new against what stood there.

use std::io::{self, Write};

use crate::plan::Styling;
use crate::report::page::{Page, Side, counted};
use crate::report::publish::manifest::{Counts, Manifest, VanEntry};
use crate::report::words::CAUTIONS;

/// What is told.
#[derive(Debug)]
pub struct Told<'t> {
    /// The folder, as it was named.
    pub folder: &'t str,
    /// What is published now.
    pub now: &'t Manifest,
    /// What was published there before; none the first time.
    pub before: Option<&'t Manifest>,
    /// Files that somebody changed, or took away, since they were published.
    pub touched: &'t [String],
}

/// Writes the account.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(told: &Told<'_>, styling: Styling, out: &mut dyn Write) -> io::Result<()> {
    let mut page = Page::new(styling);
    page.heading(&format!("Published in {}", told.folder));
    for van in &told.now.vans {
        page.line(0, &format!("{} ({})", van.name, van.van));
        page.hanging(2, 4, &listed(van.counts));
        let left_out = [(van.unproven, "unproven"), (van.rejected, "not fitting")];
        let left_out: Vec<String> = left_out
            .iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, why)| format!("{count} {why}"))
            .collect();
        if !left_out.is_empty() {
            page.hanging(2, 4, &format!("not listed: {}", left_out.join(", ")));
        }
    }
    page.gap();
    match told.before {
        None => page.line(0, &format!("{}, all new.", counted(told.now.names().len(), "file", "files"))),
        Some(before) => compared(&mut page, told.now, before),
    }
    if !told.touched.is_empty() {
        page.hanging(
            0,
            2,
            &format!(
                "Changed by another hand since they were published, and made anew: {}.",
                told.touched.join(", ")
            ),
        );
    }
    page.gap();
    page.line(0, CAUTIONS);
    out.write_all(page.into_text().as_bytes())
}

/// `24 wheels and 27 tires, 30 of them with work`.
fn listed(counts: Counts) -> String {
    let Counts { wheels, tires, with_work } = counts;
    if wheels + tires == 0 {
        return "nothing is proven".to_owned();
    }
    let parts = format!("{} and {}", counted(wheels, "wheel", "wheels"), counted(tires, "tire", "tires"));
    match with_work {
        0 => format!("{parts}, none with work"),
        some if some == wheels + tires => format!("{parts}, all with work"),
        some => format!("{parts}, {some} of them with work"),
    }
}

/// What changed against what was published before.
fn compared(page: &mut Page, now: &Manifest, before: &Manifest) {
    let same = |name: &&String| {
        now.files.get(*name).map(|file| &file.sha256) == before.files.get(*name).map(|file| &file.sha256)
    };
    if now == before {
        page.line(0, "The lists are as they were last published.");
        return;
    }
    page.line(0, "Against what stood there:");
    let mut rows: Vec<Vec<String>> = Vec::new();
    for van in &now.vans {
        let files: Vec<&String> = now
            .files
            .iter()
            .filter(|(_, file)| file.van.as_ref() == Some(&van.van))
            .map(|(name, _)| name)
            .collect();
        let told = match before.vans.iter().find(|other| other.van == van.van) {
            None => "new".to_owned(),
            Some(_) if files.iter().all(same) => "as before".to_owned(),
            Some(other) if other.counts == van.counts => {
                "as many parts as before, other words or figures".to_owned()
            }
            Some(other) => format!("was {}", listed(other.counts)),
        };
        rows.push(vec![van.van.clone(), told]);
    }
    let is_listed = |van: &&VanEntry| now.vans.iter().any(|other| other.van == van.van);
    for van in before.vans.iter().filter(|van| !is_listed(van)) {
        rows.push(vec![van.van.clone(), "no longer published; its files are gone".to_owned()]);
    }
    page.table(2, &[Side::Left, Side::Left], &rows);
    let changed = now.files.keys().filter(|name| !same(name)).count();
    let gone = before.files.keys().filter(|name| !now.files.contains_key(*name)).count();
    let gone = if gone == 0 { String::new() } else { format!(", {} gone", counted(gone, "file", "files")) };
    page.line(0, &format!("{} new or changed{gone}.", counted(changed, "file", "files")));
}
