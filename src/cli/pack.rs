//! `pack`: make the package for one audience.

use super::arguments;
use super::edition;
use super::exit::Exit;
use super::failure::Failure;
use super::living;
use super::session::Session;
use super::size;
use super::terminal::Style;
use super::weigh;
use crate::audit;
use crate::counting::counted;
use crate::fixity::Algorithm;
use crate::format::ssh_signature::Signer;
use crate::pack;
use crate::pack::Cleared;
use crate::pack::PackError;
use crate::pack::PackOptions;
use crate::pack::Package;
use crate::record::Audience;
use crate::store;
use crate::survey;
use crate::weigh::SoundCatalogue;
use std::path::Path;
use std::path::PathBuf;

/// The program and its version, as it signs what it writes.
pub(super) const TOOL: &str = concat!("kithbag ", env!("CARGO_PKG_VERSION"));

/// Longest key file that is read; secret keys have a few hundred bytes.
const LONGEST_KEY: u64 = 64 * 1024;

/// Weighs the catalogue and makes the package when nothing blocks.
///
/// # Errors
/// Gives a failure when the catalogue cannot be read or the package cannot be written.
pub(super) fn run(session: &Session, arguments: &arguments::Pack) -> Result<Exit, Failure> {
    let supersedes = match arguments.supersedes.as_deref() {
        None => None,
        Some(path) => match edition::earlier(session, path)? {
            edition::Found::Sound(earlier) => Some(*earlier),
            edition::Found::Damaged => return Ok(Exit::Found),
        },
    };
    let options = PackOptions {
        audience: arguments.audience,
        zip: arguments.zip,
        algorithms: algorithms(&arguments.digests)?,
        as_of: session.as_of,
        threads: session.threads,
        tool: TOOL.to_owned(),
        resume: arguments.resume,
        signer: arguments.sign.as_deref().map(signer).transpose()?,
        supersedes,
        split_at: arguments.split_at.as_deref().map(part_size).transpose()?,
    };
    let Some(sound) = weigh::ready(session, &arguments.collection)? else {
        return Ok(Exit::Found);
    };
    let Some((cleared, noticed)) = living::clear(session, &sound, arguments)? else {
        return Ok(Exit::Found);
    };
    let (root, into) = (arguments.collection.as_path(), arguments.into.as_path());
    let known = || survey::Known::read(root);
    if let Some(path) = stands_already(&sound, (root, into), &options, &cleared, known) {
        return tell_already(session, &path);
    }
    let mut package = pack::pack(
        &sound,
        &arguments.collection,
        &arguments.into,
        &options,
        &cleared,
        &*session.progress,
    )
    .map_err(|error| match &error {
        PackError::Edition(error) => edition::refused(error),
        other => Failure::from_error(other),
    })?;
    package.concerns.extend(noticed);
    if session.json {
        session.document(&package)?;
    } else {
        tell(session, &package);
    }
    Ok(Exit::Done)
}

/// Looks for the package only where something stands in the way of a new one.
fn stands_already(
    sound: &SoundCatalogue,
    places: (&Path, &Path),
    options: &PackOptions,
    cleared: &Cleared,
    known: impl Fn() -> survey::Known,
) -> Option<PathBuf> {
    let known = std::cell::LazyCell::new(known);
    pack::already(sound, places, options, cleared, |file| known.sha256(file))
}

fn tell_already(session: &Session, path: &Path) -> Result<Exit, Failure> {
    if session.json {
        session.document(&serde_json::json!({ "unchanged": path }))?;
        return Ok(Exit::Done);
    }
    let terminal = &session.terminal;
    let line = format!("The package is there already: {}", path.display());
    terminal.say_styled(Style::Good, &line);
    terminal.say("  It was made of this same record and these same scans, as far as their lengths and times of change tell, so nothing was written.");
    terminal.tell(&format!(
        "  Whether it is still whole:  kithbag audit {}",
        path.display()
    ));
    Ok(Exit::Done)
}

/// Reads the names of algorithms. SHA-256 is added when it is missing: the page checks by it.
fn algorithms(names: &[String]) -> Result<Vec<Algorithm>, Failure> {
    let mut algorithms = Vec::new();
    for name in names {
        let algorithm = Algorithm::named(name).ok_or_else(|| {
            Failure::command_line(
                format!("“{name}” is no checksum that kithbag knows."),
                "Choose among sha256, sha512, sha384, sha224, sha1 and md5.",
            )
        })?;
        if !algorithms.contains(&algorithm) {
            algorithms.push(algorithm);
        }
    }
    if !algorithms.contains(&Algorithm::Sha256) {
        algorithms.push(Algorithm::Sha256);
    }
    algorithms.sort();
    Ok(algorithms)
}

