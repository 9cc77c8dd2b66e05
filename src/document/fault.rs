//! Everything that can be wrong with one of our files, as data, with the words for it in one place.

use std::fmt;
use std::path::PathBuf;

use miette::{Diagnostic, LabeledSpan, NamedSource, SourceCode};
use thiserror::Error;

use crate::document::literal::LiteralProblem;
use crate::document::{Source, Span};
use crate::facts::value::Kind;

/// What can be wrong with an expression's form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum SyntaxFault {
    /// A letter that starts nothing.
    #[error("this sign has no meaning in a rule")]
    StrangeLetter,
    /// A text without its end.
    #[error("this text has no closing quote")]
    OpenText,
    /// One equals sign.
    #[error("to compare two values, write `==`")]
    SingleEquals,
    /// Something other than a value.
    #[error("a value is missing here")]
    ValueMissing,
    /// A bracket without its partner.
    #[error("this bracket is not closed")]
    OpenBracket,
    /// Something after a finished expression.
    #[error("the expression is complete before this; join two demands with `and` or `or`")]
    LeftOver,
    /// `a < b < c`.
    #[error("two comparisons in a row can be read two ways; write them apart with `and`")]
    Chained,
    /// Too many brackets within brackets.
    #[error("this is nested too deeply")]
    TooDeep,
    /// A number beyond all measure.
    #[error("no figure is this large")]
    TooLarge,
    /// Too many operations in a row.
    #[error("this is too long to follow; split it into several rules")]
    TooLong,
}

