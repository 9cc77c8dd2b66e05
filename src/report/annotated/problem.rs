//! Why a sheet cannot be handed back.

use std::path::PathBuf;

use thiserror::Error;

/// What is wrong with one part of a workbook.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum PartFault {
    /// The part is not there.
    #[error("is missing")]
    Missing,
    /// It is not UTF-8, or not well-formed XML.
    #[error("is not readable XML in UTF-8")]
    NotXml,
    /// It lacks what every part of its kind has.
    #[error("lacks what such a part must have")]
    Incomplete,
    /// It follows the strict form of ECMA-376, whose names differ.
    #[error("is written in the strict form of the workbook standard")]
    Strict,
    /// No column is left to the right of its cells.
    #[error("leaves no room for columns to the right of its cells")]
    NoRoom,
}

/// Why a sheet cannot be handed back.
#[derive(Debug, Error)]
pub enum AnnotatedError {
    /// There is not exactly one input sheet.
    #[error("--annotated hands back one sheet, and {count} were given")]
    NotOneSheet {
        /// How many were given.
        count: usize,
    },
    /// The output's name does not end as its content needs.
    #[error("`{}` must end in .{wanted}", path.display())]
    Ending {
        /// The name given.
        path: PathBuf,
        /// The ending that is needed.
        wanted: &'static str,
    },
    /// The sheet was handed back before.
    #[error("{sheet} already has columns that rimsieve added")]
    AlreadyAnnotated {
        /// The file's name.
        sheet: String,
    },
    /// A part of the workbook cannot be added to.
    #[error("{sheet}: the part `{part}` {fault}, so nothing can be added to it")]
    Part {
        /// The file's name.
        sheet: String,
        /// The part's name.
        part: String,
        /// What is wrong.
        fault: PartFault,
    },
    /// The archive cannot be copied.
    #[error("{sheet}: the workbook cannot be copied")]
    Archive {
        /// The file's name.
        sheet: String,
        /// What the archive reader said.
        source: zip::result::ZipError,
    },
    /// The rows do not go into a workbook.
    #[error("{sheet}: its rows cannot be written as a workbook")]
    Workbook {
        /// The file's name.
        sheet: String,
        /// What the writer said.
        source: rust_xlsxwriter::XlsxError,
    },
}

impl miette::Diagnostic for AnnotatedError {
    fn help<'a>(&'a self) -> Option<Box<dyn std::fmt::Display + 'a>> {
        let text = match self {
            Self::NotOneSheet { .. } => "run it once for each sheet, with an output name of its own",
            Self::AlreadyAnnotated { .. } => "annotate the supplier's own file instead",
            Self::Part { fault: PartFault::Strict, .. } => {
                "save it once more in the spreadsheet program as an ordinary .xlsx workbook"
            }
            Self::Part { .. } | Self::Archive { .. } | Self::Workbook { .. } => {
                "save it once more in a spreadsheet program, or leave --annotated out: the verdicts do not need it"
            }
            Self::Ending { .. } => "spreadsheet programs refuse a workbook under another ending",
        };
        Some(Box::new(text))
    }
}
