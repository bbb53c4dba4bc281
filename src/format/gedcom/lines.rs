//! The lines of a GEDCOM file: level, cross-reference, tag, payload. [GEDCOM 7.0 1.2]

/// A structure: a line and the lines under it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Structure {
    /// The identifier that others point to, without its signs.
    pub(super) xref: Option<String>,
    /// What it is.
    pub(super) tag: String,
    /// What it says.
    pub(super) payload: String,
    /// What stands under it.
    pub(super) children: Vec<Structure>,
}

impl Structure {
    pub(super) fn new(tag: &str, payload: &str) -> Self {
        Self {
            tag: tag.to_owned(),
            payload: payload.to_owned(),
            ..Self::default()
        }
    }

    pub(super) fn record(xref: &str, tag: &str) -> Self {
        Self {
            xref: Some(xref.to_owned()),
            tag: tag.to_owned(),
            ..Self::default()
        }
    }

    /// Adds a structure under this one.
    pub(super) fn with(mut self, child: Self) -> Self {
        self.children.push(child);
        self
    }

    /// Adds a structure under this one, if there is one.
    pub(super) fn with_all(mut self, children: impl IntoIterator<Item = Self>) -> Self {
        self.children.extend(children);
        self
    }

    /// Returns the first structure of this tag under this one.
    pub(super) fn child(&self, tag: &str) -> Option<&Self> {
        self.children.iter().find(|child| child.tag == tag)
    }

    /// Returns all structures of this tag under this one.
    pub(super) fn all<'a>(&'a self, tag: &'a str) -> impl Iterator<Item = &'a Self> {
        self.children.iter().filter(move |child| child.tag == tag)
    }

    /// Returns what the first structure of this tag says, unless it is blank.
    pub(super) fn says(&self, tag: &str) -> Option<&str> {
        self.child(tag)
            .map(|child| child.payload.trim())
            .filter(|text| !text.is_empty())
    }
}

/// Writes structures as text with line feeds.
pub(super) fn to_text(structures: &[Structure]) -> String {
    let mut out = String::new();
    for structure in structures {
        write_structure(structure, 0, &mut out);
    }
    out
}

fn write_structure(structure: &Structure, level: u32, out: &mut String) {
    out.push_str(&level.to_string());
    if let Some(xref) = &structure.xref {
        out.push_str(&format!(" @{xref}@"));
    }
    out.push_str(&format!(" {}", structure.tag));
    let below = level.saturating_add(1);
    let permitted: String = structure.payload.chars().map(permitted).collect();
    let text = permitted.replace("\r\n", "\n").replace('\r', "\n");
    for (index, line) in text.split('\n').enumerate() {
        if index > 0 {
            out.push_str(&format!("\n{below} CONT"));
        }
        if !line.is_empty() {
            out.push(' ');
            out.push_str(&escaped(line));
        }
    }
    out.push('\n');
    for child in &structure.children {
        write_structure(child, below, out);
    }
}

/// A leading `@` is doubled, unless the payload points to a record. [GEDCOM 7.0 1.2]
fn escaped(line: &str) -> String {
    if line.starts_with('@') && !is_pointer(line) {
        format!("@{line}")
    } else {
        line.to_owned()
    }
}

fn is_pointer(line: &str) -> bool {
    line.strip_prefix('@')
        .and_then(|rest| rest.strip_suffix('@'))
        .is_some_and(|inner| {
            !inner.is_empty()
                && inner
                    .bytes()
                    .all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit() || byte == b'_')
        })
}

/// Control characters and noncharacters are banned. [GEDCOM 7.0 1.1]
fn permitted(one: char) -> char {
    let is_banned = matches!(one, '\u{0}'..='\u{8}' | '\u{B}' | '\u{C}' | '\u{E}'..='\u{1F}' | '\u{7F}'..='\u{9F}' | '\u{FFFE}' | '\u{FFFF}');
    if is_banned { '\u{FFFD}' } else { one }
}

/// The deepest level of 5.5.1. [GEDCOM 5.5.1 chapter 1, level]
const DEEPEST: usize = 99;

