//! The command line as typed, and how it becomes a plan.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;
use jiff::civil::Date;

use crate::Command;
use rimsieve::document::FileProblems;
use rimsieve::plan::{
    Acceptance, FailOn, GateFormat, GatePlan, Inputs, PairFormat, PairOrder, PairPlan, PublishPlan,
    RulesCheckPlan, RulesPlan, SheetSource, Styling, SurveyFormat, SurveyPlan, VetFormat, VetPlan, WhyFormat,
    WhyPlan, Worse,
};
use rimsieve::run::is_sheet_name;
use rimsieve::schema;
use rimsieve::shop::{self, Fill, MOST_IN_SET, Shop};

/// Tells which wheels and tires on a supplier's sheet fit which heavy van, and why not.
#[derive(Debug, Parser)]
#[command(name = "rimsieve", version, max_term_width = 100)]
pub(crate) struct Cli {
    #[command(subcommand)]
    command: Typed,
    /// Threads to use; as many as the machine has cores, if not given
    #[arg(long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
    /// When to set headings off with terminal styling
    #[arg(long, global = true, value_enum, default_value_t = When::Auto, value_name = "WHEN")]
    color: When,
    /// Leave out remarks on standard error
    #[arg(long, global = true)]
    pub(crate) quiet: bool,
    /// The shop file or its folder, which states what is not typed; rimsieve.toml in this folder or above
    /// it, if not given
    #[arg(long, global = true, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Look for no shop file
    #[arg(long, global = true, conflicts_with = "shop")]
    no_shop: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum When {
    /// On a terminal only
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

#[derive(Debug, Subcommand)]
enum Typed {
    /// Judge every part in the sheets for every van
    Vet {
        #[command(flatten)]
        inputs: TypedInputs,
        /// Supplier sheets: files, folders of them, or - for CSV on standard input
        #[arg(value_name = "SHEET")]
        sheets: Vec<PathBuf>,
        /// Form of the output
        #[arg(long, value_enum, default_value_t = TypedVetFormat::Report, value_name = "NAME")]
        format: TypedVetFormat,
        /// Hand the sheet back with verdict, reasons, work and cost for each van: the supplier's own
        /// workbook where it is an xlsx. One sheet at a time
        #[arg(long, value_name = "FILE.xlsx")]
        annotated: Option<PathBuf>,
        /// Write questions for the supplier about what keeps parts unproven
        #[arg(long, value_name = "FILE.xlsx")]
        questions: Option<PathBuf>,
        /// End with exit value 1 if there is any of these
        #[arg(long, value_enum, num_args = 1.., value_delimiter = ',', value_name = "WHAT")]
        fail_on: Vec<TypedFailOn>,
    },
    /// Make packages of a wheel and a tire for one van, best first
    Pair {
        #[command(flatten)]
        inputs: TypedInputs,
        /// Supplier sheets: files, folders of them, or - for CSV on standard input
        #[arg(value_name = "SHEET")]
        sheets: Vec<PathBuf>,
        /// How many packages to show at most
        #[arg(long, default_value_t = 20, value_name = "N")]
        best: usize,
        /// What comes first, among those that are proven: the most appropriate, if not given
        #[arg(long, value_enum, value_name = "ORDER")]
        by: Option<TypedOrder>,
        /// Show pairs of one rim that do not fit as well, last
        #[arg(long)]
        rejected: bool,
        /// Add to each package a card for the customer: pressures, rotation, wear, sensors
        #[arg(long)]
        care: bool,
        /// Form of the output
        #[arg(long, value_enum, default_value_t = TypedPairFormat::Report, value_name = "NAME")]
        format: TypedPairFormat,
        /// End with exit value 1 if there is any of these
        #[arg(long, value_enum, num_args = 1.., value_delimiter = ',', value_name = "WHAT")]
        fail_on: Vec<TypedFailOn>,
    },
    /// Publish the lists of what fits each van: pages, workbooks, CSV and JSON
    Publish {
        #[command(flatten)]
        inputs: TypedInputs,
        /// Supplier sheets: files, folders of them, or - for CSV on standard input
        #[arg(value_name = "SHEET")]
        sheets: Vec<PathBuf>,
        /// The folder for the lists; it changes as a whole, and what is none of ours in it stays
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Show pictures on the pages, from the addresses that sheets give: whoever opens a page then loads
        /// them from there
        #[arg(long)]
        images: bool,
    },
    /// Show how a sheet is understood, column by column
    Survey {
        /// Supplier sheets: files, folders of them, or - for CSV on standard input
        #[arg(value_name = "SHEET")]
        sheets: Vec<PathBuf>,
        /// Supplier profiles; each sheet is read by the first that is for it
        #[arg(long, num_args = 1.., value_name = "FILE")]
        profile: Vec<PathBuf>,
        /// Form of the output
        #[arg(long, value_enum, default_value_t = TypedSurveyFormat::Report, value_name = "NAME")]
        format: TypedSurveyFormat,
        /// Allow this many times the usual limits on a sheet's size, memory and time
        #[arg(long, value_name = "TIMES", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
        raise_limits: u32,
        /// Write a supplier profile to correct
        #[arg(long, value_name = "FILE")]
        draft: Option<PathBuf>,
    },
    /// Tell everything about one part: its facts and cells, every rule, the work
    Why {
        /// The part's number
        #[arg(value_name = "SKU")]
        sku: String,
        /// The number of a tire for this wheel, or of a wheel for this tire: then everything about the
        /// two as a package is told, each figure with its sum
        #[arg(long, value_name = "SKU")]
        with: Option<String>,
        #[command(flatten)]
        inputs: TypedInputs,
        /// Supplier sheets: files, folders of them, or - for CSV on standard input
        #[arg(value_name = "SHEET")]
        sheets: Vec<PathBuf>,
        /// Form of the output
        #[arg(long, value_enum, default_value_t = TypedWhyFormat::Report, value_name = "NAME")]
        format: TypedWhyFormat,
    },
    /// Compare with the ledger of what was accepted: what got worse, and why
    Gate {
        #[command(flatten)]
        inputs: TypedInputs,
        /// Supplier sheets: files, folders of them, or - for CSV on standard input
        #[arg(value_name = "SHEET")]
        sheets: Vec<PathBuf>,
        /// The file of what was accepted
        #[arg(long, value_name = "FILE")]
        ledger: Option<PathBuf>,
        /// Accept what there is now: write the ledger anew, and end with exit value 0
        #[arg(long)]
        accept: bool,
        /// Tell as well what no part of these sheets needs: rules that decided nothing, limits no part
        /// came near, works never used, records that no sheet explains; in report, json and markdown
        #[arg(long)]
        review: bool,
        /// End with exit value 1 if there is any of these
        #[arg(long, value_enum, num_args = 1.., value_delimiter = ',', value_name = "WHAT",
              default_values = ["lost", "weakened", "vanished", "moved-load-bearing"])]
        fail_on: Vec<TypedWorse>,
        /// Form of the output
        #[arg(long, value_enum, default_value_t = TypedGateFormat::Report, value_name = "NAME")]
        format: TypedGateFormat,
    },
    /// List the rules in force with their basis, or check rule and van files
    #[command(args_conflicts_with_subcommands = true)]
    Rules {
        #[command(subcommand)]
        check: Option<TypedCheck>,
        /// Rule files or folders that add to shipped rules, or replace those of equal name
        #[arg(long, num_args = 1.., value_name = "DIR")]
        rules: Vec<PathBuf>,
        /// List the rules in force with these packs; those of every pack, if not given
        #[arg(long, num_args = 1.., value_name = "NAME")]
        pack: Vec<String>,
    },
    /// Write the JSON Schema of one of our files, for editors
    Schema {
        /// The kind of file
        #[arg(value_enum, value_name = "NAME")]
        name: TypedFile,
    },
    /// Write completions for a shell
    Completions {
        /// The shell
        #[arg(value_enum, value_name = "SHELL")]
        shell: Shell,
    },
    /// Write the man page, or a page for each command into a folder
    Manual {
        /// The folder for the pages
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
}

#[derive(Debug, Subcommand)]
enum TypedCheck {
    /// Check rule and van files and run every witness; the shipped rules, if no path is given
    Check {
        /// Files or folders of rules and vans; those of the shop file, if neither these nor --rules are
        /// given
        #[arg(value_name = "DIR")]
        paths: Vec<PathBuf>,
        /// Rule files or folders that add to shipped rules, or replace those of equal name
        #[arg(long, num_args = 1.., value_name = "DIR")]
        rules: Vec<PathBuf>,
    },
}

#[derive(Debug, Args)]
struct TypedInputs {
    /// Van files, or folders of them
    #[arg(long, num_args = 1.., value_name = "PATH")]
    van: Vec<PathBuf>,
    /// Rule files or folders that add to shipped rules, or replace those of equal name
    #[arg(long, num_args = 1.., value_name = "DIR")]
    rules: Vec<PathBuf>,
    /// Supplier profiles; each sheet is read by the first that is for it
    #[arg(long, num_args = 1.., value_name = "FILE")]
    profile: Vec<PathBuf>,
    /// Rule packs for all vans, beside those the vans choose
    #[arg(long, num_args = 1.., value_delimiter = ',', value_name = "NAME")]
    pack: Vec<String>,
    /// The date to judge the age of tires on, such as 2026-03-30
    #[arg(long, value_name = "DATE", value_parser = |text: &str| text.parse::<Date>())]
    as_of: Option<Date>,
    /// Allow this many times the usual limits on a sheet's size, memory and time
    #[arg(long, value_name = "TIMES", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    raise_limits: u32,
    /// Wheels in a set, the spare included; the van's wheels and one spare, if not given
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_IN_SET)))]
    set: Option<u32>,
    /// The questions file as the supplier filled it; its answers fill what the sheets leave open
    #[arg(long, value_name = "FILE.xlsx")]
    answers: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum TypedVetFormat {
    /// For people
    Report,
    /// One JSON document
    Json,
    /// One JSON object for each part and van, a line each
    Jsonl,
    /// One CSV line for each part and van
    Csv,
    /// One HTML page for a parts buyer: bars, strips, a table
    Page,
    /// A SARIF 2.1.0 log, for programs that mark findings in the files of a change
    Sarif,
    /// Test cases, as build servers read them
    Junit,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum TypedGateFormat {
    /// For people
    Report,
    /// One JSON document
    Json,
    /// A comment on a change
    Markdown,
    /// A SARIF 2.1.0 log, for programs that mark findings in the files of a change
    Sarif,
    /// Test cases, as build servers read them
    Junit,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum TypedWorse {
    /// A part that cannot stay on its list
    Lost,
    /// A part that needs work it did not need
    Weakened,
    /// A listed part that no sheet has any more
    Vanished,
    /// A listed part of which a fact changed
    Moved,
    /// A listed part of which a fact of load, bolt pattern, bore or seat changed
    MovedLoadBearing,
    /// A part that is new on its list
    Gained,
    /// None of them: compare only
    Nothing,
}

impl TypedWorse {
    fn worse(self) -> Option<Worse> {
        match self {
            Self::Lost => Some(Worse::Lost),
            Self::Weakened => Some(Worse::Weakened),
            Self::Vanished => Some(Worse::Vanished),
            Self::Moved => Some(Worse::Moved),
            Self::MovedLoadBearing => Some(Worse::MovedLoadBearing),
            Self::Gained => Some(Worse::Gained),
            Self::Nothing => None,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum TypedFile {
    /// A file of rules
    Rule,
    /// A file of one van and its work
    Van,
    /// A file of works that vans name
    Work,
    /// A supplier profile
    Profile,
    /// A shop file
    Shop,
}

impl From<TypedFile> for schema::File {
    fn from(file: TypedFile) -> Self {
        match file {
            TypedFile::Rule => Self::Rule,
            TypedFile::Van => Self::Van,
            TypedFile::Work => Self::Work,
            TypedFile::Profile => Self::Profile,
            TypedFile::Shop => Self::Shop,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum TypedPairFormat {
    /// For people
    Report,
    /// One JSON object for each package, a line each
    Jsonl,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum TypedOrder {
    /// The lowest total
    Price,
    /// The most load in reserve on the axle that has the least
    Margin,
    /// The largest tire
    Diameter,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum TypedSurveyFormat {
    /// For people
    Report,
    /// A JSON document
    Json,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum TypedWhyFormat {
    /// For people
    Report,
    /// A JSON document
    Json,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum TypedFailOn {
    /// A rejected part, or pair of one rim
    Rejected,
    /// An unproven part, or pair
    Unproven,
    /// A fault of a sheet: a row or cell that could not be used
    Sheet,
}

impl From<TypedFailOn> for FailOn {
    fn from(what: TypedFailOn) -> Self {
        match what {
            TypedFailOn::Rejected => Self::Rejected,
            TypedFailOn::Unproven => Self::Unproven,
            TypedFailOn::Sheet => Self::Sheet,
        }
    }
}

/// Where sheets come from: `-` is standard input.
fn sources(paths: impl IntoIterator<Item = PathBuf>) -> Vec<SheetSource> {
    let source = |path: PathBuf| {
        if path.as_os_str() == "-" { SheetSource::StandardInput } else { SheetSource::Path(path) }
    };
    paths.into_iter().map(source).collect()
}

impl TypedInputs {
    /// `--van` takes all that follows it; what is plainly a sheet by its name belongs to the sheets.
    /// What is not typed is filled in.
    fn resolve(self, sheets: Vec<PathBuf>, fill: &mut Fill<'_>) -> Inputs {
        let (stray, vans): (Vec<PathBuf>, Vec<PathBuf>) =
            self.van.into_iter().partition(|path| is_sheet_name(path) || path.as_os_str() == "-");
        fill.inputs(Inputs {
            sheets: sources(sheets.into_iter().chain(stray)),
            vans,
            rules: self.rules,
            profiles: self.profile,
            packs: self.pack,
            as_of: self.as_of,
            raise_limits: self.raise_limits,
            set: self.set,
            answers: self.answers,
        })
    }
}

impl Cli {
    /// The shop file that counts, where there is one and the command may need it.
    ///
    /// # Errors
    /// Every problem in it.
    pub(crate) fn shop(&self) -> Result<Option<Shop>, FileProblems> {
        let needed = match &self.command {
            Typed::Schema { .. } | Typed::Completions { .. } | Typed::Manual { .. } => false,
            Typed::Rules { check: Some(TypedCheck::Check { paths, rules }), .. } => {
                paths.is_empty() && rules.is_empty()
            }
            _ => true,
        };
        if self.no_shop || !needed {
            return Ok(None);
        }
        let above = || shop::find(&std::env::current_dir().ok()?);
        self.shop.clone().or_else(above).map(|path| Shop::open(&path)).transpose()
    }

    /// The plan of what was typed, with what the shop file gives where nothing was; `terminal` tells
    /// whether standard output is one.
    pub(crate) fn into_command(self, terminal: bool, fill: &mut Fill<'_>) -> Command {
        let styled = match self.color {
            When::Auto => terminal,
            When::Always => true,
            When::Never => false,
        };
        let styling = if styled { Styling::Styled } else { Styling::Plain };
        match self.command {
            Typed::Vet { inputs, sheets, format, annotated, questions, fail_on } => Command::Vet(VetPlan {
                annotated,
                questions,
                inputs: inputs.resolve(sheets, fill),
                format: match format {
                    TypedVetFormat::Report => VetFormat::Report,
                    TypedVetFormat::Json => VetFormat::Json,
                    TypedVetFormat::Jsonl => VetFormat::JsonLines,
                    TypedVetFormat::Csv => VetFormat::Csv,
                    TypedVetFormat::Page => VetFormat::Page,
                    TypedVetFormat::Sarif => VetFormat::Sarif,
                    TypedVetFormat::Junit => VetFormat::JUnit,
                },
                fail_on: fail_on.into_iter().map(FailOn::from).collect(),
                styling,
            }),
            Typed::Pair { inputs, sheets, best, by, rejected, care, format, fail_on } => {
                Command::Pair(PairPlan {
                    inputs: inputs.resolve(sheets, fill),
                    best,
                    order: match by {
                        None => PairOrder::Appropriate,
                        Some(TypedOrder::Price) => PairOrder::Price,
                        Some(TypedOrder::Margin) => PairOrder::Margin,
                        Some(TypedOrder::Diameter) => PairOrder::Diameter,
                    },
                    rejected,
                    care,
                    format: match format {
                        TypedPairFormat::Report => PairFormat::Report,
                        TypedPairFormat::Jsonl => PairFormat::JsonLines,
                    },
                    fail_on: fail_on.into_iter().map(FailOn::from).collect(),
                    styling,
                })
            }
            Typed::Publish { inputs, sheets, out, images } => Command::Publish(PublishPlan {
                inputs: inputs.resolve(sheets, fill),
                out: fill.outputs(out),
                images,
                styling,
            }),
            Typed::Survey { sheets, profile, format, raise_limits, draft } => Command::Survey(SurveyPlan {
                sheets: fill.sheets(sources(sheets)),
                profiles: fill.profiles(profile),
                raise_limits,
                format: match format {
                    TypedSurveyFormat::Report => SurveyFormat::Report,
                    TypedSurveyFormat::Json => SurveyFormat::Json,
                },
                draft,
                styling,
            }),
            Typed::Why { sku, with, inputs, sheets, format } => Command::Why(WhyPlan {
                with,
                inputs: inputs.resolve(sheets, fill),
                sku,
                format: match format {
                    TypedWhyFormat::Report => WhyFormat::Report,
                    TypedWhyFormat::Json => WhyFormat::Json,
                },
                styling,
            }),
            Typed::Gate { inputs, sheets, ledger, accept, review, fail_on, format } => {
                Command::Gate(GatePlan {
                    inputs: inputs.resolve(sheets, fill),
                    ledger: fill.ledger(ledger),
                    acceptance: if accept { Acceptance::Accept } else { Acceptance::Compare },
                    review,
                    format: match format {
                        TypedGateFormat::Report => GateFormat::Report,
                        TypedGateFormat::Json => GateFormat::Json,
                        TypedGateFormat::Markdown => GateFormat::Markdown,
                        TypedGateFormat::Sarif => GateFormat::Sarif,
                        TypedGateFormat::Junit => GateFormat::JUnit,
                    },
                    fail_on: fail_on.into_iter().filter_map(TypedWorse::worse).collect(),
                    styling,
                })
            }
            Typed::Rules { check: None, rules, pack } => {
                Command::Rules(RulesPlan { rules: fill.rules(rules), packs: pack })
            }
            Typed::Rules { check: Some(TypedCheck::Check { paths, rules }), .. } => {
                let (paths, rules) = if paths.is_empty() && rules.is_empty() {
                    (fill.vans(paths), fill.rules(rules))
                } else {
                    (paths, rules)
                };
                Command::RulesCheck(RulesCheckPlan { paths, rules })
            }
            Typed::Schema { name } => Command::Schema(name.into()),
            Typed::Completions { shell } => Command::Completions(shell),
            Typed::Manual { out } => Command::Manual(out),
        }
    }
}
