//! Every row of EXPECTED.md of the Trevanick pair and the Tillyard box, checked, and the rights of the Ravelock gift. What must not leave
//! in a package is searched for in tests/outside/ and by the tests of packing.
//!
//! The rows are read from the file. The collections are invented, and so are these results; the ranges of stamps, gilt
//! bevels and the tintype are published (see the clue table), the directories and the people are the samples' own.
//!
//! A row without a check fails, and a check without a row; and what a check works out has to stand in the words of its row.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::too_many_lines,
    reason = "a test may fail loudly, and a list of rows is as long as the list"
)]

use kithbag::catalogue;
use kithbag::concern::Concern;
use kithbag::concern::ConcernList;
use kithbag::concern::Severity;
use kithbag::progress::Silent;
use kithbag::record::Certainty;
use kithbag::record::Collection;
use kithbag::record::Day;
use kithbag::record::Scan;
use kithbag::record::caution::Circumstances;
use kithbag::record::caution::cautions_in;
use kithbag::record::caution::may_be_living;
use kithbag::survey;
use kithbag::survey::SheetForm;
use kithbag::survey::SurveyOptions;
use kithbag::weigh;
use kithbag::weigh::DateResult;
use kithbag::weigh::PortraitWeighing;
use kithbag::weigh::TieKind;
use kithbag::weigh::WeighOptions;
use kithbag::weigh::Weighing;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::path::PathBuf;

const TODAY: &str = "2026-11-26";

/// A row of EXPECTED.md: its first cell, and the rest.
struct Row {
    matter: String,
    expected: String,
}

impl Row {
    /// What was worked out stands in the row.
    #[track_caller]
    fn says(&self, worked_out: &str) {
        assert!(
            self.expected.contains(worked_out),
            "“{worked_out}” is not what {} says: {}",
            self.matter,
            self.expected
        );
    }
}

/// A sample, weighed and surveyed.
struct Case {
    weighing: Weighing,
    surveyed: Collection,
    seen: ConcernList,
}

impl Case {
    fn of(name: &'static str) -> Self {
        let root = tempfile::tempdir().unwrap();
        copy(&sample(name), root.path());
        let options = SurveyOptions {
            as_of: jiff::civil::date(2026, 11, 26),
            sheets: SheetForm::Csv,
            threads: 2,
            people: None,
        };
        let survey = survey::survey(root.path(), &options, &Silent).unwrap();
        let reading = catalogue::read(&sample(name)).unwrap();
        let noticed: Vec<&str> = reading.concerns.iter().map(|one| &*one.code).collect();
        assert!(noticed.is_empty(), "{name}: {noticed:?}");
        Self {
            weighing: weighed(&reading.collection),
            surveyed: survey.collection,
            seen: survey.concerns,
        }
    }

    fn portrait(&self, number: &str) -> &PortraitWeighing {
        self.weighing.portrait(&number.into()).unwrap()
    }

    #[track_caller]
    fn noticed(&self, code: &str, number: &str) -> &Concern {
        let mut all = self.weighing.concerns.iter();
        all.find(|one| one.code == code && one.place.portrait.as_deref() == Some(number))
            .unwrap_or_else(|| panic!("{number}: {code}"))
    }

    fn is_noticed(&self, code: &str, number: &str) -> bool {
        let mut all = self.weighing.concerns.iter();
        all.any(|one| one.code == code && one.place.portrait.as_deref() == Some(number))
    }

    #[track_caller]
    fn seen_in(&self, code: &str, file: &str) -> &Concern {
        let mut all = self.seen.iter();
        all.find(|one| one.code == code && one.place.file.as_deref() == Some(file))
            .unwrap_or_else(|| panic!("{file}: {code}"))
    }

    fn scan(&self, file: &str) -> &Scan {
        let mut scans = self.surveyed.scans.iter();
        scans.find(|scan| scan.file == file).unwrap()
    }
}

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("samples")
        .join(name)
}

