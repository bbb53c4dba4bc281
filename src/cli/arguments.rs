//! What a person may type.

use crate::record::Audience;
use crate::record::audience::AUDIENCES;
use crate::record::audience::LIVING_YEARS;
use clap::Args;
use clap::Parser;
use clap::Subcommand;
use clap::ValueEnum;
use clap::builder::PossibleValue;
use clap::builder::PossibleValuesParser;
use clap::builder::TypedValueParser;
use std::path::PathBuf;

/// Keep what is known about old portraits with the pictures: write it into copies of the scans, pack them with checksums, and
/// prove years later that nothing changed. Your own files are only ever read.
#[derive(Debug, Parser)]
#[command(
    name = "kithbag",
    version,
    max_term_width = 100,
    disable_help_subcommand = true
)]
#[command(
    after_help = "First time? Try:  kithbag survey FOLDER   (FOLDER holds your scans)\n\n\
Exit codes: 0 done · 1 something must be settled, or damage was found · 2 the command line is wrong · \
3 it could not be done (file, permission, disk) · 70 a fault of kithbag's own"
)]
pub(super) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(super) verb: Verb,
    /// What every verb takes.
    #[command(flatten)]
    pub(super) common: Common,
}

/// Options of every verb.
#[derive(Debug, Clone, Args)]
pub(super) struct Common {
    /// Print one JSON document for programs instead of words.
    #[arg(long, global = true)]
    pub(super) json: bool,
    /// The day that counts as today, for example 2026-11-25: for the packing date, ages and rights.
    #[arg(long, global = true, value_name = "DATE")]
    pub(super) as_of: Option<String>,
    /// Print only results and failures: no progress, no advice.
    #[arg(long, global = true)]
    pub(super) quiet: bool,
}

/// The verbs.
#[derive(Debug, Subcommand)]
pub(super) enum Verb {
    /// Look at a folder of scans and draft (or refresh) its catalogue, the sheet that you fill in.
    Survey(Survey),
    /// Check the catalogue, weigh the evidence, and say what is missing.
    Weigh(Weigh),
    /// Write described copies of the scans: the same pictures with what is known inside each file.
    Inscribe(Inscribe),
    /// Make the package for one audience: described copies, viewing pictures, a page to read, checksums.
    Pack(Pack),
    /// Check packages, folders or single scans: is everything there, and unchanged?
    Audit(Audit),
    /// Rebuild a sound package from two or more damaged copies of it.
    Mend(Mend),
}

/// `survey`.
#[derive(Debug, Args)]
pub(super) struct Survey {
    /// The folder that holds your scans.
    pub(super) collection: PathBuf,
    /// Draft the catalogue as a workbook, or as a folder of CSV files.
    #[arg(long, value_name = "FORM", default_value = "xlsx")]
    pub(super) sheets: SheetForm,
    /// Start the catalogue from a sheet of your own with a row for each picture (.xlsx, .ods or .csv). It is only read.
    #[arg(long, value_name = "SHEET")]
    pub(super) from: Option<PathBuf>,
    /// Fill the People sheet from a family tree file (GEDCOM 7 or 5.5.1). Cells that you filled are never changed.
    #[arg(long, value_name = "FILE.ged")]
    pub(super) people: Option<PathBuf>,
}

/// The form in which a catalogue is drafted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum SheetForm {
    /// One workbook, `catalogue.xlsx`.
    Xlsx,
    /// A folder `catalogue` of CSV files.
    Csv,
}

/// `weigh`.
#[derive(Debug, Args)]
pub(super) struct Weigh {
    /// The folder that holds your scans and the catalogue.
    pub(super) collection: PathBuf,
    /// Show the reasoning about one portrait.
    #[arg(long, value_name = "NUMBER")]
    pub(super) explain: Option<String>,
    /// Write the reasoning about all portraits as a page.
    #[arg(long, value_name = "FILE.html")]
    pub(super) page: Option<PathBuf>,
}

