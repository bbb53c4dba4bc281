//! Reads the people of a family tree file.

use super::encoding;
use super::lines;
use super::lines::Structure;
use super::people;
use crate::record::Person;

/// What a family tree file says about people.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FamilyTree {
    /// The version of GEDCOM that the file names, for example "7.0" or "5.5.1".
    pub version: String,
    /// The people in the order of the file, with the file's own numbers.
    pub people: Vec<Person>,
    /// Lines that could not be read, the first hundred of them.
    pub faults: Vec<TreeFault>,
}

/// A line that could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TreeFault {
    /// The line, counted from 1.
    pub line: usize,
    /// What is the matter.
    pub what: &'static str,
}

/// Why a file is not read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum GedcomFault {
    /// It does not begin as a GEDCOM file must.
    #[error("this is not a family tree file: it does not begin with the line “0 HEAD”")]
    NotGedcom,
}

/// Most faults that are told one by one.
const MOST_FAULTS: usize = 100;

/// Reads GEDCOM 7.0 or 5.5.1. Damaged lines are told and left out.
///
/// # Errors
/// The file does not begin with `0 HEAD`. [GEDCOM 7.0 3.1; GEDCOM 5.5.1 chapter 2]
pub fn read(bytes: &[u8]) -> Result<FamilyTree, GedcomFault> {
    let text = encoding::decode(bytes);
    let begins = text.trim_start().lines().next().unwrap_or_default();
    if begins.split_whitespace().collect::<Vec<&str>>() != ["0", "HEAD"] {
        return Err(GedcomFault::NotGedcom);
    }
    let (records, faults) = lines::from_text(&text);
    let version = records
        .first()
        .and_then(|head| head.child("GEDC"))
        .and_then(|form| form.says("VERS"))
        .unwrap_or_default();
    Ok(FamilyTree {
        version: version.to_owned(),
        people: people::all(&records),
        faults: faults
            .into_iter()
            .take(MOST_FAULTS)
            .map(|(line, what)| TreeFault { line, what })
            .collect(),
    })
}

/// Returns the records of one kind with their identifiers.
pub(super) fn of_kind<'a>(
    records: &'a [Structure],
    tag: &'a str,
) -> impl Iterator<Item = (&'a str, &'a Structure)> {
    records
        .iter()
        .filter(move |record| record.tag == tag)
        .filter_map(|record| Some((record.xref.as_deref()?, record)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;
    use crate::record::Living;

    /// The smallest file. [`FamilySearch` GEDCOM.io testfiles, minimal70.ged]
    #[test]
    fn the_smallest_file_holds_nobody() {
        let tree = read(b"0 HEAD\n1 GEDC\n2 VERS 7.0\n0 TRLR\n").unwrap();
        assert_eq!(tree.version, "7.0");
        assert!(tree.people.is_empty() && tree.faults.is_empty());
    }

    const OLDER: &str = "0 HEAD\r\n1 GEDC\r\n2 VERS 5.5.1\r\n1 CHAR UTF-8\r\n0 @I1@ INDI\r\n1 NAME Cora /Marrack/\r\n2 GIVN Cora\r\n\
        1 NAME Coralie\r\n1 BIRT\r\n2 DATE ABT 1862\r\n2 PLAC St Ives, Cornwall\r\n1 DEAT Y\r\n1 FAMC @F1@\r\n1 FAMS @F2@\r\n\
        0 @I2@ INDI\r\n1 NAME George /Marrack/\r\n1 BIRT\r\n2 DATE @#DJULIAN@ 5 MAY 1730\r\n0 @I3@ INDI\r\n1 NAME Ann /Trewin/\r\n\
        1 DEAT\r\n2 DATE 3 FEB 1931\r\n0 @I4@ INDI\r\n1 NAME Silas /Penrose/\r\n\
        0 @F1@ FAM\r\n1 HUSB @I2@\r\n1 WIFE @I3@\r\n1 CHIL @I1@\r\n0 @F2@ FAM\r\n1 HUSB @I4@\r\n1 WIFE @I1@\r\n1 MARR\r\n2 DATE 1884\r\n\
        0 TRLR\r\n";

    #[test]
    fn people_are_read_with_their_lives_and_families() {
        let tree = read(OLDER.as_bytes()).unwrap();
        assert_eq!(tree.version, "5.5.1");
        assert_eq!(tree.faults, Vec::new());
        let cora = &tree.people[0];
        assert_eq!(cora.number.as_str(), "I1");
        assert_eq!(cora.name.text(), Some("Cora Marrack"));
        assert_eq!(cora.other_names, ["Coralie"]);
        assert_eq!(cora.born.given().unwrap().edtf.as_str(), "1862~");
        assert_eq!(cora.born_at.text(), Some("St Ives, Cornwall"));
        assert_eq!(cora.living, Answer::Given(Living::No));
        assert_eq!(cora.parents.text(), Some("George Marrack and Ann Trewin"));
        assert_eq!(cora.married.text(), Some("Silas Penrose, 1884"));
        let george = &tree.people[1];
        assert_eq!(george.born, Answer::Blank);
        assert_eq!(george.living, Answer::Blank);
        assert_eq!(
            george.extra["Birth date in the family tree"],
            "@#DJULIAN@ 5 MAY 1730"
        );
        let ann = &tree.people[2];
        assert_eq!(ann.died.given().unwrap().edtf.as_str(), "1931-02-03");
        assert_eq!(ann.living, Answer::Given(Living::No));
    }

    #[test]
    fn other_files_are_refused() {
        for bytes in [
            b"".as_slice(),
            b"number,name\n",
            b"\xFF\xD8\xFF\xE0",
            b"0 HEADER",
        ] {
            assert_eq!(read(bytes), Err(GedcomFault::NotGedcom));
        }
    }

    #[test]
    fn cut_at_every_byte_never_panics() {
        let mut most = 0;
        for length in 0..OLDER.len() {
            if let Ok(tree) = read(OLDER.as_bytes().get(..length).unwrap()) {
                most = most.max(tree.people.len());
            }
        }
        assert_eq!(most, 4);
    }

    #[test]
    fn many_faults_are_told_in_part() {
        let text = format!("0 HEAD\n{}", "nonsense\n".repeat(5_000));
        assert_eq!(read(text.as_bytes()).unwrap().faults.len(), MOST_FAULTS);
    }
}
