//! What helps at a shell, made from the definition of the command line itself: completions and man
//! pages.

use std::io::{self, Write};
use std::path::Path;

use clap::Command;
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};
use rimsieve::deliver::{Staged, make_folder};
use rimsieve::exit::Exit;
use rimsieve::run::RunError;

/// What the exit values mean.
const EXIT_VALUES: [(&str, &str); 3] = [
    ("0", "the work was done"),
    ("1", "the work was done and found what it was asked to fail on"),
    ("2", "the work could not be done; nothing was written"),
];

/// Writes completions for a shell.
///
/// # Errors
/// [`RunError::Output`] where they cannot be written.
pub(crate) fn completions(
    shell: clap_complete::Shell,
    mut command: Command,
    out: &mut dyn Write,
) -> Result<Exit, RunError> {
    let name = command.get_name().to_owned();
    // The generator stops the program where it cannot write; memory always takes it.
    let mut bytes = Vec::new();
    clap_complete::generate(shell, &mut command, name, &mut bytes);
    out.write_all(&bytes)?;
    out.flush()?;
    Ok(Exit::Done)
}

/// Writes the man page of the program, or into a folder a page of it and of each command.
///
/// # Errors
/// [`RunError::Output`] or [`RunError::Deliver`] where they cannot be written.
pub(crate) fn manual(
    mut command: Command,
    folder: Option<&Path>,
    out: &mut dyn Write,
) -> Result<Exit, RunError> {
    command = command.disable_help_subcommand(true);
    command.build();
    let Some(folder) = folder else {
        out.write_all(&page(&command, true)?)?;
        out.flush()?;
        return Ok(Exit::Done);
    };
    make_folder(folder)?;
    let mut staged = Vec::new();
    let mut left = vec![(command, true)];
    while let Some((command, whole)) = left.pop() {
        let name = command.get_display_name().unwrap_or_else(|| command.get_name());
        staged.push(Staged::new(&folder.join(format!("{name}.1")), &page(&command, whole)?)?);
        left.extend(
            command.get_subcommands().filter(|inner| !inner.is_hide_set()).map(|c| (c.clone(), false)),
        );
    }
    for file in staged {
        file.publish()?;
    }
    Ok(Exit::Done)
}

/// The man page of a command; that of the whole program tells of exit values and the shop file too.
fn page(command: &Command, whole: bool) -> io::Result<Vec<u8>> {
    let mut page = Vec::new();
    let man = Man::new(command.clone());
    man.render(&mut page)?;
    if whole {
        let mut more = Roff::new();
        more.control("SH", ["EXIT STATUS"]);
        for (value, when) in EXIT_VALUES {
            more.control("TP", []).text([bold(value)]).text([roman(when)]);
        }
        more.control("SH", ["FILES"]);
        more.control("TP", []).text([bold(rimsieve::shop::FILE_NAME)]);
        more.text([roman(
            "found in this folder or above it: states sheets, vans, profiles, rules, packs, ledger and outputs, so \
             that commands need no arguments; what is typed stands in place of what it says",
        )]);
        more.to_writer(&mut page)?;
    }
    Ok(page)
}