/// `inscribe`.
#[derive(Debug, Args)]
pub(super) struct Inscribe {
    /// The folder that holds your scans and the catalogue; with --undo, the described copies.
    #[arg(required = true, num_args = 1..)]
    pub(super) paths: Vec<PathBuf>,
    /// A new folder for what is written.
    #[arg(long, value_name = "FOLDER")]
    pub(super) into: PathBuf,
    /// Go on with what a run left that was cut off. Every byte it left is read again before it is trusted.
    #[arg(long)]
    pub(super) resume: bool,
    /// Give back the original files from described copies.
    #[arg(long)]
    pub(super) undo: bool,
}

/// `pack`.
#[derive(Debug, Args)]
pub(super) struct Pack {
    /// The folder that holds your scans and the catalogue.
    pub(super) collection: PathBuf,
    /// Who the package is for.
    #[arg(long = "for", value_name = "AUDIENCE", value_parser = audience())]
    pub(super) audience: Audience,
    /// The folder in which the package is made.
    #[arg(long, value_name = "FOLDER")]
    pub(super) into: PathBuf,
    /// Make one zip file instead of a folder.
    #[arg(long)]
    pub(super) zip: bool,
    /// The package that this one supersedes: a folder or zip file that was given away before. It is checked first.
    #[arg(long, value_name = "PACKAGE")]
    pub(super) supersedes: Option<PathBuf>,
    /// Checksum algorithms, separated by commas.
    #[arg(
        long,
        value_name = "NAMES",
        default_value = "sha256,sha512",
        value_delimiter = ','
    )]
    pub(super) digests: Vec<String>,
    /// Go on with what a run left that was cut off. Every byte it left is read again before it is trusted.
    #[arg(long)]
    pub(super) resume: bool,
    /// Sign the package with this SSH key (a secret key file), so that a forged list of files is noticed.
    #[arg(long, value_name = "KEY")]
    pub(super) sign: Option<PathBuf>,
    /// Cut the package into parts of at most this size, for example 4.7GB or 700MB; a portrait is never cut through.
    #[arg(long, value_name = "SIZE")]
    pub(super) split_at: Option<String>,
    /// The list of everything about people who may be living that would leave, with your answers in its first column. kithbag
    /// writes the list; without it, people who may be living are left out.
    #[arg(long, value_name = "FILE")]
    pub(super) yes_living: Option<PathBuf>,
    /// For how many years after a birth somebody whose death is not known counts as living.
    #[arg(long, value_name = "YEARS", default_value_t = LIVING_YEARS,
        value_parser = clap::value_parser!(i64).range(80..=150))]
    pub(super) living_years: i64,
}

/// Reads an audience by its word; the table of audiences says which there are.
fn audience() -> impl TypedValueParser<Value = Audience> {
    let words = AUDIENCES
        .iter()
        .map(|rule| PossibleValue::new(rule.audience.word()).help(rule.about));
    PossibleValuesParser::new(words)
        .map(|word| Audience::from_word(&word).unwrap_or(Audience::Public))
}

/// `audit`.
#[derive(Debug, Args)]
pub(super) struct Audit {
    /// Packages (folders or zip files), folders of scans, or single scans.
    #[arg(required = true, num_args = 1..)]
    pub(super) paths: Vec<PathBuf>,
    /// Compare with another copy and say which is good.
    #[arg(long, value_name = "COPY")]
    pub(super) against: Option<PathBuf>,
    /// Look at names and sizes only; no verdict about the bytes.
    #[arg(long)]
    pub(super) quick: bool,
    /// Check against a BagIt profile too.
    #[arg(long, value_name = "FILE")]
    pub(super) profile: Option<PathBuf>,
    /// Keep a line about each check in this file, and say what changed since the last.
    #[arg(long, value_name = "FILE")]
    pub(super) ledger: Option<PathBuf>,
}

/// `mend`.
#[derive(Debug, Args)]
pub(super) struct Mend {
    /// Two or more copies of one package.
    #[arg(required = true, num_args = 1..)]
    pub(super) packages: Vec<PathBuf>,
    /// The folder for the rebuilt package.
    #[arg(long, value_name = "FOLDER")]
    pub(super) into: PathBuf,
}
