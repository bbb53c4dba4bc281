//! The finding aid: START-HERE.html and START-HERE.txt from the record.
