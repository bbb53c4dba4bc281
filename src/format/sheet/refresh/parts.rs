//! The parts of a workbook file: which part is which sheet, shared texts, and writing the file again. [ECMA-376-2 9]

use super::RefreshFault;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::io::Cursor;
use std::io::Read;
use std::io::Write;
use zip::ZipArchive;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// The namespace of the common ("transitional") variant. [ECMA-376-4 A.1]
pub(super) const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";

/// The namespace of relationship attributes. [ECMA-376-4 A]
const RELATIONSHIP: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";

/// The first bytes of a compound file: an encrypted workbook, or one of before 2007. [MS-CFB 2.2]
const COMPOUND_FILE: [u8; 8] = [0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];

/// Most bytes of one unpacked part. A sheet of 100,000 rows has about 100 MB; more is a trap or not for this program.
const LARGEST_PART: u64 = 512 * 1024 * 1024;

/// The opened file.
pub(super) struct Parts<'a> {
    archive: ZipArchive<Cursor<&'a [u8]>>,
    sheets: Vec<(String, String)>,
    workbook: String,
}

impl<'a> Parts<'a> {
    /// Opens a workbook and refuses what cannot be changed safely.
    pub(super) fn open(bytes: &'a [u8]) -> Result<Self, RefreshFault> {
        if bytes.starts_with(&COMPOUND_FILE) {
            return Err(RefreshFault::EncryptedOrOld);
        }
        let archive =
            ZipArchive::new(Cursor::new(bytes)).map_err(|error| RefreshFault::NotXlsx {
                why: error.to_string(),
            })?;
        let names: Result<BTreeSet<String>, _> = archive
            .file_names()
            .map(|name| name.map(std::borrow::Cow::into_owned))
            .collect();
        refuse_names(&names.map_err(|error| RefreshFault::NotXlsx {
            why: error.to_string(),
        })?)?;
        let mut parts = Self {
            archive,
            sheets: Vec::new(),
            workbook: String::new(),
        };
        if parts.text("[Content_Types].xml")?.contains("macroEnabled") {
            return Err(RefreshFault::Macros);
        }
        parts.workbook = parts.find_workbook()?;
        parts.sheets = parts.find_sheets()?;
        Ok(parts)
    }

    /// Returns a part as text.
    pub(super) fn text(&mut self, name: &str) -> Result<String, RefreshFault> {
        let fault = |why: String| RefreshFault::Part {
            part: name.to_owned(),
            why,
        };
        let entry = self
            .archive
            .by_name(name)
            .map_err(|error| fault(error.to_string()))?;
        if entry.encrypted() {
            return Err(RefreshFault::EncryptedOrOld);
        }
        let mut bytes = Vec::new();
        entry
            .take(LARGEST_PART.saturating_add(1))
            .read_to_end(&mut bytes)
            .map_err(|error| fault(error.to_string()))?;
        if u64::try_from(bytes.len()).unwrap_or(u64::MAX) > LARGEST_PART {
            let why = format!("it has more than {LARGEST_PART} bytes, the most that is changed");
            return Err(fault(why));
        }
        String::from_utf8(bytes).map_err(|_| fault("it is not written in UTF-8".to_owned()))
    }

    /// Returns the part of a sheet.
    pub(super) fn sheet_part(&self, sheet: &str) -> Result<String, RefreshFault> {
        self.sheets
            .iter()
            .find(|(name, _)| name.trim() == sheet.trim())
            .map(|(_, part)| part.clone())
            .ok_or_else(|| RefreshFault::NoSheet {
                sheet: sheet.to_owned(),
            })
    }

    /// Returns the shared texts in their order. [ECMA-376-1 18.4]
    pub(super) fn shared_strings(&mut self) -> Result<Vec<String>, RefreshFault> {
        let workbook = self.workbook.clone();
        let target = self
            .relations(&workbook)?
            .into_iter()
            .find(|relation| relation.kind.ends_with("/sharedStrings"));
        let Some(target) = target else {
            return Ok(Vec::new());
        };
        let text = self.text(&target.part)?;
        let parsed = parse(&target.part, &text)?;
        let items = parsed
            .root_element()
            .children()
            .filter(|node| node.tag_name().name() == "si");
        Ok(items.map(text_of).collect())
    }

    /// Returns what a part refers to: kind and part. [ECMA-376-2 9.3]
    pub(super) fn relations(&mut self, part: &str) -> Result<Vec<Relation>, RefreshFault> {
        let (folder, name) = part.rsplit_once('/').unwrap_or(("", part));
        let relations = match folder {
            "" => format!("_rels/{name}.rels"),
            _ => format!("{folder}/_rels/{name}.rels"),
        };
        if self.archive.index_for_name(&relations).is_none() {
            return Ok(Vec::new());
        }
        let text = self.text(&relations)?;
        let parsed = parse(&relations, &text)?;
        Ok(parsed
            .root_element()
            .children()
            .filter(|node| node.tag_name().name() == "Relationship")
            .filter(|node| node.attribute("TargetMode") != Some("External"))
            .filter_map(|node| {
                Some(Relation {
                    name: node.attribute("Id")?.to_owned(),
                    kind: node.attribute("Type")?.to_owned(),
                    part: resolve(folder, node.attribute("Target")?)?,
                })
            })
            .collect())
    }

