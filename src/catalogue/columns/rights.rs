//! The sheet "Rights".

use super::sheet;
use crate::record::Rights;

sheet! {
    Rights, "Rights", "rights.csv",
    "One row for what is known about copyright and wishes for a portrait, a lot or everything; this is no legal advice.";
    "Applies to", required, 14, applies_to, "The number of a portrait or lot, or all.";
    "Maker known?", optional, 18, maker_known, "Who made the picture, if that is known.";
    "Maker died", optional, 14, maker_died, "When the maker died.";
    "Ever published? How known?" / "Ever published?", optional, 26, published, "Whether it was ever published, and how you know.";
    "Likely statement" / "Statement", optional, 26, statement, "The statement of rights; empty means that copyright was not evaluated.";
    "Worked out by", optional, 16, worked_out_by, "Who worked that out.";
    "Worked out on", optional, 14, worked_out_on, "When that was worked out.";
    "Worked out why" / "Why", optional, 26, worked_out_why, "Why that is the statement.";
    "Giver owns picture?", optional, 12, giver_owns_picture, "Whether the giver owns the picture.";
    "Giver owns copyright?", optional, 12, giver_owns_copyright, "Whether the giver owns the copyright, which is another matter.";
    "What the receiver may do", optional, 28, receiver_may, "What a receiver may do with it.";
    "Hold back until", optional, 14, hold_until, "Until when it is held back.";
    "Reason for holding back" / "Reason", optional, 26, hold_reason, "Why it is held back.";
    "If not wanted", optional, 12, if_not_wanted, "What a receiver should do with what is not wanted, from the list.";
    "Credit line", optional, 24, credit_line, "How it should be credited.";
    "Their accession no." / "Their accession number", optional, 18, their_accession_number, "The number that the receiver gave it.";
}