fn weighed(collection: &Collection) -> Weighing {
    weigh::weigh(
        collection,
        &WeighOptions::as_of(Day::from_iso(TODAY).unwrap()),
    )
}

fn files(root: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    walkdir::WalkDir::new(root)
        .into_iter()
        .map(Result::unwrap)
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| (entry.path().to_owned(), fs::read(entry.path()).unwrap()))
        .collect()
}

fn copy(from: &Path, to: &Path) {
    for (path, bytes) in files(from) {
        let target = to.join(path.strip_prefix(from).unwrap());
        fs::create_dir_all(target.parent().unwrap()).unwrap();
        fs::write(target, bytes).unwrap();
    }
}

/// Returns the rows of all tables of an EXPECTED.md, without the headings.
fn rows(name: &str) -> Vec<Row> {
    let text = fs::read_to_string(sample(name).join("EXPECTED.md")).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let is_row = |line: &str| line.starts_with('|') && !line.starts_with("| ---");
    let heads_table = |at: usize| {
        lines
            .get(at + 1)
            .is_some_and(|next| next.starts_with("| ---"))
    };
    (0..lines.len())
        .filter(|at| is_row(lines[*at]) && !heads_table(*at))
        .map(|at| {
            let cells: Vec<&str> = lines[at]
                .trim_matches('|')
                .split('|')
                .map(str::trim)
                .collect();
            Row {
                matter: cells[0].to_owned(),
                expected: cells[1..].join(" | "),
            }
        })
        .collect()
}

type Check = fn(&Case, &Row);

/// Runs one check for each row, in their order.
fn hold(name: &'static str, checks: &[(&str, Check)]) {
    let rows = rows(name);
    let matters: Vec<&str> = rows.iter().map(|row| row.matter.as_str()).collect();
    let checked: Vec<&str> = checks.iter().map(|(matter, _)| *matter).collect();
    assert_eq!(matters, checked, "{name}: each row has its check");
    let case = Case::of(name);
    for (row, (_, check)) in rows.iter().zip(checks) {
        check(&case, row);
    }
    assert!(!case.weighing.concerns.has_stop(), "{name}");
}

/// A range of years as the demonstrations write it: "1868/1870".
fn years(date: Option<&kithbag::record::Edtf>) -> String {
    date.map_or_else(String::new, |date| {
        date.as_str().trim_matches(['[', ']']).replace("..", "/")
    })
}

fn print(portrait: &PortraitWeighing) -> &DateResult {
    portrait.dates.print.as_ref().unwrap()
}

/// The estimate and the outer limits of the print stand in the row.
#[track_caller]
fn print_is(portrait: &PortraitWeighing, row: &Row) {
    row.says(&format!(
        "print {}",
        years(print(portrait).estimate.as_ref())
    ));
    row.says(&format!("outer {}", years(print(portrait).limits.as_ref())));
}

fn written_on(case: &Case, number: &str) -> String {
    let words = case.weighing.collection().words.iter();
    words
        .filter(|words| words.portrait.as_str() == number)
        .filter_map(|words| words.text.text())
        .collect::<Vec<_>>()
        .join(" / ")
}