    fn find_workbook(&mut self) -> Result<String, RefreshFault> {
        self.relations("")?
            .into_iter()
            .find(|relation| relation.kind.ends_with("/officeDocument"))
            .map(|relation| relation.part)
            .ok_or_else(|| RefreshFault::NotXlsx {
                why: "it names no workbook part".to_owned(),
            })
    }

    fn find_sheets(&mut self) -> Result<Vec<(String, String)>, RefreshFault> {
        let workbook = self.workbook.clone();
        let relations = self.relations(&workbook)?;
        let text = self.text(&workbook)?;
        let parsed = parse(&workbook, &text)?;
        refuse_variant(parsed.root_element().tag_name().namespace())?;
        Ok(parsed
            .descendants()
            .filter(|node| node.has_tag_name((MAIN, "sheet")))
            .filter_map(|node| {
                let name = node.attribute("name")?.to_owned();
                let target = node.attribute((RELATIONSHIP, "id"))?;
                let relation = relations.iter().find(|relation| relation.name == target)?;
                relation
                    .kind
                    .ends_with("/worksheet")
                    .then(|| (name, relation.part.clone()))
            })
            .collect())
    }

    /// Writes the file again with some parts changed; all others are copied as they are, still compressed.
    pub(super) fn write(
        &mut self,
        changed: &BTreeMap<String, String>,
    ) -> Result<Vec<u8>, RefreshFault> {
        let fault = |why: String| RefreshFault::NotXlsx { why };
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        let comment = self.archive.comment().to_vec();
        for index in 0..self.archive.len() {
            let entry = self
                .archive
                .by_index_raw(index)
                .map_err(|error| fault(error.to_string()))?;
            let name = entry
                .name()
                .map_err(|error| fault(error.to_string()))?
                .into_owned();
            let outcome = match changed.get(&name) {
                None => writer.raw_copy_file(entry),
                Some(text) => {
                    let options = SimpleFileOptions::default()
                        .compression_method(zip::CompressionMethod::Deflated)
                        .last_modified_time(entry.last_modified().unwrap_or_default());
                    writer
                        .start_file(name, options)
                        .and_then(|()| Ok(writer.write_all(text.as_bytes())?))
                }
            };
            outcome.map_err(|error| fault(error.to_string()))?;
        }
        writer
            .set_raw_comment(comment.into_boxed_slice())
            .map_err(|error| fault(error.to_string()))?;
        let cursor = writer.finish().map_err(|error| fault(error.to_string()))?;
        Ok(cursor.into_inner())
    }
}

/// What one part says of another.
pub(super) struct Relation {
    name: String,
    pub(super) kind: String,
    pub(super) part: String,
}

/// Parses the XML of a part; document type declarations are refused. [ECMA-376-2 8.1.4]
pub(super) fn parse<'t>(
    part: &str,
    text: &'t str,
) -> Result<roxmltree::Document<'t>, RefreshFault> {
    roxmltree::Document::parse(text).map_err(|error| RefreshFault::Part {
        part: part.to_owned(),
        why: error.to_string(),
    })
}

/// Refuses every variant but the common one.
pub(super) fn refuse_variant(namespace: Option<&str>) -> Result<(), RefreshFault> {
    match namespace {
        Some(MAIN) => Ok(()),
        other => Err(RefreshFault::Variant {
            variant: other.unwrap_or("without a namespace").to_owned(),
        }),
    }
}

fn refuse_names(names: &BTreeSet<String>) -> Result<(), RefreshFault> {
    if names.contains("mimetype") {
        return Err(RefreshFault::NotXlsx {
            why: "it is an OpenDocument file".to_owned(),
        });
    }
    if !names.contains("[Content_Types].xml") {
        return Err(RefreshFault::NotXlsx {
            why: "it is some other kind of zip file".to_owned(),
        });
    }
    if names.iter().any(|name| name.ends_with("vbaProject.bin")) {
        return Err(RefreshFault::Macros);
    }
    if names.iter().any(|name| name.starts_with("_xmlsignatures/")) {
        return Err(RefreshFault::Signed);
    }
    if names
        .iter()
        .any(|name| name.starts_with("xl/") && name.ends_with("workbook.bin"))
    {
        return Err(RefreshFault::Variant {
            variant: "binary workbook".to_owned(),
        });
    }
    Ok(())
}

/// Returns all text of a string item or an inline string, without the readings of East Asian words. [ECMA-376-1 18.4.8]
pub(super) fn text_of(item: roxmltree::Node<'_, '_>) -> String {
    let pieces = item.descendants().filter(|node| {
        node.tag_name().name() == "t"
            && !node
                .ancestors()
                .any(|above| above.tag_name().name() == "rPh")
    });
    pieces.filter_map(|node| node.text()).collect()
}

/// Returns the part that a target names, seen from a folder. [RFC3986 5.2.4]
fn resolve(folder: &str, target: &str) -> Option<String> {
    if let Some(absolute) = target.strip_prefix('/') {
        return Some(absolute.to_owned());
    }
    let mut steps: Vec<&str> = folder.split('/').filter(|step| !step.is_empty()).collect();
    for step in target.split('/') {
        match step {
            "." | "" => {}
            ".." => {
                steps.pop()?;
            }
            _ => steps.push(step),
        }
    }
    Some(steps.join("/"))
}
