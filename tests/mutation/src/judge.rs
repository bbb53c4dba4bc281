//! Runs the tests once for each mutant, the nearest tests first.

use crate::Failure;
use crate::list::Mutant;
use serde_json::Value;
use std::collections::BTreeMap;
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Stdio;
use std::thread;
use std::time::Duration;
use std::time::Instant;

/// Kilobytes that one run may take: a mutant may ask for more and more.
const MEMORY: &str = "6000000";

/// Tests of behaviour that concern what is changed, nearest first.
const BEHAVIOUR: &[&str] = &[
    "bags",
    "told",
    "verdicts",
    "one_year_later",
    "gift",
    "leaving",
    "cautions",
    "expected_results",
    "edtf_verdicts",
    "read_back",
    "packed_again",
    "parts",
    "mending",
    "forms",
    "signing",
];

/// A test of time, which fails by itself on a busy machine.
const TIMED: &str = "work_grows_in_line_with_the_rows";

/// What a run of the tests came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// These tests failed.
    Caught(String),
    /// These tests did not end.
    HangsIn(String),
    /// All tests passed.
    Survived,
}

/// The built tests, and how long each takes without a mutant.
pub(crate) struct Judge {
    tree: PathBuf,
    programs: BTreeMap<String, PathBuf>,
    taken: BTreeMap<(String, String), Duration>,
}

impl Judge {
    /// Builds all tests.
    pub(crate) fn build(tree: &Path) -> Result<Self, Failure> {
        let mut command = Command::new("cargo");
        command.current_dir(tree);
        command.args(["test", "--no-run", "--message-format=json", "--lib"]);
        command.args(BEHAVIOUR.iter().flat_map(|name| ["--test", name]));
        let output = command.stderr(Stdio::inherit()).output()?;
        if !output.status.success() {
            return Err("the tests do not build".into());
        }
        let said = String::from_utf8(output.stdout)?;
        let messages = said
            .lines()
            .filter_map(|line| serde_json::from_str::<Value>(line).ok());
        let tests = messages.filter(|one| one["profile"]["test"] == true);
        let programs = tests.filter_map(|one| {
            let name = one["target"]["name"].as_str()?.to_owned();
            Some((name, PathBuf::from(one["executable"].as_str()?)))
        });
        Ok(Self {
            tree: tree.to_owned(),
            programs: programs.collect(),
            taken: BTreeMap::new(),
        })
    }

    /// Runs the tests for a mutant until one fails.
    pub(crate) fn judge(&mut self, mutant: &Mutant) -> Result<Outcome, Failure> {
        for (program, filter) in in_order(&mutant.file) {
            let normal = self.normal(program, filter)?;
            let longest = normal * 10 + Duration::from_secs(60);
            let called = format!("{program} {filter}").trim().to_owned();
            match self.run(program, filter, mutant.number, longest)? {
                None => return Ok(Outcome::HangsIn(called)),
                Some(false) => return Ok(Outcome::Caught(called)),
                Some(true) => {}
            }
        }
        Ok(Outcome::Survived)
    }

    /// How long tests take when no mutant is on; they must pass.
    fn normal(&mut self, program: &str, filter: &str) -> Result<Duration, Failure> {
        let key = (program.to_owned(), filter.to_owned());
        if let Some(taken) = self.taken.get(&key) {
            return Ok(*taken);
        }
        let start = Instant::now();
        if self.run(program, filter, 0, Duration::from_secs(600))? != Some(true) {
            return Err(format!("{program} {filter} fails without a mutant").into());
        }
        let taken = start.elapsed();
        println!("{program} {filter}: {:.1} s", taken.as_secs_f64());
        self.taken.insert(key, taken);
        Ok(taken)
    }

    /// Whether tests pass; nothing when they do not end in time.
    fn run(
        &self,
        program: &str,
        filter: &str,
        mutant: usize,
        longest: Duration,
    ) -> Result<Option<bool>, Failure> {
        let path = self.programs.get(program).ok_or("no such test")?;
        let mut child = Command::new("sh")
            .args(["-c", &format!("ulimit -v {MEMORY}; exec \"$@\""), "sh"])
            .arg(path)
            .args(["--quiet", filter, "--skip", TIMED])
            .current_dir(&self.tree)
            .env("KITHBAG_MUTANT", mutant.to_string())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .process_group(0)
            .spawn()?;
        let start = Instant::now();
        loop {
            if let Some(status) = child.try_wait()? {
                return Ok(Some(status.success()));
            }
            if start.elapsed() > longest {
                let group = format!("-{}", child.id());
                Command::new("kill")
                    .args(["-KILL", "--", &group])
                    .status()?;
                child.wait()?;
                return Ok(None);
            }
            thread::sleep(Duration::from_millis(10));
        }
    }
}

/// All tests, those that notice most about a file first: what an audit finds is asked of whole bags more than of its own units.
fn in_order(file: &str) -> Vec<(&'static str, &'static str)> {
    let (filter, near) = area(file);
    let mut order: Vec<_> = near.iter().map(|name| (*name, "")).collect();
    order.insert(usize::from(filter == "audit::"), ("kithbag", filter));
    order.push(("kithbag", ""));
    let rest = BEHAVIOUR.iter().filter(|name| !near.contains(name));
    order.extend(rest.map(|name| (*name, "")));
    order
}

/// The unit tests that stand nearest to a file, and the tests of behaviour that ask most about it.
fn area(file: &str) -> (&'static str, &'static [&'static str]) {
    const AREAS: [(&str, &str, &[&str]); 4] = [
        (
            "src/audit/",
            "audit::",
            &["bags", "told", "one_year_later", "verdicts"],
        ),
        ("src/format/bagit/", "format::bagit::", &["bags", "told"]),
        ("src/record/audience/", "record::audience::", &["cautions"]),
        ("src/weigh/", "weigh::", &["expected_results"]),
    ];
    let found = AREAS.iter().find(|(folder, _, _)| file.starts_with(folder));
    found.map_or(("", &[]), |(_, filter, near)| (*filter, *near))
}
