//! The sheet "How it came".

use super::sheet;
use crate::record::Lot;

sheet! {
    Lot, "How it came", "how-it-came.csv",
    "One row for each lot: the things that came to you together.";
    "Lot no." / "Lot number" / "Lot", required, 10, number, "A short number of your own for the lot, for example L-01.";
    "How" / "How it came", optional, 12, how, "How it came, from the list.";
    "From whom or where" / "From whom / where" / "From", required, 30, from, "From whom or where it came.";
    "Date" / "When", required, 16, date, "When it came.";
    "Price", optional, 12, price, "What it cost; this is never given away.";
    "Receipt or tag file", optional, 22, receipt_file, "The picture file that shows the receipt, tag or lot label.";
    "What the seller said", optional, 30, seller_said, "What the seller or giver said about it.";
    "Earlier owners, oldest first" / "Earlier owners", optional, 30, earlier_owners, "Earlier owners, oldest first, with “ ; ” between them.";
    "Came with", optional, 22, came_with, "What else came with it.";
    "May we give it on?", optional, 18, may_give_on, "Whether it may be given on.";
    "Promises made", optional, 24, promises, "What was promised to the giver.";
    "How to reach the giver", optional, 24, giver_contact, "The giver’s address or telephone; this is never given away.";
    "Private?", optional, 10, private, "Whether all of this row is private.";
}