/// What is wrong at one place of a file.
#[derive(Debug, Error)]
pub enum Fault {
    /// The file cannot be read at all.
    #[error("this file cannot be read: {0}")]
    CannotRead(std::io::Error),
    /// It is not TOML.
    #[error("this is not valid TOML: {0}")]
    Syntax(String),
    /// Neither a rule nor a van file.
    #[error("this file holds neither a van nor rules")]
    NothingKnown,
    /// A key nobody asked for.
    #[error("there is no setting called `{key}` here")]
    UnknownKey {
        /// As written.
        key: String,
        /// Every key there is here.
        known: Vec<&'static str>,
        /// The known key that was probably meant.
        nearest: Option<String>,
    },
    /// A key that must be there.
    #[error("`{0}` must be stated here")]
    KeyMissing(&'static str),
    /// A value of the wrong TOML type.
    #[error("this must be {wanted}, not {found}")]
    WrongType {
        /// What it must be.
        wanted: &'static str,
        /// What stands there.
        found: &'static str,
    },
    /// A value that cannot be read as the fact it is given for.
    #[error("{0}")]
    Literal(#[from] LiteralProblem),
    /// A word that is none of the allowed ones.
    #[error("`{word}` is not one of the words allowed here")]
    WordNotAllowed {
        /// As written.
        word: String,
        /// The allowed words.
        allowed: Vec<String>,
        /// The allowed word that was probably meant.
        nearest: Option<String>,
    },
    /// A window whose ends are the wrong way round.
    #[error("this window ends before it starts")]
    WindowReversed,
    /// A name that two things of one kind share.
    #[error("the name `{0}` is used twice")]
    NameTwice(String),
    /// A name that only some letters may form.
    #[error("an id may hold letters, digits and hyphens only")]
    IdLetters,
    /// Something that must not be empty is.
    #[error("this must not be empty")]
    Empty,
    /// Money that is not a decimal number.
    #[error("`{0}` is not a price")]
    Money(String),
    /// An axle with neither two nor four wheels.
    #[error("an axle has 2 wheels, or 4 where they are twins")]
    AxleWheels,
    /// An expression that cannot be parsed.
    #[error("{0}")]
    Expression(SyntaxFault),
    /// An expression nested too deeply.
    #[error("this is nested too deeply to be checked by a person")]
    TooDeep,
    /// A fact that is not in the registry.
    #[error("there is no fact called `{name}`")]
    UnknownFact {
        /// As written.
        name: String,
        /// The known fact that was probably meant.
        nearest: Option<String>,
    },
    /// A fact that this rule or work cannot have.
    #[error("a rule about a {on} cannot read `{name}`")]
    FactOutOfReach {
        /// What the rule is about.
        on: &'static str,
        /// The fact.
        name: String,
    },
    /// A function that does not exist.
    #[error("there is no function called `{name}`")]
    UnknownFunction {
        /// As written.
        name: String,
        /// The known function that was probably meant.
        nearest: Option<String>,
    },
    /// A function with the wrong number of values.
    #[error("`{name}` takes {wanted} value(s), here are {found}")]
    ArgumentCount {
        /// The function.
        name: &'static str,
        /// How many it takes.
        wanted: usize,
        /// How many stand there.
        found: usize,
    },
    /// Two things that cannot be compared or combined.
    #[error("{left} and {right} cannot be {verb}")]
    KindsDiffer {
        /// What the left side is.
        left: String,
        /// What the right side is.
        right: String,
        /// What was asked of them: `compared`, `added`, and so on.
        verb: &'static str,
    },
    /// Something of the wrong kind for its place.
    #[error("this is {found}, but {wanted} is needed here")]
    KindNeeded {
        /// What is needed.
        wanted: &'static str,
        /// What stands there.
        found: String,
    },
    /// A bare number where a unit is needed.
    #[error("this number needs a unit")]
    UnitNeeded {
        /// An example of the number with a unit.
        example: String,
    },
    /// A comparison whose two sides are both constants.
    #[error("this never changes: no fact of a part or van takes part in it")]
    Constant,
    /// A `says` that names something it cannot.
    #[error("`{{{name}}}` cannot be filled in")]
    UnknownBlank {
        /// What stands between the braces.
        name: String,
        /// What was probably meant.
        nearest: Option<String>,
    },
    /// Braces that do not pair up.
    #[error("a brace is not closed here")]
    OpenBrace,
    /// A sense check's unusable fact that it never reads.
    #[error("the demand never reads `{0}`, so it cannot spoil it")]
    SpoilsUnread(String),
    /// A setting that only sense checks have.
    #[error("only a rule that fails with \"doubt\" has this setting, and it must have it")]
    SpoilsOnlyDoubt,
    /// A sense check on a package: it looks at one row, and a package is made of two.
    #[error("a sense check looks at one row, and a package is made of two")]
    DoubtOnPackage,
    /// A remedy of a sense check: what a row contradicts no work cures.
    #[error("a row that contradicts itself is for the supplier to put right: a sense check has no remedy")]
    RemedyOfDoubt,
    /// A sentence for parts that pass a sense check: nobody is told of those.
    #[error("what agrees with itself is not worth a word: a sense check says nothing of what passes")]
    PassOfDoubt,
    /// A rule without one of the three kinds of witness.
    #[error("rule `{rule}` has no witness that gives {gives}")]
    WitnessMissing {
        /// The rule.
        rule: String,
        /// Which kind is missing.
        gives: &'static str,
    },
    /// A witness that does not give what it says.
    #[error("this witness says `{said}`, but the rule gives `{gave}`")]
    WitnessWrong {
        /// What the file says.
        said: &'static str,
        /// What the rule gave.
        gave: &'static str,
    },
    /// A work that refers to another that is not there.
    #[error("there is no work called `{name}` here")]
    UnknownWork {
        /// As written.
        name: String,
        /// The known work that was probably meant.
        nearest: Option<String>,
    },
    /// A work that can never be done.
    #[error("this work can never be done: it needs or rules out `{0}`")]
    NeverDone(String),
    /// More works than one van may have.
    #[error("a van may have {most} works at most")]
    TooManyWorks {
        /// How many it may have.
        most: usize,
    },
    /// A fact that no work can change.
    #[error("no work can change `{0}`")]
    Unchangeable(String),
    /// A fact that one work both raises and lowers.
    #[error("this work both raises and lowers `{0}`")]
    RaisedAndLowered(String),
    /// A fact that one work both sets and changes in another way.
    #[error("this work sets `{fact}`, so that nothing is left for `{then}` to do on it")]
    SetAndChanged {
        /// The fact.
        fact: String,
        /// The other key.
        then: &'static str,
    },
    /// A work that changes nothing any rule rests on.
    #[error("no rule in force for `{van}` rests on anything that this work changes, so it can cure nothing")]
    NeverHelps {
        /// The van.
        van: String,
    },
    /// A work file that a van names and that cannot be read.
    #[error("the work file `{path}` cannot be read: {why}")]
    WorkFile {
        /// As written.
        path: String,
        /// What the system said.
        why: String,
    },
    /// A work file given where a van file is needed.
    #[error("this file holds work only, and no van")]
    OnlyWork,
    /// A figure beyond anything a van can have.
    #[error("{words} of {shown} cannot be right for a van")]
    OutOfRange {
        /// The trade's words for the fact.
        words: &'static str,
        /// The figure.
        shown: String,
    },
    /// A work that changes nothing.
    #[error("this work changes no fact, so it can cure nothing")]
    WorkWithoutEffect,
    /// An effect that needs a number on a fact that has none.
    #[error("`{name}` is {kind}; only a number can be shifted, raised or lowered")]
    NotANumber {
        /// The fact.
        name: String,
        /// What it is.
        kind: Kind,
    },
    /// A set of none or of too many wheels.
    #[error("a set has 1 to {most} wheels")]
    SetSize {
        /// The most it may have.
        most: u32,
    },
    /// A path or pattern of a shop file that leads to nothing.
    #[error("nothing is found at `{0}`")]
    NothingThere(String),
    /// A pattern that is none.
    #[error("`{text}` is no pattern of file names: {why}")]
    Pattern {
        /// As written.
        text: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// A folder that a pattern leads through and that cannot be listed.
    #[error("`{}` cannot be listed: {why}", path.display())]
    Unlisted {
        /// The folder.
        path: PathBuf,
        /// What the system said.
        why: std::io::Error,
    },
}

impl Fault {
    /// The words under the marked place; the headline says the rest.
    fn label(&self) -> String {
        match self {
            Self::UnknownKey { nearest: Some(near), .. }
            | Self::UnknownFact { nearest: Some(near), .. }
            | Self::UnknownFunction { nearest: Some(near), .. }
            | Self::UnknownBlank { nearest: Some(near), .. }
            | Self::UnknownWork { nearest: Some(near), .. }
            | Self::WordNotAllowed { nearest: Some(near), .. } => format!("is `{near}` meant?"),
            Self::Literal(problem) => {
                problem.nearest().map_or_else(|| "here".to_owned(), |near| format!("is `{near}` meant?"))
            }
            Self::KeyMissing(key) => format!("no `{key}` in here"),
            Self::UnitNeeded { example } => format!("write it as `{example}`"),
            _ => "here".to_owned(),
        }
    }

    fn remedy(&self) -> Option<String> {
        match self {
            Self::OutOfRange { .. } => Some("check the figure and its unit".to_owned()),
            Self::Syntax(_) => Some("check quotes, brackets and equals signs near this place".to_owned()),
            Self::NothingKnown => Some("a van file starts with [van], a rule file with [[rule]]".to_owned()),
            Self::UnknownKey { known, .. } if !known.is_empty() => {
                Some(format!("settings here are: {}", known.join(", ")))
            }
            Self::NothingThere(_) => {
                Some("paths start from the folder of this file; `*` stands for any part of a name".to_owned())
            }
            Self::WordNotAllowed { allowed, .. } => Some(format!("allowed are: {}", allowed.join(", "))),
            Self::KindsDiffer { .. } => {
                Some("both sides must measure the same thing, such as two lengths".to_owned())
            }
            Self::OnlyWork => Some("name it in a van file: `work_files = [\"...\"]` under [van]".to_owned()),
            Self::WindowReversed => Some("write the smaller value first".to_owned()),
            Self::WitnessMissing { .. } => Some(
                "every rule carries one witness each for pass, fail and unknown, so that its author has seen all three"
                    .to_owned(),
            ),
            Self::Literal(problem) => problem.remedy(),
            Self::TooDeep => Some("split the rule in two".to_owned()),
            _ => None,
        }
    }
}

/// A fault at its place, ready to be shown under the text.
#[derive(Debug)]
pub struct FileProblem(Box<Placed>);

#[derive(Debug)]
struct Placed {
    source: Source,
    named: NamedSource<String>,
    span: Span,
    fault: Fault,
}

impl FileProblem {
    /// A fault at a place in a file.
    #[must_use]
    pub fn new(source: Source, span: Span, fault: Fault) -> Self {
        let named = NamedSource::new(source.name(), source.text().to_owned());
        Self(Box::new(Placed { source, named, span, fault }))
    }

    /// What is wrong.
    #[must_use]
    pub fn fault(&self) -> &Fault {
        &self.0.fault
    }

    /// Whether another says the same of the same place: a file that several vans name is read for each.
    #[must_use]
    pub fn repeats(&self, other: &Self) -> bool {
        self.file() == other.file() && self.0.span == other.0.span && self.to_string() == other.to_string()
    }

    /// The file's name.
    #[must_use]
    pub fn file(&self) -> &str {
        self.0.source.name()
    }

    /// The text of the place.
    #[must_use]
    pub fn marked(&self) -> &str {
        self.0.source.text().get(self.0.span.start..self.0.span.end).unwrap_or("")
    }
}

impl fmt::Display for FileProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if matches!(self.0.fault, Fault::CannotRead(_)) {
            return write!(f, "{}: {}", self.0.source.name(), self.0.fault);
        }
        self.0.fault.fmt(f)
    }
}

impl std::error::Error for FileProblem {}

impl Diagnostic for FileProblem {
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.0.fault.remedy().map(|remedy| Box::new(remedy) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        if matches!(self.0.fault, Fault::CannotRead(_)) { None } else { Some(&self.0.named) }
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        if matches!(self.0.fault, Fault::CannotRead(_)) {
            return None;
        }
        // A table's span may run over many lines; its first line is enough to find it.
        let text = self.0.source.text();
        let first_line = text.get(self.0.span.start..self.0.span.end).and_then(|part| part.find('\n'));
        let length = first_line.unwrap_or(self.0.span.end.saturating_sub(self.0.span.start));
        Some(Box::new(std::iter::once(LabeledSpan::new(
            Some(self.0.fault.label()),
            self.0.span.start,
            length,
        ))))
    }
}

/// All problems found in one or several files.
#[derive(Debug)]
pub struct FileProblems(pub Vec<FileProblem>);

impl FileProblems {
    /// Problems, each once, though a file that several others name was read for each of them.
    #[must_use]
    pub fn each_once(found: Vec<FileProblem>) -> Self {
        let mut problems: Vec<FileProblem> = Vec::new();
        for problem in found {
            if !problems.iter().any(|known| known.repeats(&problem)) {
                problems.push(problem);
            }
        }
        Self(problems)
    }
}

impl fmt::Display for FileProblems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0.as_slice() {
            [one] => write!(f, "1 problem in {}", one.file()),
            many => write!(f, "{} problems in rule or van files", many.len()),
        }
    }
}

impl std::error::Error for FileProblems {}
