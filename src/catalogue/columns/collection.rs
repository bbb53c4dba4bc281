//! The sheet "Collection".

use super::sheet;
use crate::record::About;

sheet! {
    About, "Collection", "collection.csv",
    "One row about the whole collection and who keeps it.";
    "Name of the collection" / "Title", required, 30, title, "What you call the collection.";
    "Kept by", required, 24, kept_by, "Who keeps it.";
    "How to reach them" / "Contact", optional, 30, contact, "How to reach the keeper; given on only if the next column says yes.";
    "May the contact be shown?", optional, 14, contact_may_be_shown, "Whether that may be given on.";
    "The story" / "Story", optional, 60, story, "The story of the collection in a few sentences.";
    "Who carries on" / "Successor", optional, 26, successor, "Who carries on when the keeper cannot.";
}
