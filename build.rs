//! Lays out what ships inside the program when it is built, so that no run has to read it first.

#[path = "src/intake/heading/lay_out.rs"]
mod headings;
#[path = "src/rules/lay_out.rs"]
mod rules;

use std::error::Error;
use std::io::Write as _;
use std::path::Path;
use std::{env, fs, io};

const HEADINGS: &str = "src/intake/headings.toml";
const RULES: &str = "rules";

fn main() -> Result<(), Box<dyn Error>> {
    let out = env::var_os("OUT_DIR").ok_or("a build script is run by Cargo")?;
    let out = Path::new(&out);
    fs::write(out.join("headings.rs"), headings::tables(&fs::read_to_string(HEADINGS)?)?)?;
    fs::write(out.join("rules.rs"), shipped_rules()?)?;
    for read in [HEADINGS, RULES, "build.rs", "src/intake/heading", "src/rules/lay_out.rs"] {
        writeln!(io::stdout(), "cargo::rerun-if-changed={read}")?;
    }
    Ok(())
}

/// The rules of each file, under the file's name.
fn shipped_rules() -> Result<String, Box<dyn Error>> {
    let mut files = Vec::new();
    for entry in fs::read_dir(RULES)? {
        files.push(entry?.path());
    }
    files.sort();
    let mut rust = String::new();
    for file in files.iter().filter(|file| file.extension().is_some_and(|ending| ending == "toml")) {
        let stem = file.file_stem().unwrap_or_default().to_string_lossy();
        let name = stem.to_uppercase().replace('-', "_");
        rust.push_str(&rules::constant(&name, &fs::read_to_string(file)?)?);
    }
    Ok(rust)
}
