//! Lays out what ships inside the program when it is built, so that no run has to read it first.

#[path = "build/headings.rs"]
mod headings;

use std::error::Error;
use std::io::Write as _;
use std::path::Path;
use std::{env, fs, io};

const HEADINGS: &str = "src/intake/headings.toml";

fn main() -> Result<(), Box<dyn Error>> {
    let out = env::var_os("OUT_DIR").ok_or("a build script is run by Cargo")?;
    let out = Path::new(&out);
    fs::write(out.join("headings.rs"), headings::tables(&fs::read_to_string(HEADINGS)?)?)?;
    for read in [HEADINGS, "build.rs", "build"] {
        writeln!(io::stdout(), "cargo::rerun-if-changed={read}")?;
    }
    Ok(())
}