#[test]
fn the_trevanick_pair() {
    hold(
        "trevanick-pair",
        &[
            ("A-001, who", |case, row| {
                let first = case.portrait("A-001");
                row.says(&first.who.to_lowercase());
                assert_eq!(first.candidates.len(), 2);
                for candidate in &first.candidates {
                    let name = candidate.name.as_deref().unwrap();
                    row.says(name);
                    row.says(&format!("\"{}\"", candidate.certainty));
                    let shown = format!("{} {}", first.line(), first.date_lines().join(" "));
                    assert!(!shown.contains("Marrack"), "{shown}");
                }
                neither_is_probable_without_a_second_clue_of_his_own(case);
            }),
            ("A-001, when", |case, row| {
                let first = case.portrait("A-001");
                row.says(&first.when.replace("from ", ""));
                for (candidate, died) in first.candidates.iter().zip(["1884", "1907"]) {
                    let sitting = years(candidate.sitting.as_ref());
                    assert!(sitting.ends_with(&format!("/{died}")), "{sitting}");
                    row.says(&format!("not after {died}"));
                }
                let older = case.noticed("dead-before-print", "A-001");
                assert_eq!(older.severity, Severity::Note);
                assert!(older.what.contains("copy of an older picture"));
            }),
            ("A-002, who", |case, row| {
                let second = case.portrait("A-002");
                row.says(&second.who.to_lowercase());
                let named = second.candidates.iter().filter(|one| one.name.is_some());
                assert_eq!(named.count(), 3);
                for candidate in &second.candidates {
                    row.says(&format!("all “{}”", candidate.certainty).replace(['“', '”'], "\""));
                }
                let claims = &case.weighing.collection().claims;
                let none = |claim: &&kithbag::record::Claim| {
                    claim.rivals.iter().any(|rival| rival == "none of them")
                };
                assert_eq!(claims.iter().filter(none).count(), 3);
            }),
            ("A-002, when", |case, row| {
                let asked = case.noticed("dead-before-sitting", "A-002");
                assert_eq!(asked.severity, Severity::Question);
                assert!(asked.what.contains("Thirza Marrack died by 1891"));
                assert!(asked.what.contains("is this a copy of an older picture"));
                row.says("is this a copy of an older picture?");
                let thirza = &case.portrait("A-002").candidates[2];
                assert!(thirza.contradictions.iter().all(|one| one.only_asks));
                assert_eq!(years(thirza.sitting.as_ref()), "1829/1891");
            }),
            ("A-003, who", |case, row| {
                row.says(&case.portrait("A-003").who.to_lowercase());
                assert!(!case.is_noticed("no-back", "A-003"));
                let third = case
                    .weighing
                    .collection()
                    .portrait(&"A-003".into())
                    .unwrap();
                assert!(third.no_back_because.text().is_some());
            }),
            ("tie of A-001 and A-002", |case, row| {
                for (number, other) in [("A-001", "A-002"), ("A-002", "A-001")] {
                    let ties = &case.portrait(number).ties;
                    let same = |tie: &&weigh::Tie| tie.kind == TieKind::SameOrder;
                    assert_eq!(ties.iter().find(same).unwrap().portraits, [other]);
                    let marriage = |tie: &weigh::Tie| tie.reason.contains("marri");
                    assert!(!ties.iter().any(marriage));
                }
                row.says("same order");
            }),
            ("A-001 front", |case, row| {
                let file = "A-001/A-001-front.jpg";
                assert!(
                    case.seen_in("turned-by-tag", file)
                        .what
                        .contains("on its side")
                );
                row.says("stored on its side");
                let first = case.surveyed.portrait(&"A-001".into()).unwrap();
                let true_ppi = weigh::true_ppi(first, case.scan(file)).unwrap();
                row.says(&format!("true resolution {true_ppi}"));
                assert!(case.seen_in("coarse-scan", file).what.contains("below 300"));
            }),
            ("A-001 front", |case, row| {
                let file = "A-001/A-001-front.jpg";
                case.seen_in("place-in-file", file);
                case.seen_in("private-facts-in-file", file);
                row.says("in no copy for archive, family or public");
            }),
            ("A-001 front, cleaned", |case, row| {
                row.says("never evidence");
                let scan = case.scan("A-001/A-001-front-cleaned.jpg");
                assert!(scan.is_altered());
                let mut rested_on = case.weighing.collection().clone();
                rested_on.clues[0].source =
                    kithbag::record::Answer::Given(format!("seen in {}", scan.file));
                assert!(weighed(&rested_on).concerns.has("altered-as-evidence"));
                assert!(!case.weighing.concerns.has("altered-as-evidence"));
            }),
            ("cautions", |case, row| {
                let collection = case.weighing.collection();
                let mut shown = BTreeSet::new();
                for portrait in &collection.portraits {
                    let cautions = cautions_in(collection, portrait, &Circumstances::default());
                    shown.extend(cautions.iter().map(|caution| caution.id));
                    let touching = cautions.iter().any(|caution| caution.id == "C2");
                    assert_eq!(touching, portrait.number.as_str() == "A-003");
                }
                for id in ["C1", "C2", "C8", "C9", "C10"] {
                    assert!(shown.contains(id), "{id}: {shown:?}");
                    row.says(&format!("{id} "));
                }
            }),
            ("Rosalind Keverne", |case, row| {
                let living = |one: &&Concern| one.code == "may-be-living";
                let told: Vec<&Concern> = case.weighing.concerns.iter().filter(living).collect();
                assert_eq!(told.len(), 1);
                row.says("nowhere in a package for others");
            }),
            (
                "`../damaged-sheets/trevanick-portraits-resaved.csv`",
                |case, row| {
                    let root = tempfile::tempdir().unwrap();
                    copy(
                        &sample("trevanick-pair/catalogue"),
                        &root.path().join("catalogue"),
                    );
                    let damaged = sample("damaged-sheets/trevanick-portraits-resaved.csv");
                    fs::copy(damaged, root.path().join("catalogue/portraits.csv")).unwrap();
                    let reading = catalogue::read(root.path()).unwrap();
                    let damage: Vec<_> = reading
                        .concerns
                        .iter()
                        .filter(|one| one.code == "became-a-date")
                        .map(|one| (one.place.row, one.place.column.as_deref()))
                        .collect();
                    let column = Some("Number on it");
                    assert_eq!(damage, [(Some(2), column), (Some(3), column)]);
                    row.says("in rows 2 and 3, column \"Number on it\"");
                    assert!(!case.is_noticed("became-a-date", "A-001"));
                },
            ),
        ],
    );
}

