//! The sheet "Clues".

use super::sheet;
use crate::record::Clue;

sheet! {
    Clue, "Clues", "clues.csv",
    "One row for each piece of evidence, with where it comes from.";
    "Clue no." / "Clue number", required, 10, number, "A short number of your own for the clue, for example C-01.";
    "About portrait" / "Portrait no.", optional, 14, portraits, "The numbers of the portraits it speaks of, with “ ; ” between them.";
    "About person" / "Person no.", optional, 14, persons, "The numbers of the people it speaks of, with “ ; ” between them.";
    "Kind of clue", optional, 16, kind, "What kind of thing it is, from the list.";
    "What it says", required, 40, says, "What it says.";
    "Where it comes from" / "Source", required, 34, source, "Where it comes from, enough to find it again.";
    "Seen as", optional, 16, seen_as, "Whether you saw the thing itself, a copy, or what someone wrote about it.";
    "Who knew", optional, 14, who_knew, "Whether the person who said so was there or heard it.";
    "Speaks", optional, 18, speaks, "Whether it answers straight, only with other facts, or by what is missing.";
    "Points to", optional, 24, points_to, "Who or what it points to.";
    "Points against", optional, 24, points_against, "Who or what it points against.";
    "Date it gives" / "Date", optional, 18, date, "The date or range that it gives.";
    "Which date that is", optional, 18, date_target, "Whether that is the date of the sitting, of this print, or of framing or writing.";
    "Hard or soft", optional, 10, hardness, "Hard if it cannot be otherwise, soft if it is usually so.";
    "Seen on", optional, 14, seen_on, "When you saw it.";
    "By" / "Seen by", optional, 16, seen_by, "Who saw it.";
}
