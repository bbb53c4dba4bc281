//! The sheet "Who is it".

use super::sheet;
use crate::record::Claim;

sheet! {
    Claim, "Who is it", "who-is-it.csv",
    "One row for each idea about who somebody in a portrait is; several rows for one portrait are welcome.";
    "Portrait no." / "Portrait number" / "Portrait", required, 12, portrait, "The number of the portrait.";
    "Which face" / "Face", optional, 14, face, "Which face is meant, for example only one, left, or back row 2nd.";
    "Where the face is", optional, 18, face_region, "Where the face is: left, top, width and height as parts of the picture, each from 0 to 1.";
    "Person no. or unknown man" / "Person no." / "Sitter", required, 18, sitter, "The person’s number from the sheet “People”, or words such as unknown man.";
    "How sure" / "Certainty", required, 12, certainty, "How sure you are, from the list.";
    "Reasons for", optional, 36, reasons_for, "What speaks for it, with “ ; ” between the reasons.";
    "Reasons against", optional, 36, reasons_against, "What speaks against it, with “ ; ” between the reasons.";
    "Clues for", optional, 16, clues_for, "The numbers of the clues that speak for it, with “ ; ” between them.";
    "Clues against", optional, 16, clues_against, "The numbers of the clues that speak against it.";
    "Other people it could be" / "Rivals", optional, 26, rivals, "Who else it could be.";
    "What would settle it", optional, 28, would_settle, "What would settle the question.";
    "Said by", required, 18, said_by, "Who says so.";
    "Said on", required, 14, said_on, "When they said so.";
    "Still held?", optional, 12, standing, "Whether the idea still stands; nothing is deleted, it is marked withdrawn.";
    "Why withdrawn" / "Withdrawn when and why", optional, 28, withdrawn_why, "When and why the idea was given up.";
}
