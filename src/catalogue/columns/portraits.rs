//! The sheet "Portraits".

use super::sheet;
use crate::record::Portrait;

sheet! {
    Portrait, "Portraits", "portraits.csv",
    "One row for each portrait you can hold: front, back and frame are one portrait.";
    "Portrait no." / "Portrait number" / "Object no." / "Object number", required, 12, number, "A short number of your own that never changes and holds no name, for example A-001.";
    "What it is" / "Kind" / "Type of portrait", required, 22, kind, "The kind of object, from the list.";
    "What it shows" / "Shows", optional, 28, shows, "What anybody can see, for example “man in a pilot coat”: never who it might be.";
    "Title printed on it" / "Printed title", optional, 24, title_as_printed, "A title that the maker printed on it, letter for letter.";
    "Lot no." / "Lot" / "Lot number", required, 10, lot, "The number of the row in “How it came” that tells how you got it.";
    "Height", optional, 10, size.height, "The height as measured with a ruler, for example 20 or 6 1/2.";
    "Width", optional, 10, size.width, "The width as measured with a ruler.";
    "Units" / "Unit", optional, 8, size.unit, "The unit of height and width, from the list.";
    "What was measured" / "Measured", optional, 14, size.measured, "Which part was measured, from the list.";
    "Shape", optional, 12, shape, "The shape of the picture, for example oval.";
    "Picture made of" / "Medium" / "Made of", optional, 24, media, "What the picture is made of, words from the list with “ ; ” between them.";
    "Backing", optional, 18, backing, "What the picture is mounted on, for example board or canvas.";
    "Bowed?", optional, 10, bowed, "Whether the board is bowed.";
    "Glass", optional, 10, glass, "The glass over the picture, from the list.";
    "Glass touching?" / "Touching the glass?", optional, 14, glass_touching, "Whether the picture touches its glass, from the list.";
    "Frame", optional, 12, frame, "The frame, from the list.";
    "Maker as printed" / "Photographer as printed", optional, 28, maker.as_printed, "The maker’s name as it stands on the object, letter for letter.";
    "Maker's place as printed", optional, 20, maker.place_as_printed, "The town or place as it stands on the object.";
    "Maker's address as printed", optional, 24, maker.address_as_printed, "The street address as it stands on the object.";
    "Maker, if we know more", optional, 24, maker.name, "Who made it in your own words, where you know more than is printed.";
    "What the maker did", optional, 16, maker.role, "The maker’s part in it, from the list.";
    "How sure of the maker", optional, 14, maker.certainty, "How sure you are who made it, from the list.";
    "Why that maker", optional, 28, maker.basis, "Why you believe that this is the maker.";
    "Number on it" / "Maker's number", optional, 14, maker.number, "The maker’s number on the object, exactly, for example no. 6-18.";
    "Where the number is", optional, 20, maker.number_place, "Where on the object that number stands.";
    "Condition", optional, 28, condition, "The state it is in, in your own words.";
    "Brown spots?" / "Foxing?", optional, 12, brown_spots, "Whether there are flat brown spots, which are not mould.";
    "Mould?" / "Mold?", optional, 12, mould, "What mould looks like, if there is any, from the list.";
    "Loose surface?", optional, 12, loose_surface, "Whether the surface comes off on what touches it.";
    "Brittle or cracked?" / "Brittle?", optional, 12, brittle, "Whether the board is brittle or cracked.";
    "Opened?", optional, 10, opened, "Whether the frame was opened.";
    "Opened on", optional, 14, opened_on, "When the frame was opened.";
    "Found inside", optional, 24, found_inside, "What was found inside; “nothing” is a finding too.";
    "Sitting made" / "Sitting", optional, 18, dates.sitting, "When the sitter sat for it, for example 1884, about 1895 or between 1890 and 1900.";
    "This print made" / "Print made", optional, 18, dates.print, "When this print or enlargement was made, often years after the sitting.";
    "Framed or written on", optional, 18, dates.framed, "When it was framed or written on.";
    "Why those dates", optional, 30, dates.basis, "What makes you think so.";
    "Belongs with", optional, 26, belongs_with, "Other portraits that belong with it and why, for example A-002 (same order).";
    "Copy of", optional, 12, copy_of, "The number of the portrait that it is a copy of.";
    "Why no back view", optional, 22, no_back_because, "Why there is no scan of the back, if there is none.";
    "Why not scanned", optional, 22, not_scanned_because, "Why there is no scan at all, for example mould.";
    "Subject that asks for care" / "Sensitive subject", optional, 20, sensitive, "A subject that asks for care before it is shown, from the list.";
    "Show this portrait to", optional, 18, show_to, "How far it may be shown, from the list; empty means to everybody.";
    "Original is now at", optional, 24, original_now_at, "Who holds the object itself now.";
    "Box or folder" / "Box / folder", optional, 16, storage, "Where you keep it; this is never given away.";
    "Notes", optional, 30, notes, "Anything else.";
}