/// The label fits both men: it says nothing between them, whoever is raised.
fn neither_is_probable_without_a_second_clue_of_his_own(case: &Case) {
    for at in [0, 1] {
        let mut bolder = case.weighing.collection().clone();
        bolder.claims[at].certainty = kithbag::record::Answer::Given(Certainty::Probable);
        let weighing = weighed(&bolder);
        let lacking = &weighing.portraits[0].candidates[at].lacking;
        assert!(
            lacking.iter().any(|what| what.contains("two clues")),
            "{lacking:?}"
        );
        assert!(weighing.concerns.has("certainty-not-met"));
    }
}

#[test]
fn the_tillyard_box() {
    hold(
        "tillyard-box",
        &[
            ("B-01", |case, row| {
                print_is(case.portrait("B-01"), row);
                let kin = case.noticed("kin-word-without-writer", "B-01");
                assert_eq!(kin.severity, Severity::Warning);
            }),
            ("B-02", |case, row| {
                let second = case.portrait("B-02");
                row.says(&years(print(second).estimate.as_ref()));
                let stamp = |clue: &&weigh::DateClue| clue.what.contains("revenue stamp on a");
                let stamp = print(second).used.iter().find(stamp).unwrap();
                assert_eq!(
                    stamp.range_in_words(),
                    "between August 1864 and August 1866"
                );
            }),
            ("B-03", |case, row| {
                let third = case.portrait("B-03");
                row.says(&format!("print {}", years(print(third).estimate.as_ref())));
                let sitting = years(third.candidates[0].sitting.as_ref());
                assert_eq!(sitting, "1840~/1851");
                row.says("not after 1851");
                let asked = case.noticed("copy-of-older-picture", "B-03");
                assert_eq!(asked.severity, Severity::Question);
            }),
            ("B-04", |case, row| {
                print_is(case.portrait("B-04"), row);
                assert!(written_on(case, "B-04").contains("Orpha T."));
            }),
            ("B-05", |case, row| {
                for number in ["B-04", "B-05"] {
                    let alarm = case.noticed("one-negative-two-names", number);
                    assert_eq!(alarm.severity, Severity::Warning);
                    assert!(alarm.what.contains("“Delia” / “Orpha T.”"));
                }
                row.says("alarm: one negative, two names");
                // 55/56–66 in the demonstration's own shorthand.
                for (number, shorthand, words) in [
                    ("B-04", "55/56–66", "Orpha 55 or 56 to 66"),
                    ("B-05", "26/27–37", "Delia 26 or 27 to 37"),
                ] {
                    let ages = &case.portrait(number).candidates[0].ages[0];
                    assert!(
                        ages.when.ends_with("between 1878 and 1888"),
                        "{}",
                        ages.when
                    );
                    assert_eq!(ages.aged, shorthand);
                    row.says(words);
                }
            }),
            ("B-06", |case, row| {
                let sixth = case.portrait("B-06");
                row.says(&format!("gives {}", years(print(sixth).estimate.as_ref())));
                let stay = sixth.dates.stay.as_ref().unwrap();
                row.says(&format!("{}/{}", stay.firm.0, stay.firm.1));
                let faces: Vec<_> = sixth
                    .candidates
                    .iter()
                    .map(|one| one.face.as_deref())
                    .collect();
                assert_eq!(faces, [Some("left"), Some("right")]);
                let me = case.noticed("kin-word-without-writer", "B-06");
                assert!(me.what.contains("“me”"));
            }),
            ("B-07", |case, row| {
                let seventh = print(case.portrait("B-07"));
                row.says(&format!("{} stands", years(seventh.estimate.as_ref())));
                assert!(seventh.set_aside[0].what.contains("1885?"));
                assert!(seventh.set_aside[0].against_limits);
                case.noticed("clue-against-limits", "B-07");
                case.noticed("ballpoint-later", "B-07");
            }),
            ("B-08", |case, row| {
                let limits = print(case.portrait("B-08")).limits.as_ref();
                assert_eq!(years(limits), "1854/");
                row.says("not before 1854");
                let uncle = case.noticed("kin-word-without-writer", "B-08");
                assert!(uncle.what.contains("the writer is of the next generation"));
            }),
            ("B-09", |case, row| {
                let ninth = case.portrait("B-09");
                assert!(ninth.candidates.iter().all(|one| one.name.is_none()));
                assert!(ninth.candidates[0].who.contains("nobody of the family"));
                let said = ninth.rights.said_of_publication.as_deref().unwrap();
                assert!(said.starts_with("Yes"), "{said}");
                let other = &case.portrait("B-08").rights;
                assert_eq!(other.said_of_publication, None);
                row.says("a published card, not kin; rights differ");
            }),
            ("B-10", |case, row| {
                let tenth = case.portrait("B-10");
                let sitting = years(tenth.candidates[0].sitting.as_ref());
                row.says(&sitting.replace('/', " to "));
                assert!(tenth.candidates[0].contradictions.is_empty());
                assert_eq!(
                    tenth.who, "Unidentified sitter",
                    "nothing follows from the gown"
                );
            }),
            ("B-11", |case, row| {
                let age = case.noticed("printed-age", "B-11");
                assert!(age.what.contains("March 1822"), "{}", age.what);
                assert!(age.what.contains("agrees with the birth of P-02"));
                assert!(age.remedy.contains("not first-hand"));
                row.says("March 1822");
                row.says("not first-hand");
            }),
            ("B-12", |case, row| {
                for code in ["no-front", "no-back"] {
                    assert!(!case.is_noticed(code, "B-12"));
                }
                let collection = case.weighing.collection();
                let twelfth = collection.portrait(&"B-12".into()).unwrap();
                let cautions = cautions_in(collection, twelfth, &Circumstances::default());
                assert!(cautions.iter().any(|caution| caution.id == "C7"));
                assert!(
                    twelfth
                        .not_scanned_because
                        .text()
                        .unwrap()
                        .contains("Mould")
                );
                row.says("caution C7");
            }),
            ("`B-10/Zoë B-10 front.jpg`", |case, _| {
                assert_eq!(
                    case.scan("B-10/Zoë B-10 front.jpg")
                        .portrait
                        .given()
                        .unwrap()
                        .as_str(),
                    "B-10"
                );
            }),
            ("`B-01/IMG_0007.jpg`", |case, row| {
                let same = case.seen_in("exact-duplicate", "B-01/IMG_0007.jpg");
                assert!(same.what.contains("B-01/B-01-front.jpg"));
                row.says("exact duplicate of `B-01/B-01-front.jpg`");
            }),
            ("`B-07/B-07-front.jpg`", |case, _| {
                case.seen_in("damaged-picture", "B-07/B-07-front.jpg");
            }),
            ("`B-05/B-05-back.jpg`", |case, row| {
                let turned = case.seen_in("turned-by-tag", "B-05/B-05-back.jpg");
                assert!(turned.what.contains("upside down"));
                row.says("upside down");
            }),
            ("`B-03/B-03-front.jpg`", |case, _| {
                case.seen_in("grey-scan", "B-03/B-03-front.jpg");
            }),
            ("`B-06/B-06-front.jpg`, `-back.jpg`", |case, row| {
                for file in ["B-06/B-06-front.jpg", "B-06/B-06-back.jpg"] {
                    case.seen_in("claimed-resolution-wrong", file);
                    let sixth = case.surveyed.portrait(&"B-06".into()).unwrap();
                    let true_ppi = weigh::true_ppi(sixth, case.scan(file)).unwrap();
                    row.says(&format!("are {true_ppi}"));
                }
            }),
        ],
    );
}