/// Reads the key that signs, before any work is done.
fn signer(path: &Path) -> Result<Signer, Failure> {
    let text =
        store::read_limited(path, LONGEST_KEY).map_err(|error| Failure::from_error(&error))?;
    Signer::read(&text).map_err(|fault| {
        Failure::could_not(
            format!("{} cannot sign: {fault}.", path.display()),
            "Name the secret key file, without .pub. A new key: ssh-keygen -t ed25519 -f KEY. With a locked key, pack without --sign and then sign the receipt: ssh-keygen -Y sign -f KEY -n file RECEIPT",
        )
    })
}

/// Reads the size of a part. Page and record alone take some hundred kilobytes.
fn part_size(text: &str) -> Result<u64, Failure> {
    const LEAST: u64 = 1_000_000;
    let size = size::read(text).ok_or_else(|| {
        Failure::command_line(
            format!("“{text}” is no size."),
            "Write a number and a unit, for example 4.7GB, 700MB or 4GiB.",
        )
    })?;
    if size < LEAST {
        return Err(Failure::command_line(
            format!("{text} is too little for a part: its page and record take up to 1 MB."),
            "Write the size of what the parts go onto, for example 4.7GB or 700MB.",
        ));
    }
    Ok(size)
}

fn tell(session: &Session, package: &Package) {
    let terminal = &session.terminal;
    session.concerns(&package.concerns);
    if package.audience != Audience::Keeping {
        terminal.say_styled(Style::Strong, "Held back from this package:");
        pack::withheld_lines(&package.withheld)
            .iter()
            .chain(&package.removed)
            .for_each(|line| terminal.say(&format!("  {line}")));
        if package.withheld.is_empty() && package.removed.is_empty() {
            terminal.say("  nothing");
        }
        terminal.say("");
    }
    edition::tell(session, &package.editions);
    terminal.say_styled(
        Style::Good,
        &format!("The package is ready: {}", package.path.display()),
    );
    tell_contents(session, package);
    tell_parts(session, package);
    terminal.tell("\nWhat to do next");
    let (page, copy) = if package.parts.is_empty() {
        ("in it", "Copy the package to where it goes")
    } else {
        (
            "in each part",
            "Copy each part to where it goes; they need not stay together",
        )
    };
    terminal.tell(&format!(
        "  1. Open START-HERE.html {page} by double click, and look at what the receiver will see."
    ));
    terminal.tell(&format!(
        "  2. Print {} and keep it apart from the package.",
        package.receipt.display()
    ));
    if let Some(papers) = &package.papers {
        terminal.tell(&format!(
            "     Papers to fill in, sign or send with it are in {}",
            papers.display()
        ));
    }
    terminal.tell(&format!(
        "  3. {copy}, and check the copy there: kithbag audit COPY"
    ));
    if package.audience != Audience::Keeping {
        terminal.tell("  Before you give it away: read data/withheld.txt, and ask living people about everything that concerns them.");
    }
}

fn tell_contents(session: &Session, package: &Package) {
    let terminal = &session.terminal;
    terminal.say(&format!(
        "  {}, {}, {}, {}. Every byte was read back from the disk and is right.",
        counted(package.portraits, "portrait", "portraits"),
        counted(package.described, "described copy", "described copies"),
        counted(package.files, "file", "files"),
        audit::size(package.bytes)
    ));
    if package.sidecars > 0 {
        terminal.say(&format!(
            "  {} in .xmp, beside the picture.",
            counted(
                package.sidecars,
                "scan cannot carry its record inside; it lies in a file ending",
                "scans cannot carry their records inside; they lie in files ending"
            )
        ));
    }
}

fn tell_parts(session: &Session, package: &Package) {
    let terminal = &session.terminal;
    if package.parts.is_empty() {
        return;
    }
    terminal.say(&format!(
        "  It was cut into {} parts, each a package of its own:",
        package.parts.len()
    ));
    for part in &package.parts {
        let portraits = match part.portraits.as_slice() {
            [] => "no portrait".to_owned(),
            [one] => format!("portrait {one}"),
            [first, .., last] => format!("portraits {first} to {last}"),
        };
        terminal.say(&format!(
            "  {}: {portraits}, {}",
            part.name,
            audit::size(part.size)
        ));
    }
}
