//! The commands: each reads, judges, and only then writes, so that a run that cannot be done writes
//! nothing.

mod publish;

use std::collections::HashMap;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use miette::Diagnostic;
use rayon::prelude::*;
use thiserror::Error;

use crate::deliver::{DeliverError, FolderError, Staged};
use crate::document::{Fault, FileProblem, FileProblems, fingerprint, nearest, read_source, toml_files};
use crate::exit::Exit;
use crate::facts::catalog::{Catalog, Weight};
use crate::facts::part::PartKind;
use crate::facts::value::{Value, days_of_date};
use crate::intake::answers::{self, AnswersError};
use crate::intake::profile::{self, Profile};
use crate::intake::{self, IntakeError};
use crate::judge::pairing::{self, Order, Request};
use crate::judge::work::never_helping;
use crate::judge::{Judgement, VerdictKind, in_doubt, judge, sensed, witness};
use crate::ledger::{self, Change, LedgerProblem, ReadBy, Standing};
use crate::plan::{
    Acceptance, FailOn, GateFormat, GatePlan, Inputs, PairFormat, PairOrder, PairPlan, RulesCheckPlan,
    RulesPlan, SheetSource, SurveyFormat, SurveyPlan, VetFormat, VetPlan, WhyFormat, WhyPlan, Worse,
};
use crate::progress::Progress;
use crate::quote::Quote;
use crate::report;
use crate::report::annotated::AnnotatedError;
use crate::report::gate::{Gate, GateOutcome};
use crate::report::package::{Account, Offer};
use crate::report::publish::{NotAManifest, PublishError};
use crate::report::questions::QuestionsError;
use crate::report::sheet_file::{FilePlace, SheetFile};
use crate::report::vetted::PageError;
use crate::rules::{RuleSet, read_rules};
use crate::schema;
use crate::sheet::{self, Sheet, SheetError, TextPlaces};
use crate::shop;
use crate::sieve::{self, SieveError};
use crate::van::{self, Van, check_work_file, folder_of, read_van};

pub use publish::publish;

