//! The sheet "Words found".

use super::sheet;
use crate::record::Transcription;

sheet! {
    Transcription, "Words found", "words-found.csv",
    "One row for each piece of writing, stamp, label or number on a portrait, copied exactly.";
    "Portrait no." / "Portrait number" / "Portrait", required, 12, portrait, "The number of the portrait.";
    "Part" / "Side", required, 14, side, "The part that carries the words, from the list.";
    "Where on it" / "Position", optional, 20, position, "Where on that part they stand, for example lower left.";
    "The words exactly" / "Words" / "Text", required, 40, text, "The words exactly as written, mistakes and line breaks included; write [?], [illegible] or [torn] for what you cannot read.";
    "Written in", optional, 12, written_in, "What they are written in, from the list.";
    "Whose hand" / "Hand", optional, 20, hand, "Whose handwriting it is, if you know.";
    "Same hand as", optional, 22, same_hand_as, "Where else you see the same handwriting.";
    "What I think it means" / "Reading", optional, 34, reading, "What you think the words mean, kept apart from the words themselves.";
}
