//! How to fill the catalogue, in plain words: the first sheet of the workbook.

use super::columns::SHEETS;

/// The heading of the first sheet.
pub const TITLE: &str = "How to fill this catalogue";

/// What to know before filling anything, a line each. An empty line stands between thoughts.
pub const LINES: &[&str] = &[
    "This workbook holds what you know about your portraits. Each sheet below is about one kind of thing, one row for each.",
    "Fill what you know, in any order, over days or years. Nothing here must be complete before you can go on.",
    "",
    "Three kinds of nothing are kept apart:",
    "    an empty cell: nobody has looked yet",
    "    nk: somebody looked, and it is not known",
    "    na: the question does not apply to this thing",
    "",
    "Columns marked with * are the ones to fill first. Grey columns are filled by kithbag; an emptied cell is filled again.",
    "Where a small arrow shows in a cell, choose from its list. Several values in one cell have “ ; ” between them.",
    "Copy words from the backs exactly, mistakes included. Write [?] for a doubtful letter, [illegible] or [torn] for what is lost.",
    "Write dates as you would say them: 1895, about 1895, 1890s, before 1901, between 1890 and 1900, summer 1902.",
    "",
    "A portrait has three dates: when the sitter sat, when this print was made, and when it was framed or written on.",
    "Who somebody is goes into “Who is it”, one row for each idea, with how sure you are and why. Two ideas are two rows.",
    "An idea that you gave up is not deleted: mark it withdrawn and say why.",
    "",
    "You may add columns, rows and sheets of your own, and move columns about. They are kept and never touched.",
    "When you have saved, run “kithbag weigh”: it tells what does not fit together, with sheet, row and column.",
    "Run “kithbag survey” again when new scans have come: it adds rows and changes nothing that you filled.",
];

/// Returns the sheets and what stands in each: name and one sentence.
pub fn sheets() -> impl Iterator<Item = (&'static str, &'static str)> {
    SHEETS.iter().map(|plan| (plan.name, plan.about))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fits_on_one_screen() {
        assert!(LINES.len() + SHEETS.len() <= 40);
        assert!(LINES.iter().all(|line| line.chars().count() <= 140));
        assert_eq!(sheets().count(), 11);
    }
}
