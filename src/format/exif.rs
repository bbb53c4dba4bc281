//! Capture facts from Exif (CIPA DC-008), read only: the one file that names the exif crate.