#[test]
fn rights_in_the_ravelock_gift() {
    let rows = rows("ravelock-gift");
    let case = Case::of("ravelock-gift");
    let checks: [(&str, Check); 6] = [
        (
            "C-01 crayon portrait, about 1898, maker unknown",
            |case, row| {
                let rights = &case.portrait("C-01").rights;
                assert!(
                    rights
                        .if_unpublished
                        .starts_with("possibly ended with 2018")
                );
                assert!(rights.if_unpublished.contains("made by about 1898"));
                row.says(&rights.statement);
            },
        ),
        ("C-02 postcard, printed 1907", |case, _| {
            let rights = &case.portrait("C-02").rights;
            assert!(rights.if_published.starts_with("possibly ended with 2002"));
            let said = rights.said_of_publication.as_deref().unwrap();
            assert!(said.starts_with("Yes"), "{said}");
        }),
        ("C-03 snapshot, about 1912, maker unknown", |case, row| {
            let rights = &case.portrait("C-03").rights;
            assert!(
                rights
                    .if_unpublished
                    .starts_with("possibly to the end of 2032")
            );
            row.says("to the end of 2032");
        }),
        (
            "C-04 studio portrait, 1948, Bram Oskell, died 1990",
            |case, row| {
                let rights = &case.portrait("C-04").rights;
                assert!(
                    rights
                        .if_unpublished
                        .starts_with("possibly to the end of 2060")
                );
                row.says("to the end of 2060");
            },
        ),
        ("C-05 wedding, 1961", |case, row| {
            let rights = case.weighing.collection().rights.iter();
            let mut held = rights.filter(|one| one.applies_to.text() == Some("C-05"));
            let until = held.next().unwrap().hold_until.given().unwrap();
            assert_eq!(until.edtf.as_str(), "2036-01-01");
            row.says("held back until 1 January 2036");
            let people = &case.weighing.collection().people;
            let bride = people
                .iter()
                .find(|one| one.name.text() == Some("Marguerite Ravelock"));
            let this_year = Circumstances {
                year: Some(2026),
                ..Circumstances::default()
            };
            assert!(may_be_living(bride.unwrap(), &this_year));
        }),
        ("C-06 C-01 coloured by a program", |case, row| {
            case.noticed("only-altered-front", "C-06");
            row.says("never evidence");
        }),
    ];
    // C-07 and the searches are matters of packing.
    for (matter, check) in checks {
        let row = rows.iter().find(|row| row.matter == matter);
        check(&case, row.unwrap_or_else(|| panic!("no row {matter}")));
    }
}
