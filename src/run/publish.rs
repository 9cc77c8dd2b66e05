//! The command that publishes lists.

use std::io::Write;
use std::path::PathBuf;

use super::{JUDGING, Keep, READING, RunError, judged, read_sheets};
use crate::deliver::Folder;
use crate::exit::Exit;
use crate::intake::profile;
use crate::plan::PublishPlan;
use crate::progress::Progress;
use crate::report;
use crate::report::publish::{MANIFEST, Manifest};

/// Publishes the lists of what fits each van: all files of a folder, whole or not at all.
///
/// The files are in place before anything is written to `out`.
///
/// # Errors
/// [`RunError`]; [`RunError::NoOutputs`], [`RunError::Lists`], [`RunError::Manifest`], [`RunError::Around`]
/// and [`RunError::Publish`] among them. The folder is as it was then.
pub fn publish(
    plan: &PublishPlan,
    out: &mut dyn Write,
    aside: &mut dyn Write,
    progress: &Progress,
) -> Result<Exit, RunError> {
    let path = plan.out.as_ref().ok_or(RunError::NoOutputs)?;
    progress.begin(READING, None);
    let given = read_sheets(&plan.inputs.sheets, Keep::CELLS, plan.inputs.raise_limits)?;
    let folder = Folder::at(path)?;
    let read = given.paths.iter().chain(&plan.inputs.answers).chain(&plan.inputs.profiles);
    let read = read.chain(&plan.inputs.vans).chain(&plan.inputs.rules);
    if let Some(within) = read.chain([&PathBuf::from(".")]).find(|path| folder.holds(path)) {
        return Err(RunError::Around { folder: path.clone(), path: within.clone() });
    }
    let profiles = profile::read_all(&plan.inputs.profiles)?;
    progress.begin(JUDGING, None);
    let judgement = judged(&plan.inputs, &given.sheets, &profiles)?;
    let options = report::publish::Options { set: plan.inputs.set, images: plan.images };
    progress.begin("making the lists", None);
    let published = report::publish::publish(&judgement, options)?;
    let folder = folder.hold()?;
    let read = |bytes: Vec<u8>| {
        let unread = |problem| RunError::Manifest { path: path.join(MANIFEST), problem };
        Manifest::read(&bytes).map_err(unread)
    };
    let before = folder.read(MANIFEST)?.map(read).transpose()?;
    let mut touched = Vec::new();
    for name in before.iter().flat_map(Manifest::names).filter(|name| name != MANIFEST) {
        let is_as_published = match (folder.read(&name)?, &before) {
            (Some(bytes), Some(before)) => before.has(&name, &bytes),
            _ => false,
        };
        if !is_as_published {
            touched.push(name);
        }
    }
    // What has not changed stays as it is, dates and all.
    if before.as_ref() != Some(&published.manifest) || !touched.is_empty() {
        folder.replace(&before.as_ref().map(Manifest::names).unwrap_or_default(), &published.files)?;
    }
    let told = report::publish::Told {
        folder: &path.display().to_string(),
        now: &published.manifest,
        before: before.as_ref(),
        touched: &touched,
    };
    progress.end();
    report::publish::write(&told, plan.styling, out)?;
    out.flush()?;
    report::people::write_aside(&judgement, aside)?;
    Ok(Exit::Done)
}