/// Why a run could not be done.
#[derive(Debug, Error)]
pub enum RunError {
    /// A sheet cannot be read.
    #[error(transparent)]
    Sheet(#[from] SheetError),
    /// A sheet cannot be understood.
    #[error(transparent)]
    Intake(#[from] IntakeError),
    /// Rule or van files have problems.
    #[error(transparent)]
    Files(#[from] FileProblems),
    /// No sheet was named.
    #[error("no SHEET was named")]
    NoSheet,
    /// A folder holds no sheet.
    #[error("the folder `{}` holds no sheet", path.display())]
    EmptyFolder {
        /// The folder.
        path: PathBuf,
    },
    /// A folder cannot be listed.
    #[error("the folder `{}` cannot be listed", path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// No rule belongs to a pack that was asked for.
    #[error("no rule belongs to a pack called `{pack}`")]
    UnknownPack {
        /// The pack.
        pack: String,
        /// The packs there are.
        known: Vec<String>,
        /// The pack that was probably meant.
        nearest: Option<String>,
    },
    /// No part has the number asked about.
    #[error("no part in these sheets has the number `{sku}`")]
    NoSuchPart {
        /// The number.
        sku: String,
        /// The number that was probably meant.
        nearest: Option<String>,
    },
    /// Packages are made for one van, and here are none or several.
    #[error("packages are made for one van, and here are {}", vans.len())]
    OneVan {
        /// Those there are: the id and the file of each.
        vans: Vec<(String, String)>,
    },
    /// No van was named.
    #[error("no van was named")]
    NoVan,
    /// The sheets hold no wheel, or no tire.
    #[error("there is no {} in these sheets to make packages of", kind.name())]
    NothingToPair {
        /// What is lacking.
        kind: PartKind,
    },
    /// A profile can be drafted of one sheet only.
    #[error("a profile is drafted of one sheet, and here are several")]
    DraftOfMany,
    /// The sheet cannot be handed back.
    #[error(transparent)]
    Annotated(#[from] AnnotatedError),
    /// The questions cannot be written.
    #[error(transparent)]
    Questions(#[from] QuestionsError),
    /// A file of answers cannot be used.
    #[error(transparent)]
    Answers(#[from] AnswersError),
    /// An output file cannot be written.
    #[error(transparent)]
    Deliver(#[from] DeliverError),
    /// No folder was named to publish in.
    #[error("no folder was named to publish in")]
    NoOutputs,
    /// The lists cannot be made.
    #[error(transparent)]
    Publish(#[from] PublishError),
    /// The page cannot be made.
    #[error(transparent)]
    Page(#[from] PageError),
    /// The folder of lists cannot be read or written.
    #[error(transparent)]
    Lists(#[from] FolderError),
    /// What stands in the folder under the manifest's name is none of ours.
    #[error("`{}` is no manifest of ours: {problem}", path.display())]
    Manifest {
        /// Its place.
        path: PathBuf,
        /// What is wrong with it.
        problem: NotAManifest,
    },
    /// The folder of lists holds what this run reads, or is where it was started.
    #[error("`{}` holds `{}`, and the folder of lists changes as a whole", folder.display(), path.display())]
    Around {
        /// The folder.
        folder: PathBuf,
        /// What lies in it.
        path: PathBuf,
    },
    /// No ledger was named.
    #[error("no ledger was named to compare with")]
    NoLedger,
    /// There is no ledger yet.
    #[error("there is no ledger `{}` yet", path.display())]
    LedgerAbsent {
        /// Its place.
        path: PathBuf,
    },
    /// The ledger cannot be opened, or is no text.
    #[error("the ledger `{}` cannot be read", path.display())]
    LedgerUnread {
        /// Its place.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The ledger is not understood.
    #[error("{}: {problem}", path.display())]
    Ledger {
        /// Its place.
        path: PathBuf,
        /// What is wrong with it.
        problem: LedgerProblem,
    },
    /// An output would take the place of an input, or of another output.
    #[error("`{}` is read or written by this run already", path.display())]
    OutputTaken {
        /// The output's name.
        path: PathBuf,
    },
    /// The output cannot be written.
    #[error("the output cannot be written")]
    Output(#[from] io::Error),
}

impl Diagnostic for RunError {
    fn help<'a>(&'a self) -> Option<Box<dyn std::fmt::Display + 'a>> {
        let text = match self {
            Self::Sheet(error) => return error.help(),
            Self::Intake(error) => return error.help(),
            Self::Annotated(error) => return error.help(),
            Self::Answers(error) => return error.help(),
            Self::OutputTaken { .. } => "give the output a name of its own".to_owned(),
            Self::EmptyFolder { .. } => {
                let [others @ .., last] = SHEET_ENDINGS;
                format!("a sheet is a file ending in .{} or .{last}", others.join(", ."))
            }
            Self::UnknownPack { known, nearest, .. } => {
                let known = format!("packs there are: {}", known.join(", "));
                nearest.as_ref().map_or(known.clone(), |nearest| format!("is `{nearest}` meant? {known}"))
            }
            Self::NoSuchPart { nearest: Some(nearest), .. } => format!("is `{nearest}` meant?"),
            Self::NoSheet => {
                let shop = shop::FILE_NAME;
                format!(
                    "name the supplier's sheets, folders of them, or - for CSV on standard input, or state them in {shop}"
                )
            }
            Self::DraftOfMany => "name one sheet".to_owned(),
            Self::OneVan { vans } => {
                let vans: Vec<String> = vans.iter().map(|(id, file)| format!("\n  {id}: {file}")).collect();
                format!("name the file of one of them:{}", vans.concat())
            }
            Self::NoVan => format!("name van files or folders of them, or state them in {}", shop::FILE_NAME),
            Self::NothingToPair { .. } => "name the sheets of wheels and those of tires together".to_owned(),
            Self::NoOutputs => format!("name it, or state `outputs` in {}", shop::FILE_NAME),
            Self::Publish(PublishError::SameName { .. } | PublishError::Reserved { .. }) => {
                "give the van another id".to_owned()
            }
            Self::Lists(FolderError::Foreign { .. } | FolderError::NoFolder { .. })
            | Self::Manifest { .. } => "move it away, or publish in a folder of its own".to_owned(),
            Self::Around { .. } => "publish in a folder of its own".to_owned(),
            Self::NoLedger => format!("name its file, or state it in {}", shop::FILE_NAME),
            Self::LedgerAbsent { .. } => "accept what there is now to write the first".to_owned(),
            Self::Ledger { problem, .. } => match problem {
                LedgerProblem::Unsettled { .. } | LedgerProblem::Twice { .. } => {
                    "keep the record of one side, then accept what there is now".to_owned()
                }
                LedgerProblem::NotALedger
                | LedgerProblem::BreaksOff
                | LedgerProblem::Form { .. }
                | LedgerProblem::Line { .. } => {
                    "take the last good version back, or move the file away and accept what there is now"
                        .to_owned()
                }
            },
            Self::LedgerUnread { .. }
            | Self::Files(_)
            | Self::Folder { .. }
            | Self::NoSuchPart { nearest: None, .. }
            | Self::Questions(_)
            | Self::Publish(_)
            | Self::Page(_)
            | Self::Lists(_)
            | Self::Deliver(_)
            | Self::Output(_) => return None,
        };
        Some(Box::new(text))
    }
}

impl From<SieveError> for RunError {
    fn from(error: SieveError) -> Self {
        match error {
            SieveError::Output(error) => Self::Output(error),
            SieveError::Changed(path) => {
                let source = io::Error::other("it was changed while it was read");
                Self::Sheet(SheetError::Io { path, source })
            }
        }
    }
}

/// The endings of files that are sheets.
pub const SHEET_ENDINGS: [&str; 8] = ["csv", "tsv", "txt", "xlsx", "xlsm", "xls", "xlsb", "ods"];

/// Whether a path names a sheet by its ending.
#[must_use]
pub fn is_sheet_name(path: &Path) -> bool {
    let ending = path.extension().and_then(|ending| ending.to_str()).map(str::to_ascii_lowercase);
    ending.is_some_and(|ending| SHEET_ENDINGS.contains(&ending.as_str()))
}

/// What a run is at, for whoever waits.
const READING: &str = "reading the sheets";
const JUDGING: &str = "judging";
const PAIRING: &str = "making packages";

/// Judges every part in the sheets for every van, and writes the verdicts.
///
/// Results go to `out`, remarks to `aside`.
///
/// # Errors
/// [`RunError`]; nothing was written to `out` then, unless writing itself failed.
pub fn vet(
    plan: &VetPlan,
    out: &mut dyn Write,
    aside: &mut dyn Write,
    progress: &Progress,
) -> Result<Exit, RunError> {
    let mut workbooks = Workbooks::new();
    if let Some(done) = vet_row_by_row(plan, &mut workbooks, out, aside, progress) {
        return done;
    }
    progress.begin(READING, None);
    let keep = Keep { bytes: plan.annotated.is_some(), lines: plan.format == VetFormat::Sarif };
    let given = read_others(&plan.inputs.sheets, keep, plan.inputs.raise_limits, workbooks)?;
    check_outputs(
        plan.annotated.iter().chain(&plan.questions),
        given.paths.iter().chain(&plan.inputs.answers),
    )?;
    let profiles = profile::read_all(&plan.inputs.profiles)?;
    progress.begin(JUDGING, None);
    let judgement = judged(&plan.inputs, &given.sheets, &profiles)?;
    let set = plan.inputs.set;
    // All that can fail is done before the first byte is written.
    let mut staged = Vec::new();
    if let Some(path) = &plan.annotated {
        let bytes = given.bytes.first().map_or(&[][..], Vec::as_slice);
        let workbook = report::annotated::annotate(&judgement, &given.sheets, bytes, path)?;
        staged.push(Staged::new(path, &workbook)?);
    }
    if let Some(path) = &plan.questions {
        staged.push(Staged::new(path, &report::questions::workbook(&judgement)?)?);
    }
    let page = (plan.format == VetFormat::Page).then(|| report::vetted::page(&judgement)).transpose()?;
    for file in staged {
        file.publish()?;
    }
    match plan.format {
        VetFormat::Page => out.write_all(page.unwrap_or_default().as_bytes())?,
        VetFormat::Report => report::people::write(&judgement, set, plan.styling, out)?,
        VetFormat::Json => report::machine::write_document(&judgement, set, out)?,
        VetFormat::JsonLines => report::machine::write_lines(&judgement, set, out)?,
        VetFormat::Csv => report::list::write(&judgement, out)?,
        VetFormat::Sarif => report::sarif::write(&judgement, &given.files, out)?,
        VetFormat::JUnit => report::junit::write(&judgement, out)?,
    }
    out.flush()?;
    if plan.format != VetFormat::Report {
        report::people::write_aside(&judgement, aside)?;
    }
    Ok(exit_of(&plan.fail_on, |kind| has_verdict(&judgement, kind), || has_faults(&judgement)))
}

/// Bytes of sheets that one thread is done with before others have started.
const ONE_THREAD: u64 = 1 << 18;

/// Workbooks that were read, by their paths.
type Workbooks = HashMap<PathBuf, Sheet>;

/// The list as CSV of sheets of which no row need be kept; `None` where the sheets or the plan ask for more, and
/// nothing was written then. Workbooks are left in `workbooks`, so that none is read twice.
fn vet_row_by_row(
    plan: &VetPlan,
    workbooks: &mut Workbooks,
    out: &mut dyn Write,
    aside: &mut dyn Write,
    progress: &Progress,
) -> Option<Result<Exit, RunError>> {
    let inputs = &plan.inputs;
    let by_row = plan.format == VetFormat::Csv
        && plan.annotated.is_none()
        && plan.questions.is_none()
        && inputs.answers.is_none()
        && inputs.profiles.is_empty();
    if !by_row {
        return None;
    }
    let mut paths = Vec::new();
    for source in &inputs.sheets {
        match source {
            SheetSource::StandardInput => return None,
            SheetSource::Path(path) => paths.extend(sheets_at(path).ok()?),
        }
    }
    let limits = limits_of(inputs.raise_limits);
    if paths.is_empty() {
        return None;
    }
    let books: Vec<&PathBuf> = paths.iter().filter(|path| sheet::begins_as_workbook(path)).collect();
    // To ask how many there may be starts them.
    let bytes = |path: &PathBuf| std::fs::metadata(path).map_or(0, |about| about.len());
    let few = books.is_empty() && paths.iter().map(bytes).sum::<u64>() < ONE_THREAD;
    let threads = if few { 1 } else { rayon::current_num_threads() };
    if !books.is_empty() {
        progress.begin(READING, None);
        // One that cannot be read is left to the whole way, which tells what is wrong with it.
        let read = |path: &PathBuf| Some((path.clone(), sheet::read_within(path, &limits).ok()?));
        *workbooks = books.into_par_iter().filter_map(read).collect();
    }
    let given = paths.iter().map(|path| match workbooks.get(path) {
        Some(sheet) => sieve::Given::Held(sheet),
        None => sieve::Given::Text(path),
    });
    let given: Vec<sieve::Given<'_>> = given.collect();
    let sheets = sieve::survey(&given, &limits, threads, progress).ok()?;
    let none = match judged(inputs, &[], &[]) {
        Ok(judgement) => judgement,
        Err(error) => return Some(Err(error)),
    };
    let by =
        sieve::By { rules: &none.rules, vans: &none.vans, packs: &none.packs, as_of: none.as_of.as_ref() };
    progress.output_begins();
    let written = sieve::write(&sheets, by, &limits, threads, progress, out)?;
    progress.end();
    Some(written.map_err(RunError::from).and_then(|sieve::Listed { sheets, verdicts }| {
        let accounts = sheets.iter().map(|sheet| (&sheet.account, sheet.faults));
        report::people::write_counts(&none, accounts, aside)?;
        let faults = || sheets.iter().any(|sheet| sheet.account.reported > 0 || sheet.faults > 0);
        Ok(exit_of(&plan.fail_on, |kind| verdicts[kind as usize] > 0, faults))
    }))
}

/// How a run ends that was asked to fail on some of what it may find.
fn exit_of(fail_on: &[FailOn], has: impl Fn(VerdictKind) -> bool, has_faults: impl Fn() -> bool) -> Exit {
    let found = fail_on.iter().any(|fail_on| match fail_on {
        FailOn::Rejected => has(VerdictKind::Rejected),
        FailOn::Unproven => has(VerdictKind::Unproven),
        FailOn::Sheet => has_faults(),
    });
    if found { Exit::Found } else { Exit::Done }
}

fn has_faults(judgement: &Judgement<'_>) -> bool {
    judgement
        .catalog
        .sheets
        .iter()
        .any(|sheet| sheet.reported > 0 || sheet.remarks.iter().any(|remark| remark.weight == Weight::Fault))
}

fn has_verdict(judgement: &Judgement<'_>, kind: VerdictKind) -> bool {
    judgement.catalog.parts.iter().any(|part| {
        (0..judgement.vans.len())
            .any(|van| judgement.finding(van, part).is_some_and(|finding| finding.kind() == kind))
    })
}

/// Makes packages of the wheels and tires in the sheets for one van, and writes them best first.
///
/// # Errors
/// [`RunError`]; [`RunError::OneVan`] and [`RunError::NothingToPair`] among them.
pub fn pair(
    plan: &PairPlan,
    out: &mut dyn Write,
    aside: &mut dyn Write,
    progress: &Progress,
) -> Result<Exit, RunError> {
    progress.begin(READING, None);
    let given = read_sheets(&plan.inputs.sheets, Keep::CELLS, plan.inputs.raise_limits)?;
    let profiles = profile::read_all(&plan.inputs.profiles)?;
    progress.begin(JUDGING, None);
    let judgement = taken_in(&plan.inputs, &given.sheets, &profiles, sensed)?;
    let [van] = judgement.vans.as_slice() else {
        let vans = judgement.vans.iter().map(|van| (van.id.to_string(), van.file().to_owned()));
        return Err(RunError::OneVan { vans: vans.collect() });
    };
    for kind in PartKind::ALL {
        if !judgement.catalog.parts.iter().any(|part| part.kind == kind) {
            return Err(RunError::NothingToPair { kind });
        }
    }
    let set = plan.inputs.set.unwrap_or_else(|| van.set());
    let request = Request {
        set,
        order: match plan.order {
            PairOrder::Appropriate => Order::Appropriate,
            PairOrder::Price => Order::Price,
            PairOrder::Margin => Order::Margin,
            PairOrder::Diameter => Order::Diameter,
        },
        best: plan.best,
        rejected: plan.rejected,
    };
    progress.begin(PAIRING, None);
    let pairing = pairing::pair(&judgement, 0, &request);
    let quotes = judgement.package_judge(0).map_or_else(Vec::new, |judge| {
        let quote = |package| Quote::of(&judgement, &judge, van, package, set);
        pairing.listed.iter().filter_map(quote).collect()
    });
    let offer = Offer { pairing: &pairing, quotes, care: plan.care };
    progress.end();
    match plan.format {
        PairFormat::Report => report::package::write(&judgement, van, &offer, plan.styling, out)?,
        PairFormat::JsonLines => report::package::write_lines(&judgement, &offer, out)?,
    }
    out.flush()?;
    if plan.format != PairFormat::Report {
        report::package::write_aside(&judgement, &offer, aside)?;
    }
    Ok(exit_of(&plan.fail_on, |kind| pairing.count(kind) > 0, || has_faults(&judgement)))
}

/// Compares what the sheets come to with what was accepted, and accepts it where that is asked for.
///
/// The ledger is written whole or not at all, and before anything is written to `out`.
///
/// # Errors
/// [`RunError`]; [`RunError::NoLedger`], [`RunError::LedgerAbsent`], [`RunError::LedgerUnread`] and
/// [`RunError::Ledger`] among them.
pub fn gate(
    plan: &GatePlan,
    out: &mut dyn Write,
    aside: &mut dyn Write,
    progress: &Progress,
) -> Result<Exit, RunError> {
    let path = plan.ledger.as_ref().ok_or(RunError::NoLedger)?;
    let lines = matches!(plan.format, GateFormat::Sarif | GateFormat::Json);
    progress.begin(READING, None);
    let given = read_sheets(&plan.inputs.sheets, Keep { lines, ..Keep::CELLS }, plan.inputs.raise_limits)?;
    let read = given.paths.iter().chain(&plan.inputs.answers).chain(&plan.inputs.profiles);
    check_outputs([path], read.chain(&plan.inputs.vans).chain(&plan.inputs.rules))?;
    let profiles = profile::read_all(&plan.inputs.profiles)?;
    let answers = match &plan.inputs.answers {
        Some(path) => Some(fingerprint(sheet::load(path, &given.limits)?.1)),
        None => None,
    };
    let read_by = ReadBy {
        profiles: profiles.iter().map(|profile| (profile.name.clone(), profile.fingerprint)).collect(),
        answers,
    };
    progress.begin(JUDGING, None);
    let judgement = judged(&plan.inputs, &given.sheets, &profiles)?;
    let text = ledger_text(path, plan.acceptance)?;
    let damaged = |problem| RunError::Ledger { path: path.clone(), problem };
    let ledger = text.as_deref().map_or_else(|| Ok(ledger::text::empty()), ledger::read).map_err(damaged)?;
    let fresh = ledger::fresh(&judgement, &read_by);
    let comparison = ledger::compare(&ledger, &fresh, &judgement).map_err(damaged)?;
    let failing: Vec<bool> =
        comparison.changes.iter().map(|change| is_worse(change, &plan.fail_on)).collect();
    let outcome = match plan.acceptance {
        Acceptance::Accept => GateOutcome::Accepted,
        Acceptance::Compare if failing.contains(&true) => GateOutcome::Worse,
        Acceptance::Compare => GateOutcome::Held,
    };
    let gate = Gate {
        judgement: &judgement,
        comparison: &comparison,
        failing,
        ledger: path.display().to_string(),
        ledger_place: given.place(path),
        outcome,
        files: &given.files,
        review: plan.review.then(|| ledger::review(&judgement)),
    };
    if plan.acceptance == Acceptance::Accept {
        let now = fresh.text();
        if text.as_deref() != Some(now.as_str()) {
            Staged::new(path, now.as_bytes())?.publish()?;
        }
    }
    progress.end();
    match plan.format {
        GateFormat::Report => report::gate::write(&gate, plan.styling, out)?,
        GateFormat::Json => report::gate::write_json(&gate, out)?,
        GateFormat::Markdown => report::gate::write_markdown(&gate, out)?,
        GateFormat::Sarif => report::gate::write_sarif(&gate, out)?,
        GateFormat::JUnit => report::gate::write_junit(&gate, out)?,
    }
    out.flush()?;
    if plan.format != GateFormat::Report {
        report::gate::write_aside(&gate, aside)?;
    }
    Ok(if outcome == GateOutcome::Worse { Exit::Found } else { Exit::Done })
}

/// The text of the ledger; none where the first is to be written.
fn ledger_text(path: &Path, acceptance: Acceptance) -> Result<Option<String>, RunError> {
    match std::fs::read_to_string(path) {
        Ok(text) => Ok(Some(text)),
        Err(source) if source.kind() == io::ErrorKind::NotFound => match acceptance {
            Acceptance::Accept => Ok(None),
            Acceptance::Compare => Err(RunError::LedgerAbsent { path: path.to_owned() }),
        },
        Err(source) => Err(RunError::LedgerUnread { path: path.to_owned(), source }),
    }
}

fn is_worse(change: &Change<'_>, fail_on: &[Worse]) -> bool {
    fail_on.iter().any(|worse| match worse {
        Worse::Lost => change.standing == Standing::Lost,
        Worse::Weakened => change.standing == Standing::Weakened,
        Worse::Vanished => change.standing == Standing::Vanished,
        Worse::Moved => change.standing == Standing::Moved,
        Worse::MovedLoadBearing => change.standing == Standing::Moved && change.is_load_bearing(),
        Worse::Gained => change.standing == Standing::Gained,
    })
}

/// Shows how sheets are understood, and drafts a profile where one is asked for.
///
/// # Errors
/// [`RunError`]; [`RunError::DraftOfMany`] where a draft is asked for and there is more than one sheet,
/// [`RunError::OutputTaken`] where it would take the place of a sheet or profile.
pub fn survey(plan: &SurveyPlan, out: &mut dyn Write) -> Result<Exit, RunError> {
    let given = read_sheets(&plan.sheets, Keep::CELLS, plan.raise_limits)?;
    check_outputs(&plan.draft, given.paths.iter().chain(&plan.profiles))?;
    let profiles = profile::read_all(&plan.profiles)?;
    let catalog = intake::take_in(&given.sheets, &profiles)?;
    if let Some(path) = &plan.draft {
        let [sheet] = catalog.sheets.as_slice() else { return Err(RunError::DraftOfMany) };
        Staged::new(path, report::survey::draft(sheet).as_bytes())?.publish()?;
    }
    match plan.format {
        SurveyFormat::Report => report::survey::write(&catalog.sheets, plan.styling, out)?,
        SurveyFormat::Json => report::survey::write_json(&catalog.sheets, out)?,
    }
    out.flush()?;
    Ok(Exit::Done)
}

/// Tells everything about one part.
///
/// # Errors
/// [`RunError`]; [`RunError::NoSuchPart`] where no part has the number.
pub fn why(plan: &WhyPlan, out: &mut dyn Write) -> Result<Exit, RunError> {
    let sheets = read_sheets(&plan.inputs.sheets, Keep::CELLS, plan.inputs.raise_limits)?.sheets;
    let profiles = profile::read_all(&plan.inputs.profiles)?;
    let judgement = judged(&plan.inputs, &sheets, &profiles)?;
    let places = places_of(&plan.sku, &judgement)?;
    if let Some(other) = &plan.with {
        account(plan, &judgement, &places, &places_of(other, &judgement)?, out)?;
        out.flush()?;
        return Ok(Exit::Done);
    }
    let parts: Vec<_> = places.into_iter().filter_map(|place| judgement.catalog.parts.get(place)).collect();
    match plan.format {
        WhyFormat::Json => report::why::write_json(&judgement, &parts, plan.inputs.set, out)?,
        WhyFormat::Report => {
            for part in parts {
                report::why::write(&judgement, part, &sheets, plan.inputs.set, plan.styling, out)?;
            }
        }
    }
    out.flush()?;
    Ok(Exit::Done)
}

/// The places of the parts that have a number.
fn places_of(sku: &str, judgement: &Judgement<'_>) -> Result<Vec<usize>, RunError> {
    let parts = judgement.catalog.parts.iter().enumerate();
    let with = |same: &dyn Fn(&str) -> bool| -> Vec<usize> {
        parts.clone().filter(|(_, part)| same(part.sku)).map(|(place, _)| place).collect()
    };
    let mut places = with(&|known| known == sku);
    if places.is_empty() {
        places = with(&|known| known.eq_ignore_ascii_case(sku));
    }
    if places.is_empty() {
        let known = judgement.catalog.parts.iter().map(|part| part.sku);
        return Err(RunError::NoSuchPart { sku: sku.to_owned(), nearest: nearest(sku, known) });
    }
    Ok(places)
}

/// Tells everything about packages of two part numbers, one of a wheel and one of a tire.
fn account(
    plan: &WhyPlan,
    judgement: &Judgement<'_>,
    one: &[usize],
    other: &[usize],
    out: &mut dyn Write,
) -> Result<(), RunError> {
    let of_kind = |kind: PartKind| -> Vec<usize> {
        let is = |place: &usize| judgement.catalog.parts.get(*place).is_some_and(|part| part.kind == kind);
        one.iter().chain(other).copied().filter(is).collect()
    };
    let [wheels, tires] = PartKind::ALL.map(of_kind);
    for (kind, found) in [(PartKind::Wheel, &wheels), (PartKind::Tire, &tires)] {
        if found.is_empty() {
            return Err(RunError::NothingToPair { kind });
        }
    }
    let judges: Vec<_> = (0..judgement.vans.len()).filter_map(|van| judgement.package_judge(van)).collect();
    let mut accounts = Vec::new();
    for (van, judge) in judgement.vans.iter().zip(&judges) {
        let set = plan.inputs.set.unwrap_or_else(|| van.set());
        for (wheel, tire) in wheels.iter().flat_map(|wheel| tires.iter().map(move |tire| (*wheel, *tire))) {
            let account = pairing::package(judgement, judge, van, wheel, tire).and_then(|package| {
                let quote = Quote::of(judgement, judge, van, &package, set)?;
                Some(Account { judgement, judge, package, quote })
            });
            accounts.extend(account);
        }
    }
    match plan.format {
        WhyFormat::Report => report::package::write_account(&accounts, plan.styling, out)?,
        WhyFormat::Json => report::package::write_account_json(&accounts, out)?,
    }
    Ok(())
}

/// Lists the rules in force.
///
/// # Errors
/// [`RunError`] where rule files have problems.
pub fn rules(plan: &RulesPlan, out: &mut dyn Write) -> Result<Exit, RunError> {
    let rules = rule_set(&plan.rules)?;
    check_packs(&plan.packs, &rules)?;
    report::rules::write(&rules, &plan.packs, out)?;
    out.flush()?;
    Ok(Exit::Done)
}

/// Checks rule and van files and runs every witness; the problems are returned for showing.
///
/// # Errors
/// [`RunError::Files`] where a path cannot be read at all.
pub fn rules_check(plan: &RulesCheckPlan, out: &mut dyn Write) -> Result<(Exit, Vec<FileProblem>), RunError> {
    let mut problems = Vec::new();
    let mut checked = report::rules::Checked::default();
    let mut set = RuleSet::shipped()?;
    let mut vans = Vec::new();
    if plan.paths.is_empty() && plan.rules.is_empty() {
        problems.extend(witness::problems(set.all()));
        checked.count_rules(set.all());
    }
    for path in plan.rules.iter().chain(&plan.paths) {
        for file in toml_files(path).map_err(|problem| FileProblems(vec![problem]))? {
            let source = read_source(&file).map_err(|problem| FileProblems(vec![problem]))?;
            checked.files += 1;
            match kind_of(source.text()) {
                FileKind::Van => {
                    let (van, found) = read_van(&source, folder_of(&file));
                    problems.extend(found);
                    checked.vans += 1;
                    vans.extend(van);
                }
                FileKind::Work => {
                    problems.extend(check_work_file(&source));
                    checked.work_files += 1;
                }
                FileKind::Rules => {
                    let (rules, found) = read_rules(&source);
                    problems.extend(found);
                    problems.extend(witness::problems(&rules));
                    checked.count_rules(&rules);
                    set.add(rules);
                }
            }
        }
    }
    // Packs, and what rules rest on, can be known only once all rules are.
    problems.extend(vans.iter().flat_map(|van| van.check_packs(&set)));
    problems.extend(vans.iter().flat_map(|van| never_helping(van, &set)));
    let FileProblems(problems) = FileProblems::each_once(problems);
    report::rules::write_checked(&checked, problems.len(), out)?;
    out.flush()?;
    Ok((if problems.is_empty() { Exit::Done } else { Exit::Found }, problems))
}

/// Writes the JSON Schema of one of our own files.
///
/// # Errors
/// [`RunError::Output`] where it cannot be written.
pub fn schema(of: schema::File, out: &mut dyn Write) -> Result<Exit, RunError> {
    out.write_all(schema::text(of).as_bytes())?;
    out.flush()?;
    Ok(Exit::Done)
}

/// What a file of ours holds.
enum FileKind {
    /// A van, with work or without.
    Van,
    /// Work that vans name.
    Work,
    /// Rules.
    Rules,
}

/// What a file holds, told by its tables, so that a file with mistakes is checked as what it is.
fn kind_of(text: &str) -> FileKind {
    let has = |mark: &str| text.lines().any(|line| line.trim_start().starts_with(mark));
    if has("[van]") || has("[van.") {
        FileKind::Van
    } else if has("[[work]]") && !has("[[rule]]") {
        FileKind::Work
    } else {
        FileKind::Rules
    }
}

fn rule_set(extra: &[PathBuf]) -> Result<RuleSet, RunError> {
    let mut rules = RuleSet::shipped_to_judge()?;
    for path in extra {
        rules.add_from(path)?;
    }
    // A rule that does something else than its author says must not judge; one that lacks a witness
    // is for `rules check` to tell. Those of shipped rules were run before they were shipped.
    if extra.is_empty() {
        return Ok(rules);
    }
    let wrong = witness::problems(rules.all()).into_iter();
    let wrong: Vec<FileProblem> =
        wrong.filter(|problem| matches!(problem.fault(), Fault::WitnessWrong { .. })).collect();
    if wrong.is_empty() { Ok(rules) } else { Err(FileProblems(wrong).into()) }
}

fn check_packs(packs: &[String], rules: &RuleSet) -> Result<(), RunError> {
    let known = rules.packs();
    match packs.iter().find(|pack| !known.contains(&pack.as_str())) {
        None => Ok(()),
        Some(pack) => Err(RunError::UnknownPack {
            pack: pack.clone(),
            nearest: nearest(pack, known.iter().copied()),
            known: known.into_iter().map(str::to_owned).collect(),
        }),
    }
}

fn judged<'s>(
    inputs: &Inputs,
    sheets: &'s [Sheet],
    profiles: &'s [Profile],
) -> Result<Judgement<'s>, RunError> {
    taken_in(inputs, sheets, profiles, judge)
}

/// What judging takes.
type Judging<'s> = fn(Catalog<'s>, RuleSet, Vec<Van>, Vec<String>, Option<Value>) -> Judgement<'s>;

/// Takes sheets in, with rules and vans, and judges as is asked.
fn taken_in<'s>(
    inputs: &Inputs,
    sheets: &'s [Sheet],
    profiles: &'s [Profile],
    judge: Judging<'s>,
) -> Result<Judgement<'s>, RunError> {
    if inputs.vans.is_empty() {
        return Err(RunError::NoVan);
    }
    let judged_by = || -> Result<(RuleSet, Vec<Van>), RunError> {
        let rules = rule_set(&inputs.rules)?;
        check_packs(&inputs.packs, &rules)?;
        let vans = van::read_all(&inputs.vans, &rules)?;
        Ok((rules, vans))
    };
    // Neither waits for the other, and without sheets no thread is started; what is wrong with rules and vans is told first.
    let take_in = || intake::take_in(sheets, profiles);
    let (judged_by, catalog) =
        if sheets.is_empty() { (judged_by(), take_in()) } else { rayon::join(judged_by, take_in) };
    let (rules, vans) = judged_by?;
    let mut catalog = catalog?;
    if let Some(path) = &inputs.answers {
        let doubts = in_doubt(&catalog, &rules);
        answers::apply(&mut catalog, &sheet::read(path)?, &doubts)?;
    }
    let as_of = inputs.as_of.map(|date| Value::Number(days_of_date(date)));
    Ok(judge(catalog, rules, vans, inputs.packs.clone(), as_of))
}

/// What is kept of a sheet once it is read, beside its cells.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Keep {
    /// The bytes of the first.
    bytes: bool,
    /// Where cells stand in the lines of text files.
    lines: bool,
}

impl Keep {
    const CELLS: Self = Self { bytes: false, lines: false };
}

/// The sheets given, each with its file; and, for files, their paths.
#[derive(Default)]
struct Given {
    sheets: Vec<Sheet>,
    files: Vec<SheetFile>,
    bytes: Vec<Vec<u8>>,
    paths: Vec<PathBuf>,
    /// The folder that the run was started in.
    working: PathBuf,
    limits: sheet::Limits,
}

impl Given {
    fn add(&mut self, read: ReadSheet) {
        let place = read.path.as_deref().map_or_else(FilePlace::standard_input, |path| self.place(path));
        self.files.push(SheetFile::new(place, read.lines));
        self.paths.extend(read.path);
        self.bytes.extend(read.bytes);
        self.sheets.push(read.sheet);
    }

    /// A file as other programs find it.
    fn place(&self, path: &Path) -> FilePlace {
        // The folder's path has no links in it; one that was typed may.
        if path.is_absolute() && !path.starts_with(&self.working) {
            let resolved = true_path(path);
            if resolved.starts_with(&self.working) {
                return FilePlace::of(&resolved, &self.working);
            }
        }
        FilePlace::of(path, &self.working)
    }
}

/// A sheet on its way in.
enum ToRead {
    File(PathBuf),
    /// What came in on standard input.
    Streamed(Vec<u8>),
    /// A file that was read already; nothing else of it is kept.
    Known(PathBuf, Sheet),
}

/// What standard input is called.
const STANDARD_INPUT: &str = "standard input";

/// A sheet that was read, with what is kept of it.
struct ReadSheet {
    /// Its path; none for standard input.
    path: Option<PathBuf>,
    sheet: Sheet,
    bytes: Option<Vec<u8>>,
    lines: Option<TextPlaces>,
}

impl ToRead {
    fn read(self, keep: Keep, limits: &sheet::Limits) -> Result<ReadSheet, SheetError> {
        let (path, name, bytes) = match self {
            Self::Known(path, sheet) => {
                return Ok(ReadSheet { path: Some(path), sheet, bytes: None, lines: None });
            }
            Self::Streamed(bytes) => (None, STANDARD_INPUT.to_owned(), bytes),
            Self::File(path) => {
                let (name, bytes) = sheet::load(&path, limits)?;
                (Some(path), name, bytes)
            }
        };
        let kept = keep.bytes.then(|| bytes.clone());
        let lines = if keep.lines { TextPlaces::of(&name, &bytes, limits) } else { None };
        Ok(ReadSheet { path, sheet: sheet::read_bytes_within(&name, bytes, limits)?, bytes: kept, lines })
    }
}

/// Outputs must differ from one another and from what is read.
fn check_outputs<'p>(
    outputs: impl IntoIterator<Item = &'p PathBuf>,
    read: impl IntoIterator<Item = &'p PathBuf>,
) -> Result<(), RunError> {
    let mut taken: Vec<PathBuf> = read.into_iter().map(|path| true_path(path)).collect();
    for path in outputs {
        let place = true_path(path);
        if taken.contains(&place) {
            return Err(RunError::OutputTaken { path: path.clone() });
        }
        taken.push(place);
    }
    Ok(())
}

/// A path with links and dots resolved, as far as it exists.
fn true_path(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        folder.canonicalize().unwrap_or_default().join(path.file_name().unwrap_or_default())
    })
}

fn read_sheets(sources: &[SheetSource], keep: Keep, raised: u32) -> Result<Given, RunError> {
    read_others(sources, keep, raised, Workbooks::new())
}

/// Reads the sheets that were not read already, several at a time.
fn read_others(
    sources: &[SheetSource],
    keep: Keep,
    raised: u32,
    mut known: Workbooks,
) -> Result<Given, RunError> {
    if sources.is_empty() {
        return Err(RunError::NoSheet);
    }
    let mut given = Given {
        limits: limits_of(raised),
        // Where it cannot be told, no path lies under it.
        working: std::env::current_dir().unwrap_or_default(),
        ..Given::default()
    };
    // What is wrong with the first is told, whichever is found out first.
    let mut to_read: Vec<Result<ToRead, RunError>> = Vec::new();
    for source in sources {
        match source {
            SheetSource::StandardInput => {
                let bytes = sheet::load_stream(STANDARD_INPUT, &mut io::stdin().lock(), &given.limits);
                to_read.push(bytes.map(ToRead::Streamed).map_err(RunError::from));
            }
            SheetSource::Path(path) => match sheets_at(path) {
                Ok(files) => to_read.extend(files.into_iter().map(|file| {
                    Ok(match known.remove(&file) {
                        Some(sheet) => ToRead::Known(file, sheet),
                        None => ToRead::File(file),
                    })
                })),
                Err(problem) => to_read.push(Err(problem)),
            },
        }
    }
    let limits = given.limits;
    // Only the bytes of an only sheet are ever asked for again.
    let keep = Keep { bytes: keep.bytes && to_read.len() == 1, ..keep };
    let read = to_read.into_par_iter().map(|sheet| Ok::<_, RunError>(sheet?.read(keep, &limits)?));
    for read in read.collect::<Vec<_>>() {
        given.add(read?);
    }
    Ok(given)
}

/// The limits on a sheet's size, raised so many times; as they are, where nothing is asked for.
fn limits_of(raised: u32) -> sheet::Limits {
    sheet::Limits::default().raised(raised.max(1))
}

/// The sheets that a path names: those of a folder, or the file itself.
fn sheets_at(path: &Path) -> Result<Vec<PathBuf>, RunError> {
    if path.is_dir() { sheets_in(path) } else { Ok(vec![path.to_owned()]) }
}

/// The sheets directly in a folder, by name; files that spreadsheet programs lock with are none.
fn sheets_in(folder: &Path) -> Result<Vec<PathBuf>, RunError> {
    let cannot = |source| RunError::Folder { path: folder.to_path_buf(), source };
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(cannot)? {
        let file = entry.map_err(cannot)?.path();
        let name = file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let lock = name.starts_with("~$") || name.starts_with('.');
        // A text file in a folder is mostly a note; one that is a sheet can be named.
        let note = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("txt"));
        if is_sheet_name(&file) && !lock && !note {
            files.push(file);
        }
    }
    if files.is_empty() {
        return Err(RunError::EmptyFolder { path: folder.to_path_buf() });
    }
    files.sort();
    Ok(files)
}