/// Reads structures. A line that is none is told with its number and left out, with everything under it.
pub(super) fn from_text(text: &str) -> (Vec<Structure>, Vec<(usize, &'static str)>) {
    let mut faults = Vec::new();
    let mut records: Vec<Structure> = Vec::new();
    let mut open: Vec<Structure> = Vec::new();
    // Files of old machines end their lines with a carriage return alone.
    let plain = text.replace("\r\n", "\n");
    let lines = plain.split(['\n', '\r']).enumerate();
    for (index, line) in lines.filter(|(_, line)| !line.trim().is_empty()) {
        let number = index.saturating_add(1);
        let Some((level, structure)) = line_of(line) else {
            faults.push((number, "this is not a line of GEDCOM"));
            continue;
        };
        if level > open.len() || level > DEEPEST {
            faults.push((
                number,
                "the level of this line is more than one above the line before",
            ));
            continue;
        }
        if matches!(structure.tag.as_str(), "CONT" | "CONC") && level > 0 {
            close_to(level, &mut open, &mut records);
            if let Some(parent) = open.last_mut() {
                if structure.tag == "CONT" {
                    parent.payload.push('\n');
                }
                parent.payload.push_str(&structure.payload);
            }
            continue;
        }
        close_to(level, &mut open, &mut records);
        open.push(structure);
    }
    close_to(0, &mut open, &mut records);
    (records, faults)
}

/// Puts finished structures under their parents until only `level` are open.
fn close_to(level: usize, open: &mut Vec<Structure>, records: &mut Vec<Structure>) {
    while open.len() > level {
        let Some(done) = open.pop() else {
            return;
        };
        match open.last_mut() {
            Some(parent) => parent.children.push(done),
            None => records.push(done),
        }
    }
}

fn line_of(line: &str) -> Option<(usize, Structure)> {
    let (level, mut rest) = line.trim_start().split_once(' ')?;
    let level: usize = level.parse().ok()?;
    let mut xref = None;
    rest = rest.trim_start();
    if let Some(after) = rest.strip_prefix('@') {
        let (inner, after) = after.split_once('@')?;
        xref = Some(inner.to_owned());
        rest = after.trim_start();
    }
    let (tag, payload) = rest.split_once(' ').unwrap_or((rest, ""));
    let is_tag = !tag.is_empty()
        && tag
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || byte == b'_');
    is_tag.then(|| {
        let structure = Structure {
            xref,
            tag: tag.to_ascii_uppercase(),
            payload: payload
                .strip_prefix("@@")
                .map_or_else(|| payload.to_owned(), |rest| format!("@{rest}")),
            children: Vec::new(),
        };
        (level, structure)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back() {
        let record = Structure::record("I1", "INDI")
            .with(
                Structure::new("NOTE", "@home\n\n two lines \nand @I1@ within")
                    .with(Structure::new("LANG", "en")),
            )
            .with(Structure::new("OBJE", "@O1@"));
        let text = to_text(std::slice::from_ref(&record));
        assert!(text.contains(
            "1 NOTE @@home\n2 CONT\n2 CONT  two lines \n2 CONT and @I1@ within\n2 LANG en\n"
        ));
        assert_eq!(from_text(&text), (vec![record], Vec::new()));
    }

    #[test]
    fn banned_characters_are_replaced() {
        let text = to_text(&[Structure::new("NOTE", "a\u{0}b\u{7F}c\r\nd\te")]);
        assert_eq!(text, "0 NOTE a\u{FFFD}b\u{FFFD}c\n1 CONT d\te\n");
    }

    #[test]
    fn damaged_lines_are_told_and_left_out() {
        let (records, faults) =
            from_text("0 HEAD\n1 GEDC\nnonsense\n5 VERS 7\n1 NOTE a\n2 CONC b\n0 TRLR");
        assert_eq!(records.len(), 2);
        assert_eq!(records[0].says("NOTE"), Some("ab"));
        let numbers: Vec<usize> = faults.iter().map(|fault| fault.0).collect();
        assert_eq!(numbers, [3, 4]);
    }

    #[test]
    fn deep_nesting_is_bounded() {
        let deep: String = (0..100_000)
            .map(|level| format!("{level} NOTE x\n"))
            .collect();
        let (records, faults) = from_text(&deep);
        assert_eq!(records.len(), 1);
        assert!(faults.len() > 99_000);
    }
}
