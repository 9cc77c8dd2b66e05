//! What one run is to do, resolved: paths, formats, choices. Knows no command line.

use std::path::PathBuf;

use jiff::civil::Date;

/// Where a sheet comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SheetSource {
    /// A file, or a folder of them.
    Path(PathBuf),
    /// Delimited text on standard input.
    StandardInput,
}

/// What every judging command works on.
#[derive(Clone, Debug, Default)]
pub struct Inputs {
    /// The sheets.
    pub sheets: Vec<SheetSource>,
    /// Van files and folders of them.
    pub vans: Vec<PathBuf>,
    /// Rule files and folders that add to or replace shipped rules.
    pub rules: Vec<PathBuf>,
    /// Supplier profiles; each sheet is read by the first that is for it.
    pub profiles: Vec<PathBuf>,
    /// Rule packs for all vans, beside those the vans choose.
    pub packs: Vec<String>,
    /// The date to judge on, for rules about age.
    pub as_of: Option<Date>,
    /// How many times the usual limits on a sheet's size are allowed.
    pub raise_limits: u32,
    /// Wheels in a set; by the van, if not given.
    pub set: Option<u32>,
    /// A file of questions that a supplier filled.
    pub answers: Option<PathBuf>,
}

/// The forms of `vet`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VetFormat {
    /// For people.
    Report,
    /// One JSON document.
    Json,
    /// One JSON object a line.
    JsonLines,
    /// One CSV line for each part and van.
    Csv,
    /// One HTML page for a parts buyer.
    Page,
    /// A log of the Static Analysis Results Interchange Format, version 2.1.0.
    Sarif,
    /// A report of test cases, as build servers read it.
    JUnit,
}

/// What `vet` can be asked to fail on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FailOn {
    /// A rejected part.
    Rejected,
    /// An unproven part.
    Unproven,
    /// A fault of a sheet.
    Sheet,
}

/// Styling of text for people.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Styling {
    /// Letters only.
    Plain,
    /// Headings stand out on a terminal.
    Styled,
}

/// A run of `vet`.
#[derive(Clone, Debug)]
pub struct VetPlan {
    /// What to work on.
    pub inputs: Inputs,
    /// The form of the output.
    pub format: VetFormat,
    /// Where to hand the sheet back to, with verdicts.
    pub annotated: Option<PathBuf>,
    /// Where to write questions for the supplier.
    pub questions: Option<PathBuf>,
    /// What to fail on.
    pub fail_on: Vec<FailOn>,
    /// Styling of the report.
    pub styling: Styling,
}

/// The forms of `survey`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SurveyFormat {
    /// For people.
    Report,
    /// One JSON document.
    Json,
}

/// A run of `survey`.
#[derive(Clone, Debug)]
pub struct SurveyPlan {
    /// The sheets.
    pub sheets: Vec<SheetSource>,
    /// Supplier profiles; each sheet is read by the first that is for it.
    pub profiles: Vec<PathBuf>,
    /// How many times the usual limits on a sheet's size are allowed.
    pub raise_limits: u32,
    /// The form of the output.
    pub format: SurveyFormat,
    /// Where to write a profile to correct.
    pub draft: Option<PathBuf>,
    /// Styling of the report.
    pub styling: Styling,
}

/// The forms of `why`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyFormat {
    /// For people.
    Report,
    /// One JSON document a part.
    Json,
}

/// A run of `why`.
#[derive(Clone, Debug)]
pub struct WhyPlan {
    /// What to work on.
    pub inputs: Inputs,
    /// The part's number.
    pub sku: String,
    /// The number of the part it is put together with: then all is told of the package.
    pub with: Option<String>,
    /// The form of the output.
    pub format: WhyFormat,
    /// Styling of the report.
    pub styling: Styling,
}

/// The forms of `pair`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PairFormat {
    /// For people.
    Report,
    /// One JSON object a line.
    JsonLines,
}

/// In which order packages are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PairOrder {
    /// The most appropriate first.
    Appropriate,
    /// The lowest total first.
    Price,
    /// The most load in reserve first.
    Margin,
    /// The largest tire first.
    Diameter,
}

/// A run of `pair`.
#[derive(Clone, Debug)]
pub struct PairPlan {
    /// What to work on; one van.
    pub inputs: Inputs,
    /// How many packages to list at most.
    pub best: usize,
    /// In which order.
    pub order: PairOrder,
    /// Whether rejected pairs of one rim are listed too.
    pub rejected: bool,
    /// Whether each package comes with a card for the customer.
    pub care: bool,
    /// The form of the output.
    pub format: PairFormat,
    /// What to fail on.
    pub fail_on: Vec<FailOn>,
    /// Styling of the report.
    pub styling: Styling,
}

/// A run of `publish`.
#[derive(Clone, Debug)]
pub struct PublishPlan {
    /// What to work on.
    pub inputs: Inputs,
    /// The folder for the lists.
    pub out: Option<PathBuf>,
    /// Whether pages show pictures from the addresses that sheets give.
    pub images: bool,
    /// Styling of the account.
    pub styling: Styling,
}

/// The forms of `gate`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GateFormat {
    /// For people.
    Report,
    /// One JSON document.
    Json,
    /// A comment on a change, in Markdown.
    Markdown,
    /// A log of the Static Analysis Results Interchange Format, version 2.1.0.
    Sarif,
    /// A report of test cases, as build servers read it.
    JUnit,
}

/// What `gate` can be asked to fail on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Worse {
    /// A part that is no longer listed.
    Lost,
    /// A part that needs work it did not need.
    Weakened,
    /// A part that no sheet has any more.
    Vanished,
    /// A part that a fact changed of.
    Moved,
    /// A part that a fact of load, bolt pattern, bore or seat changed of.
    MovedLoadBearing,
    /// A part that is newly listed.
    Gained,
}

/// Whether the ledger is only compared with, or what there is now accepted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Acceptance {
    /// Compare only.
    Compare,
    /// Compare, then write the ledger.
    Accept,
}

/// A run of `gate`.
#[derive(Clone, Debug)]
pub struct GatePlan {
    /// What to work on.
    pub inputs: Inputs,
    /// The file of what was accepted.
    pub ledger: Option<PathBuf>,
    /// Whether to accept what there is now.
    pub acceptance: Acceptance,
    /// Whether to tell what no part of these sheets needs.
    pub review: bool,
    /// The form of the output.
    pub format: GateFormat,
    /// What to fail on.
    pub fail_on: Vec<Worse>,
    /// Styling of the report.
    pub styling: Styling,
}

/// A run of `rules`.
#[derive(Clone, Debug, Default)]
pub struct RulesPlan {
    /// Rule files and folders that add to or replace shipped rules.
    pub rules: Vec<PathBuf>,
    /// List the rules in force with these packs; those of every pack, if none is named.
    pub packs: Vec<String>,
}

/// A run of `rules check`.
#[derive(Clone, Debug, Default)]
pub struct RulesCheckPlan {
    /// Folders and files of rules and vans; the shipped rules alone, if there are none.
    pub paths: Vec<PathBuf>,
    /// Rule files and folders that add to or replace shipped rules.
    pub rules: Vec<PathBuf>,
}
