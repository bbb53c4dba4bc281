//! The sheet "Receivers".

use super::sheet;
use crate::record::Receiver;

sheet! {
    Receiver, "Receivers", "receivers.csv",
    "One row for each person or place that gets a package; this sheet is never given away.";
    "Receiver no." / "Receiver number", required, 12, number, "A short number of your own for the receiver, for example R-01.";
    "Name", optional, 26, name, "The receiver’s name.";
    "Kind", optional, 12, kind, "What kind of receiver it is, from the list.";
    "Adult?", optional, 10, adult, "Whether they are of age.";
    "May be told names of living?", optional, 14, told_living_names, "Whether they may be told the names of living people.";
    "Sent what", optional, 26, sent_what, "What was sent.";
    "Sent on", optional, 14, sent_on, "When it was sent.";
    "Sent how", optional, 18, sent_how, "How it was sent.";
    "Receipt came back?", optional, 12, receipt_back, "Whether the receipt came back.";
}
