//! The sheet "Makers' addresses".

use super::sheet;
use crate::record::Listing;

sheet! {
    Listing, "Makers' addresses", "makers-addresses.csv",
    "One row for each time you looked a maker up in a directory, also when the maker was not there.";
    "Maker as listed" / "Maker", required, 26, maker, "The maker as the directory gives it.";
    "Address as listed" / "Address", required, 28, address, "The address as the directory gives it.";
    "Town", optional, 16, town, "The town of the directory.";
    "Directory year" / "Year", required, 12, year, "The year on the directory.";
    "Listed?", required, 10, listed, "Yes if the maker is there at that address, no if you looked and the maker is not.";
    "Source and page" / "Source / page" / "Source", optional, 30, source, "The directory and page, enough to find it again.";
}
