//! The sheet "Scans".

use super::sheet;
use crate::record::Scan;

sheet! {
    Scan, "Scans", "scans.csv",
    "One row for each picture file.";
    "File name now" / "File name" / "File", required, 34, file, "Where the file is inside the collection’s folder.";
    "File name from the camera" / "Camera file name", optional, 22, camera_name, "The name that the camera or scanner gave it, if it has another one now.";
    "Portrait no." / "Portrait number" / "Portrait", required, 12, portrait, "The number of the portrait that it shows.";
    "View", required, 14, view, "Which side or part it shows, from the list.";
    "Made by" / "Scanned by", optional, 18, made_by, "Who scanned or photographed it.";
    "Made on" / "Scanned on", optional, 14, made_on, "When it was scanned or photographed.";
    "Made with", optional, 20, made_with, "The scanner, camera or phone.";
    "Through glass?", optional, 12, through_glass, "Whether it was photographed through glass.";
    "How it was lit" / "Lighting", optional, 18, lighting, "The light, for example window from the left.";
    "Scale or colour card in view?", optional, 14, card_in_view, "Whether a ruler or colour card can be seen in it.";
    "Dots per inch set", optional, 12, ppi_set, "The dots per inch that the scanner was set to.";
    "Kind of copy", required, 14, copy_kind, "What kind of file it is, from the list; “untouched” is as it came from the camera or scanner.";
    "Altered how", optional, 22, altered_how, "What was changed in it, by hand or by a program.";
    "Altered by", optional, 16, altered_by, "Who or what changed it.";
    "Altered on" / "Altered when", optional, 14, altered_on, "When it was changed.";
    "Altered from" / "Altered from which file", optional, 24, altered_from, "The file that it was made from.";
    "Format", tool, 10, facts.format, "The format, as kithbag found it.";
    "Pixels wide", tool, 10, facts.width, "The width in pixels, as kithbag found it.";
    "Pixels high", tool, 10, facts.height, "The height in pixels, as kithbag found it.";
    "Colour", tool, 18, facts.colour, "Colour and depth, as kithbag found them.";
    "True dots per inch", tool, 12, facts.true_ppi, "Pixels divided by the measured size, worked out by kithbag.";
    "Bytes", tool, 12, facts.bytes, "The length of the file, as kithbag found it.";
    "Checksum" / "SHA-256", tool, 20, facts.sha256, "The SHA-256 checksum of the whole file, worked out by kithbag.";
    "Picture-only checksum", tool, 20, facts.picture_digest, "The checksum of the picture alone, which no edit of titles or captions changes, worked out by kithbag.";
    "Private facts found", tool, 18, facts.private_found, "Private facts that kithbag found inside the file, for example the place it was taken.";
}
