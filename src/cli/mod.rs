//! The command line: the only code that speaks to the person.

mod arguments;
mod audit;
mod bar;
mod edition;
pub mod exit;
mod failure;
mod inscribe;
mod living;
mod mend;
mod pack;
mod session;
mod size;
mod survey;
pub mod terminal;
mod weigh;

use arguments::Arguments;
use arguments::Verb;
use clap::Parser;
use exit::Exit;
use failure::Failure;
use session::Session;
use std::ffi::OsString;
use std::process::ExitCode;
use terminal::Terminal;

/// Runs the program with the words of the command line, the program's own name first.
pub fn run(words: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(words) {
        Ok(arguments) => arguments,
        Err(error) => return refuse(&error),
    };
    // A panic is a fault of ours; the person gets plain words and the documented exit code instead of a trace alone.
    let outcome = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| do_verb(&arguments)));
    match outcome {
        Ok(Ok(exit)) => exit.into(),
        Ok(Err(failure)) => report(&failure),
        Err(_) => report(&Failure::fault("Something went wrong inside kithbag.")),
    }
}

fn refuse(error: &clap::Error) -> ExitCode {
    // Help and version come this way too, and are no failure. A closed pipe is the reader's wish.
    let _ = error.print();
    if error.use_stderr() {
        Exit::CommandLine.into()
    } else {
        Exit::Done.into()
    }
}

fn report(failure: &Failure) -> ExitCode {
    let terminal = Terminal::new(false);
    terminal.complain(&format!("kithbag: {}", failure.what));
    terminal.complain(&format!("  → {}", failure.remedy));
    failure.exit.into()
}

fn do_verb(arguments: &Arguments) -> Result<Exit, Failure> {
    let session = Session::new(&arguments.common)?;
    match &arguments.verb {
        Verb::Survey(survey) => survey::run(&session, survey),
        Verb::Weigh(weigh) => weigh::run(&session, weigh),
        Verb::Inscribe(inscribe) => inscribe::run(&session, inscribe),
        Verb::Pack(pack) => pack::run(&session, pack),
        Verb::Audit(audit) => audit::run(&session, audit),
        Verb::Mend(mend) => mend::run(&session, mend),
    }
}
