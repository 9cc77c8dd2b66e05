//! The `rimsieve` command: parse, plan, run, exit value.

mod cli;
mod shell;

use std::io::{self, IsTerminal, Write};
use std::path::PathBuf;

use clap::{CommandFactory, Parser};
use clap_complete::Shell;
use miette::{Diagnostic, GraphicalReportHandler, GraphicalTheme};
use rimsieve::document::{FileProblem, FileProblems};
use rimsieve::exit::Exit;
use rimsieve::plan::{
    GatePlan, PairPlan, PublishPlan, RulesCheckPlan, RulesPlan, SurveyPlan, VetPlan, WhyPlan,
};
use rimsieve::progress::Progress;
use rimsieve::run::{self, RunError};
use rimsieve::schema;
use rimsieve::shop::Fill;

/// What one run is to do.
enum Command {
    Vet(VetPlan),
    Pair(PairPlan),
    Publish(PublishPlan),
    Gate(GatePlan),
    Why(WhyPlan),
    Survey(SurveyPlan),
    Rules(RulesPlan),
    RulesCheck(RulesCheckPlan),
    Schema(schema::File),
    Completions(Shell),
    Manual(Option<PathBuf>),
}

fn main() -> Exit {
    if let Some(exit) = rimsieve::sheet::contained::enter(std::env::args_os()) {
        return exit;
    }
    let cli = cli::Cli::parse();
    if let Some(threads) = cli.threads {
        // Fails only where a pool stands already, and none does here.
        let _ = rayon::ThreadPoolBuilder::new().num_threads(usize::from(threads)).build_global();
    }
    let quiet = cli.quiet;
    let mut aside: Box<dyn Write> = if quiet { Box::new(io::sink()) } else { Box::new(io::stderr()) };
    let command = match planned(cli, &mut aside) {
        Ok(command) => command,
        Err(problems) => return show(&problems.into()),
    };
    let progress = if quiet { Progress::unseen() } else { Progress::on_terminal() };
    let mut out = io::BufWriter::new(io::stdout().lock());
    let result = match &command {
        Command::Vet(plan) => run::vet(plan, &mut out, &mut aside, &progress),
        Command::Pair(plan) => run::pair(plan, &mut out, &mut aside, &progress),
        Command::Publish(plan) => run::publish(plan, &mut out, &mut aside, &progress),
        Command::Gate(plan) => run::gate(plan, &mut out, &mut aside, &progress),
        Command::Why(plan) => run::why(plan, &mut out),
        Command::Survey(plan) => run::survey(plan, &mut out),
        Command::Rules(plan) => run::rules(plan, &mut out),
        Command::RulesCheck(plan) => run::rules_check(plan, &mut out).map(|(exit, problems)| {
            show_all(&mut aside, &problems);
            exit
        }),
        Command::Schema(of) => run::schema(*of, &mut out),
        Command::Completions(shell) => shell::completions(*shell, cli::Cli::command(), &mut out),
        Command::Manual(folder) => shell::manual(cli::Cli::command(), folder.as_deref(), &mut out),
    };
    progress.end();
    result.unwrap_or_else(|error| show(&error))
}

/// What was typed, filled up from the shop file; what the file had to give is said.
fn planned(cli: cli::Cli, aside: &mut dyn Write) -> Result<Command, FileProblems> {
    let shop = cli.shop()?;
    let mut fill = Fill::new(shop.as_ref());
    let command = cli.into_command(io::stdout().is_terminal(), &mut fill);
    if let Some(taken) = fill.finish()? {
        let _ = writeln!(aside, "{taken}");
    }
    Ok(command)
}

/// Shows why a run could not be done. A reader that went away is no error.
fn show(error: &RunError) -> Exit {
    let mut aside = io::stderr().lock();
    match error {
        RunError::Output(error) if error.kind() == io::ErrorKind::BrokenPipe => return Exit::Done,
        RunError::Files(problems) => show_all(&mut aside, &problems.0),
        other => {
            // Whoever hands in a sheet reads plain sentences.
            let remedy = other.help().map_or_else(String::new, |help| format!("\n{help}"));
            let _ = writeln!(aside, "{other}{remedy}");
        }
    }
    Exit::CouldNot
}

/// Shows problems of rule and van files under the very words.
fn show_all(aside: &mut dyn Write, problems: &[FileProblem]) {
    let handler = GraphicalReportHandler::new_themed(GraphicalTheme::unicode_nocolor()).with_width(80);
    for problem in problems {
        let mut text = String::new();
        // Standard error that does not take the words leaves nobody to tell.
        if handler.render_report(&mut text, problem).is_ok() {
            let _ = writeln!(aside, "{}", text.trim_end());
        }
    }
}
